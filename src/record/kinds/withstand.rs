//! `[withstand]`: a power-frequency or direct voltage held for a time.

use super::Context;
use crate::record::schema::section;
use crate::record::value::choices;

section! {
    "withstand", "a test voltage held for a time";
    /// All of one section.
    Withstand {}
    /// One application of voltage.
    rows: WithstandRow by rows {
        between: Between "what was tested against what";
        voltage: Voltage "test voltage, r.m.s." positive exact;
        time: Time "how long it was held" positive exact;
        result: Choice(Outcome) "held or broke-down" or(&["held or broke-down"]);
    }
}

choices! {
    /// How a test voltage went.
    #[strum(serialize_all = "kebab-case")]
    pub enum Outcome {
        Held,
        BrokeDown,
    }
}

fn rows(c: &mut Context<'_>) -> Vec<WithstandRow> {
    c.rows(&[], WithstandRow::read)
}
