//! `[restored]`: the last look before the lid is closed.

use super::state::{Earth, Links, Secondary};
use crate::record::schema::section;

section! {
    "restored", "as left, checked by a second person";
    /// How the CT was left.
    Restored {
        primary_links "primary links": Text
            "position of the primary links as left, where they can stand otherwise: series, parallel";
        checked_by "checked by": Text "the second person who looked";
    }
    /// How one core was left.
    cores: CoreRestored needs [] {
        core: Core "name of the core";
        links: Choice(Links) "the test links of the circuit as left: open or closed";
        secondary: Choice(Secondary)
            "the terminals of the winding as left: connected, shorted or open";
        earth: Choice(Earth)
            "where the secondary is earthed: panel, cabinet, cubicle, kiosk, box, relay, yard; or broken, none"
            or(&["ground", "earth at", "ground at"]);
        earths "earths counted": Count
            "earths found on the circuit; there is to be one" or(&["grounds counted"]);
        in_service "in service": Text "pair as left connected"
            or(&["tap in service"]);
        tight "terminals tight": Text "whether its terminals were found tight, or with what torque";
        remark: Text "anything else";
    }
}

impl Restored {
    /// Whether it says that the links of a core are closed.
    pub fn closes(&self, core: usize) -> bool {
        let mut own = self.cores.iter().filter(|row| row.core == Some(core));
        own.any(|row| row.links.value() == Some(&Links::Closed))
    }

    /// Whether it speaks of a core.
    pub fn names(&self, core: usize) -> bool {
        self.cores.iter().any(|row| row.core == Some(core))
    }
}
