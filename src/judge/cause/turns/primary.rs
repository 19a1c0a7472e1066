//! What all cores have in common: the links and passes of the primary, and which way round it stands.

use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{By, Evidence, Family, Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::rules::{Rule, polarity, ratio};
use crate::judge::words::short;
use crate::record::kinds::Test;

/// More turns of a cable are not threaded through a window.
const MOST_PASSES: u8 = 6;
/// The same at an earlier visit: it was overlooked twice, or the plate is typed wrong.
const TWICE: f64 = 1.5;
/// Highest voltage of what has a window for a cable to pass several times, volt: common practice, no source.
const OF_A_WINDOW: f64 = 52e3;
/// Where neither plate nor visit says that the primary has links, or passes a window.
const UNSAID: f64 = 1.5;

fn seat(first: &Item) -> Seat {
    Seat::of(first).of_the_unit()
}

/// The primary has other turns than are written: all ratios are off by the same simple factor.
pub(super) fn factors(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let families: Vec<(usize, &Family)> = evidence.families_of(Of::Turns).collect();
    let mut items = families.iter().flat_map(|(_, family)| &family.items);
    let Some(first) = items.find(|item| item.away.abs() > 2.0 * item.u) else {
        return Vec::new();
    };
    let made = |rule: &'static Rule, times: f64, price: f64, observed: Phrase| {
        let made = Hypothesis::new(rule, seat(first), observed).price(price);
        families.iter().fold(made, |made, (at, family)| {
            let shift = vec![-libm::log(times); family.items.len()];
            let by_visit = family.items.iter().any(|item| item.by != By::Plate);
            match by_visit && !family.is_helped_by(&shift) {
                true => made.besides(-TWICE),
                false => made.shift(*at, shift),
            }
        })
    };
    // Neither is on the plate: which it is cannot be told from here.
    let plate = &j.case.record.plate;
    let unsaid = plate.links.is_empty() && plate.passes.is_missing();
    let mut all = links(j)
        .into_iter()
        .map(|(times, price, observed)| {
            let made = made(&ratio::PRIMARY_LINKS, times, price, observed);
            let made = match unsaid && times > 1.0 {
                true => made.remark("a cable that passes the window twice looks the same"),
                false => made,
            };
            made.decide("the links of the primary, looked at and written down")
        })
        .collect::<Vec<_>>();
    all.extend(passes(j).into_iter().map(|(times, price, observed)| {
        let made = made(&ratio::PRIMARY_PASSES, times, price, observed);
        let made = match unsaid && times == 2.0 {
            true => made.remark("primary links in series for parallel look the same"),
            false => made,
        };
        made.decide("the times that the cable passes the window, counted")
    }));
    all
}

/// Turns of the primary over those that are written, what each costs, and in words.
fn links(j: &Judging<'_>) -> Vec<(f64, f64, Phrase)> {
    let links = &j.case.record.plate.links;
    if links.is_empty() {
        let may = j.case.record.plate.may_have_own_primary();
        let price = price::OF_A_LIST + UNSAID + if may { 0.0 } else { UNSAID };
        return vec![
            (
                2.0,
                price,
                "all ratios are half of the plate's, as with the primary in series".into(),
            ),
            (
                0.5,
                price,
                "all ratios are twice the plate's, as with the primary in parallel".into(),
            ),
        ];
    }
    let core = j.case.record.cores.iter().find_map(|core| {
        let full = core.full_ratio()?;
        Some((full.value(), j.case.link_factor(core)))
    });
    let Some((full, factor)) = core else {
        return Vec::new();
    };
    // Where each ratio states its own, no one position is that of the day.
    let mut ratios = j.case.visit.of(Test::ratio);
    if ratios.any(|(_, _, ratio)| !ratio.links.is_missing()) {
        return Vec::new();
    }
    let own = j.case.links;
    let others = links.iter().filter(|link| Some(&link.value.0) != own);
    let others = others.map(|link| {
        let times = full * factor / link.value.1.value();
        let observed = say!(
            "all ratios are those with the primary links in {}",
            link.value.0.clone()
        );
        (times, price::OF_A_KNOWN_SIZE, observed)
    });
    others
        .filter(|(times, ..)| times.is_finite() && *times > 0.0 && (times - 1.0).abs() > 0.01)
        .collect()
}

fn passes(j: &Judging<'_>) -> Vec<(f64, f64, Phrase)> {
    let plate = &j.case.record.plate;
    let written = j.case.passes();
    let said = j
        .case
        .visit
        .passes
        .value()
        .or(plate.passes.value())
        .is_some();
    // A primary of several turns of its own passes no window.
    if !said && j.case.primary_turns() > 1.0 {
        return Vec::new();
    }
    let highest = plate.highest_voltage.value().map(|highest| highest.si);
    let price = match (said, highest.is_some_and(|highest| highest > OF_A_WINDOW)) {
        (true, _) => price::OF_A_KNOWN_SIZE + 1.0,
        (false, false) => price::OF_A_LIST + UNSAID - 0.1,
        (false, true) => price::OF_A_LIST + UNSAID + 0.9,
    };
    let others = (1..=MOST_PASSES).map(f64::from);
    let others = others.filter(|truly| (truly - written).abs() > 1e-6);
    let others = others.map(|truly| {
        let observed = say!(
            "all ratios are those of {} passes and not of {}",
            Quantity::new(short(truly), ""),
            Quantity::new(short(written), "")
        );
        (truly / written, price, observed)
    });
    others.collect()
}

/// All cores reversed at once: the primary is, and not the windings.
pub(super) fn reversed(evidence: &Evidence<'_>) -> Option<Hypothesis> {
    let (at, family) = evidence.families_of(Of::Polarity).next()?;
    let first = family.items.iter().find(|item| item.away > 0.5)?;
    let observed = "every core that was tested is reversed: the unit stands the other way round, its primary \
                    marks are exchanged, or plus was on the other end";
    let made = Hypothesis::new(&polarity::PRIMARY_REVERSED, seat(first), observed)
        .price(price::OF_A_KNOWN_SIZE)
        .graded(Grade::Review)
        .shift(at, vec![1.0; family.items.len()])
        .decide("the primary marks on the unit, traced to the busbar and to the battery's plus");
    Some(made)
}
