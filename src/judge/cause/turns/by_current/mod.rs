//! Errors by current as they were written: each beside the rows of its table, the other column and the other burden.
//! A slip sits in one number or in how the table was laid out; an error that is truly out of its limits goes smoothly
//! with the current, in both columns and at all burdens.

mod exchanged;
mod room;
mod slip;
#[cfg(test)]
mod tests;
mod whole;

use self::room::{Column, Dot, Room, beside, by_another};
use crate::derive::kinds::ratio::{Point, Run};
use crate::ground::quantity::Reading;
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::cause::digits::exact;
use crate::judge::cause::evidence::{By, Evidence, Family, Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat};
use crate::judge::decision::Word;
use crate::judge::finding::{Finding, Unit, Verdict, unit};
use crate::judge::rules::{Rule, ratio as rules};
use crate::record::kinds::Test;
use crate::record::kinds::ratio::RatioRow;
use crate::trade::Pair;

/// What a comparator scatters by from row to row, beside its uncertainty: as a share and in radian, 0.005 % and 0.3
/// minutes. Common practice, no source.
const SCATTERS: (f64, f64) = (5e-5, 9e-5);
/// What the yard induces in the leads at 1 % of rated current, as a share of that. Common practice, no source.
const INDUCED: f64 = 2e-4;
/// The uncertainty of either where none is known, as a share of the current. Common practice, no source.
const UNKNOWN: f64 = 2e-4;
/// Currents nearer than this share are the same.
const SAME: f64 = 0.02;
/// What was put right lies as near as sound readings do, what was written far outside: in standard deviations.
/// Conventions of this project.
const FITS: f64 = 2.0;
const FAR: f64 = 6.0;
/// What other columns ask for is not as it was written.
const UNLIKE: f64 = 3.0;
/// Where the one column says that two numbers are exchanged, the other one says at least so much.
const ALSO: f64 = 1.0;

/// The two columns of a table of errors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    Error,
    Phase,
}

const BOTH: [What; 2] = [What::Error, What::Phase];

impl What {
    fn of(self) -> Of {
        match self {
            Self::Error => Of::ErrorRow,
            Self::Phase => Of::PhaseRow,
        }
    }

    fn other(self) -> Self {
        match self {
            Self::Error => Self::Phase,
            Self::Phase => Self::Error,
        }
    }

    fn rule(self) -> &'static Rule {
        match self {
            Self::Error => &rules::ERROR_SLIP,
            Self::Phase => &rules::PHASE_SLIP,
        }
    }

    fn scatters(self) -> f64 {
        match self {
            Self::Error => SCATTERS.0,
            Self::Phase => SCATTERS.1,
        }
    }

    /// 1 where it rises with the current as the exciting current becomes less of it, -1 where it falls.
    fn way(self) -> f64 {
        match self {
            Self::Error => 1.0,
            Self::Phase => -1.0,
        }
    }

    /// SI of a value over the share of the current that it is.
    fn per_share(self) -> f64 {
        match self {
            Self::Error => 100.0,
            Self::Phase => 1.0,
        }
    }

    fn unit(self, point: &Point) -> Unit {
        match self {
            Self::Error => unit::PERCENT,
            Self::Phase if point.in_centiradians => unit::CENTIRADIAN,
            Self::Phase => unit::MINUTE_OF_ARC,
        }
    }
}

/// A row of a table with its cells.
struct Row<'a> {
    point: &'a Point,
    cells: [Option<&'a Reading>; 2],
}

/// The errors of a pair at one burden.
struct Table<'a> {
    run: &'a Run,
    /// In the order of their currents.
    rows: Vec<Row<'a>>,
    columns: [Column; 2],
}

impl<'a> Row<'a> {
    fn cell(&self, what: What) -> Option<&'a Reading> {
        let [error, phase] = self.cells;
        match what {
            What::Error => error,
            What::Phase => phase,
        }
    }
}

impl Table<'_> {
    fn column(&self, what: What) -> &Column {
        let [error, phase] = &self.columns;
        match what {
            What::Error => error,
            What::Phase => phase,
        }
    }

    fn dot(&self, what: What, at: usize) -> Option<Dot> {
        self.column(what).get(at).copied().flatten()
    }

    /// What a number of a column is uncertain by where it was written as most are.
    fn usual(&self, what: What) -> f64 {
        let each = self.column(what).iter().flatten();
        each.map(|dot| dot.u).fold(f64::INFINITY, f64::min)
    }

    /// The same column with other values in some rows.
    fn put(&self, what: What, values: &[(usize, f64)]) -> Column {
        let mut column = self.column(what).clone();
        for (at, y) in values {
            if let Some(Some(dot)) = column.get_mut(*at) {
                (dot.y, dot.u) = (*y, self.usual(what));
            }
        }
        column
    }

    fn pair(&self) -> Pair {
        self.run.pair
    }

    fn seat(&self, at: Vec<Span>) -> Seat {
        Seat {
            section: Some(self.run.test),
            core: Some(self.pair().core),
            pair: Some(self.pair()),
            at,
        }
    }
}

/// Each value of a column with the room that the rows beside it leave.
fn outside(what: What, column: &Column) -> Vec<Option<(Room, Dot)>> {
    let each = column.iter().map(|dot| {
        let dot = dot.as_ref()?;
        Some((beside(column, dot, what.way())?, *dot))
    });
    each.collect()
}

/// How far the furthest value of a column lies outside, in standard deviations.
fn worst(what: What, column: &Column) -> f64 {
    let each = outside(what, column).into_iter().flatten();
    each.map(|(room, dot)| room.beyond(dot.y, dot.u))
        .fold(0.0, f64::max)
}

/// The tables of a visit as they were read on a comparator.
fn tables<'a>(j: &Judging<'a>) -> Vec<Table<'a>> {
    let sound = j.derived.ratio.runs.iter();
    let sound = sound.filter(|run| run.doubtful.is_none());
    let tables = sound.map(|run| {
        let mut tests = j.case.visit.of(Test::ratio);
        let rows = tests.find(|(test, ..)| *test == run.test);
        let rows: &[RatioRow] = rows.map_or(&[], |(_, _, body)| &body.rows);
        table(j, run, rows)
    });
    tables.collect()
}

fn table<'a>(j: &Judging<'a>, run: &'a Run, written: &'a [RatioRow]) -> Table<'a> {
    let rows = run.points.iter().filter_map(|point| {
        let mut all = written.iter();
        let row = all.find(|row| row.span == point.row)?;
        let cells = [exact(&row.error), exact(&row.phase)];
        (point.percent > 0.0).then_some(Row { point, cells })
    });
    let mut rows: Vec<Row<'a>> = rows.collect();
    rows.sort_by(|one, other| one.point.percent.total_cmp(&other.point.percent));
    let column = |what: What| -> Column {
        let dot = |row: &Row<'_>| {
            let value = match what {
                What::Error => row.point.error,
                What::Phase => row.point.phase,
            };
            let value = value.filter(|_| row.cell(what).is_some())?;
            let read = j.w.uncertainty(value);
            let read = match read.known {
                true => read.u / what.per_share(),
                false => UNKNOWN,
            };
            let scatters = libm::hypot(what.scatters(), INDUCED / row.point.percent);
            Some(Dot {
                x: libm::log(row.point.percent),
                y: value.si / what.per_share(),
                u: libm::hypot(read, scatters),
            })
        };
        rows.iter().map(dot).collect()
    };
    let columns = BOTH.map(column);
    Table { run, rows, columns }
}

/// Errors and displacements beside the rows of their own table, and tables that contradict the exciting current.
pub(super) fn families(j: &Judging<'_>) -> Vec<Family> {
    let tables = tables(j);
    let of_rows = tables
        .iter()
        .flat_map(|table| BOTH.map(|what| by_rows(table, what)));
    let of_rows = of_rows.filter(Family::is_off);
    let whole = whole::all(&tables).into_iter().map(|one| Family {
        of: Of::ErrorOrder,
        items: one.items,
        shared: 0.0,
    });
    of_rows.chain(whole).collect()
}

fn by_rows(table: &Table<'_>, what: What) -> Family {
    let each = outside(what, table.column(what))
        .into_iter()
        .zip(&table.rows);
    let items = each.filter_map(|(found, row)| {
        let (room, dot) = found?;
        let away = room.outside(dot.y);
        Some(item(
            table,
            row,
            what,
            (dot.y, dot.y - away),
            libm::hypot(room.u, dot.u),
        ))
    });
    Family {
        of: what.of(),
        items: items.collect(),
        shared: 0.0,
    }
}

fn item(
    table: &Table<'_>,
    row: &Row<'_>,
    what: What,
    (observed, expected): (f64, f64),
    u: f64,
) -> Item {
    Item {
        pair: table.pair(),
        section: table.run.test,
        at: vec![row.point.row],
        observed: observed * what.per_share(),
        expected: expected * what.per_share(),
        unit: what.unit(row.point),
        away: observed - expected,
        u,
        by: By::Readings,
    }
}

/// All slips of the pen in tables of errors.
pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let tables = tables(j);
    let mut all = whole::named(evidence, &tables);
    for table in &tables {
        let tables = tables.as_slice();
        let [error, phase] = BOTH.map(|what| Bench {
            evidence,
            tables,
            table,
            what,
        });
        all.extend(error.slip());
        all.extend(phase.slip());
        all.extend(exchanged::rows([&error, &phase]));
        all.extend(exchanged::columns([&error, &phase]));
    }
    all
}

/// A column of a table with all that it is held against.
struct Bench<'a> {
    evidence: &'a Evidence<'a>,
    tables: &'a [Table<'a>],
    table: &'a Table<'a>,
    what: What,
}

impl Bench<'_> {
    /// What other columns say of a value of a column: the other one of its table, and the same one at other burdens.
    fn partners(&self, column: &Column, own: &Dot) -> Vec<Room> {
        let same = by_another(column, self.table.column(self.what.other()), own);
        same.into_iter()
            .chain(self.at_burdens(column, own))
            .collect()
    }

    /// The tables of the pair at other burdens.
    fn others(&self) -> impl Iterator<Item = &Table<'_>> {
        let table = self.table;
        self.tables.iter().filter(move |other| {
            let itself = std::ptr::eq(*other, table);
            !itself && other.pair() == table.pair() && other.run.burden != table.run.burden
        })
    }

    /// Whether another table of the pair is as odd at the same current: a pen slips once.
    fn is_odd_elsewhere(&self, own: &Dot) -> bool {
        self.others().any(|other| {
            let column = other.column(self.what);
            let mut same = column.iter().flatten();
            same.any(|dot| {
                let here = (dot.x - own.x).abs() < SAME;
                let room = beside(column, dot, self.what.way());
                here && room.is_some_and(|room| room.beyond(dot.y, dot.u) >= UNLIKE)
            })
        })
    }

    fn at_burdens(&self, column: &Column, own: &Dot) -> Vec<Room> {
        let (table, what) = (self.table, self.what);
        let others = self
            .others()
            .filter_map(|other| by_another(column, &aligned(table, other, what), own));
        others.collect()
    }

    /// What other tables say of it: those at other burdens, and of an error those of an earlier visit or the sisters.
    fn of_others(&self, at: usize, column: &Column, own: &Dot) -> Vec<Room> {
        let held = self.table.rows.get(at).and_then(|row| self.held(row));
        self.at_burdens(column, own)
            .into_iter()
            .chain(held)
            .collect()
    }

    /// What an earlier visit or the sisters say of a row.
    fn held(&self, row: &Row<'_>) -> Option<Room> {
        let mut families = self.evidence.families_of(Of::Error);
        let (_, family) = families.next().filter(|_| self.what == What::Error)?;
        let mut items = family.items.iter();
        let item = items.find(|item| item.at.first() == Some(&row.point.row))?;
        let y = item.expected / self.what.per_share();
        let (low, high, u) = (y, y, item.u);
        Some(Room { low, high, u })
    }

    /// What it adds to the items of the column where that is put right.
    fn shift(&self, column: &Column) -> Option<(usize, Vec<f64>)> {
        let (table, what) = (self.table, self.what);
        let own = |family: &Family| {
            let first = family.items.first();
            first.is_some_and(|item| item.section == table.run.test && item.pair == table.pair())
        };
        let mut families = self.evidence.families_of(what.of());
        let (at, family) = families.find(|(_, family)| own(family))?;
        let after = outside(what, column);
        let shift = family.items.iter().map(|item| {
            let mut rows = table.rows.iter();
            let row = rows.position(|row| item.at.first() == Some(&row.point.row));
            let left = row.and_then(|row| after.get(row).copied().flatten());
            item.away - left.map_or(0.0, |(room, dot)| room.outside(dot.y))
        });
        Some((at, shift.collect()))
    }
}

/// A column of another table at the currents of this one.
fn aligned(table: &Table<'_>, other: &Table<'_>, what: What) -> Column {
    let of = |row: &Row<'_>| {
        let near = |one: &&Row<'_>| (one.point.percent / row.point.percent - 1.0).abs() < SAME;
        let at = other.rows.iter().position(|one| near(&one))?;
        other.dot(what, at)
    };
    table.rows.iter().map(of).collect()
}

/// What rests on the errors of one row.
static BY_ROW: [&Rule; 4] = [
    &rules::RATIO_ERROR,
    &rules::PHASE_DISPLACEMENT,
    &rules::RATIO_CORRECTION_FACTOR,
    &rules::TRANSFORMER_CORRECTION_FACTOR,
];

/// Marks the class of a pair as a whole where it is bad by nothing but rows that causes explain, this one among them.
pub(in crate::judge::cause) fn mark_class(
    j: &Judging<'_>,
    named: &Hypothesis,
    findings: &mut [Finding],
    number: usize,
) {
    let bad = |one: &&Finding| {
        let own = one.withheld.as_ref().map(|(verdict, _)| &**verdict);
        let of_pair = one.pair == named.seat.pair && BY_ROW.contains(&one.rule);
        of_pair && is_bad(own.unwrap_or(&one.verdict))
    };
    // What an earlier visit of the occasion read counts for the class as well.
    let earlier = j.earlier.iter().flat_map(|visit| &visit.findings);
    let carried = earlier.filter(bad).count() > 0;
    let own = || findings.iter().filter(bad);
    let all = own().all(|one| one.explained.is_some());
    let any = own().any(|one| one.explained == Some(number));
    if carried || !all || !any {
        return;
    }
    let class = |one: &&mut Finding| one.rule == &rules::CLASS_SHOWN && one.pair == named.seat.pair;
    for one in findings.iter_mut().filter(class) {
        if is_bad(&one.verdict) {
            one.explained = Some(number);
        }
    }
}

fn is_bad(verdict: &Verdict) -> bool {
    let bad = [
        Verdict::Word(Word::Fail),
        Verdict::Word(Word::ConditionalFail),
        Verdict::NotMet,
    ];
    bad.contains(verdict)
}
