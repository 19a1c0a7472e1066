//! What relays and meters show of a current that was fed into their circuit, against the error that they may
//! have.

use super::text;
use crate::derive::kinds::injection::Shown;
use crate::document::{Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::injection as rules;
use crate::judge::words::{quantity, short};
use crate::record::kinds::Test;
use crate::record::kinds::injection::{Injection, InjectionRow};
use crate::standards::threshold;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, injection) in j.case.visit.of(Test::injection) {
        for (place, row) in injection.rows.iter().enumerate() {
            let mut all = j.derived.injection.iter();
            let shown = all.find(|one| one.test == index && one.row == place);
            let finding = one(j, (index, injection), row, shown);
            out.extend(finding.map(|finding| finding.withheld(test.doubtful)));
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
    let rule = &rules::INJECTION_ERROR;
    let Some(shown) = shown else {
        let needs = lacks(row)?;
        return Some(placed(Finding::without(rule, unit::PERCENT).needs(needs)));
    };
    let mut finding = placed(Finding::new(rule, shown.error, unit::PERCENT));
    finding.points_at.clone_from(&shown.readings);
    let expected = quantity(shown.expected.si, 4, unit::AMPERE);
    finding = finding.remark(say!("{} is to be shown", expected));
    let of_job = j.case.criteria.service.reading_error;
    let what = ("service-reading-error", "error of what is shown");
    let limit = j.stated_limit(&injection.limit, of_job, what, Against::within);
    let far = threshold("reading-fails")?;
    let is_far = shown.error.si.abs() > far.limit;
    let judged = match limit {
        Some(limit) => finding.against(j, limit),
        // Without a limit of its own only what no relay errs by is told.
        None if is_far => finding.against(j, Against::within(far.limit, &far.cited)),
        None => finding,
    };
    let hint = like(j, row, shown).filter(|_| is_far);
    Some(hint.into_iter().fold(judged, Finding::remark))
}

/// What a row without a value needs; nothing where it waits to be filled in, or was told as unreadable.
fn lacks(row: &InjectionRow) -> Option<&'static str> {
    let given = [&row.current, &row.reading];
    if given.iter().any(|given| given.is_unreadable()) || row.ratio.is_unreadable() {
        return None;
    }
    match (row.current.is_missing(), row.reading.is_missing()) {
        (_, true) if text(&row.remark).is_empty() => None,
        (_, true) => Some("needs what the relay or meter shows"),
        (true, false) => Some("needs the current that was fed"),
        (false, false) => Some("needs a value, not a bound"),
    }
}

/// What a reading far off is like: none at all, another input, another ratio.
fn like(j: &Judging<'_>, row: &InjectionRow, shown: &Shown) -> Option<Phrase> {
    let times = 1.0 + shown.error.si / 100.0;
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
    let ratios = pairs.filter_map(|pair| Some((pair, j.case.ratio(pair)?)));
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

    #[test]
    fn without_a_limit_only_what_no_relay_errs_by_is_told() {
        table(
            "injection-error",
            |row| fed("", row),
            &[
                ("1S | F21 | L1 | 1.000 | 1.002 | - | -", "no limit"),
                ("1S | F21 | L1 | 1.000 | 601.2 | 600/1 | -", "no limit"),
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
