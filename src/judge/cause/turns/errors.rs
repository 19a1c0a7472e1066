//! Errors by current beside those of an earlier visit or of the sisters: another core that stands open bends the
//! primary current, the more the higher it is.

use crate::derive::kindred::{Compared, errors};
use crate::document::{Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{By, Evidence, Family, Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::cause::resistance::by_visit;
use crate::judge::finding::unit;
use crate::judge::rules::ratio as rules;
use crate::judge::words::rounded;
use crate::record::alike::like_core;
use crate::trade::Pair;

/// What errors of one core on two days, and of sisters, differ by: per cent, and as a share of the error, which
/// goes with the resistance of the winding and with the iron.
const OF_DAYS: (f64, f64) = (0.02, 0.08);
const OF_SISTERS: (f64, f64) = (0.03, 0.15);
/// Such a shift at rated current, per cent, is not seen below, and a wrong connection above.
const SHIFTS: (f64, f64) = (0.03, 3.0);

/// Errors beside what they should be, as shares of the current.
pub(super) fn family(j: &Judging<'_>) -> Family {
    let runs = j.derived.ratio.runs.iter();
    let runs = runs.filter(|run| run.doubtful.is_none());
    let items = runs.flat_map(|run| {
        run.points.iter().filter_map(|point| {
            let error = point.error?;
            let same = Compared {
                pair: run.pair,
                burden: run.burden.clone(),
                percent: point.percent,
                error: error.si,
            };
            let (expected, (each, share), by) = expected(j, &same)?;
            let read = j.w.uncertainty(error);
            let read = if read.known { read.u } else { 0.02 };
            let scatter = libm::hypot(each, share * expected);
            Some(Item {
                pair: run.pair,
                section: run.test,
                at: vec![point.row],
                observed: error.si,
                expected,
                unit: unit::PERCENT,
                away: (error.si - expected) / 100.0,
                u: libm::hypot(scatter, read) / 100.0,
                by,
            })
        })
    });
    Family {
        of: Of::Error,
        items: items.collect(),
        shared: 0.0,
    }
}

fn expected(j: &Judging<'_>, of: &Compared) -> Option<(f64, (f64, f64), By)> {
    let find = |all: &[Compared], pair: Pair| {
        let like = |one: &&Compared| {
            let near = (one.percent / of.percent - 1.0).abs() < 0.02;
            one.pair == pair && one.burden == of.burden && near
        };
        all.iter().find(like).map(|one| one.error)
    };
    let mut earlier = j.earlier_visits().rev();
    let then = earlier
        .find_map(|(visit, assessed)| Some((find(&errors(&assessed.derived), of.pair)?, visit)));
    if let Some((error, visit)) = then {
        return Some((error, OF_DAYS, by_visit(visit)));
    }
    let core = j.case.core(of.pair)?;
    let theirs = j.sisters.iter().filter_map(|sister| {
        let core = like_core(core, &sister.cores)?;
        let pair = Pair { core, ..of.pair };
        sister.on_site().find_map(|shown| find(&shown.errors, pair))
    });
    // Where one of them agrees, nothing is odd.
    let theirs: Vec<f64> = theirs.collect();
    let near = |error: &f64| (error - of.error).abs();
    let nearest = theirs.iter().copied();
    let nearest = nearest.min_by(|one, other| near(one).total_cmp(&near(other)))?;
    Some((nearest, OF_SISTERS, By::Sisters(theirs.len())))
}

/// A shift in proportion to the current, of one core.
pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let cores = j.case.record.cores.len();
    let Some((at, family)) = evidence.families_of(Of::Error).next() else {
        return Vec::new();
    };
    if cores < 2 || !family.is_off() {
        return Vec::new();
    }
    let made = (0..cores).filter_map(|core| {
        let percent = |item: &Item| {
            let runs = j.derived.ratio.runs.iter();
            let mut points = runs.flat_map(|run| &run.points);
            let own = points.find(|point| Some(&point.row) == item.at.first())?;
            (item.pair.core == core).then_some(own.percent / 100.0)
        };
        let own = family.items.iter();
        let own: Vec<(&Item, f64)> = own.filter_map(|item| Some((item, percent(item)?))).collect();
        let (mut sum, mut weight) = (0.0, 0.0);
        for (item, share) in &own {
            sum += item.away * share / (item.u * item.u);
            weight += share * share / (item.u * item.u);
        }
        let shift = sum / weight;
        let size = 100.0 * shift.abs();
        let (first, _) = own.last().filter(|_| own.len() > 1)?;
        if !(SHIFTS.0..SHIFTS.1).contains(&size) {
            return None;
        }
        let each = family.items.iter();
        let each = each.map(|item| percent(item).map_or(0.0, |share| share * shift));
        let seat = Seat::of(first);
        let observed = say!(
            "the error moves with the current, by {} at rated current, as where another core stands open",
            Quantity::new(rounded(100.0 * shift, 2), "%")
        );
        Some(
            Hypothesis::new(&rules::OTHER_CORE_OPEN, seat, observed)
                .shift(at, each.collect())
                .price(price::OF_A_FREE_SIZE + price::OF_A_KNOWN_SIZE)
                .decide("the errors once more with all other cores shorted at their terminals"),
        )
    });
    made.collect()
}
