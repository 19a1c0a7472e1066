//! `criteria.toml`: the client's and the job's own limits, and the rule by which verdicts are given.

use super::instruments::{config, toml_error};
use super::parse::{self, Piece};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::ground::unit::Dimension;
use serde::Deserialize;
use toml::Spanned;

/// How a verdict is reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DecisionRule {
    /// On the allowed side of the limit or not; up to 50 % risk at the limit.
    SimpleAcceptance,
    /// Guard band w = factor times U.
    GuardBand { factor: f64 },
}

/// The least insulation resistances that a job asks for.
#[derive(Clone, Debug, PartialEq, Default)]
pub enum InsulationProfile {
    /// IEC states no limit, so there is none unless a profile is named.
    #[default]
    None,
    /// A published table by its name.
    Table(String),
    /// The client's own, in ohm, with the name that is printed.
    Client {
        name: String,
        primary: Option<f64>,
        core: Option<f64>,
    },
}

/// What verdicts are given by.
#[derive(Clone, Debug, PartialEq)]
pub struct Criteria {
    /// Name of the file; empty when there is none and the defaults hold.
    pub file: String,
    pub rule: DecisionRule,
    /// Coverage factor k.
    pub k: f64,
    pub insulation: InsulationProfile,
    /// Tolerance of the turns ratio by voltage where the class states none, per cent.
    pub turns: Option<f64>,
    /// Spread between sister phases called worth a look, per cent.
    pub resistance_phases: Option<f64>,
    /// Deviation from the last visit or the maker's value called worth a look, per cent.
    pub resistance_history: Option<f64>,
    /// Highest voltage at open terminals that the job allows while exciting, volt.
    pub open_voltage: Option<f64>,
    /// Share of the knee that a voltage-method ratio test may use, per cent.
    pub ratio_share_of_knee: f64,
    /// Use the other published temperature constant (235 °C for copper under IEC, 225/228 for aluminium).
    pub alternative_constant: bool,
}

impl Default for Criteria {
    fn default() -> Self {
        Self {
            file: String::new(),
            rule: DecisionRule::GuardBand { factor: 1.0 },
            k: 2.0,
            insulation: InsulationProfile::None,
            turns: None,
            resistance_phases: None,
            resistance_history: None,
            open_voltage: None,
            ratio_share_of_knee: 70.0,
            alternative_constant: false,
        }
    }
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct FileText {
    decision: DecisionText,
    insulation: InsulationText,
    ratio: RatioText,
    resistance: ResistanceText,
    excitation: ExcitationText,
    burden: BurdenText,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct DecisionText {
    rule: Option<Spanned<String>>,
    guard: Option<Spanned<f64>>,
    k: Option<Spanned<f64>>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct InsulationText {
    profile: Option<Spanned<String>>,
    client: Option<ClientText>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct ClientText {
    name: String,
    primary: Option<Spanned<String>>,
    core: Option<Spanned<String>>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct RatioText {
    turns: Option<Spanned<String>>,
    share_of_knee: Option<Spanned<String>>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct ResistanceText {
    phases: Option<Spanned<String>>,
    history: Option<Spanned<String>>,
    alternative_constant: bool,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct ExcitationText {
    open_voltage: Option<Spanned<String>>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct BurdenText {}

/// Published insulation tables that can be named.
pub const PROFILES: &[&str] = &["none", "neta-100.1", "neta-100.5", "client"];

/// Reads the file; what cannot be read keeps its default and is told.
pub fn read(source: &Source) -> (Criteria, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let default = Criteria {
        file: source.name.clone(),
        ..Criteria::default()
    };
    let text: FileText = match toml::from_str(&source.text) {
        Ok(text) => text,
        Err(error) => return (default, vec![toml_error(&error)]),
    };
    let BurdenText {} = text.burden;
    let mut read =
        |text: &Option<Spanned<String>>, dimension: Dimension, of: &str| -> Option<f64> {
            let text = text.as_ref()?;
            match parse::quantity(
                Piece::new(text.get_ref(), text.span().start + 1),
                dimension,
                of,
            ) {
                Ok(quantity) if quantity.si > 0.0 => Some(quantity.si),
                Ok(_) => {
                    found.push(config(
                        span(text),
                        format!("`{of}` must be above zero"),
                        "write a positive value",
                    ));
                    None
                }
                Err(told) => {
                    found.push(told);
                    None
                }
            }
        };
    let client = text.insulation.client.unwrap_or_default();
    let own = InsulationProfile::Client {
        name: client.name,
        primary: read(&client.primary, Dimension::Resistance, "primary"),
        core: read(&client.core, Dimension::Resistance, "core"),
    };
    let criteria = Criteria {
        turns: read(&text.ratio.turns, Dimension::Percent, "turns"),
        ratio_share_of_knee: read(
            &text.ratio.share_of_knee,
            Dimension::Percent,
            "share_of_knee",
        )
        .unwrap_or(default.ratio_share_of_knee),
        resistance_phases: read(&text.resistance.phases, Dimension::Percent, "phases"),
        resistance_history: read(&text.resistance.history, Dimension::Percent, "history"),
        open_voltage: read(
            &text.excitation.open_voltage,
            Dimension::Voltage,
            "open_voltage",
        ),
        alternative_constant: text.resistance.alternative_constant,
        ..default
    };
    let rule = rule(&text.decision, &mut found);
    let k = factor(text.decision.k.as_ref(), "k", 2.0, &mut found);
    let insulation = profile(text.insulation.profile.as_ref(), own, &mut found);
    (
        Criteria {
            rule,
            k,
            insulation,
            ..criteria
        },
        found,
    )
}

fn span<T>(text: &Spanned<T>) -> Span {
    Span::new(text.span().start, text.span().end)
}

fn factor(text: Option<&Spanned<f64>>, of: &str, default: f64, found: &mut Vec<Diagnostic>) -> f64 {
    match text {
        None => default,
        Some(value) if (0.0..=10.0).contains(value.get_ref()) => *value.get_ref(),
        Some(value) => {
            found.push(config(
                span(value),
                format!("`{of}` must lie between 0 and 10"),
                "the usual values are guard = 1 and k = 2",
            ));
            default
        }
    }
}

fn rule(text: &DecisionText, found: &mut Vec<Diagnostic>) -> DecisionRule {
    let factor = factor(text.guard.as_ref(), "guard", 1.0, found);
    match text.rule.as_ref().map(|rule| rule.get_ref().as_str()) {
        None | Some("guard band") => DecisionRule::GuardBand { factor },
        Some("simple acceptance") => DecisionRule::SimpleAcceptance,
        Some(other) => {
            let at = text.rule.as_ref().map(span).unwrap_or_default();
            found.push(config(
                at,
                format!("there is no decision rule `{other}`"),
                "write \"guard band\" or \"simple acceptance\"",
            ));
            DecisionRule::GuardBand { factor }
        }
    }
}

fn profile(
    text: Option<&Spanned<String>>,
    own: InsulationProfile,
    found: &mut Vec<Diagnostic>,
) -> InsulationProfile {
    match text.map(|name| name.get_ref().as_str()) {
        None | Some("none") => InsulationProfile::None,
        Some("client") => own,
        Some(name) if PROFILES.contains(&name) => InsulationProfile::Table(name.to_owned()),
        Some(name) => {
            let at = text.map(span).unwrap_or_default();
            found.push(config(
                at,
                format!("there is no insulation profile `{name}`"),
                "write \"none\", \"neta-100.1\", \"neta-100.5\" or \"client\"",
            ));
            InsulationProfile::None
        }
    }
}
