//! `[place since …]`: where the unit stands, dated, since units move and become spares.

use super::body::Body;
use super::feeder::Feeder;
use super::phase;
use super::schema::section;
use crate::ground::date::Date;
use crate::ground::span::{Located, Span};
use crate::trade::mark;

section! {
    "place", Since, "where the unit stands, from a day on";
    /// A place, from a day on; `[ct]` may hold that of a unit that never moves.
    Place::read(body: &Body, since: Option<Located<Date>>) {
        site: Text "site";
        bay: Text "bay or panel";
        phase: Text "phase";
        set: Text "CTs that must match, such as both sides of a differential zone";
        spare_for "spare for": Text "the set or unit that this one stands by for";
        fed_by "fed by": Text
            "of an interposing CT, the core of the main CT that feeds its primary: id and core, BRW-26-00207 1S";
        position: Text "where in the bay or the building, in words or as coordinates";
        towards "p1 towards": Text "what the terminal P1 (H1) faces: busbar, line, star point";
    } + {
        since: Option<Located<Date>> = since;
        feeder: Option<Feeder> = Feeder::read(&body.get("fed by"));
        notes: Vec<Located<String>> = body.notes.clone();
        span: Span = body.open;
    }
}

impl Place {
    /// Whether it says anything.
    pub fn is_empty(&self) -> bool {
        self.site.is_missing()
            && self.bay.is_missing()
            && self.phase.is_missing()
            && self.spare_for.is_missing()
            && self.fed_by.is_missing()
    }

    /// What feeds the unit here, unless it stands by for another one.
    pub fn hangs_on(&self) -> Option<&Feeder> {
        let feeder = self.feeder.as_ref();
        feeder.filter(|_| self.spare_for.is_missing())
    }

    /// Whether another one is the same site, bay and phase.
    pub fn is_the_same(&self, other: &Self) -> bool {
        type Is = fn(&str, &str) -> bool;
        [
            (&self.site, &other.site, mark::is_one as Is),
            (&self.bay, &other.bay, mark::is_one),
            (&self.phase, &other.phase, phase::is_one),
        ]
        .into_iter()
        .all(|(one, other, is_one)| match (one.value(), other.value()) {
            (Some(one), Some(other)) => is_one(one, other),
            (one, other) => one.is_none() && other.is_none(),
        })
    }

    /// `Skerrow 132 kV, H07, L1`.
    pub fn text(&self) -> String {
        let spare = self.spare_for.value().map(|of| format!("spare for {of}"));
        let parts = [&self.site, &self.bay, &self.phase].map(|part| part.value().cloned());
        parts
            .into_iter()
            .chain([spare])
            .flatten()
            .collect::<Vec<_>>()
            .join(", ")
    }
}
