//! The three phases of one relay or meter: whether they follow one another, and what is left for the neutral.

use super::{angle_limit, is_at};
use crate::derive::kinds::load::Three;
use crate::derive::workings::Value;
use crate::document::{Grade, Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::Rule;
use crate::judge::rules::load as rules;
use crate::record::criteria::Criteria;
use crate::record::kinds::load::{Load, LoadRow, Rotation};
use crate::record::phase::Phase;
use crate::standards::threshold;
use std::f64::consts::{PI, TAU};

/// A third of a turn, radian.
const THIRD: f64 = TAU / 3.0;

/// Judges the three, and their neutral where it was read.
pub fn judge(j: &Judging<'_>, load: &Load, three: &Three) -> Vec<Finding> {
    let Some(row) = load.rows.get(three.row) else {
        return Vec::new();
    };
    let neutral = three.neutral_row.and_then(|row| load.rows.get(row));
    let neutral = neutral.into_iter();
    let neutral = neutral.flat_map(|row| [spill(j, three, row), sum(j, three, row)]);
    neutral.chain([rotation(j, three, row)]).flatten().collect()
}

fn begun(rule: &'static Rule, three: &Three, row: &LoadRow) -> Finding {
    let finding = Finding::without(rule, unit::PERCENT);
    let placed = finding.at(three.test, three.pair, three.readings.clone());
    placed.of_row(&row.at, &row.remark).headline()
}

/// A value of the neutral; its own reading stands first.
fn of_neutral(rule: &'static Rule, three: &Three, row: &LoadRow, value: Value) -> Finding {
    let mut finding = begun(rule, three, row);
    finding.found = value.into();
    finding.points_at.splice(0..0, row.current.span());
    finding
}

/// L2 a third behind L1, L3 two thirds; of two phases exchanged it is the other way round.
fn rotation(j: &Judging<'_>, three: &Three, row: &LoadRow) -> Option<Finding> {
    let (limit, against) = angle_limit(j)?;
    let mut finding = begun(&rules::LOAD_ROTATION, three, row);
    let [second, third] = three.behind;
    let worst = if third.si.abs() > second.si.abs() {
        third
    } else {
        second
    };
    (finding.found, finding.unit) = (worst.into(), unit::DEGREE);
    let cited = against.cited.clone();
    let is = |angle, other| is_at(j, angle, other, limit, &cited);
    let are = |l2: f64, l3: f64| is(second, l2) && is(third, l3);
    // In a network that turns the other way the two are exchanged.
    let step = match three.rotation.is_some_and(Rotation::is_reversed) {
        true => -THIRD,
        false => THIRD,
    };
    let exchanged = are(step, -step);
    // The first of the three has the row.
    let [l1, l2, l3] = row.phase.value().map_or(Phase::ALL, |one| *one.three());
    let turned = [(l1, PI, PI), (l2, PI, 0.0), (l3, 0.0, PI)];
    let mut turned = turned.into_iter().filter(|(_, l2, l3)| are(*l2, *l3));
    let share = three.share.map(|share| share.si);
    Some(finding.unless_small(share, |finding| {
        let held = finding.clone().against(j, against.clone());
        if three.sense.is_none() && (!held.fails() || exchanged) {
            return finding.needs("needs which way angles count: angles: leading, or lagging");
        }
        if !held.fails() {
            return held;
        }
        let turned = turned.next().filter(|_| three.sense.is_some());
        match (exchanged, three.rotation, turned) {
            (true, Some(_), _) => held.remark("two phases are exchanged"),
            (true, None, _) => finding.beyond(against).remark(say!(
                "two phases are exchanged, or the network turns the other way (rotation: {} {} {}), or the device counts angles the other way",
                l1.name(),
                l3.name(),
                l2.name()
            )),
            (false, _, Some((phase, ..))) => {
                held.remark(say!("the current of {} is turned round", phase.name()))
            }
            (false, _, None) => finding
                .beyond(against)
                .remark("the phases do not follow by a third of a turn each"),
        }
    }))
}

/// What flows in the neutral; only the job can say how much may.
fn spill(j: &Judging<'_>, three: &Three, row: &LoadRow) -> Option<Finding> {
    let finding = of_neutral(&rules::LOAD_NEUTRAL, three, row, three.neutral?.spill);
    let finding = finding.remark(say!(
        "{}: the sum of the phases",
        j.number(three.sum, unit::AMPERE)
    ));
    let limit = j.case.criteria.service.neutral.map(|limit| {
        let cited = Criteria::own("service-neutral", "neutral current on load");
        Against::within(limit, &cited)
    });
    Some(looked_at(j, three, finding, limit))
}

/// What the neutral carries is what the phases leave, and nothing else.
fn sum(j: &Judging<'_>, three: &Three, row: &LoadRow) -> Option<Finding> {
    let finding = of_neutral(&rules::LOAD_NEUTRAL_SUM, three, row, three.neutral?.off);
    let less: Phrase = "less than the phases leave: another path, or an open neutral".into();
    let more: Phrase = "more than the phases leave: it comes from elsewhere".into();
    let off = three.neutral?.off.si;
    let limit = threshold("load-neutral")?;
    let limit = Against::within(limit.limit, &limit.cited);
    let judged = looked_at(j, three, finding, Some(limit));
    let is_bad = judged.grade() == Grade::Review;
    let told = is_bad.then_some(if off < 0.0 { less } else { more });
    Some(told.into_iter().fold(judged, Finding::remark))
}

/// Beyond its limit it is for review: an unbalanced load is no fault of the circuit.
fn looked_at(j: &Judging<'_>, three: &Three, finding: Finding, limit: Option<Against>) -> Finding {
    let share = three.share.map(|share| share.si);
    finding.unless_small(share, |finding| match limit {
        Some(limit) => finding.for_review(j, limit),
        None => finding,
    })
}
