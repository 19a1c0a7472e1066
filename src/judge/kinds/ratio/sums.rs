//! Sums of sections, and errors to be expected from turns and exciting current.

use crate::derive::kinds::ratio::{Burdened, Estimate, Sum};
use crate::derive::outcome::Outcome;
use crate::document::{Grade, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Finding, unit};
use crate::judge::rules::ratio as rules;
use crate::judge::words::{brief, cite};
use crate::standards::threshold;

pub(super) fn judge(j: &Judging<'_>, out: &mut Vec<Finding>) {
    out.extend(j.derived.ratio.sums.iter().filter_map(|sum| closed(j, sum)));
}

fn closed(j: &Judging<'_>, sum: &Sum) -> Option<Finding> {
    let core = j.case.core(sum.pair)?;
    let most = threshold("ratio-sections")?;
    let sections = sum.sections.iter();
    let sections = sections.map(|pair| core.pair_text(pair.from, pair.to));
    let finding = Finding::new(&rules::TAP_SUM, sum.closure, unit::PERCENT)
        .at(sum.test, sum.pair, sum.readings.clone())
        .under(Condition::Sections(sections.collect()));
    let off = sum.closure.si.abs();
    let finding = if j.expanded(sum.closure).is_some_and(|u| off <= u) {
        let why = "closes within its uncertainty";
        finding.remark(why).graded(Grade::Info)
    } else if off <= most.limit {
        let (most, source) = (brief(most.limit, "%"), cite(&most.cited));
        let why = say!("within {} ({})", most, source);
        finding.remark(why).graded(Grade::Info)
    } else {
        finding.graded(Grade::Review)
    };
    Some(finding.withheld(sum.doubtful))
}

pub(super) fn estimates(j: &Judging<'_>, out: &mut Vec<Finding>) {
    for estimate in &j.derived.ratio.estimates {
        expected(j, estimate, out);
    }
}

fn expected(j: &Judging<'_>, estimate: &Estimate, out: &mut Vec<Finding>) {
    let Some((ratio, phase)) = estimate.errors else {
        // The curve ends before. Said once, at rated current.
        let why = "the excitation readings do not hold this e.m.f.; nothing is drawn on past them";
        let finding = Finding::without(&rules::EXPECTED_RATIO_ERROR, unit::PERCENT).remark(why);
        let at_rated = (estimate.percent - 100.0).abs() <= 1e-9;
        out.extend(at_rated.then(|| placed(finding, estimate)));
        return;
    };
    let turns = &j.derived.ratio.turns;
    let section = turns.iter().find(|turns| turns.pair == estimate.pair);
    for (rule, value, unit) in [
        (&rules::EXPECTED_RATIO_ERROR, ratio, unit::PERCENT),
        (&rules::EXPECTED_PHASE, phase, unit::MINUTE_OF_ARC),
    ] {
        let found = if estimate.bound {
            Outcome::AtMost(value)
        } else {
            Outcome::Known(value)
        };
        let mut finding = placed(Finding::new(rule, found, unit), estimate)
            .remark("from turns ratio and exciting current; not measured, so no verdict");
        finding.section = section.map(|turns| turns.test);
        if estimate.bound {
            finding = finding
                .remark("a bound of the magnitude: the angle of the exciting current was not read");
        }
        if estimate.plate_resistance {
            finding = finding.remark("with the plate's winding resistance: none was measured");
        }
        out.push(finding.withheld(estimate.doubtful));
    }
}

fn placed(finding: Finding, estimate: &Estimate) -> Finding {
    let burden = Burdened::Stated {
        va: estimate.burden,
        power_factor: None,
    };
    finding
        .of(estimate.pair, estimate.readings.clone())
        .under(Condition::Percent(estimate.percent))
        .under(Condition::Burden(burden))
}
