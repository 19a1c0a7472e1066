//! The three phases of one relay or meter: whether they follow one another, and what is left for the neutral.

use super::{angle_limit, is_near};
use crate::derive::kinds::load::Three;
use crate::document::{Grade, Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::decision::Word;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::Rule;
use crate::judge::rules::load as rules;
use crate::record::criteria::Criteria;
use crate::record::kinds::load::{Load, LoadRow};
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
    let are = |l2: f64, l3: f64| is_near(second.si, l2, limit) && is_near(third.si, l3, limit);
    let follows = are(0.0, 0.0);
    let exchanged = are(THIRD, -THIRD);
    let turned = [("L1", PI, PI), ("L2", PI, 0.0), ("L3", 0.0, PI)];
    let turned = turned.into_iter().find(|(_, l2, l3)| are(*l2, *l3));
    let share = three.share.map(|share| share.si);
    Some(finding.unless_small(share, |finding| {
        match three.sense {
            None if follows || exchanged => {
                finding.needs("needs which way angles count: angles: leading, or lagging")
            }
            Some(_) if follows => finding.against(j, against),
            Some(_) if exchanged => finding
                .against(j, against)
                .remark("two phases are exchanged"),
            Some(_) if turned.is_some() => {
                let phase = turned.map_or("", |(phase, ..)| phase);
                finding
                    .against(j, against)
                    .remark(say!("the current of {} is turned round", phase))
            }
            Some(_) | None => finding
                .beyond(against)
                .remark("the phases do not follow by a third of a turn each"),
        }
    }))
}

/// What flows in the neutral; only the job can say how much may.
fn spill(j: &Judging<'_>, three: &Three, row: &LoadRow) -> Option<Finding> {
    let mut finding = begun(&rules::LOAD_NEUTRAL, three, row);
    finding.found = three.neutral?.spill.into();
    finding.points_at = row
        .current
        .span()
        .into_iter()
        .chain(finding.points_at)
        .collect();
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
    let mut finding = begun(&rules::LOAD_NEUTRAL_SUM, three, row);
    finding.found = three.neutral?.off.into();
    finding.points_at = row
        .current
        .span()
        .into_iter()
        .chain(finding.points_at)
        .collect();
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
    finding.unless_small(share, |finding| {
        let Some(limit) = limit else { return finding };
        let held = finding.clone().against(j, limit.clone());
        match held.verdict {
            Verdict::Word(Word::Fail) => finding.beyond(limit),
            _ => held,
        }
    })
}
