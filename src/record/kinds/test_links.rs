//! `[test-links]`: test blocks, isolating links and shorting links, by what each does to the circuit.

use super::Context;
use crate::record::schema::section;
use crate::record::value::choices;

section! {
    "test-links", "how test blocks and links of a circuit stand; `stage` says whether as found or as left";
    /// All of one section.
    TestLinks {}
    /// One block or link.
    rows: TestLinkRow by rows {
        core: Core "name of the core";
        item: Text "its mark: X3 1-4" set;
        position: Choice(Position)
            "what it does to the circuit, whatever it is made of: through, shorted or open";
        remark: Text "anything else";
    }
}

choices! {
    /// What a link does to the circuit of its core. A plug that is in may short one block and part
    /// another one, so that no position of the hardware says it.
    #[strum(serialize_all = "kebab-case")]
    pub enum Position {
        /// The current goes on to relays and meters.
        Through,
        /// It goes back to the core before them.
        Shorted,
        /// It goes nowhere.
        Open,
    }
}

fn rows(c: &mut Context<'_>) -> Vec<TestLinkRow> {
    let needs = &[&["position"] as &[&str]];
    c.rows_of_cores(needs, TestLinkRow::read, |row| row.core)
}
