//! `[stability]`: what a differential zone operates by and restrains by, while current goes through it.

use super::Context;
use super::load::Load;
use crate::ground::span::Given;
use crate::record::phase::Phase;
use crate::record::schema::section;
use crate::record::value::choices;

section! {
    "stability", "operating and restraining current of a differential zone";
    /// All of one section.
    Stability {
        zone: Text "the differential zone, by its name";
        method: Choice(Method) "where the current comes from; load unless written";
        taken: Moment "when it was read, where that is not the day of the visit, or its time matters";
        fault: Choice(Fault)
            "through: the current leaves the zone again; in-zone: it ends inside; through unless written";
        limit: Percent
            "largest operating current, as a share of the restraining one, that the instruction states" positive;
    }
    /// One reading.
    rows: StabilityRow by rows {
        core: Core "name of the core";
        at: Text "the relay, by its mark" set;
        phase: Choice(Phase) "the phase that was read" set;
        operate: Current "operating (differential) current";
        restrain: Current "restraining (bias) current" positive;
        remark: Text "anything else";
    }
}

choices! {
    /// Where the current of a zone comes from.
    #[strum(serialize_all = "lowercase")]
    pub enum Method {
        Load,
        #[strum(serialize = "primary injection")]
        PrimaryInjection,
        #[strum(serialize = "secondary injection")]
        SecondaryInjection,
    }

    /// Where the current goes.
    #[strum(serialize_all = "kebab-case")]
    pub enum Fault {
        Through,
        InZone,
    }
}

impl Stability {
    /// Whether the network drove the current, and a reading was taken: the primary was energised.
    #[must_use]
    pub fn is_energised(&self) -> bool {
        let by_load = self.method.is_missing() || self.method.value() == Some(&Method::Load);
        let read = |row: &StabilityRow| !(row.operate.is_missing() && row.restrain.is_missing());
        by_load && self.rows.iter().any(read)
    }

    /// Whether what drives its current drove that of readings on load as well.
    #[must_use]
    pub fn is_driven_as(&self, load: &Load) -> bool {
        match self.method {
            Given::Missing => !load.is_injected(),
            Given::Written(ref method) => match method.value {
                Method::Load => !load.is_injected(),
                Method::PrimaryInjection => load.is_injected(),
                Method::SecondaryInjection => false,
            },
            Given::Unreadable(_) => false,
        }
    }

    /// Whether the current was the primary's own and left the zone again.
    #[must_use]
    pub fn is_through(&self) -> bool {
        let unread = self.method.is_unreadable() || self.fault.is_unreadable();
        let fed = self.method.value() == Some(&Method::SecondaryInjection);
        !unread && !fed && self.fault.value() != Some(&Fault::InZone)
    }
}

fn rows(c: &mut Context<'_>) -> Vec<StabilityRow> {
    c.rows_of_cores(&[], StabilityRow::read, |row| row.core)
}
