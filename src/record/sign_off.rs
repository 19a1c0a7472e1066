//! `[sign-off]`: who signed for what of a visit, and when. It says that somebody stands for the work; it changes no
//! verdict and is no clearance.

use super::body::{Body, Cells};
use super::kinds::Test;
use super::schema::{Stage, section};
use super::value::choices;
use super::visit::Visit;
use super::{taken, words};
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
            continue;
        }
        let signed: Vec<_> = covering().filter_map(|row| row.date).collect();
        let taken = taken::of(test).and_then(Given::get);
        let taken = taken.map(|taken| Located::new(taken.value.day, taken.span));
        let name = test.kind.name();
        found.extend(late(name, "was taken", taken, &signed));
        found.extend(late(name, "was amended", test.amended, &signed));
    }
    let of_all = |row: &&SignOff| row.covers.value() == Some(&Covers::Visit);
    let signed = visit.sign_offs.iter().filter(of_all);
    let signed: Vec<_> = signed.filter_map(|row| row.date).collect();
    found.extend(late("visit", "was amended", visit.amended, &signed));
}

/// What came after the day of the last signature that covers it.
fn late(
    name: &str,
    what: &str,
    on: Option<Located<Date>>,
    signed: &[Located<Date>],
) -> Option<Diagnostic> {
    let last = signed.iter().max_by_key(|signed| signed.value)?;
    let on = on.filter(|on| last.value < on.value)?;
    Some(words::after_signature(name, what, &on, last))
}

#[cfg(test)]
mod tests {
    use crate::ground::source::Source;

    #[test]
    fn what_is_not_done_is_of_the_visit_wherever_it_stands() {
        for paper in ["sign-off", "attachments"] {
            let text = format!(
                "format: 1\n[ct]\nid: A\n[core S]\nmarks: S1 S2\nratio: 600/1 A\n[visit 2026-03-14]\n[{paper}]\nnot done excitation S: no source on site\n"
            );
            let record = crate::record::read_alone(&Source::new("a.ctr", text.as_bytes()).0).0;
            let whys = record.visits.iter().flat_map(|visit| &visit.omissions);
            let whys: Vec<&str> = whys.map(|omission| omission.why.as_str()).collect();
            assert_eq!(whys, ["no source on site"], "{paper}");
        }
    }

    #[test]
    fn what_came_after_the_day_of_its_signature_is_told() {
        let load = |keys: &str, row: &str| format!("[load]\n{keys}core current/A\nS 0.5\n{row}");
        let amended = "amended: current was 0.6; transcription; R. Anvik 2026-03-17\n";
        for (visit, tests, signed, count) in [
            (
                "",
                load("taken: 2026-03-15\n", ""),
                "visit | R. Anvik | 2026-03-14",
                1,
            ),
            (
                "",
                load("taken: 2026-03-15\n", ""),
                "visit | R. Anvik | 2026-03-15",
                0,
            ),
            ("", load("", amended), "visit | R. Anvik | 2026-03-16", 1),
            ("", load("", amended), "visit | R. Anvik | 2026-03-17", 0),
            // Signed for again, the order of the rows is not that of the days.
            (
                "",
                load("", amended),
                "visit | S. Hollen | 2026-03-17\nvisit | R. Anvik | 2026-03-14",
                0,
            ),
            // Not covered.
            ("", load("", amended), "as left | R. Anvik | 2026-03-16", 0),
            (
                "stage: as left\n",
                load("", amended),
                "as left | R. Anvik | 2026-03-16",
                1,
            ),
            ("crew", load("", ""), "visit | R. Anvik | 2026-03-16", 1),
        ] {
            let crew = "crew: R. Anvik\namended: crew was S. Hollen; slip; R. Anvik 2026-03-17\n";
            let (crew, stage) = match visit {
                "crew" => (crew, ""),
                stage => ("", stage),
            };
            let tests = tests.replace("[load]\n", &format!("[load]\n{stage}"));
            let text = format!(
                "format: 1\n[ct]\nid: A\n[core S]\nmarks: S1 S2\nratio: 600/1 A\n[visit 2026-03-14]\n{crew}{tests}[sign-off]\nstage | signed by | date\n{signed}\n"
            );
            let told = crate::record::read_alone(&Source::new("a.ctr", text.as_bytes()).0).1;
            let late = told
                .iter()
                .filter(|told| told.code.name() == "after-sign-off");
            assert_eq!(late.count(), count, "{text}\n{told:?}");
        }
    }
}
