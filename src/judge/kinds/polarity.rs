//! Polarity, as marked or reversed. Reversed polarity trips plants, so it is a defect.

use super::doubt::withheld;
use crate::derive::kinds::polarity::{By, Shown};
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, Found, Verdict, Weight, Whose, unit};
use crate::record::kinds::TestKind;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    let derived = j.derived;
    for (index, shown) in derived.polarity.iter().enumerate() {
        let earlier = derived.polarity.iter().take(index);
        let finding = one(shown, earlier.clone());
        j.findings.push(finding);
        if let Some(other) = earlier.rev().find(|other| disagree(other, shown)) {
            j.findings.push(contradiction(shown, other));
        }
    }
}

fn by(shown: &Shown) -> &'static str {
    match shown.by {
        By::Kick => "battery and meter",
        By::Comparison => "comparison",
        By::Phase => "phase of the ratio test",
    }
}

fn one<'a>(shown: &Shown, mut earlier: impl Iterator<Item = &'a Shown>) -> Finding {
    let word = match shown.as_marked {
        Some(true) => "polarity as marked",
        Some(false) => "polarity reversed",
        None => "polarity",
    };
    let what = format!("{word}, by {}", by(shown));
    // A phase that is as marked is no displacement to be read further; only a reversed one is shown.
    let (found, unit) = match shown.phase {
        Some(phase) if shown.as_marked != Some(true) => (Found::Known(phase), unit::DEGREE),
        _ => (Found::Nothing, unit::ONE),
    };
    let made = Finding::new("polarity", TestKind::Polarity, Whose::Ct, what, found, unit);
    let mut made = made.at(shown.test, shown.pair, shown.readings.clone());
    // The phase of every tap would crowd the matrix where a kick or a comparison already heads it.
    made.headline =
        shown.as_marked == Some(false) || earlier.all(|other| other.pair.core != shown.pair.core);
    match shown.as_marked {
        Some(true) => made.verdict = Verdict::Observed(Weight::Information),
        Some(false) => {
            made.verdict = Verdict::Observed(Weight::Defect);
            made = made.next("first check the test leads and repeat; if it stays, check the marks and the direction of P1 (H1)");
        }
        None => made.verdict = Verdict::NotJudged(unsettled(shown).to_owned()),
    }
    withheld(made, shown.doubtful)
}

fn unsettled(shown: &Shown) -> &'static str {
    match shown.by {
        By::Kick => "the battery's terminal (plus on) or the deflection is not written",
        By::Comparison => "the result is not written",
        By::Phase => "the phase is just a quarter of a turn",
    }
}

fn disagree(a: &Shown, b: &Shown) -> bool {
    let sound = a.doubtful.is_none() && b.doubtful.is_none();
    let other_way = matches!((a.as_marked, b.as_marked), (Some(a), Some(b)) if a != b);
    sound && a.pair == b.pair && other_way
}

fn contradiction(shown: &Shown, other: &Shown) -> Finding {
    let what = format!(
        "polarity by {} and by {} contradict each other",
        by(other),
        by(shown)
    );
    let made = Finding::new(
        "polarity-contradiction",
        TestKind::Polarity,
        Whose::Work,
        what,
        Found::Nothing,
        unit::ONE,
    );
    let readings = shown
        .readings
        .iter()
        .chain(&other.readings)
        .copied()
        .collect();
    let mut made = made.at(shown.test, shown.pair, readings);
    made.verdict = Verdict::Observed(Weight::Doubt);
    made.next("repeat both; one of them was connected the wrong way round")
}

#[cfg(test)]
mod tests {
    use crate::judge::finding::{Finding, Grade, Verdict};
    use crate::judge::kinds::bench::{assessed, of_rule};

    fn polarity(text: &str) -> Vec<Finding> {
        of_rule(&assessed("", text), "polarity")
    }

    #[test]
    fn reversed_is_a_defect_by_every_method() {
        let kick = |plus: &str, way: &str| {
            polarity(&format!(
                "[polarity 1S1-1S2]\nmethod: kick\nplus on: {plus}\ndeflection: {way} on make\n"
            ))
        };
        assert_eq!(kick("P1", "up")[0].grade(), Grade::Plain);
        assert_eq!(kick("P2", "down")[0].grade(), Grade::Plain);
        assert_eq!(kick("P1", "down")[0].grade(), Grade::Bad);
        assert!(kick("P1", "down")[0].next.is_some() && kick("P1", "down")[0].headline);
        let compared = polarity("[polarity 1S1-1S2]\nmethod: comparison\nresult: reversed\n");
        assert_eq!(compared[0].grade(), Grade::Bad);
        let phase = |deg: &str| {
            polarity(&format!(
                "[ratio]\nmethod: voltage\non applied/V induced/mV phase/deg\n1S1-1S2 120 200 {deg}\n"
            ))
        };
        assert_eq!(
            (
                phase("0.1")[0].grade(),
                phase("179.9")[0].grade(),
                phase("-180")[0].grade()
            ),
            (Grade::Plain, Grade::Bad, Grade::Bad)
        );
    }

    #[test]
    fn an_unwritten_end_is_not_judged() {
        let found = polarity("[polarity 1S1-1S2]\nmethod: kick\ndeflection: up on make\n");
        assert!(matches!(found[0].verdict, Verdict::NotJudged(_)));
    }

    #[test]
    fn two_methods_that_contradict_are_told() {
        let text = "[polarity 1S1-1S2]\nmethod: kick\nplus on: P1\ndeflection: up on make\n\n\
            [ratio]\nmethod: voltage\non applied/V induced/mV phase/deg\n1S1-1S2 120 200 180\n";
        assert_eq!(
            of_rule(&assessed("", text), "polarity-contradiction").len(),
            1
        );
    }
}
