//! What speaks for a cause and what against it, in words.

use super::evidence::{By, Evidence, Item, Of};
use super::held::Held;
use super::hypothesis::Hypothesis;
use crate::document::{Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::unit;
use crate::judge::words::{quantity, rounded, short};

/// So many of each are told.
const MOST: usize = 3;
/// What an item has to weigh to be told, in natural logarithms.
const WORTH_TELLING: f64 = 2.0;

/// What speaks for a cause, the weightiest first, and what speaks against it.
pub(super) fn both(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    named: &Hypothesis,
) -> (Vec<Phrase>, Vec<Phrase>) {
    let mut told: Vec<(f64, Phrase)> = Vec::new();
    for (at, shift) in &named.shifts {
        let Some(family) = evidence.families.get(*at) else {
            continue;
        };
        let items = family.items.iter().zip(family.weights(shift));
        for (item, weight) in items.filter(|(item, _)| named.tells_of(family.of, item)) {
            told.push((weight, of_item(j, family.of, item)));
        }
    }
    for (at, left) in &named.curves {
        let Some(held) = evidence.curves.get(*at) else {
            continue;
        };
        told.push((held.same() - left, of_curve(j, held, *left)));
    }
    told.sort_by(|one, other| other.0.total_cmp(&one.0));
    let (good, bad): (Vec<_>, Vec<_>) = told.into_iter().partition(|(weight, _)| *weight > 0.0);
    let words = |all: Vec<(f64, Phrase)>| {
        let worth = all.into_iter();
        let worth = worth.filter(|(weight, _)| weight.abs() >= WORTH_TELLING);
        // Sums and single readings may say the same.
        let mut words: Vec<Phrase> = Vec::new();
        for (_, told) in worth {
            if words.len() < MOST && !words.contains(&told) {
                words.push(told);
            }
        }
        words
    };
    (words(good), words(bad.into_iter().rev().collect()))
}

/// `1S1-1S2: 3.610 ohm, 5.2 % above the 3.432 ohm of the certificate`.
fn of_item(j: &Judging<'_>, of: Of, item: &Item) -> Phrase {
    if of == Of::Polarity {
        let way = match item.observed < 0.0 {
            true => "reversed",
            false => "as marked",
        };
        return say!("{}: {}", what(j, of, item), way);
    }
    if of.is_of_errors() {
        return say!(
            "{}: {}, {} {}{}",
            what(j, of, item),
            quantity(item.observed, 3, item.unit),
            if of == Of::ErrorOrder {
                "where the other readings ask for"
            } else {
                "beyond the"
            },
            quantity(item.expected, 3, item.unit),
            if of == Of::ErrorOrder {
                ""
            } else {
                " that the rows beside it leave room for"
            }
        );
    }
    say!(
        "{}: {}, {} the {} {}",
        what(j, of, item),
        quantity(item.observed, 4, item.unit),
        how_far(item.away),
        quantity(item.expected, 4, item.unit),
        match item.by {
            By::Readings => "that the other readings ask for".into(),
            By::Usual => "that is usual".into(),
            _ => say!("of {}", beside(&item.by)),
        }
    )
}

/// What an item is of.
fn what(j: &Judging<'_>, of: Of, item: &Item) -> Phrase {
    let group = || {
        let mut all = j.derived.insulation.iter();
        let group = all.find(|group| Some(&group.minute.span) == item.at.first());
        group.map_or_else(Phrase::default, |group| group.between.text().into())
    };
    let pair = || Phrase::terminals(j.case.record.pair_text(item.pair));
    match of {
        Of::Insulation => group(),
        Of::Absorption => say!("rise with time of {}", group()),
        Of::Circuit => say!("circuit of {}", pair()),
        Of::Reactance => say!("reactance of the circuit of {}", pair()),
        Of::Burden => say!("impedance of the circuit of {}", pair()),
        Of::ErrorRow | Of::ErrorOrder => say!("ratio error of {}", pair()),
        Of::PhaseRow => say!("phase displacement of {}", pair()),
        Of::Exciting => say!("exciting current of {}", pair()),
        Of::Resistance
        | Of::ResistanceLimit
        | Of::ResistanceSum
        | Of::ResistanceRepeated
        | Of::Turns
        | Of::Polarity
        | Of::Error => pair(),
    }
}

/// To two significant digits, before the point too: `25000`.
pub(super) fn about(x: f64) -> String {
    let step = libm::exp10(libm::floor(libm::log10(x)) - 1.0);
    short(libm::round(x / step) * step)
}

/// `5.2 % above`, `12 times below`
fn how_far(away: f64) -> Phrase {
    let word = if away < 0.0 { "below" } else { "above" };
    let times = libm::exp(away.abs());
    if times >= 3.0 {
        return say!("{} times {}", Quantity::new(about(times), ""), word);
    }
    let percent = 100.0 * (libm::exp(away) - 1.0);
    say!("{} {}", Quantity::new(rounded(percent.abs(), 2), "%"), word)
}

/// Half a misfit in scatters of the curve.
pub(super) fn scatters(held: &Held<'_>, half: f64) -> Quantity {
    let rms = held.pairing.rms(2.0 * half);
    Quantity::new(short(libm::round(10.0 * rms) / 10.0), "")
}

/// `curve of 1S1-1S2: 8.2 times its scatter off the certificate, within it with this cause`.
fn of_curve(j: &Judging<'_>, held: &Held<'_>, left: f64) -> Phrase {
    let pair = Phrase::terminals(j.case.record.pair_text(held.pair()));
    if held.by == By::Iron {
        return say!(
            "curve of {}: from {} on its current is in proportion to the voltage, as that of sheet without a gap is not",
            pair,
            quantity(held.curve.first().v.si, 3, unit::VOLT)
        );
    }
    let left = match held.pairing.rms(2.0 * left) < 1.0 {
        true => "within it".into(),
        false => say!("{} times", scatters(held, left)),
    };
    say!(
        "curve of {}: {} times its scatter off {}, {} with this cause",
        pair,
        scatters(held, held.same()),
        beside(&held.by),
        left
    )
}

/// What an expectation rests on, in words.
pub(super) fn beside(by: &By) -> Phrase {
    match by {
        By::Visit(name) => say!("the visit of {}", Phrase::from(name.clone())),
        By::Certificate(_) => "the certificate".into(),
        By::Sisters(1) => "the sister".into(),
        By::Sisters(count) => {
            let count = Quantity::new(count.to_string(), "");
            say!("the {} sisters", count)
        }
        By::Plate => "the plate".into(),
        By::Limit => "the most that the plate allows".into(),
        By::Duty => "the duty".into(),
        By::Usual => "what is usual".into(),
        By::Iron => "what iron takes".into(),
        By::Readings => "the other readings".into(),
    }
}
