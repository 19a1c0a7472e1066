//! Insulation resistance: as read or by V and I, its rise with time, to 20 °C. Bounds stay bounds.

use crate::derive::component::Component;
use crate::derive::deriving::{Deriving, exact, unreadable};
use crate::derive::formula::{Symbol, formulas, symbol};
use crate::derive::outcome::Outcome;
use crate::derive::workings::{Origin, Value, Workings};
use crate::ground::number::Bound;
use crate::ground::span::Span;
use crate::record::core::core_index;
use crate::record::kinds::Test;
use crate::record::kinds::insulation::{Insulation, InsulationRow};
use crate::record::readings::Measure::{self, Current, Voltage};
use crate::record::schema::FoundBy;
use crate::standards::{
    AbsorptionTimes, InsulationKind, insulation_absorption, insulation_temperature, threshold,
};
use crate::trade::{Between, Item};

const R: Symbol = symbol("R", "ohm", "insulation resistance");
const T: Symbol = symbol("t", "C", "temperature of the insulation");

formulas! {
    static BY_OHM = "insulation-resistance", "insulation resistance":
        "U/I" ("ohm")
        of [symbol("U", "V", "direct test voltage"), symbol("I", "A", "leakage current")],
        |[u, i]| u / i, "Ohm's law, direct current";

    static AT_REFERENCE = "insulation-20", "insulation resistance at 20 °C":
        "R*b^((t - T)/d)" ("ohm") of [
            R,
            T,
            symbol("b", "", "factor per step of temperature"),
            symbol("d", "K", "step of temperature"),
            symbol("T", "C", "reference temperature"),
        ], |[r, t, base, kelvin, reference]| r * ((t - reference) / kelvin * base.ln()).exp(),
        "law that the table of the kind of insulation follows; see its constants";

    static RISE = "insulation-rise", "rise of the insulation resistance with time":
        "b/a" ("") of [
            symbol("b", "ohm", "insulation resistance at the later time"),
            symbol("a", "ohm", "insulation resistance at the earlier time"),
        ], |[b, a]| b / a,
        "IEEE 43 for 10 min over 1 min (from memory); trade practice for 60 s over 30 s or 15 s";

    static DISCHARGE = "insulation-discharge", "least time to discharge and earth":
        "n*t" ("s") of [
            symbol("t", "s", "longest time under voltage"),
            symbol("n", "", "times the time of application"),
        ], |[t, n]| n * t, "IEEE 43-2013, clause 4 (rotating machines, from memory)";
}

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
    /// How the insulation's temperature was found.
    pub temperature_by: Option<FoundBy>,
    /// Polarisation index and absorption ratios, as far as their times were read.
    pub rises: Vec<Rise>,
    /// Direct test voltage, volt.
    pub voltage: Option<f64>,
    /// Least time to discharge after the longest application, second.
    pub discharge: Option<Value>,
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
}

impl Group {
    /// The side that is tested and the one that it is tested against: written from the earth, it is
    /// the same test.
    pub fn sides(&self) -> (&[Node], &[Node]) {
        if self.from.contains(&Node::Earth) {
            (&self.to, &self.from)
        } else {
            (&self.from, &self.to)
        }
    }

    /// Whether the earth is on the other side.
    pub fn is_to_earth(&self) -> bool {
        let (tested, against) = self.sides();
        !tested.is_empty() && against.contains(&Node::Earth)
    }
}

/// Derives all groups of a visit, in the order of the file.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Group> {
    let mut found = Vec::new();
    for (index, test, body) in d.visit.of(Test::insulation) {
        let groups = groups(body).into_iter();
        found.extend(groups.filter_map(|rows| group(d, (index, test), &rows)));
    }
    found
}

/// Rows of one measurement: the same sides at the same voltage.
fn groups(body: &Insulation) -> Vec<Vec<&InsulationRow>> {
    let key = |row: &InsulationRow| {
        let volts = row
            .voltage
            .value()
            .map_or(0, |voltage| voltage.si.to_bits());
        Some((row.between.value()?.clone(), volts))
    };
    let mut found: Vec<Vec<&InsulationRow>> = Vec::new();
    for row in body.rows.iter().filter(|row| row.between.get().is_some()) {
        let same =
            |known: &&mut Vec<&InsulationRow>| known.first().and_then(|row| key(row)) == key(row);
        match found.iter_mut().find(same) {
            Some(known) => known.push(row),
            None => found.push(vec![row]),
        }
    }
    found
}

fn group(
    d: &mut Deriving<'_>,
    (index, test): (usize, &Test),
    rows: &[&InsulationRow],
) -> Option<Group> {
    let between = rows.first()?.between.value()?.clone();
    let name = between.text();
    let read = rows.iter().filter_map(|row| at(d, test, row, &name));
    let read: Vec<At> = read.collect();
    let judged_at = threshold("insulation-minute")?.limit;
    let off_minute = |at: &At| {
        at.time
            .map_or(f64::INFINITY, |time| (time - judged_at).abs())
    };
    let minute = *read
        .iter()
        .min_by(|a, b| off_minute(a).total_cmp(&off_minute(b)))?;
    let (from, to) = nodes(d, &between);
    let unreadable =
        |row: &&InsulationRow| unreadable([&row.resistance, &row.current, &row.voltage, &row.time]);
    let voltage = rows.iter().find_map(|row| row.voltage.value());
    Some(Group {
        test: index,
        between,
        from,
        to,
        minute,
        at_20: at_20(d, test, minute.r),
        temperature_by: d.temperature_by(test),
        rises: rises(d.w, &read),
        voltage: voltage.map(|voltage| voltage.si),
        discharge: discharge(d.w, rows),
        readings: read.iter().map(|at| at.span).collect(),
        rows: read,
        doubtful: test.doubtful.or_else(|| rows.iter().find_map(unreadable)),
    })
}

fn discharge(w: &mut Workings, rows: &[&InsulationRow]) -> Option<Value> {
    let times = rows.iter().filter_map(|row| row.time.get());
    let time = times.max_by(|a, b| a.value.si.total_cmp(&b.value.si))?;
    let origin = Origin::Given { span: time.span };
    let longest = w.enter("longest time under voltage", "s", time.value.si, origin);
    let row = threshold("discharge-factor")?;
    let what = "times the time of application";
    let times = w.cited(what, "", row.limit, &row.cited);
    w.step(&DISCHARGE, [longest, times])
}

fn at(d: &mut Deriving<'_>, test: &Test, row: &InsulationRow, name: &str) -> Option<At> {
    let (value, bound, span) = if let Some(shown) = row.resistance.get() {
        let what = format!("insulation resistance, {name}");
        let value = d.read(test, Measure::Insulation, what, shown);
        (value, shown.value.bound, shown.span)
    } else {
        let current = row.current.get()?;
        let voltage = exact(&row.voltage)?;
        let u = d.read(test, Voltage, format!("test voltage, {name}"), voltage);
        let i = d.read(test, Current, format!("leakage current, {name}"), current);
        // Less current is more resistance.
        let bound = match current.value.bound {
            Bound::Exact => Bound::Exact,
            Bound::LessThan => Bound::MoreThan,
            Bound::MoreThan => Bound::LessThan,
        };
        (d.w.step(&BY_OHM, [u, i])?, bound, current.span)
    };
    let r = Outcome::read(value, bound);
    let time = row.time.value().map(|time| time.si);
    Some(At { time, r, span })
}

/// The two sides as windings; `cores` are those not named otherwise.
fn nodes(d: &Deriving<'_>, between: &Between) -> (Vec<Node>, Vec<Node>) {
    let cores = &d.record.cores;
    let named = |item: &Item| match item {
        Item::Core(name) => core_index(cores, name),
        Item::Primary | Item::Earth | Item::Cores | Item::Section(_) | Item::TestTap => None,
    };
    let items = between.from.iter().chain(&between.to);
    let taken: Vec<usize> = items.filter_map(named).collect();
    let side = |items: &[Item]| {
        let mut found: Vec<Node> = Vec::new();
        for item in items {
            match item {
                Item::Primary => found.push(Node::Primary),
                // Told where it stands; no insulation test is of them.
                Item::Section(_) | Item::TestTap => {}
                Item::Earth => found.push(Node::Earth),
                Item::Core(_) => found.extend(named(item).map(Node::Core)),
                Item::Cores => {
                    let rest = (0..cores.len()).filter(|core| !taken.contains(core));
                    found.extend(rest.map(Node::Core));
                }
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    };
    (side(&between.from), side(&between.to))
}

fn at_20(d: &mut Deriving<'_>, test: &Test, r: Outcome) -> Result<Outcome, Refused> {
    let kind = d.record.plate.insulation_kind();
    let row = insulation_temperature(kind).ok_or(match kind {
        InsulationKind::Gas => Refused::Gas,
        _ => Refused::KindUnknown,
    })?;
    let stated = d.temperature(test).ok_or(Refused::NoTemperature)?;
    if !row.covers(stated.value.si) {
        return Err(Refused::OutsideTable);
    }
    let t = d.stated_temperature(test, "temperature of the insulation", stated);
    let law = row.law_source.as_str();
    let mut enter = |what, unit, value| d.w.constant(what, unit, value, law);
    let base = enter("factor per step of temperature", "", row.base);
    let kelvin = enter("step of temperature", "K", row.kelvin);
    let reference = enter("reference temperature", "C", row.reference_c);
    if let Some(off) = threshold("insulation-step-off") {
        let half = off.limit / 100.0 * row.kelvin;
        let of = "the law of the insulation's temperature";
        d.w.add_part(kelvin, Component::Law { of }, half / 3f64.sqrt());
    }
    let mut to_20 = |value: Value| {
        let inputs = [value, t, base, kelvin, reference];
        d.w.step(&AT_REFERENCE, inputs).ok_or(Refused::OutsideTable)
    };
    Ok(match r {
        Outcome::Known(value) => Outcome::Known(to_20(value)?),
        Outcome::AtLeast(value) => Outcome::AtLeast(to_20(value)?),
        Outcome::AtMost(value) => Outcome::AtMost(to_20(value)?),
        other @ (Outcome::NotReached { .. } | Outcome::Lacking(_)) => other,
    })
}

/// Polarisation index and absorption ratios, as far as their times were read.
fn rises(w: &mut Workings, rows: &[At]) -> Vec<Rise> {
    let near = |wanted: f64, percent: f64| {
        let off = |time: f64| (time - wanted).abs() <= percent / 100.0 * wanted;
        rows.iter().rfind(|at| at.time.is_some_and(off))
    };
    let rise = |times: &AbsorptionTimes| {
        let b = near(times.later_s, times.near_pct)?;
        let a = near(times.earlier_s, times.near_pct)?;
        Some(Rise {
            later: times.later_s,
            earlier: times.earlier_s,
            ratio: rise(w, b.r, a.r)?,
        })
    };
    insulation_absorption().iter().filter_map(rise).collect()
}

/// A ratio of two sided values; `None` when nothing can be said.
fn rise(w: &mut Workings, b: Outcome, a: Outcome) -> Option<Outcome> {
    let (side, b, a) = b.over(&a)?;
    Some(side.of(w.step(&RISE, [b, a])?))
}

#[cfg(test)]
mod tests;
