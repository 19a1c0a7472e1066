//! IEEE classes by current: the parallelogram of a metering class by its two inequalities, and the
//! ratio error of a relay class at rated current.

use super::class::{Lies, burden_text, lies, rated, volt_amperes};
use super::current::{Limits, point};
use super::shown::{Row, Shown};
use super::{finding, heads, held, in_doubt, plain, shown};
use crate::derive::kinds::ratio::{Burdened, Point, Run};
use crate::judge::assess::Judging;
use crate::judge::decision::{Requirement, Word};
use crate::judge::finding::{Finding, Found, Verdict, Whose, unit};
use crate::judge::verdict::cited_limit;
use crate::record::kinds::TestKind;
use crate::record::value::Burden;
use crate::standards::{
    AIM, MeteringRow, ieee_burden, ieee_metering, ieee_relay, ieee_relay_at_rated,
};

/// A metering class: both inequalities at each current, with the burden named.
pub(super) fn metering(
    j: &mut Judging<'_>,
    run: &Run,
    name: &str,
    burden: Option<&str>,
    so_far: &mut Vec<Shown>,
) {
    let known = ieee_metering(name);
    let named = burden.map(str::to_owned).or_else(|| designation(j, run));
    let place = burden_place(j, run, named.as_deref());
    let class = match &named {
        Some(burden) => format!("class {name} at {burden}"),
        None => format!("class {name}"),
    };
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
    let factor = j
        .case
        .core(run.pair)
        .and_then(|core| core.rating_factor.value().copied())
        .unwrap_or(1.0);
    let mut rows = Vec::new();
    for each in &run.points {
        let raw = point(
            j,
            run,
            each,
            Limits {
                ratio: None,
                phase: None,
            },
            Some("judged as correction factors"),
        );
        j.findings.extend(raw);
        let row = known.and_then(|known| known.at(each.percent, factor));
        let why = refuse.or_else(|| {
            row.is_none()
                .then_some("the class has no limit at this current")
        });
        let told = inequalities(j, run, each, &class, row.filter(|_| why.is_none()), why);
        rows.extend(row.filter(|_| refuse.is_none()).map(|row| Row {
            percent: listed(each.percent, row, factor),
            verdicts: told.iter().map(|finding| finding.verdict.clone()).collect(),
            complete: each.tcf.is_some(),
        }));
        j.findings.extend(told);
    }
    let mut wanted: Vec<f64> = known
        .map(|known| known.rows.iter().map(|row| row.percent).collect())
        .unwrap_or_default();
    wanted.extend((factor > 1.0 && !wanted.is_empty()).then_some(100.0 * factor));
    let end = rated(&j.case, run.pair)
        .map(|rated| rated.va)
        .or_else(|| named.as_deref().and_then(ieee_burden).map(|known| known.va));
    shown::add(
        so_far,
        run,
        class,
        place,
        rows,
        wanted,
        end.map(|va| vec![(Lies::Rated, va)]).unwrap_or_default(),
    );
}

/// The listed current that a reading stands for, or itself when it lies between.
fn listed(percent: f64, row: &MeteringRow, factor: f64) -> f64 {
    let near = |to: f64| (percent - to).abs() <= AIM * to;
    [row.percent, 100.0 * factor]
        .into_iter()
        .find(|to| near(*to))
        .unwrap_or(percent)
}

fn designation(j: &Judging<'_>, run: &Run) -> Option<String> {
    match crate::derive::kinds::ratio::rated_burden(&j.case, run.pair)?.0 {
        Burden::Designation(name) => Some(name.clone()),
        _ => None,
    }
}

fn burden_place(j: &Judging<'_>, run: &Run, named: Option<&str>) -> Lies {
    if let (Some(named), Burdened::Designated(used)) = (named, &run.burden) {
        return if named.eq_ignore_ascii_case(used) {
            Lies::Rated
        } else {
            Lies::Between
        };
    }
    let wanted = named
        .and_then(ieee_burden)
        .map(|known| known.va)
        .or_else(|| rated(&j.case, run.pair).map(|rated| rated.va));
    wanted.map_or(Lies::Unknown, |va| lies(volt_amperes(&run.burden), va, va))
}

fn inequalities(
    j: &Judging<'_>,
    run: &Run,
    each: &Point,
    class: &str,
    row: Option<&MeteringRow>,
    why: Option<&str>,
) -> Vec<Finding> {
    let at = format!("at {} % of rated current, {class}", plain(each.percent));
    let factors = [
        (
            "ratio-correction-factor",
            "ratio correction factor",
            each.rcf,
        ),
        (
            "transformer-correction-factor",
            "transformer correction factor RCF - beta/2600",
            each.tcf,
        ),
    ];
    let mut found = Vec::new();
    for (rule, name, value) in factors {
        let Some(value) = value else { continue };
        let told = finding(rule, format!("{name} {at}"), value, unit::ONE).at(
            run.test,
            run.pair,
            vec![each.row],
        );
        found.push(match row {
            Some(row) => held(
                j,
                told,
                cited_limit(Requirement::between(row.tcf_min, row.tcf_max), &row.cited).needs_u(),
                run.doubtful,
            ),
            None => in_doubt(
                why.map_or_else(|| told.clone(), |why| told.clone().remark(why)),
                run.doubtful,
            ),
        });
    }
    if each.tcf.is_none() && row.is_some() {
        let what = format!("transformer correction factor {at}");
        let mut told = Finding::new(
            "transformer-correction-factor",
            TestKind::Ratio,
            Whose::Ct,
            what,
            Found::Nothing,
            unit::ONE,
        );
        told = told.at(run.test, run.pair, vec![each.row]);
        told.verdict = Verdict::NotShown("the parallelogram needs ratio and phase".to_owned());
        found.push(in_doubt(told, run.doubtful));
    }
    found
}

/// A relay class: ratio error at rated current and its standard burden. With less burden it can only be
/// shown not to be met.
pub(super) fn relay(j: &mut Judging<'_>, run: &Run, volts: f64) {
    let standard = j.case.record.plate.standard.value();
    let limit = ieee_relay_at_rated(standard.and_then(|standard| standard.edition));
    let own = ieee_relay(volts).map(|class| class.burden.clone());
    let place = burden_place(j, run, own.as_deref());
    let burden = own.unwrap_or_else(|| "its standard burden".to_owned());
    for each in &run.points {
        let here = (each.percent - 100.0).abs() <= AIM * 100.0;
        let refuse = (!here).then_some("the class states a limit at rated current only");
        let ratio = limit.map(|limit| super::within(limit.limit, &limit.cited));
        let told = point(j, run, each, Limits { ratio, phase: None }, refuse);
        let heads = here && heads(j, run.pair);
        for mut told in told {
            told.headline = heads && told.rule == "ratio-error";
            let judged = here && told.rule == "ratio-error" && run.doubtful.is_none();
            if judged && place != Lies::Rated {
                lesser_burden(&mut told, place, &burden, &run.burden);
            }
            j.findings.push(told);
        }
    }
}

fn lesser_burden(told: &mut Finding, place: Lies, burden: &str, used: &Burdened) {
    let less = matches!(place, Lies::Below | Lies::Between | Lies::Least);
    told.verdict = match &told.verdict {
        Verdict::Word(Word::Fail) if less => Verdict::NotMet,
        _ => Verdict::NotShown(format!(
            "needs a reading at {burden}, this one is at {}",
            burden_text(used)
        )),
    };
}
