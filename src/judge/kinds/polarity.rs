//! Polarity, as marked or reversed. Reversed polarity trips plants, so it fails.

use super::ratio::of_input;
use crate::derive::kinds::polarity::{By, Shown};
use crate::document::{Grade, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Finding, Verdict, unit};
use crate::judge::rules::polarity as rules;
use crate::judge::verdict::not_judged;
use crate::judge::words::brief;
use crate::standards::threshold;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    let all = &j.derived.polarity;
    for (index, shown) in all.iter().enumerate() {
        let mut others = all.iter().enumerate();
        if others.any(|(at, other)| (at < index || other.by != By::Phase) && tells(other, shown)) {
            continue;
        }
        let earlier = all.iter().take(index);
        let input = of_input(j, shown.pair, shown.fed);
        out.push(one(shown, earlier.clone()).under(input.clone()));
        let other = earlier.rev().find(|other| disagree(other, shown));
        out.extend(other.map(|other| contradiction(shown, other).under(input)));
    }
}

/// Whether another test tells already what the phase of a ratio test shows beside it: that the pair is as
/// marked.
fn tells(other: &Shown, shown: &Shown) -> bool {
    let marked = |one: &Shown| one.as_marked == Some(true) && one.doubtful.is_none();
    shown.by == By::Phase
        && (other.pair, other.fed) == (shown.pair, shown.fed)
        && marked(other)
        && marked(shown)
}

fn by(shown: &Shown) -> &'static str {
    match shown.by {
        By::Kick => "d.c. kick (battery) test",
        By::Comparison => "comparison",
        By::Phase => "phase of the ratio test",
    }
}

fn one<'a>(shown: &Shown, mut earlier: impl Iterator<Item = &'a Shown>) -> Finding {
    // A phase that is as marked is no displacement to be read further; only a reversed one is shown.
    let finding = match shown.phase {
        Some(phase) if shown.as_marked != Some(true) => {
            Finding::new(&rules::POLARITY, phase, unit::DEGREE)
        }
        _ => Finding::without(&rules::POLARITY, unit::ONE),
    };
    let mut finding = match shown.as_marked {
        Some(true) => finding.observed("as marked").graded(Grade::Pass),
        Some(false) => finding.observed("reversed").graded(Grade::Fails),
        None => finding.verdict(unsettled(shown)),
    };
    // The phase of every tap would crowd the matrix where a kick or a comparison already heads it.
    finding.headline =
        shown.as_marked == Some(false) || earlier.all(|other| other.pair.core != shown.pair.core);
    finding
        .at(shown.test, shown.pair, shown.readings.clone())
        .under(Condition::Method(by(shown)))
        .withheld(shown.doubtful)
}

fn unsettled(shown: &Shown) -> Verdict {
    not_judged(match shown.by {
        By::Kick => "the battery's terminal (plus on) or the deflection is not stated",
        By::Comparison => "the result is not stated",
        By::Phase => {
            let near = threshold("polarity-angle").map_or(0.0, |row| row.limit);
            return Verdict::NotShown(say!(
                "needs a phase within {} of none, or of half a turn",
                brief(near, unit::DEGREE.word)
            ));
        }
    })
}

fn disagree(a: &Shown, b: &Shown) -> bool {
    let sound = a.doubtful.is_none() && b.doubtful.is_none();
    let other_way = matches!((a.as_marked, b.as_marked), (Some(a), Some(b)) if a != b);
    sound && (a.pair, a.fed) == (b.pair, b.fed) && other_way
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
    use crate::judge::kinds::bench::{Bench, table};

    fn kick(rest: &str) -> Bench {
        Bench::visit(&format!("[polarity 1S1-1S2]\nmethod: kick\n{rest}"))
    }

    const BETWEEN: &str = "not shown: needs a phase within 20 deg of none, or of half a turn";

    const BY_PHASE: &str =
        "[ratio]\nmethod: voltage\non applied/V induced/mV phase/deg\n1S1-1S2 120 200";

    #[test]
    fn reversed_fails_by_every_method() {
        table(
            "polarity",
            kick,
            &[
                ("plus on: P1\ndeflection: up on make", "pass"),
                ("plus on: P2\ndeflection: down on make", "pass"),
                ("plus on: P1\ndeflection: down on make", "fails"),
                (
                    "deflection: up on make",
                    "not judged: the battery's terminal (plus on) or the deflection is not stated",
                ),
            ],
        );
        let reversed = kick("plus on: P1\ndeflection: down on make");
        let reversed = reversed.one("polarity");
        assert!(reversed.action().is_some() && reversed.headline);
        let compared = "[polarity 1S1-1S2]\nmethod: comparison\nresult: reversed\n";
        table("polarity", Bench::visit, &[(compared, "fails")]);
        let phase = |deg: &str| Bench::visit(&format!("{BY_PHASE} {deg}\n"));
        table(
            "polarity",
            phase,
            &[
                ("0.1", "pass"),
                ("20", "pass"),
                ("179.9", "fails"),
                ("-180", "fails"),
                ("200", "fails"),
                ("21", BETWEEN),
                ("90", BETWEEN),
                ("-150", BETWEEN),
            ],
        );
    }

    #[test]
    fn two_methods_that_contradict_are_told() {
        let both = kick(&format!(
            "plus on: P1\ndeflection: up on make\n\n{BY_PHASE} 180\n"
        ));
        both.holds(
            "polarity-contradiction",
            &["by phase of the ratio test: opposite to that by d.c. kick (battery) test"],
        );
    }
}
