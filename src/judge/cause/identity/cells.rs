//! The numbers that a plate states of its cores and taps, each by itself, so that two plates can be held against each
//! other number by number.

use crate::document::{Phrase, Quantity, say};
use crate::ground::quantity::Quantity as Measured;
use crate::ground::span::{Given, Located, Span};
use crate::judge::doubts;
use crate::judge::finding::Resting;
use crate::judge::words::short;
use crate::record::core::{Core, Tap};
use crate::trade::{Burden, Class, Pair, Ratio};

/// What a number of a plate is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum What {
    Ratio,
    Accuracy,
    LimitFactor,
    Security,
    TerminalVoltage,
    Burden,
    Resistance,
    Knee,
    Exciting,
    /// The voltage that an exciting current is stated at, where that is not the knee.
    ExcitingAt,
}

impl What {
    /// What rests on it; of the ratio and the burden everything that is held against the plate.
    pub fn resting(self) -> Option<Resting> {
        match self {
            Self::Ratio | Self::Burden => None,
            Self::Accuracy | Self::LimitFactor | Self::Security | Self::TerminalVoltage => {
                Some(&doubts::OF_PLATE_CLASS)
            }
            Self::Resistance => Some(&doubts::OF_PLATE_RESISTANCE),
            Self::Knee => Some(&doubts::OF_PLATE_KNEE),
            Self::Exciting | Self::ExcitingAt => Some(&doubts::OF_PLATE_EXCITING),
        }
    }

    pub fn name(self) -> &'static str {
        match self {
            Self::Ratio => "rated primary current",
            Self::Accuracy => "class",
            Self::LimitFactor => "accuracy limit factor",
            Self::Security => "instrument security factor",
            Self::TerminalVoltage => "secondary terminal voltage",
            Self::Burden => "rated burden",
            Self::Resistance => "winding resistance",
            Self::Knee => "knee point e.m.f.",
            Self::Exciting => "exciting current",
            Self::ExcitingAt => "voltage of the exciting current",
        }
    }

    /// Whether more of it is easier to meet; `None` where neither is.
    fn more_is_looser(self) -> Option<bool> {
        match self {
            Self::Ratio => None,
            Self::Accuracy | Self::Security | Self::Resistance | Self::Exciting => Some(true),
            Self::LimitFactor
            | Self::TerminalVoltage
            | Self::Burden
            | Self::Knee
            | Self::ExcitingAt => Some(false),
        }
    }
}

/// A number of a plate.
#[derive(Clone, Debug)]
pub(super) struct Cell {
    pub core: usize,
    /// Terminals, where it is of one tap.
    pub tap: Option<(u8, u8)>,
    pub what: What,
    /// Which of several of a kind.
    order: usize,
    /// In SI.
    pub value: f64,
    /// In the unit that it is written in, a number for each of the SI unit.
    scale: f64,
    unit: &'static str,
    pub at: Span,
}

impl Cell {
    /// Whether it states the same thing on another plate.
    pub fn is(&self, other: &Self) -> bool {
        let key = |one: &Self| (one.core, one.tap, one.what, one.order);
        key(self) == key(other)
    }

    /// A value in the unit of this one.
    pub fn shown(&self, value: f64) -> Quantity {
        Quantity::new(short(value * self.scale), self.unit)
    }

    /// The number of a value as it would be written here.
    pub fn number(&self, value: f64) -> f64 {
        value * self.scale
    }

    /// Whether it is easier to meet than another value would be.
    pub fn is_looser_than(&self, value: f64) -> bool {
        let more = self.what.more_is_looser();
        more.is_some_and(|more| (self.value > value) == more)
    }

    /// `1S` or `1S1-1S2`
    pub fn of(&self, core: &Core) -> Phrase {
        match self.tap {
            Some((from, to)) => say!("{}", Phrase::terminals(core.pair_text(from, to))),
            None => core.name.clone().into(),
        }
    }

    /// The pair that it is of, where it is of one tap.
    pub fn pair(&self) -> Option<Pair> {
        let core = self.core;
        self.tap.map(|(from, to)| Pair { core, from, to })
    }
}

/// All numbers of a plate.
pub(super) fn cells(cores: &[Core]) -> Vec<Cell> {
    let all = cores.iter().enumerate();
    all.flat_map(|(at, core)| of_core(at, core)).collect()
}

/// Where the numbers of one core or of one of its taps go.
struct Sheet {
    core: usize,
    tap: Option<(u8, u8)>,
    cells: Vec<Cell>,
}

impl Sheet {
    fn number(&mut self, what: What, value: f64, at: Span) {
        self.push(what, value, 1.0, "", at);
    }

    fn quantity(&mut self, what: What, measured: &Measured, at: Span) {
        let scale = measured.number / measured.si;
        let unit = measured.unit.canonical.as_str();
        self.push(what, measured.si, scale, unit, at);
    }

    fn given(&mut self, what: What, given: &Given<Measured>) {
        if let Some(Located { value, span }) = given.get() {
            self.quantity(what, value, *span);
        }
    }

    /// A ratio by its primary current, as it stands in its row.
    fn ratio(&mut self, ratio: &Given<Ratio>, row: Span) {
        if let Some(ratio) = ratio.value() {
            self.push(What::Ratio, ratio.value(), ratio.secondary, "A", row);
        }
    }

    fn burden(&mut self, burden: &Given<Burden>) {
        let Some(Located { value, span }) = burden.get() else {
            return;
        };
        match value {
            Burden::Power { va, .. } | Burden::Range { va, .. } => {
                self.quantity(What::Burden, va, *span);
            }
            Burden::Impedance { ohm, .. } => self.quantity(What::Burden, ohm, *span),
            Burden::Designation(_) | Burden::Connected | Burden::Shorted => {}
        }
    }

    fn class(&mut self, class: &Given<Class>) {
        let Some(Located { value, span }) = class.get() else {
            return;
        };
        match value {
            Class::Measuring { name, security, .. } => {
                self.accuracy(name, *span);
                if let Some(factor) = security {
                    self.number(What::Security, *factor, *span);
                }
            }
            Class::Protection {
                composite,
                limit_factor,
                ..
            } => {
                self.number(What::Accuracy, f64::from(*composite), *span);
                self.number(What::LimitFactor, *limit_factor, *span);
            }
            Class::IeeeMetering { name, .. } => self.accuracy(name, *span),
            Class::IeeeRelay { volts, .. } => {
                self.push(What::TerminalVoltage, *volts, 1.0, "V", *span)
            }
            Class::Knee { .. } | Class::Transient(_) | Class::Other(_) => {}
        }
    }

    fn accuracy(&mut self, name: &str, at: Span) {
        let digits = name.trim_end_matches(|letter: char| letter.is_ascii_alphabetic());
        if let Ok(value) = digits.parse() {
            self.number(What::Accuracy, value, at);
        }
    }

    fn push(&mut self, what: What, value: f64, scale: f64, unit: &'static str, at: Span) {
        let order = self.cells.iter().filter(|one| one.what == what).count();
        if value.is_finite() && value > 0.0 && scale.is_finite() {
            self.cells.push(Cell {
                core: self.core,
                tap: self.tap,
                what,
                order,
                value,
                scale,
                unit,
                at,
            });
        }
    }
}

fn of_core(at: usize, core: &Core) -> Vec<Cell> {
    let mut sheet = Sheet {
        core: at,
        tap: None,
        cells: Vec::new(),
    };
    sheet.class(&core.class);
    sheet.burden(&core.burden);
    if let Some(Located { value, span }) = core.resistance.get() {
        sheet.quantity(What::Resistance, &value.value, *span);
    }
    sheet.given(What::Knee, &core.knee);
    let knee = core.knee.value().map(|knee| knee.si);
    for Located { value, span } in &core.exciting {
        sheet.quantity(What::Exciting, &value.value, *span);
        // One that goes with the knee is no number of its own.
        if knee.is_none_or(|knee| (value.at.si / knee - 1.0).abs() > 1e-6) {
            sheet.quantity(What::ExcitingAt, &value.at, *span);
        }
    }
    let taps = core.taps.iter().flat_map(|tap| of_tap(at, tap));
    sheet.cells.into_iter().chain(taps).collect()
}

fn of_tap(core: usize, tap: &Tap) -> Vec<Cell> {
    let mut sheet = Sheet {
        core,
        tap: Some((tap.from, tap.to)),
        cells: Vec::new(),
    };
    sheet.ratio(&tap.ratio, tap.span);
    sheet.class(&tap.class);
    sheet.burden(&tap.burden);
    sheet.given(What::Knee, &tap.knee);
    sheet.given(What::Exciting, &tap.exciting);
    sheet.given(What::Resistance, &tap.resistance);
    sheet.cells
}

/// The letters of a class, by which two that differ in a number only are of one kind.
pub(super) fn kind_of_class(core: &Core) -> Option<String> {
    let class = core.class.value()?.text();
    Some(class.chars().filter(char::is_ascii_alphabetic).collect())
}
