//! Values that are more than a quantity: ratios, burdens, pairs, groups. Small readers by hand,
//! since they give better messages than a second grammar.

use super::class::Class;
use crate::ground::date::Date;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Located, Span};

/// A rated ratio: primary and secondary current in ampere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ratio {
    pub primary: f64,
    pub secondary: f64,
}

impl Ratio {
    /// Rated primary over rated secondary current.
    pub fn value(self) -> f64 {
        self.primary / self.secondary
    }

    /// As plates of the IEC family write it: `600/1`.
    pub fn text(self) -> String {
        format!("{}/{}", self.primary, self.secondary)
    }
}

/// Why a text is no ratio.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RatioFault {
    Form,
    Zero,
}

/// Reads `600/1 A`, `600/1`, `1200:5`, `1200:5 A`.
pub fn ratio(text: &str) -> Result<Ratio, RatioFault> {
    let bare = text
        .strip_suffix('A')
        .unwrap_or(text)
        .trim_matches([' ', '\t']);
    let (primary, secondary) = bare.split_once(['/', ':']).ok_or(RatioFault::Form)?;
    let number = |s: &str| -> Result<f64, RatioFault> {
        let plain = s.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        let value: f64 = if plain {
            s.parse().map_err(|_| RatioFault::Form)?
        } else {
            return Err(RatioFault::Form);
        };
        if value == 0.0 {
            Err(RatioFault::Zero)
        } else if value.is_finite() {
            Ok(value)
        } else {
            Err(RatioFault::Form)
        }
    };
    let (primary, secondary) = (
        number(primary.trim_matches(' ')),
        number(secondary.trim_matches(' ')),
    );
    match (primary, secondary) {
        (Err(RatioFault::Form), _) | (_, Err(RatioFault::Form)) => Err(RatioFault::Form),
        (Ok(primary), Ok(secondary)) => Ok(Ratio { primary, secondary }),
        _ => Err(RatioFault::Zero),
    }
}

/// A burden as stated on a plate or for a test.
#[derive(Clone, Debug)]
pub enum Burden {
    /// Apparent power at rated secondary current, with the power factor if stated.
    Power {
        va: Quantity,
        power_factor: Option<f64>,
    },
    /// An extended range: `1-10 VA`; the class holds from the lower value on.
    Range {
        least: f64,
        va: Quantity,
    },
    Impedance {
        ohm: Quantity,
        power_factor: Option<f64>,
    },
    /// IEEE designation: `B-0.5`.
    Designation(String),
    /// What was connected in service, value unknown here.
    Connected,
    Shorted,
}

/// A measured or plate value at a condition: `3.40 ohm at 75 C`, `30 mA at 1000 V`.
#[derive(Clone, Copy, Debug)]
pub struct At {
    pub value: Quantity,
    pub at: Quantity,
}

/// Two terminals as written, not yet looked up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PairName {
    pub from: String,
    pub to: String,
}

/// Two terminals of one core, as positions in its marks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pair {
    /// Index of the core in the record.
    pub core: usize,
    pub from: u8,
    pub to: u8,
}

impl Pair {
    /// The same pair with the lower terminal first.
    #[must_use]
    pub fn ascending(self) -> Self {
        Self {
            core: self.core,
            from: self.from.min(self.to),
            to: self.from.max(self.to),
        }
    }
}

/// One side of an insulation measurement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Item {
    Primary,
    Earth,
    /// `cores`: all cores not named otherwise.
    Cores,
    Core(String),
}

/// What an insulation reading was taken between.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Between {
    pub from: Vec<Item>,
    pub to: Vec<Item>,
}

impl Between {
    /// As the trade writes it.
    pub fn text(&self) -> String {
        format!("{} to {}", side(&self.from), side(&self.to))
    }
}

fn side(items: &[Item]) -> String {
    let words: Vec<String> = items
        .iter()
        .map(|item| match item {
            Item::Primary => "primary".to_owned(),
            Item::Earth => "earth".to_owned(),
            Item::Cores => "cores".to_owned(),
            Item::Core(name) => name.clone(),
        })
        .collect();
    match words.split_last() {
        Some((last, first)) if !first.is_empty() => format!("{} and {last}", first.join(", ")),
        _ => words.concat(),
    }
}

/// Reads `A to B, C and D`. Names are checked against the cores later.
pub fn between(text: &str) -> Option<Between> {
    let (from, to) = text.split_once(" to ")?;
    Some(Between {
        from: items(from)?,
        to: items(to)?,
    })
}

fn items(text: &str) -> Option<Vec<Item>> {
    let list = text.replace(" and ", ", ");
    let mut found = Vec::new();
    for word in list.split(',') {
        let word = word.trim_matches([' ', '\t']);
        found.push(match word {
            "" => return None,
            "primary" => Item::Primary,
            "earth" | "ground" => Item::Earth,
            "cores" | "other cores" | "all cores" | "all others" => Item::Cores,
            name if name.contains(' ') => return None,
            name => Item::Core(name.to_owned()),
        });
    }
    Some(found)
}

/// A value of any kind, as the generic reader hands it to the typed ones.
#[derive(Clone, Debug)]
pub enum Datum {
    Text(String),
    Quantity(Quantity),
    Number(f64),
    Date(Date),
    Pair(PairName),
    Terminals(Vec<Located<String>>),
    Ratio(Ratio),
    Class(Class),
    Burden(Burden),
    At(At),
    Between(Between),
    Choice(&'static str),
    Core(String),
}

/// `amended: voltage was 1.121; transcription; R. Anvik 2026-03-15`
#[derive(Clone, Debug)]
pub struct Amendment {
    /// The column or key it speaks of.
    pub what: String,
    /// What stood there before, as text.
    pub was: String,
    pub why: String,
    pub who: String,
    pub date: Option<Date>,
    pub span: Span,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratios_of_both_families() {
        assert_eq!(
            ratio("600/1 A"),
            Ok(Ratio {
                primary: 600.0,
                secondary: 1.0
            })
        );
        assert_eq!(
            ratio("1200:5"),
            Ok(Ratio {
                primary: 1200.0,
                secondary: 5.0
            })
        );
        assert_eq!(ratio("0/1"), Err(RatioFault::Zero));
        assert_eq!(ratio("600"), Err(RatioFault::Form));
        assert_eq!(ratio("6e2/1"), Err(RatioFault::Form));
    }

    #[test]
    fn groups_read_from_the_left() {
        let found = between("1S to primary, cores and ground").unwrap();
        assert_eq!(found.text(), "1S to primary, cores and earth");
        assert!(between("1S").is_none() && between("1S to ").is_none());
    }
}
