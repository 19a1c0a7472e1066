//! `[place since …]`: where the unit stands, dated, since units move and become spares.

use super::reader::Body;
use super::schema::{Argument, Key, Kind, Section};
use crate::ground::date::Date;
use crate::ground::span::{Given, Located, Span};

pub static SCHEMA: Section = Section {
    name: "place",
    also: &[],
    argument: Argument::Since,
    keys: &[
        Key::new("site", Kind::Text, "site"),
        Key::new("bay", Kind::Text, "bay or panel"),
        Key::new("phase", Kind::Text, "phase"),
        Key::new(
            "set",
            Kind::Text,
            "CTs that must match, such as both sides of a differential zone",
        ),
        Key::new(
            "spare for",
            Kind::Text,
            "the set or unit that this one stands by for",
        ),
        Key::new(
            "p1 towards",
            Kind::Text,
            "what the terminal P1 (H1) faces: busbar, line, star point",
        ),
    ],
    columns: &[],
    doc: "where the unit stands, from a day on",
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
            site: body.text("site"),
            bay: body.text("bay"),
            phase: body.text("phase"),
            set: body.text("set"),
            spare_for: body.text("spare for"),
            towards: body.text("p1 towards"),
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
        let parts = [
            self.site.value().cloned(),
            self.bay.value().cloned(),
            self.phase.value().cloned(),
            spare,
        ];
        parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}
