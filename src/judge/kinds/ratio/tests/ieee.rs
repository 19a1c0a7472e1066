//! IEEE classes through whole records.

use super::{FAIL, PASS, of, one, record, simply};
use crate::derive::kinds::ratio::Burdened;
use crate::judge::condition::Condition;
use crate::judge::finding::Verdict;

const IEEE: &str = "standard: IEEE C57.13-2008\nfrequency: 60 Hz";

/// RCF and beta in minutes as a comparator would show them.
fn point(
    core: &str,
    burden: &str,
    (percent, rcf, beta): (f64, f64, f64),
) -> crate::judge::Assessment {
    let error = 100.0 * (1.0 / rcf - 1.0);
    let visit = format!(
        "instrument: K1\n[ratio S1-S2]\nmethod: current\nburden: {burden}\nrated/% error/% phase/arcmin\n{percent} {error:.6} {beta:.4}"
    );
    simply(&record(IEEE, core, &visit))
}

const CLASS: &str = "class: 0.3B-0.5\nratio: 400:5\nrating factor: 1.5";

/// Corners of the parallelogram of class 0.3 (IEEE C57.13, 5.3, from memory): at rated current RCF
/// 0.997 to 1.003 with beta 2600*(RCF - TCF); twice as wide at 10 %.
#[test]
fn both_inequalities_of_the_parallelogram() {
    let inside = 0.9999;
    let outside = 1.0001;
    for (percent, limit) in [(100.0, 0.003), (150.0, 0.003), (10.0, 0.006)] {
        // Corner by corner: RCF and TCF at an end each.
        for (rcf, tcf) in [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)] {
            let beta = |rcf: f64, tcf: f64| 2600.0 * limit * (rcf - tcf);
            let found = point(
                CLASS,
                "B-0.5",
                (
                    percent,
                    1.0 + limit * rcf * inside,
                    beta(rcf * inside, tcf * inside),
                ),
            );
            assert_eq!(
                one(&found, "ratio-correction-factor").verdict,
                PASS,
                "{percent} {rcf} {tcf}"
            );
            assert_eq!(
                one(&found, "transformer-correction-factor").verdict,
                PASS,
                "{percent} {rcf} {tcf}"
            );
            let found = point(
                CLASS,
                "B-0.5",
                (
                    percent,
                    1.0 + limit * rcf * outside,
                    beta(rcf * outside, tcf * inside),
                ),
            );
            assert_eq!(one(&found, "ratio-correction-factor").verdict, FAIL);
            assert_eq!(one(&found, "transformer-correction-factor").verdict, PASS);
            let found = point(
                CLASS,
                "B-0.5",
                (
                    percent,
                    1.0 + limit * rcf * inside,
                    beta(rcf * inside, tcf * outside),
                ),
            );
            assert_eq!(one(&found, "ratio-correction-factor").verdict, PASS);
            assert_eq!(one(&found, "transformer-correction-factor").verdict, FAIL);
        }
    }
}

/// The sign trap: at RCF 1.003 a small negative beta is already out, a large positive one is in.
#[test]
fn the_secondary_that_leads_is_positive() {
    let (near, far) = (
        point(CLASS, "B-0.5", (100.0, 1.002_99, -1.0)),
        point(CLASS, "B-0.5", (100.0, 1.002_99, 15.5)),
    );
    assert_eq!(one(&near, "transformer-correction-factor").verdict, FAIL);
    assert_eq!(one(&far, "transformer-correction-factor").verdict, PASS);
    let class = [
        Condition::Percent(100.0),
        Condition::Class("0.3".to_owned()),
        Condition::Burden(Burdened::Designated("B-0.5".to_owned())),
    ];
    assert_eq!(one(&far, "transformer-correction-factor").conditions, class);
}

#[test]
fn the_class_holds_at_its_burden_and_up_to_its_rating_factor() {
    let other = point(CLASS, "B-0.2", (100.0, 1.01, 0.0));
    assert_eq!(
        one(&other, "ratio-correction-factor").verdict,
        Verdict::NoLimit
    );
    let above = point(CLASS, "B-0.5", (200.0, 1.01, 0.0));
    assert_eq!(
        one(&above, "ratio-correction-factor").verdict,
        Verdict::NoLimit
    );
    let shown = point(CLASS, "B-0.5", (100.0, 1.0, 0.0));
    let told = one(&shown, "class-shown");
    assert_eq!(
        (&told.verdict, &told.observed),
        (&PASS, &"shown in part".into())
    );
    assert!(
        told.remarks
            .iter()
            .any(|remark| remark.plain(|_| 0) == "not measured: 10 and 150 % at 12.5 VA"),
        "{:?}",
        told.remarks
    );
}

#[test]
fn without_the_phase_the_parallelogram_is_not_shown() {
    let visit =
        "instrument: K1\n[ratio S1-S2]\nmethod: current\nburden: B-0.5\nrated/% error/%\n100 0.1";
    let found = simply(&record(IEEE, CLASS, visit));
    assert!(matches!(
        one(&found, "transformer-correction-factor").verdict,
        Verdict::NotShown(_)
    ));
}

/// 3 % at rated current from the 2008 edition on, 10 % before (sources disagree: see the row's note).
#[test]
fn a_relay_class_at_rated_current() {
    let found = |edition: &str, burden: &str, error: &str| {
        let visit = format!(
            "instrument: K1\n[ratio S1-S2]\nmethod: current\nburden: {burden}\nrated/% error/%\n100 {error}\n50 {error}"
        );
        let plate = format!("standard: IEEE C57.13-{edition}\nfrequency: 60 Hz");
        let found = simply(&record(&plate, "class: C800\nratio: 1200:5", &visit));
        let told = of(&found, "ratio-error");
        assert_eq!(told[1].verdict, Verdict::NoLimit);
        told[0].verdict.clone()
    };
    assert_eq!(found("2008", "B-8", "-4.0"), FAIL);
    assert_eq!(found("1993", "B-8", "-4.0"), PASS);
    // Less burden than the standard's: outside is outside, inside shows nothing.
    assert_eq!(found("2008", "B-1", "-4.0"), Verdict::NotMet);
    assert!(matches!(found("2008", "B-1", "-1.0"), Verdict::NotShown(_)));
}
