//! Every finding by the tables of the standard that the plate names: an older one by its own name, and where
//! none is known, by none.

use super::assess::Judging;
use super::decision::WhyNot;
use super::finding::{Finding, Verdict};
use super::rules::{Rule, inter_turn, partial_discharge, protection as by_curve, ratio, withstand};
use super::words;
use crate::document::{Grade, Phrase, say};
use crate::standards::{self, Cited};
use crate::trade::{Class, Family, PlateStandard};

/// What is found for the sake of the class: without its limits it is not judged. All else was measured, and
/// has no limit then.
static OF_CLASS: &[&Rule] = &[
    &ratio::CLASS_SHOWN,
    &ratio::RATIO_BURDEN,
    &by_curve::SECURITY_FACTOR,
    &by_curve::COMPOSITE_ERROR,
    &by_curve::EXCITING_AT_CLASS,
    &by_curve::PEAK_EXCITING_CURRENT,
    &by_curve::REMANENCE_FACTOR,
    &by_curve::LOOP_TIME_CONSTANT,
];

/// What held shows nothing while nobody knows which voltage it had to hold.
static BY_VOLTAGE: &[&Rule] = &[
    &withstand::WITHSTAND,
    &withstand::BETWEEN_SECTIONS,
    &inter_turn::INTER_TURN,
    &partial_discharge::PARTIAL_DISCHARGE,
];

impl Finding {
    /// With the source of what it asks for, as the plate's standard has it.
    #[must_use]
    pub(super) fn citing(mut self, j: &Judging<'_>, row: &Cited) -> Self {
        self.remarks.extend(
            j.case
                .record
                .plate
                .cite(row)
                .map(|cited| words::cite(&cited)),
        );
        self
    }
}

/// Names the limits that findings are held against by the plate's standard. What it is not known to carry
/// is no limit of this transformer.
pub(super) fn by_standard(j: &Judging<'_>, findings: &mut [Finding]) {
    let Some(standard) = j.case.record.plate.standard.value() else {
        return;
    };
    for finding in findings {
        let class = finding.pair.and_then(|pair| {
            let core = j.case.core(pair)?;
            core.class_of(pair.ascending())
        });
        let by_turns = matches!(class, Some(Class::Knee { .. }));
        let turns = by_turns && finding.rule == &ratio::TURNS_RATIO;
        let rests = OF_CLASS.contains(&finding.rule) || turns;
        let lost = rests && class.is_some_and(|class| !carries(standard, class));
        let plate = &j.case.record.plate;
        let cited = finding.against.as_ref().map(|one| plate.cite(&one.cited));
        match (cited, &mut finding.against) {
            (Some(Some(cited)), Some(against)) if !lost => against.cited = cited,
            (Some(_), _) => unjudge(finding, standard),
            (None, _) if lost => unjudge(finding, standard),
            (None, _) => {}
        }
    }
}

fn unjudge(finding: &mut Finding, standard: &PlateStandard) {
    if finding.grade() == Grade::Fails && matches!(finding.verdict, Verdict::Observed(_)) {
        // What broke down did so at any voltage.
        return;
    }
    finding.against = None;
    if finding.rule == &ratio::CLASS_SHOWN {
        // They tell what lies within the limits.
        finding.remarks.clear();
    }
    if matches!(finding.verdict, Verdict::NotJudged(_)) {
        return;
    }
    if OF_CLASS.contains(&finding.rule) {
        finding.verdict = Verdict::NotJudged(unknown(standard));
    } else if BY_VOLTAGE.contains(&finding.rule) {
        finding.verdict = Verdict::NotDecided(WhyNot::TestVoltageUnknown);
    } else {
        finding.verdict = Verdict::NoLimit;
        finding.remarks.push(unknown(standard));
    }
}

/// Why nothing is judged.
pub(super) fn unknown(standard: &PlateStandard) -> Phrase {
    say!("no limits of {} are known for it", standard.text.clone())
}

/// Whether a standard is known to give the limits of a class.
pub(super) fn carries(standard: &PlateStandard, class: &Class) -> bool {
    // The turns ratio of IEC is none of IEEE's class X, whose own limits no table here has.
    let foreign = standard.family == Family::Ieee && matches!(class, Class::Knee { .. });
    !foreign && row_of(class).is_none_or(|row| standard.tables.cite(row).is_some())
}

/// A row that stands for a class; none where no table has it.
#[deny(clippy::wildcard_enum_match_arm)]
fn row_of(class: &Class) -> Option<&'static Cited> {
    match class {
        Class::Measuring { name, .. } => {
            let class = standards::measuring(name)?;
            class.rows.first().map(|row| &row.cited)
        }
        Class::Protection {
            composite,
            low_remanence,
            ..
        } => standards::protection(*composite, *low_remanence).map(|row| &row.cited),
        Class::Knee { low_remanence, .. } => standards::px(*low_remanence).map(|row| &row.cited),
        Class::Transient(kind) => standards::transient(*kind).map(|row| &row.cited),
        Class::IeeeMetering { name, .. } => {
            let class = standards::ieee_metering(name)?;
            class.rows.first().map(|row| &row.cited)
        }
        Class::IeeeRelay { volts, .. } => standards::ieee_relay(*volts).map(|row| &row.cited),
        Class::Other(_) => None,
    }
}
