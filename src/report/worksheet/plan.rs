//! What a visit asks for, from the list of requirements, as steps in the order in which they are worked.
#![deny(clippy::wildcard_enum_match_arm)]

use super::Subject;
use crate::document::say;
use crate::ground::date::Date;
use crate::ground::span::{Located, Span};
use crate::judge::condition::Condition;
use crate::judge::requirement::{Claims, Required, Requirement, Shown, Standing, Unread, required};
use crate::judge::rules;
use crate::record::Record;
use crate::record::body::Body;
use crate::record::kinds::TestKind;
use crate::record::occasion;
use crate::record::visit::Visit;
use crate::trade::{Purpose, Purposes};
use strum::VariantArray;

/// A step of the work on the cores, in the order of the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, VariantArray)]
pub enum Step {
    Insulation,
    Withstand,
    InterTurn,
    PartialDischarge,
    DissipationFactor,
    PrimaryResistance,
    Resistance,
    Demagnetisation,
    Excitation,
    Remanence,
    Ratio,
    RatioByCurrent,
    Burden,
    Continuity,
    SingleEarth,
    RatioSetting,
    Injection,
    TestLinks,
    Load,
    Stability,
}

impl Step {
    /// The step that shows a requirement; `None` where a table that stands on every sheet has room for it.
    pub fn of(requirement: &Requirement) -> Option<Self> {
        let by_voltage = requirement.evidence.contains(&&rules::ratio::TURNS_RATIO);
        Self::of_test(requirement.kind, by_voltage)
    }

    /// The step of a kind of test; of a ratio by whether it is one by voltage.
    pub fn of_test(kind: TestKind, by_voltage: bool) -> Option<Self> {
        match kind {
            TestKind::Insulation => Some(Self::Insulation),
            TestKind::Withstand => Some(Self::Withstand),
            TestKind::InterTurn => Some(Self::InterTurn),
            TestKind::PartialDischarge => Some(Self::PartialDischarge),
            TestKind::DissipationFactor => Some(Self::DissipationFactor),
            TestKind::PrimaryResistance => Some(Self::PrimaryResistance),
            TestKind::Resistance => Some(Self::Resistance),
            TestKind::Demagnetisation => Some(Self::Demagnetisation),
            TestKind::Excitation => Some(Self::Excitation),
            TestKind::Remanence => Some(Self::Remanence),
            TestKind::Ratio if by_voltage => Some(Self::Ratio),
            TestKind::Ratio => Some(Self::RatioByCurrent),
            // Shown by the phase of the ratio test, or by the kick that is drawn below it.
            TestKind::Polarity => Some(Self::Ratio),
            TestKind::Burden => Some(Self::Burden),
            TestKind::Continuity => Some(Self::Continuity),
            TestKind::SingleEarth => Some(Self::SingleEarth),
            TestKind::TestLinks => Some(Self::TestLinks),
            TestKind::Inspection | TestKind::State | TestKind::SelfCheck | TestKind::Restored => {
                None
            }
            TestKind::RatioSetting => Some(Self::RatioSetting),
            TestKind::Injection => Some(Self::Injection),
            TestKind::Load => Some(Self::Load),
            TestKind::Stability => Some(Self::Stability),
            // By the maker's papers: there is nothing to work.
            TestKind::TypeTest => None,
        }
    }

    /// What it is called, and what can hurt in it.
    fn told(self) -> (&'static str, &'static str) {
        let live = "Every open terminal of the winding is live while the source is on. Keep clear, and put a barrier up.";
        let high = "High alternating voltage: a barrier all round, nobody inside it, two persons; the source earthed first, switched off, and what was driven discharged and earthed, before a lead is touched.";
        match self {
            Self::Insulation => (
                "Insulation resistance",
                "Direct voltage and stored charge: discharge before every change of leads.",
            ),
            Self::Withstand => ("Withstand voltage", high),
            Self::InterTurn => (
                "Inter-turn overvoltage",
                "An open secondary while the primary is driven: its terminals carry up to 4.5 kV peak. A barrier all round, nobody inside it.",
            ),
            Self::PartialDischarge => ("Partial discharge", high),
            Self::DissipationFactor => ("Dissipation factor", high),
            Self::PrimaryResistance => (
                "Primary resistance",
                "Direct current through a winding: run it down to zero before it is broken, or it throws a dangerous voltage across primary and secondaries.",
            ),
            Self::Resistance => (
                "Winding resistance",
                "An interrupted direct current throws a dangerous voltage across the winding: run it down first.",
            ),
            Self::Demagnetisation => ("Demagnetisation", live),
            Self::Excitation => ("Excitation", live),
            Self::Remanence => ("Remanence", live),
            Self::Ratio => (
                "Ratio and polarity by voltage",
                "The whole winding is live while the source is on, and the primary carries the induced voltage.",
            ),
            Self::RatioByCurrent => (
                "Ratio by current",
                "The secondary carries current: it is never opened while the primary is driven.",
            ),
            Self::Burden => (
                "Connected burden",
                "If the primary can carry current, the CT side is shorted, and the short proven, before a link is opened.",
            ),
            Self::Continuity => (
                "Continuity of the circuit",
                "Only with the primary dead, isolated and earthed. Two persons. Where the CT could still come to carry current, short it at its own terminals before a link is opened for the meter: the meter then reads round the short, which shows the leads and not the winding. Write that down.",
            ),
            Self::SingleEarth => (
                "Single earth",
                "While its earth is off, the circuit floats: nobody touches it, the primary stays dead and earthed, and the earth is put back and counted before energising.                  Relays and meters may not stand the test voltage: take them out, or ask their maker. Discharge before a lead is moved.",
            ),
            Self::TestLinks => (
                "Test links",
                "Trips blocked and control room told before a link is moved. Two persons: one moves, one reads the mark aloud. No link of a circuit is opened while its core can carry current.",
            ),
            Self::RatioSetting => (
                "Ratio setting",
                "Read the settings; change none on a device in service.",
            ),
            Self::Injection => ("Secondary injection", INJECTED),
            Self::Load => ("Current on load", CARRIES),
            Self::Stability => ("Stability", CARRIES),
        }
    }

    pub fn name(self) -> &'static str {
        self.told().0
    }

    pub fn caution(self) -> &'static str {
        self.told().1
    }
}

/// Beside what stands on page one.
const INJECTED: &str = "Block every trip that the circuit or its summation can give, tell the control room, and look which circuits of neighbours see the current: a summed \
    zone sees all of it. A CT that can carry current is shorted, and the short proven, before the circuit is opened; a test plug shorts before it opens, try it on a dead circuit. \
    Two persons, one of them at the source.";
const CARRIES: &str = "The primary is live: of the safety steps on page one those for a dead primary do not hold here, and no lead goes to the CT. \
    Never open a live secondary: no link, no plug that does not short first, no terminal moved. Clamp meters, or what the device shows, wherever possible. \
    Two persons. Trips stay blocked as the switching programme has them. A load check comes after energising, by whoever may energise: this sheet is no clearance to do so.";

/// Steps that are worked with the leads laid one way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, VariantArray)]
pub enum Setup {
    Insulation,
    InterTurn,
    Winding,
    Ratio,
    RatioByCurrent,
    Burden,
    Circuit,
    /// Settings, and current fed into the circuits.
    Fed,
    /// Behind all that moves a link.
    Links,
    /// The network's current.
    OnLoad,
}

impl Setup {
    /// Its steps, in the order of the work.
    pub fn steps(self) -> &'static [Step] {
        match self {
            Self::Insulation => &[
                Step::Insulation,
                Step::Withstand,
                Step::PartialDischarge,
                Step::DissipationFactor,
            ],
            Self::InterTurn => &[Step::InterTurn],
            Self::Winding => &[
                Step::PrimaryResistance,
                Step::Resistance,
                Step::Demagnetisation,
                Step::Excitation,
                Step::Remanence,
            ],
            Self::Ratio => &[Step::Ratio],
            Self::RatioByCurrent => &[Step::RatioByCurrent],
            Self::Burden => &[Step::Burden],
            Self::Circuit => &[Step::Continuity, Step::SingleEarth],
            Self::Fed => &[Step::RatioSetting, Step::Injection],
            Self::Links => &[Step::TestLinks],
            Self::OnLoad => &[Step::Load, Step::Stability],
        }
    }

    /// Whether it is read with the primary live: when all that was opened for the others is restored.
    pub fn is_live(self) -> bool {
        self == Self::OnLoad
    }

    /// Whether all cores are told on one card: they differ by the names of their terminals only.
    pub fn is_shared(self) -> bool {
        match self {
            Self::Insulation
            | Self::InterTurn
            | Self::Burden
            | Self::Circuit
            | Self::Fed
            | Self::Links
            | Self::OnLoad => true,
            Self::Winding | Self::Ratio | Self::RatioByCurrent => false,
        }
    }
}

/// What a visit asks for.
pub struct Programme {
    asked: Vec<Required>,
    /// Every requirement that names a pair, due or not: a pair that is read costs one more move of the
    /// leads, and one that is left out stays unshown.
    named: Vec<Required>,
    /// Whether it is what was left open, and nothing beside it.
    pub is_rest: bool,
    /// Whether it is a choice, since no visit left anything to test again.
    pub is_done: bool,
    /// Where the list alone does not say it: why it is this.
    pub why: Option<String>,
    /// What is left open, and why it is.
    pub open: Vec<String>,
    /// What is read behind another CT, and written into its record.
    pub elsewhere: Vec<String>,
}

impl Programme {
    /// What a visit of a purpose asks for on a day. A retest asks for what the visits before it left open.
    /// Where nothing is asked, the choice is free, and the list of a commissioning is offered.
    pub fn new(subject: &Subject<'_>, purpose: &str, date: Date) -> Self {
        let due = subject.criteria.due.as_ref();
        let of = |purposes: Purposes, why: Option<String>| {
            let named = required(subject.record, &[&visit_of(date)], purposes, due);
            let asked = named.iter().filter(|required| required.due);
            let asked = asked.filter(|required| required.behind.is_empty());
            Self {
                asked: asked.cloned().collect(),
                elsewhere: elsewhere(subject.record, &named),
                named,
                is_rest: false,
                is_done: false,
                why,
                open: Vec::new(),
            }
        };
        let offered = |why: &str| {
            let why = format!("{why}: these are the tests of a commissioning to choose from.");
            of(Purpose::Commissioning.into(), Some(why))
        };
        let all = Purposes::read(purpose);
        let is_certain = |purpose: Purpose| {
            !matches!(
                purpose,
                Purpose::Retest | Purpose::Investigation | Purpose::Other
            )
        };
        if all.iter().any(is_certain) {
            return of(all, None);
        }
        match Purpose::read(purpose) {
            asked @ (Purpose::Investigation | Purpose::Other) if due.named.contains_key(&asked) => {
                of(all, None)
            }
            Purpose::Retest => {
                let (mut asked, open) = left(subject);
                let elsewhere = elsewhere(subject.record, &asked);
                asked.retain(|required| required.behind.is_empty());
                if asked.is_empty() {
                    let is_done = true;
                    let free = offered("No visit on record left anything to test again");
                    return Self { is_done, ..free };
                }
                Self {
                    named: asked.clone(),
                    asked,
                    is_rest: true,
                    is_done: false,
                    why: Some("What the last visit left open, and no more:".to_owned()),
                    open,
                    elsewhere,
                }
            }
            Purpose::Investigation => offered("An investigation asks for no certain test"),
            Purpose::Other
            | Purpose::Factory
            | Purpose::Receiving
            | Purpose::Commissioning
            | Purpose::BeforeEnergising
            | Purpose::AfterEnergising
            | Purpose::Maintenance
            | Purpose::AfterFault => offered("Nothing is due at a visit of this purpose"),
        }
    }

    /// The pairs of a core that requirements of a step name.
    pub fn pairs(&self, step: Step, core: usize) -> impl Iterator<Item = (u8, u8)> {
        let of = self
            .named
            .iter()
            .filter(move |one| one.core == Some(core) && Step::of(one.requirement) == Some(step));
        let pairs = of.flat_map(|one| [one.pair, one.tap]).flatten();
        pairs.map(|pair| (pair.ascending().from, pair.ascending().to))
    }

    /// Whether a step is asked for on a core, or, without one, on the primary.
    pub fn asks(&self, step: Step, core: Option<usize>) -> bool {
        self.any(core, |requirement| Step::of(requirement) == Some(step))
    }

    /// Whether what is asked of a core is worked out with its winding resistance.
    pub fn rests_on_resistance(&self, core: usize) -> bool {
        self.any(Some(core), Requirement::rests_on_resistance)
    }

    /// Whether the withstand test between the sections of the primary is asked for.
    pub fn asks_sections(&self) -> bool {
        self.any(None, |one| {
            one.evidence.contains(&&rules::withstand::BETWEEN_SECTIONS)
        })
    }

    /// Whether a core's polarity is to be shown, so that a kick is an answer where the ratio test shows no
    /// phase.
    pub fn asks_polarity(&self, core: usize) -> bool {
        self.any(Some(core), |one| one.kind == TestKind::Polarity)
    }

    /// The positions of the primary links that the ratio of a core is to be shown in.
    pub fn links_asked(&self, core: usize) -> Vec<&str> {
        let asked = self.asked.iter();
        let asked = asked.filter(|one| one.core == Some(core) && one.requirement.is_of_links());
        let named = asked.flat_map(|one| &one.conditions);
        let mut positions = Vec::new();
        for condition in named {
            if let Condition::Item(name) = condition {
                positions.push(name.as_str());
            }
        }
        positions
    }

    fn any(&self, core: Option<usize>, is: impl Fn(&Requirement) -> bool) -> bool {
        let mut asked = self.asked.iter();
        asked.any(|one| one.core == core && is(one.requirement))
    }
}

/// `2S feeds LYR-26-70071: …`, of each core whose relays and meters are behind another CT.
fn elsewhere(record: &Record, all: &[Required]) -> Vec<String> {
    let mut cores: Vec<(Option<usize>, &[String], Vec<&str>)> = Vec::new();
    for one in all.iter().filter(|one| !one.behind.is_empty()) {
        let title = one.requirement.title;
        match cores.iter_mut().find(|(core, ..)| *core == one.core) {
            Some((_, _, titles)) => titles.push(title),
            None => cores.push((one.core, &one.behind, vec![title])),
        }
    }
    let line = |(core, ids, titles): (Option<usize>, &[String], Vec<&str>)| {
        let core = core.and_then(|core| record.cores.get(core))?;
        let (ids, titles) = (ids.join(", "), titles.join(", "));
        let name = &core.name;
        Some(format!(
            "{name} feeds {ids}: what is read behind that ({titles}) goes into its record, on its own sheet."
        ))
    };
    cores.into_iter().filter_map(line).collect()
}

/// What the last visits, which answer together, did not bring to an end; and in words, with the reason.
fn left(subject: &Subject<'_>) -> (Vec<Required>, Vec<String>) {
    let record = subject.record;
    let claims = Claims::of(
        record,
        subject.assessment,
        &occasion::last(record),
        Unread::Nothing,
    );
    let concerns = |one: &&Shown<'_>| {
        let tested = !one.evidence.is_empty() && one.earlier.is_none();
        one.required.due || tested || one.standing == Standing::NotMet
    };
    let open = claims.shown.iter().filter(concerns);
    let open = open.filter(|one| !one.standing.is_met());
    let told = |one: &Shown<'_>| {
        let why = one.standing.why().filter(|why| !why.is_empty());
        let why = why.or(one.needs().map(|needs| say!("needs {}", needs)));
        let why = why.map(|why| format!(" ({why})")).unwrap_or_default();
        format!("{}: {}{why}", claims.name(one), one.standing.word())
    };
    open.map(|one| (one.required.clone(), told(one))).unzip()
}

/// A visit that has not been made yet.
fn visit_of(date: Date) -> Visit {
    Visit::read(&Body::default(), Located::new(date, Span::default()), None)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::requirement::ALL;

    /// Inspection, state as found and as left, and self-check have room on every sheet.
    #[test]
    fn what_can_be_due_has_a_step_or_a_table_on_every_sheet() {
        for one in ALL.iter().filter(|one| !one.due.is_empty()) {
            let on_every_sheet = matches!(
                one.kind,
                TestKind::Inspection | TestKind::State | TestKind::SelfCheck | TestKind::Restored
            );
            assert!(Step::of(one).is_some() || on_every_sheet, "{}", one.id);
        }
    }

    #[test]
    fn what_needs_a_winding_resistance_rests_on_it() {
        for one in ALL.iter().filter(|one| one.kind != TestKind::Resistance) {
            let needs = one.needs.starts_with("winding resistance,");
            assert_eq!(one.rests_on_resistance(), needs, "{}", one.id);
        }
    }

    #[test]
    fn every_step_is_worked_in_one_setup() {
        for step in Step::VARIANTS {
            let setups = Setup::VARIANTS.iter();
            let setups = setups.filter(|setup| setup.steps().contains(step));
            assert_eq!(setups.count(), 1, "{step:?}");
        }
    }

    #[test]
    fn every_step_shows_something() {
        for step in Step::VARIANTS {
            let shows = |one: &&&Requirement| Step::of(one) == Some(*step);
            assert!(ALL.iter().any(|one| shows(&one)), "{step:?}");
        }
    }
}
