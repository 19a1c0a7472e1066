//! Which tests a visit asks for, in the order in which they are worked.

use crate::ground::date::Date;
use crate::ground::span::{Given, Located, Span};
use crate::record::Record;
use crate::record::body::Body;
use crate::record::due;
use crate::record::kinds::TestKind;
use crate::record::visit::Visit;
use crate::trade::Purpose;
use strum::VariantArray;

/// A step of the work on the cores, in the order of the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, VariantArray)]
pub enum Step {
    Insulation,
    Resistance,
    Demagnetisation,
    Excitation,
    Ratio,
    RatioByCurrent,
    Burden,
}

impl Step {
    /// What it is called, the test that asks for it, and what can hurt in it.
    fn told(self) -> (&'static str, TestKind, &'static str) {
        let live = "Every open terminal of the winding is live while the source is on. Keep clear, and put a barrier up.";
        match self {
            Self::Insulation => (
                "Insulation resistance",
                TestKind::Insulation,
                "Direct voltage and stored charge: discharge before every change of leads.",
            ),
            Self::Resistance => (
                "Winding resistance",
                TestKind::Resistance,
                "An interrupted direct current throws a dangerous voltage across the winding: run it down first.",
            ),
            Self::Demagnetisation => ("Demagnetisation", TestKind::Demagnetisation, live),
            Self::Excitation => ("Excitation", TestKind::Excitation, live),
            Self::Ratio => (
                "Ratio and polarity by voltage",
                TestKind::Ratio,
                "The whole winding is live while the source is on, and the primary carries the induced voltage.",
            ),
            Self::RatioByCurrent => (
                "Ratio by current",
                TestKind::Ratio,
                "The secondary carries current: it is never opened while the primary is driven.",
            ),
            Self::Burden => (
                "Connected burden",
                TestKind::Burden,
                "If the primary can carry current, the CT side is shorted, and the short proven, before a link is opened.",
            ),
        }
    }

    pub fn name(self) -> &'static str {
        self.told().0
    }

    fn kind(self) -> TestKind {
        self.told().1
    }

    pub fn caution(self) -> &'static str {
        self.told().2
    }
}

/// A visit that has not been made yet.
#[must_use]
pub fn visit_of(purpose: &str, date: Date) -> Visit {
    let mut visit = Visit::read(&Body::default(), Located::new(date, Span::default()), None);
    visit.purpose = Given::Written(Located::new(purpose.to_owned(), Span::default()));
    visit
}

/// Indices of the cores on which a step is due, at a visit of this purpose. Purposes with a free choice
/// of tests get the list of a commissioning.
#[must_use]
pub fn cores(record: &Record, purpose: &str, step: Step) -> Vec<usize> {
    let mut visit = visit_of(purpose, Date::constant(2000, 1, 1));
    if !matches!(
        visit.purpose(),
        Purpose::Commissioning | Purpose::Maintenance
    ) {
        visit = visit_of("commissioning", Date::constant(2000, 1, 1));
    }
    let due = due::due(record, &visit);
    let asked = |index: &usize| {
        let mut own = due.iter();
        own.any(|due| due.kind == step.kind() && due.core == *index)
    };
    let measuring = |index: &usize| {
        let class = record.cores.get(*index).and_then(|core| core.class.value());
        class.is_some_and(|class| class.is_measuring())
    };
    (0..record.cores.len())
        .filter(asked)
        .filter(|index| step != Step::RatioByCurrent || measuring(index))
        .collect()
}

/// Whether polarity is due, so that a kick test is an answer where the ratio test shows no phase.
#[must_use]
pub fn polarity(record: &Record, purpose: &str) -> bool {
    visit_of(purpose, Date::constant(2000, 1, 1)).purpose() != Purpose::Maintenance
        && !record.cores.is_empty()
}
