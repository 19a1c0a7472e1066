//! `[ratio]`: by voltage on the secondary, or by current in the primary.

use super::{Context, Needs};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::record::body::Cells;
use crate::record::schema::{Section, section};
use crate::record::value::{Amendment, choices};
use crate::trade::{Burden, Pair, PairName};
use strum::{EnumString, VariantNames};

pub static SCHEMA: Section = section! {
    "ratio", Pair, "ratio, by voltage or by current";
    keys {
        "method": Choice(Method)
            "voltage: driven on the secondary, read on the primary; current: driven through the primary";
        "burden": Burden
            "burden on the secondary, for the method by current: 10 VA at 0.80, connected, shorted";
        "frequency": Frequency "frequency of the source, where it is not the rated one";
    }
    columns {
        "on": Pair "pair that was driven (by voltage without a pair in the head), or read";
        "applied": Voltage "voltage on the driven secondary pair" positive;
        "induced": Voltage "voltage at the primary" positive;
        "read": Voltage "voltage at the pair in `on`, while the head's pair is driven" positive;
        "rated": Percent "primary current in per cent of rated" positive set;
        "primary": Current "primary current" positive;
        "secondary": Current "secondary current" positive;
        "error": Percent "ratio error as the comparator shows it";
        "phase": Angle "phase displacement, positive when the secondary leads";
    }
};

/// Where a voltage was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum On {
    Pair(Pair),
    Primary,
}

/// One reading.
#[derive(Clone, Debug)]
pub struct RatioRow {
    pub on: Option<Located<On>>,
    pub applied: Given<Quantity>,
    /// At the primary, or at the sensed pair.
    pub induced: Given<Quantity>,
    pub rated: Given<Quantity>,
    pub primary: Given<Quantity>,
    pub secondary: Given<Quantity>,
    pub error: Given<Quantity>,
    pub phase: Given<Quantity>,
    pub amended: Vec<Amendment>,
    pub span: Span,
}

/// How the ratio was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Method {
    Voltage,
    Current,
}

choices!(Method);

/// All readings of one section.
#[derive(Clone, Debug)]
pub struct RatioTest {
    pub method: Option<Method>,
    pub burden: Given<Burden>,
    pub frequency: Given<Quantity>,
    pub rows: Vec<RatioRow>,
}

pub fn read(c: &mut Context<'_>) -> RatioTest {
    let has = |word: &str| c.body.tables.iter().any(|table| table.has(word));
    let by_columns = if has("applied") || has("induced") {
        Some(Method::Voltage)
    } else if has("secondary") || has("error") {
        Some(Method::Current)
    } else {
        None
    };
    let method = c.body.get("method").value().copied().or(by_columns);
    let needs: Needs = match method {
        Some(Method::Voltage) => &[&["applied"], &["induced", "read"]],
        Some(Method::Current) | None => &[&["secondary", "error", "phase"]],
    };
    let rows = c.rows(needs, |c, cells| RatioRow {
        on: on(c, cells),
        applied: cells.get("applied"),
        induced: match cells.get("read") {
            Given::Missing => cells.get("induced"),
            read @ (Given::Written(_) | Given::Unreadable(_)) => read,
        },
        rated: cells.get("rated"),
        primary: cells.get("primary"),
        secondary: cells.get("secondary"),
        error: cells.get("error"),
        phase: cells.get("phase"),
        amended: cells.row.amended.clone(),
        span: cells.row.span,
    });
    RatioTest {
        method,
        burden: c.body.get("burden"),
        frequency: c.body.get("frequency"),
        rows,
    }
}

fn on(c: &mut Context<'_>, cells: &Cells<'_>) -> Option<Located<On>> {
    if let Given::Written(name) = cells.get::<PairName>("on") {
        let primary = [("H1", "H2"), ("P1", "P2"), ("K", "L")];
        if primary.contains(&(name.value.from.as_str(), name.value.to.as_str())) {
            return Some(Located::new(On::Primary, name.span));
        }
    }
    let pair = c.on(cells)?;
    Some(Located::new(On::Pair(pair.value), pair.span))
}
