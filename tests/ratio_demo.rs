//! The ratio tests of the demo job: what is planted is found, and nothing else.

use kneemark::compile;
use kneemark::document::Grade;
use kneemark::ground::seam::Disk;
use kneemark::job::Job;
use kneemark::judge::finding::Finding;
use kneemark::record::kinds::TestKind;
use std::path::Path;

fn job() -> Job {
    compile(
        &Disk,
        &[Path::new(env!("CARGO_MANIFEST_DIR")).join("records")],
    )
}

#[test]
fn planted_ratio_faults_are_found_and_sound_cores_pass() {
    let gathered = job();
    let mut worst: Vec<(String, &'static str, Grade)> = Vec::new();
    for unit in &gathered.records {
        let found: Vec<&Finding> = unit
            .assessment
            .visits
            .iter()
            .flat_map(|visit| &visit.findings)
            .collect();
        let ratio = found.iter().filter(|finding| {
            finding.rule.kind == TestKind::Ratio && finding.grade() >= Grade::Review
        });
        let name = |path: &Path| {
            path.file_name()
                .map(|name| name.to_string_lossy().into_owned())
                .unwrap_or_default()
        };
        worst.extend(ratio.map(|finding| (name(&unit.path), finding.rule.id, finding.grade())));
    }
    let has = |file: &str, rule: &str| {
        worst
            .iter()
            .any(|(at, told, _)| at == file && *told == rule)
    };
    assert!(
        has("h09-l3.ctr", "taps-exchanged") && has("k04-l2.ctr", "class-shown"),
        "{worst:?}"
    );
    let sound: Vec<_> = worst
        .iter()
        .filter(|(at, ..)| at != "h09-l3.ctr" && at != "k04-l2.ctr")
        .collect();
    assert!(sound.is_empty(), "{sound:?}");
}

#[test]
fn every_measured_core_has_a_headline() {
    for unit in &job().records {
        for visit in &unit.assessment.visits {
            let ratio = || {
                visit
                    .findings
                    .iter()
                    .filter(|finding| finding.rule.kind == TestKind::Ratio)
            };
            for core in ratio().filter_map(|finding| finding.core) {
                assert!(
                    ratio().any(|finding| finding.core == Some(core) && finding.headline),
                    "{:?}: core {core}",
                    unit.path
                );
            }
        }
    }
}
