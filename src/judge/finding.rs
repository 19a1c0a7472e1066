//! Findings: one value of one test with what it is held against and what came of it.

use super::decision::{Requirement, WhyNot, Word};
use crate::derive::workings::Value;
use crate::ground::span::Span;
use crate::record::kinds::TestKind;
use crate::record::value::Pair;
use crate::standards::Cited;

/// The words of the report. Only the first four lie on one line; the others say why there is none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    Word(Word),
    /// One-sided: the method can show that a requirement is not met, and it is not.
    NotMet,
    /// The readings end before the answer; neither pass nor fail. Says what readings are needed.
    NotShown(String),
    /// No word by this method, and why.
    NotDecided(WhyNot),
    /// Reported without a verdict: no limit is known.
    NoLimit,
    /// Reported without a verdict: the section or a value it needs was not understood or is missing.
    NotJudged(String),
    /// Not a value but an observation that needs action.
    Observed(Weight),
}

/// How much an observation without a limit weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// For information.
    Information,
    /// Deserves a look.
    Doubt,
    /// Something is wrong.
    Defect,
}

/// Whose verdict it is. A perfect CT on too long a lead is not a defective CT.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Whose {
    /// The transformer itself.
    Ct,
    /// The circuit it serves.
    Circuit,
    /// The way it was measured.
    Work,
}

/// What a value turned out to be.
#[derive(Clone, Copy, Debug)]
pub enum Found {
    Known(Value),
    AtLeast(Value),
    AtMost(Value),
    /// Not reached up to here.
    NotReached {
        beyond: Value,
    },
    /// There is no number.
    Nothing,
}

impl Found {
    /// The number, whichever side of the truth it is.
    pub fn value(&self) -> Option<Value> {
        match self {
            Self::Known(value)
            | Self::AtLeast(value)
            | Self::AtMost(value)
            | Self::NotReached { beyond: value } => Some(*value),
            Self::Nothing => None,
        }
    }
}

/// The unit that a value is shown in: its word, and how many of it make one SI unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    pub word: &'static str,
    pub per_si: f64,
}

/// Units of findings. Angles are kept in radian, percentages in per cent.
pub mod unit {
    use super::Unit;
    pub const VOLT: Unit = Unit {
        word: "V",
        per_si: 1.0,
    };
    pub const MILLIVOLT: Unit = Unit {
        word: "mV",
        per_si: 1e3,
    };
    pub const AMPERE: Unit = Unit {
        word: "A",
        per_si: 1.0,
    };
    pub const MILLIAMPERE: Unit = Unit {
        word: "mA",
        per_si: 1e3,
    };
    pub const OHM: Unit = Unit {
        word: "ohm",
        per_si: 1.0,
    };
    pub const MILLIOHM: Unit = Unit {
        word: "mohm",
        per_si: 1e3,
    };
    pub const MEGOHM: Unit = Unit {
        word: "Mohm",
        per_si: 1e-6,
    };
    pub const GIGAOHM: Unit = Unit {
        word: "Gohm",
        per_si: 1e-9,
    };
    pub const PERCENT: Unit = Unit {
        word: "%",
        per_si: 1.0,
    };
    pub const MINUTE_OF_ARC: Unit = Unit {
        word: "arcmin",
        per_si: 10_800.0 / std::f64::consts::PI,
    };
    pub const CENTIRADIAN: Unit = Unit {
        word: "crad",
        per_si: 100.0,
    };
    pub const DEGREE: Unit = Unit {
        word: "deg",
        per_si: 180.0 / std::f64::consts::PI,
    };
    pub const VOLT_AMPERE: Unit = Unit {
        word: "VA",
        per_si: 1.0,
    };
    pub const SECOND: Unit = Unit {
        word: "s",
        per_si: 1.0,
    };
    pub const MILLISECOND: Unit = Unit {
        word: "ms",
        per_si: 1e3,
    };
    pub const HERTZ: Unit = Unit {
        word: "Hz",
        per_si: 1.0,
    };
    pub const HENRY: Unit = Unit {
        word: "H",
        per_si: 1.0,
    };
    pub const ONE: Unit = Unit {
        word: "",
        per_si: 1.0,
    };

    /// Ampere or milliampere, whichever reads better.
    pub fn current(si: f64) -> Unit {
        if si.abs() < 1.0 { MILLIAMPERE } else { AMPERE }
    }
}

/// What a value is held against.
#[derive(Clone, Debug)]
pub struct Against {
    /// In the SI unit of the value. For an error that may go either way: `upper` of its magnitude.
    pub requirement: Requirement,
    /// The value's magnitude is judged, not the signed value.
    pub magnitude: bool,
    pub cited: Cited,
    /// Where the plate or the duty states it.
    pub span: Option<Span>,
    /// A verdict needs an uncertainty (measuring classes, the turns ratio of PX).
    pub needs_u: bool,
}

/// One finding.
#[derive(Clone, Debug)]
pub struct Finding {
    /// Stable name of the rule: `ratio-error`, `knee-emf`.
    pub rule: &'static str,
    pub test: TestKind,
    /// Index of the test section in the visit; `None` for what no section holds (a duty).
    pub section: Option<usize>,
    pub core: Option<usize>,
    pub pair: Option<Pair>,
    pub whose: Whose,
    /// What was found, without the number: "ratio error at 100 % of rated current, 10 VA".
    pub what: String,
    pub found: Found,
    pub unit: Unit,
    pub against: Option<Against>,
    pub verdict: Verdict,
    /// Remarks that belong beside the value: bias, method, the other sum.
    pub remarks: Vec<String>,
    /// What to do next when it is not good.
    pub next: Option<String>,
    /// Readings and plate values it speaks of, the reading first.
    pub points_at: Vec<Span>,
    /// Whether it heads the matrix and the summary of its test.
    pub headline: bool,
}

impl Finding {
    /// A finding without limit; the judge of the test fills in the rest.
    pub fn new(
        rule: &'static str,
        test: TestKind,
        whose: Whose,
        what: impl Into<String>,
        found: Found,
        unit: Unit,
    ) -> Self {
        Self {
            rule,
            test,
            section: None,
            core: None,
            pair: None,
            whose,
            what: what.into(),
            found,
            unit,
            against: None,
            verdict: Verdict::NoLimit,
            remarks: Vec::new(),
            next: None,
            points_at: Vec::new(),
            headline: false,
        }
    }

    #[must_use]
    pub fn at(mut self, section: usize, pair: Pair, points_at: Vec<Span>) -> Self {
        self.section = Some(section);
        self.core = Some(pair.core);
        self.pair = Some(pair);
        self.points_at = points_at;
        self
    }

    #[must_use]
    pub fn remark(mut self, remark: impl Into<String>) -> Self {
        self.remarks.push(remark.into());
        self
    }

    #[must_use]
    pub fn next(mut self, next: impl Into<String>) -> Self {
        self.next = Some(next.into());
        self
    }

    #[must_use]
    pub fn headline(mut self) -> Self {
        self.headline = true;
        self
    }

    /// What it comes to, for summaries.
    pub fn grade(&self) -> Grade {
        match &self.verdict {
            Verdict::Word(Word::Pass) => Grade::Good,
            Verdict::Word(Word::ConditionalPass) => Grade::Good,
            Verdict::Word(Word::ConditionalFail) => Grade::Doubt,
            Verdict::Word(Word::Fail) | Verdict::NotMet => Grade::Bad,
            Verdict::NotShown(_) | Verdict::NotDecided(_) => Grade::Open,
            Verdict::NotJudged(_) => Grade::Open,
            Verdict::NoLimit => Grade::Plain,
            Verdict::Observed(Weight::Information) => Grade::Plain,
            Verdict::Observed(Weight::Doubt) => Grade::Doubt,
            Verdict::Observed(Weight::Defect) => Grade::Bad,
        }
    }
}

/// A finding's place in a summary, worst last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grade {
    /// Reported, nothing to say for or against.
    Plain,
    /// Within its limit.
    Good,
    /// Neither shown good nor bad.
    Open,
    /// Deserves a look: conditional fail, or an observation.
    Doubt,
    /// Outside its limit.
    Bad,
}

impl Grade {
    /// The word, the same on every surface.
    pub fn word(self) -> &'static str {
        match self {
            Self::Plain => "info",
            Self::Good => "pass",
            Self::Open => "open",
            Self::Doubt => "review",
            Self::Bad => "fails",
        }
    }
}
