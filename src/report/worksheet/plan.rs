//! Which tests a visit asks for, in the order in which they are worked.

use crate::ground::date::Date;
use crate::ground::span::{Given, Located, Span};
use crate::record::Record;
use crate::record::body::Body;
use crate::record::due;
use crate::record::kinds::TestKind;
use crate::record::visit::Visit;
use crate::trade::Purpose;

/// A step of the work on the cores.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
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
    /// In the order of the work.
    pub const ALL: &'static [Self] = &[
        Self::Insulation,
        Self::Resistance,
        Self::Demagnetisation,
        Self::Excitation,
        Self::Ratio,
        Self::RatioByCurrent,
        Self::Burden,
    ];

    /// What it is called on the sheet.
    pub fn name(self) -> &'static str {
        match self {
            Self::Insulation => "Insulation resistance",
            Self::Resistance => "Winding resistance",
            Self::Demagnetisation => "Demagnetisation",
            Self::Excitation => "Excitation",
            Self::Ratio => "Ratio and polarity by voltage",
            Self::RatioByCurrent => "Ratio by current",
            Self::Burden => "Connected burden",
        }
    }

    fn kind(self) -> TestKind {
        match self {
            Self::Insulation => TestKind::Insulation,
            Self::Resistance => TestKind::Resistance,
            Self::Demagnetisation => TestKind::Demagnetisation,
            Self::Excitation => TestKind::Excitation,
            Self::Ratio | Self::RatioByCurrent => TestKind::Ratio,
            Self::Burden => TestKind::Burden,
        }
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
        due.iter()
            .any(|due| due.kind == step.kind() && due.core == *index)
    };
    let measuring = |index: &usize| {
        record
            .cores
            .get(*index)
            .and_then(|core| core.class.value())
            .is_some_and(|class| class.is_measuring())
    };
    let by_current = step == Step::RatioByCurrent;
    (0..record.cores.len())
        .filter(asked)
        .filter(|index| !by_current || measuring(index))
        .collect()
}

/// Whether polarity is due, so that a kick test is an answer where the ratio test shows no phase.
#[must_use]
pub fn polarity(record: &Record, purpose: &str) -> bool {
    visit_of(purpose, Date::constant(2000, 1, 1)).purpose() != Purpose::Maintenance
        && !record.cores.is_empty()
}
