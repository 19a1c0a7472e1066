//! One smallest record for every rule, and what its finding says.
//!
//! `RULE.ctr` is compiled alone, without instruments or criteria, unless a folder `beside/RULE` holds
//! what it needs; `RULE.txt` is what is printed of the rule's own findings. After a change of words: `RULES_REFRESH=1 cargo test rules`, then read
//! every change.

use kneemark::compile;
use kneemark::ground::seam::Memory;
use kneemark::judge::rules::{self, Whose};
use kneemark::judge::words;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/rules")
}

fn stems(ending: &str) -> BTreeSet<String> {
    let entries = std::fs::read_dir(folder()).unwrap();
    let paths = entries.map(|entry| entry.unwrap().path());
    paths
        .filter(|path| path.extension().is_some_and(|found| found == ending))
        .map(|path| path.file_stem().unwrap().to_string_lossy().into_owned())
        .collect()
}

/// What a record's findings of one rule say; errors of the record come first.
fn said(id: &str, text: &str) -> String {
    let memory = Memory::default();
    let name = format!("{id}.ctr");
    memory.put(&name, text);
    let mut paths = vec![PathBuf::from(&name)];
    for entry in std::fs::read_dir(folder().join("beside").join(id))
        .into_iter()
        .flatten()
    {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        memory.put(&name, std::fs::read_to_string(&path).unwrap());
        paths.extend(name.ends_with(".ctr").then(|| PathBuf::from(name)));
    }
    let job = compile(&memory, &paths);
    let mut out = String::new();
    for (source, diagnostics) in job.diagnostics() {
        for told in diagnostics.iter().filter(|told| told.is_error()) {
            let _ = writeln!(out, "{}: {}", source.name, told.title);
        }
    }
    for one in &job.records {
        let line = |span: kneemark::ground::span::Span| one.source.line(span.start);
        let (w, criteria) = (&one.assessment.workings, &one.setting.criteria);
        for finding in one.findings().filter(|finding| finding.rule.id == id) {
            let sentence = words::sentence(&one.record, w, criteria, finding);
            let _ = writeln!(out, "{}: {}", finding.grade().word(), sentence.plain(line));
            for remark in &finding.remarks {
                let _ = writeln!(out, "  {}", remark.plain(line));
            }
            for phrase in words::behind(finding) {
                let _ = writeln!(out, "  {}", phrase.plain(line));
            }
            if let Some(action) = finding.action() {
                let _ = writeln!(out, "  next: {}", action.plain(line));
            }
        }
    }
    out
}

#[test]
fn every_rule_has_a_smallest_record_that_fires_it() {
    let refresh = std::env::var_os("RULES_REFRESH").is_some();
    let mut wrong = Vec::new();
    for rule in rules::all() {
        let Ok(text) = std::fs::read_to_string(folder().join(format!("{}.ctr", rule.id))) else {
            wrong.push(format!("{}: no record", rule.id));
            continue;
        };
        let said = said(rule.id, &text);
        if !said
            .lines()
            .any(|line| line.starts_with(char::is_alphabetic) && !line.contains(".ctr: "))
        {
            wrong.push(format!("{}: does not fire\n{said}", rule.id));
        }
        let path = folder().join(format!("{}.txt", rule.id));
        if refresh {
            std::fs::write(&path, &said).unwrap();
        } else if std::fs::read_to_string(&path).unwrap_or_default() != said {
            wrong.push(format!("{}: says\n{said}", rule.id));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_record_belongs_to_a_rule() {
    let known: BTreeSet<String> = rules::all().map(|rule| rule.id.to_owned()).collect();
    assert_eq!(known.len(), rules::all().count(), "an id appears twice");
    assert_eq!(stems("ctr"), known);
    assert_eq!(stems("txt"), known);
}

#[test]
fn every_rule_says_what_it_means_and_where_it_comes_from() {
    for rule in rules::all() {
        for text in [rule.title, rule.means, rule.matters, rule.source] {
            assert!(!text.is_empty(), "{}", rule.id);
        }
        assert!(!rule.action.ends_with('.'), "{}", rule.id);
    }
}

/// Rules that are not about the transformer itself: what the circuit is blamed for, and what the way of
/// measuring. A perfect transformer must not fail for either.
#[test]
fn what_the_circuit_and_the_measurement_own() {
    let of = |whose: Whose| -> BTreeSet<&str> {
        let owned = rules::all().filter(|rule| rule.whose == whose);
        owned.map(|rule| rule.id).collect()
    };
    let circuit = [
        "actual-factor",
        "burden-on-feeding-ct",
        "circuit-as-left",
        "circuit-burden",
        "circuit-burden-below-range",
        "circuit-earths",
        "circuit-load",
        "circuit-open",
        "circuit-shorted",
        "circuit-voltage",
        "duty-burden",
        "duty-emf",
        "duty-emf-offset",
        "injection-error",
        "injection-unfed",
        "load-angle",
        "load-current",
        "load-links",
        "load-neutral",
        "load-neutral-sum",
        "load-ratio",
        "loop-continuity",
        "load-rotation",
        "load-unfed",
        "not-restored",
        "overall-error",
        "overall-ratio",
        "ratio-setting",
        "required-factor",
        "required-knee",
        "restored-unchecked",
        "second-earth",
        "security-factor-connected",
        "simulated-current",
        "single-earth",
        "spare-shorted",
        "stability",
        "star-point",
        "primary-links-as-left",
        "tap-as-left",
        "tap-in-service",
        "test-link",
        "time-to-saturation",
    ];
    let measurement = [
        "already-at-75",
        "burden-left-on",
        "burdens-exchanged",
        "circuit-rows-exchanged",
        "circuit-slip",
        "circuit-two-phases",
        "copied-table",
        "curve-flaw",
        "curve-of-another-tap",
        "demagnetisation-end",
        "demagnetisation-start",
        "direct-current-last",
        "earths-differ",
        "earlier-resistance-off",
        "error-slip",
        "errors-exchanged",
        "injection-slip",
        "insulation-discharge",
        "insulation-earth-on",
        "insulation-groups",
        "insulation-slip",
        "insulation-surface",
        "insulation-test-lead",
        "insulation-test-voltage",
        "lead-resistance",
        "leads-from-the-other-end",
        "leads-in-reading",
        "leads-subtracted-twice",
        "load-slip",
        "loop-contradiction",
        "loose-clip",
        "open-terminal-voltage",
        "other-core-open",
        "phase-slip",
        "plate-frequency",
        "plate-value",
        "polarity-contradiction",
        "primary-links",
        "primary-loop-suspected",
        "primary-passes",
        "ratio-burden",
        "ratio-pick-up",
        "ratio-rows-exchanged",
        "ratio-slip",
        "resistance-rows-exchanged",
        "curve-slip",
        "curves-exchanged",
        "ratio-reading",
        "readings-above-knee",
        "records-exchanged",
        "residual-magnetism",
        "resistance-slip",
        "resistance-unsettled",
        "self-check",
        "short-left-on",
        "source-frequency",
        "voltmeter-peak",
        "temperature-unwritten",
        "temperature-wrong",
        "test-links-differ",
        "voltmeter-rms",
        "voltmeter-scale",
        "voltmeter-sense",
        "voltmeter-unstated",
        "volts-per-turn",
        "winding-resistance-drift",
        "winding-resistance-sum",
    ];
    assert_eq!(of(Whose::Circuit), BTreeSet::from(circuit));
    assert_eq!(of(Whose::Measurement), BTreeSet::from(measurement));
}
