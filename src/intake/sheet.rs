//! A bay sheet: one table for several units, a row for each core or phase, columns by the words of a record.

use super::Faults;
use super::address::{Address, Target};
use super::grid::{Grid, Line as Row};
use super::lines::{Columns, Lines};
use crate::record::schema::Section;
use crate::record::visit;

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

impl<'g> Sheet<'g> {
    /// Reads the heading, and puts the rows of each unit together.
    ///
    /// # Errors
    /// Everything that is wrong with them.
    pub fn of(grid: &'g Grid) -> Result<Self, Faults> {
        let Some((head, rows)) = grid.lines.split_first() else {
            return Err(vec!["the table is empty".to_owned()]);
        };
        let columns = Columns::of(head, grid, |heading| Address::of(heading, None))?;
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

    /// Whether it has columns of a plate.
    pub fn has_plate(&self) -> bool {
        self.columns.has(|section| !is_of_a_visit(section) && section.name != "ct")
            || self.columns.find(|of| matches!(of, Target::Key(section, key) if section.name == "ct" && key.word != "id")).is_some()
    }

    /// The visit of a unit on a day, with the lines that it has beside those of the sheet.
    ///
    /// # Errors
    /// Everything in its rows that a record cannot hold.
    pub fn visit(
        &self,
        unit: &OfUnit<'_>,
        day: &str,
        purpose: Option<&str>,
    ) -> Result<Lines, Faults> {
        let mut lines = Lines::default();
        lines.open(visit::SCHEMA.name, day);
        let states = |key: &str| {
            let at = self.columns.find(|of| matches!(of, Target::Key(section, own) if section.name == visit::SCHEMA.name && own.word == key));
            at.is_some_and(|at| unit.rows.iter().any(|row| !row.cell(at).is_empty()))
        };
        match purpose {
            Some(_) if states("purpose") => {
                lines
                    .faults
                    .push("the sheet states a purpose; leave --purpose out".to_owned());
            }
            Some(purpose) => lines.push(&format!("purpose: {purpose}"), None),
            None => {}
        }
        lines.fields(&visit::SCHEMA, &self.columns, &unit.rows);
        lines.tests(&self.columns, &unit.rows);
        match lines.faults.is_empty() {
            true => Ok(lines),
            false => Err(lines.faults),
        }
    }
}

fn is_of_a_visit(section: &Section) -> bool {
    section.is_test() || section.name == visit::SCHEMA.name
}
