//! Sections make up the whole, whichever pairs were read.

use super::{cases, findings, of};
use proptest::prelude::*;

/// A winding of these sections, every pair of it read at 10 mV a turn.
fn record(sections: &[u32]) -> String {
    let marks: Vec<String> = (1..=sections.len() + 1).map(|n| format!("S{n}")).collect();
    let sum = |from: usize, to: usize| sections[from..to].iter().sum::<u32>();
    let pairs =
        (0..sections.len()).flat_map(|from| (from + 1..=sections.len()).map(move |to| (from, to)));
    let (mut declared, mut read) = (String::new(), String::new());
    for (from, to) in pairs {
        if to == from + 1 {
            declared.push_str(&format!("S{}-S{}  {}/1\n", from + 1, to + 1, sum(from, to)));
        }
        read.push_str(&format!(
            "S{}-S{}  {:.3}  10.000\n",
            from + 1,
            to + 1,
            0.01 * f64::from(sum(from, to))
        ));
    }
    let core = format!("class: 5P20\nburden: 15 VA\ntap  ratio/A\n{declared}");
    let visit = format!("[ratio]\nmethod: voltage\non  applied/V  induced/mV\n{read}");
    super::record(&core, &visit).replace("marks: S1 S2", &format!("marks: {}", marks.join(" ")))
}

proptest! {
    #![proptest_config(cases(40))]
    #[test]
    fn tap_closure(sections in proptest::collection::vec(10u32..2000, 2..6)) {
        let found = findings(&record(&sections));
        let pairs = sections.len() * (sections.len() + 1) / 2;
        let turns = of(&found, "turns-ratio");
        prop_assert_eq!(turns.len(), pairs);
        for finding in turns {
            prop_assert!(finding["value"].as_f64().unwrap().abs() < 1e-9, "{finding:#}");
        }
        let sums = of(&found, "tap-sum");
        prop_assert!(!sums.is_empty());
        for finding in sums {
            prop_assert!(finding["value"].as_f64().unwrap().abs() < 1e-9, "{finding:#}");
        }
        prop_assert!(of(&found, "wrong-tap").is_empty());
    }

    /// One section with leads on the wrong tap opens the sum by just its turns.
    #[test]
    fn a_wrong_section_opens_the_sum(sections in proptest::collection::vec(50u32..500, 2..5), by in 5u32..40) {
        let text = record(&sections);
        let right = format!("S1-S2  {:.3}  10.000", 0.01 * f64::from(sections[0]));
        let wrong = format!("S1-S2  {:.3}  10.000", 0.01 * f64::from(sections[0] + by));
        prop_assert!(text.contains(&right));
        let found = findings(&text.replace(&right, &wrong));
        let whole: u32 = sections.iter().sum();
        let full = format!("S1-S{}", sections.len() + 1);
        let of_whole: Vec<f64> =
            of(&found, "tap-sum").into_iter().filter(|f| f["pair"] == full.as_str()).map(|f| f["value"].as_f64().unwrap()).collect();
        prop_assert_eq!(of_whole.len(), 1);
        let expected = 100.0 * f64::from(by) / f64::from(whole);
        prop_assert!((of_whole[0] - expected).abs() < 1e-9 * expected, "{} {expected}", of_whole[0]);
    }
}
