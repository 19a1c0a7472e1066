use super::*;
use crate::derive::workings::Workings;
use crate::judge::assess::{Assessment, VisitAssessment};
use crate::judge::finding::{Finding, Found, Grade, Verdict, unit};
use crate::judge::rules;
use crate::record::Record;
use crate::trade::Pair;

fn record(visits: &[(&str, &str)], bay: &str, class: &str) -> Record {
    let visits: String = visits
        .iter()
        .map(|(day, purpose)| format!("[visit {day}]\npurpose: {purpose}\n"))
        .collect();
    let text = format!(
        "format: 1\n[ct]\nid: A\nstandard: IEC 61869-2:2012\nsite: S\nbay: {bay}\n[core 1S]\nclass: {class}\nratio: 600/1 A\n{visits}"
    );
    crate::record::read_alone(&crate::ground::source::Source::new("a.ctr", text.as_bytes()).0).0
}

/// An assessment with one knee a visit, in volt.
fn assessed(knees: &[&[(f64, Verdict)]]) -> Assessment {
    let mut workings = Workings::new();
    let mut visits = Vec::new();
    for list in knees {
        let findings = list
            .iter()
            .map(|(volt, verdict)| {
                let value = workings.constant("knee", "V", *volt, "test");
                let pair = Pair {
                    core: 0,
                    from: 0,
                    to: 1,
                };
                let finding = Finding::new(&rules::KNEE_EMF, Found::Known(value), unit::VOLT);
                let mut finding = finding.at(0, pair, Vec::new());
                finding.verdict = verdict.clone();
                finding
            })
            .collect();
        visits.push(VisitAssessment {
            derived: Default::default(),
            findings,
        });
    }
    Assessment { workings, visits }
}

const COMMISSIONED: &[(&str, &str)] = &[("2026-01-02", "commissioning")];

fn median(knees: &[f64]) -> Option<(f64, usize)> {
    let own = record(COMMISSIONED, "B1", "PX");
    let mine = assessed(&[&[(300.0, Verdict::NoLimit)]]);
    let others: Vec<(Record, Assessment)> = knees
        .iter()
        .map(|knee| {
            (
                record(COMMISSIONED, "B1", "PX"),
                assessed(&[&[(*knee, Verdict::NoLimit)]]),
            )
        })
        .collect();
    let sisters = sisters(
        &own,
        others
            .iter()
            .map(|(record, assessment)| (record, assessment)),
    );
    sister_median(&own, &sisters, &mine.visits[0].findings[0])
}

#[test]
fn the_median_does_not_follow_a_sick_sister() {
    assert_eq!(median(&[]), None);
    assert_eq!(median(&[310.0]), Some((310.0, 1)));
    assert_eq!(median(&[310.0, 300.0]), Some((305.0, 2)));
    assert_eq!(median(&[310.0, 20.0, 300.0]), Some((300.0, 3)));
}

#[test]
fn only_cores_alike_in_the_same_bay_or_set_are_sisters() {
    let own = record(COMMISSIONED, "B1", "PX");
    let mine = assessed(&[&[(300.0, Verdict::NoLimit)]]);
    let there = assessed(&[&[(310.0, Verdict::NoLimit)]]);
    for (bay, class, found) in [
        ("B1", "PX", true),
        ("B2", "PX", false),
        ("B1", "5P20", false),
    ] {
        let other = record(COMMISSIONED, bay, class);
        let sisters = sisters(&own, [(&other, &there)].into_iter());
        assert_eq!(
            sister_median(&own, &sisters, &mine.visits[0].findings[0]).is_some(),
            found,
            "{bay} {class}"
        );
    }
}

#[test]
fn maker_and_last_visit_stand_apart() {
    let visits = &[
        ("2024-01-02", "factory"),
        ("2025-01-02", "maintenance"),
        ("2026-01-02", "maintenance"),
    ];
    let own = record(visits, "B1", "PX");
    let all = assessed(&[
        &[(320.0, Verdict::NoLimit)],
        &[(310.0, Verdict::NoLimit)],
        &[(300.0, Verdict::NoLimit)],
    ]);
    let found = beside(&own, &all, &[], 2, &all.visits[2].findings[0]);
    assert_eq!(
        found.factory.unwrap().finding.found.value().unwrap().si,
        320.0
    );
    assert_eq!(found.last.unwrap().finding.found.value().unwrap().si, 310.0);
    assert!(
        beside(&own, &all, &[], 0, &all.visits[0].findings[0])
            .last
            .is_none()
    );
}

#[test]
fn what_was_bad_stands_until_it_is_measured_again() {
    let bad = Verdict::Observed(Grade::Fails);
    let open = assessed(&[&[(20.0, bad.clone())], &[]]);
    assert_eq!(standing(&open).len(), 1);
    let answered = assessed(&[&[(20.0, bad)], &[(300.0, Verdict::NoLimit)]]);
    assert!(standing(&answered).is_empty());
}

#[test]
fn another_pair_of_windings_does_not_answer_a_breakdown() {
    let visit = |day: &str, row: &str| {
        format!(
            "[visit {day}]\npurpose: maintenance\n[withstand]\nbetween | voltage/V | time/s | result\n{row}\n"
        )
    };
    let standing_after = |row: &str| {
        let text = format!(
            "format: 1\n[ct]\nid: A\nstandard: IEC 61869-2:2012\n[core S]\nmarks: S1 S2\nclass: PX\nratio: 600/1 A\n{}{}",
            visit("2025-01-02", "primary to earth | 3000 | 60 | broke-down"),
            visit("2026-01-02", row)
        );
        let source = crate::ground::source::Source::new("a.ctr", text.as_bytes()).0;
        let record = crate::record::read_alone(&source).0;
        standing(&crate::judge::assess(&record, None, &Default::default())).len()
    };
    assert_eq!(standing_after("primary to S | 3000 | 60 | held"), 1);
    assert_eq!(standing_after("primary to earth | 2500 | 60 | held"), 0);
}
