//! A CT of which only the maker's visit is on record.

use super::{built, text};
use kneemark::ground::seam::Memory;

/// A pack of one invented CT whose withstand test at the maker's ended as told, and more lines of its visit and pack.
fn front(result: &str, of_visit: &str, of_pack: &str) -> String {
    let files = Memory::default();
    let record = format!(
        "format: 1\n\n[ct]\nid: M-1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nhighest voltage: 0.72 kV\n\n\
         [core S]\nclass: 1\nburden: 10 VA\nratio: 600/1 A\n\n[visit 2026-03-14]\npurpose: factory\n{of_visit}\n\
         [withstand]\nbetween | voltage/kV | time/s | result\nS to primary and earth | 3 | 60 | {result}\n"
    );
    files.put("job/m.ctr", record);
    files.put("job/pack.toml", format!("records = [\"*.ctr\"]\n{of_pack}"));
    text(&built(&files), "index.md")
}

#[test]
fn what_failed_there_fails_in_a_pack_of_another_job() {
    let failed = front("broke-down", "", "");
    assert!(failed.contains("■ transformer fails"), "{failed}");
    assert!(failed.contains("2026-03-14 factory"), "{failed}");
}

#[test]
fn what_was_good_there_is_no_visit_of_another_job() {
    let good = front("held", "", "");
    assert!(good.contains("transformer not tested"), "{good}");
    assert!(good.contains("no visit of this job"), "{good}");
}

#[test]
fn a_job_that_it_names_speaks_of_it() {
    let job = "[jobs.W]\ncrew = \"R. Anvik\"\n";
    let named = front("held", "job: W\n", job);
    assert!(!named.contains("no visit of this job"), "{named}");
    assert!(
        named.contains("2026-03-14 factory; CT: **○ incomplete**"),
        "{named}"
    );
}
