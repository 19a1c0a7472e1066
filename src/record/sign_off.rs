//! `[sign-off]`: who signed for what of a visit, and when. It says that somebody stands for the work; it changes no
//! verdict and is no clearance.

use super::body::{Body, Cells};
use super::kinds::Test;
use super::schema::{Stage, section};
use super::value::choices;
use super::visit::Visit;
use super::words;
use crate::ground::date::Date;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::span::{Given, Located, Span};

section! {
    "sign-off", OfVisit, "who signed for the visit or a stage of it, and when; it changes no verdict";
    /// All of one section.
    SignOffs::read(body: &Body) {} + {
        rows: Vec<SignOff> = body.cells().filter(|cells| !cells.is_blank()).map(SignOff::read).collect();
    }
    /// One signature.
    SignOff::read(cells: Cells<'_>) {
        covers "stage": Choice(Covers) "what is signed: what was found, what was left, or all of the visit";
        by "signed by": Text "who signed";
        whom "for": Text "for whom, or in which role: contractor, client";
        day "date": Text "the day of the signature, year-month-day";
    } + {
        /// The day, where it is one.
        date: Option<Located<Date>> = None;
        span: Span = cells.row.span;
    }
}

choices! {
    /// What a signature covers.
    #[strum(serialize_all = "lowercase")]
    pub enum Covers {
        #[strum(serialize = "as found")]
        AsFound,
        #[strum(serialize = "as left")]
        AsLeft,
        Visit,
    }
}

impl Covers {
    /// As it is written.
    pub fn word(self) -> &'static str {
        match self {
            Self::AsFound => "as found",
            Self::AsLeft => "as left",
            Self::Visit => "visit",
        }
    }

    /// As a sentence has it.
    pub fn words(self) -> &'static str {
        match self {
            Self::AsFound => "the tests as found",
            Self::AsLeft => "the tests as left",
            Self::Visit => "the visit",
        }
    }

    fn holds(self, test: &Test) -> bool {
        match (self, test.stage.value()) {
            (Self::Visit, _) | (Self::AsFound, Some(Stage::AsFound)) => true,
            (Self::AsLeft, Some(Stage::AsLeft)) => true,
            (Self::AsFound | Self::AsLeft, _) => false,
        }
    }
}

impl SignOff {
    fn covers(&self, test: &Test) -> bool {
        self.covers.value().is_some_and(|covers| covers.holds(test))
    }
}

/// Tells rows that lack something, days that cannot be, stages that are not there, and tests behind their signature.
pub(super) fn check(visit: &Visit, found: &mut Vec<Diagnostic>) {
    for row in &visit.sign_offs {
        let cells = [
            ("stage", row.covers.is_missing()),
            ("signed by", row.by.is_missing()),
            ("date", row.day.is_missing()),
        ];
        let missing = cells.into_iter().filter(|(_, is_missing)| *is_missing);
        found.extend(missing.map(|(word, _)| words::sign_off_incomplete(word, row.span)));
        if let Some(date) = row.date.filter(|date| date.value < visit.date.value) {
            let (signed, of) = (date.value, visit.date.value);
            found.push(words::sign_off_early(
                signed,
                of,
                date.span,
                visit.date.span,
            ));
        }
        if let Given::Written(Located { value, span }) = &row.covers
            && *value != Covers::Visit
            && !visit.tests.iter().any(|test| value.holds(test))
        {
            found.push(words::sign_off_stage(value.word(), *span, visit.span));
        }
    }
    for test in &visit.tests {
        let covering = || visit.sign_offs.iter().filter(|row| row.covers(test));
        let is_before = |row: &&SignOff| row.span.start < test.span.start;
        // Signed again below, it is covered after all.
        if let Some(row) = covering()
            .find(is_before)
            .filter(|_| covering().all(|row| is_before(&row)))
        {
            found.push(words::after_sign_off(test.kind.name(), test.span, row.span));
        }
    }
}
