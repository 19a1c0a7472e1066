//! `[continuity]`: the loop of a circuit from one of its places, read by a meter.

use super::Context;
use crate::record::readings::Measure;
use crate::record::schema::section;
use crate::record::value::choices;

section! {
    "continuity", "whether the secondary loop of a circuit is closed";
    /// All readings of one section.
    Continuity {}
    /// One reading.
    rows: ContinuityRow by rows {
        core: Core "name of the core";
        at: Text "where the loop was read: terminal box, panel" set;
        resistance: Resistance
            "resistance of the loop as shown; >2000 where the meter shows none" positive measures(Measure::Resistance);
        result: Choice(Loop) "closed or open, by a meter or by ear" or(&["closed or open"]);
        remark: Text "anything else";
    }
}

choices! {
    /// Whether current can go round.
    #[strum(serialize_all = "kebab-case")]
    pub enum Loop {
        Closed,
        Open,
    }
}

impl ContinuityRow {
    /// Whether all of it waits to be filled in.
    pub fn waits(&self) -> bool {
        self.resistance.is_missing() && self.result.is_missing()
    }
}

fn rows(c: &mut Context<'_>) -> Vec<ContinuityRow> {
    let needs = &[&["resistance", "result"] as &[&str]];
    c.rows_of_cores(needs, ContinuityRow::read, |row| row.core)
}
