//! `[excitation]`: voltage on an open secondary and the current it takes.

use super::Context;
use crate::ground::diagnostic::Code;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::record::schema::{Section, section};
use crate::record::value::{Amendment, choices};
use strum::{EnumString, VariantNames};

pub static SCHEMA: Section = section! {
    "excitation", Pair, "voltage on the open secondary and the current it takes";
    keys {
        "voltmeter": Choice(Voltmeter)
            "mean: mean-sensing, scaled in r.m.s. of a sine; rms: true r.m.s.";
        "frequency": Frequency "frequency of the source, where it is not the rated one";
        "method": Text "how the curve was taken, where it is not by a rising sine voltage";
    }
    columns {
        "voltage": Voltage "voltage on the driven pair" positive;
        "current": Current "exciting current, r.m.s." positive;
        "peak": Current "exciting current, peak" positive;
        "angle": Angle "angle by which the current lags the voltage";
    }
};

/// How the voltmeter senses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Voltmeter {
    Mean,
    Rms,
}

choices!(Voltmeter);

/// One point of the curve.
#[derive(Clone, Debug)]
pub struct ExcitationRow {
    pub voltage: Given<Quantity>,
    pub current: Given<Quantity>,
    pub peak: Given<Quantity>,
    pub angle: Given<Quantity>,
    pub amended: Vec<Amendment>,
    pub span: Span,
}

/// One curve.
#[derive(Clone, Debug)]
pub struct Excitation {
    pub voltmeter: Given<Voltmeter>,
    pub frequency: Given<Quantity>,
    pub rows: Vec<ExcitationRow>,
}

pub fn read(c: &mut Context<'_>) -> Excitation {
    let rows = c.rows(&[&["voltage"], &["current"]], |c, cells| ExcitationRow {
        voltage: exact(c, cells.get("voltage"), "voltage"),
        current: exact(c, cells.get("current"), "current"),
        peak: exact(c, cells.get("peak"), "peak"),
        angle: exact(c, cells.get("angle"), "angle"),
        amended: cells.row.amended.clone(),
        span: cells.row.span,
    });
    Excitation {
        voltmeter: c.body.get("voltmeter"),
        frequency: c.body.get("frequency"),
        rows,
    }
}

/// A curve has no use for one-sided points.
fn exact(c: &mut Context<'_>, reading: Given<Quantity>, of: &str) -> Given<Quantity> {
    let Given::Written(Located { value, span }) = &reading else {
        return reading;
    };
    if value.is_exact() {
        return reading;
    }
    let told = Code::BoundHere
        .at(*span, format!("this is a bound, but `{of}` needs a value"))
        .label("only one side is known")
        .help("a point of a curve needs both values; delete the row and say in a `note:` where the source ended");
    c.found.push(told);
    Given::Unreadable(*span)
}
