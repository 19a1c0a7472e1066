//! The overall ratio of an interposing CT and the main CT that feeds it, and the sum of their errors, where both were
//! read.

use crate::derive::kinds::overall;
use crate::derive::kinds::ratio::Burdened;
use crate::derive::workings::Value;
use crate::document::{Grade, Phrase, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Finding, unit};
use crate::judge::kinds::in_service::written;
use crate::judge::rules::ratio as rules;
use crate::trade::{Pair, Ratio};

/// A ratio error of the interposing CT itself.
struct Own {
    test: usize,
    pair: Pair,
    percent: Option<f64>,
    /// By current: at which it was read.
    burden: Option<Burdened>,
    error: Value,
    readings: Vec<Span>,
}

/// Tells the overall ratio of each core whose ratio was read.
pub(super) fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    if j.case.feeder().is_none() {
        return;
    }
    let own = own(j);
    let mut told: Vec<usize> = Vec::new();
    for one in &own {
        if !told.contains(&one.pair.core) {
            told.push(one.pair.core);
            out.extend(ratio(j, one));
        }
    }
    for one in &own {
        out.extend(sum(j, one));
    }
}

fn own(j: &Judging<'_>) -> Vec<Own> {
    let sound = j.derived.ratio.turns.iter();
    let sound = sound.filter(|turns| turns.doubtful.is_none());
    let by_voltage = sound.map(|turns| Own {
        test: turns.test,
        pair: turns.pair,
        percent: None,
        burden: None,
        error: turns.error,
        readings: turns.readings.clone(),
    });
    let runs = j.derived.ratio.runs.iter();
    let runs = runs.filter(|run| run.doubtful.is_none() && run.fed.is_none());
    let by_current = runs.flat_map(|run| {
        run.points.iter().filter_map(|point| {
            Some(Own {
                test: run.test,
                pair: run.pair,
                percent: Some(point.percent),
                burden: Some(run.burden.clone()),
                error: point.error?,
                readings: vec![point.row],
            })
        })
    });
    by_voltage.chain(by_current).collect()
}

fn ratio(j: &Judging<'_>, one: &Own) -> Option<Finding> {
    let (feeder, core) = (j.case.feeder()?, one.pair.core);
    let begun = |observed: Phrase, grade: Grade| {
        let made = Finding::observation(&rules::OVERALL_RATIO, observed, grade);
        let mut made = made.within(one.test, Some(core), feeder.span);
        made.points_at.extend(&one.readings);
        made
    };
    let (pair, whole) = match j.serving(core) {
        Ok(serving) => serving,
        Err(needs) => return Some(begun(Phrase::default(), Grade::Open).needs(needs)),
    };
    let day = j.case.visit.date.value;
    let main = feeder.main.as_ref().ok()?;
    let (of_main, first) = main.serving(day).ok()?;
    let (_, own) = j.case.record.serving(core, j.case.index + 1, day).ok()?;
    let known = main.record.cores.get(main.core)?;
    let of = Ratio::of(first * known.rated_secondary()?, known.rated_secondary()?);
    let name = main.record.pair_text(of_main);
    let told = say!(
        "{} by {} of {} with {}, and {} with {}",
        j.rated(pair, whole),
        Phrase::terminals(name),
        feeder.id.clone(),
        written(of),
        Phrase::terminals(j.case.record.pair_text(pair)),
        j.rated(pair, own)
    );
    Some(begun(told, Grade::Info))
}

/// Of the pair in service, at a current that both were read at, or by voltage.
fn sum(j: &mut Judging<'_>, one: &Own) -> Option<Finding> {
    let (pair, _) = j.serving(one.pair.core).ok()?;
    let (feeder, day) = (j.case.feeder()?, j.case.visit.date.value);
    let (of_main, _) = feeder.main.as_ref().ok()?.serving(day).ok()?;
    let mut mains = j.mains.iter().filter(|main| main.id == feeder.id);
    let main = mains.next()?.erred_until(day, of_main, one.percent)?;
    let error = overall::error(j.w, main, one.error, feeder.span);
    let made = Finding::new(&rules::OVERALL_ERROR, error?, unit::PERCENT);
    let made = made.at(one.test, one.pair, one.readings.clone());
    let made = made.under(one.percent.map(Condition::Percent));
    let made = made.under(one.burden.clone().map(Condition::Burden));
    let how = match one.percent {
        Some(_) => "the main CT at a burden of its own",
        None => "turns by voltage",
    };
    let made = made.remark(how).remark(
        "sum of the two errors: their product is left out, and their uncertainties count as independent",
    );
    (one.pair == pair).then_some(made)
}
