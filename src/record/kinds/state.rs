//! `[state]`: as found, before anything is touched. Star point, earth and links are where CTs trip
//! people and plants.

use crate::record::schema::section;
use crate::record::value::choices;

section! {
    "state", "as found, before anything is touched";
    /// How the CT was found.
    State {
        primary: Text "state of the primary: P1 open, P2 earthed";
        links "primary links": Text "position of the primary links as found";
    }
    /// How one core was found.
    cores: CoreState needs [] {
        core: Core "name of the core";
        in_service "in service": Text "pair that is connected, or spare";
        earth: Text "where the secondary is earthed" or(&["ground"]);
        star: Text "terminal at the star point";
        links: Choice(Links) "the test links of the circuit: open or closed";
        secondary: Choice(Secondary) "the terminals of the winding: connected, shorted or open";
        remark: Text "anything else";
    }
}

choices! {
    /// The test links between a winding and its circuit.
    #[strum(serialize_all = "kebab-case")]
    pub enum Links {
        Open,
        Closed,
    }

    /// What the terminals of a winding are tied to. A free remark never says it: "shorting link
    /// removed" and "shorted" differ by a word, and an open secondary can kill.
    #[strum(serialize_all = "kebab-case")]
    pub enum Secondary {
        /// To its circuit.
        Connected,
        Shorted,
        Open,
    }
}
