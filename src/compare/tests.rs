use super::*;
use crate::derive::workings::Workings;
use crate::ground::source::Source;
use crate::judge::finding::{Finding, Verdict, unit};
use crate::judge::rules::protection as rules;
use crate::judge::{Assessment, VisitAssessment};
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::trade::Pair;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Each of another id.
fn record(visits: &[&str], bay: &str, class: &str) -> Record {
    static COUNT: AtomicUsize = AtomicUsize::new(0);
    let number = COUNT.fetch_add(1, Ordering::Relaxed);
    let visits: String = visits
        .iter()
        .map(|purpose| format!("[visit 2026-01-02]\npurpose: {purpose}\n"))
        .collect();
    let text = format!(
        "format: 1\n[ct]\nid: A{number}\nstandard: IEC 61869-2:2012\nsite: S\nbay: {bay}\n[core 1S]\nclass: {class}\nratio: 600/1 A\n{visits}"
    );
    crate::record::read_alone(&Source::new("a.ctr", text.as_bytes()).0).0
}

/// An assessment with a knee at most a visit, in volt.
fn assessed(knees: &[Option<(f64, Verdict)>]) -> Assessment {
    let mut workings = Workings::new();
    let pair = Pair {
        core: 0,
        from: 0,
        to: 1,
    };
    let visits = knees.iter().map(|knee| {
        let findings = knee.iter().map(|(volt, verdict)| {
            let value = workings.constant("knee", "V", *volt, "test");
            Finding::new(&rules::KNEE_EMF, value, unit::VOLT)
                .at(0, pair, Vec::new())
                .verdict(verdict.clone())
        });
        VisitAssessment {
            derived: Default::default(),
            findings: findings.collect(),
            inherited: Vec::new(),
        }
    });
    let visits = visits.collect();
    Assessment {
        workings,
        visits,
        due: Default::default(),
    }
}

fn good(volt: f64) -> Option<(f64, Verdict)> {
    Some((volt, Verdict::NoLimit))
}

/// The median of sisters with these knees, bays and classes for a CT of class PX in bay B1.
fn median(of: &[(f64, &str, &str)]) -> Option<(f64, usize)> {
    let commissioned = |bay, class| record(&["commissioning"], bay, class);
    let own = commissioned("B1", "PX");
    let mine = assessed(&[good(300.0)]);
    let others: Vec<(Record, Assessment)> = of
        .iter()
        .map(|(knee, bay, class)| (commissioned(*bay, *class), assessed(&[good(*knee)])))
        .collect();
    let sisters = sisters(&own, others.iter().map(|(record, found)| (record, found)));
    let bare = Criteria::default();
    beside(&own, &mine, &bare, &sisters, 0, &mine.visits[0].findings[0]).sisters
}

#[test]
fn the_median_does_not_follow_a_sick_sister() {
    let of = |knees: &[f64]| {
        let sisters: Vec<_> = knees.iter().map(|knee| (*knee, "B1", "PX")).collect();
        median(&sisters)
    };
    assert_eq!(of(&[]), None);
    assert_eq!(of(&[310.0]), Some((310.0, 1)));
    assert_eq!(of(&[310.0, 300.0]), Some((305.0, 2)));
    assert_eq!(of(&[310.0, 20.0, 300.0]), Some((300.0, 3)));
}

#[test]
fn only_cores_alike_in_the_same_bay_or_set_are_sisters() {
    for (bay, class, found) in [
        ("B1", "PX", true),
        ("B2", "PX", false),
        ("B1", "5P20", false),
    ] {
        let sister = median(&[(310.0, bay, class)]);
        assert_eq!(sister.is_some(), found, "{bay} {class}");
    }
}

#[test]
fn maker_and_last_visit_stand_apart() {
    let own = record(&["factory", "maintenance", "maintenance"], "B1", "PX");
    let all = assessed(&[good(320.0), good(310.0), good(300.0)]);
    let knees = |visit: usize| {
        let bare = Criteria::default();
        let found = history(&own, &all, &bare, visit, &all.visits[visit].findings[0]);
        let knee = |past: Past<'_>| Some(past.finding.value()?.si);
        [found.factory, found.last].map(|past| past.and_then(knee))
    };
    assert_eq!(knees(2), [Some(320.0), Some(310.0)]);
    assert_eq!(knees(0), [None, None]);
}
