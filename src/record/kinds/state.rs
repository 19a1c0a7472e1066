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
        in_service "in service": Text "pair that is connected, or spare"
            or(&["tap in service"]);
        earth: Choice(Earth)
            "where the secondary is earthed: panel, cabinet, cubicle, kiosk, box, relay, yard; or broken, none"
            or(&["ground", "earth at", "ground at"]);
        star: Text "terminal at the star point" or(&["star point"]);
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

    /// Where the single earth of a secondary is; or that there is none. In words of the record's own,
    /// "broken" could not be told from a place.
    #[derive(strum::IntoStaticStr)]
    #[strum(serialize_all = "kebab-case")]
    pub enum Earth {
        Panel,
        Cabinet,
        Cubicle,
        Kiosk,
        /// The terminal box of the transformer.
        Box,
        Relay,
        Yard,
        Broken,
        None,
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

impl Earth {
    /// Whether the secondary is left without its earth.
    pub fn is_lacking(self) -> bool {
        matches!(self, Self::Broken | Self::None)
    }
}

impl State {
    /// Whether something of a core was found out of service, so that it is to be put back.
    pub fn is_off(&self, core: usize) -> bool {
        let mut rows = self.cores.iter().filter(|row| row.core == Some(core));
        rows.any(|row| row.is_off() || row.is_unearthed())
    }
}

impl CoreState {
    /// Whether a link was open, or a core in service not connected. A spare stays shorted.
    pub fn is_off(&self) -> bool {
        let off = matches!(
            self.secondary.value(),
            Some(Secondary::Shorted | Secondary::Open)
        );
        let spare = self.in_service.value().is_some_and(|text| text == "spare");
        self.links.value() == Some(&Links::Open) || (off && !spare)
    }

    pub fn is_unearthed(&self) -> bool {
        self.earth.value().is_some_and(|earth| earth.is_lacking())
    }
}
