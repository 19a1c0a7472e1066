//! Turns by voltage. For a measuring class the method can show that it is not met, never that it is
//! met; the phase read belongs to no class.

use super::{FAR_OFF, advice, heads, within};
use crate::derive::kinds::ratio::{Correction, Turns};
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Against, Finding, Found, Verdict, unit};
use crate::judge::kinds::doubt::{held, withheld};
use crate::judge::rules;
use crate::judge::verdict::{cited_limit, expanded};
use crate::judge::words::{brief, quantity, rounded};
use crate::record::core::Core;
use crate::standards::{Cited, Provenance, ieee_metering, px};
use crate::trade::{Class, Pair};

pub(super) fn judge(j: &mut Judging<'_>) {
    let derived = j.derived;
    for turns in &derived.ratio.turns {
        let Some(core) = j.case.core(turns.pair) else {
            continue;
        };
        let error = error(j, core, turns);
        j.findings.push(error);
        let wrong = wrong_tap(j, core, turns);
        j.findings.extend(wrong);
        let level = level(j, turns);
        j.findings.extend(level);
    }
}

/// What the turns are held against.
enum Limit {
    /// A two-sided limit of standard or client.
    Both(Against),
    /// A measuring class: outside it by the turns alone is outside.
    OneSided(Against),
    None,
}

fn limit(j: &Judging<'_>, core: &Core, pair: Pair) -> Limit {
    let tap_of_knee = core
        .tap(pair.from, pair.to)
        .is_some_and(|tap| tap.knee.get().is_some());
    let whole = core
        .class
        .value()
        .or_else(|| core.full_tap().and_then(|tap| tap.class.value()));
    let by_knee = whole.filter(|class| tap_of_knee && matches!(class, Class::Knee { .. }));
    let class = core.class_of(pair).or(by_knee);
    match class {
        Some(Class::Knee { low_remanence, .. }) => match px(*low_remanence) {
            Some(limit) => Limit::Both(within(limit.turns_ratio_error, &limit.cited).needs_u()),
            None => Limit::None,
        },
        Some(class) if class.is_measuring() => match of_class(j, class, pair) {
            Some(limit) if core.turns_compensation.is_missing() => Limit::OneSided(limit),
            _ => Limit::None,
        },
        _ if whole.is_some_and(Class::is_measuring) => Limit::None,
        _ => client(j).map_or(Limit::None, Limit::Both),
    }
}

/// The class limit at rated current, as a limit of the magnitude.
fn of_class(j: &Judging<'_>, class: &Class, pair: Pair) -> Option<Against> {
    match class {
        Class::Measuring { .. } => {
            let row = super::class::measuring_class(&j.case, pair)?
                .0
                .at(100.0, None)?;
            Some(within(row.ratio_error, &row.cited).needs_u())
        }
        Class::IeeeMetering { name, .. } => {
            let class = ieee_metering(name).filter(|class| class.judged)?;
            let row = class.at(100.0, 1.0)?;
            // To first order; the difference is a hundredth of the limit at most.
            Some(within(100.0 * (row.tcf_max - 1.0), &row.cited).needs_u())
        }
        _ => None,
    }
}

/// The client's tolerance of the turns ratio.
fn client(j: &Judging<'_>) -> Option<Against> {
    let limit = j.case.criteria.turns?;
    Some(within(limit, &criteria(j, "turns")))
}

fn criteria(j: &Judging<'_>, key: &str) -> Cited {
    let file = match j.case.criteria.file.as_str() {
        "" => "criteria.toml",
        file => file,
    };
    Cited {
        id: format!("criteria-ratio-{}", key.replace(' ', "-")),
        source: format!("{file}, ratio {key}"),
        provenance: Provenance::Seen,
        note: None,
    }
}

/// The share of the knee that a ratio test may reach: the job's, or this program's own.
fn share_of_knee(j: &Judging<'_>) -> Cited {
    let mut cited = criteria(j, "share of knee");
    if j.case.criteria.file.is_empty() {
        cited.source = "default of this program; common practice, no source".to_owned();
        cited.provenance = Provenance::Derived;
    }
    cited
}

fn error(j: &Judging<'_>, core: &Core, turns: &Turns) -> Finding {
    let runs = &j.derived.ratio.runs;
    let by_current = runs.iter().any(|run| run.pair == turns.pair);
    let mut finding = Finding::new(
        &rules::TURNS_RATIO,
        Found::Known(turns.error),
        unit::PERCENT,
    )
    .at(turns.test, turns.pair, turns.readings.clone());
    finding.headline = heads(j, turns.pair) && !by_current;
    finding.remarks = remarks(j, core, turns);
    finding = match limit(j, core, turns.pair) {
        Limit::Both(against) => held(j, finding, against, turns.doubtful),
        Limit::OneSided(against) => one_sided(j, turns, finding, against),
        Limit::None => withheld(finding, turns.doubtful),
    };
    if turns.error.si.abs() <= FAR_OFF {
        return finding;
    }
    if turns.fits.is_some() {
        return finding.next("it reads as another tap: settle that first");
    }
    if finding.verdict == Verdict::NoLimit {
        finding.verdict = Verdict::Observed(Grade::Review);
    }
    finding.next(advice(1.0 / (1.0 + turns.error.si / 100.0), 0.01))
}

fn one_sided(j: &Judging<'_>, turns: &Turns, mut finding: Finding, against: Against) -> Finding {
    let u = expanded(j.w, turns.error, j.case.criteria);
    let outside = against
        .requirement
        .upper
        .zip(u)
        .is_some_and(|(limit, u)| turns.error.si.abs() - u > limit);
    if outside && turns.doubtful.is_none() {
        finding.verdict = Verdict::NotMet;
        finding.against = Some(against);
        return finding.remark(
            "the turns alone are outside the class, and no turns compensation is on the plate",
        );
    }
    withheld(finding, turns.doubtful)
}

fn remarks(j: &Judging<'_>, core: &Core, turns: &Turns) -> Vec<Phrase> {
    let rated = turns.ratio.si * (1.0 + turns.error.si / 100.0);
    let mut remarks = vec![
        say!(
            "{} secondary turns per primary turn against {}; positive: fewer turns than rated",
            quantity(turns.ratio.si, 5, unit::ONE),
            brief(rated, "")
        ),
        correction(&turns.correction),
    ];
    if let Some(whole) = turns.whole {
        let u = expanded(j.w, whole, j.case.criteria);
        remarks.extend(u.map(|u| Whole::of(whole.si, u).phrase(whole.si, u)));
    }
    let taken_off = core.turns_compensation.value();
    if let Some(off) = taken_off.filter(|_| core.is_full(turns.pair)) {
        let off = brief(*off, "");
        remarks.push(say!(
            "{} turns taken off on purpose, according to the rating plate",
            off
        ));
    }
    let class = core.class.value().or_else(|| core.class_of(turns.pair));
    if class.is_some_and(Class::is_measuring) {
        remarks.push(
            "the voltage method cannot show the class; by current at rated burden it can".into(),
        );
    }
    if let Some(phase) = turns.phase {
        let minute = unit::MINUTE_OF_ARC;
        remarks.push(say!(
            "phase {}: for polarity and correction, not the phase displacement of a class",
            brief(phase.si * minute.per_si, minute.word)
        ));
    }
    remarks
}

fn correction(made: &Correction) -> Phrase {
    let why = match made {
        Correction::Made { percent, frequency } => {
            let drop = Quantity::new(rounded(*percent, 2), "%");
            let made = say!("corrected for the drop of the exciting current, {}", drop);
            return match frequency {
                Some(hertz) => say!("{}, from the curve at {}", made, brief(*hertz, "Hz")),
                None => made,
            };
        }
        Correction::NotNeeded => return "section read beside the driven pair".into(),
        Correction::NoCurve => "no curve of this pair",
        Correction::OutsideCurve => "the curve does not hold this voltage",
        Correction::NoResistance => "no winding resistance",
        Correction::FarOff => "the ratio is not that of this pair",
    };
    say!(
        "not corrected for the drop of the exciting current: {}",
        why
    )
}

/// What a number of turns with its expanded uncertainty says of the nearest whole number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Whole {
    /// It is that one and no neighbour.
    Nearest,
    /// It is between two.
    Between,
    /// The uncertainty cannot tell it from its neighbours.
    Untold,
}

impl Whole {
    pub fn of(turns: f64, u: f64) -> Self {
        if (turns - libm::round(turns)).abs() + u < 0.5 {
            Self::Nearest
        } else if u < 0.5 {
            Self::Between
        } else {
            Self::Untold
        }
    }

    pub fn phrase(self, turns: f64, u: f64) -> Phrase {
        let nearest = Quantity::new(format!("{}", libm::round(turns)), "");
        let u = quantity(u, 2, unit::ONE);
        match self {
            Self::Nearest => {
                say!(
                    "nearest whole turns {}; U of {} turns leaves no neighbour",
                    nearest,
                    u
                )
            }
            Self::Between => {
                let turns = quantity(turns, 5, unit::ONE);
                say!("{} turns, U {} turns: between two whole numbers", turns, u)
            }
            Self::Untold => {
                say!(
                    "U of {} turns cannot tell {} turns from its neighbours",
                    u,
                    nearest
                )
            }
        }
    }
}

fn wrong_tap(j: &Judging<'_>, core: &Core, turns: &Turns) -> Option<Finding> {
    let other = turns.fits.filter(|_| turns.doubtful.is_none())?;
    let known = &j.derived.ratio.turns;
    let back = known
        .iter()
        .find(|known| known.pair == other && known.fits == Some(turns.pair));
    let how = match back {
        Some(_) => "leads exchanged",
        None => "leads may be on another tap",
    };
    let fits = Phrase::terminals(core.pair_text(other.from, other.to));
    let spans = turns.readings.iter().copied();
    let spans = spans
        .chain(
            back.into_iter()
                .flat_map(|back| back.readings.iter().copied()),
        )
        .chain(core.tap(turns.pair.from, turns.pair.to).map(|tap| tap.span));
    let mut finding = Finding::new(&rules::WRONG_TAP, Found::Known(turns.ratio), unit::ONE)
        .at(turns.test, turns.pair, spans.collect())
        .observed(say!("that of {}, {}", fits, how))
        .headline();
    finding.verdict = Verdict::Observed(Grade::Fails);
    Some(finding)
}

/// Volts per turn, and whether the core was driven too near to its knee.
fn level(j: &Judging<'_>, turns: &Turns) -> Option<Finding> {
    let made = |value, unit, how| {
        Finding::new(&rules::VOLTS_PER_TURN, Found::Known(value), unit)
            .at(turns.test, turns.pair, turns.readings.clone())
            .under(Condition::Counted(how))
    };
    let per_turn = made(turns.per_turn?, unit::MILLIVOLT, "per turn");
    let most = j.case.criteria.ratio_share_of_knee;
    let finding = match turns.of_knee {
        None => per_turn.remark("no knee is known to hold it against"),
        Some(share) if share.si <= most => {
            let share = quantity(share.si, 2, unit::PERCENT);
            per_turn.remark(say!("{} of the knee", share))
        }
        Some(share) => {
            let cited = share_of_knee(j);
            let mut finding = made(share, unit::PERCENT, "as a share of the knee");
            finding.against = Some(cited_limit(Requirement::at_most(most), &cited));
            finding.verdict = Verdict::Observed(Grade::Review);
            finding
        }
    };
    Some(withheld(finding, turns.doubtful))
}
