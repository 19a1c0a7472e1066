use crate::ground::source::Source;
use crate::judge::assess::{Assessment, assess};
use crate::judge::decision::Word;
use crate::judge::finding::{Finding, Grade, Verdict};
use crate::judge::words;
use crate::record::criteria::Criteria;
use crate::record::{Record, read_alone};
use proptest::prelude::*;

/// A record with its assessment, without instruments.
pub(crate) struct Assessed {
    pub record: Record,
    pub assessment: Assessment,
}

impl Assessed {
    pub(crate) fn of(text: &str) -> Self {
        let record = read_alone(&Source::new("t.ctr", text.as_bytes()).0).0;
        let assessment = assess(&record, None, &Criteria::default());
        Self { record, assessment }
    }

    /// All findings of the last visit with this rule.
    pub(crate) fn all(&self, rule: &str) -> Vec<&Finding> {
        let last = self.assessment.visits.last();
        last.map(|visit| {
            visit
                .findings
                .iter()
                .filter(|finding| finding.rule.id == rule)
                .collect()
        })
        .unwrap_or_default()
    }

    /// The only finding of the last visit with this rule.
    pub(crate) fn one(&self, rule: &str) -> &Finding {
        let found = self.all(rule);
        assert_eq!(found.len(), 1, "{rule}");
        found[0]
    }

    pub(crate) fn value(&self, rule: &str) -> f64 {
        self.one(rule).found.value().unwrap().si
    }

    pub(crate) fn sentence(&self, rule: &str) -> String {
        words::sentence(
            &self.record,
            &self.assessment.workings,
            &Criteria::default(),
            self.one(rule),
        )
        .to_string()
    }
}

/// A plate of one core with two or three terminals, then the rest.
pub(crate) fn record(core: &str, rest: &str) -> String {
    format!(
        "format: 1\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n[core S]\nmarks: S1 S2\n{core}\n{rest}\n"
    )
}

/// An excitation section through `rows` of volt and milliampere.
pub(crate) fn excitation(rows: &[(f64, f64)]) -> String {
    let rows: String = rows.iter().map(|(v, i)| format!("{v} {i}\n")).collect();
    format!("[excitation S1-S2]\nvoltmeter: mean\nvoltage/V current/mA\n{rows}\n")
}

/// The excitation readings of the sample record.
pub(crate) const SAMPLE: &[(f64, f64)] = &[
    (25.0, 1.31),
    (50.1, 1.92),
    (100.3, 2.84),
    (200.2, 4.53),
    (300.4, 7.40),
    (350.2, 13.1),
    (400.1, 41.8),
    (420.3, 83.5),
    (440.2, 171.0),
    (460.1, 352.0),
];

const P: &str = "class: 5P20\nburden: 15 VA\nratio: 600/1 A\nresistance: 3.4 ohm at 75 C";

fn twice(now: &[(f64, f64)], between: &str) -> Assessed {
    let factory = format!(
        "[visit 2025-01-10]\npurpose: factory\n{}",
        excitation(SAMPLE)
    );
    let site = format!(
        "[visit 2026-01-10]\npurpose: commissioning\n{between}\n{}",
        excitation(now)
    );
    Assessed::of(&record(P, &format!("{factory}{site}")))
}

fn raised(by: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    SAMPLE.iter().map(|(v, i)| (*v, i * by(*v))).collect()
}

#[test]
fn the_plates_rule_decides_and_the_others_stand_beside() {
    let assessed = Assessed::of(&record(
        P,
        &format!("[visit 2026-01-10]\n{}", excitation(SAMPLE)),
    ));
    let knee = assessed.one("knee-iec");
    assert!(
        knee.headline && !assessed.one("knee-45").headline && !assessed.one("knee-30").headline
    );
    assert!(
        knee.remarks
            .iter()
            .any(|remark| remark.to_string() == "between the readings at 300.4 V and 350.2 V"),
        "{:?}",
        knee.remarks
    );
    // The reading comes first, so that a terminal points at it.
    assert_eq!(knee.points_at.len(), 2);
    assert!(assessed.sentence("knee-iec").contains("316.8 V"));
}

#[test]
fn a_knee_past_the_readings_is_not_reached() {
    let assessed = Assessed::of(&record(
        P,
        &format!("[visit 2026-01-10]\n{}", excitation(&SAMPLE[..5])),
    ));
    assert!(
        assessed
            .sentence("knee-iec")
            .contains("not reached, above 273.1 V"),
        "{}",
        assessed.sentence("knee-iec")
    );
}

#[test]
fn the_same_curve_again_is_within_its_tolerance() {
    let assessed = twice(SAMPLE, "");
    assert_eq!(
        assessed.one("curve-above-reference").verdict,
        Verdict::Word(Word::Pass)
    );
    assert_eq!(
        assessed.one("curve-below-reference").verdict,
        Verdict::Word(Word::Pass)
    );
    assert!(
        assessed.all("residual-magnetism").is_empty()
            && assessed.all("shorted-turn-suspected").is_empty()
    );
}

#[test]
fn a_raised_low_end_is_residual_magnetism() {
    let assessed = twice(
        &raised(|v| 1.0 + 3.0 * libm::exp(-v / 60.0)),
        "[resistance S1-S2]\nwires: 4\ncurrent/A voltage/V\n0.5 1.4",
    );
    let found = assessed.one("residual-magnetism");
    assert_eq!(found.verdict, Verdict::Observed(Grade::Fails));
    assert!(
        found
            .remarks
            .iter()
            .any(|remark| remark.to_string().contains("direct current"))
    );
    assert!(assessed.all("shorted-turn-suspected").is_empty());
    assert_eq!(assessed.one("curve-above-reference").grade(), Grade::Review);
}

#[test]
fn demagnetised_before_leaves_out_the_direct_current() {
    let demagnetised = "[resistance S1-S2]\nwires: 4\ncurrent/A voltage/V\n0.5 1.4\n[demagnetisation S1-S2]\nstart: 480 V\nend: 0 V";
    let assessed = twice(&raised(|v| 1.0 + 3.0 * libm::exp(-v / 60.0)), demagnetised);
    assert!(assessed.one("residual-magnetism").remarks.is_empty());
}

#[test]
fn a_curve_raised_all_along_is_a_shorted_turn() {
    let assessed = twice(&raised(|v| 5.0 + v / 100.0), "");
    assert_eq!(
        assessed.one("shorted-turn-suspected").verdict,
        Verdict::Observed(Grade::Fails)
    );
    assert!(
        assessed.all("residual-magnetism").is_empty()
            && assessed.all("primary-loop-suspected").is_empty()
    );
}

#[test]
fn two_earths_of_the_primary_come_first() {
    let assessed = twice(&raised(|_| 6.0), "primary: P1 earthed, P2 earthed");
    assert_eq!(
        assessed.one("shorted-turn-suspected").grade(),
        Grade::Review
    );
    assert_eq!(
        assessed.one("primary-loop-suspected").verdict,
        Verdict::Observed(Grade::Fails)
    );
    // One earth is as it should be.
    let assessed = twice(&raised(|_| 6.0), "primary: P1 open, P2 earthed");
    assert!(assessed.all("primary-loop-suspected").is_empty());
    // Two earths and a sound curve: the record's own warning is enough.
    let assessed = twice(SAMPLE, "primary: P1 earthed, P2 earthed");
    assert!(assessed.all("primary-loop-suspected").is_empty());
}

#[test]
fn doubtful_sections_are_shown_and_not_judged() {
    let section = excitation(&raised(|_| 6.0)).replace(
        "voltmeter: mean\n",
        "voltmeter: mean\nthis line means nothing, really\n",
    );
    let factory = format!(
        "[visit 2025-01-10]\npurpose: factory\n{}",
        excitation(SAMPLE)
    );
    let assessed = Assessed::of(&record(
        P,
        &format!("{factory}[visit 2026-01-10]\n{section}"),
    ));
    for rule in ["knee-iec", "curve-above-reference", "composite-error"] {
        assert!(
            matches!(assessed.one(rule).verdict, Verdict::NotJudged(_)),
            "{rule}: {:?}",
            assessed.one(rule).verdict
        );
    }
    assert!(assessed.all("shorted-turn-suspected").is_empty());
}

#[test]
fn flaws_and_the_voltmeter_are_told() {
    let rows = excitation(&[(100.0, 2.0), (100.0, 2.1), (200.0, 1.9), (300.0, 7.0)])
        .replace("voltmeter: mean\n", "");
    let assessed = Assessed::of(&record(P, &format!("[visit 2026-01-10]\n{rows}")));
    assert_eq!(assessed.all("curve-flaw").len(), 2);
    assert_eq!(
        assessed.one("voltmeter-unstated").verdict,
        Verdict::Observed(Grade::Info)
    );
    let rms = excitation(SAMPLE).replace("mean", "rms");
    let assessed = Assessed::of(&record(P, &format!("[visit 2026-01-10]\n{rms}")));
    assert_eq!(assessed.one("voltmeter-rms").grade(), Grade::Info);
}

#[test]
fn a_driven_tap_shows_the_voltage_across_the_whole_winding() {
    let plate = "format: 1\n[ct]\nid: T1\nstandard: IEEE C57.13-2008\nfrequency: 60 Hz\n[core X]\nclass: C800\nratio: 1200:5\ntap ratio/A\nX1-X2 200:5\nX1-X3 1200:5\n";
    let drive = |v: f64| {
        let rows: String = (1..6)
            .map(|n| format!("{} {}\n", v * f64::from(n) / 5.0, 10 * n))
            .collect();
        let text = format!(
            "{plate}[visit 2026-01-10]\n[excitation X1-X2]\nvoltmeter: mean\nvoltage/V current/mA\n{rows}"
        );
        Assessed::of(&text)
    };
    let mild = drive(100.0);
    assert!((mild.value("open-terminal-voltage") - 600.0).abs() < 1e-9);
    assert_eq!(mild.one("open-terminal-voltage").grade(), Grade::Info);
    assert_eq!(
        drive(400.0).one("open-terminal-voltage").grade(),
        Grade::Review
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Whatever stands in the table, nothing crashes and no value is infinite.
    #[test]
    fn any_table_holds(rows in proptest::collection::vec((0.001..2000.0f64, 0.001..5000.0f64), 0..8)) {
        let assessed = twice(&rows, "");
        let values = assessed.assessment.visits.iter().flat_map(|visit| &visit.findings).filter_map(|finding| finding.found.value());
        for value in values {
            prop_assert!(value.si.is_finite());
        }
    }
}
