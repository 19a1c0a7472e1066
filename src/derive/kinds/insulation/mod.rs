//! Insulation resistance: as read or by V and I, its rise with time, to 20 °C. Bounds stay bounds.

use crate::derive::case::Case;
use crate::derive::formula::{AnyFormula, Formula, Symbol, symbol};
use crate::derive::input;
use crate::derive::outcome::Outcome;
use crate::derive::workings::{Origin, Value, Workings};
use crate::ground::number::Bound;
use crate::ground::quantity::Reading;
use crate::ground::span::{Given, Span};
use crate::record::core::core_index;
use crate::record::kinds::Test;
use crate::record::kinds::insulation::{Insulation, InsulationRow};
use crate::record::readings::Measure;
use crate::record::value::{Between, Item};
use crate::standards::InsulationKind;

const R: Symbol = symbol("R", "ohm", "insulation resistance");
const T: Symbol = symbol("t", "C", "temperature of the insulation");

static BY_OHM: Formula<2> = Formula {
    name: "insulation-resistance",
    what: "insulation resistance",
    text: "U/I",
    unit: "ohm",
    of: [
        symbol("U", "V", "direct test voltage"),
        symbol("I", "A", "leakage current"),
    ],
    source: "Ohm's law, direct current",
    go: |[u, i]| u / i,
};

static OIL: Formula<2> = Formula {
    name: "insulation-20-oil",
    what: "insulation resistance at 20 °C, oil and paper",
    text: "R*2^((t - 20)/10)",
    unit: "ohm",
    of: [R, T],
    source: "halving every 10 K, rule of thumb (from memory); within 5 % of the oil column of ANSI/NETA Table 100.14",
    go: |[r, t]| r * ((t - 20.0) / 10.0 * std::f64::consts::LN_2).exp(),
};

static SOLID: Formula<2> = Formula {
    name: "insulation-20-solid",
    what: "insulation resistance at 20 °C, solid insulation",
    text: "R*10^((t - 20)/50)",
    unit: "ohm",
    of: [R, T],
    source: "own fit, within 2 % of ANSI/NETA Table 100.14.1 (from memory)",
    go: |[r, t]| r * ((t - 20.0) / 50.0 * std::f64::consts::LN_10).exp(),
};

static RISE: Formula<2> = Formula {
    name: "insulation-rise",
    what: "rise of the insulation resistance with time",
    text: "b/a",
    unit: "",
    of: [
        symbol("b", "ohm", "insulation resistance at the later time"),
        symbol("a", "ohm", "insulation resistance at the earlier time"),
    ],
    source: "IEEE 43 for 10 min over 1 min (from memory); trade practice for 60 s over 30 s or 15 s",
    go: |[b, a]| b / a,
};

static DISCHARGE: Formula<1> = Formula {
    name: "insulation-discharge",
    what: "least time to discharge and earth",
    text: "4*t",
    unit: "s",
    of: [symbol("t", "s", "longest time under voltage")],
    source: "IEEE 43-2013, clause 4 (rotating machines, from memory)",
    go: |[t]| 4.0 * t,
};

/// The formulas of this module.
pub static FORMULAS: &[&dyn AnyFormula] = &[&BY_OHM, &OIL, &SOLID, &RISE, &DISCHARGE];

/// Temperatures that the tables of factors cover, degree Celsius; nothing is corrected outside.
pub const COVERED: std::ops::RangeInclusive<f64> = 0.0..=75.0;

/// What a test voltage is applied to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Node {
    Primary,
    /// Index of the core in the record.
    Core(usize),
    Earth,
}

/// Why a reading was not taken to 20 °C.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refused {
    KindUnknown,
    Gas,
    NoTemperature,
    /// Below 0 °C or above 75 °C.
    OutsideTable,
}

/// One reading.
#[derive(Clone, Copy, Debug)]
pub struct At {
    /// Time under voltage, second, when it was written.
    pub time: Option<f64>,
    /// Ohm: known, or one side of it.
    pub r: Outcome,
    pub span: Span,
}

/// A rise with time: the value at `later` over that at `earlier`, both in second.
#[derive(Clone, Copy, Debug)]
pub struct Rise {
    pub later: f64,
    pub earlier: f64,
    pub ratio: Outcome,
}

/// All readings between the same two sides at one voltage.
#[derive(Clone, Debug)]
pub struct Group {
    pub test: usize,
    pub between: Between,
    pub from: Vec<Node>,
    pub to: Vec<Node>,
    pub rows: Vec<At>,
    /// The reading nearest to 60 s.
    pub minute: At,
    /// That reading at 20 °C.
    pub at_20: Result<Outcome, Refused>,
    /// The air's temperature stands in for the insulation's.
    pub by_air: bool,
    /// Polarisation index and absorption ratios, as far as their times were read.
    pub rises: Vec<Rise>,
    /// Direct test voltage, volt.
    pub voltage: Option<f64>,
    /// Least time to discharge after the longest application, second.
    pub discharge: Option<Value>,
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
}

/// Derives all groups of a visit, in the order of the file.
pub fn derive(case: &Case<'_>, w: &mut Workings) -> Vec<Group> {
    let mut found = Vec::new();
    for (index, test, body) in case.visit.of(Test::insulation) {
        for rows in groups(body) {
            found.extend(group(case, w, (index, test), &rows));
        }
    }
    found
}

/// Rows of one measurement: the same sides at the same voltage.
fn groups(body: &Insulation) -> Vec<Vec<&InsulationRow>> {
    let volts = |row: &InsulationRow| {
        row.voltage
            .value()
            .map_or(0, |voltage| voltage.si.to_bits())
    };
    let mut found: Vec<Vec<&InsulationRow>> = Vec::new();
    for row in body.rows.iter().filter(|row| row.between.get().is_some()) {
        let same = |known: &&mut Vec<&InsulationRow>| {
            known.first().is_some_and(|first| {
                first.between.value() == row.between.value() && volts(first) == volts(row)
            })
        };
        match found.iter_mut().find(same) {
            Some(known) => known.push(row),
            None => found.push(vec![row]),
        }
    }
    found
}

fn group(
    case: &Case<'_>,
    w: &mut Workings,
    (index, test): (usize, &Test),
    rows: &[&InsulationRow],
) -> Option<Group> {
    let between = rows.first()?.between.value()?.clone();
    let read: Vec<At> = rows
        .iter()
        .filter_map(|row| at(case, w, test, row, &between.text()))
        .collect();
    let minute = *read
        .iter()
        .min_by(|a, b| off_minute(a).total_cmp(&off_minute(b)))?;
    let (from, to) = nodes(case, &between);
    let unreadable = |row: &&InsulationRow| {
        [&row.resistance, &row.current, &row.voltage, &row.time]
            .into_iter()
            .find(|given| given.is_unreadable())
            .and_then(Given::span)
    };
    let longest = rows
        .iter()
        .filter_map(|row| row.time.get())
        .max_by(|a, b| a.value.si.total_cmp(&b.value.si));
    let longest = longest.map(|time| {
        w.reading(
            "longest time under voltage",
            "s",
            time.value.si,
            Origin::Given { span: time.span },
            &[],
        )
    });
    Some(Group {
        test: index,
        between,
        from,
        to,
        minute,
        at_20: at_20(case, w, test, minute.r),
        by_air: test.temperature.is_missing() && case.visit.winding_temperature.is_missing(),
        rises: rises(w, &read),
        voltage: rows
            .iter()
            .find_map(|row| row.voltage.value())
            .map(|voltage| voltage.si),
        discharge: longest.and_then(|time| w.step(&DISCHARGE, [time])),
        readings: read.iter().map(|at| at.span).collect(),
        rows: read,
        doubtful: test.doubtful.or_else(|| rows.iter().find_map(unreadable)),
    })
}

fn off_minute(at: &At) -> f64 {
    at.time.map_or(0.0, |time| (time - 60.0).abs())
}

fn at(
    case: &Case<'_>,
    w: &mut Workings,
    test: &Test,
    row: &InsulationRow,
    name: &str,
) -> Option<At> {
    let time = row.time.value().map(|time| time.si);
    if let Some(shown) = row.resistance.get() {
        let value = input::reading(
            w,
            case,
            test,
            Measure::Insulation,
            format!("insulation resistance, {name}"),
            shown,
        );
        return Some(At {
            time,
            r: sided(shown.value.bound, value),
            span: shown.span,
        });
    }
    let (voltage, current) = (row.voltage.get()?, row.current.get()?);
    let usable = |reading: &&Reading| reading.value.is_exact();
    let u = input::reading(
        w,
        case,
        test,
        Measure::Voltage,
        format!("test voltage, {name}"),
        Some(voltage).filter(usable)?,
    );
    let i = input::reading(
        w,
        case,
        test,
        Measure::Current,
        format!("leakage current, {name}"),
        current,
    );
    let value = w.step(&BY_OHM, [u, i])?;
    // Less current is more resistance.
    let bound = match current.value.bound {
        Bound::Exact => Bound::Exact,
        Bound::LessThan => Bound::MoreThan,
        Bound::MoreThan => Bound::LessThan,
    };
    Some(At {
        time,
        r: sided(bound, value),
        span: current.span,
    })
}

fn sided(bound: Bound, value: Value) -> Outcome {
    match bound {
        Bound::Exact => Outcome::Known(value),
        Bound::MoreThan => Outcome::AtLeast(value),
        Bound::LessThan => Outcome::AtMost(value),
    }
}

/// The two sides as windings; `cores` are those not named otherwise.
fn nodes(case: &Case<'_>, between: &Between) -> (Vec<Node>, Vec<Node>) {
    let named = |item: &Item| match item {
        Item::Core(name) => core_index(&case.record.cores, name),
        Item::Primary | Item::Earth | Item::Cores => None,
    };
    let taken: Vec<usize> = between
        .from
        .iter()
        .chain(&between.to)
        .filter_map(named)
        .collect();
    let side = |items: &[Item]| {
        let mut found: Vec<Node> = Vec::new();
        for item in items {
            match item {
                Item::Primary => found.push(Node::Primary),
                Item::Earth => found.push(Node::Earth),
                Item::Core(_) => found.extend(named(item).map(Node::Core)),
                Item::Cores => found.extend(
                    (0..case.record.cores.len())
                        .filter(|core| !taken.contains(core))
                        .map(Node::Core),
                ),
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    };
    (side(&between.from), side(&between.to))
}

fn at_20(case: &Case<'_>, w: &mut Workings, test: &Test, r: Outcome) -> Result<Outcome, Refused> {
    let law = match case.record.plate.insulation_kind() {
        InsulationKind::Oil => &OIL,
        InsulationKind::Solid => &SOLID,
        InsulationKind::Gas => return Err(Refused::Gas),
        InsulationKind::Unknown => return Err(Refused::KindUnknown),
    };
    let stated = case
        .temperature(test)
        .filter(|t| t.value.is_exact())
        .ok_or(Refused::NoTemperature)?;
    if !COVERED.contains(&stated.value.si) {
        return Err(Refused::OutsideTable);
    }
    let t = input::stated(w, "temperature of the insulation", stated);
    let mut to_20 = |value: Value| w.step(law, [value, t]).ok_or(Refused::OutsideTable);
    Ok(match r {
        Outcome::Known(value) => Outcome::Known(to_20(value)?),
        Outcome::AtLeast(value) => Outcome::AtLeast(to_20(value)?),
        Outcome::AtMost(value) => Outcome::AtMost(to_20(value)?),
        other @ (Outcome::NotReached { .. } | Outcome::Lacking(_)) => other,
    })
}

/// 600 s over 60 s, 60 s over 30 s, 60 s over 15 s.
fn rises(w: &mut Workings, rows: &[At]) -> Vec<Rise> {
    let near = |wanted: f64| {
        rows.iter().rfind(|at| {
            at.time
                .is_some_and(|time| (time - wanted).abs() <= 0.1 * wanted)
        })
    };
    let mut found = Vec::new();
    for (later, earlier) in [(600.0, 60.0), (60.0, 30.0), (60.0, 15.0)] {
        let (Some(b), Some(a)) = (near(later), near(earlier)) else {
            continue;
        };
        found.extend(rise(w, b.r, a.r).map(|ratio| Rise {
            later,
            earlier,
            ratio,
        }));
    }
    found
}

/// A ratio of two sided values; `None` when nothing can be said.
fn rise(w: &mut Workings, b: Outcome, a: Outcome) -> Option<Outcome> {
    use Outcome::{AtLeast, AtMost, Known};
    let mut step = |b: Value, a: Value| w.step(&RISE, [b, a]);
    match (b, a) {
        (Known(b), Known(a)) => step(b, a).map(Known),
        (AtLeast(b), Known(a) | AtMost(a)) | (Known(b), AtMost(a)) => step(b, a).map(AtLeast),
        (AtMost(b), Known(a) | AtLeast(a)) | (Known(b), AtLeast(a)) => step(b, a).map(AtMost),
        _ => None,
    }
}

#[cfg(test)]
mod tests;
