//! Turns by voltage. For a measuring class the method can show that it is not met, never that it is
//! met; the phase read belongs to no class.

use super::{finding, heads, held, in_doubt, plain, within};
use crate::derive::kinds::ratio::{Correction, Turns};
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Against, Finding, Found, Verdict, Weight, Whose, unit};
use crate::judge::say::rounded;
use crate::judge::verdict::{cited_limit, expanded};
use crate::record::class::Class;
use crate::record::core::Core;
use crate::record::kinds::TestKind;
use crate::record::value::Pair;
use crate::standards::{Cited, Provenance, ieee_metering, px};

/// A ratio further off than this, per cent, is wrong even where no limit is known. Common practice, no source.
const FAR_OFF: f64 = 5.0;

/// How near to a factor of two, per cent.
const FACTOR: f64 = 1.0;

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

fn error(j: &Judging<'_>, core: &Core, turns: &Turns) -> Finding {
    let mut told = finding(
        "turns-ratio",
        "turns ratio error by voltage",
        turns.error,
        unit::PERCENT,
    );
    told = told.at(turns.test, turns.pair, turns.readings.clone());
    told.headline = heads(j, turns.pair)
        && !j
            .derived
            .ratio
            .runs
            .iter()
            .any(|run| run.pair == turns.pair);
    told = remarks(j, core, turns, told);
    let far = turns.error.si.abs() > FAR_OFF;
    told = match limit(j, core, turns.pair) {
        Limit::Both(against) => held(j, told, against, turns.doubtful),
        Limit::OneSided(against) => one_sided(j, turns, told, against),
        Limit::None => in_doubt(told, turns.doubtful),
    };
    if far && turns.fits.is_none() && told.verdict == Verdict::NoLimit {
        told.verdict = Verdict::Observed(Weight::Doubt);
    }
    if far { told.next(advice(turns)) } else { told }
}

fn one_sided(j: &Judging<'_>, turns: &Turns, mut told: Finding, against: Against) -> Finding {
    let u = expanded(j.w, turns.error, j.case.criteria);
    let outside = against
        .requirement
        .upper
        .zip(u)
        .is_some_and(|(limit, u)| turns.error.si.abs() - u > limit);
    if outside && turns.doubtful.is_none() {
        told.verdict = Verdict::NotMet;
        told.against = Some(against);
        return told.remark(
            "the turns alone are outside the class, and no turns compensation is on the plate",
        );
    }
    in_doubt(told, turns.doubtful)
}

fn remarks(j: &Judging<'_>, core: &Core, turns: &Turns, mut told: Finding) -> Finding {
    let rated = turns.ratio.si * (1.0 + turns.error.si / 100.0);
    told = told.remark(format!(
        "{} secondary turns per primary turn against {}; positive: fewer turns than rated",
        rounded(turns.ratio.si, 5),
        plain(rated)
    ));
    told = told.remark(match turns.correction {
        Correction::Made { percent, frequency: None } => {
            format!("corrected for the drop of the exciting current, {} %", rounded(percent, 2))
        }
        Correction::Made { percent, frequency: Some(hertz) } => {
            format!("corrected for the drop of the exciting current, {} %, from the curve at {} Hz", rounded(percent, 2), plain(hertz))
        }
        Correction::NoCurve => "not corrected for the drop of the exciting current: no curve of this pair".to_owned(),
        Correction::OutsideCurve => "not corrected for the drop of the exciting current: the curve does not hold this voltage".to_owned(),
        Correction::NoResistance => "not corrected for the drop of the exciting current: no winding resistance".to_owned(),
        Correction::FarOff => "not corrected for the drop of the exciting current: the ratio is not that of this pair".to_owned(),
        Correction::NotNeeded => "section read beside the driven pair".to_owned(),
    });
    told.remarks.extend(whole_turns(j, turns));
    if let Some(off) = core
        .turns_compensation
        .value()
        .filter(|_| core.is_full(turns.pair))
    {
        told = told.remark(format!(
            "{} turns taken off on purpose, by the plate",
            plain(*off)
        ));
    }
    let class = core.class.value().or_else(|| core.class_of(turns.pair));
    if class.is_some_and(Class::is_measuring) {
        told = told
            .remark("the voltage method cannot show the class; by current at rated burden it can");
    }
    if let Some(phase) = turns.phase {
        let minutes = phase.si * unit::MINUTE_OF_ARC.per_si;
        told = told.remark(format!(
            "phase {} arcmin: for polarity and correction, not the phase displacement of a class",
            plain(minutes)
        ));
    }
    told
}

/// Nearest whole number of turns, if the uncertainty tells it from its neighbours.
fn whole_turns(j: &Judging<'_>, turns: &Turns) -> Option<String> {
    let whole = turns.whole?;
    let u = expanded(j.w, whole, j.case.criteria)?;
    let nearest = libm::round(whole.si);
    Some(if (whole.si - nearest).abs() + u < 0.5 {
        format!(
            "nearest whole turns {nearest}; U of {} turns leaves no neighbour",
            rounded(u, 2)
        )
    } else if u < 0.5 {
        format!(
            "{} turns, U {} turns: between two whole numbers",
            rounded(whole.si, 5),
            rounded(u, 2)
        )
    } else {
        format!(
            "U of {} turns cannot tell {nearest} turns from its neighbours",
            rounded(u, 2)
        )
    })
}

/// What to do about a ratio that is far off.
fn advice(turns: &Turns) -> &'static str {
    if turns.fits.is_some() {
        return "it reads as another tap: clear that first";
    }
    let factor = 1.0 / (1.0 + turns.error.si / 100.0);
    let near = |wanted: f64| 100.0 * (factor / wanted - 1.0).abs() <= FACTOR;
    if near(2.0) || near(0.5) {
        "a factor of two: look at tap, primary links and passes, then measure again"
    } else {
        "check the leads, the pair and the plate's ratio, then measure again"
    }
}

fn wrong_tap(j: &Judging<'_>, core: &Core, turns: &Turns) -> Option<Finding> {
    let other = turns.fits.filter(|_| turns.doubtful.is_none())?;
    let (own, fits) = (
        core.pair_text(turns.pair.from, turns.pair.to),
        core.pair_text(other.from, other.to),
    );
    let back = j
        .derived
        .ratio
        .turns
        .iter()
        .find(|known| known.pair == other && known.fits == Some(turns.pair));
    let what = match back {
        Some(_) => format!(
            "{own} reads as {fits} and {fits} as {own}, leads exchanged; turns per primary turn"
        ),
        None => {
            format!("{own} reads as {fits}, leads perhaps on another tap; turns per primary turn")
        }
    };
    let mut told = finding("wrong-tap", what, turns.ratio, unit::ONE).at(
        turns.test,
        turns.pair,
        turns.readings.clone(),
    );
    told.verdict = Verdict::Observed(Weight::Defect);
    told.points_at.extend(
        back.into_iter()
            .flat_map(|back| back.readings.iter().copied()),
    );
    told.points_at
        .extend(core.tap(turns.pair.from, turns.pair.to).map(|tap| tap.span));
    told.headline = true;
    Some(told.next("trace the leads from terminal to winding; correct them before the tap goes into service, then measure again"))
}

/// Volts per turn, and whether the core was driven too near to its knee.
fn level(j: &Judging<'_>, turns: &Turns) -> Option<Finding> {
    let found = Found::Known(turns.per_turn?);
    let mut told = Finding::new(
        "volts-per-turn",
        TestKind::Ratio,
        Whose::Work,
        "volts per turn in the ratio test",
        found,
        unit::MILLIVOLT,
    );
    told = told.at(turns.test, turns.pair, turns.readings.clone());
    let Some(share) = turns.of_knee else {
        return Some(in_doubt(
            told.remark("no knee is known to hold it against"),
            turns.doubtful,
        ));
    };
    let most = j.case.criteria.ratio_share_of_knee;
    if share.si <= most {
        return Some(in_doubt(
            told.remark(format!("{} % of the knee", rounded(share.si, 2))),
            turns.doubtful,
        ));
    }
    told.what = "voltage of the ratio test in per cent of the knee".to_owned();
    told.found = Found::Known(share);
    told.unit = unit::PERCENT;
    told.against = Some(cited_limit(
        Requirement::at_most(most),
        &criteria(j, "share of knee"),
    ));
    told.verdict = Verdict::Observed(Weight::Doubt);
    told = told.next(
        "repeat the ratio at a lower voltage: near the knee the exciting current falsifies it",
    );
    Some(in_doubt(told, turns.doubtful))
}
