//! Small records for the tests of the judges.

use crate::ground::source::Source;
use crate::judge::assess;
use crate::judge::finding::Finding;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::instruments::{self, Instruments};

/// Two cores: `1S` of class 5P20 with two terminals, `2S` of class PX with three.
pub const PLATE: &str = "format: 1\n\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nhighest voltage: 145 kV\nfrequency: 50 Hz\n\
    insulation: oil and paper\n\n[core 1S]\nclass: 5P20\nburden: 15 VA\nratio: 600/1 A\nresistance: 3.40 ohm at 75 C\n\n\
    [core 2S]\nclass: PX\ntap ratio/A knee/V exciting/mA resistance/ohm\n2S1-2S2 300/1 150 60 1.75\n2S1-2S3 600/1 300 30 3.50\n\n";

const INSTRUMENTS: &str = "[[instrument]]\nid = \"M1\"\n\
    [[instrument.function]]\nmeasures = \"voltage\"\nfrom = \"0 V\"\nto = \"2000 V\"\nof_reading = \"0.1 %\"\ndigits = 1\n\
    [[instrument.function]]\nmeasures = \"current\"\nfrom = \"0 A\"\nto = \"1000 A\"\nof_reading = \"0.1 %\"\ndigits = 1\n\
    [[instrument.function]]\nmeasures = \"resistance\"\nfrom = \"0 ohm\"\nto = \"100 ohm\"\nof_reading = \"0.1 %\"\ndigits = 1\n\
    [[instrument.function]]\nmeasures = \"angle\"\nfrom = \"-180 deg\"\nto = \"180 deg\"\nfloor = \"0.5 deg\"\ndigits = 1\n";

/// A record of [`PLATE`] and more of it, then one visit with `M1`.
pub fn record(plate: &str, visit: &str) -> Record {
    record_of(&format!("{PLATE}{plate}\n"), visit)
}

/// A record with a plate of its own, then one visit with `M1`.
pub fn record_of(plate: &str, visit: &str) -> Record {
    let text =
        format!("{plate}[visit 2026-01-05]\npurpose: investigation\ninstrument: M1\n\n{visit}\n");
    let (record, told) = crate::record::read_alone(&Source::new("t.ctr", text.as_bytes()).0);
    let odd: Vec<&str> = told
        .iter()
        .filter(|told| told.is_error())
        .map(|told| told.title.as_str())
        .collect();
    assert!(odd.is_empty() || visit.contains("# broken"), "{odd:?}");
    record
}

pub fn instruments() -> Instruments {
    let (instruments, told) =
        instruments::read(&Source::new("instruments.toml", INSTRUMENTS.as_bytes()).0);
    assert!(told.is_empty(), "{told:?}");
    instruments
}

/// The findings of a visit by given criteria.
pub fn judged(record: &Record, criteria: &Criteria) -> Vec<Finding> {
    assess(record, Some(&instruments()), criteria)
        .visits
        .remove(0)
        .findings
}

/// The findings of a visit by the default criteria.
pub fn assessed(plate: &str, visit: &str) -> Vec<Finding> {
    judged(&record(plate, visit), &Criteria::default())
}

/// The findings of one rule.
pub fn of_rule(findings: &[Finding], rule: &str) -> Vec<Finding> {
    findings
        .iter()
        .filter(|finding| finding.rule.id == rule)
        .cloned()
        .collect()
}
