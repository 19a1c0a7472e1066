//! A bay sheet: one table for several units, a row for each core or phase, columns by the words of a record.

use super::Faults;
use super::address::{Address, Target};
use super::grid::{Grid, Line as Row, column_name};
use super::lines::{Columns, Draft, Lines};
use crate::record::schema::{Kind, Section};
use crate::record::{Record, plate, visit};
use crate::trade::Item;
use crate::trade::between::between;

/// A sheet as read.
pub struct Sheet<'g> {
    columns: Columns,
    units: Vec<OfUnit<'g>>,
}

/// The rows of one unit.
pub struct OfUnit<'g> {
    pub id: String,
    /// The day that its rows state, as text.
    pub day: Option<String>,
    pub(super) rows: Vec<&'g Row>,
}

impl OfUnit<'_> {
    /// The first of its rows, as the file counts it.
    pub fn first_row(&self) -> usize {
        self.rows.first().map_or(0, |row| row.number)
    }
}

impl<'g> Sheet<'g> {
    /// Reads the heading, and puts the rows of each unit together.
    ///
    /// # Errors
    /// Everything that is wrong with them.
    pub fn of(grid: &'g Grid) -> Result<Self, Faults> {
        let Some((head, rows)) = grid.lines.split_first() else {
            return Err(vec!["the table is empty".to_owned()]);
        };
        let columns = Columns::of(head, grid, |heading| Address::of(heading, None), None)?;
        let id = columns.find(|of| {
            matches!(of, Target::Id) || matches!(of, Target::Key(section, key) if section.name == "ct" && key.word == "id")
        });
        let Some(id) = id else {
            return Err(vec![
                "the table has no column `id`, which says of which unit a row is".to_owned(),
            ]);
        };
        let mut units: Vec<OfUnit<'g>> = Vec::new();
        let mut faults = Vec::new();
        for row in rows {
            match row.cell(id) {
                "" => faults.push(format!("row {}: its `id` is empty", row.number)),
                own => match units.iter_mut().find(|unit| unit.id == own) {
                    Some(unit) => unit.rows.push(row),
                    None => units.push(OfUnit {
                        id: own.to_owned(),
                        day: None,
                        rows: vec![row],
                    }),
                },
            }
        }
        if let Some(day) = columns.find(|of| matches!(of, Target::Day)) {
            for unit in &mut units {
                let mut days = unit.rows.iter().filter(|row| !row.cell(day).is_empty());
                let Some(first) = days.next() else { continue };
                unit.day = Some(first.cell(day).to_owned());
                if let Some(other) = days.find(|row| row.cell(day) != first.cell(day)) {
                    faults.push(format!(
                        "rows {} and {} of {} are of two days",
                        first.number, other.number, unit.id
                    ));
                }
            }
        }
        if units.is_empty() && faults.is_empty() {
            faults.push("the table has no rows below its heading".to_owned());
        }
        match faults.is_empty() {
            true => Ok(Self { columns, units }),
            false => Err(faults),
        }
    }

    pub fn units(&self) -> &[OfUnit<'g>] {
        &self.units
    }

    pub(super) fn columns(&self) -> &Columns {
        &self.columns
    }

    /// Whether it has columns of a visit and its tests.
    pub fn has_tests(&self) -> bool {
        self.columns.has(is_of_a_visit)
    }

    /// Whether it has columns of a plate, beside those that say where a unit stands.
    pub fn has_plate(&self) -> bool {
        let is_plate = |of: &Target| match of {
            Target::Key(section, key) if section.name == plate::SCHEMA.name => {
                key.word != "id" && !PLACE.contains(&key.word)
            }
            Target::Key(section, _) | Target::Cell(section, _) => !is_of_a_visit(section),
            Target::Id | Target::Day | Target::Core | Target::On => false,
        };
        self.columns.find(is_plate).is_some()
    }

    /// Where the rows of a unit say something else than its record: another place, a pair of another core.
    pub fn contradictions(&self, unit: &OfUnit<'_>, record: &Record) -> Faults {
        let mut faults = Vec::new();
        let place = record.place();
        let stands = place.map(|place| [&place.site, &place.bay, &place.phase]);
        let column = |is: &dyn Fn(&Target) -> bool| self.columns.find(is);
        let of_place = |word: &str| {
            column(
                &|of| matches!(of, Target::Key(section, key) if section.name == plate::SCHEMA.name && key.word == word),
            )
        };
        let core = column(&|of| matches!(of, Target::Core));
        let on = column(&|of| matches!(of, Target::On));
        for row in &unit.rows {
            let mut told = |index: usize, why: String| {
                let (row, column) = (row.number, column_name(index));
                faults.push(format!("row {row}, column {column}: {why}"));
            };
            for (word, known) in PLACE.iter().zip(stands.into_iter().flatten()) {
                let Some(index) = of_place(word) else {
                    continue;
                };
                let (own, known) = (row.cell(index), known.value());
                if let Some(known) = known.filter(|known| !own.is_empty() && *known != own) {
                    told(
                        index,
                        format!("{} is recorded at {word} {known}, not {own}", unit.id),
                    );
                }
            }
            let Some(core) = core
                .map(|core| row.cell(core))
                .filter(|core| !core.is_empty())
            else {
                continue;
            };
            if let Some(index) = on {
                let own = record.core_of(row.cell(index));
                if let Some(own) = own.filter(|own| *own != core) {
                    told(
                        index,
                        format!(
                            "{} is a pair of core {own}, and the row is of core {core}",
                            row.cell(index)
                        ),
                    );
                }
            }
            for (index, address) in self.columns.named() {
                let is_between = matches!(address.target, Target::Cell(_, column) if column.kind == Kind::Between);
                let first = between(row.cell(index)).filter(|_| is_between);
                let first = first.and_then(|between| between.from.into_iter().next());
                if let Some(Item::Core(own)) = first
                    && own != core
                {
                    told(
                        index,
                        format!("{} was measured, and the row is of core {core}", own),
                    );
                }
            }
        }
        faults
    }

    /// The visit of a unit on a day; nothing where the sheet asks for readings and the unit has none.
    ///
    /// # Errors
    /// Everything in its rows that a record cannot hold.
    pub fn visit(
        &self,
        unit: &OfUnit<'_>,
        day: &str,
        purpose: Option<&str>,
    ) -> Result<Option<Lines>, Faults> {
        let mut draft = Draft::default();
        draft.open(visit::SCHEMA.name, day);
        let states = |key: &str| {
            let is_own = |of: &Target| matches!(of, Target::Key(section, own) if section.name == visit::SCHEMA.name && own.word == key);
            let at = self.columns.find(is_own);
            at.is_some_and(|at| unit.rows.iter().any(|row| !row.cell(at).is_empty()))
        };
        match purpose {
            Some(_) if states("purpose") => {
                draft
                    .faults
                    .push("the sheet states a purpose; leave --purpose out".to_owned());
            }
            Some(purpose) => draft.field(&format!("purpose: {purpose}"), None),
            None => {}
        }
        draft.fields(&visit::SCHEMA, &self.columns, &unit.rows);
        draft.tests(&self.columns, &unit.rows);
        let is_empty = !draft.has_tests && self.columns.has(Section::is_test);
        let lines = draft.done()?;
        Ok((!is_empty).then_some(lines))
    }
}

/// What says where a unit stands.
pub(super) const PLACE: [&str; 3] = ["site", "bay", "phase"];

fn is_of_a_visit(section: &Section) -> bool {
    section.is_test() || section.name == visit::SCHEMA.name
}
