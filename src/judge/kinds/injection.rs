//! What relays and meters show of a current that was fed into their circuit, against the error that they may
//! have.

use super::in_service::{is_one_device, is_same, is_thousandfold, lacks, written};
use super::text;
use crate::derive::kinds::injection::{Found, Shown};
use crate::derive::workings::Value;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::Rule;
use crate::judge::rules::injection as rules;
use crate::judge::words::{brief, quantity, short};
use crate::record::kinds::Test;
use crate::record::kinds::injection::{Injection, InjectionRow};
use crate::standards::threshold;
use crate::trade::{Ratio, mark};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, injection) in j.case.visit.of(Test::injection) {
        for (place, row) in injection.rows.iter().enumerate() {
            let mut all = j.derived.injection.iter();
            let shown = all.find(|one| one.test == index && one.row == place);
            let finding = one(j, (index, injection), row, shown);
            // By a limit that cannot be read nothing passes, nor by the job's in its place.
            let doubtful = test.doubtful.or(injection.limit.unreadable());
            out.extend(finding.map(|finding| finding.withheld(doubtful)));
        }
    }
}

fn one(
    j: &Judging<'_>,
    (section, injection): (usize, &Injection),
    row: &InjectionRow,
    shown: Option<&Shown>,
) -> Option<Finding> {
    let core = row.core?;
    let placed = |finding: Finding| {
        let placed = finding.within(section, Some(core), row.span).headline();
        placed.of_row(&row.at, &row.remark).of_phase(&row.phase)
    };
    let waits = row.reading.is_missing() && text(&row.remark).is_empty();
    let read = [
        (&row.reading, "needs what the relay or meter shows"),
        (&row.current, "needs the current that was fed"),
    ];
    let rule = &rules::INJECTION_ERROR;
    let Some(shown) = shown else {
        let needs = lacks(read, waits || row.ratio.is_unreadable())?;
        return Some(placed(Finding::without(rule, unit::PERCENT).needs(needs)));
    };
    let of = |rule: &'static Rule| {
        let mut finding = placed(Finding::without(rule, unit::PERCENT));
        finding.points_at.clone_from(&shown.readings);
        finding
    };
    let found = |rule: &'static Rule, value: Value| {
        let mut finding = of(rule);
        finding.found = value.into();
        finding
    };
    let (expected, error, share) = match shown.found {
        Found::Fed {
            expected,
            error,
            share,
        } => (expected, error, share.map(|share| share.si)),
        Found::Unfed(share) => {
            let mut finding = of(&rules::INJECTION_UNFED);
            // What stands for the test is the phase that was fed.
            finding.headline = false;
            return finding.quiet(j, share);
        }
    };
    let times = 1.0 + error.si / 100.0;
    if let Some(slip) = slip(j, row, times) {
        let finding = found(&rules::INJECTION_SLIP, error).graded(Grade::Review);
        return Some(finding.remark(slip));
    }
    let expected = quantity(expected.si, 4, unit::AMPERE);
    let finding = found(rule, error).remark(say!("{} is to be shown", expected));
    let finding = finding.at_current(share);
    let of_job = j.case.criteria.service.reading_error;
    let what = ("service-reading-error", "error of what is shown");
    let limit = j.stated_limit(&injection.limit, of_job, what, Against::within);
    let far = threshold("reading-fails")?;
    let is_far = error.si.abs() > far.limit;
    // What no relay errs by limits none.
    let is_limit = |limit: &Against| {
        limit
            .requirement
            .upper
            .is_some_and(|most| most <= far.limit)
    };
    let senseless = !limit.as_ref().is_none_or(is_limit);
    let judged = finding.unless_small(share, |finding| {
        // Without a limit of its own only what no relay errs by is told.
        let limit = limit.filter(|_| !senseless);
        let judged = finding.by_stated(j, limit, Against::within(far.limit, &far.cited));
        let hint = like(j, row, times).filter(|_| is_far);
        let judged = hint.into_iter().fold(judged, Finding::remark);
        match judged.fails() {
            false if senseless => judged.needs(say!(
                "needs a limit of {} at most",
                brief(far.limit, unit::PERCENT.word)
            )),
            _ => judged,
        }
    });
    let other = row
        .ratio
        .value()
        .and_then(|ratio| other_setting(j, row, *ratio));
    Some(match other.filter(|_| !judged.fails()) {
        Some(other) => judged.needs(other),
        None => judged,
    })
}

/// The same device with another ratio in its setting: by one of the two it does not show this current.
fn other_setting(j: &Judging<'_>, row: &InjectionRow, here: Ratio) -> Option<Phrase> {
    let settings = j.case.visit.of(Test::ratio_setting);
    let rows = settings.flat_map(|(_, _, settings)| &settings.rows);
    let own = rows.filter(|set| is_one_device((set.core, &set.at), (row.core, &row.at)));
    // A setting that was mended is written once more.
    let last = own.filter_map(|set| set.ratio.value()).last()?;
    let other = Some(*last).filter(|last| !is_same(last.value(), here.value()))?;
    Some(say!(
        "needs one ratio: {} here, and {} as its setting",
        written(here),
        written(other)
    ))
}

/// A factor that comes from the way of writing: of the unit, or of the ratio that the same device is set to.
fn slip(j: &Judging<'_>, row: &InjectionRow, times: f64) -> Option<Phrase> {
    let near = threshold("reading-as")?;
    let settings = j.case.visit.of(Test::ratio_setting);
    let rows = settings.flat_map(|(_, _, settings)| &settings.rows);
    let mut own =
        rows.filter(|set| set.core == row.core && mark::is_one(text(&set.at), text(&row.at)));
    let is = |factor: f64| (times / factor - 1.0).abs() < near.limit / 100.0;
    let by_setting = own.find_map(|set| {
        let ratio = set
            .ratio
            .value()
            .copied()
            .filter(|set| set.value() != 1.0)?;
        let primary = row.ratio.is_missing() && is(ratio.value());
        let secondary = !row.ratio.is_missing() && is(1.0 / ratio.value());
        let said = say!("it is set to {}, and shows", written(ratio));
        match (primary, secondary) {
            (true, _) => Some(say!("{} primary current: is the ratio left out?", said)),
            (_, true) => Some(say!(
                "{} secondary current: is the ratio one too many?",
                said
            )),
            _ => None,
        }
    });
    let by_unit = || is_thousandfold(times, &row.reading).then(|| "a slip of the unit?".into());
    by_setting.or_else(by_unit)
}

/// What a reading far off is like: none at all, another input, another ratio.
fn like(j: &Judging<'_>, row: &InjectionRow, times: f64) -> Option<Phrase> {
    let near = threshold("reading-as")?.limit / 100.0;
    let is = |factor: f64| (times / factor - 1.0).abs() < near;
    if times.abs() < near {
        return Some(
            "no current arrives: look for an open link, a short left on, another terminal".into(),
        );
    }
    if is(5.0) || is(0.2) {
        return Some(
            "five times or a fifth: an input for 5 A fed for 1 A, or the other way round".into(),
        );
    }
    let set = row.ratio.value().map_or(1.0, |ratio| ratio.value());
    let core = row.core?;
    let pairs = j.case.taps(core).chain(j.case.full(core));
    // Behind main CTs a device is set to the overall ratio.
    let whole = j.serving(core).ok().zip(j.case.serving_alone(core).ok());
    let of_main = whole.map_or(1.0, |((_, overall), (_, own))| overall / own);
    let ratios = pairs.filter_map(|pair| Some((pair, j.case.ratio(pair)? * of_main)));
    let (pair, ratio) = ratios.into_iter().find(|(_, ratio)| is(ratio / set))?;
    let name = Phrase::terminals(j.case.record.pair_text(pair));
    Some(say!(
        "as if it showed primary current by {} of {}",
        Quantity::new(short(ratio), ""),
        name
    ))
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{BROKEN, Bench, table};
    use crate::judge::kinds::bench::{PLATE, visit};
    use crate::record::criteria::{Criteria, Service};

    fn fed(keys: &str, row: &str) -> Bench {
        Bench::visit(&format!(
            "[injection]\n{keys}core | at | phase | current/A | reading/A | ratio | remark\n{row}\n"
        ))
    }

    const UNSTATED: &str = "not decided: no limit is stated for it";

    const BOUND: &str = "not shown: needs a value, not a bound";

    /// Own arithmetic: 0.021 A of 1 A rated are 2.1 %; 12.1 A of 600 A are 2.02 %.
    #[test]
    fn a_phase_that_is_not_fed_shows_nothing() {
        table(
            "injection-unfed",
            |row| fed("limit: 1 %\n", row),
            &[
                ("1S | F21 | L2 | 0 | 0.000 | - | -", "pass"),
                ("1S | F21 | L2 | 0 | 0.019 | - | -", "pass"),
                ("1S | F21 | L2 | 0 | 0.021 | - | -", "fail"),
                ("1S | F21 | L2 | 0 | 12.1 | 600/1 | -", "fail"),
                ("1S | F21 | B | 0 | 0.021 | - | -", "fail"),
                // A bound shows what it bounds, and nothing beyond its limit.
                ("1S | F21 | L2 | 0 | <0.005 | - | -", "pass"),
                ("1S | F21 | L2 | 0 | <0.021 | - | -", BOUND),
                ("1S | F21 | L2 | 0 | >0.005 | - | -", BOUND),
                ("1S | F21 | L2 | 0 | >0.021 | - | -", "not met"),
                ("1S | F21 | L2 | 0.001 | 0.021 | - | -", ""),
            ],
        );
    }

    /// Own arithmetic: 0.049 A of 1 A rated are 4.9 %.
    #[test]
    fn a_small_current_shows_nothing() {
        let needs = "not shown: needs more current: 5 % of rated at least";
        table(
            "injection-error",
            |row| fed("limit: 1 %\n", row),
            &[
                ("1S | F21 | L1 | 0.0490 | 0.0490 | - | -", needs),
                ("1S | F21 | L1 | 0.0490 | 0.0000 | - | -", needs),
                ("1S | F21 | L1 | 0.5000 | 0.5001 | - | -", "pass"),
            ],
        );
    }

    /// Own arithmetic: half a digit of 1 A makes ± 58 % of it, past any limit of 1 %.
    #[test]
    fn an_uncertainty_larger_than_the_limit_decides_nothing() {
        let wide = "not decided: the uncertainty is larger than the limit";
        let told = |row: &str| fed("limit: 1 %\n", row).told("injection-error");
        assert_eq!(told("1S | F21 | L1 | 1 | 1 | - | -"), wide);
        assert_eq!(told("1S | F21 | L1 | 1.000 | 1.0 | - | -"), wide);
        assert_eq!(told("1S | F21 | L1 | 1.000 | 0.0 | - | -"), "fail");
        let said = fed("limit: 1 %\n", "1S | F21 | L1 | 1.000 | 1 | - | -");
        assert_eq!(said.told("injection-error"), wide);
    }

    #[test]
    fn a_limit_that_no_relay_needs_is_none() {
        let told = |limit: &str, shown: &str| {
            fed(limit, &format!("1S | F21 | L1 | 1.000 | {shown} | - | -")).told("injection-error")
        };
        let needs = "not shown: needs a limit of 25 % at most";
        assert_eq!(told("limit: 25 %\n", "1.002"), "pass");
        assert_eq!(told("limit: 26 %\n", "1.002"), needs);
        assert_eq!(told("limit: 100 %\n", "0.510"), "fail");
    }

    /// The job's limit does not take the place of one that cannot be read.
    #[test]
    fn a_limit_that_cannot_be_read_is_not_none() {
        let service = Service {
            reading_error: Some(5.0),
            ..Service::default()
        };
        let criteria = Criteria {
            service,
            ..Criteria::default()
        };
        let text = "# broken\n[injection]\nlimit: 1\ncore | at | phase | current/A | reading/A\n1S | F21 | L1 | 1.000 | 1.002\n";
        assert_eq!(
            Bench::by(criteria, &visit(PLATE, text)).told("injection-error"),
            BROKEN
        );
    }

    /// Own arithmetic: 1 A at 600/1 is 600 A; a device that shows 300 A for it is set to 300/1.
    #[test]
    fn a_device_has_one_ratio() {
        let both = |set: &str, shown: &str| {
            Bench::visit(&format!(
                "[ratio-setting]\ncore | at | ratio\n1S | {set}\n\n[injection]\nlimit: 1 %\n\
                 core | at | phase | current/A | reading/A | ratio\n1S | F21 | L1 | {shown}\n"
            ))
        };
        let told = |set: &str, shown: &str| {
            let bench = both(set, shown);
            let rules = ["ratio-setting", "injection-error"];
            rules.map(|rule| bench.told(rule)).join(", ")
        };
        assert_eq!(told("F21 | 600/1", "1.000 | 600.4 | 600/1"), "pass, pass");
        assert_eq!(told("F21 | 600/1", "1.000 | 1.001 | -"), "pass, pass");
        let needs = "not shown: needs one ratio: 300/1 here, and 600/1 as its setting";
        assert_eq!(
            told("F21 | 600/1", "1.000 | 300.2 | 300/1"),
            format!("review, {needs}")
        );
        assert_eq!(told("F21 | 600/1", "1.000 | 200.2 | 300/1"), "review, fail");
        assert_eq!(told("F87 | 600/1", "1.000 | 300.2 | 300/1"), "pass, pass");
        // Two devices without a name are two.
        assert_eq!(told("- | 600/1", "1.000 | 300.2 | 300/1"), "pass, pass");
        let mended =
            "F21 | 300/1\n\n[ratio-setting]\nstage: retest\ncore | at | ratio\n1S | F21 | 600/1";
        assert_eq!(
            both(mended, "1.000 | 600.4 | 600/1").told("injection-error"),
            "pass"
        );
        let said = both("F21 | 600/1", "1.000 | 300.2 | 300/1");
        said.holds("ratio-setting", &["injection was shown with 300/1"]);
    }

    #[test]
    fn a_slip_of_the_writing_is_no_failure_of_the_circuit() {
        for (before, row, said) in [
            (
                "",
                "1S | F21 | L1 | 1.000 | 1001 | - | -",
                "a slip of the unit?",
            ),
            (
                "",
                "1S | F21 | L1 | 0.001 | 1.001 | - | -",
                "a slip of the unit?",
            ),
            (
                "[ratio-setting]\ncore | at | ratio\n1S | F21 | 600/1\n\n",
                "1S | F21 | L1 | 1.000 | 600.4 | - | -",
                "it is set to 600/1, and shows primary current",
            ),
            (
                "[ratio-setting]\ncore | at | ratio\n1S | F21 | 600/1\n\n",
                "1S | F21 | L1 | 1.000 | 1.001 | 600/1 | -",
                "it is set to 600/1, and shows secondary current",
            ),
        ] {
            let bench = Bench::visit(&format!(
                "{before}[injection]\nlimit: 1 %\ncore | at | phase | current/A | reading/A | ratio | remark\n{row}\n"
            ));
            assert_eq!(bench.told("injection-error"), "", "{row}");
            assert_eq!(bench.told("injection-slip"), "review", "{row}");
            bench.holds("injection-slip", &[said]);
        }
        // The noise of an input that gets no current has no digits.
        let noise = fed("", "1S | F21 | L1 | 1.000 | 0.001 | - | -");
        assert_eq!(noise.told("injection-error"), "fail");
        noise.holds("injection-error", &["no current arrives"]);
        // Of another device it answers for nothing.
        let other = "[ratio-setting]\ncore | at | ratio\n1S | F50 | 600/1\n\n[injection]\nlimit: 1 %\ncore | at | current/A | reading/A\n1S | F21 | 1.000 | 600.4\n";
        assert_eq!(Bench::visit(other).told("injection-error"), "fail");
    }

    #[test]
    fn without_a_limit_only_what_no_relay_errs_by_is_told() {
        table(
            "injection-error",
            |row| fed("", row),
            &[
                ("1S | F21 | L1 | 1.000 | 1.002 | - | -", UNSTATED),
                ("1S | F21 | L1 | 1.000 | 601.2 | 600/1 | -", UNSTATED),
                ("1S | F21 | L1 | 1.000 | 0.000 | - | -", "fail"),
                ("1S | F21 | L1 | 1.000 | 5.00 | - | -", "fail"),
                ("1S | F21 | L1 | 1.000 | - | - | -", ""),
                (
                    "1S | F21 | L1 | 1.000 | - | - | dark",
                    "not shown: needs what the relay or meter shows",
                ),
                (
                    "1S | F21 | L1 | - | 1.00 | - | -",
                    "not shown: needs the current that was fed",
                ),
                (
                    "# broken\nwhat is this\n\n1S | F21 | L1 | 1 | 1.00 | - | -",
                    BROKEN,
                ),
            ],
        );
        for (row, said) in [
            (
                "1S | F21 | L1 | 1.000 | 0.000 | - | -",
                "no current arrives",
            ),
            (
                "1S | F21 | L1 | 1.000 | 0.200 | - | -",
                "five times or a fifth",
            ),
            (
                "2S | F21 | L1 | 1.000 | 300.4 | 600/1 | -",
                "by 300 of 2S1-2S2",
            ),
            ("1S | F21 | L1 | 1.000 | 600.0 | - | -", "by 600 of 1S1-1S2"),
        ] {
            fed("", row).holds("injection-error", &[said, "F21, L1"]);
        }
    }

    /// Own arithmetic: (1.012 - 1.000)/1.000 = 1.2 %; M1 errs by 0.1 % of it and a digit.
    #[test]
    fn the_limit_of_the_section_comes_before_the_job_s() {
        let by = |keys: &str| {
            let service = Service {
                reading_error: Some(5.0),
                ..Service::default()
            };
            let criteria = Criteria {
                service,
                ..Criteria::default()
            };
            let row = "1S | F21 | L1 | 1.000 | 1.012";
            let text =
                format!("[injection]\n{keys}core | at | phase | current/A | reading/A\n{row}\n");
            Bench::by(criteria, &visit(PLATE, &text))
        };
        table(
            "injection-error",
            by,
            &[
                ("limit: 0.5 %\n", "fail"),
                ("limit: 2 %\n", "pass"),
                ("", "pass"),
            ],
        );
        let value = by("").value("injection-error");
        assert!((value - 1.2).abs() < 1e-9, "{value}");
    }
}
