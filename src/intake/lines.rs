//! Lines of a record made of rows of a table, each knowing the row that it came of. A line that a record would not read as
//! what it is meant for is a fault.

use super::Faults;
use super::address::{Address, Fault, Target};
use super::grid::{Grid, Line as Row, column_name};
use crate::ground::source::Source;
use crate::record::kinds::TestKind;
use crate::record::schema::{Kind, Section};
use crate::syntax::line::{Class, lines};
use std::collections::BTreeSet;

/// Text with the number of the row that each of its lines came of.
#[derive(Clone, Debug, Default)]
pub struct Lines {
    pub text: String,
    pub of: Vec<Option<usize>>,
    pub faults: Faults,
}

/// The columns of a table.
pub struct Columns {
    /// `None` where a column is left out.
    all: Vec<Option<Address>>,
    decimal_comma: bool,
}

impl Columns {
    /// What the cells of a heading say; a column without a heading is left out, unless it holds something.
    ///
    /// # Errors
    /// Every heading that is not understood.
    pub fn of(
        head: &Row,
        grid: &Grid,
        address: impl Fn(&str) -> Result<Address, Fault>,
    ) -> Result<Self, Faults> {
        let (mut all, mut faults) = (Vec::new(), Vec::new());
        for (index, heading) in head.cells.iter().enumerate() {
            let named = |told: String| format!("column {}: {told}", column_name(index));
            if heading.is_empty() {
                let rows = grid.lines.iter().filter(|row| row.number > head.number);
                if rows.into_iter().any(|row| !row.cell(index).is_empty()) {
                    faults.push(named("it has no heading".to_owned()));
                }
                all.push(None);
                continue;
            }
            match address(heading) {
                Ok(address) => all.push(Some(address)),
                Err(fault) => {
                    faults.push(named(fault.told()));
                    all.push(None);
                }
            }
        }
        let widest = grid.lines.iter().map(|row| row.cells.len()).max();
        if widest.unwrap_or_default() > head.cells.len() {
            faults.push(format!(
                "a row has more cells than row {}, the heading",
                head.number
            ));
        }
        let columns = Self {
            all,
            decimal_comma: grid.decimal_comma,
        };
        columns.twice(&mut faults);
        match faults.is_empty() {
            true => Ok(columns),
            false => Err(faults),
        }
    }

    /// Columns by their places.
    pub fn given(all: Vec<Option<Address>>, decimal_comma: bool) -> Result<Self, Faults> {
        let columns = Self { all, decimal_comma };
        let mut faults = Vec::new();
        columns.twice(&mut faults);
        match faults.is_empty() {
            true => Ok(columns),
            false => Err(faults),
        }
    }

    fn twice(&self, faults: &mut Faults) {
        let mut seen: Vec<(String, usize)> = Vec::new();
        for (index, address) in self.named() {
            let section = address.section().map_or("", |section| section.name);
            let word = match address.target {
                Target::Key(_, key) => key.word,
                Target::Cell(_, column) => column.word,
                Target::Id | Target::Day | Target::Core | Target::On => &address.word(),
            };
            // A key and a column of one word are two things.
            let is_cell = matches!(address.target, Target::Cell(..));
            let name = format!("{section} {word} {is_cell}");
            match seen.iter().find(|(known, _)| *known == name) {
                Some((_, first)) => faults.push(format!(
                    "columns {} and {} say the same: `{word}`",
                    column_name(*first),
                    column_name(index)
                )),
                None => seen.push((name, index)),
            }
        }
    }

    pub fn named(&self) -> impl Iterator<Item = (usize, &Address)> {
        let all = self.all.iter().enumerate();
        all.filter_map(|(index, address)| Some((index, address.as_ref()?)))
    }

    /// The column of a kind that stands once.
    pub fn find(&self, is: impl Fn(&Target) -> bool) -> Option<usize> {
        let mut all = self.named();
        all.find(|(_, address)| is(&address.target))
            .map(|(index, _)| index)
    }

    /// Whether there is a column of a section.
    pub fn has(&self, is: impl Fn(&Section) -> bool) -> bool {
        self.named()
            .any(|(_, address)| address.section().is_some_and(&is))
    }

    /// The text of a cell as a record has it.
    fn text(&self, row: &Row, index: usize) -> Result<String, String> {
        let text = row.cell(index);
        let address = self.all.get(index).and_then(Option::as_ref);
        let Some(address) = address.filter(|address| address.holds_numbers()) else {
            return Ok(text.to_owned());
        };
        let told = |why: &str| {
            format!(
                "row {}, column {}: `{text}` {why}",
                row.number,
                column_name(index)
            )
        };
        let text = match (self.decimal_comma, text.contains(','), text.contains('.')) {
            (true, true, true) | (true, false, true) => {
                return Err(told("has a point, and numbers were said to have a comma"));
            }
            (true, true, false) if text.matches(',').count() == 1 => text.replace(',', "."),
            (true, true, false) => return Err(told("has more than one comma")),
            (false, true, _) => {
                return Err(told(
                    "has a comma; say --decimal-comma where it parts the decimals",
                ));
            }
            (_, false, _) => text.to_owned(),
        };
        let per_cent = text.strip_suffix('%').map(str::trim_end);
        match (per_cent, address.unit.as_deref()) {
            (Some(number), Some("%")) => Ok(number.to_owned()),
            (Some(_), Some(unit)) => {
                Err(told(&format!("is a per cent, and its column is in {unit}")))
            }
            _ => Ok(text),
        }
    }
}

impl Address {
    pub fn section(&self) -> Option<&'static Section> {
        match self.target {
            Target::Key(section, _) | Target::Cell(section, _) => Some(section),
            Target::Id | Target::Day | Target::Core | Target::On => None,
        }
    }
}

impl Lines {
    pub fn push(&mut self, line: &str, of: Option<usize>) {
        self.text.push_str(line);
        self.text.push('\n');
        self.of.push(of);
    }

    /// A blank line and an opening one.
    pub fn open(&mut self, section: &str, argument: &str) {
        self.push("", None);
        let parted = if argument.is_empty() { "" } else { " " };
        self.push(&format!("[{section}{parted}{argument}]"), None);
    }

    /// The fields of a section, each once: rows that write one agree about it, unless it may repeat.
    pub fn fields(&mut self, section: &Section, columns: &Columns, rows: &[&Row]) {
        for (index, address) in columns.named() {
            let Target::Key(of, key) = address.target else {
                continue;
            };
            if of.name != section.name {
                continue;
            }
            let mut said: Vec<(String, usize)> = Vec::new();
            for row in rows.iter().filter(|row| !row.cell(index).is_empty()) {
                match columns.text(row, index) {
                    Ok(text) if said.iter().any(|(known, _)| *known == text) => {}
                    Ok(text) => said.push((text, row.number)),
                    Err(told) => self.faults.push(told),
                }
            }
            if let ([(_, one), (_, other), ..], false) = (said.as_slice(), key.repeat) {
                self.faults.push(format!(
                    "rows {one} and {other} disagree about `{}` of [{}]",
                    key.word, section.name
                ));
                continue;
            }
            for (text, row) in said {
                let unit = address
                    .unit
                    .as_deref()
                    .map_or(String::new(), |unit| format!(" {unit}"));
                let line = format!("{}: {text}{unit}", key.word);
                self.checked(&line, row, |class| matches!(class, Class::Field { .. }));
            }
        }
    }

    /// A table of a section: what names its rows first.
    pub fn table(
        &mut self,
        section: &Section,
        namer: Option<(&str, usize)>,
        columns: &Columns,
        rows: &[&Row],
    ) {
        let own: Vec<(usize, &Address)> = columns
            .named()
            .filter(|(_, address)| {
                matches!(address.target, Target::Cell(of, _) if of.name == section.name)
            })
            .collect();
        // A column in which nothing stands is none.
        let is_used = |index: usize| rows.iter().any(|row| !row.cell(index).is_empty());
        let own: Vec<(usize, &Address)> = own
            .into_iter()
            .filter(|(index, _)| is_used(*index))
            .collect();
        if own.is_empty() {
            return;
        }
        let heads = own.iter().map(|(_, address)| address.word());
        let heads: Vec<String> = namer
            .iter()
            .map(|(word, _)| (*word).to_owned())
            .chain(heads)
            .collect();
        // Numbers are parted by blanks, texts with blanks in them by a mark.
        let places = || {
            let own = own.iter().map(|(index, _)| *index);
            namer.iter().map(|(_, index)| *index).chain(own)
        };
        let is_bare = |row: &&Row| places().all(|index| !row.cell(index).contains([' ', '\t']));
        let mark = if rows.iter().all(is_bare) && heads.iter().all(|head| !head.contains(' ')) {
            "  "
        } else {
            " | "
        };
        self.push(&heads.join(mark), None);
        for row in rows {
            let mut cells = Vec::new();
            for index in namer
                .iter()
                .map(|(_, index)| *index)
                .chain(own.iter().map(|(index, _)| *index))
            {
                match columns.text(row, index) {
                    Ok(text) if text.is_empty() => cells.push("-".to_owned()),
                    Ok(text) if text.contains('|') => {
                        let name = column_name(index);
                        self.faults.push(format!(
                            "row {}, column {name}: `|` parts cells in a record",
                            row.number
                        ));
                    }
                    Ok(text) => cells.push(text),
                    Err(told) => self.faults.push(told),
                }
            }
            let line = cells.join(mark);
            let is_row = |class| matches!(class, Class::Row | Class::Text | Class::Heading);
            self.checked(&line, row.number, is_row);
        }
    }

    /// A line that a record reads as what it is meant for.
    fn checked(&mut self, line: &str, row: usize, is_meant: impl Fn(Class) -> bool) {
        let (source, told) = Source::new("", line.as_bytes());
        let read = lines(&source);
        let is_one = match read.as_slice() {
            [one] => one.remark.is_none() && is_meant(one.class(&source)),
            _ => false,
        };
        match is_one && told.is_empty() && !line.contains(['\n', '\r']) {
            true => self.push(line, Some(row)),
            false => self.faults.push(format!(
                "row {row}: a record cannot hold this as it stands: {line}"
            )),
        }
    }

    /// The tests of a visit, in the order of their columns, which is that of the work.
    pub fn tests(&mut self, columns: &Columns, rows: &[&Row]) {
        let sections = columns.named().filter_map(|(_, address)| address.section());
        let mut seen = BTreeSet::new();
        let kinds = sections.filter_map(|section| TestKind::of(section.name));
        for kind in kinds.filter(|kind| seen.insert(*kind)) {
            self.test(kind, columns, rows);
        }
    }

    /// A test: one section; of one whose rows name no pair a section for each pair.
    fn test(&mut self, kind: TestKind, columns: &Columns, rows: &[&Row]) {
        let section = kind.schema();
        let own: Vec<usize> = columns
            .named()
            .filter(|(_, address)| address.section().is_some_and(|of| of.name == section.name))
            .map(|(index, _)| index)
            .collect();
        let is_written = |row: &&&Row| own.iter().any(|index| !row.cell(*index).is_empty());
        let rows: Vec<&Row> = rows.iter().filter(is_written).copied().collect();
        if rows.is_empty() {
            return;
        }
        let names = section
            .columns
            .iter()
            .find(|column| matches!(column.kind, Kind::Pair | Kind::Core | Kind::Between));
        let (on, core) = (
            columns.find(|of| matches!(of, Target::On)),
            columns.find(|of| matches!(of, Target::Core)),
        );
        let named = match names.map(|column| column.kind) {
            Some(Kind::Pair) => Some((on, "on")),
            Some(Kind::Core) => Some((core, "core")),
            _ => None,
        };
        if let Some((at, word)) = named {
            let namer = at.filter(|at| {
                let bare = rows.iter().filter(|row| row.cell(*at).is_empty());
                let bare: Vec<String> = bare.map(|row| row.number.to_string()).collect();
                if !bare.is_empty() {
                    self.faults.push(format!(
                        "row {}: [{}] is of a {word}, and `{word}` is empty",
                        bare.join(", "),
                        section.name
                    ));
                }
                true
            });
            let Some(namer) = namer else {
                self.faults
                    .push(format!("[{}] needs a column `{word}`", section.name));
                return;
            };
            self.open(section.name, "");
            self.fields(section, columns, &rows);
            self.table(section, Some((word, namer)), columns, &rows);
            return;
        }
        // What opens no winding's circuit is of the unit or the instrument.
        let is_of_pairs = names.is_none() && kind.opens();
        let mut groups: Vec<(&str, Vec<&Row>)> = Vec::new();
        for row in rows {
            let pair = on.filter(|_| is_of_pairs).map_or("", |on| row.cell(on));
            match groups.iter_mut().find(|(of, _)| *of == pair) {
                Some((_, rows)) => rows.push(row),
                None => groups.push((pair, vec![row])),
            }
        }
        for (pair, rows) in groups {
            self.open(section.name, pair);
            self.fields(section, columns, &rows);
            self.table(section, None, columns, &rows);
        }
    }
}
