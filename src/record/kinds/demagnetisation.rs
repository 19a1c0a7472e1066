//! `[demagnetisation]`: an operation, not a measurement; it may repeat, and its place in the file is
//! its place in the work.

use super::Context;
use crate::ground::span::Given;
use crate::record::schema::section;
use crate::record::value::choices;

section! {
    "demagnetisation" or "demagnetization", "taking the residual magnetism out of a core";
    /// All of one section.
    Demagnetisation {
        method: Choice(Method)
            "open: by the secondary; closed: by the primary with a burden; dc: with falling reversals";
        "start": Either(Voltage, Current)
            "where the source started from: 480 V, or 480 A of primary current";
        "end": Either(Voltage, Current) "where it ended: 0 V";
        frequency: Frequency "frequency of the source, where it is not the rated one";
        "duration": Time "how long the way down took";
    }
    /// One core brought to zero.
    rows: DemagnetisationRow by rows {
        on: Pair "pair that was driven" or(&["pair"]);
        start: Voltage "voltage at the start";
        end: Voltage "voltage at the end";
        frequency: Frequency "frequency of the source, instead of the section's" positive set;
        time: Time "how long the way down took";
    }
}

choices! {
    /// How the core was demagnetised.
    #[strum(serialize_all = "lowercase")]
    pub enum Method {
        /// By the secondary, primary open.
        Open,
        /// By the primary, with a burden.
        Closed,
        /// By direct current with falling reversals.
        Dc,
    }
}

/// Without a table the keys speak of one core.
fn rows(c: &mut Context<'_>) -> Vec<DemagnetisationRow> {
    c.rows_or_one(DemagnetisationRow::read, |c, on| DemagnetisationRow {
        on,
        start: c.body.get("start"),
        end: c.body.get("end"),
        frequency: Given::Missing,
        time: c.body.get("duration"),
        span: c.body.open,
    })
}
