//! Sound records, spoilt in every way a keyboard, an editor or a transfer can.

use super::{is_checked, survives};
use proptest::prelude::*;
use std::sync::OnceLock;

fn records() -> &'static [String] {
    static RECORDS: OnceLock<Vec<String>> = OnceLock::new();
    RECORDS.get_or_init(|| {
        let demo = crate::demo::files()
            .into_iter()
            .filter(|(name, _)| name.ends_with(".ctr"))
            .map(|(_, text)| text);
        let design = crate::design_records::files()
            .into_iter()
            .filter(|(name, _)| name.ends_with(".ctr"));
        demo.chain(design.map(|(_, bytes)| String::from_utf8_lossy(&bytes).into_owned()))
            .collect()
    })
}

/// One spoiling; the numbers choose a place.
#[derive(Clone, Debug)]
pub enum Spoil {
    Delete(usize),
    Double(usize),
    Swap(usize, usize),
    Byte(usize, u8),
    Insert(usize, &'static str),
    /// The n-th number of the text becomes another.
    Number(usize, &'static str),
    Cut(usize),
}

const ODD: &[&str] = &[
    "\u{A0}", "\u{2212}", "\u{202E}", "\0", "\r", "[", "]", "|", "#", ":", "\t", "😀", "\n", ">",
    " to ", "\u{FEFF}",
];
const NUMBERS: &[&str] = &[
    "0",
    "-1",
    "1e300",
    "-1e300",
    "1e-300",
    "1e399",
    "0.000000000000000000000000000000001",
    "99999999999999999999",
    "1,000",
    "-0",
    "1e308",
    "5e-324",
    "1e-2147483648",
    "-",
    ">1e300",
    "<0",
    "NaN",
    "inf",
    "",
];

pub fn spoil() -> impl Strategy<Value = Spoil> {
    let at = any::<usize>;
    prop_oneof![
        at().prop_map(Spoil::Delete),
        at().prop_map(Spoil::Double),
        (at(), at()).prop_map(|(a, b)| Spoil::Swap(a, b)),
        (at(), any::<u8>()).prop_map(|(at, byte)| Spoil::Byte(at, byte)),
        (at(), proptest::sample::select(ODD)).prop_map(|(at, odd)| Spoil::Insert(at, odd)),
        (at(), proptest::sample::select(NUMBERS))
            .prop_map(|(at, number)| Spoil::Number(at, number)),
        (at(), proptest::sample::select(NUMBERS))
            .prop_map(|(at, number)| Spoil::Number(at, number)),
        (at(), proptest::sample::select(NUMBERS))
            .prop_map(|(at, number)| Spoil::Number(at, number)),
        at().prop_map(Spoil::Cut),
    ]
}

pub fn spoilt(text: Vec<u8>, spoil: &Spoil) -> Vec<u8> {
    let mut lines: Vec<Vec<u8>> = text
        .split_inclusive(|byte| *byte == b'\n')
        .map(<[u8]>::to_vec)
        .collect();
    let count = lines.len().max(1);
    match spoil {
        _ if lines.is_empty() => return text,
        Spoil::Delete(at) => drop(lines.remove(at % count)),
        Spoil::Double(at) => lines.insert(at % count, lines[at % count].clone()),
        Spoil::Swap(a, b) => lines.swap(a % count, b % count),
        Spoil::Byte(at, byte) => {
            let mut text = text;
            let at = at % text.len();
            text[at] = *byte;
            return text;
        }
        Spoil::Insert(at, odd) => {
            let mut text = text;
            let at = at % text.len();
            text.splice(at..at, odd.bytes());
            return text;
        }
        Spoil::Number(at, number) => return with_number(&text, *at, number),
        Spoil::Cut(at) => {
            let mut text = text;
            // Late cuts only: half a record is more telling than an empty one.
            text.truncate(text.len() / 2 + at % (text.len() / 2 + 1));
            return text;
        }
    }
    lines.concat()
}

fn with_number(text: &[u8], at: usize, number: &str) -> Vec<u8> {
    let digit = |byte: u8| byte.is_ascii_digit() || byte == b'.';
    let starts: Vec<usize> = (0..text.len())
        .filter(|&i| {
            text[i].is_ascii_digit() && (i == 0 || matches!(text[i - 1], b' ' | b'\t' | b'\n'))
        })
        .collect();
    let Some(&start) = starts.get(at % starts.len().max(1)) else {
        return text.to_vec();
    };
    let end = (start..text.len())
        .find(|&i| !digit(text[i]))
        .unwrap_or(text.len());
    [&text[..start], number.as_bytes(), &text[end..]].concat()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_spoilt_record_is_answered(
        which in any::<proptest::sample::Index>(),
        spoils in proptest::collection::vec(spoil(), 1..12),
    ) {
        let record = which.get(records()).clone().into_bytes();
        survives(&spoils.iter().fold(record, spoilt));
    }
}

#[test]
fn every_number_of_a_record_may_be_absurd() {
    let record = crate::design_records::sample();
    for number in NUMBERS {
        let numbers = record
            .split(|c: char| !(c.is_ascii_digit() || c == '.'))
            .filter(|word| !word.is_empty())
            .count();
        for at in (0..numbers).step_by(3) {
            is_checked(&with_number(record.as_bytes(), at, number));
        }
    }
}
