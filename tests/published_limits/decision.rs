//! Decision rule and probability of conformity against JCGM 106 and ILAC-G8.

use super::{Published, near, read};
use kneemark::judge::decision::{Requirement, Word, decide, false_acceptance_risk};
use kneemark::record::criteria::DecisionRule;
use serde::Deserialize;

#[derive(Deserialize)]
struct File {
    decision: Vec<Case>,
    conformance: Vec<Conformance>,
    z_table: Vec<ZTable>,
    speed: Vec<Speed>,
    risk: Vec<Risk>,
}

#[derive(Deserialize)]
struct Case {
    id: String,
    y: f64,
    lower: Option<f64>,
    upper: Option<f64>,
    expanded_u: f64,
    verdict: String,
    p_c: Option<f64>,
    #[serde(flatten)]
    from: Published,
}

#[derive(Deserialize)]
struct Conformance {
    id: String,
    y: f64,
    u: f64,
    lower: Option<f64>,
    upper: Option<f64>,
    p_c: f64,
    rel_tol: f64,
    #[serde(flatten)]
    from: Published,
}

#[derive(Deserialize)]
struct ZTable {
    p: Vec<f64>,
    z: Vec<f64>,
    #[serde(flatten)]
    from: Published,
}

#[derive(Deserialize)]
struct Speed {
    upper: f64,
    u_rel: f64,
    p: f64,
    acceptance: f64,
    rel_tol: f64,
    #[serde(flatten)]
    from: Published,
}

#[derive(Deserialize)]
struct Risk {
    factor: f64,
    k: f64,
    at_most: f64,
    published: Option<f64>,
    #[serde(flatten)]
    from: Published,
}

fn file() -> File {
    read(include_str!("practice.toml"))
}

/// Probability of conformity (JCGM 106:2012, 7.3 and 7.4) by the distribution that the risk is told by.
fn conformance(y: f64, u: f64, req: &Requirement) -> f64 {
    let outside = |z: f64| false_acceptance_risk(z, 1.0).unwrap();
    let above = req.upper.map_or(0.0, |t| outside((t - y) / u));
    let below = req.lower.map_or(0.0, |t| outside((y - t) / u));
    1.0 - above - below
}

#[test]
fn constructed_cases_of_the_four_words() {
    for case in file().decision {
        let says = case.from.says(&case.id);
        let req = Requirement {
            lower: case.lower,
            upper: case.upper,
        };
        let rule = DecisionRule::GuardBand { factor: 1.0 };
        match decide(case.y, Some(case.expanded_u), &req, rule, false) {
            Ok(word) => assert_eq!(word.text(), case.verdict, "{says}"),
            Err(why) => panic!("{why:?}; {says}"),
        }
        if let Some(p_c) = case.p_c {
            let ours = conformance(case.y, case.expanded_u / 2.0, &req);
            near(ours, p_c, 1e-9, &says);
        }
        // Simple acceptance knows two words only, and they agree with the halves of the four.
        let passes = case.verdict.ends_with("pass");
        let simple = decide(case.y, None, &req, DecisionRule::SimpleAcceptance, false);
        let expected = if passes { Word::Pass } else { Word::Fail };
        assert_eq!(simple, Ok(expected), "{says}");
    }
}

#[test]
fn conformance_examples() {
    for row in file().conformance {
        let says = row.from.says(&row.id);
        let req = Requirement {
            lower: row.lower,
            upper: row.upper,
        };
        let ours = conformance(row.y, row.u, &req);
        near(ours, row.p_c, row.rel_tol * row.p_c, &says);
    }
}

/// One-sided limits: a value z standard uncertainties inside conforms with probability p.
#[test]
fn table_of_z() {
    for row in file().z_table {
        for (p, z) in row.p.iter().zip(&row.z) {
            let says = row.from.says(&format!("z {z}"));
            let req = Requirement::at_most(0.0);
            // The table gives z to two decimals; its slope there is at most the density.
            near(conformance(-z, 1.0, &req), *p, 0.0015, &says);
        }
    }
}

/// Guarded rejection: at the acceptance limit the probability of a breach is the one asked for.
#[test]
fn speed_example() {
    for row in file().speed {
        let says = row.from.says("speed limit");
        let u = row.u_rel * row.acceptance;
        let z = (row.acceptance - row.upper) / u;
        let breach = 1.0 - conformance(row.acceptance, u, &Requirement::at_most(row.upper));
        assert!(breach >= row.p, "{breach} at {z}; {says}");
        let earlier = row.acceptance * (1.0 - row.rel_tol);
        let below = 1.0
            - conformance(
                earlier,
                row.u_rel * earlier,
                &Requirement::at_most(row.upper),
            );
        assert!(
            below < row.p,
            "{below}: the published limit is not the first; {says}"
        );
    }
}

/// The published risks are rounded; with U = 1.96 u they come out within 4 %.
#[test]
fn risks_of_the_guard_bands() {
    for row in file().risk {
        let says = row.from.says(&format!("r = {}", row.factor));
        let ours = false_acceptance_risk(row.factor, row.k).unwrap();
        assert!(ours <= row.at_most * 1.04, "{ours}; {says}");
        if let Some(published) = row.published {
            near(ours, published, 0.04 * published, &says);
        }
    }
    for (factor, k) in [(f64::NAN, 2.0), (1.0, 0.0), (1.0, f64::INFINITY)] {
        assert_eq!(false_acceptance_risk(factor, k), None);
    }
    // With U = 2 u: 0.135 %, 2.28 % and 4.85 % (own arithmetic).
    for (factor, risk) in [(1.5, 0.00135), (1.0, 0.02275), (0.83, 0.04846)] {
        near(
            false_acceptance_risk(factor, 2.0).unwrap(),
            risk,
            1e-5,
            "own arithmetic",
        );
    }
}
