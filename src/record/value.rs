//! Values as a record holds them, and the lines that speak of other lines.

use crate::ground::date::{Date, Moment};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::trade::{
    Between, Burden, Class, Insulation, Metal, Neutral, PairName, PlateStandard, PrimaryMarks,
    Ratio, Service,
};

/// A measured or plate value at a condition: `3.40 ohm at 75 C`, `30 mA at 1000 V`.
#[derive(Clone, Copy, Debug)]
pub struct At {
    pub value: Quantity,
    pub at: Quantity,
}

/// A value of any kind, as the generic reader hands it to the typed ones.
#[derive(Clone, Debug)]
pub enum Datum {
    Text(String),
    Quantity(Quantity),
    Number(f64),
    Pair(PairName),
    Terminals(Vec<Located<String>>),
    Ratio(Ratio),
    Class(Class),
    Burden(Burden),
    At(At),
    Between(Between),
    Choice(&'static str),
    Core(String),
    Moment(Moment),
}

impl Datum {
    /// The number that it is, whatever its unit; of a value at a condition that of the value.
    pub fn number(&self) -> Option<f64> {
        match self {
            Self::Quantity(quantity) => Some(quantity.number),
            Self::Number(number) => Some(*number),
            Self::At(at) => Some(at.value.number),
            Self::Burden(burden) => burden.number(),
            Self::Text(_)
            | Self::Pair(_)
            | Self::Terminals(_)
            | Self::Ratio(_)
            | Self::Class(_)
            | Self::Between(_)
            | Self::Choice(_)
            | Self::Core(_)
            | Self::Moment(_) => None,
        }
    }
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

/// What was not done, and why. The scope is looked up when tests and cores are known.
#[derive(Clone, Debug)]
pub struct Omission {
    /// The words between `not done` and the colon.
    pub scope: Located<String>,
    pub why: String,
    pub span: Span,
}

/// A type that a datum can be asked for.
pub trait Held: Sized {
    /// The value, when the datum is of this type.
    fn held(datum: &Datum) -> Option<Self>;
}

macro_rules! held {
    ($($variant:ident($type:ty);)*) => {$(
        impl Held for $type {
            fn held(datum: &Datum) -> Option<Self> {
                if let Datum::$variant(value) = datum { Some(value.clone()) } else { None }
            }
        }
    )*};
}

held! {
    Quantity(Quantity);
    Number(f64);
    Pair(PairName);
    Terminals(Vec<Located<String>>);
    Ratio(Ratio);
    Class(Class);
    Burden(Burden);
    At(At);
    Between(Between);
    Moment(Moment);
}

impl Held for String {
    fn held(datum: &Datum) -> Option<Self> {
        match datum {
            Datum::Text(text) | Datum::Core(text) => Some(text.clone()),
            _ => None,
        }
    }
}

impl Held for PlateStandard {
    fn held(datum: &Datum) -> Option<Self> {
        String::held(datum).map(|text| Self::read(&text))
    }
}

/// Declares enums whose words a key may have as its value.
macro_rules! choices {
    ($($(#[$meta:meta])* pub enum $type:ident $variants:tt)*) => {
        $(
            #[derive(Clone, Copy, Debug, PartialEq, Eq, strum::EnumString, strum::VariantNames)]
            $(#[$meta])*
            pub enum $type $variants
        )*
        $crate::record::value::choices!($($type),*);
    };
    ($($type:ty),*) => {$(
        impl $crate::record::value::Held for $type {
            fn held(datum: &$crate::record::value::Datum) -> Option<Self> {
                match datum {
                    $crate::record::value::Datum::Choice(word) => word.parse().ok(),
                    _ => None,
                }
            }
        }
    )*};
}
pub(super) use choices;

choices! {
    /// The answer of who was there.
    #[strum(serialize_all = "lowercase")]
    pub enum YesNo {
        Yes,
        No,
    }
}

choices!(Metal, Insulation, Neutral, PrimaryMarks, Service);

/// What is asked for out of what was written.
pub fn held<T: Held>(given: Option<&Given<Datum>>) -> Given<T> {
    match given {
        None | Some(Given::Missing) => Given::Missing,
        Some(Given::Unreadable(span)) => Given::Unreadable(*span),
        Some(Given::Written(Located { value, span })) => match T::held(value) {
            Some(value) => Given::Written(Located::new(value, *span)),
            None => Given::Unreadable(*span),
        },
    }
}
