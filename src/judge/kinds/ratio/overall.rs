//! The overall ratio of an interposing CT and the main CT that feeds it, and the sum of their errors, where both were
//! read.

use crate::derive::kindred::Erred;
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
use crate::judge::words::brief;
use crate::record::feeder::Feeder;
use crate::trade::{Pair, Ratio};

/// A ratio error of the interposing CT itself.
struct Own {
    test: usize,
    pair: Pair,
    percent: Option<f64>,
    /// By current: what was on the secondary.
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
        out.extend(sums(j, one));
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
    let (_, own) = j.case.serving_alone(core).ok()?;
    let secondary = main.rated_secondary(of_main)?;
    let of = Ratio::of(first * secondary, secondary);
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
    let mut made = begun(told, Grade::Info);
    made.remarks.extend(j.beside());
    Some(made)
}

/// Of the pair in service, at a current in the lead between the two that both were read at, or by voltage: one for each
/// burden that the main CT was read with, since that decides its error.
fn sums(j: &mut Judging<'_>, one: &Own) -> Vec<Finding> {
    let Some((feeder, at)) = sought(j, one) else {
        return Vec::new();
    };
    let mains = j.mains;
    let main = mains.iter().find(|main| main.id == feeder.id);
    let day = j.case.visit.date.value;
    let read = main.map(|main| main.erred_until(day, (at.pair, at.links), at.percent));
    let read = read.unwrap_or_default().into_iter();
    let sums = read.filter_map(|main| sum(j, one, (main, feeder.span)));
    sums.collect()
}

/// Which errors of the main CT belong to one of this unit.
struct Sought<'a> {
    pair: Pair,
    links: Option<&'a String>,
    /// The same amperes in per cent of its own rated current.
    percent: Option<f64>,
}

fn sought<'a>(j: &Judging<'a>, one: &Own) -> Option<(&'a Feeder, Sought<'a>)> {
    let (record, day) = (j.case.record, j.case.visit.date.value);
    let (feeder, visits) = (j.case.feeder()?, j.case.index + 1);
    let main = feeder.main.as_ref().ok()?;
    let (of_main, _) = main.serving(day).ok()?;
    let (pair, own) = j.case.serving_alone(one.pair.core).ok()?;
    let in_position =
        record.plate.links.len() < 2 || j.case.links_of(one.test) == record.links_after(visits);
    if one.pair != pair || !in_position {
        return None;
    }
    let percent = match one.percent {
        Some(percent) => {
            let rated = own * j.case.rated_secondary(pair)?;
            Some(percent * rated / main.rated_secondary(of_main)?)
        }
        None => None,
    };
    let sought = Sought {
        pair: of_main,
        links: main.links(day),
        percent,
    };
    Some((feeder, sought))
}

fn sum(j: &mut Judging<'_>, one: &Own, (main, fed_by): (&Erred, Span)) -> Option<Finding> {
    let error = overall::error(j.w, main, one.error, fed_by)?;
    let made = Finding::new(&rules::OVERALL_ERROR, error, unit::PERCENT);
    let made = made.at(one.test, one.pair, one.readings.clone());
    let made = made
        .under(one.percent.map(Condition::Percent))
        .under(one.burden.clone().map(Condition::Burden))
        .under(main.burden.clone().map(Condition::BurdenOfMain));
    let made = match (one.percent, main.percent) {
        (Some(own), Some(of_main)) if (own - of_main).abs() > 1e-6 * own.abs() => {
            let share = brief(of_main, unit::PERCENT.word);
            made.remark(say!(
                "the same current is {} of rated of the main CT",
                share
            ))
        }
        (None, _) => made.remark("turns by voltage"),
        _ => made,
    };
    Some(made.remark(
        "sum of the two errors: their product is left out, and their uncertainties count as independent",
    ))
}
