//! The table of a CT: what plate, standard and circuit ask, and what was shown of it. One row for each
//! requirement, core by core; what nobody asked for or tested closes it. Taps that only have to have their
//! ratio are a table of their own.

use super::Ctx;
use super::history::{FAR, change};
use super::values::letter;
use crate::compare::history;
use crate::derive::history::By;
use crate::document::{
    Align, Block, Cell, Column, Grade, Inline, NO_BREAK, Part, Phrase, Row, Table, Text, joined,
    say,
};
use crate::judge::condition::Condition;
use crate::judge::finding::Finding;
use crate::judge::requirement::Standing;
use crate::judge::rules::{self, Rule, Whose};
use crate::judge::standing::Told;
use crate::judge::words;
use crate::record::alike::none_like;
use crate::record::kinds::TestKind;
use crate::report::rows::{Aside, Row as Required};
use crate::trade::Pair;
use std::collections::BTreeSet;

const HEADS: &[&str] = &[
    "Required",
    "Limit",
    "Found",
    "Shown",
    "Certificate",
    "Last visit",
    "Sisters",
];

/// Limits by their letters, as they are gathered: a letter means one limit on a page.
#[derive(Default)]
struct Limits {
    all: Vec<Text>,
    /// Those that the table at hand names.
    named: BTreeSet<usize>,
}

impl Limits {
    fn letter(&mut self, source: Text) -> String {
        let known = self.all.iter().position(|known| *known == source);
        let index = known.unwrap_or_else(|| {
            self.all.push(source);
            self.all.len() - 1
        });
        self.named.insert(index);
        letter(index)
    }

    /// Those of the table that ends here.
    fn phrase(&mut self) -> Text {
        let mut limits = Text::default();
        for index in std::mem::take(&mut self.named) {
            let between = if limits.is_empty() { "Limits: " } else { "; " };
            let front = format!("{between}({}) ", letter(index));
            let source = self.all.get(index).cloned();
            limits = limits.plain(front).join(source.unwrap_or_default());
        }
        limits
    }
}

impl Ctx<'_> {
    /// The whole table, and that of the taps.
    pub(super) fn required(&self) -> Vec<Block> {
        let rows = &self.subject.rows;
        let (told, quiet): (Vec<&Required>, Vec<&Required>) =
            rows.iter().partition(|row| row.is_told());
        let (taps, told): (Vec<&Required>, Vec<&Required>) =
            told.into_iter().partition(|row| self.is_of_taps(row));
        let mut limits = Limits::default();
        let mut table = Table::grid(HEADS, Vec::new()).named("grid required stack");
        let mut of = None;
        for row in &told {
            if of != Some(row.core) {
                table.rows.push(Row::Group(self.group(row.core)));
                of = Some(row.core);
            }
            let alike: Vec<&Required> = told
                .iter()
                .copied()
                .filter(|other| are_untested_alike(row, other))
                .collect();
            // What one reason leaves out of a core is said once.
            match alike.first() {
                Some(first) if first.key != row.key => continue,
                _ => {}
            }
            let mut cells = self.cells(row, &mut limits);
            if let (Some(name), true) = (cells.first_mut(), alike.len() > 1) {
                let names = alike.iter().map(|row| self.name(row).letters());
                *name = joined(names.map(Some), "; ").into();
            }
            table.rows.push(Row::Cells(cells));
        }
        table.rows.extend(self.quiet(&quiet));
        if table.rows.is_empty() {
            return Vec::new();
        }
        let mut blocks = vec![Block::Table(table.without_empty_columns())];
        let notes = [limits.phrase(), beside(&told), self.not_compared()].into_iter();
        let mut notes = notes.filter(|note| !note.is_empty());
        if let Some(first) = notes.next() {
            let all = notes.fold(first, |said, note| said.plain(". ").join(note));
            blocks.push(Block::Note(all.plain(".")));
        }
        blocks.extend(self.drifts(&told));
        blocks.extend(self.taps(&taps, &mut limits));
        super::chapter("Required and shown", blocks)
    }

    /// The units of the same place, and their cores, that no value is held against, and why.
    fn not_compared(&self) -> Text {
        let apart = self.subject.apart.iter();
        let units = apart.filter_map(|unit| Some((unit.id.clone(), unit.apart?)));
        let cores = self.subject.sisters.iter().flat_map(|unit| {
            let all = self.record.cores.iter();
            let unlike = all.filter_map(|core| Some((core, none_like(core, &unit.record.cores)?)));
            unlike.map(|(core, why)| (format!("{} of {}", core.name, unit.id), why))
        });
        let all: Vec<String> = units
            .chain(cores)
            .map(|(what, why)| format!("{what} ({why})"))
            .collect();
        match all.is_empty() {
            true => Text::default(),
            false => format!("Not compared: {}", all.join(", ")).into(),
        }
    }

    /// The head of a core's rows: its plate, and the pair that serves.
    fn group(&self, core: Option<usize>) -> Text {
        let Some((index, core)) = core.and_then(|at| Some((at, self.record.cores.get(at)?))) else {
            return Text::strong("The unit as a whole");
        };
        let served = self.in_service(index);
        let plate = self.plate_line(index, Some(self.main_pair(index)));
        let served = served.map(|pair| format!("{} in service", self.record.pair_text(pair)));
        let said = joined([Some(plate), served], "; ");
        Text::strong(core.name.as_str()).plain(format!(": {said}"))
    }

    fn cells(&self, row: &Required, limits: &mut Limits) -> Vec<Cell> {
        let mut word = Text::word(row.grade, row.word);
        if let Some(visit) = row.earlier.and_then(|visit| self.record.visits.get(visit)) {
            word = word.under(format!("visit {}", visit.name()));
        }
        let mut cells: Vec<Cell> = vec![
            self.name(row).into(),
            self.bound(row, limits).into(),
            self.found(row).into(),
            word.into(),
        ];
        let before = [&row.beside.factory, &row.beside.last];
        cells.extend(before.map(|before| Cell::from(self.before(before.as_ref()))));
        cells.push(self.aside(row.beside.sisters.as_ref()));
        cells
    }

    /// `exciting current at 300 V`; the pair where it is not the one that the head names; how insulation
    /// was tested; whose it is where that is the circuit's and the title does not say so.
    fn name(&self, row: &Required) -> Text {
        let circuit = row.whose == Whose::Circuit && !row.title.to_string().contains("circuit");
        let mut name = Text::default();
        if circuit {
            name = name.and(Inline::Emphasis("circuit:".to_owned())).plain(" ");
        }
        name = name.join(self.phrase(&row.full_name()));
        let other = row
            .pair
            .filter(|pair| pair.ascending() != self.main_pair(pair.core));
        match other {
            Some(pair) => name.plain(format!(", {}", self.record.pair_text(pair))),
            None => name,
        }
    }

    /// The limit with its clause: by a word where plate or duty state it, by a letter else.
    fn bound(&self, row: &Required, limits: &mut Limits) -> Text {
        if row.limit.is_empty() {
            return Text::default();
        }
        let cited = row.source.parts().iter().find_map(|part| match part {
            Part::Cited { row, .. } => Some(row.as_str()),
            _ => None,
        });
        let by = match cited {
            Some(row) if row.starts_with("plate-") => "plate".to_owned(),
            Some(row) if row.starts_with("duty-") => "duty".to_owned(),
            _ => limits.letter(self.phrase(&row.source)),
        };
        self.phrase(&row.limit).plain(format!(" ({by})"))
    }

    /// The value, with what stands against it or is missing below.
    fn found(&self, row: &Required) -> Text {
        // Where a reason is given, the name says enough of what was left out.
        let needs = row.needs.filter(|_| !is_untested(row));
        let needs = needs.map(|needs| say!("needs {}", needs));
        let besides = [row.also.clone(), row.why.clone()].into_iter();
        let besides = besides.filter(|said| !said.is_empty());
        let why = Phrase::join(besides.chain(needs), "; ");
        if row.found.is_empty() {
            return self.phrase(&why);
        }
        let mut found = self.phrase(&row.found);
        if let Some(link) = row.step.and_then(|step| self.link_of(step)) {
            found = found.plain(" ").and(link);
        }
        found.under(self.phrase(&why).letters())
    }

    /// By how much it is off the sisters; their median where no share says it.
    fn aside(&self, aside: Option<&Aside>) -> Cell {
        let Some(aside) = aside else {
            return Cell::Empty;
        };
        match aside.off {
            Some(off) if off.abs() < FAR => format!("Δ{NO_BREAK}{}", self.off(off)).into(),
            _ => self.pen.quantity(&aside.value).into(),
        }
    }

    /// What is neither due nor tested, each thing once with all that lack it.
    fn quiet(&self, rows: &[&Required]) -> Vec<Row> {
        let why = |row: &Required| match row.needs {
            Some(needs) => say!("needs {}", needs),
            None => row.why.clone(),
        };
        let mut groups: Vec<(&Required, Vec<Phrase>)> = Vec::new();
        for row in rows {
            let same = |(first, _): &&mut (&Required, Vec<Phrase>)| {
                first.title == row.title && why(first) == why(row)
            };
            match groups.iter_mut().find(same) {
                Some((_, subjects)) => subjects.push(row.subject.clone()),
                None => groups.push((row, vec![row.subject.clone()])),
            }
        }
        let head = "Not asked for at this visit, and not shown";
        let head = (!groups.is_empty()).then(|| Row::Group(Text::strong(head)));
        let line = |(row, subjects): (&Required, Vec<Phrase>)| {
            let subjects = Phrase::list(subjects, ", ", " and ");
            let said = say!("{} of {}: {}", row.title.clone(), subjects, why(row));
            Row::Group(self.phrase(&said))
        };
        let lines = groups.into_iter().map(line);
        head.into_iter().chain(lines).collect()
    }

    /// Whether a row is the ratio of a tap beside the one that serves, with nothing against it.
    fn is_of_taps(&self, row: &Required) -> bool {
        let beside = |pair: Pair| {
            let core = self.record.cores.get(pair.core);
            let full = core.is_some_and(|core| core.is_full(pair));
            !full && self.in_service(pair.core) != Some(pair.ascending())
        };
        let decided = row.grade != Grade::Open && row.earlier.is_none();
        row.kind == TestKind::Ratio && decided && row.pair.is_some_and(beside)
    }

    /// Ratio, resistance and polarity tap by tap.
    fn taps(&self, rows: &[&Required], limits: &mut Limits) -> Vec<Block> {
        let mut line = |row: &&Required| {
            let pair = row.pair?;
            let by = |rule: &'static Rule| {
                let own = |one: &&Finding| one.rule == rule && one.pair == Some(pair);
                let mut all = self.claims.standing().map(|told| &**told);
                let found = all.find(own);
                let found = found.map(|one| self.phrase(&self.found_of(one)));
                Cell::from(found.unwrap_or_default())
            };
            let resistance = by(&rules::resistance::WINDING_RESISTANCE);
            let polarity = by(&rules::polarity::POLARITY);
            Some(vec![
                Cell::from(self.record.pair_text(pair)),
                self.plate_line(pair.core, Some(pair)).into(),
                self.bound(row, limits).into(),
                self.found(row).into(),
                Text::word(row.grade, row.word).into(),
                self.aside(row.beside.sisters.as_ref()),
                resistance,
                polarity,
            ])
        };
        let lines: Vec<Vec<Cell>> = rows.iter().filter_map(&mut line).collect();
        if lines.is_empty() {
            return Vec::new();
        }
        let heads = [
            "Tap",
            "Plate",
            "Limit of the ratio",
            "Ratio",
            "Shown",
            "Sisters",
            "Resistance",
            "Polarity",
        ];
        let table = Table::grid(&heads, lines).named("grid taps");
        let mut blocks = vec![
            Block::heading(2, "Taps"),
            Block::Table(table.without_empty_columns()),
        ];
        let limits = limits.phrase();
        if !limits.is_empty() {
            blocks.push(Block::Note(limits.plain(".")));
        }
        blocks
    }

    /// Ratio error by current: currents down, burdens across, in each position of the primary links or at each input by
    /// itself, each with its phase.
    pub(super) fn by_current(&self) -> Vec<Block> {
        let mut pairs: Vec<Pair> = Vec::new();
        for one in self.claims.standing().filter(|one| error(one).is_some()) {
            let pair = one.pair.filter(|pair| !pairs.contains(pair));
            pairs.extend(pair);
        }
        let tables: Vec<Block> = pairs
            .into_iter()
            .map(|pair| Block::Table(self.matrix(pair)))
            .collect();
        super::chapter("Ratio by current", tables)
    }

    fn matrix(&self, pair: Pair) -> Table {
        let found = self.claims.standing();
        let found = found.filter(|one| one.pair == Some(pair));
        let found = found.filter_map(|one| {
            let name = error(one)?;
            let conditions = one.conditions.iter();
            let taken = conditions.filter(|one| {
                matches!(
                    one,
                    Condition::Burden(_) | Condition::BurdenOfMain(_) | Condition::Item(_)
                )
            });
            let taken = Phrase::join(taken.map(Condition::phrase), ", ");
            let current = one.conditions.iter().find_map(|one| match one {
                Condition::Percent(percent) => Some(*percent),
                _ => None,
            });
            Some((current, (taken, name), one))
        });
        let found: Vec<(Option<f64>, Errors, &Told<'_>)> = found.collect();
        let mut currents: Vec<f64> = Vec::new();
        let mut columns: Vec<&Errors> = Vec::new();
        for (current, column, _) in &found {
            currents.extend(current.filter(|current| !currents.contains(current)));
            if !columns.contains(&column) {
                columns.push(column);
            }
        }
        currents.sort_by(f64::total_cmp);
        let at = |current: f64, of: &Errors| {
            let mut all = found.iter();
            let own = all.find(|(at, column, _)| *at == Some(current) && column == of);
            own.map(|(.., one)| *one)
        };
        let mut names: Vec<&'static str> = Vec::new();
        for (_, name) in &columns {
            if !names.contains(name) {
                names.push(name);
            }
        }
        let mut heads: Vec<Text> = vec!["% of rated".into()];
        for (of, name) in &columns {
            let of = self.phrase(of).letters();
            heads.push(Text::from(*name).under(of));
        }
        heads.extend(
            names
                .iter()
                .map(|name| Text::from(format!("limit, {name}"))),
        );
        let line = |current: &f64| {
            let mut cells = vec![Cell::from(self.pen.mark(&current.to_string()))];
            for column in columns.iter().copied() {
                let one = at(*current, column);
                cells.push(one.map_or(Cell::Empty, |one| self.error_cell(one)));
            }
            for name in &names {
                let own = columns.iter().copied().filter(|(_, of)| of == name);
                let mut limited = own.filter_map(|column| at(*current, column));
                let limit = limited.find_map(|one| {
                    let limit = words::bound(one);
                    (!limit.is_empty()).then(|| self.phrase(&limit))
                });
                cells.push(limit.map_or(Cell::Empty, Cell::from));
            }
            cells
        };
        let mut table = Table::grid(&[], currents.iter().map(line).collect());
        table.columns = heads
            .into_iter()
            .map(|head| Column {
                head,
                align: Align::Right,
            })
            .collect();
        let name = self.core_name(pair.core);
        let mut all = found.iter();
        let below = match all.any(|(.., one)| self.since_certificate(one).is_some()) {
            true => {
                "; below an error: what changed since the maker's certificate, at the same current and burden"
            }
            false => "",
        };
        let caption = format!("{name}, {}{below}", self.record.pair_text(pair));
        table
            .captioned(caption)
            .named("grid by-current")
            .without_empty_columns()
    }

    /// An error, in the colour of its grade where it is not good; below it what changed since the maker's
    /// certificate.
    fn error_cell(&self, one: &Told<'_>) -> Cell {
        let said = self.phrase(&self.found_of(one));
        let said = match one.grade() >= Grade::Review {
            true => Text::word(one.grade(), said.letters()),
            false => said,
        };
        let since = self.since_certificate(one).map(|since| self.phrase(&since));
        let since = since.unwrap_or_default().letters();
        said.under(since).into()
    }

    /// What changed of an error since the maker's certificate, at the same current and burden.
    fn since_certificate(&self, one: &Told<'_>) -> Option<Phrase> {
        let (record, criteria) = (self.record, self.criteria);
        let past = history(record, self.assessment, criteria, one.visit, one).factory?;
        Some(change(&past.change?, one.unit))
    }

    fn found_of(&self, one: &Finding) -> Phrase {
        words::found(self.w, self.criteria, one)
    }
}

/// Whether the record says why it was not tested, and nothing was found.
fn is_untested(row: &Required) -> bool {
    let untested = Standing::NotTested(String::new()).word();
    row.word == untested && row.found.is_empty() && row.earlier.is_none()
}

/// Whether one reason left both of them out, on one core.
fn are_untested_alike(row: &Required, other: &Required) -> bool {
    let both = is_untested(row) && is_untested(other);
    both && row.core == other.core && row.whose == other.whose && row.why == other.why
}

/// A column of errors by current: what it was taken under, and the error's short name.
type Errors = (Phrase, &'static str);

/// The short name of an error that was read by current.
fn error(one: &Finding) -> Option<&'static str> {
    let names: [(&Rule, &'static str); 4] = [
        (&rules::ratio::RATIO_ERROR, "error"),
        (&rules::ratio::PHASE_DISPLACEMENT, "phase"),
        (&rules::ratio::RATIO_CORRECTION_FACTOR, "RCF"),
        (&rules::ratio::TRANSFORMER_CORRECTION_FACTOR, "TCF"),
    ];
    let own = names.into_iter().find(|(rule, _)| one.rule == *rule);
    own.filter(|_| one.value().is_some()).map(|(_, name)| name)
}

/// What the columns beside the values say, where there are any.
fn beside(rows: &[&Required]) -> Text {
    let has = |of: fn(&Required) -> bool| rows.iter().any(|row| of(row));
    let counts = || {
        rows.iter()
            .filter_map(|row| Some(row.beside.sisters.as_ref()?.of))
    };
    let sisters = counts().min().zip(counts().max()).map(|count| match count {
        (1, 1) => "the one sister of the same bay or set".to_owned(),
        (least, most) if least == most => format!("the median of {most} sisters of the same bay or set"),
        (least, most) => format!(
            "the median of {most} sisters of the same bay or set ({least} in places: what fails, is in doubt or has no value is left out)"
        ),
    });
    let parts = [
        has(|row| row.beside.factory.is_some()).then(|| "the maker's certificate".to_owned()),
        has(|row| row.beside.last.is_some()).then(|| "the last visit".to_owned()),
        sisters,
    ];
    let said = joined(parts, ", ");
    if said.is_empty() {
        return Text::default();
    }
    let said = format!(
        "Beside it, Δ: by how much the value is off {said}; without Δ: the value there, where the two cannot be compared or a share says nothing"
    );
    Text::from(said).plain(changes(rows))
}

/// How the changes since an earlier visit are told, where there are any.
fn changes(rows: &[&Required]) -> String {
    let all = || {
        let before = rows
            .iter()
            .flat_map(|row| [&row.beside.factory, &row.beside.last]);
        before.flatten().filter_map(|before| before.change.as_ref())
    };
    let by = |by: By| all().any(|change| change.by == by);
    let parts = [
        by(By::Difference).then_some("Δ of an error or an angle is the difference of the two"),
        by(By::Times).then_some(
            "× is how many times the earlier insulation resistance it is, at one temperature; less than double and more than half shows no change (common practice, no source)",
        ),
        all().any(|change| change.is_shown() == Some(false)).then_some(
            "no change shown: what there may be lies within the uncertainty of the two, in brackets",
        ),
        all().any(|change| change.u.is_none()).then_some(
            "U not known: without the uncertainty of both nothing is called a change",
        ),
    ];
    let said = joined(parts.map(|part| part.map(str::to_owned)), "; ");
    match said.is_empty() {
        true => said,
        false => format!("; {said}"),
    }
}
