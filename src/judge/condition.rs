//! Conditions of a finding as typed values: what it was measured under, or with what it compares.

use crate::derive::kinds::ratio::Burdened;
use crate::document::{Phrase, Quantity, say};
use crate::judge::finding::unit;
use crate::judge::rules::Rule;
use crate::judge::words::{brief, rounded, short};
use crate::record::kinds::TestKind;
use crate::record::kinds::burden::Path;
use crate::record::phase::Phase;
use crate::trade::mark;

/// One condition. Numbers are in the unit that the name or the comment gives.
#[derive(Clone, Debug, PartialEq)]
pub enum Condition {
    /// Share of rated primary current, per cent.
    Percent(f64),
    /// Multiple of rated current.
    Multiple(f64),
    /// Volt.
    Voltage(f64),
    /// Volt, the peak.
    Peak(f64),
    /// Degree Celsius.
    CorrectedTo(f64),
    /// The value that it is compared with is that of the whole winding times the share of turns.
    ScaledByTurns,
    /// Limit of the composite error that a factor is taken at, per cent.
    ErrorOf(f64),
    /// Ohm and power factor.
    Impedance(f64, Option<f64>),
    Burden(Burdened),
    /// What was on the main CT that feeds an interposing one, when that was read.
    BurdenOfMain(Burdened),
    /// Class by its name on the plate.
    Class(String),
    /// How it was found.
    Method(&'static str),
    /// From one time of reading to another, second.
    Interval(f64, f64),
    /// Windings against windings, as the record writes them.
    Between(String),
    /// Sections of a winding.
    Sections(Vec<String>),
    /// An earlier visit that it is compared with.
    Against(String),
    /// A loop of the circuit, as the record names it.
    Loop(Path),
    /// The quantity that a number is told in multiples of.
    InTimesOf(&'static str),
    /// How the number counts: `per turn`.
    Counted(&'static str),
    /// Second, which it was held for.
    HeldFor(f64),
    /// An item or a terminal, as the record names it.
    Item(String),
    Phase(Phase),
}

impl Condition {
    /// Whether two are the same condition, to the digits that people are shown.
    pub fn is_same(&self, other: &Self) -> bool {
        // Far apart they print otherwise; most are.
        let far = |a: f64, b: f64| (a - b).abs() > 1e-2 * a.abs().max(b.abs());
        match (self, other) {
            _ if self == other => true,
            (Self::Item(one), Self::Item(other)) => mark::is_one(one, other),
            (Self::Percent(a), Self::Percent(b)) | (Self::Voltage(a), Self::Voltage(b))
                if far(*a, *b) =>
            {
                false
            }
            _ => {
                std::mem::discriminant(self) == std::mem::discriminant(other)
                    && self.phrase() == other.phrase()
            }
        }
    }

    /// Whether it says what was tested, and not how: the same again by another method is the same thing,
    /// another pair of windings, current or burden is not. A voltage that is put on insulation says how
    /// hard it was tested.
    pub fn names_the_thing(&self, rule: &Rule) -> bool {
        let insulation = matches!(
            rule.kind,
            TestKind::Insulation
                | TestKind::Withstand
                | TestKind::InterTurn
                | TestKind::SingleEarth
        );
        match self {
            Self::Class(_)
            | Self::Sections(_)
            | Self::Loop(_)
            | Self::Burden(_)
            | Self::BurdenOfMain(_)
            | Self::Item(_)
            | Self::Phase(_) => true,
            Self::Voltage(_) | Self::Peak(_) | Self::Percent(_) => !insulation,
            // What more windings show holds for fewer; who compares looks at them.
            Self::Between(_)
            | Self::Multiple(_)
            | Self::CorrectedTo(_)
            | Self::ScaledByTurns
            | Self::ErrorOf(_)
            | Self::Impedance(..)
            | Self::Method(_)
            | Self::Interval(..)
            | Self::Against(_)
            | Self::InTimesOf(_)
            | Self::Counted(_)
            | Self::HeldFor(_) => false,
        }
    }

    /// How it is joined to what stands before it.
    fn joint(&self) -> &'static str {
        match self {
            Self::Percent(_)
            | Self::Multiple(_)
            | Self::Voltage(_)
            | Self::Peak(_)
            | Self::CorrectedTo(_)
            | Self::ErrorOf(_)
            | Self::Against(_)
            | Self::Method(_)
            | Self::HeldFor(_) => " ",
            Self::ScaledByTurns
            | Self::Impedance(..)
            | Self::Burden(_)
            | Self::BurdenOfMain(_)
            | Self::Class(_)
            | Self::Interval(..)
            | Self::Between(_)
            | Self::Sections(_)
            | Self::Loop(_)
            | Self::InTimesOf(_)
            | Self::Counted(_)
            | Self::Item(_)
            | Self::Phase(_) => ", ",
        }
    }

    /// As it is printed: `at 300 V`.
    pub fn phrase(&self) -> Phrase {
        let quantity = |si: f64, unit| Quantity::new(short(si), unit);
        match self {
            Self::Percent(percent) => say!("at {} of rated current", quantity(*percent, "%")),
            Self::Multiple(factor) => say!("at {} times rated current", quantity(*factor, "")),
            Self::Voltage(volt) => say!("at {}", volts(*volt)),
            Self::Peak(volt) => say!("at {} peak", volts(*volt)),
            Self::CorrectedTo(celsius) => say!("at {}", quantity(*celsius, "°C")),
            Self::ScaledByTurns => "scaled by turns".into(),
            Self::ErrorOf(percent) => say!("({})", quantity(*percent, "%")),
            Self::Impedance(ohm, factor) => {
                let ohm = Quantity::new(rounded(*ohm, 4), "ohm");
                say!("{}{}", ohm, at_factor(*factor))
            }
            Self::Burden(burden) => self::burden(burden),
            Self::BurdenOfMain(burden) => say!("the main CT with {}", self::burden(burden)),
            Self::Class(name) => say!("class {}", name.clone()),
            Self::Method(method) => say!("by {}", *method),
            Self::Interval(late, early) => {
                say!("{} to {}", quantity(*late, "s"), quantity(*early, "s"))
            }
            Self::Between(between) => between.clone().into(),
            Self::Sections(sections) => {
                let names = sections.iter().cloned().map(Phrase::terminals);
                Phrase::list(names, ", ", " and ")
            }
            Self::Against(visit) => say!("against the curve of {}", visit.clone()),
            Self::Loop(path) => path.name().into(),
            Self::InTimesOf(what) => say!("started at this many times {}", *what),
            Self::Counted(how) => (*how).into(),
            Self::HeldFor(second) => say!("for {}", quantity(*second, "s")),
            Self::Item(name) => name.clone().into(),
            Self::Phase(phase) => phase.name().into(),
        }
    }
}

/// `300 V`, `230 kV`: as plates and tables write a voltage that was chosen.
pub(super) fn volts(volt: f64) -> Quantity {
    let unit = unit::voltage(volt);
    brief(volt * unit.per_si, unit.word)
}

fn at_factor(factor: Option<f64>) -> Phrase {
    factor.map_or_else(Phrase::default, |factor| {
        say!(" at {}", Quantity::new(format!("{factor:.2}"), ""))
    })
}

/// `10 VA at 0.80`, `connected burden of 2.1 VA`.
pub fn burden(burden: &Burdened) -> Phrase {
    match burden {
        Burdened::Stated { va, power_factor } => {
            say!(
                "{}{}",
                Quantity::new(short(*va), "VA"),
                at_factor(*power_factor)
            )
        }
        Burdened::Designated(name) => name.clone().into(),
        Burdened::Connected { va: Some(va), .. } => {
            say!(
                "connected burden of {}",
                Quantity::new(rounded(*va, 2), "VA")
            )
        }
        Burdened::Connected { va: None, .. } => "connected burden".into(),
        Burdened::Shorted => "shorted secondary".into(),
        Burdened::Unknown => "burden not stated".into(),
    }
}

/// A title with the conditions behind it: `ratio error at 100 % of rated current, 10 VA`.
pub fn titled(title: &'static str, conditions: &[Condition]) -> Phrase {
    conditions
        .iter()
        .fold(Phrase::from(title), |said, condition| {
            said.then(condition.joint()).then(condition.phrase())
        })
}
