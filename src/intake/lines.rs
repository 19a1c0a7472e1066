//! Lines of a record made of rows of a table, each knowing the row that it came of. A line that a record would not read as
//! what it is meant for is a fault.

use super::Faults;
use super::address::{Address, Fault, STAGE, Target};
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
}

/// The same on its way, with what stands against it.
#[derive(Debug, Default)]
pub struct Draft {
    lines: Lines,
    pub faults: Faults,
    /// Whether a test has a reading.
    pub has_tests: bool,
}

/// The columns of a table.
pub struct Columns {
    /// `None` where a column is left out.
    all: Vec<Option<Address>>,
    decimal_comma: bool,
}

impl Columns {
    /// What the cells of a heading say. A column without a heading holds nothing; one that is not known is a fault, unless
    /// it may be `left` out.
    ///
    /// # Errors
    /// Every heading that is not understood.
    pub fn of(
        head: &Row,
        grid: &Grid,
        address: impl Fn(&str) -> Result<Address, Fault>,
        mut left: Option<&mut Vec<String>>,
    ) -> Result<Self, Faults> {
        let (mut all, mut faults) = (Vec::new(), Vec::new());
        let below = || grid.lines.iter().filter(|row| row.number > head.number);
        let widest = below().map(|row| row.cells.len()).max();
        for index in 0..head.cells.len().max(widest.unwrap_or_default()) {
            let heading = head.cell(index);
            let named = |told: String| format!("column {}: {told}", column_name(index));
            let own = match (address(heading), left.as_deref_mut()) {
                _ if heading.is_empty() => {
                    let held = below().find(|row| !row.cell(index).is_empty());
                    faults.extend(held.map(|row| {
                        let row = row.number;
                        named(format!(
                            "it has no heading, and row {row} has something in it"
                        ))
                    }));
                    None
                }
                (Ok(address), _) => Some(address),
                (Err(Fault::Unknown(told)), Some(left)) => {
                    left.push(format!("column {} is left out: {told}", column_name(index)));
                    None
                }
                (Err(fault), _) => {
                    faults.push(named(fault.told()));
                    None
                }
            };
            all.push(own);
        }
        match Self::given(all, grid.decimal_comma) {
            Ok(columns) if faults.is_empty() => Ok(columns),
            made => {
                faults.extend(made.err().into_iter().flatten());
                Err(faults)
            }
        }
    }

    /// Columns by their places.
    ///
    /// # Errors
    /// Those that say the same.
    pub fn given(all: Vec<Option<Address>>, decimal_comma: bool) -> Result<Self, Faults> {
        let columns = Self { all, decimal_comma };
        let mut seen: Vec<(String, usize)> = Vec::new();
        let mut faults = Vec::new();
        for (index, address) in columns.named() {
            let section = address.section().map_or("", |section| section.name);
            let unit = address.unit.as_deref().unwrap_or("");
            // With other units it may be that of other rows.
            let stage = address.stage.unwrap_or_default();
            let name = format!("{section} {stage} {} {unit}", address.word());
            match seen.iter().find(|(known, _)| *known == name) {
                Some((_, first)) => faults.push(twice(*first, index, address)),
                None => seen.push((name, index)),
            }
        }
        faults.extend(columns.staged_twice());
        match faults.is_empty() {
            true => Ok(columns),
            false => Err(faults),
        }
    }

    /// A column that states the stage of a test beside one whose heading does.
    fn staged_twice(&self) -> impl Iterator<Item = String> {
        let stated = self
            .named()
            .filter_map(|(index, address)| match address.target {
                Target::Key(section, key) if key.word == STAGE => Some((index, section)),
                _ => None,
            });
        stated.filter_map(|(index, section)| {
            let is_own = |of: &Section| of.name == section.name;
            let is_headed =
                |of: &Address| of.stage.is_some() && of.section().is_some_and(is_own);
            let (headed, _) = self.named().find(|(_, of)| is_headed(of))?;
            let (one, other) = (column_name(index), column_name(headed));
            Some(format!(
                "columns {one} and {other} both say the stage of [{}]; leave column {one} out, and name the stage in the headings",
                section.name
            ))
        })
    }

    /// Those of one section and stage, and what is of no section.
    fn of_test(&self, section: &Section, stage: Option<&str>) -> Self {
        let is_own = |address: &Address| match address.section() {
            Some(of) => of.name == section.name && address.stage == stage,
            None => true,
        };
        let all = self.all.iter();
        let all = all.map(|address| address.clone().filter(is_own));
        Self {
            all: all.collect(),
            decimal_comma: self.decimal_comma,
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
    pub fn text(&self, row: &Row, index: usize) -> Result<String, String> {
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

fn twice(first: usize, second: usize, address: &Address) -> String {
    format!(
        "columns {} and {} say the same: `{}`",
        column_name(first),
        column_name(second),
        address.bare()
    )
}

impl Draft {
    /// The lines, if nothing stands against them.
    ///
    /// # Errors
    /// Everything that does.
    pub fn done(self) -> Result<Lines, Faults> {
        match self.faults.is_empty() {
            true => Ok(self.lines),
            false => Err(self.faults),
        }
    }

    /// A line of our own.
    pub fn push(&mut self, line: &str, of: Option<usize>) {
        self.lines.text.push_str(line);
        self.lines.text.push('\n');
        self.lines.of.push(of);
    }

    /// A `key: value` of others.
    pub fn field(&mut self, line: &str, row: Option<usize>) {
        self.checked(line, row, |class| matches!(class, Class::Field { .. }));
    }

    /// A blank line and an opening one.
    pub fn open(&mut self, section: &str, argument: &str) {
        self.push("", None);
        let parted = if argument.is_empty() { "" } else { " " };
        let line = format!("[{section}{parted}{argument}]");
        match argument.contains(['[', ']']) {
            true => self.faults.push(cannot_hold(&line, None)),
            false => self.checked(&line, None, |class| matches!(class, Class::Open)),
        }
    }

    /// The same of a test, with its stage where a heading names it.
    fn open_test(&mut self, section: &str, argument: &str, stage: Option<&str>) {
        self.open(section, argument);
        if let Some(stage) = stage {
            self.push(&format!("{STAGE}: {stage}"), None);
        }
    }

    /// The fields of a section, each once: rows that write one agree about it, unless it may repeat.
    pub fn fields(&mut self, section: &Section, columns: &Columns, rows: &[&Row]) {
        let mut written: Vec<(&str, usize)> = Vec::new();
        for (index, address) in columns.named() {
            let Target::Key(of, key) = address.target else {
                continue;
            };
            if of.name != section.name || rows.iter().all(|row| row.cell(index).is_empty()) {
                continue;
            }
            match written.iter().find(|(word, _)| *word == key.word) {
                Some((_, first)) => self.faults.push(twice(*first, index, address)),
                None => written.push((key.word, index)),
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
                let name = section.name;
                let next = match key.word {
                    STAGE => {
                        format!("give each stage columns of its own, headed `{name} as left ...`")
                    }
                    _ => "bring one of them in by itself".to_owned(),
                };
                self.faults.push(format!(
                    "rows {one} and {other} disagree about `{}` of [{name}], which a section has once; {next}",
                    key.word
                ));
                continue;
            }
            for (text, row) in said {
                let unit = address
                    .unit
                    .as_deref()
                    .map_or(String::new(), |unit| format!(" {unit}"));
                self.field(&format!("{}: {text}{unit}", key.word), Some(row));
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
        for (at, (index, address)) in own.iter().enumerate() {
            let before = own.iter().take(at);
            let same = before
                .into_iter()
                .find(|(_, one)| one.bare() == address.bare());
            self.faults
                .extend(same.map(|(first, _)| twice(*first, *index, address)));
        }
        // A row that only writes a key is no row of the table.
        let is_row = |row: &&&Row| own.iter().any(|(index, _)| !row.cell(*index).is_empty());
        let rows: Vec<&Row> = rows.iter().filter(is_row).copied().collect();
        if own.is_empty() || rows.is_empty() {
            return;
        }
        let heads = own.iter().map(|(_, address)| address.word());
        let heads: Vec<String> = namer
            .iter()
            .map(|(word, _)| (*word).to_owned())
            .chain(heads)
            .collect();
        // Numbers are parted by blanks, words by a mark.
        let places = || {
            let own = own.iter().map(|(index, _)| *index);
            namer.iter().map(|(_, index)| *index).chain(own)
        };
        let is_bare = |row: &&Row| places().all(|index| !row.cell(index).contains([' ', '\t']));
        let is_of_numbers = own.iter().all(|(_, address)| address.holds_numbers());
        let mark = match is_of_numbers && rows.iter().all(is_bare) {
            true => "  ",
            false => " | ",
        };
        self.push(&heads.join(mark), None);
        for row in &rows {
            let (mut cells, known) = (Vec::new(), self.faults.len());
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
            if self.faults.len() > known {
                continue;
            }
            let line = cells.join(mark);
            let is_row = |class| matches!(class, Class::Row | Class::Text | Class::Heading);
            self.checked(&line, Some(row.number), is_row);
        }
    }

    /// A line that a record reads as what it is meant for.
    fn checked(&mut self, line: &str, row: Option<usize>, is_meant: impl Fn(Class) -> bool) {
        let (source, told) = Source::new("", line.as_bytes());
        let read = lines(&source);
        let is_one = match read.as_slice() {
            [one] => one.remark.is_none() && is_meant(one.class(&source)),
            _ => false,
        };
        match is_one && told.is_empty() && !line.contains(['\n', '\r']) {
            true => self.push(line, row),
            false => self.faults.push(cannot_hold(line, row)),
        }
    }

    /// The tests of a visit, in the order of their columns, which is that of the work.
    pub fn tests(&mut self, columns: &Columns, rows: &[&Row]) {
        let tests = columns.named().filter_map(|(_, address)| {
            let kind = TestKind::of(address.section()?.name)?;
            Some((kind, address.stage))
        });
        let mut seen = BTreeSet::new();
        for (kind, stage) in tests.filter(|test| seen.insert(*test)) {
            let own = columns.of_test(kind.schema(), stage);
            self.test((kind, stage), &own, rows);
        }
    }

    /// A test of one stage: one section; of one whose rows name no pair a section for each pair.
    fn test(&mut self, (kind, stage): (TestKind, Option<&str>), columns: &Columns, rows: &[&Row]) {
        let section = kind.schema();
        let own: Vec<usize> = columns
            .named()
            .filter(|(_, address)| address.section().is_some_and(|of| of.name == section.name))
            .map(|(index, _)| index)
            .collect();
        // What names a row, or is set beforehand, is no reading yet: a sheet that waits has it too.
        let is_reading = |address: &Address| match address.target {
            Target::Cell(_, column) => {
                !column.set && !matches!(column.kind, Kind::Pair | Kind::Core | Kind::Between)
            }
            Target::Key(..) => true,
            Target::Id | Target::Day | Target::Core | Target::On => false,
        };
        let read: Vec<usize> = columns
            .named()
            .filter(|(index, address)| own.contains(index) && is_reading(address))
            .map(|(index, _)| index)
            .collect();
        let is_written = |row: &&&Row| read.iter().any(|index| !row.cell(*index).is_empty());
        let rows: Vec<&Row> = rows.iter().filter(is_written).copied().collect();
        if rows.is_empty() {
            return;
        }
        self.has_tests = true;
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
        let cells: Vec<usize> = columns
            .named()
            .filter(|(_, address)| {
                matches!(address.target, Target::Cell(of, _) if of.name == section.name)
            })
            .map(|(index, _)| index)
            .collect();
        let is_in_table = |row: &Row| cells.iter().any(|index| !row.cell(*index).is_empty());
        if let Some((at, word)) = named {
            let namer = at.filter(|at| {
                let bare = rows
                    .iter()
                    .filter(|row| row.cell(*at).is_empty() && is_in_table(row));
                let bare: Vec<String> = bare.map(|row| row.number.to_string()).collect();
                if !bare.is_empty() {
                    let what = if word == "on" { "pair" } else { word };
                    self.faults.push(format!(
                        "row {}: a row of [{}] is of a {what}, and `{word}` is empty",
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
            self.open_test(section.name, "", stage);
            self.fields(section, columns, &rows);
            self.table(section, Some((word, namer)), columns, &rows);
            return;
        }
        // What opens no winding's circuit is of the unit or the instrument.
        let is_of_pairs = names.is_none() && kind.opens();
        if let Some(on) = on.filter(|_| is_of_pairs) {
            let bare = rows.iter().filter(|row| row.cell(on).is_empty());
            let bare: Vec<String> = bare.map(|row| row.number.to_string()).collect();
            if !bare.is_empty() && bare.len() < rows.len() {
                self.faults.push(format!(
                    "row {}: other rows of [{}] name a pair, and `on` is empty",
                    bare.join(", "),
                    section.name
                ));
            }
        }
        let mut groups: Vec<(&str, Vec<&Row>)> = Vec::new();
        for row in rows {
            let pair = on.filter(|_| is_of_pairs).map_or("", |on| row.cell(on));
            match groups.iter_mut().find(|(of, _)| *of == pair) {
                Some((_, rows)) => rows.push(row),
                None => groups.push((pair, vec![row])),
            }
        }
        for (pair, rows) in groups {
            self.open_test(section.name, pair, stage);
            self.fields(section, columns, &rows);
            self.table(section, None, columns, &rows);
        }
    }
}

fn cannot_hold(line: &str, row: Option<usize>) -> String {
    let at = row.map_or(String::new(), |row| format!("row {row}: "));
    format!("{at}a record cannot hold this as it stands: {line}")
}
