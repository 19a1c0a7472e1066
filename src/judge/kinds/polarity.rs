//! Polarity, as marked or reversed. Reversed polarity trips plants, so it fails.

use super::doubt::withheld;
use crate::derive::kinds::polarity::{By, Shown};
use crate::document::{Grade, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Finding, Found, Verdict, unit};
use crate::judge::rules;

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
        By::Kick => "d.c. kick (battery) test",
        By::Comparison => "comparison",
        By::Phase => "phase of the ratio test",
    }
}

fn one<'a>(shown: &Shown, mut earlier: impl Iterator<Item = &'a Shown>) -> Finding {
    let (observed, verdict) = match shown.as_marked {
        Some(true) => ("as marked", Verdict::Observed(Grade::Info)),
        Some(false) => ("reversed", Verdict::Observed(Grade::Fails)),
        None => ("", Verdict::NotJudged(unsettled(shown).into())),
    };
    // A phase that is as marked is no displacement to be read further; only a reversed one is shown.
    let (found, unit) = match shown.phase {
        Some(phase) if shown.as_marked != Some(true) => (Found::Known(phase), unit::DEGREE),
        _ => (Found::Nothing, unit::ONE),
    };
    let mut finding = Finding::new(&rules::POLARITY, found, unit)
        .at(shown.test, shown.pair, shown.readings.clone())
        .under(Condition::Method(by(shown)))
        .observed(observed);
    finding.verdict = verdict;
    // The phase of every tap would crowd the matrix where a kick or a comparison already heads it.
    finding.headline =
        shown.as_marked == Some(false) || earlier.all(|other| other.pair.core != shown.pair.core);
    withheld(finding, shown.doubtful)
}

fn unsettled(shown: &Shown) -> &'static str {
    match shown.by {
        By::Kick => "the battery's terminal (plus on) or the deflection is not stated",
        By::Comparison => "the result is not stated",
        By::Phase => "the phase is just a quarter of a turn",
    }
}

fn disagree(a: &Shown, b: &Shown) -> bool {
    let sound = a.doubtful.is_none() && b.doubtful.is_none();
    let other_way = matches!((a.as_marked, b.as_marked), (Some(a), Some(b)) if a != b);
    sound && a.pair == b.pair && other_way
}

fn contradiction(shown: &Shown, other: &Shown) -> Finding {
    let readings = shown.readings.iter().chain(&other.readings);
    let observed = say!("opposite to that by {}", by(other));
    Finding::observation(&rules::POLARITY_CONTRADICTION, observed, Grade::Review)
        .at(shown.test, shown.pair, readings.copied().collect())
        .under(Condition::Method(by(shown)))
}

#[cfg(test)]
mod tests {
    use crate::document::{Grade, say};
    use crate::judge::condition::Condition;
    use crate::judge::finding::{Finding, Verdict};
    use crate::judge::kinds::bench::{assessed, of_rule};

    fn polarity(text: &str) -> Vec<Finding> {
        of_rule(&assessed("", text), "polarity")
    }

    #[test]
    fn reversed_fails_by_every_method() {
        let kick = |plus: &str, way: &str| {
            polarity(&format!(
                "[polarity 1S1-1S2]\nmethod: kick\nplus on: {plus}\ndeflection: {way} on make\n"
            ))
        };
        assert_eq!(kick("P1", "up")[0].grade(), Grade::Info);
        assert_eq!(kick("P2", "down")[0].grade(), Grade::Info);
        assert_eq!(kick("P1", "down")[0].grade(), Grade::Fails);
        assert!(kick("P1", "down")[0].action().is_some() && kick("P1", "down")[0].headline);
        let compared = polarity("[polarity 1S1-1S2]\nmethod: comparison\nresult: reversed\n");
        assert_eq!(compared[0].grade(), Grade::Fails);
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
            (Grade::Info, Grade::Fails, Grade::Fails)
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
        let found = of_rule(&assessed("", text), "polarity-contradiction");
        let [one] = found.as_slice() else {
            panic!("{found:?}")
        };
        assert_eq!(
            one.conditions,
            [Condition::Method("phase of the ratio test")]
        );
        assert_eq!(
            one.observed,
            say!("opposite to that by {}", "d.c. kick (battery) test")
        );
    }
}
