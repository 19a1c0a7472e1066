//! A value that a plate states, beside the one that is meant: which one sisters state, which slip of the pen leads from
//! one to the other, and the cause that is made of it.

use super::cells::{Cell, kind_of_class};
use crate::derive::kindred::Kindred;
use crate::document::{Phrase, Quantity, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::cause::digits::exchanged;
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::rules::inspection as rules;
use crate::judge::words::short;
use crate::record::core::Core;

pub(super) const BY_SISTERS: &str = "on those of the sisters";

/// Sisters whose plates state the same things: the same cores by name, terminals and kind of class, of one year where
/// both state theirs.
pub(super) fn of_the_kind<'a>(j: &Judging<'a>) -> Vec<&'a Kindred> {
    let own = &j.case.record;
    let alike = |one: &Core, other: &Core| {
        one.name == other.name
            && one.marks == other.marks
            && kind_of_class(one) == kind_of_class(other)
    };
    let of_the_kind = |sister: &&Kindred| {
        let mut both = own.cores.iter().zip(&sister.cores);
        sister.cores.len() == own.cores.len()
            && both.all(|(one, other)| alike(one, other))
            && !sister.make.is_of_another_year(&own.plate)
    };
    j.sisters.iter().copied().filter(of_the_kind).collect()
}

/// The value that most sisters have, where it is not the own, and by how many more of them.
pub(super) fn others(own: f64, theirs: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    let theirs: Vec<f64> = theirs.collect();
    let count = |value: f64| {
        let same = theirs.iter().filter(|one| is_equal(**one, value)).count();
        same as f64
    };
    let differing = theirs.iter().copied().filter(|one| !is_equal(*one, own));
    let most = differing.max_by(|one, other| count(*one).total_cmp(&count(*other)))?;
    Some((most, count(most) - count(own)))
}

pub(super) fn is_equal(one: f64, other: f64) -> bool {
    (one / other - 1.0).abs() < 1e-6
}

/// The cause, at a value of a core's plate.
pub(super) fn made(core: usize, span: Option<Span>, observed: Phrase) -> Hypothesis {
    let seat = Seat {
        core: Some(core),
        at: span.into_iter().collect(),
        ..Seat::default()
    };
    Hypothesis::new(&rules::PLATE_VALUE, seat, observed)
        .price(price::OF_A_KNOWN_SIZE)
        .decide("the plate itself, read again, and a photo of it")
}

/// The same, at a number of it; what is meant is known by others.
pub(super) fn of_cell(core: &Core, cell: &Cell, meant: f64, by: &'static str) -> Hypothesis {
    let observed = say!(
        "{} of {}: {} on this plate, {} {}",
        cell.what.name(),
        cell.of(core),
        cell.shown(cell.value),
        cell.shown(meant),
        by
    );
    let mut made = made(cell.core, Some(cell.at), observed);
    made.of = cell.what.resting();
    made.seat.pair = cell.pair().filter(|pair| !core.is_full(*pair));
    by_one_slip(made, cell.number(cell.value), cell.number(meant))
}

/// Says by which slip, where it is one.
pub(super) fn by_one_slip(made: Hypothesis, own: f64, meant: f64) -> Hypothesis {
    match slip(own, meant) {
        Some(slip) => made.remark(slip.told).besides(1.0),
        None => made,
    }
}

/// Times that a point or a prefix is off by.
const POINTS: [f64; 6] = [0.001, 0.01, 0.1, 10.0, 100.0, 1000.0];

/// One slip of the pen.
pub(super) struct Slip {
    /// `only digit 2 is another`
    pub told: Phrase,
    pub is_of_the_point: bool,
}

/// The one slip of the pen that makes a number of another one.
pub(super) fn slip(own: f64, meant: f64) -> Option<Slip> {
    let of = |told: Phrase| Slip {
        told,
        is_of_the_point: false,
    };
    if POINTS.iter().any(|times| is_equal(own * times, meant)) {
        return Some(Slip {
            is_of_the_point: true,
            ..of("the same digits, with the point in another place".into())
        });
    }
    let text = short(own);
    if exchanged(&text)
        .iter()
        .any(|(_, value)| is_equal(*value, meant))
    {
        return Some(of("two of its digits are exchanged".into()));
    }
    let other = short(meant);
    let digits = || text.chars().zip(other.chars()).enumerate();
    let differ: Vec<usize> = digits()
        .filter(|(_, (one, other))| one != other)
        .map(|(at, _)| at)
        .collect();
    let [only] = differ[..] else { return None };
    if text.len() != other.len() {
        return None;
    }
    let before = text.chars().take(only + 1);
    let number = before.filter(char::is_ascii_digit).count();
    Some(of(say!(
        "only digit {} is another",
        Quantity::new(number.to_string(), "")
    )))
}

/// All that one slip of the pen may have made a number of.
pub(super) fn slips(own: f64) -> Vec<f64> {
    let text = short(own);
    let points = POINTS.map(|times| own * times);
    let swapped = exchanged(&text).into_iter().map(|(_, value)| value);
    let places = text
        .char_indices()
        .filter(|(_, letter)| letter.is_ascii_digit());
    let typed = places.flat_map(|(at, _)| {
        let text = &text;
        ('0'..='9').filter_map(move |digit| {
            let mut new = text.clone();
            new.replace_range(at..=at, digit.encode_utf8(&mut [0; 4]));
            let value = new.parse::<f64>().ok()?;
            (short(value).len() == text.len()).then_some(value)
        })
    });
    let all = points.into_iter().chain(swapped).chain(typed);
    all.filter(|value| *value > 0.0 && !is_equal(*value, own))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{is_equal, slip, slips};

    #[test]
    fn what_one_slip_makes_is_one_slip_away() {
        for own in [3.5, 600.0, 17.25] {
            let all = slips(own);
            assert!(all.iter().all(|meant| slip(own, *meant).is_some()));
            assert!(!all.iter().any(|meant| is_equal(*meant, own)));
        }
        assert!(slips(3.5).iter().any(|meant| is_equal(*meant, 5.3)));
    }

    #[test]
    fn one_slip_makes_one_number_of_another() {
        let told = |own: f64, meant: f64| slip(own, meant).map(|slip| slip.told.plain(|_| 0));
        assert_eq!(
            told(300.0, 800.0).as_deref(),
            Some("only digit 1 is another")
        );
        assert_eq!(told(3.54, 3.58).as_deref(), Some("only digit 3 is another"));
        let point = "the same digits, with the point in another place";
        assert_eq!(told(100.0, 1000.0).as_deref(), Some(point));
        assert_eq!(told(0.35, 3.5).as_deref(), Some(point));
        let exchanged = "two of its digits are exchanged";
        assert_eq!(told(3.6, 6.3).as_deref(), Some(exchanged));
        assert_eq!(told(250.0, 400.0), None);
        assert_eq!(told(15.0, 30.0), None);
    }
}
