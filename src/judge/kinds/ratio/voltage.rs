//! Turns by voltage. For a measuring class the method can show that it is not met, never that it is
//! met; the phase read belongs to no class.

use super::{far_off, heads, is_far_off, of_input};
use crate::derive::kinds::ratio::{Correction, Turns};
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::WhyNot;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::ratio as rules;
use crate::judge::standard::carries;
use crate::judge::words::{brief, quantity, rounded};
use crate::record::core::Core;
use crate::record::criteria::Criteria;
use crate::record::plate::Plate;
use crate::standards::{ieee_metering, px, threshold};
use crate::trade::{Class, Pair};

pub(super) fn judge(j: &Judging<'_>, out: &mut Vec<Finding>) {
    let ratio = &j.derived.ratio;
    for turns in ratio.turns.iter().chain(&ratio.input_turns) {
        if let Some(core) = j.case.core(turns.pair) {
            out.push(error(j, core, turns));
            out.extend(wrong_tap(j, core, turns));
            out.extend(level(j, turns));
        }
    }
}

/// What the turns are held against.
enum Limit {
    /// A two-sided limit of standard or client.
    Both(Against),
    /// A measuring class: outside it by the turns alone is outside.
    OneSided(Against),
}

fn limit(j: &Judging<'_>, core: &Core, pair: Pair) -> Option<Limit> {
    match core.class_of(pair) {
        Some(class) if class.is_measuring() => {
            let limit = of_class(j, class, pair)?.needs_u();
            core.turns_compensation
                .is_missing()
                .then_some(Limit::OneSided(limit))
        }
        _ => {
            let plate = &j.case.record.plate;
            turns_tolerance(core, plate, j.case.criteria, pair).map(Limit::Both)
        }
    }
}

/// The tolerance of the turns ratio of a pair, per cent either way: that of a class that is told by its knee,
/// where the plate's standard has it, else the client's. A measuring class has none: it may be wound a turn
/// short on purpose.
pub fn turns_tolerance(
    core: &Core,
    plate: &Plate,
    criteria: &Criteria,
    pair: Pair,
) -> Option<Against> {
    let tap = core.tap(pair.from, pair.to);
    let tap_of_knee = tap.is_some_and(|tap| tap.knee.get().is_some());
    let full = || core.full_tap().and_then(|tap| tap.class.value());
    let whole = core.class.value().or_else(full);
    let by_knee = whole.filter(|class| tap_of_knee && matches!(class, Class::Knee { .. }));
    match core.class_of(pair).or(by_knee) {
        Some(class @ Class::Knee { low_remanence, .. }) => {
            let standard = plate.standard.value();
            let carried = standard.is_none_or(|standard| carries(standard, class));
            let limit = px(*low_remanence).filter(|_| carried)?;
            Some(Against::within(limit.turns_ratio_error, &limit.cited).needs_u())
        }
        Some(class) if class.is_measuring() => None,
        _ if whole.is_some_and(Class::is_measuring) => None,
        _ => {
            let cited = Criteria::own("ratio-turns", "turns ratio");
            Some(Against::within(criteria.turns?, &cited))
        }
    }
}

/// The class limit at rated current, as a limit of the magnitude.
fn of_class(j: &Judging<'_>, class: &Class, pair: Pair) -> Option<Against> {
    match class {
        Class::Measuring { .. } => {
            let (class, _) = super::class::measuring_class(&j.case, pair)?;
            let row = class.at(100.0, None)?;
            Some(Against::within(row.ratio_error, &row.cited))
        }
        Class::IeeeMetering { name, .. } => {
            let class = ieee_metering(name).filter(|class| class.judged)?;
            let row = class.at(100.0, 1.0)?;
            // To first order; the difference is a hundredth of the limit at most.
            Some(Against::within(100.0 * (row.tcf_max - 1.0), &row.cited))
        }
        _ => None,
    }
}

fn error(j: &Judging<'_>, core: &Core, turns: &Turns) -> Finding {
    let runs = &j.derived.ratio.runs;
    let by_current = runs.iter().any(|run| run.pair == turns.pair);
    let mut finding = Finding::new(&rules::TURNS_RATIO, turns.error, unit::PERCENT).at(
        turns.test,
        turns.pair,
        turns.readings.clone(),
    );
    finding.headline = heads(j, turns.pair) && !by_current;
    finding.remarks = remarks(j, core, turns);
    finding.shows_only = is_of_measuring(core, turns.pair).then_some("turns only, not the class");
    let finding = finding.under(of_input(j, turns.pair, turns.fed));
    let finding = match limit(j, core, turns.pair) {
        // The class is that of all inputs together.
        Some(Limit::OneSided(_)) if turns.fed.is_some() => finding,
        Some(Limit::Both(against)) => finding.against(j, against),
        Some(Limit::OneSided(against)) => one_sided(j, turns, finding, against),
        None => finding,
    }
    .withheld(turns.doubtful);
    if !is_far_off(turns.error.si) {
        return finding;
    }
    if turns.fits.is_some() {
        return finding.next("it reads as another tap: settle that first");
    }
    far_off(finding, 1.0 / (1.0 + turns.error.si / 100.0), turns.fed)
}

/// Whether the pair is wound for a measuring class, its own or that of the whole winding.
fn is_of_measuring(core: &Core, pair: Pair) -> bool {
    let class = core.class_of(pair).or(core.class.value());
    class.is_some_and(Class::is_measuring)
}

fn one_sided(j: &Judging<'_>, turns: &Turns, finding: Finding, against: Against) -> Finding {
    let size = turns.error.si.abs();
    let outside = |u: f64| {
        against
            .requirement
            .upper
            .is_some_and(|most| size - u > most)
    };
    match j.expanded(turns.error) {
        _ if turns.doubtful.is_some() => finding,
        Some(u) if outside(u) => finding.held(against, Verdict::NotMet).remark(
            "the turns alone are outside the class, and no turns compensation is on the plate",
        ),
        // How far outside counts as outside is not known.
        None if outside(0.0) => {
            let why = WhyNot::UncertaintyMissing;
            finding.held(against, Verdict::NotDecided(why))
        }
        Some(_) | None => finding,
    }
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
        remarks.extend(j.expanded(whole).map(|u| whole_turns(whole.si, u)));
    }
    let taken_off = core.turns_compensation.value();
    if let Some(off) = taken_off.filter(|_| core.is_full(turns.pair)) {
        let off = brief(*off, "");
        remarks.push(say!(
            "{} turns taken off on purpose, according to the rating plate",
            off
        ));
    }
    if is_of_measuring(core, turns.pair) {
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
pub(super) fn whole_turns(turns: f64, u: f64) -> Phrase {
    let whole = libm::round(turns);
    let nearest = Quantity::new(format!("{whole}"), "");
    let told = quantity(u, 2, unit::ONE);
    if (turns - whole).abs() + u < 0.5 {
        say!(
            "nearest whole turns {}; U of {} turns leaves no neighbour",
            nearest,
            told
        )
    } else if u < 0.5 {
        let turns = quantity(turns, 5, unit::ONE);
        say!(
            "{} turns, U {} turns: between two whole numbers",
            turns,
            told
        )
    } else {
        say!(
            "U of {} turns cannot tell {} turns from its neighbours",
            told,
            nearest
        )
    }
}

fn wrong_tap(j: &Judging<'_>, core: &Core, turns: &Turns) -> Option<Finding> {
    let other = turns.fits.filter(|_| turns.doubtful.is_none())?;
    let mut known = j.derived.ratio.turns.iter();
    let back = known.find(|known| known.pair == other && known.fits == Some(turns.pair));
    let how = match back {
        Some(_) => "leads exchanged",
        None => "leads may be on another tap",
    };
    let fits = Phrase::terminals(core.pair_text(other.from, other.to));
    let mut spans = turns.readings.clone();
    spans.extend(back.into_iter().flat_map(|back| &back.readings));
    spans.extend(core.tap(turns.pair.from, turns.pair.to).map(|tap| tap.span));
    let finding = Finding::new(&rules::WRONG_TAP, turns.ratio, unit::ONE)
        .at(turns.test, turns.pair, spans)
        .observed(say!("that of {}, {}", fits, how));
    Some(finding.headline().graded(Grade::Review))
}

/// Volts per turn, and whether the core was driven too near to its knee.
fn level(j: &Judging<'_>, turns: &Turns) -> Option<Finding> {
    let made = |value, unit, how| {
        Finding::new(&rules::VOLTS_PER_TURN, value, unit)
            .at(turns.test, turns.pair, turns.readings.clone())
            .under(Condition::Counted(how))
            .under(of_input(j, turns.pair, turns.fed))
    };
    let per_turn = made(turns.per_turn?, unit::MILLIVOLT, "per turn");
    let most = j.case.criteria.share_of_knee();
    let finding = match turns.of_knee {
        None => per_turn.remark("no knee is known to hold it against"),
        Some(share) if share.si <= most => {
            let share = quantity(share.si, 2, unit::PERCENT);
            per_turn.remark(say!("{} of the knee", share))
        }
        Some(share) => {
            let cited = match j.case.criteria.ratio_share_of_knee {
                Some(_) => {
                    Criteria::own("ratio-share-of-knee", "share of the knee in a ratio test")
                }
                None => threshold("ratio-share-of-knee")?.cited.clone(),
            };
            made(share, unit::PERCENT, "as a share of the knee")
                .beyond(Against::at_most(most, &cited))
        }
    };
    Some(finding.withheld(turns.doubtful))
}
