//! IEEE classes by current: the parallelogram of a metering class by its two inequalities, and the
//! ratio error of a relay class at rated current.

use super::class::{Factor, Lies, factor, lies, rated, volt_amperes};
use super::current::{Limits, is_at_rated, point};
use super::shown::{End, Promise, Row, Shown};
use super::{heads, shown};
use crate::derive::kinds::ratio::{Burdened, Point, Run, rated_burden};
use crate::derive::outcome::Outcome;
use crate::document::{Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::condition::{self, Condition};
use crate::judge::decision::Word;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::ratio as rules;
use crate::standards::{
    AIM, MeteringRow, ieee_burden, ieee_metering, ieee_relay, ieee_relay_at_rated,
};
use crate::trade::{Burden, Class};

/// A metering class: both inequalities at each current, with the burden named.
pub(super) fn metering(
    j: &Judging<'_>,
    run: &Run,
    (name, burden): (&str, Option<&str>),
    so_far: &mut Vec<Shown>,
    out: &mut Vec<Finding>,
) {
    let known = ieee_metering(name);
    let named = burden.map(str::to_owned).or_else(|| designation(j, run));
    let place = burden_place(j, run, named.as_deref());
    let mut class = vec![Condition::Class(name.to_owned())];
    class.extend(
        named
            .clone()
            .map(Burdened::Designated)
            .map(Condition::Burden),
    );
    let refuse = match (known, place) {
        (None, _) => Some("no limit is known for this class"),
        (Some(known), _) if !known.judged => {
            Some("the limits of this class are not certain enough to judge by")
        }
        (_, Lies::Rated) => None,
        (_, Lies::Unknown) => Some(
            "no verdict of the class: the burden of the test, or that of the class, is not known",
        ),
        (_, _) => Some("no verdict of the class: the class holds at its own burden only"),
    };
    let core = j.case.core(run.pair);
    let factor = core.and_then(|core| core.rating_factor.value().copied());
    let factor = factor.unwrap_or(1.0);
    let mut rows = Vec::new();
    for each in &run.points {
        let as_factors = Some("judged as correction factors");
        out.extend(point(j, run, each, Limits::default(), as_factors));
        let row = known.and_then(|known| known.at(each.percent, factor));
        let limit = refuse.map_or_else(|| row.ok_or(NO_LIMIT_HERE), Err);
        let findings = inequalities(j, run, each, &class, limit);
        if let (Some(row), None) = (row, refuse) {
            let percent = listed(each.percent, row, factor);
            rows.push(Row::of(percent, &findings, lacks(each)));
        }
        out.extend(findings);
    }
    let rows_known = known.map(|known| known.rows.as_slice()).unwrap_or_default();
    let mut wanted: Vec<f64> = rows_known.iter().map(|row| row.percent).collect();
    wanted.extend((factor > 1.0 && !wanted.is_empty()).then_some(100.0 * factor));
    let rated = rated(&j.case, run.pair).map(|rated| rated.va);
    let promise = Promise {
        class,
        wanted,
        ends: end(named.as_deref(), rated).into_iter().collect(),
        unjudged: match known {
            Some(known) if known.judged => None,
            Some(_) | None => refuse,
        },
        heads: true,
    };
    let stated = is_stated(run, named.as_deref());
    shown::add(so_far, run, promise, (place, stated), rows);
}

/// What a point lacks of the parallelogram.
fn lacks(each: &Point) -> Option<&'static str> {
    match (each.rcf, each.tcf) {
        (None, _) => Some("the ratio error"),
        (Some(_), None) => Some("the phase displacement"),
        (Some(_), Some(_)) => None,
    }
}

/// The burden of a class: by its designation, else in VA.
fn end(named: Option<&str>, rated: Option<f64>) -> Option<End> {
    match named.and_then(ieee_burden) {
        Some(known) => Some(End::named(&known.name, known.pf)),
        None => rated.map(|va| End::of_va(Lies::Rated, va, None)),
    }
}

/// Why a current has no verdict.
pub(super) const NO_LIMIT_HERE: &str = "the class has no limit at this current";

/// The listed current that a reading stands for, or itself when it lies between.
fn listed(percent: f64, row: &MeteringRow, factor: f64) -> f64 {
    let near = |to: &f64| (percent - to).abs() <= AIM * to;
    let ends = [row.percent, 100.0 * factor];
    ends.into_iter().find(near).unwrap_or(percent)
}

fn designation(j: &Judging<'_>, run: &Run) -> Option<String> {
    match rated_burden(&j.case, run.pair)?.0 {
        Burden::Designation(name) => Some(name.clone()),
        _ => None,
    }
}

/// The volt-amperes of a standard burden.
fn of_burden(name: Option<&str>) -> Option<f64> {
    name.and_then(ieee_burden).map(|known| known.va)
}

fn burden_place(j: &Judging<'_>, run: &Run, named: Option<&str>) -> Lies {
    if let (Some(named), Burdened::Designated(used)) = (named, &run.burden) {
        return if named.eq_ignore_ascii_case(used) {
            Lies::Rated
        } else {
            Lies::Between
        };
    }
    let rated = || rated(&j.case, run.pair).map(|rated| rated.va);
    let wanted = of_burden(named).or_else(rated);
    let place = wanted.map_or(Lies::Unknown, |va| lies(volt_amperes(&run.burden), va, va));
    match power_factor(run, named) {
        // Another power factor is another burden.
        Some(Factor::Wrong) if place == Lies::Rated => Lies::Between,
        _ => place,
    }
}

/// The power factor of a run against that of a standard burden.
fn power_factor(run: &Run, named: Option<&str>) -> Option<Factor> {
    let asked = named.and_then(ieee_burden)?.pf;
    Some(factor(&run.burden, asked))
}

fn is_stated(run: &Run, named: Option<&str>) -> bool {
    power_factor(run, named) != Some(Factor::Unstated)
}

/// Both inequalities at one current, or why they are not judged.
fn inequalities(
    j: &Judging<'_>,
    run: &Run,
    each: &Point,
    class: &[Condition],
    limit: Result<&MeteringRow, &'static str>,
) -> Vec<Finding> {
    let whole = &rules::TRANSFORMER_CORRECTION_FACTOR;
    let factors = [
        (&rules::RATIO_CORRECTION_FACTOR, each.rcf),
        (whole, each.tcf),
    ];
    let given = factors
        .into_iter()
        .filter(|(rule, value)| value.is_some() || (*rule == whole && limit.is_ok()));
    let finding = |(rule, value): (_, Option<_>)| {
        let mut finding = Finding::new(rule, value.map(Outcome::Known), unit::ONE)
            .at(run.test, run.pair, vec![each.row])
            .under(Condition::Percent(each.percent));
        finding.conditions.extend_from_slice(class);
        match (limit, value) {
            (Ok(row), Some(_)) => {
                let both = Against::between(row.tcf_min, row.tcf_max, &row.cited);
                finding.against(j, both.needs_u())
            }
            (Ok(_), None) => {
                let needs = "the parallelogram needs ratio and phase";
                finding.verdict(Verdict::NotShown(needs.into()))
            }
            (Err(why), _) => finding.remark(why),
        }
        .withheld(run.doubtful)
    };
    given.map(finding).collect()
}

/// A relay class: ratio error at rated current and its standard burden. With less burden it can only be
/// shown not to be met.
pub(super) fn relay(
    j: &Judging<'_>,
    run: &Run,
    class: &Class,
    volts: f64,
    so_far: &mut Vec<Shown>,
    out: &mut Vec<Finding>,
) {
    let standard = j.case.record.plate.standard.value();
    let limit = ieee_relay_at_rated(standard.and_then(|standard| standard.edition));
    let own = ieee_relay(volts).map(|class| class.burden.clone());
    let place = burden_place(j, run, own.as_deref());
    let burden = own
        .clone()
        .map_or_else(|| "its standard burden".into(), Phrase::from);
    let mut rows = Vec::new();
    for each in &run.points {
        let here = is_at_rated(each);
        let refuse = (!here).then_some("the class states a limit at rated current only");
        let limits = Limits {
            ratio: limit.map(|limit| Against::within(limit.limit, &limit.cited)),
            phase: None,
        };
        let heads = here && heads(j, run.pair);
        let mut findings = point(j, run, each, limits, refuse);
        for finding in &mut findings {
            let is_ratio = finding.rule == &rules::RATIO_ERROR;
            finding.headline = heads && is_ratio;
            let judged = here && is_ratio && run.doubtful.is_none();
            if judged && place != Lies::Rated {
                finding.verdict = lesser_burden(&finding.verdict, place, &burden, &run.burden);
            }
        }
        if here {
            let lacks = each.error.is_none().then_some("the ratio error");
            rows.push(Row::of(100.0, &findings, lacks));
        }
        out.extend(findings);
    }
    let promise = Promise {
        wanted: vec![100.0],
        ends: end(own.as_deref(), None).into_iter().collect(),
        heads: false,
        ..Promise::of(Condition::Class(class.text()))
    };
    let stated = is_stated(run, own.as_deref());
    shown::add(so_far, run, promise, (place, stated), rows);
}

fn lesser_burden(judged: &Verdict, place: Lies, burden: &Phrase, used: &Burdened) -> Verdict {
    let less = matches!(place, Lies::Below | Lies::Between | Lies::Least);
    match judged {
        Verdict::Word(Word::Fail) if less => Verdict::NotMet,
        _ => Verdict::NotShown(say!(
            "needs a reading at {}, this one is at {}",
            burden.clone(),
            condition::burden(used)
        )),
    }
}
