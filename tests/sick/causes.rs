//! What the program says of a record, as causes by the ids of the faults. The one place that knows
//! rules and codes by name.

use super::job::{Case, files};
use kneemark::compile;
use kneemark::document::Grade;
use kneemark::ground::diagnostic::Code;
use kneemark::job::{Compiled, Job};
use std::collections::BTreeSet;

/// A cause that the program names, by the ids of `FAULTS`; no core where it speaks of the whole CT.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Named {
    pub id: &'static str,
    pub core: Option<usize>,
    /// Another cause is told as nearly as likely.
    pub tied: bool,
    /// Which fault that one is.
    pub beside: Option<&'static str>,
    /// Another fault that is the same to all who read of it.
    pub also: Option<&'static str>,
}

impl Named {
    pub fn is(&self, id: &str) -> bool {
        self.id == id || self.also == Some(id)
    }
}

/// The causes that a record's findings and diagnostics name, the gravest first. Today's rules name few.
pub fn causes(compiled: &Compiled) -> Vec<Named> {
    let told = compiled.diagnostics.iter().filter_map(|told| {
        let id = match told.code {
            Code::PrimaryLoop => "primary-loop",
            Code::OrderAfterDc => "residual-magnetism",
            Code::DecimalSlip => "decimal-slip",
            Code::CellsSwapped => "columns-exchanged",
            Code::ReadingImplausible if told.label.contains("voltage and current") => {
                "columns-exchanged"
            }
            Code::ReadingImplausible if told.label.contains("decimal point") => "decimal-slip",
            Code::ReadingRange if told.label.contains("unit") => "unit-slip",
            Code::UnitImplausible | Code::ReadingImplausible => "unit-slip",
            _ => return None,
        };
        Some(Named {
            id,
            core: None,
            tied: false,
            beside: None,
            also: None,
        })
    });
    let visits = compiled.assessment.visits.iter();
    let all = visits.flat_map(|visit| {
        let all = visit.findings.iter();
        all.filter(|one| one.explained.is_none())
    });
    let mut found: Vec<_> = all
        .filter(|finding| {
            // What was not written asks for it, and is no more than that.
            finding.grade() >= Grade::Review || finding.rule.id == "temperature-unwritten"
        })
        .filter_map(|finding| {
            // A joint that was sound in the works was so at the last visit where that is the same.
            let certified = compiled.sentence(finding).contains("since the certificate");
            let also = certified.then_some("joint-aged");
            // What no fault of the list is like is an accusation all the same.
            let other = finding.because.is_some().then_some("another cause");
            let id = fault(finding.rule.id, &|| compiled.sentence(finding)).or(other)?;
            let because = finding.because.as_ref();
            Some((
                finding.grade(),
                Named {
                    id,
                    core: finding.core,
                    tied: because.is_some_and(|because| because.odds() < 3.0),
                    beside: because
                        .filter(|because| because.odds() < 3.0)
                        .and_then(|because| fault(because.next?.0.id, &String::new)),
                    also,
                },
            ))
        })
        .collect();
    found.sort_by_key(|one| std::cmp::Reverse(one.0));
    let mut all: Vec<Named> = Vec::new();
    for named in told.chain(found.into_iter().map(|one| one.1)) {
        if !all.contains(&named) {
            all.push(named);
        }
    }
    all
}

/// Which slip of the pen a sentence speaks of.
fn slip(sentence: &str) -> &'static str {
    let words = [
        ("digits", "digits-exchanged"),
        ("column", "columns-exchanged"),
        ("unit", "unit-slip"),
    ];
    let told = words.iter().find(|(word, _)| sentence.contains(word));
    told.map_or("decimal-slip", |(_, id)| id)
}

/// What is bad about a record: rule or code with its core.
pub fn troubles(compiled: &Compiled) -> BTreeSet<(String, Option<usize>)> {
    let findings = compiled
        .findings()
        .filter(|finding| finding.grade() >= Grade::Review);
    findings
        .map(|finding| (finding.rule.id.to_owned(), finding.core))
        .chain(
            compiled
                .diagnostics
                .iter()
                .map(|told| (format!("{}: {}", told.code.name(), told.title), None)),
        )
        .collect()
}

pub fn compiled(case: &Case) -> Job {
    let (memory, paths) = files(&case.sheets(), case.instruments);
    compile(&memory, &paths)
}

/// Which fault a rule names; some tell it in words.
fn fault(rule: &str, sentence: &dyn Fn() -> String) -> Option<&'static str> {
    Some(match rule {
        "wrong-tap" => "another-tap",
        "shorted-turn-suspected" => "shorted-turn",
        "residual-magnetism" => "residual-magnetism",
        "primary-loop-suspected" => "primary-loop",
        "curve-of-another-tap" => "another-tap",
        "burden-left-on" => "burden-on",
        "short-left-on" => "shorting-link",
        "voltmeter-sense" => "voltmeter-rms",
        "source-frequency" => "source-frequency",
        "knee-lower" => "knee-aged",
        "voltmeter-scale" => {
            let peak = sentence().contains("peak");
            if peak {
                "voltmeter-peak"
            } else {
                "voltmeter-mean"
            }
        }
        "secondary-reversed" | "leads-from-the-other-end" => "secondary-reversed",
        "primary-reversed" => "primary-reversed",
        "taps-exchanged" => "taps-exchanged",
        "cores-exchanged" => "cores-exchanged",
        "primary-links" => "primary-links",
        "primary-passes" => "passes",
        "ratio-pick-up" => "pick-up",
        "other-core-open" => "other-core-open",
        "volts-per-turn" => "ratio-saturated",
        "records-exchanged" => "records-exchanged",
        "copied-table" => "copied-table",
        "plate-value" => "plate-value",
        "plate-frequency" => "plate-frequency",
        "winding-resistance-drift" => {
            let sentence = sentence();
            match sentence {
                _ if sentence.contains("clip") => "clip",
                _ if sentence.contains("rising") => "heating",
                _ => "unsettled",
            }
        }
        "joint-suspected" => {
            let sentence = sentence();
            let aged = sentence.contains("since the visit");
            if aged { "joint-aged" } else { "joint" }
        }
        "loose-clip" => "clip",
        "resistance-unsettled" => "unsettled",
        "leads-in-reading" => "leads-not-subtracted",
        "leads-subtracted-twice" => "leads-twice",
        "resistance-slip" => {
            let sentence = sentence();
            match sentence {
                _ if sentence.contains("digits") => "digits-exchanged",
                _ if sentence.contains("exchanged") => "columns-exchanged",
                _ if sentence.contains("unit") => "unit-slip",
                _ => "decimal-slip",
            }
        }
        "temperature-unwritten" => "temperature-missing",
        "temperature-wrong" => "temperature-wrong",
        "already-at-75" => "already-at-75",
        "circuit-burden" | "circuit-load" => "burden-over",
        "circuit-open" => "burden-open",
        "circuit-shorted" => "burden-shorted",
        "circuit-two-phases" => "burden-phase-phase",
        "second-earth" => "second-earth",
        "star-point" => "star-point",
        "insulation-moisture" => "wet",
        "insulation-surface" => "surface",
        "insulation-test-lead" => "test-lead",
        "insulation-earth-on" => "earth-left-on",
        "insulation-slip" | "circuit-slip" | "ratio-slip" | "curve-slip" | "error-slip"
        | "phase-slip" => slip(&sentence()),
        "circuit-earths" => "second-earth",
        _ => return None,
    })
}
