//! Tables: headings, separators, rows. The separator is taken from the heading; the first column
//! may hold blanks, so the rest is counted from the right.

use super::body::Row;
use super::parse::{self, Piece};
use super::schema::{Column, Kind, Section as Schema};
use super::value::Datum;
use super::words;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::number::{self, NumberFault, editor_character};
use crate::ground::span::{Given, Span};
use crate::ground::unit::{Dimension, Lookup, UnitWord, lookup};
use crate::syntax::line::{trim_end, trim_start};

/// What a cell is told to be that stands under another column than its own.
pub const SHIFTED: &[Code] = &[
    Code::NumberUnreadable,
    Code::WordUnknown,
    Code::PairUnreadable,
    Code::GroupUnreadable,
];

/// What parts the cells of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Separator {
    Pipe,
    Tab,
    Blanks,
}

impl Separator {
    pub fn of(heading: &str) -> Self {
        if heading.contains('|') {
            Self::Pipe
        } else if heading.contains('\t')
            && heading
                .split('\t')
                .all(|cell| cell.matches('/').count() < 2)
        {
            Self::Tab
        } else {
            Self::Blanks
        }
    }

    /// The cells of a line. Pipes at both ends, as in a pasted Markdown table, part nothing.
    pub fn split(self, text: &str, at: usize) -> Vec<Piece<'_>> {
        let mark = match self {
            Self::Blanks => return Piece { text, at }.words().collect(),
            Self::Pipe => '|',
            Self::Tab => '\t',
        };
        let (text, at) = match text.strip_prefix('|') {
            Some(rest) if self == Self::Pipe => (rest, at + 1),
            _ => (text, at),
        };
        let mut from = at;
        let mut cells: Vec<Piece<'_>> = text
            .split(mark)
            .map(|cell| {
                let piece = Piece::new(cell, from);
                from += cell.len() + 1;
                piece
            })
            .collect();
        if self == Self::Pipe && cells.len() > 1 && trim_end(text).ends_with('|') {
            cells.pop();
        }
        cells
    }
}

/// One column of a heading.
#[derive(Clone, Debug)]
pub struct HeadCell {
    /// `None` when the section knows no such column.
    pub column: Option<&'static Column>,
    /// `None` when the unit could not be read: the cells are passed over.
    pub unit: Option<&'static UnitWord>,
}

/// A heading as read.
#[derive(Clone, Debug)]
pub struct Head {
    pub span: Span,
    pub separator: Separator,
    pub columns: Vec<HeadCell>,
}

/// The word of a heading's cell without its unit.
pub fn bare_word(cell: &str) -> &str {
    trim_end(cell.split_once('/').map_or(cell, |(word, _)| word))
}

/// Reads a heading; columns that cannot be used are told and left out.
pub fn heading(
    text: &str,
    span: Span,
    schema: &'static Schema,
    found: &mut Vec<Diagnostic>,
) -> Head {
    let separator = Separator::of(text);
    let mut told = Vec::new();
    let mut columns: Vec<HeadCell> = Vec::new();
    for cell in heading_cells(separator, text, span) {
        let word = bare_word(cell.text);
        let column = schema.column(word);
        if word == POWER_FACTOR && schema.column("factor").is_some() {
            told.push(words::column_power_factor(cell.span()));
            let (column, unit) = (None, None);
            columns.push(HeadCell { column, unit });
            continue;
        }
        let again = column.is_some_and(|column| {
            columns
                .iter()
                .any(|c| c.column.is_some_and(|known| known.word == column.word))
        });
        if again {
            told.push(words::column_duplicate(word, cell.span()));
        } else if let Some(meant) = in_brackets(cell.text, schema).filter(|_| column.is_none()) {
            told.push(words::column_in_brackets(cell.span(), &meant));
        } else if column.is_none() {
            let unknown = words::column_unknown(word, cell.span(), schema);
            told.push(by_unit(unknown, cell, &columns, schema));
        }
        let column = if again { None } else { column };
        let unit = column.and_then(|column| column_unit(cell, column, &mut told));
        columns.push(HeadCell { column, unit });
    }
    if told.len() > 1 {
        told = vec![together(text, span, &told)];
    }
    found.append(&mut told);
    Head {
        span,
        separator,
        columns,
    }
}

/// What takes the place of a dissipation factor, and is none.
const POWER_FACTOR: &str = "power factor";

/// The cells of a heading. A name of two words is one of them between blanks as well, so that no row is shifted.
fn heading_cells(separator: Separator, text: &str, span: Span) -> Vec<Piece<'_>> {
    let mut cells = separator.split(text, span.range().start);
    let named = |cell: &Piece<'_>| bare_word(cell.text) == "factor";
    let first = cells.iter().position(|cell| cell.text == "power");
    if let Some(first) = first.filter(|_| separator == Separator::Blanks)
        && cells.get(first + 1).is_some_and(named)
    {
        let second = cells.remove(first + 1);
        if let Some(cell) = cells.get_mut(first) {
            let start = span.range().start;
            let (from, to) = (cell.span().range().start, second.span().range().end);
            let whole = text.get(from - start..to - start).unwrap_or(cell.text);
            *cell = Piece::new(whole, from);
        }
    }
    cells
}

/// `current [A]`, `current (A)`: the column that was meant.
fn in_brackets(cell: &str, schema: &'static Schema) -> Option<String> {
    let unit = cell.strip_suffix([']', ')'])?;
    let (word, unit) = unit.split_once(['[', '('])?;
    let (word, unit) = (trim_end(word), trim_end(trim_start(unit)));
    let Kind::Quantity(dimension) = schema.column(word)?.kind else {
        return None;
    };
    may_be_unit(unit, dimension).then(|| format!("{word}/{unit}"))
}

/// `U/V` where the table has one more column of volts.
fn by_unit(
    told: Diagnostic,
    cell: Piece<'_>,
    before: &[HeadCell],
    schema: &'static Schema,
) -> Diagnostic {
    let Some((word, unit)) = cell.split("/").filter(|_| told.mends.is_empty()) else {
        return told;
    };
    let used = |column: &Column| {
        before
            .iter()
            .any(|cell| cell.column.is_some_and(|known| known.word == column.word))
    };
    let fits = |column: &&Column| {
        let Kind::Quantity(dimension) = column.kind else {
            return false;
        };
        parse::unit_word(unit, dimension, column.word).is_ok() && !used(column)
    };
    match schema.columns.iter().find(fits) {
        Some(column) => told.did_you_mean(word.span(), column.word, false),
        None => told,
    }
}

/// What is wrong in several cells of a heading, as one.
fn together(text: &str, span: Span, each: &[Diagnostic]) -> Diagnostic {
    let start = span.range().start;
    let mends: Option<Vec<&(Span, String)>> = each
        .iter()
        .map(|told| told.mends.first().and_then(|mend| mend.edits.first()))
        .collect();
    let meant = mends.map(|edits| {
        let mut edits: Vec<(Span, String)> = edits.into_iter().cloned().collect();
        edits.sort_by_key(|(at, _)| *at);
        let mut whole = text.to_owned();
        for (at, new) in edits.iter().rev() {
            let range = at.range();
            whole.replace_range(range.start - start..range.end - start, new);
        }
        (whole, edits)
    });
    words::heading_cells(span, each, meant)
}

fn column_unit(
    cell: Piece<'_>,
    column: &'static Column,
    found: &mut Vec<Diagnostic>,
) -> Option<&'static UnitWord> {
    let unit = cell.split("/").map(|(_, unit)| unit);
    match (column.kind, unit) {
        (Kind::Quantity(dimension), None) => {
            found.push(words::column_unitless(column.word, cell.span(), dimension));
            None
        }
        (Kind::Quantity(dimension), Some(unit)) => {
            match parse::unit_word(unit, dimension, column.word) {
                Ok(word) if column.never.contains(&word.canonical.as_str()) => {
                    let meant = swap_case(&word.canonical);
                    found.push(words::unit_implausible(
                        unit.text,
                        unit.span(),
                        column.word,
                        &meant,
                    ));
                    None
                }
                Ok(word) => Some(word),
                Err(_) if dimension == Dimension::Percent && part_of_one(unit.text).is_some() => {
                    let percent = part_of_one(unit.text).unwrap_or_default();
                    found.push(words::column_in_parts(cell.span(), column.word, percent));
                    None
                }
                Err(diagnostic) => {
                    found.push(diagnostic);
                    None
                }
            }
        }
        (Kind::Ratio, _) | (_, None) => None,
        (Kind::Burden, Some(_)) => None,
        (_, Some(unit)) => {
            found.push(words::column_with_unit(column.word, unit.span()));
            None
        }
    }
}

/// What a number is in per cent under a heading that counts in parts of one or of a thousand, by an example.
fn part_of_one(unit: &str) -> Option<&'static str> {
    match unit {
        "1" => Some("0.0029 is 0.29"),
        "permille" | "\u{2030}" | "1e-3" => Some("2.9 is 0.29"),
        _ => None,
    }
}

fn swap_case(unit: &str) -> String {
    match unit.chars().next() {
        Some('m') => unit.replacen('m', "M", 1),
        Some('M') => unit.replacen('M', "m", 1),
        Some('G') => unit.replacen('G', "m", 1),
        _ => "ohm".to_owned(),
    }
}

/// What became of a row.
pub enum RowRead {
    Row(Row),
    /// A row, but its cells do not fit the heading; told.
    Broken,
    /// Perhaps no row at all.
    Stranger,
}

/// Reads a row under its heading. `numeric` rows are rows in any case, others may be strangers.
pub fn row(
    text: &str,
    span: Span,
    head: &Head,
    ieee: bool,
    numeric: bool,
    found: &mut Vec<Diagnostic>,
) -> RowRead {
    let parts = match head.separator {
        Separator::Pipe => text.contains('|'),
        Separator::Tab => text.contains('\t') || is_blank_parted(text, head),
        Separator::Blanks => true,
    };
    if !numeric && !parts && head.columns.len() > 1 {
        return RowRead::Stranger;
    }
    let (pieces, written) = match cells(text, span.range().start, head) {
        Ok(cells) => cells,
        Err(Misfit::Told(told)) => {
            found.push(*told);
            return RowRead::Broken;
        }
        Err(Misfit::Count(count)) => {
            let has_number = text
                .split([' ', '\t'])
                .any(|word| number::read(word).is_ok());
            if !numeric && !has_number {
                return RowRead::Stranger;
            }
            if let Some(odd) = special_blank(text, span.range().start) {
                found.push(odd);
            } else {
                let expected = head.columns.len();
                found.push(words::cell_count(text, span, count, expected, head.span));
            }
            return RowRead::Broken;
        }
    };
    if !numeric && head.separator != Separator::Pipe && looks_like_prose(&pieces, head) {
        return RowRead::Stranger;
    }
    let pairs = pieces.iter().zip(&head.columns);
    let mut told = Vec::new();
    let cells: Vec<Given<Datum>> = pairs
        .map(|(piece, cell)| datum(*piece, cell, ieee, &mut told))
        .collect();
    // What was left out stood in the middle, and the cells behind it stand under other columns than their own.
    // A slip within a number is told as that.
    let is_slip = |told: &Diagnostic| {
        let own = pieces.iter().find(|piece| piece.span() == told.span);
        let begins = own.and_then(|piece| piece.text.bytes().next());
        told.code == Code::NumberUnreadable && begins.is_some_and(|byte| byte.is_ascii_digit())
    };
    let shifted = |told: &Diagnostic| SHIFTED.contains(&told.code) && !is_slip(told);
    let is_short = written < head.columns.len();
    if is_short && told.iter().any(shifted) && fits_shifted(&pieces, written, head, ieee) {
        let expected = head.columns.len();
        found.push(words::cell_count(text, span, written, expected, head.span));
        return RowRead::Broken;
    }
    // A row of zeros is one slip.
    let signs = told.iter().filter(|told| told.code == Code::ReadingSign);
    if signs.count() > 1 {
        told.retain(|told| told.code != Code::ReadingSign);
        told.push(words::zeros(span));
    }
    found.append(&mut told);
    let amended = Vec::new();
    RowRead::Row(Row {
        span,
        cells,
        amended,
    })
}

/// Under a heading of numbers, a line with no number where one is expected is no row.
fn looks_like_prose(pieces: &[Piece<'_>], head: &Head) -> bool {
    let numeric = |kind: Kind| kind.is_figure() || matches!(kind, Kind::Ratio);
    let pairs = pieces.iter().zip(&head.columns);
    let mut numbers = pairs
        .filter(|(_, cell)| cell.column.is_some_and(|column| numeric(column.kind)))
        .map(|(piece, _)| piece.text == "-" || piece.text.bytes().any(|b| b.is_ascii_digit()))
        .peekable();
    numbers.peek().is_some() && numbers.all(|number| !number)
}

/// Whether all of a row can be read with one cell left out before its last one; else a slip is what it looks like.
fn fits_shifted(pieces: &[Piece<'_>], written: usize, head: &Head, ieee: bool) -> bool {
    let Some(own) = pieces.get(..written) else {
        return false;
    };
    (0..written).any(|gap| {
        let columns = head.columns.iter().enumerate();
        let columns = columns.filter(|(at, _)| *at != gap).map(|(_, cell)| cell);
        let mut told = Vec::new();
        for (piece, cell) in own.iter().zip(columns) {
            datum(*piece, cell, ieee, &mut told);
        }
        told.is_empty()
    })
}

/// Why a row does not fit its heading.
enum Misfit {
    /// How many cells there are.
    Count(usize),
    Told(Box<Diagnostic>),
}

/// The cells of a row, one for each column, and how many of them are written. Only the first column may hold
/// blanks.
fn cells<'t>(text: &'t str, at: usize, head: &Head) -> Result<(Vec<Piece<'t>>, usize), Misfit> {
    let separator = if is_blank_parted(text, head) {
        Separator::Blanks
    } else {
        head.separator
    };
    let mut pieces = separator.split(text, at);
    let expected = head.columns.len();
    if separator == Separator::Blanks
        && let Some(told) = parted_bound(text, at, &pieces)
    {
        return Err(Misfit::Told(Box::new(told)));
    }
    if separator == Separator::Blanks && first_is_free(head) && pieces.len() > expected {
        if let Some(count) = wrong_count(&pieces, head) {
            return Err(Misfit::Count(count));
        }
        let extra = pieces.len() - expected;
        let end = pieces
            .get(extra)
            .map_or(at, |piece| piece.span().range().end);
        let first = text.get(..end - at).unwrap_or("");
        let rest = pieces.split_off(extra + 1);
        let mut joined = vec![Piece::new(trim_start(first), at)];
        joined.extend(rest);
        return Ok((joined, expected));
    }
    let written = pieces.len();
    if separator != Separator::Blanks && pieces.len() < expected {
        // A pasted row may leave its last cells out.
        let end = Piece {
            text: "",
            at: at + text.len(),
        };
        pieces.resize(expected, end);
    }
    if pieces.len() == expected {
        Ok((pieces, written))
    } else {
        Err(Misfit::Count(written))
    }
}

/// The cells of a row as written; `None` when it does not have those of its heading.
pub fn pieces<'t>(text: &'t str, at: usize, head: &Head) -> Option<Vec<Piece<'t>>> {
    cells(text, at, head).ok().map(|(pieces, _)| pieces)
}

/// A row parted by blanks under a heading that tabs part: as many words as the heading has, and readings
/// behind the first. (`1S to earth` is the first cell of a row that waits.)
fn is_blank_parted(text: &str, head: &Head) -> bool {
    if head.separator != Separator::Tab || text.contains('\t') {
        return false;
    }
    let words = || text.split(' ').filter(|word| !word.is_empty());
    words().count() == head.columns.len() && words().skip(1).all(like_a_reading)
}

/// Units behind the numbers of a row that the heading has for these columns already.
pub fn units_again(text: &str, at: usize, head: &Head) -> Vec<Span> {
    let parted = match head.separator {
        Separator::Pipe => true,
        Separator::Tab => text.contains('\t'),
        Separator::Blanks => false,
    };
    // No unit begins like a number, and most words are numbers: looking each up would cost the most of a record.
    let may_be_unit = |text: &str| {
        !text.starts_with(|c: char| matches!(c, '0'..='9' | '+' | '-' | '.' | '<' | '>'))
    };
    let mut words = Piece { text, at }.words();
    if parted || !words.any(|word| may_be_unit(word.text)) {
        return Vec::new();
    }
    let again = |word: &Piece<'_>, cell: &HeadCell| {
        cell.unit
            .filter(|_| may_be_unit(word.text))
            .is_some_and(|unit| {
                let found = lookup(word.text, unit.dimension);
                matches!(found, Lookup::Found(known) if known.canonical == unit.canonical)
            })
    };
    // From the right, since the first column may hold blanks.
    let words: Vec<Piece<'_>> = Piece { text, at }.words().collect();
    let free = first_is_free(head);
    let mut columns = head.columns.iter().skip(usize::from(free)).rev();
    let mut column = columns.next();
    let (mut units, mut rest) = (Vec::new(), words.len());
    for word in words.iter().rev() {
        let Some(cell) = column else { break };
        rest -= 1;
        if again(word, cell) {
            units.push(word.span());
        } else {
            column = columns.next();
        }
    }
    units.reverse();
    // Each column has its word, and what is left over is the first cell.
    let whole = column.is_none() && (rest > 0) == free;
    if whole { units } else { Vec::new() }
}

/// Whether the first column may hold blanks.
fn first_is_free(head: &Head) -> bool {
    may_hold_blanks(head.columns.first().and_then(|cell| cell.column))
}

/// The same of a column that is the first.
pub fn may_hold_blanks(first: Option<&Column>) -> bool {
    first.is_some_and(|column| matches!(column.kind, Kind::Between | Kind::Text))
}

/// Words first, then readings: how many cells that makes, when it is not what the heading has.
fn wrong_count(pieces: &[Piece<'_>], head: &Head) -> Option<usize> {
    let number = |cell: &HeadCell| cell.column.is_some_and(|column| column.kind.is_figure());
    let readings = pieces
        .iter()
        .rev()
        .take_while(|piece| like_a_reading(piece.text))
        .count();
    let all_numbers = head.columns.iter().skip(1).all(number);
    // What stands last and is no reading is told as that, in its own cell.
    let before = pieces.iter().rev().skip(1);
    let before = before
        .take_while(|piece| like_a_reading(piece.text))
        .count();
    let slip = readings == 0 && before + 2 == head.columns.len();
    (all_numbers && !slip && readings + 1 != head.columns.len()).then_some(readings + 1)
}

/// A number, or what somebody wrote for one. Core names such as 1S are none.
fn like_a_reading(text: &str) -> bool {
    let digits = text.trim_start_matches(['+', '-', '>', '<']);
    let first = digits.get(..2).unwrap_or("");
    let begins = !first.is_empty() && first.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let dash = || text == "-" || number::edited(text).is_some_and(|(_, plain)| plain == "-");
    begins || dash() || !matches!(number::read(text), Err(NumberFault::NotANumber))
}

/// `> 200`: a bound whose blank makes two cells of it.
fn parted_bound(text: &str, at: usize, pieces: &[Piece<'_>]) -> Option<Diagnostic> {
    let (sign, number) = pieces.windows(2).find_map(|pair| match pair {
        [sign, number] if matches!(sign.text, ">" | "<" | "≥" | "≤") => Some((sign, number)),
        _ => None,
    })?;
    let span = sign.span().to(number.span());
    let written = text
        .get(span.range().start - at..span.range().end - at)
        .unwrap_or("");
    Some(words::number(written, span, &NumberFault::BoundForm))
}

fn special_blank(text: &str, at: usize) -> Option<Diagnostic> {
    let (from, found) = text
        .char_indices()
        .find(|&(_, c)| editor_character(c) == Some(Some(' ')))?;
    let span = Span::new(at + from, at + from + found.len_utf8());
    Some(words::editor_character(found, " ", span).help("write an ordinary space"))
}

fn datum(
    piece: Piece<'_>,
    cell: &HeadCell,
    ieee: bool,
    found: &mut Vec<Diagnostic>,
) -> Given<Datum> {
    let Some(column) = cell.column else {
        return Given::Unreadable(piece.span());
    };
    if piece.text == "-" || piece.text.is_empty() {
        return Given::Missing;
    }
    let read = match (column.kind, cell.unit) {
        (Kind::Quantity(_), None) => return Given::Unreadable(piece.span()),
        (Kind::Quantity(_), Some(unit)) => parse::cell(piece, unit)
            .map(Datum::Quantity)
            .map_err(|told| with_unit(told, piece, unit)),
        (Kind::Burden, _) if number::read(piece.text).is_ok() => {
            // `burden/VA` gives the unit in the heading.
            let text = &format!("{} VA", piece.text);
            parse::datum(Piece { text, ..piece }, Kind::Burden, column.word, ieee)
        }
        (kind, _) => parse::datum(piece, kind, column.word, ieee),
    };
    if let Some((dash, _)) = number::edited(piece.text).filter(|(_, plain)| plain == "-") {
        found.push(words::editor_character(dash, "-", piece.span()));
        return Given::Unreadable(piece.span());
    }
    let (text, span, word) = (piece.text, piece.span(), column.word);
    let unfit = match &read {
        Ok(Datum::Quantity(quantity)) if column.positive && quantity.si <= 0.0 => {
            Some(words::not_positive(text, span, word))
        }
        Ok(Datum::Quantity(quantity)) if column.unsigned && quantity.si < 0.0 => {
            Some(words::key_sign(text, span, word))
        }
        Ok(Datum::Quantity(quantity)) if column.exact && !quantity.is_exact() => {
            Some(words::bound_in_curve(span, word))
        }
        _ => None,
    };
    let read = unfit.map_or(read, Err);
    parse::given(read, piece, found)
}

/// A unit written into a cell gets its own help.
fn with_unit(told: Diagnostic, piece: Piece<'_>, unit: &UnitWord) -> Diagnostic {
    let digits = piece
        .text
        .trim_end_matches(|c: char| c.is_alphabetic() || matches!(c, '%' | '°' | 'Ω'));
    let glued = digits.len() < piece.text.len() && number::read(digits).is_ok();
    if glued && told.code == Code::NumberUnreadable && told.mends.is_empty() {
        return told.help(format!(
            "the heading gives the unit ({}); write only {digits}, converted if need be",
            unit.canonical
        ));
    }
    told
}

/// A line of words and nothing else: perhaps a heading that forgot its units.
pub fn only_words(text: &str) -> bool {
    let letter =
        |b: u8| b.is_ascii_alphabetic() || matches!(b, b'-' | b'|' | b' ' | b'\t' | b',' | b';');
    !text.is_empty() && text.bytes().all(letter)
}

/// A line in which a known column has a unit behind it: a heading, whatever else stands in it.
pub fn like_a_heading(text: &str, schema: &'static Schema) -> bool {
    words_with_unit(text).any(|(word, unit)| {
        let column = schema.column(word);
        column.is_some_and(|column| match column.kind {
            Kind::Quantity(dimension) => may_be_unit(unit, dimension),
            _ => false,
        })
    })
}

/// A line in the form of a heading in which no unit is one, and some words are no columns: a sentence with
/// `voltage/current` in it.
pub fn like_a_sentence(text: &str, schema: &'static Schema) -> bool {
    let is_unit = |(word, unit): (&str, &str)| match schema.column(word).map(|column| column.kind) {
        Some(Kind::Quantity(dimension)) => may_be_unit(unit, dimension),
        _ => may_be_unit(unit, Dimension::Voltage),
    };
    let mut words = text.split(['|', '\t', ' ']).filter(|word| !word.is_empty());
    let all_known = words.all(|word| schema.column(bare_word(word)).is_some());
    !all_known && !words_with_unit(text).any(is_unit)
}

/// The words of a line that have something behind a `/`, and that.
fn words_with_unit(text: &str) -> impl Iterator<Item = (&str, &str)> {
    let words = text.split(['|', '\t', ' ', ',', ';']);
    words.filter_map(|word| word.split_once('/'))
}

/// Whether it is a unit, of this dimension or another, or near to one of this.
fn may_be_unit(unit: &str, dimension: Dimension) -> bool {
    let parts = dimension == Dimension::Percent && part_of_one(unit).is_some();
    parts || !matches!(lookup(unit, dimension), Lookup::Unknown(None))
}

/// `voltage / V`, `voltage (V)`, `voltage/V,`: the heading that was meant, if all its columns are known.
pub fn heading_in_other_form(text: &str, schema: &'static Schema) -> Option<String> {
    if !text.contains(['/', '(', '[']) {
        return None; // no unit in any form
    }
    let plain = ["/ ", " /", " (", "(", " ["]
        .iter()
        .fold(text.replace(" / ", "/"), |text, form| {
            text.replace(form, "/")
        });
    let plain = plain.replace([')', ',', ']', ';'], " ");
    let words = plain.split([' ', '\t']).filter(|word| !word.is_empty());
    // A column in capitals is still that column.
    let column = |word: &str| {
        let (bare, lower) = (bare_word(word), bare_word(word).to_lowercase());
        let unit = word.get(bare.len()..).unwrap_or("");
        let called = schema.column(bare).map(|_| bare);
        let called = called.or(schema.column(&lower).map(|column| column.word))?;
        Some(format!("{called}{unit}"))
    };
    let words: Vec<String> = words.map(column).collect::<Option<_>>()?;
    let united = words.iter().any(|word| word.contains('/'));
    let meant = words.join("  ");
    // Of other blanks alone the heading would be no other one.
    let same = text.split([' ', '\t']).filter(|word| !word.is_empty());
    let is_same = same.eq(words.iter().map(String::as_str));
    (united && !is_same).then_some(meant)
}

/// What parts the cells of a line where nothing may: `;`, or a `,` that is no decimal comma.
pub fn parting_mark(text: &str, columns: usize) -> Option<char> {
    if !text.contains([';', ',']) {
        return None;
    }
    let cells = |mark: char| text.split(mark).map(trim_start).map(trim_end);
    let whole = |mark: char| columns > 1 && cells(mark).count() == columns;
    let one_word = |cell: &str| !cell.is_empty() && !cell.contains([' ', '\t']);
    // Of words that say something else more than the first cell has blanks.
    if whole(';') && cells(';').skip(1).all(|cell| !cell.contains([' ', '\t'])) {
        return Some(';');
    }
    (whole(',') && cells(',').all(one_word)).then_some(',')
}
