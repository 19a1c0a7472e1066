//! A section's lines against its schema: fields, tables, asides. Knows nothing of any single test.
//! Every line is read or told about; one slip gives one message.

use super::aside;
use super::body::{Body, Field, Row, Table};
use super::parse::{self, Piece};
use super::schema::{Key, Kind, Section as Schema};
use super::sections;
use super::table::{self, Head, Separator};
use super::value::{Amendment, Datum};
use super::words;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::nearest::nearest;
use crate::ground::number::editor_character;
use crate::ground::source::Source;
use crate::ground::span::{Given, Located, Span};
use crate::syntax::{Class, Line};

/// Where plate values may come from (ISO/IEC 17025, 7.8.2.2 asks to mark what the client supplied).
pub const ORIGINS: &[&str] = &["plate", "drawing", "certificate", "client"];

/// What the last line was, so that an `amended:` knows what it speaks of.
#[derive(Clone, Copy)]
enum Last {
    Nothing,
    Field(usize),
    Row,
}

struct State<'a> {
    source: &'a Source,
    schema: &'static Schema,
    ieee: bool,
    body: Body,
    head: Option<Head>,
    /// A heading that could not be used: its rows are skipped without another message.
    skipping: bool,
    last: Last,
    stray: Option<(Span, usize)>,
    /// Keys of another section, one after the other, with their places.
    strayed: Vec<(&'static Schema, Span)>,
    /// Rows whose cells are parted by this mark, and where it stands.
    parted: Option<Parted>,
    /// The unit that stands behind numbers of a table as well as in its heading, how many rows have one, and
    /// where each stands.
    united: Option<(usize, Vec<Span>)>,
    /// What was told before the table began.
    told_before: usize,
    /// Something was told of the heading, so that its rows are not told to lack what it lacks.
    told_heading: bool,
    /// How many rows have the cells of their heading.
    fitting: usize,
    /// The heading was told to have this mark between its cells, and its rows with it.
    told_mark: Option<char>,
    found: Vec<Diagnostic>,
}

/// Rows of a table whose cells are parted by a mark that parts nothing.
struct Parted {
    mark: char,
    rows: Vec<Span>,
    marks: Vec<Span>,
}

/// Reads the lines of one section.
pub fn read(
    source: &Source,
    lines: &[Line],
    schema: &'static Schema,
    open: Span,
    argument: Span,
    ieee: bool,
    found: &mut Vec<Diagnostic>,
) -> Body {
    let body = Body {
        open,
        argument,
        ..Body::default()
    };
    let mut state = State {
        source,
        schema,
        ieee,
        body,
        head: None,
        skipping: false,
        last: Last::Nothing,
        stray: None,
        strayed: Vec::new(),
        parted: None,
        united: None,
        told_before: 0,
        told_heading: false,
        fitting: 0,
        told_mark: None,
        found: Vec::new(),
    };
    for (index, line) in lines.iter().enumerate() {
        let rest = lines.get(index + 1..).unwrap_or(&[]);
        state.line(line, rest);
    }
    state.end_stray();
    state.end_strayed();
    state.end_table();
    found.append(&mut state.found);
    state.body
}

impl State<'_> {
    fn tell(&mut self, told: Diagnostic) {
        self.found.push(told);
    }

    /// The section is shown, not judged, from its first such line on.
    fn doubt(&mut self, span: Span) {
        self.body.doubtful = self.body.doubtful.or(Some(span));
    }

    /// Skips the rows of a heading that could not be used.
    fn skip(&mut self, span: Span) {
        self.skipping = true;
        self.doubt(span);
    }

    fn line(&mut self, line: &Line, rest: &[Line]) {
        let stray = match line.class(self.source) {
            Class::Blank | Class::Comment => return,
            Class::Open => false,
            Class::Field { key, value } => {
                self.field(key, value, line.body);
                false
            }
            Class::Aside => {
                self.aside(line.body);
                false
            }
            // No heading within a table: the rows below it go on.
            Class::Heading if self.head.is_some() && self.is_sentence(line) => true,
            Class::Heading => {
                self.heading(line.body, self.source.slice(line.body).to_owned());
                false
            }
            Class::Row => !self.row(line.body, true),
            Class::Text => !self.text(line.body, rest),
        };
        if stray {
            let (first, count) = self.stray.unwrap_or((line.body, 0));
            self.stray = Some((first.to(line.body), count + 1));
            self.doubt(line.body);
            self.last = Last::Nothing;
        } else {
            self.end_stray();
        }
    }

    fn is_sentence(&self, line: &Line) -> bool {
        table::like_a_sentence(self.source.slice(line.body), self.schema)
    }

    fn end_stray(&mut self) {
        if let Some((span, count)) = self.stray.take() {
            self.tell(words::stray(span, count, Some(self.schema.name)));
        }
    }

    fn field(&mut self, key_span: Span, value: Span, whole: Span) {
        let word = self.source.slice(key_span);
        if word
            .get(.."not done".len())
            .is_some_and(|start| start.eq_ignore_ascii_case("not done"))
        {
            self.not_done_in_capitals(whole);
            return;
        }
        let Some(key) = self.schema.key(word) else {
            self.key_unknown(key_span);
            return;
        };
        self.end_strayed();
        let earlier = self
            .body
            .fields
            .iter()
            .find(|field| field.key.word == key.word)
            .map(|field| field.key_span);
        if let (false, Some(first)) = (key.repeat, earlier) {
            self.tell(words::key_duplicate(key.word, key_span, first));
            return;
        }
        let written = self.source.slice(value);
        let text = Located::new(written.to_owned(), value);
        if written.is_empty() {
            self.tell(words::value_empty(key.word, whole));
            self.push_field(key, key_span, Given::Unreadable(whole), text, None);
            return;
        }
        if key.word == "note" {
            self.body.notes.push(text);
            self.last = Last::Nothing;
            return;
        }
        let (piece, origin) = self.origin(Piece::new(written, value.range().start));
        let read = if written == "-" {
            Given::Missing
        } else {
            let read = parse::datum(piece, key.kind, key.word, self.ieee);
            let number = read.as_ref().ok().and_then(Datum::number);
            let unfit = number.filter(|number| !key.can_be(*number));
            let unfit = unfit.map(|_| words::key_sign(piece.text, piece.span(), key.word));
            let read = unfit.map_or(read, Err);
            parse::given(read, piece, &mut self.found)
        };
        self.push_field(key, key_span, read, text, origin);
    }

    /// A key that the section does not have. Keys of one other section that follow each other are told
    /// together.
    fn key_unknown(&mut self, span: Span) {
        self.last = Last::Nothing;
        let word = self.source.slice(span);
        let has = |other: &&'static Schema| other.key(word).is_some();
        let before = self.strayed.first().map(|(other, _)| *other);
        let other = before.filter(has).or_else(|| sections::all().find(has));
        let spelt = self.schema.all_keys().map(|key| key.word);
        match other.filter(|_| nearest(word, spelt).is_none()) {
            Some(other) => {
                if before.is_some_and(|before| before.name != other.name) {
                    self.end_strayed();
                }
                self.strayed.push((other, span));
            }
            None => {
                self.end_strayed();
                self.tell(words::key_unknown(word, span, self.schema, other));
            }
        }
    }

    fn end_strayed(&mut self) {
        let strayed = std::mem::take(&mut self.strayed);
        match strayed.as_slice() {
            [] => {}
            [(other, span)] => {
                let word = self.source.slice(*span);
                self.tell(words::key_unknown(word, *span, self.schema, Some(other)));
            }
            [(other, first), .., (_, last)] => {
                let keys = strayed.iter().map(|(_, span)| self.source.slice(*span));
                let keys: Vec<&str> = keys.collect();
                let span = first.to(*last);
                self.tell(words::section_lost(&keys, span, self.schema.name, other));
                self.body.lost = self.body.lost.or(Some((other.name, *first)));
            }
        }
    }

    /// `Not done 2S: why` is read as what it means.
    fn not_done_in_capitals(&mut self, whole: Span) {
        let (words, rest) = whole.split_at("not done".len());
        let told = words::omission_unreadable(words, "`not done` needs small letters")
            .label("capital letters")
            .instead(words, "not done", true);
        self.tell(told);
        let meant = format!("not done{}", self.source.slice(rest));
        let omission = aside::omission(Piece::new(&meant, whole.range().start));
        self.body.omissions.extend(omission);
    }

    fn push_field(
        &mut self,
        key: &'static Key,
        key_span: Span,
        value: Given<Datum>,
        text: Located<String>,
        origin: Option<&'static str>,
    ) {
        self.last = Last::Field(self.body.fields.len());
        self.body.fields.push(Field {
            key,
            key_span,
            value,
            text,
            origin,
            amended: Vec::new(),
        });
    }

    /// Takes ` from drawing` off a plate value.
    fn origin<'p>(&self, piece: Piece<'p>) -> (Piece<'p>, Option<&'static str>) {
        if !matches!(self.schema.name, "ct" | "core") {
            return (piece, None);
        }
        let named = ORIGINS.iter().find_map(|word| {
            let kept = piece.text.strip_suffix(word)?.strip_suffix(" from ")?;
            Some((Piece::new(kept, piece.at), Some(*word)))
        });
        named.unwrap_or((piece, None))
    }

    fn aside(&mut self, body: Span) {
        let text = self.source.slice(body);
        if text.starts_with("not done") {
            match aside::omission(Piece::new(text, body.range().start)) {
                Some(omission) => self.body.omissions.push(omission),
                None => self.tell(words::omission_unreadable(
                    body,
                    "this `not done` line cannot be read",
                )),
            }
            return;
        }
        let Some(amendment) = aside::amendment(Piece::new(text, body.range().start)) else {
            self.tell(words::amendment_unreadable(body));
            return;
        };
        let told = match self.last {
            Last::Field(index) => self.amend_field(index, amendment),
            Last::Row => self.amend_row(amendment),
            Last::Nothing => Some(aside::amendment_column(&amendment, &[])),
        };
        self.found.extend(told);
    }

    fn amend_field(&mut self, index: usize, amendment: Amendment) -> Option<Diagnostic> {
        let field = self.body.fields.get_mut(index)?;
        if field.key.word != amendment.what {
            return Some(aside::amendment_column(&amendment, &[field.key.word]));
        }
        let same = aside::same(&amendment.was, &field.text.value);
        let told =
            same.then(|| words::amendment_same(&amendment.what, &amendment.was, amendment.span));
        field.amended.push(amendment);
        told
    }

    fn amend_row(&mut self, amendment: Amendment) -> Option<Diagnostic> {
        let table = self.body.tables.last_mut()?;
        let known = table
            .columns
            .iter()
            .position(|column| column.is_some_and(|column| column.is_called(&amendment.what)));
        let (Some(index), Some(row)) = (known, table.rows.last_mut()) else {
            let words = table.columns.iter().flatten().map(|column| column.word);
            return Some(aside::amendment_column(
                &amendment,
                &words.collect::<Vec<_>>(),
            ));
        };
        let now = row.cells.get(index).and_then(Given::span);
        let same = aside::same(
            &amendment.was,
            now.map_or("", |span| self.source.slice(span)),
        );
        let told =
            same.then(|| words::amendment_same(&amendment.what, &amendment.was, amendment.span));
        row.amended.push(amendment);
        told
    }

    fn heading(&mut self, span: Span, text: String) {
        self.end_table();
        self.told_before = self.found.len();
        self.last = Last::Nothing;
        if self.schema.columns.is_empty() {
            self.tell(words::heading_missing(span, self.schema));
            self.skip(span);
            return;
        }
        let mut told = Vec::new();
        let head = table::heading(&text, span, self.schema, &mut told);
        if self.source.slice(span) != text {
            // The heading was put right first, so places within it are not those of the file.
            for diagnostic in &mut told {
                diagnostic.span = span;
                diagnostic.mends.clear();
            }
        }
        self.told_heading = !told.is_empty();
        self.fitting = 0;
        self.found.append(&mut told);
        self.skipping = head.columns.iter().all(|cell| cell.column.is_none());
        if self.skipping {
            self.doubt(span);
        }
        let columns = head.columns.iter().map(|cell| cell.column).collect();
        self.body.tables.push(Table {
            heading: span,
            columns,
            rows: Vec::new(),
        });
        self.head = Some(head);
    }

    fn end_table(&mut self) {
        self.told_mark = None;
        if let Some(Parted { mark, rows, marks }) = self.parted.take() {
            self.tell(words::cells_parted(mark, &rows, &marks));
        }
        if self.head.is_some() {
            let of_table = self.found.split_off(self.told_before.min(self.found.len()));
            let of_table = words::commas_together(of_table);
            let heading = self.body.tables.last().map(|table| table.heading);
            let heading = heading.filter(|_| self.fitting == 0);
            self.found.extend(match heading {
                Some(heading) => words::counts_together(of_table, heading),
                None => of_table,
            });
        }
        if let Some((rows, units)) = self.united.take() {
            let mut all = units.iter().map(|unit| self.source.slice(*unit));
            let first = all.next();
            let unit = first.filter(|first| all.all(|unit| unit == *first));
            self.tell(words::cells_united(unit, rows, &units));
        }
        let head = self.head.take().filter(|_| !self.skipping);
        let empty = |table: &&Table| table.rows.is_empty();
        if let (Some(_), Some(table)) = (head, self.body.tables.last().filter(empty)) {
            let span = table.heading;
            self.tell(words::table_empty(span));
            self.doubt(span);
        }
        self.skipping = false;
    }

    /// Reads a row; false when nothing is known about it.
    fn row(&mut self, span: Span, numeric: bool) -> bool {
        if self.skipping {
            return true;
        }
        let text = self.source.slice(span);
        if text
            .bytes()
            .all(|b| matches!(b, b'|' | b'-' | b':' | b' ' | b'\t'))
            && text.contains('|')
            // `- | -` is a row that waits.
            && text.contains("--")
        {
            return true; // the rule under the heading of a Markdown table
        }
        let Some(head) = &self.head else {
            if text.contains('|') && self.pipe_heading(span) {
                return true;
            }
            if !numeric {
                return false;
            }
            self.tell(words::heading_missing(span, self.schema));
            self.skip(span);
            return true;
        };
        let mark = match head.separator {
            Separator::Blanks => table::parting_mark(text, head.columns.len()),
            Separator::Pipe | Separator::Tab => None,
        };
        // A blank in its place parts the cells, and leaves every other character where it stands.
        let blanked = mark.map(|mark| text.replace(mark, " "));
        let text = blanked.as_deref().unwrap_or(text);
        if let Some(mark) = mark.filter(|mark| self.told_mark != Some(*mark)) {
            let written = self.source.slice(span);
            let marks = written.match_indices(mark).map(|(at, _)| {
                let at = span.range().start + at;
                Span::new(at, at + 1)
            });
            let parted = self.parted.get_or_insert_with(|| Parted {
                mark,
                rows: Vec::new(),
                marks: Vec::new(),
            });
            parted.rows.push(span);
            parted.marks.extend(marks);
        }
        let units = table::units_again(text, span.range().start, head);
        let bare = (!units.is_empty()).then(|| blanked_at(text, span.range().start, &units));
        if !units.is_empty() {
            let (rows, places) = self.united.get_or_insert_with(|| (0, Vec::new()));
            *rows += 1;
            places.extend(&units);
        }
        let text = bare.as_deref().unwrap_or(text);
        let mut told = Vec::new();
        let read = table::row(text, span, head, self.ieee, numeric, &mut told);
        if self.told_heading {
            let is_unknown = |table: &Table| table.any_unknown();
            // Below a heading with a word that is no column, blanks do not tell which cell is which. In a row of
            // as many words as the heading has, one cell is a slip; several stand beside their columns.
            let words = Separator::Blanks.split(text, span.range().start).len();
            let slips = told
                .iter()
                .filter(|told| table::SHIFTED.contains(&told.code));
            let shifted = head.separator == Separator::Blanks
                && (words != head.columns.len() || slips.count() > 1)
                && self.body.tables.last().is_some_and(is_unknown);
            told.retain(|told| {
                told.code != Code::CellCount && !(shifted && table::SHIFTED.contains(&told.code))
            });
        }
        self.found.append(&mut told);
        match read {
            table::RowRead::Row(row) => {
                self.fitting += 1;
                if let Some(table) = self.body.tables.last_mut() {
                    table.rows.push(row);
                }
                self.last = Last::Row;
                true
            }
            table::RowRead::Broken => {
                // The row is there, so that the table is not called empty.
                let cells = vec![Given::Unreadable(span); head.columns.len()];
                if let Some(table) = self.body.tables.last_mut() {
                    let amended = Vec::new();
                    table.rows.push(Row {
                        span,
                        cells,
                        amended,
                    });
                }
                self.doubt(span);
                self.last = Last::Nothing;
                true
            }
            table::RowRead::Stranger => false,
        }
    }

    /// `core | in service | earth`: words parted by `|` that are all known columns.
    fn pipe_heading(&mut self, span: Span) -> bool {
        let text = self.source.slice(span);
        let cells = Separator::Pipe.split(text, span.range().start);
        let known = cells
            .iter()
            .filter(|cell| self.schema.column(table::bare_word(cell.text)).is_some())
            .count();
        if cells.len() < 2 || known * 2 < cells.len() {
            return false;
        }
        self.heading(span, text.to_owned());
        true
    }

    /// A line that is neither field, heading nor number: a labelled row, or a mistake with a name.
    fn text(&mut self, span: Span, rest: &[Line]) -> bool {
        let text = self.source.slice(span);
        if text.contains('|') && self.pipe_heading(span) {
            return true;
        }
        if let Some(meant) = table::heading_in_other_form(text, self.schema) {
            let columns = meant.split("  ").count();
            let row = rest.first().map_or("", |line| self.source.slice(line.body));
            let mark = table::parting_mark(row, columns).filter(|mark| text.contains(*mark));
            self.tell(words::heading_form(span, &meant, mark));
            self.heading(span, meant);
            self.told_mark = mark;
            return true;
        }
        if !text.contains(['|', '\t']) && self.colon_missing(span) {
            return true;
        }
        let blank = text
            .chars()
            .next()
            .filter(|c| editor_character(*c).is_some());
        if let Some(blank) = blank.filter(|c| editor_character(*c) != Some(Some('-'))) {
            let start = span.range().start;
            let at = Span::new(start, start + blank.len_utf8());
            self.tell(words::blank_before(blank, at));
            self.doubt(span);
            return true;
        }
        if self.head.is_some() && self.row(span, false) {
            return true;
        }
        if table::like_a_heading(text, self.schema) {
            self.heading(span, text.to_owned());
            return true;
        }
        // Within a table only words that are columns make another heading; else the rows below go on as they were.
        let columns = || {
            text.split([' ', '\t', '|'])
                .any(|word| self.schema.column(word).is_some())
        };
        let heading = self.head.is_none() || columns();
        if heading
            && table::only_words(text)
            && (next_is_row(self.source, rest) || self.schema.columns_in(text).len() > 1)
            && !self.schema.columns.is_empty()
        {
            self.end_table();
            self.tell(words::heading_units(span, text, self.schema));
            self.skip(span);
            return true;
        }
        // Rows of words below a heading that could not be used, or not as a whole, are of its table.
        let is_row = self.skipping || self.head.is_some() && self.told_heading;
        if is_row {
            self.doubt(span);
        }
        is_row
    }

    /// A known key without colon, or with a colon and no blank; read as that key.
    fn colon_missing(&mut self, span: Span) -> bool {
        let text = self.source.slice(span);
        let start = span.range().start;
        let glued = text
            .split_once(':')
            .filter(|(key, _)| self.schema.key(key).is_some())
            .map(|(key, _)| key.len());
        let key_len = glued.or_else(|| self.longest_key(text));
        let Some(len) = key_len else { return false };
        let key_span = Span::new(start, start + len);
        let behind = text.get(len..).unwrap_or("");
        let value = behind.trim_start_matches(|c| is_mark(c) || is_blank(c));
        let value_at = start + len + (behind.len() - value.len());
        let gap = Span::new(key_span.range().end, value_at);
        self.tell(words::colon_missing(
            self.source.slice(key_span),
            key_span,
            self.source.slice(gap),
            gap,
        ));
        self.field(key_span, Span::new(value_at, start + text.len()), span);
        true
    }

    fn longest_key(&self, text: &str) -> Option<usize> {
        let marked = |word: &str| {
            let rest = text
                .strip_prefix(word)
                .map(|rest| rest.trim_start_matches(is_blank));
            rest.is_some_and(|rest| rest.starts_with(is_mark))
        };
        let mut keys = self.schema.all_keys().map(|key| key.word);
        if let Some(word) = keys.find(|word| marked(word)) {
            return Some(word.len());
        }
        let fits = |word: &str| {
            text.strip_prefix(word)
                .is_some_and(|rest| rest.starts_with([' ', '\t']))
        };
        // Below a heading a word that is a key may be the first cell of a row, or prose.
        let above = self.head.is_none() && !self.skipping;
        let words = self
            .schema
            .all_keys()
            .filter(|key| above || key.kind != Kind::Text || key.word == "note");
        words
            .map(|key| key.word)
            .filter(|word| fits(word))
            .map(str::len)
            .max()
    }
}

/// A colon, or what stands in its place.
fn is_mark(c: char) -> bool {
    matches!(c, ':' | ';' | '=' | '\u{FF1A}')
}

/// A blank, or what an editor makes of one.
fn is_blank(c: char) -> bool {
    matches!(c, ' ' | '\t') || editor_character(c) == Some(Some(' '))
}

/// A text with blanks in these places, so that all else stays where it stands.
fn blanked_at(text: &str, start: usize, places: &[Span]) -> String {
    let inside = |at: usize| {
        places
            .iter()
            .any(|place| place.range().contains(&(start + at)))
    };
    let each = text.char_indices();
    let each = each.map(|(at, c)| {
        if inside(at) {
            " ".repeat(c.len_utf8())
        } else {
            c.to_string()
        }
    });
    each.collect()
}

fn next_is_row(source: &Source, rest: &[Line]) -> bool {
    rest.iter()
        .map(|line| line.class(source))
        .find(|class| !matches!(class, Class::Blank | Class::Comment))
        .is_some_and(|class| class == Class::Row)
}

/// The words of a span, for arguments of sections.
pub fn argument_words(source: &Source, span: Span) -> Vec<(&str, Span)> {
    let piece = Piece::new(source.slice(span), span.range().start);
    piece.words().map(|word| (word.text, word.span())).collect()
}
