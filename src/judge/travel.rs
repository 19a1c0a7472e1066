//! Doubt travels: a finding that puts a core's curve, ratio or connection in doubt withholds every
//! verdict that rests on it, the transformer's and the circuit's. What is only a matter of the way of
//! measuring withholds a failure as well: it asks for the test again and fails no transformer.

use super::finding::{Finding, Verdict};
use super::rules::{self, Rule};
use crate::document::{Grade, Phrase, say};
use crate::judge::decision::Word;

/// How far a doubt reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reach {
    Core,
    Unit,
}

struct Doubt {
    of: &'static Rule,
    /// From which grade on the finding is a doubt.
    from: Grade,
    reach: Reach,
    /// What rests on what it doubts.
    withholds: &'static [&'static [&'static Rule]],
    /// Whether it explains a failure, and so withholds that too.
    explains: bool,
}

/// What is read off the excitation curve at and above the knee.
static BY_CURVE: &[&Rule] = &[
    &rules::protection::KNEE_EMF,
    &rules::protection::COMPOSITE_ERROR,
    &rules::protection::SECURITY_FACTOR,
    &rules::protection::EXCITING_AT_CLASS,
    &rules::protection::PEAK_EXCITING_CURRENT,
    &rules::protection::ACTUAL_FACTOR,
    &rules::protection::ACTUAL_FACTOR_RATED,
    &rules::duty::REQUIRED_KNEE,
    &rules::duty::REQUIRED_FACTOR,
];

/// What is read off its low end.
static BY_LOW_END: &[&Rule] = &[
    &rules::protection::EXCITING_CURRENT,
    &rules::ratio::TURNS_RATIO,
];

static BY_RATIO: &[&Rule] = &[
    &rules::ratio::RATIO_ERROR,
    &rules::ratio::PHASE_DISPLACEMENT,
    &rules::ratio::RATIO_CORRECTION_FACTOR,
    &rules::ratio::TRANSFORMER_CORRECTION_FACTOR,
    &rules::ratio::CLASS_SHOWN,
];

/// What the winding resistance goes into.
static BY_RESISTANCE: &[&Rule] = &[
    &rules::resistance::WINDING_RESISTANCE,
    &rules::protection::COMPOSITE_ERROR,
    &rules::protection::SECURITY_FACTOR,
    &rules::protection::EXCITING_AT_CLASS,
    &rules::protection::PEAK_EXCITING_CURRENT,
    &rules::protection::ACTUAL_FACTOR,
    &rules::protection::ACTUAL_FACTOR_RATED,
    &rules::duty::REQUIRED_FACTOR,
];

/// What holds only while the circuit is connected as marked.
static BY_CONNECTION: &[&Rule] = &[&rules::duty::REQUIRED_KNEE, &rules::duty::REQUIRED_FACTOR];

/// The doubts, from the one that explains most. Common practice, no source.
static DOUBTS: &[Doubt] = &[
    Doubt {
        of: &rules::excitation::PRIMARY_LOOP_SUSPECTED,
        from: Grade::Review,
        reach: Reach::Unit,
        withholds: &[BY_CURVE, BY_LOW_END, BY_RATIO],
        explains: true,
    },
    Doubt {
        of: &rules::excitation::RESIDUAL_MAGNETISM,
        from: Grade::Review,
        reach: Reach::Core,
        withholds: &[BY_LOW_END],
        explains: true,
    },
    Doubt {
        of: &rules::excitation::SHORTED_TURN_SUSPECTED,
        from: Grade::Review,
        reach: Reach::Core,
        withholds: &[BY_CURVE, BY_LOW_END],
        explains: false,
    },
    Doubt {
        of: &rules::excitation::CURVE_FLAW,
        from: Grade::Review,
        reach: Reach::Core,
        withholds: &[BY_CURVE, BY_LOW_END],
        explains: false,
    },
    Doubt {
        of: &rules::ratio::WRONG_TAP,
        from: Grade::Review,
        reach: Reach::Core,
        withholds: &[BY_CURVE, BY_RATIO, BY_CONNECTION],
        explains: false,
    },
    Doubt {
        of: &rules::resistance::WINDING_RESISTANCE_DRIFT,
        from: Grade::Review,
        reach: Reach::Core,
        withholds: &[BY_RESISTANCE],
        explains: true,
    },
    Doubt {
        of: &rules::polarity::POLARITY,
        from: Grade::Fails,
        reach: Reach::Core,
        withholds: &[BY_CONNECTION],
        explains: false,
    },
];

/// Withholds what rests on a doubt among the findings of a visit.
pub fn travel(findings: &mut [Finding]) {
    for doubt in DOUBTS {
        let is_one = |finding: &&Finding| finding.rule == doubt.of && finding.grade() >= doubt.from;
        let doubters: Vec<Finding> = findings.iter().filter(is_one).cloned().collect();
        for doubter in doubters {
            let reached = |finding: &&mut Finding| {
                let rests = doubt
                    .withholds
                    .iter()
                    .any(|all| all.contains(&finding.rule));
                rests && (doubt.reach == Reach::Unit || finding.core == doubter.core)
            };
            for finding in findings.iter_mut().filter(reached) {
                doubt.withhold(finding, &doubter);
            }
        }
    }
}

impl Doubt {
    fn withhold(&self, finding: &mut Finding, doubter: &Finding) {
        let touched = match finding.verdict {
            Verdict::Word(Word::Pass | Word::ConditionalPass | Word::ConditionalFail) => true,
            Verdict::Word(Word::Fail) | Verdict::NotMet => self.explains,
            Verdict::NotShown(_)
            | Verdict::NotDecided(_)
            | Verdict::NoLimit
            | Verdict::NotJudged(_)
            | Verdict::Observed(_) => false,
        };
        if touched {
            finding.verdict = Verdict::NotJudged(said(doubter));
            finding.next = doubter.action();
            finding.points_at.extend(doubter.points_at.first());
        }
    }
}

/// `residual magnetism stands against it`.
fn said(doubter: &Finding) -> Phrase {
    say!("{} stands against it", doubter.rule.title)
}
