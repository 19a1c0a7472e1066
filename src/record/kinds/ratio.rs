//! `[ratio]`: by voltage on the secondary, or by current in the primary.

use super::{Context, Needs};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located};
use crate::record::body::Cells;
use crate::record::inputs::Fed;
use crate::record::readings::Measure;
use crate::record::schema::section;
use crate::record::value::choices;
use crate::trade::{Pair, PairName, PrimaryMarks};

section! {
    "ratio", "ratio, by voltage or by current";
    /// All readings of one section.
    RatioTest {
        "method": Choice(Method)
            "voltage: driven on the secondary, read on the primary; current: driven through the primary";
        burden: Burden
            "burden on the secondary, for the method by current: 10 VA at 0.80, connected, shorted";
        links: Text "position of the primary links in this test, where the visit holds more than one";
        frequency: Frequency "frequency of the source, where it is not the rated one";
    } + {
        method: Option<Method> = method;
    }
    /// One reading.
    rows: RatioRow by rows {
        "on": Pair "pair that was driven (by voltage without a pair in the head), or read" or(&["pair"]);
        "input": Text
            "input of a summation CT that was driven, or read by voltage, the others open: 1P1-1P2; or all, in series" set;
        applied: Voltage "voltage on the driven secondary pair" positive measures(Measure::Voltage);
        "induced": Voltage "voltage at the primary" positive measures(Measure::Voltage);
        "read": Voltage
            "voltage at the pair in `on`, while the head's pair is driven"
            positive measures(Measure::Voltage);
        rated: Percent "primary current in per cent of rated" positive set;
        primary: Current "primary current" positive measures(Measure::Current);
        secondary: Current "secondary current" positive measures(Measure::Current);
        error: Percent "ratio error as the comparator shows it" measures(Measure::RatioError);
        phase: Angle
            "phase displacement, positive when the secondary leads" measures(Measure::Phase);
    } + {
        on: Option<Located<On>> = on;
        input: Option<Fed> = input;
        /// At the primary, or at the sensed pair.
        induced: Given<Quantity> = induced;
    }
}

/// Where a voltage was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum On {
    Pair(Pair),
    Primary,
}

choices! {
    /// How the ratio was found.
    #[strum(serialize_all = "lowercase")]
    pub enum Method {
        Voltage,
        Current,
    }
}

/// As written, else by the columns.
fn method(c: &mut Context<'_>) -> Option<Method> {
    let has = |word: &str| c.body.tables.iter().any(|table| table.has(word));
    let by_columns = if has("applied") || has("induced") {
        Some(Method::Voltage)
    } else if has("secondary") || has("error") {
        Some(Method::Current)
    } else {
        None
    };
    c.body.get("method").value().copied().or(by_columns)
}

fn rows(c: &mut Context<'_>) -> Vec<RatioRow> {
    let needs: Needs = match method(c) {
        Some(Method::Voltage) => &[&["applied"], &["induced", "read"]],
        Some(Method::Current) | None => &[&["secondary", "error", "phase"]],
    };
    c.rows(needs, RatioRow::read)
}

fn on(c: &mut Context<'_>, cells: &Cells<'_>) -> Option<Located<On>> {
    if let Given::Written(name) = cells.get::<PairName>("on") {
        let (from, to) = (&name.value.from, &name.value.to);
        if PrimaryMarks::of(from).is_some_and(|(marks, first)| first && marks.ends().1 == to) {
            return Some(Located::new(On::Primary, name.span));
        }
    }
    let pair = c.on(cells)?;
    Some(Located::new(On::Pair(pair.value), pair.span))
}

fn input(c: &mut Context<'_>, cells: &Cells<'_>) -> Option<Fed> {
    c.input(cells)
}

fn induced(_: &mut Context<'_>, cells: &Cells<'_>) -> Given<Quantity> {
    match cells.get("read") {
        Given::Missing => cells.get("induced"),
        read @ (Given::Written(_) | Given::Unreadable(_)) => read,
    }
}
