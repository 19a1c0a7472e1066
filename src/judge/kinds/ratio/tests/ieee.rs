//! IEEE classes through whole records.

use super::{compared, simply};
use crate::judge::kinds::bench::{Bench, table};

const IEEE: &str = "standard: IEEE C57.13-2008\nfrequency: 60 Hz";
const CLASS: &str = "class: 0.3B-0.5\nratio: 400:5\nrating factor: 1.5";
const RCF: &str = "ratio-correction-factor";
const TCF: &str = "transformer-correction-factor";

/// RCF and beta in minutes as a comparator would show them.
fn point(burden: &str, (percent, rcf, beta): (f64, f64, f64)) -> Bench {
    let error = 100.0 * (1.0 / rcf - 1.0);
    let row = format!("{percent} {error:.6} {beta:.4}");
    simply(IEEE, CLASS, &compared(&format!("burden: {burden}"), &row))
}

/// Corners of the parallelogram of class 0.3 (IEEE C57.13, 5.3, from memory): at rated current RCF
/// 0.997 to 1.003 with beta 2600*(RCF - TCF); twice as wide at 10 %.
#[test]
fn both_inequalities_of_the_parallelogram() {
    let (inside, outside) = (0.9999, 1.0001);
    for (percent, limit) in [(100.0, 0.003), (150.0, 0.003), (10.0, 0.006)] {
        // Corner by corner: RCF and TCF at an end each.
        for (rcf, tcf) in [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)] {
            for (by_rcf, by_tcf, told) in [
                (inside, inside, ["pass", "pass"]),
                (outside, inside, ["fail", "pass"]),
                (inside, outside, ["pass", "fail"]),
            ] {
                let (rcf, tcf) = (limit * rcf * by_rcf, limit * tcf * by_tcf);
                let found = point("B-0.5", (percent, 1.0 + rcf, 2600.0 * (rcf - tcf)));
                let both = [found.told(RCF), found.told(TCF)];
                assert_eq!(both, told, "{percent} {rcf} {tcf}");
            }
        }
    }
}

/// The sign trap: at RCF 1.003 a small negative beta is already out, a large positive one is in.
#[test]
fn the_secondary_that_leads_is_positive() {
    assert_eq!(point("B-0.5", (100.0, 1.002_99, -1.0)).told(TCF), "fail");
    let far = point("B-0.5", (100.0, 1.002_99, 15.5));
    assert_eq!(far.told(TCF), "pass");
    far.holds(TCF, &["at 100 % of rated current, class 0.3, B-0.5: "]);
}

#[test]
fn the_class_holds_at_its_burden_and_up_to_its_rating_factor() {
    for (burden, percent) in [("B-0.2", 100.0), ("B-0.5", 200.0)] {
        assert_eq!(point(burden, (percent, 1.01, 0.0)).told(RCF), "no limit");
    }
    let shown = point("B-0.5", (100.0, 1.0, 0.0));
    assert_eq!(
        shown.told("class-shown"),
        "not shown: needs 10 and 150 % at B-0.5"
    );
    // Another power factor is another burden.
    for (burden, told) in [("12.5 VA at 0.90", "pass"), ("12.5 VA at 1.00", "no limit")] {
        assert_eq!(point(burden, (100.0, 1.0, 0.0)).told(RCF), told, "{burden}");
    }
    // Without the phase the parallelogram is not shown.
    let visit =
        "instrument: K1\n[ratio S1-S2]\nmethod: current\nburden: B-0.5\nrated/% error/%\n100 0.1";
    let needs = "not shown: the parallelogram needs ratio and phase";
    table(TCF, |visit| simply(IEEE, CLASS, visit), &[(visit, needs)]);
}

/// 3 % at rated current from the 2008 edition on, 10 % before (sources disagree: see the row's note).
#[test]
fn a_relay_class_at_rated_current() {
    for (edition, burden, error, told) in [
        ("2008", "B-8", "-4.0", "fail | no limit"),
        ("1993", "B-8", "-4.0", "pass | no limit"),
        // Less burden than the standard's: outside is outside, inside shows nothing.
        ("2008", "B-1", "-4.0", "not met | no limit"),
        (
            "2008",
            "B-1",
            "-1.0",
            "not shown: needs a reading at B-8, this one is at B-1 | no limit",
        ),
    ] {
        let visit = format!(
            "instrument: K1\n[ratio S1-S2]\nmethod: current\nburden: {burden}\nrated/% error/%\n100 {error}\n50 {error}"
        );
        let plate = format!("standard: IEEE C57.13-{edition}\nfrequency: 60 Hz");
        let found = simply(&plate, "class: C800\nratio: 1200:5", &visit);
        assert_eq!(found.told("ratio-error"), told, "{edition} {burden}");
        let class = match told.split([' ', ':']).next() {
            Some("fail") => "fail",
            Some("pass") => "pass",
            _ if told.starts_with("not met") => "not met",
            _ => "not shown: needs 100 % at B-8",
        };
        assert_eq!(found.told("class-shown"), class, "{edition} {burden}");
    }
}
