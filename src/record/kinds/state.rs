//! `[state]`: as found, before anything is touched. Star point, earth and links are where CTs trip
//! people and plants.

use crate::record::schema::section;

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
        links: Text "test and shorting links";
        remark: Text "anything else";
    }
}
