//! Type tests by reference: nothing is measured here. A reference counts with its certificate, its result, and the
//! type of this unit. Of several of one test the later one decides, by the dates of their certificates.

use super::text;
use crate::document::{Grade, Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Finding, Verdict};
use crate::judge::rules::Rule;
use crate::judge::rules::type_test as rules;
use crate::record::kinds::Test;
use crate::record::kinds::type_test::{Came, Tested, TypeTestRow, is_iso, is_no_day};
use crate::record::visit::Visit;
use std::collections::BTreeMap;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    let mut known = BTreeMap::new();
    for (index, test, body) in j.case.visit.of(Test::type_test) {
        out.extend(body.rows.iter().filter_map(|row| {
            let finding = of_row(j, &mut known, row)?.within(index, None, row.span);
            Some(finding.withheld(test.doubtful))
        }));
    }
}

/// What a row says; nothing while all but the name of the test waits to be filled in.
fn of_row<'a>(
    j: &Judging<'a>,
    known: &mut BTreeMap<Tested, References<'a>>,
    row: &'a TypeTestRow,
) -> Option<Finding> {
    let tested = *row.test.value()?;
    let remark = text(&row.remark);
    if row.result.is_missing() && text(&row.certificate).is_empty() && text(&row.of).is_empty() {
        return None;
    }
    let (rule, named) = rule(tested);
    let own = Reference {
        row,
        visit: j.case.visit,
    };
    let (verdict, since) = match lacks(j, &own) {
        Some(needs) => (Verdict::NotShown(needs), None),
        None => {
            let all = known.entry(tested);
            all.or_insert_with(|| References::of(j, tested))
                .beside(&own)
        }
    };
    let item = (!named.is_empty()).then(|| Condition::Item(named.to_owned()));
    let made = Finding::observation(rule, came(row), Grade::Info).verdict(verdict);
    let mut made = made.under(item);
    made.remarks.extend(since);
    let remark = Some(remark).filter(|remark| !remark.is_empty());
    made.remarks
        .extend(remark.map(|remark| remark.to_owned().into()));
    Some(made.headline())
}

/// A row, and the visit that has it.
#[derive(Clone, Copy)]
struct Reference<'a> {
    row: &'a TypeTestRow,
    visit: &'a Visit,
}

impl Reference<'_> {
    fn came(&self, came: Came) -> bool {
        self.row.result.value() == Some(&came)
    }

    /// `TC-118 of 2024-02-01`
    fn named(&self) -> Phrase {
        let number = text(&self.row.certificate).to_owned();
        match text(&self.row.date) {
            "" => number.into(),
            date => say!("{} of {}", number, date.to_owned()),
        }
    }

    /// Its date, where that can be held against others.
    fn dated(&self) -> Option<&str> {
        Some(text(&self.row.date)).filter(|date| is_iso(date))
    }
}

/// The references of one test up to a visit that say something of this type.
struct References<'a> {
    /// The latest that passed: of those with a year, with a month and with a day.
    passed: BTreeMap<usize, Reference<'a>>,
    /// The first that failed, and has no later one that passed.
    failed: Option<Reference<'a>>,
}

impl<'a> References<'a> {
    fn of(j: &Judging<'a>, tested: Tested) -> Self {
        let visits = j.case.record.visits.iter().take(j.case.index + 1);
        let rows = visits.flat_map(|visit| {
            let tests = visit.of(Test::type_test);
            let rows = tests.flat_map(|(_, _, body)| &body.rows);
            rows.map(move |row| Reference { row, visit })
        });
        let own = rows.filter(|one| one.row.test.value() == Some(&tested));
        let own = own.filter(|one| lacks(j, one).is_none());
        let mut all = Self {
            passed: BTreeMap::new(),
            failed: None,
        };
        let mut failed: Vec<Reference<'_>> = Vec::new();
        for one in own {
            match one.dated() {
                _ if one.came(Came::Failed) => failed.push(one),
                Some(date) => {
                    let latest = all.passed.entry(date.len()).or_insert(one);
                    if latest.dated() < Some(date) {
                        *latest = one;
                    }
                }
                None => {}
            }
        }
        all.failed = failed.into_iter().find(|one| all.since(one).is_none());
        all
    }

    /// One that passed and is dated after one that failed, which is no younger than its visit.
    fn since(&self, failed: &Reference<'_>) -> Option<&Reference<'a>> {
        let day = failed.visit.date.value.to_string();
        let failed = failed.dated().unwrap_or(&day);
        self.passed.values().find(|passed| {
            // A year is not after a day in it, nor before.
            let own = passed.dated().unwrap_or_default();
            let both = own.len().min(failed.len());
            let both = own.get(..both).zip(failed.get(..both));
            both.is_some_and(|(own, failed)| own > failed)
        })
    }

    /// What a reference that lacks nothing comes to beside the others, and what came after it.
    fn beside(&self, own: &Reference<'_>) -> (Verdict, Option<Phrase>) {
        if own.came(Came::Failed) {
            return match self.since(own) {
                Some(since) => (
                    Verdict::Observed(Grade::Info),
                    Some(say!("passed since, certificate {}", since.named())),
                ),
                None => (Verdict::Observed(Grade::Fails), None),
            };
        }
        let verdict = match &self.failed {
            Some(failed) => Verdict::NotShown(say!(
                "needs a certificate dated after the one that failed, {}",
                failed.named()
            )),
            None => Verdict::Observed(Grade::Pass),
        };
        (verdict, None)
    }
}

/// How it came, and by which certificate of which type: the word alone would read as a test of this unit.
fn came(row: &TypeTestRow) -> Phrase {
    let came = match row.result.value() {
        Some(Came::Passed) => "passed by type test",
        Some(Came::Failed) => "failed by type test",
        None => return Phrase::default(),
    };
    let (date, of) = (text(&row.date), text(&row.of));
    let certificate = match text(&row.certificate) {
        "" => Phrase::default(),
        number if date.is_empty() => say!("certificate {}", number.to_owned()),
        number => say!("certificate {} of {}", number.to_owned(), date.to_owned()),
    };
    let of = match of {
        "" => Phrase::default(),
        of => say!("type {}", of.to_owned()),
    };
    let parts = [came.into(), certificate, of];
    Phrase::join(parts.into_iter().filter(|part| !part.is_empty()), ", ")
}

/// The rule of a type test, and what it is called; it is the rule's own name where it has one for itself.
fn rule(tested: Tested) -> (&'static Rule, &'static str) {
    let named = match tested {
        Tested::TemperatureRise => return (&rules::TEMPERATURE_RISE, ""),
        Tested::ShortTimeCurrent => "short-time current",
        Tested::LightningImpulse => "lightning impulse",
        Tested::SwitchingImpulse => "switching impulse",
        Tested::WetWithstand => "withstand, wet",
        Tested::RadioInterference => "radio interference voltage",
        Tested::DegreeOfProtection => "degree of protection",
        Tested::RatioAndPhase => "ratio error and phase displacement",
        Tested::CompositeError => "composite error",
        Tested::SecurityFactor => "instrument security factor",
        Tested::RemanenceFactor => "remanence factor",
        Tested::LeakageReactance => "low leakage reactance",
        Tested::TransientError => "error under transient conditions",
    };
    (&rules::TYPE_TEST, named)
}

/// What a reference lacks, or whose it is instead: then it says nothing of this unit, neither good nor bad.
fn lacks(j: &Judging<'_>, Reference { row, visit }: &Reference<'_>) -> Option<Phrase> {
    let (own, of) = (text(&j.case.record.plate.kind), text(&row.of));
    if row.result.value().is_none() {
        Some("needs the result".into())
    } else if text(&row.certificate).is_empty() {
        Some("needs the number of the certificate".into())
    } else if of.is_empty() {
        Some("needs the type that was tested".into())
    } else if own.is_empty() {
        Some("needs the type on the rating plate".into())
    } else if !own.eq_ignore_ascii_case(of) {
        Some(say!(
            "needs a certificate of type {}: this one is of {}",
            own.to_owned(),
            of.to_owned()
        ))
    } else if is_later(visit, text(&row.date)) {
        Some("needs a certificate from before this visit".into())
    } else if is_no_day(text(&row.date)) && !row.date.is_missing() {
        Some("needs the date of the certificate".into())
    } else {
        None
    }
}

/// Whether a certificate is of a year, month or day after that of the visit; words say nothing of it.
fn is_later(visit: &Visit, written: &str) -> bool {
    let day = visit.date.value.to_string();
    is_iso(written) && day.get(..written.len()).is_some_and(|day| written > day)
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{Bench, core};

    fn told(plate: &str, rule: &str, row: &str) -> String {
        let test = "[type-test]\ntest | certificate | of | date | result | remark";
        let visit = format!("[visit 2026-01-05]\npurpose: factory\n{test}\n{row}\n");
        let text = core("class: 5P20\nburden: 15 VA\nratio: 600/1 A", &visit);
        let text = text.replace("frequency: 50 Hz", &format!("frequency: 50 Hz\n{plate}"));
        Bench::of(&text).told(rule)
    }

    #[test]
    fn a_reference_counts_with_its_certificate_its_type_and_its_result() {
        let own = "type: BW 145";
        for (row, expected) in [
            ("TC-118 | BW 145 | 2024-02-01 | passed | -", "pass"),
            ("TC-118 | bw 145 | - | passed | -", "pass"),
            ("TC-118 | BW 145 | 2026-01 | passed | -", "pass"),
            ("TC-118 | BW 145 | May 2031 | passed | -", "pass"),
            ("TC-118 | BW 145 | 2025 | passed | -", "pass"),
            (
                "TC-118 | BW 145 | 2026-01-06 | passed | -",
                "not shown: needs a certificate from before this visit",
            ),
            (
                "TC-118 | BW 145 | 2027 | passed | -",
                "not shown: needs a certificate from before this visit",
            ),
            ("TC-118 | BW 145 | 2024-02-01 | failed | -", "fails"),
            (
                "- | BW 145 | - | passed | -",
                "not shown: needs the number of the certificate",
            ),
            (
                "TC-118 | - | - | passed | -",
                "not shown: needs the type that was tested",
            ),
            ("TC-118 | BW 145 | - | - | -", "not shown: needs the result"),
            (
                "TC-118 | BW 170 | - | passed | -",
                "not shown: needs a certificate of type BW 145: this one is of BW 170",
            ),
            (
                "TC-118 | BW 170 | - | failed | -",
                "not shown: needs a certificate of type BW 145: this one is of BW 170",
            ),
            (
                "TC-118 | BW 145 | 01.02.2024 | passed | - # broken",
                "not shown: needs the date of the certificate",
            ),
            ("- | - | - | - | -", ""),
        ] {
            let rise = format!("temperature-rise | {row}");
            assert_eq!(told(own, "temperature-rise", &rise), expected, "{row}");
            let other = format!("short-time-current | {row}");
            assert_eq!(told(own, "type-test", &other), expected, "{row}");
            assert_eq!(told(own, "temperature-rise", &other), "");
        }
        let row = "temperature-rise | TC-118 | BW 145 | - | passed | -";
        assert_eq!(
            told("", "temperature-rise", row),
            "not shown: needs the type on the rating plate"
        );
    }

    /// By their dates, not by the order of rows or visits.
    #[test]
    fn of_several_tests_the_later_one_decides() {
        let row = |text: &str| {
            let (number, date, came) = match text.split(' ').collect::<Vec<_>>()[..] {
                [number, date, came] => (number, date, came),
                _ => panic!("{text}"),
            };
            format!("temperature-rise | {number} | BW 145 | {date} | {came} | -")
        };
        let after = |named: &str| {
            format!("not shown: needs a certificate dated after the one that failed, {named}")
        };
        let late = after("A of 2024");
        for (first, second, expected) in [
            ("A 2024 failed", "B 2025 passed", "info | pass".to_owned()),
            ("B 2025 passed", "A 2024 failed", "pass | info".to_owned()),
            ("A 2024 failed", "B 2019 passed", format!("fails | {late}")),
            ("B 2019 passed", "A 2024 failed", format!("{late} | fails")),
            (
                "A 2024 failed",
                "B 2024-05 passed",
                format!("fails | {late}"),
            ),
            ("A 2024 failed", "B - passed", format!("fails | {late}")),
            (
                "A - failed",
                "B 2025 passed",
                format!("fails | {}", after("A")),
            ),
            ("A 2023 passed", "B 2019 passed", "pass | pass".to_owned()),
        ] {
            let rows = format!("{}\n{}", row(first), row(second));
            assert_eq!(
                told("type: BW 145", "temperature-rise", &rows),
                expected,
                "{first}, {second}"
            );
        }
    }

    #[test]
    fn an_older_certificate_that_comes_later_answers_no_failure() {
        let of = |date: &str| {
            let head = "[type-test]\ntest | certificate | of | date | result | remark";
            let row = format!(
                "temperature-rise | A | BW 145 | 2024 | failed | -\n[visit 2026-05-01]\npurpose: retest\n{head}\n\
                 temperature-rise | B | BW 145 | {date} | passed | -"
            );
            told("type: BW 145", "temperature-rise", &row)
        };
        let late = "not shown: needs a certificate dated after the one that failed, A of 2024";
        assert_eq!(of("2019"), late);
        assert_eq!(of("2025-11-03"), "pass");
    }
}
