//! `[place since …]`: where the unit stands, dated, since units move and become spares.

use super::body::Body;
use super::schema::{Section, section};
use crate::ground::date::Date;
use crate::ground::span::{Given, Located, Span};

pub static SCHEMA: Section = section! {
    "place", Since, "where the unit stands, from a day on";
    keys {
        "site": Text "site";
        "bay": Text "bay or panel";
        "phase": Text "phase";
        "set": Text "CTs that must match, such as both sides of a differential zone";
        "spare for": Text "the set or unit that this one stands by for";
        "p1 towards": Text "what the terminal P1 (H1) faces: busbar, line, star point";
    }
    columns {}
};

/// A place, from a day on.
#[derive(Clone, Debug)]
pub struct Place {
    pub since: Option<Located<Date>>,
    pub site: Given<String>,
    pub bay: Given<String>,
    pub phase: Given<String>,
    pub set: Given<String>,
    pub spare_for: Given<String>,
    pub towards: Given<String>,
    pub notes: Vec<Located<String>>,
    pub span: Span,
}

impl Place {
    /// Takes what a section says; `[ct]` may hold the place of a unit that never moves.
    pub fn read(body: &Body, since: Option<Located<Date>>) -> Self {
        Self {
            since,
            site: body.get("site"),
            bay: body.get("bay"),
            phase: body.get("phase"),
            set: body.get("set"),
            spare_for: body.get("spare for"),
            towards: body.get("p1 towards"),
            notes: body.notes.clone(),
            span: body.open,
        }
    }

    /// Whether it says anything.
    pub fn is_empty(&self) -> bool {
        self.site.is_missing()
            && self.bay.is_missing()
            && self.phase.is_missing()
            && self.spare_for.is_missing()
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
