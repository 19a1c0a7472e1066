//! Type tests by reference: nothing is measured here. A reference counts with its certificate, its result, and the
//! type of this unit.

use super::text;
use crate::document::{Grade, Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Finding, Verdict};
use crate::judge::rules::Rule;
use crate::judge::rules::type_test as rules;
use crate::record::kinds::Test;
use crate::record::kinds::type_test::{Came, Tested, TypeTestRow, is_iso};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, body) in j.case.visit.of(Test::type_test) {
        out.extend(body.rows.iter().filter_map(|row| {
            let finding = of_row(j, row)?.within(index, None, row.span);
            Some(finding.withheld(test.doubtful))
        }));
    }
}

/// What a row says; nothing while all but the name of the test waits to be filled in.
fn of_row(j: &Judging<'_>, row: &TypeTestRow) -> Option<Finding> {
    let tested = *row.test.value()?;
    let remark = text(&row.remark);
    if row.result.is_missing() && text(&row.certificate).is_empty() && text(&row.of).is_empty() {
        return None;
    }
    let (rule, named) = rule(tested);
    let verdict = match lacks(j, row) {
        Some(needs) => Verdict::NotShown(needs),
        None if row.result.value() == Some(&Came::Failed) => Verdict::Observed(Grade::Fails),
        None => Verdict::Observed(Grade::Pass),
    };
    let item = (!named.is_empty()).then(|| Condition::Item(named.to_owned()));
    let made = Finding::observation(rule, came(row), Grade::Info).verdict(verdict);
    let mut made = made.under(item);
    let remark = Some(remark).filter(|remark| !remark.is_empty());
    made.remarks
        .extend(remark.map(|remark| remark.to_owned().into()));
    Some(made.headline())
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
fn lacks(j: &Judging<'_>, row: &TypeTestRow) -> Option<Phrase> {
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
    } else if is_later(j, text(&row.date)) {
        Some("needs a certificate from before this visit".into())
    } else {
        None
    }
}

/// Whether a certificate is of a year, month or day after that of the visit; words say nothing of it.
fn is_later(j: &Judging<'_>, written: &str) -> bool {
    let day = j.case.visit.date.value.to_string();
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
}
