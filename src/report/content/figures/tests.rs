//! The charts of the demo job, all of them.

use super::overlay::{Overlay, overlaid};
use crate::chart::tests::apart::faults;
use crate::compare::sisters;
use crate::compile;
use crate::document::{NumberStyle, Templates};
use crate::ground::seam::{Disk, Memory};
use crate::job::Job;
use crate::record::occasion;
use crate::report::{Annexes, Options, Subject, ct};
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
    let options = Options {
        annexes: Annexes::ALL,
        ..Options::default()
    };
    let report = ct(&subject, &options, &Templates::built_in()).unwrap();
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

/// A visit that brings the burden alone rests on the curve of the visit before: that one is drawn, and
/// said to be an earlier one.
#[test]
fn the_curve_that_findings_rest_on_is_in_front() {
    let files = Memory::default();
    let text = include_str!("../../../../tests/claims/cases/again-burden-alike.ctr");
    files.put("one.ctr", text);
    let job = compile(&files, &[PathBuf::from("one.ctr")]);
    let drawn = charts(&job, 0);
    let chart = drawn.iter().find(|chart| chart.contains("excitation"));
    let chart = chart.unwrap();
    assert!(chart.contains(", on which the findings rest<"), "{chart}");
    assert!(chart.contains("path class=\"main\""));
}

/// Two sisters are a band, one is a line.
#[test]
fn several_sisters_are_a_band() {
    let job = demo();
    let at = |name: &str| {
        let mut units = job.records.iter();
        units.position(|unit| unit.path.ends_with(name)).unwrap()
    };
    for chart in charts(job, at("h07-l1.ctr"))
        .iter()
        .filter(|chart| decade(chart).is_some())
    {
        assert!(chart.contains("path class=\"band second\"") && chart.contains(">sisters, 2<"));
    }
}

#[test]
fn a_curve_of_many_readings_is_drawn_in_few_points() {
    let rows = (0..2000).map(|n| {
        let i = 0.5 * libm::pow(1.0025, f64::from(n));
        let v = 400.0 * (1.0 - libm::exp(-i / 8.0)) + 5.0 * libm::log(1.0 + i);
        format!("{v:.5}  {i:.6}\n")
    });
    let text = format!(
        "format: 1\n\n[ct]\nid: X\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n\n[core 1S]\nratio: 600/1 A\n\n\
         [visit 2026-09-14]\npurpose: commissioning\n\n[excitation 1S1-1S2]\nvoltage/V  current/mA\n{}",
        rows.collect::<String>()
    );
    let files = Memory::default();
    files.put("one.ctr", text);
    let job = compile(&files, &[PathBuf::from("one.ctr")]);
    let drawn = charts(&job, 0);
    let chart = drawn.iter().find(|chart| decade(chart).is_some()).unwrap();
    assert!(chart.contains("2000 readings from"), "{chart}");
    assert!(chart.len() < 12_000, "{} bytes", chart.len());
}

/// Each way its family of standards draws it.
#[test]
fn axes_and_knees_are_those_of_the_standard() {
    let job = demo();
    for (at, unit) in job.records.iter().enumerate() {
        let ieee = unit.record.plate.family() == crate::standards::Family::Ieee;
        for chart in charts(job, at)
            .iter()
            .filter(|chart| decade(chart).is_some())
        {
            assert_eq!(chart.contains(">exciting current / A r.m.s.<"), ieee);
            assert_eq!(chart.contains(">exciting current / mA<"), !ieee);
            assert_eq!(chart.contains("45°"), ieee && chart.contains("knee"));
            assert!(!ieee || !chart.contains("10/50"));
        }
    }
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

/// The line through 12, 3.5 and 1 Gohm in equal steps of time goes on straight on a logarithmic axis, past its limit.
#[test]
fn a_trend_goes_on_to_its_limit() {
    let mut text = "format: 1\n[ct]\nid: A1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\ninsulation: oil and paper\n[core S]\nclass: 0.5\n\
                    ratio: 600/1 A\nburden: 10 VA\n"
        .to_owned();
    for (day, read) in [
        ("2018-01-01", 12.0),
        ("2022-01-01", 3.464),
        ("2026-01-01", 1.0),
    ] {
        text += &format!(
            "\n[visit {day}]\npurpose: maintenance\n[insulation]\ninstrument: I1\ntemperature: 20 +- 1 C\n\
             between voltage/V time/s resistance/Gohm\nS to primary and earth 1000 60 {read}\n"
        );
    }
    let files = Memory::default();
    files.put("one.ctr", text);
    files.put(
        "criteria.toml",
        "[insulation]\nprofile = \"client\"\n[insulation.client]\ncore = \"100 Mohm\"\n",
    );
    files.put(
        "instruments.toml",
        "[[instrument]]\nid = \"I1\"\ncalibrated = 2010-01-01\ndue = 2040-01-01\n[[instrument.function]]\n\
         measures = \"insulation\"\nfrom = \"0.1 Mohm\"\nto = \"450 Gohm\"\nof_reading = \"5 %\"\ndigits = 1\n",
    );
    let job = compile(&files, &[PathBuf::from("one.ctr")]);
    let subject = Subject::of(&job.records[0], Vec::new());
    let rows = subject.rows();
    let drifting = rows.iter().find(|row| row.beside.drift.is_some());
    let drift = drifting.and_then(|row| row.beside.drift.as_ref()).unwrap();
    let fitted = super::trend::fitted(drift, drifting.unwrap().unit.unwrap(), (2018.0, 2026.0));
    let at = |point: (f64, f64)| (point.0 - 2018.0, point.1);
    let (from, to) = (at(fitted[0]), at(*fitted.last().unwrap()));
    assert!(
        from.0.abs() < 0.01 && (from.1 / 12.0 - 1.0).abs() < 0.01,
        "{from:?}"
    );
    // A factor of 12 in eight years: 120 in fifteen and a half; two years on it is below 100 Mohm.
    assert!((to.0 - 17.4).abs() < 0.1 && to.1 < 0.1, "{to:?}");
}
