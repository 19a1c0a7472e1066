//! The charts of the demo job, all of them.

use super::overlay::{Overlay, overlaid};
use crate::chart::tests::apart::faults;
use crate::compare::sisters;
use crate::compile;
use crate::document::{NumberStyle, Templates};
use crate::ground::seam::Disk;
use crate::job::Job;
use crate::record::occasion;
use crate::report::{Options, Subject, ct};
use std::path::PathBuf;
use std::sync::OnceLock;

fn demo() -> &'static Job {
    static DEMO: OnceLock<Job> = OnceLock::new();
    DEMO.get_or_init(|| compile(&Disk, &[PathBuf::from("records")]))
}

/// The charts of a unit's report, each a whole element.
fn charts(job: &Job, at: usize) -> Vec<String> {
    let unit = &job.records[at];
    let others = job
        .records
        .iter()
        .map(|other| (&other.record, &other.assessment));
    let subject = Subject::of(unit, sisters(&unit.record, others));
    let report = ct(&subject, &Options::default(), &Templates::built_in()).unwrap();
    let drawn = report.html.split("<svg ").skip(1);
    let whole = drawn.map(|chart| format!("<svg {}</svg>", chart.split("</svg>").next().unwrap()));
    whole.collect()
}

#[test]
fn no_label_of_the_demo_lies_on_anything() {
    let job = demo();
    let (mut count, mut found) = (0, Vec::new());
    for at in 0..job.records.len() {
        for chart in charts(job, at) {
            count += 1;
            let id = chart
                .split("aria-labelledby=\"")
                .nth(1)
                .unwrap()
                .split(' ')
                .next()
                .unwrap();
            if let Ok(folder) = std::env::var("KNEEMARK_LOOK") {
                std::fs::write(format!("{folder}/ct-{id}.svg"), &chart).unwrap();
            }
            found.extend(
                faults(&chart)
                    .into_iter()
                    .map(|fault| format!("{id}: {fault}")),
            );
        }
    }
    assert!(job.records.len() >= 33 && count > 100, "{count} charts");
    assert!(
        found.is_empty(),
        "{} in {count} charts:\n{}",
        found.len(),
        found.join("\n")
    );
}

/// The length of a decade that a chart says it has.
fn decade(chart: &str) -> Option<&str> {
    let (_, rest) = chart.split_once("one decade is ")?;
    rest.split(" mm").next()
}

#[test]
fn cores_and_phases_have_decades_of_one_length() {
    let job = demo();
    for bay in ["h07", "h08", "h09", "e1"] {
        let of_bay = job.records.iter().enumerate();
        let of_bay =
            of_bay.filter(|(_, unit)| unit.path.to_string_lossy().contains(&format!("/{bay}/")));
        let all: Vec<String> = of_bay.flat_map(|(at, _)| charts(job, at)).collect();
        let mut lengths: Vec<&str> = all.iter().filter_map(|chart| decade(chart)).collect();
        assert!(lengths.len() >= 3, "{bay}: {} charts", lengths.len());
        lengths.dedup();
        assert_eq!(lengths.len(), 1, "{bay}: {lengths:?}");
    }
}

#[test]
fn phases_are_laid_over_each_other() {
    let job = demo();
    let bay = |bay: &str| -> Vec<_> {
        let units = job.records.iter();
        units
            .filter(|unit| unit.path.to_string_lossy().contains(&format!("/{bay}/")))
            .collect()
    };
    for (name, cores) in [("h07", 3), ("h08", 3), ("h09", 1), ("e1", 1)] {
        let units = bay(name);
        let visits: Vec<Vec<usize>> = units
            .iter()
            .map(|unit| occasion::last(&unit.record))
            .collect();
        for core in 0..cores {
            let overlays: Vec<Overlay<'_>> = units
                .iter()
                .zip(&visits)
                .zip(["L1", "L2", "L3"])
                .map(|((unit, visits), label)| Overlay {
                    label,
                    record: &unit.record,
                    assessment: &unit.assessment,
                    visits,
                    core,
                })
                .collect();
            let figure = overlaid("x", &overlays, NumberStyle::default());
            let figure = figure.unwrap_or_else(|| panic!("{name} {core}: no curves"));
            let svg = &figure.picture.element;
            if let Ok(folder) = std::env::var("KNEEMARK_LOOK") {
                std::fs::write(format!("{folder}/{name}-{core}.svg"), svg).unwrap();
            }
            let found = faults(svg);
            assert!(found.is_empty(), "{name} {core}: {found:?}");
            for label in ["L1", "L2", "L3"] {
                assert!(
                    svg.contains(&format!(">{label}<")),
                    "{name} {core}: {label}"
                );
            }
        }
    }
    let none: Option<_> = overlaid("x", &[], NumberStyle::default());
    assert!(none.is_none());
}
