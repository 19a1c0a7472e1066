//! The register of rules: everything a finding can be about, once. A finding points at its rule;
//! what the rule means, why it matters and what to do is said here and nowhere else.

pub mod burden;
pub mod continuity;
pub mod demagnetisation;
pub mod dissipation_factor;
pub mod duty;
pub mod excitation;
pub mod injection;
pub mod inspection;
pub mod insulation;
pub mod inter_turn;
pub mod load;
pub mod partial_discharge;
pub mod polarity;
pub mod primary_resistance;
pub mod protection;
pub mod ratio;
pub mod ratio_setting;
pub mod resistance;
pub mod restored;
pub mod self_check;
pub mod single_earth;
pub mod stability;
pub mod state;
pub mod test_links;
pub mod type_test;
pub mod withstand;

use crate::record::kinds::TestKind;

/// Whose finding it is. A perfect CT on too long a lead is not a defective CT.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize,
)]
pub enum Whose {
    /// The transformer itself.
    Transformer,
    /// The circuit it serves.
    Circuit,
    /// The way it was measured.
    Measurement,
}

impl Whose {
    /// The word in JSON and in the manual.
    pub fn word(self) -> &'static str {
        match self {
            Self::Transformer => "transformer",
            Self::Circuit => "circuit",
            Self::Measurement => "measurement",
        }
    }
}

/// One rule: what is looked at, and what comes of it.
#[derive(Debug)]
pub struct Rule {
    /// Stable name in kebab case: `ratio-error`. Never reused for another meaning.
    pub id: &'static str,
    /// The kind of test whose part of the report shows its findings.
    pub kind: TestKind,
    pub whose: Whose,
    /// The quantity or observation, as a finding's line begins.
    pub title: &'static str,
    /// What the rule looks at.
    pub means: &'static str,
    /// Why it matters.
    pub matters: &'static str,
    /// What to do when it is not good; empty where a finding is only information.
    pub action: &'static str,
    /// Published source; "common practice, no source" or "from memory" where that is the truth.
    pub source: &'static str,
}

impl PartialEq for Rule {
    /// Each stands once, in the register.
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self, other)
    }
}

impl Eq for Rule {}

/// Declares the rules of one part of the register, by kind of test and by whose they are.
macro_rules! rules {
    ($($kind:ident, $whose:ident {
        $($name:ident = $id:literal { $($field:ident: $text:expr,)* })*
    })*) => {
        $($(
            pub static $name: $crate::judge::rules::Rule = $crate::judge::rules::Rule {
                id: $id,
                kind: $crate::record::kinds::TestKind::$kind,
                whose: $crate::judge::rules::Whose::$whose,
                $($field: $text,)*
            };
        )*)*
        /// The rules of this part.
        pub(super) static RULES: &[&$crate::judge::rules::Rule] = &[$($(&$name,)*)*];
    };
}
use rules;

/// All rules, in the order of a report.
pub fn all() -> impl Iterator<Item = &'static Rule> {
    let parts = [
        inspection::RULES,
        state::RULES,
        self_check::RULES,
        insulation::RULES,
        withstand::RULES,
        inter_turn::RULES,
        partial_discharge::RULES,
        dissipation_factor::RULES,
        type_test::RULES,
        primary_resistance::RULES,
        resistance::RULES,
        demagnetisation::RULES,
        excitation::RULES,
        protection::RULES,
        ratio::RULES,
        polarity::RULES,
        burden::RULES,
        duty::RULES,
        continuity::RULES,
        single_earth::RULES,
        test_links::RULES,
        ratio_setting::RULES,
        injection::RULES,
        load::RULES,
        stability::RULES,
        restored::RULES,
    ];
    parts.into_iter().flatten().copied()
}
