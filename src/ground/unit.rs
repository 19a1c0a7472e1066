//! Unit words. A list, not a grammar: case counts (`mohm`, `Mohm`), and a word that clashes (`min`)
//! is looked up together with the kind of quantity that is expected.

use super::nearest::nearest;
use std::sync::OnceLock;

/// What a unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Dimension {
    Voltage,
    Current,
    Resistance,
    ResistancePerLength,
    Inductance,
    Capacitance,
    Charge,
    ApparentPower,
    Frequency,
    Time,
    Angle,
    Temperature,
    Percent,
    Length,
    Area,
}

impl Dimension {
    /// The quantity's name in messages, and a few unit words to offer, the usual one first.
    fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::Voltage => ("voltage", "V, mV, kV"),
            Self::Current => ("current", "A, mA, kA"),
            Self::Resistance => ("resistance", "ohm, mohm, Mohm, Gohm"),
            Self::ResistancePerLength => ("resistance per length", "ohm/km, mohm/m"),
            Self::Inductance => ("inductance", "H, mH"),
            Self::Capacitance => ("capacitance", "pF, nF, uF"),
            Self::Charge => ("charge", "pC, nC"),
            Self::ApparentPower => ("apparent power", "VA"),
            Self::Frequency => ("frequency", "Hz"),
            Self::Time => ("time", "s, ms, min"),
            Self::Angle => ("angle", "deg, arcmin, crad"),
            Self::Temperature => ("temperature", "C, degF"),
            Self::Percent => ("percentage", "%"),
            Self::Length => ("length", "m, mm, ft"),
            Self::Area => ("area", "mm2"),
        }
    }

    /// The quantity's name in messages.
    pub fn name(self) -> &'static str {
        self.words().0
    }

    /// A few unit words to offer, the usual one first.
    pub fn examples(self) -> &'static str {
        self.words().1
    }

    /// The coherent SI unit that its values are kept in.
    pub fn si(self) -> &'static str {
        match self {
            Self::Voltage => "V",
            Self::Current => "A",
            Self::Resistance => "ohm",
            Self::ResistancePerLength => "ohm/m",
            Self::Inductance => "H",
            Self::Capacitance => "F",
            Self::Charge => "C",
            Self::ApparentPower => "VA",
            Self::Frequency => "Hz",
            Self::Time => "s",
            Self::Angle => "rad",
            Self::Temperature => "C",
            Self::Percent => "%",
            Self::Length => "m",
            Self::Area => "m2",
        }
    }
}

/// How a number in this unit becomes one in the coherent SI unit (for angles the radian, for
/// temperatures the degree Celsius, for percentages the per cent).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    /// Times ten to this power: applied to the decimal text.
    Decimal(i32),
    Factor(f64),
    /// Degrees Fahrenheit.
    Fahrenheit,
}

/// One way to write one unit.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitWord {
    pub word: String,
    /// The spelling that the formatter writes.
    pub canonical: String,
    pub dimension: Dimension,
    pub scale: Scale,
}

/// What a lookup found.
#[derive(Clone, Debug)]
pub enum Lookup {
    Found(&'static UnitWord),
    /// A unit, but of another quantity.
    OtherDimension(&'static UnitWord),
    /// Right but for the case of its letters; all readings of the expected quantity.
    Case(Vec<&'static UnitWord>),
    Unknown(Option<&'static str>),
}

const BASES: &[(&[&str], Dimension, i32, &str)] = &[
    (&["V"], Dimension::Voltage, 0, "M k m u n"),
    (&["A"], Dimension::Current, 0, "k m u n"),
    // The second sign is the old code point of the first; Unicode has both as one letter.
    (
        &["ohm", "Ω", "\u{2126}"],
        Dimension::Resistance,
        0,
        "T G M k m u",
    ),
    (&["H"], Dimension::Inductance, 0, "k m u"),
    (&["VA"], Dimension::ApparentPower, 0, "M k m"),
    (&["Hz"], Dimension::Frequency, 0, "k m"),
    (&["s"], Dimension::Time, 0, "m u"),
    (&["m"], Dimension::Length, 0, "k c m"),
    (&["rad"], Dimension::Angle, 0, "c m u"),
];

const MINUTE: Scale = Scale::Factor(std::f64::consts::PI / 10800.0);
const DEGREE: Scale = Scale::Factor(std::f64::consts::PI / 180.0);

const SINGLES: &[(&str, &str, Dimension, Scale)] = &[
    ("min", "min", Dimension::Time, Scale::Factor(60.0)),
    ("h", "h", Dimension::Time, Scale::Factor(3600.0)),
    ("min", "arcmin", Dimension::Angle, MINUTE),
    ("arcmin", "arcmin", Dimension::Angle, MINUTE),
    ("′", "arcmin", Dimension::Angle, MINUTE),
    ("deg", "deg", Dimension::Angle, DEGREE),
    ("°", "deg", Dimension::Angle, DEGREE),
    ("C", "C", Dimension::Temperature, Scale::Decimal(0)),
    ("degC", "C", Dimension::Temperature, Scale::Decimal(0)),
    ("°C", "C", Dimension::Temperature, Scale::Decimal(0)),
    ("degF", "degF", Dimension::Temperature, Scale::Fahrenheit),
    ("°F", "degF", Dimension::Temperature, Scale::Fahrenheit),
    ("%", "%", Dimension::Percent, Scale::Decimal(0)),
    ("ppm", "ppm", Dimension::Percent, Scale::Decimal(-4)),
    ("ft", "ft", Dimension::Length, Scale::Factor(0.3048)),
    (
        "ohm/km",
        "ohm/km",
        Dimension::ResistancePerLength,
        Scale::Decimal(-3),
    ),
    (
        "Ω/km",
        "ohm/km",
        Dimension::ResistancePerLength,
        Scale::Decimal(-3),
    ),
    (
        "mohm/m",
        "mohm/m",
        Dimension::ResistancePerLength,
        Scale::Decimal(-3),
    ),
    // The bare farad is left out: `F` stands for a degree Fahrenheit in many a hand.
    ("pF", "pF", Dimension::Capacitance, Scale::Decimal(-12)),
    ("nF", "nF", Dimension::Capacitance, Scale::Decimal(-9)),
    ("uF", "uF", Dimension::Capacitance, Scale::Decimal(-6)),
    ("µF", "uF", Dimension::Capacitance, Scale::Decimal(-6)),
    ("μF", "uF", Dimension::Capacitance, Scale::Decimal(-6)),
    // The bare coulomb is left out: `C` is the degree Celsius.
    ("pC", "pC", Dimension::Charge, Scale::Decimal(-12)),
    ("nC", "nC", Dimension::Charge, Scale::Decimal(-9)),
    ("mm2", "mm2", Dimension::Area, Scale::Decimal(-6)),
    ("mm²", "mm2", Dimension::Area, Scale::Decimal(-6)),
];

fn power(prefix: &str) -> i32 {
    match prefix {
        "T" => 12,
        "G" => 9,
        "M" => 6,
        "k" => 3,
        "c" => -2,
        "m" => -3,
        "u" | "µ" | "μ" => -6,
        "n" => -9,
        _ => 0,
    }
}

/// Every unit word.
pub fn all() -> &'static [UnitWord] {
    static WORDS: OnceLock<Vec<UnitWord>> = OnceLock::new();
    WORDS.get_or_init(|| {
        let mut words = Vec::new();
        for &(spellings, dimension, base, prefixes) in BASES {
            let canonical = spellings.first().copied().unwrap_or("");
            for prefix in std::iter::once("").chain(prefixes.split(' ')) {
                let written: &[&str] = if prefix == "u" {
                    &["u", "µ", "μ"]
                } else {
                    std::slice::from_ref(&prefix)
                };
                for (spelling, symbol) in spellings
                    .iter()
                    .flat_map(|s| written.iter().map(move |p| (s, p)))
                {
                    words.push(UnitWord {
                        word: format!("{symbol}{spelling}"),
                        canonical: format!("{prefix}{canonical}"),
                        dimension,
                        scale: Scale::Decimal(base + power(prefix)),
                    });
                }
            }
        }
        for &(word, canonical, dimension, scale) in SINGLES {
            words.push(UnitWord {
                word: word.into(),
                canonical: canonical.into(),
                dimension,
                scale,
            });
        }
        words
    })
}

/// The unit word of exactly this spelling and dimension; `None` is a mistake in the caller's table.
pub fn known(word: &str, dimension: Dimension) -> Option<&'static UnitWord> {
    all()
        .iter()
        .find(|unit| unit.dimension == dimension && unit.word == word)
}

/// Looks a word up where `expected` is wanted.
pub fn lookup(word: &str, expected: Dimension) -> Lookup {
    if let Some(found) = known(word, expected) {
        return Lookup::Found(found);
    }
    if let Some(other) = all().iter().find(|unit| unit.word == word) {
        return Lookup::OtherDimension(other);
    }
    let case: Vec<_> = all()
        .iter()
        .filter(|unit| unit.dimension == expected && unit.word.eq_ignore_ascii_case(word))
        .collect();
    if !case.is_empty() {
        return Lookup::Case(case);
    }
    let of = |unit: &&UnitWord| unit.dimension == expected;
    let known = || all().iter().filter(of).map(|unit| unit.word.as_str());
    let spelt = spelt_out(word).and_then(|spelt| known().find(|known| *known == spelt));
    Lookup::Unknown(spelt.or_else(|| nearest(word, known())))
}

/// `MegOhm` as `Mohm`, `milliamps` as `mA`.
fn spelt_out(word: &str) -> Option<String> {
    const PREFIXES: &[(&str, &str)] = &[
        ("giga", "G"),
        ("gig", "G"),
        ("mega", "M"),
        ("meg", "M"),
        ("kilo", "k"),
        ("milli", "m"),
        ("micro", "u"),
        ("nano", "n"),
        ("", ""),
    ];
    const NAMES: &[(&str, &str)] = &[
        ("ohm", "ohm"),
        ("volt", "V"),
        ("ampere", "A"),
        ("amp", "A"),
        ("second", "s"),
        ("sec", "s"),
        ("minute", "min"),
        ("hertz", "Hz"),
        ("percent", "%"),
        ("degree", "deg"),
        ("celsius", "C"),
    ];
    let word = word.to_ascii_lowercase();
    let word = word.strip_suffix('s').unwrap_or(&word);
    PREFIXES.iter().find_map(|(long, short)| {
        let rest = word.strip_prefix(long)?;
        let (_, unit) = NAMES.iter().find(|(name, _)| *name == rest)?;
        Some(format!("{short}{unit}"))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_word_has_one_reading_per_dimension() {
        for unit in all() {
            let same = all()
                .iter()
                .filter(|u| u.word == unit.word && u.dimension == unit.dimension)
                .count();
            assert_eq!(same, 1, "{}", unit.word);
        }
        let clashes: Vec<_> = all()
            .iter()
            .filter(|u| {
                all()
                    .iter()
                    .any(|v| v.word == u.word && v.dimension != u.dimension)
            })
            .collect();
        assert!(clashes.iter().all(|u| u.word == "min"), "{clashes:?}");
    }

    #[test]
    fn units_that_are_spelt_out_are_known() {
        let near = |word: &str, of| match lookup(word, of) {
            Lookup::Unknown(near) => near,
            _ => None,
        };
        assert_eq!(near("MegOhm", Dimension::Resistance), Some("Mohm"));
        assert_eq!(near("milliamps", Dimension::Current), Some("mA"));
        assert_eq!(near("Volts", Dimension::Voltage), Some("V"));
        assert_eq!(near("weather", Dimension::Voltage), None);
    }

    #[test]
    fn case_is_told_and_never_guessed() {
        assert!(
            matches!(lookup("KA", Dimension::Current), Lookup::Case(c) if c.iter().any(|u| u.word == "kA"))
        );
        assert!(
            matches!(lookup("mohm", Dimension::Resistance), Lookup::Found(u) if u.scale == Scale::Decimal(-3))
        );
        assert!(
            matches!(lookup("Mohm", Dimension::Resistance), Lookup::Found(u) if u.scale == Scale::Decimal(6))
        );
        assert!(matches!(
            lookup("mV", Dimension::Current),
            Lookup::OtherDimension(_)
        ));
        assert!(
            matches!(lookup("min", Dimension::Angle), Lookup::Found(u) if u.canonical == "arcmin")
        );
    }
}
