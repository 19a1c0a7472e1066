//! `criteria.toml`: the client's and the job's own limits, and the rule by which verdicts are given.

use super::config::{self, Text, span};
use super::due::{self, Due, DueText};
use crate::ground::date::Date;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::nearest::nearest;
use crate::ground::source::Source;
use crate::ground::unit::Dimension;
use crate::standards::{CITED, Cited, Provenance, threshold};
use serde::Deserialize;
use std::sync::Arc;
use toml::Spanned;

/// How a verdict is reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DecisionRule {
    /// On the allowed side of the limit or not; up to 50 % risk at the limit.
    SimpleAcceptance,
    /// Guard band w = factor times U.
    GuardBand { factor: f64 },
}

/// At which temperature a client's least insulation resistance holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum MinimumAt {
    /// The job does not say.
    #[default]
    Unstated,
    AsRead,
    /// Corrected to 20 °C.
    Reference,
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
        at: MinimumAt,
    },
}

/// What verdicts are given by.
#[derive(Clone, Debug, PartialEq)]
pub struct Criteria {
    /// Name of the file; empty when there is none and the defaults hold.
    pub file: String,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// Something in it could not be read, so that the defaults hold and nothing passes.
    pub broken: bool,
    pub rule: DecisionRule,
    /// Coverage factor k.
    pub k: f64,
    /// The job states k itself: then it holds however few readings there are.
    pub k_fixed: bool,
    pub insulation: InsulationProfile,
    /// Tolerance of the turns ratio by voltage where the class states none, per cent.
    pub turns: Option<f64>,
    /// Spread between sister phases called worth a look, per cent.
    pub resistance_phases: Option<f64>,
    /// Deviation from the last visit or the maker's value called worth a look, per cent.
    pub resistance_history: Option<f64>,
    /// Most dissipation factor of the primary's insulation, per cent.
    pub dissipation_factor: Option<f64>,
    /// Change of its capacitance since an earlier visit called worth a look, per cent.
    pub capacitance_change: Option<f64>,
    /// Highest voltage at open terminals that the job allows while exciting, volt.
    pub open_voltage: Option<f64>,
    /// Share of the knee that a voltage-method ratio test may use, per cent, where the job states one.
    pub ratio_share_of_knee: Option<f64>,
    /// The most that a secondary loop may read, ohm.
    pub circuit_loop: Option<f64>,
    /// The least insulation resistance of a circuit, ohm.
    pub circuit_insulation: Option<f64>,
    /// Of circuits in service.
    pub service: Service,
    /// Use the other published temperature constant (235 °C for copper under IEC, 225/228 for aluminium).
    pub alternative_constant: bool,
    /// Limits that somebody held against an own copy of their source.
    pub checked: Vec<Checked>,
    /// What the client asks for at a visit, in place of the program's own table.
    pub due: Arc<Due>,
}

/// What a job allows of the readings of a circuit in service.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Service {
    /// Error of what a relay or meter shows of the current that it is fed, per cent.
    pub reading_error: Option<f64>,
    /// Deviation of a current on load from the primary one, per cent.
    pub current_error: Option<f64>,
    /// How far an angle on load may be off, radian.
    pub angle_error: Option<f64>,
    /// Neutral current, per cent of the mean phase current.
    pub neutral: Option<f64>,
    /// Operating current of a stable zone, per cent of the restraining one.
    pub operate: Option<f64>,
}

/// A limit of the tables that was held against an own copy of its source.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Checked {
    /// The row's name; `None` where every row of the source was checked.
    pub limit: Option<String>,
    /// An older standard may carry a row under a source of its own: that is another check.
    pub source: String,
    pub by: String,
    pub on: Date,
}

impl Default for Criteria {
    fn default() -> Self {
        Self {
            file: String::new(),
            sha256: String::new(),
            broken: false,
            rule: DecisionRule::GuardBand { factor: 1.0 },
            k: 2.0,
            k_fixed: false,
            insulation: InsulationProfile::None,
            turns: None,
            resistance_phases: None,
            resistance_history: None,
            dissipation_factor: None,
            capacitance_change: None,
            open_voltage: None,
            ratio_share_of_knee: None,
            circuit_loop: None,
            circuit_insulation: None,
            service: Service::default(),
            alternative_constant: false,
            checked: Vec::new(),
            due: Arc::default(),
        }
    }
}

impl Criteria {
    /// The defaults, in place of a file that was not understood.
    pub fn not_read(source: &Source) -> Self {
        Self {
            file: source.name.clone(),
            sha256: source.sha256.clone(),
            broken: true,
            ..Self::default()
        }
    }

    /// Share of the knee that a voltage-method ratio test may use, per cent: the job's, or the default.
    #[must_use]
    pub fn share_of_knee(&self) -> f64 {
        let usual = || threshold("ratio-share-of-knee").map(|row| row.limit);
        self.ratio_share_of_knee.or_else(usual).unwrap_or(0.0)
    }

    /// A limit of the job's own, as a page cites it. Its file stands where the files are listed.
    #[must_use]
    pub fn own(row: &str, what: &str) -> Cited {
        Cited::stated(
            format!("criteria-{row}"),
            format!("criteria of the job: {what}"),
        )
    }

    /// How the figure of a limit is known: `from memory`, or who checked it and when.
    #[must_use]
    pub fn how_known(&self, cited: &Cited) -> String {
        let is_it = |one: &&Checked| {
            let own = one.limit.as_ref().is_none_or(|limit| *limit == cited.id);
            own && one.source == cited.source
        };
        match self.checked.iter().find(is_it) {
            Some(Checked { by, on, .. }) => format!("checked against own copy, {by}, {on}"),
            None => cited.how_known(),
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
    dissipation: DissipationText,
    excitation: ExcitationText,
    burden: BurdenText,
    circuit: CircuitText,
    service: ServiceText,
    checked: Vec<Spanned<CheckedText>>,
    due: DueText,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct DecisionText {
    rule: Text,
    guard: Option<Spanned<f64>>,
    k: Option<Spanned<f64>>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct InsulationText {
    profile: Text,
    client: Option<Spanned<ClientText>>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct ClientText {
    name: String,
    primary: Text,
    core: Text,
    at: Text,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct RatioText {
    turns: Text,
    share_of_knee: Text,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct ResistanceText {
    phases: Text,
    history: Text,
    alternative_constant: bool,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct DissipationText {
    factor: Text,
    capacitance_change: Text,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct ExcitationText {
    open_voltage: Text,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct BurdenText {}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct CircuitText {
    loop_resistance: Text,
    insulation: Text,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct ServiceText {
    reading_error: Text,
    current_error: Text,
    angle_error: Text,
    neutral: Text,
    operate: Text,
}

/// `limits` names rows, `sources` all rows of a clause or table.
#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct CheckedText {
    limits: Vec<Spanned<String>>,
    sources: Vec<Spanned<String>>,
    by: String,
    on: Option<Spanned<toml::value::Datetime>>,
}

/// Published insulation tables that can be named.
pub const PROFILES: &[&str] = &["none", "neta-100.1", "neta-100.5", "client"];

/// What is so wide that nothing would be beyond it is told as no limit.
fn sensible(text: &ServiceText, service: &Service, found: &mut Vec<Diagnostic>) {
    let mut tell = |is_wide: bool, text: &Text, title: &str, help: &str| {
        if is_wide {
            let at = text.as_ref().map(span).unwrap_or_default();
            found.push(config::fault(at, title.to_owned(), help));
        }
    };
    let most = threshold("angle-error-most").map(|row| row.limit.to_radians());
    let is_wide = service.angle_error.zip(most);
    tell(
        is_wide.is_some_and(|(angle, most)| angle > most * (1.0 + 1e-9)),
        &text.angle_error,
        "`angle_error` above 45 deg is no limit",
        "write how far an angle on load may be off its place: a few degrees",
    );
    tell(
        service.operate.is_some_and(|share| share >= 100.0),
        &text.operate,
        "`operate` of 100 % or more is no limit",
        "write what a stable zone may operate by, as a share of what restrains it: a few per cent",
    );
}

/// Reads the file, as a whole or not at all.
pub fn read(source: &Source) -> (Criteria, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let default = Criteria {
        file: source.name.clone(),
        sha256: source.sha256.clone(),
        ..Criteria::default()
    };
    let text: FileText = match config::tables(source) {
        Ok(text) => text,
        Err(told) => return (Criteria::not_read(source), told),
    };
    let BurdenText {} = text.burden;
    let none = ClientText::default();
    let client = text.insulation.client.as_ref();
    let client = client.map_or(&none, Spanned::get_ref);
    let at = minimum_at(&client.at, &mut found);
    let mut read = |text: &Text, dimension: Dimension, of: &str| {
        let value = config::quantity(text.as_ref(), dimension, of, &mut found)?;
        if value > 0.0 {
            return Some(value);
        }
        let at = text.as_ref().map(span).unwrap_or_default();
        let title = format!("`{of}` must be above zero");
        found.push(config::fault(at, title, "write a positive value"));
        None
    };
    let own = InsulationProfile::Client {
        name: client.name.clone(),
        primary: read(&client.primary, Dimension::Resistance, "primary"),
        core: read(&client.core, Dimension::Resistance, "core"),
        at,
    };
    let criteria = Criteria {
        turns: read(&text.ratio.turns, Dimension::Percent, "turns"),
        ratio_share_of_knee: read(
            &text.ratio.share_of_knee,
            Dimension::Percent,
            "share_of_knee",
        ),
        resistance_phases: read(&text.resistance.phases, Dimension::Percent, "phases"),
        resistance_history: read(&text.resistance.history, Dimension::Percent, "history"),
        dissipation_factor: read(&text.dissipation.factor, Dimension::Percent, "factor"),
        capacitance_change: read(
            &text.dissipation.capacitance_change,
            Dimension::Percent,
            "capacitance_change",
        ),
        open_voltage: read(
            &text.excitation.open_voltage,
            Dimension::Voltage,
            "open_voltage",
        ),
        circuit_loop: read(
            &text.circuit.loop_resistance,
            Dimension::Resistance,
            "loop_resistance",
        ),
        circuit_insulation: read(
            &text.circuit.insulation,
            Dimension::Resistance,
            "insulation",
        ),
        service: Service {
            reading_error: read(
                &text.service.reading_error,
                Dimension::Percent,
                "reading_error",
            ),
            current_error: read(
                &text.service.current_error,
                Dimension::Percent,
                "current_error",
            ),
            angle_error: read(&text.service.angle_error, Dimension::Angle, "angle_error"),
            neutral: read(&text.service.neutral, Dimension::Percent, "neutral"),
            operate: read(&text.service.operate, Dimension::Percent, "operate"),
        },
        alternative_constant: text.resistance.alternative_constant,
        ..default
    };
    sensible(&text.service, &criteria.service, &mut found);
    let rule = rule(&text.decision, &mut found);
    let k = factor(&text.decision.k, "k", (LEAST_K, 2.0), &mut found);
    let insulation = profile(&text.insulation, own, &mut found);
    let checked = text.checked.iter();
    let checked = checked
        .flat_map(|one| checked_by(one, &mut found))
        .collect();
    let due = Arc::new(due::read(text.due, &mut found));
    if found.iter().any(Diagnostic::is_error) {
        // A rule that is half understood is another rule.
        return (Criteria::not_read(source), found);
    }
    let criteria = Criteria {
        rule,
        k,
        k_fixed: text.decision.k.is_some(),
        insulation,
        checked,
        due,
        ..criteria
    };
    (criteria, found)
}

/// The rows that an entry says were checked; what it lacks or names wrongly is told.
fn checked_by(entry: &Spanned<CheckedText>, found: &mut Vec<Diagnostic>) -> Vec<Checked> {
    let text = entry.get_ref();
    let on = config::day(text.on.as_ref(), found);
    let lacking = [
        (
            "`limits` or `sources`",
            text.limits.is_empty() && text.sources.is_empty(),
        ),
        ("`by`", text.by.trim().is_empty()),
        ("`on`", text.on.is_none()),
    ];
    let lacking = lacking.into_iter().filter(|(_, lacking)| *lacking);
    let lacking: Vec<&str> = lacking.map(|(what, _)| what).collect();
    if !lacking.is_empty() {
        let title = format!("[[checked]] does not state {}", lacking.join(", "));
        let help = "write what was checked, who checked it, and on which day: on = 2026-05-04";
        found.push(config::fault(span(entry), title, help));
    }
    let mut rows: Vec<(Option<&String>, &Cited)> = Vec::new();
    for name in &text.limits {
        let row = CITED.iter().find(|row| row.id == *name.get_ref());
        let ids = CITED.iter().map(|row| row.id.as_str());
        match row {
            Some(row) => rows.push((Some(&row.id), row)),
            None => found.push(not_cited("limit", name, ids)),
        }
    }
    for name in &text.sources {
        let row = CITED.iter().find(|row| row.source == *name.get_ref());
        let sources = CITED.iter().map(|row| row.source.as_str());
        match row {
            Some(row) => rows.push((None, row)),
            None => found.push(not_cited("source of limits", name, sources)),
        }
    }
    let is_own = |(_, row): &(Option<&String>, &Cited)| row.provenance == Provenance::Derived;
    if let Some((name, row)) = rows.iter().find(|one| is_own(one)) {
        let name = name.unwrap_or(&row.source);
        let title = format!("`{name}` is no figure of a standard");
        let help = "it is a convention of this program, so there is no copy to check it against";
        found.push(config::fault(span(entry), title, help));
    }
    let (Some(on), false) = (on, text.by.trim().is_empty()) else {
        return Vec::new();
    };
    let checked = rows.into_iter().filter(|one| !is_own(one));
    let checked = checked.map(|(limit, row)| Checked {
        limit: limit.cloned(),
        source: row.source.clone(),
        by: text.by.trim().to_owned(),
        on: on.value,
    });
    checked.collect()
}

fn not_cited(
    what: &str,
    name: &Spanned<String>,
    known: impl Iterator<Item = &'static str>,
) -> Diagnostic {
    let title = format!("there is no {what} `{}`", name.get_ref());
    let help = match nearest(name.get_ref(), known) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => "write it as the annex of a report does".to_owned(),
    };
    config::fault(span(name), title, &help)
}

/// A coverage factor below 1 covers less than one standard uncertainty: no expanded one.
const LEAST_K: f64 = 1.0;

fn factor(
    text: &Option<Spanned<f64>>,
    of: &str,
    (least, default): (f64, f64),
    found: &mut Vec<Diagnostic>,
) -> f64 {
    match text {
        None => default,
        Some(value) if (least..=10.0).contains(value.get_ref()) => *value.get_ref(),
        Some(value) => {
            found.push(config::fault(
                span(value),
                format!("`{of}` must lie between {least} and 10"),
                "the usual values are guard = 1 and k = 2",
            ));
            default
        }
    }
}

fn rule(text: &DecisionText, found: &mut Vec<Diagnostic>) -> DecisionRule {
    let factor = factor(&text.guard, "guard", (0.0, 1.0), found);
    let band = DecisionRule::GuardBand { factor };
    let Some(rule) = &text.rule else {
        return band;
    };
    match rule.get_ref().as_str() {
        "guard band" => band,
        "simple acceptance" => DecisionRule::SimpleAcceptance,
        other => {
            let title = format!("there is no decision rule `{other}`");
            let known = ["guard band", "simple acceptance"].into_iter();
            found.push(config::unknown(rule, title, known));
            band
        }
    }
}

fn minimum_at(text: &Text, found: &mut Vec<Diagnostic>) -> MinimumAt {
    let Some(at) = text else {
        return MinimumAt::Unstated;
    };
    match at.get_ref().as_str() {
        "as read" => MinimumAt::AsRead,
        "20 C" => MinimumAt::Reference,
        other => {
            let title = format!("a least insulation resistance cannot hold at `{other}`");
            let known = ["as read", "20 C"].into_iter();
            found.push(config::unknown(at, title, known));
            MinimumAt::Unstated
        }
    }
}

fn profile(
    text: &InsulationText,
    own: InsulationProfile,
    found: &mut Vec<Diagnostic>,
) -> InsulationProfile {
    let is_client = |profile: &Spanned<String>| profile.get_ref() == "client";
    let has_limit = matches!(&own, InsulationProfile::Client { primary, core, .. } if primary.or(*core).is_some());
    match (&text.profile, &text.client) {
        (Some(profile), _) if is_client(profile) && !has_limit => found.push(config::fault(
            span(profile),
            "the profile `client` has no limit".to_owned(),
            "state `primary` or `core` in [insulation.client]",
        )),
        (None, Some(client)) => found.push(config::fault(
            span(client),
            "no profile says that these limits hold".to_owned(),
            "write `profile = \"client\"` in [insulation]",
        )),
        (Some(profile), Some(client)) if !is_client(profile) => found.push(config::fault(
            span(client),
            format!(
                "these limits do not hold: the profile is `{}`",
                profile.get_ref()
            ),
            "write `profile = \"client\"` in [insulation], or take them out",
        )),
        _ => {}
    }
    let Some(profile) = &text.profile else {
        return InsulationProfile::None;
    };
    match profile.get_ref().as_str() {
        "none" => InsulationProfile::None,
        "client" => own,
        name if PROFILES.contains(&name) => InsulationProfile::Table(name.to_owned()),
        name => {
            let title = format!("there is no insulation profile `{name}`");
            found.push(config::unknown(profile, title, PROFILES.iter().copied()));
            InsulationProfile::None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::read;
    use crate::ground::source::Source;

    #[test]
    fn a_limit_that_nothing_is_beyond_is_told() {
        for (line, told) in [
            ("angle_error = \"45 deg\"", 0),
            ("angle_error = \"46 deg\"", 1),
            ("operate = \"99 %\"", 0),
            ("operate = \"100 %\"", 1),
        ] {
            let text = format!("[service]\n{line}\n");
            let (_, found) = read(&Source::new("criteria.toml", text.as_bytes()).0);
            assert_eq!(found.len(), told, "{line}: {found:?}");
        }
    }
}
