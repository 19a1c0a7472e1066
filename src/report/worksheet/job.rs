//! One unit made ready for its sheet: cores worked out, primary named, what the job asks.

use super::drive::Ceiling;
use super::plan::{Programme, Step};
use super::plate::CoreSheet;
use super::{Subject, say};
use crate::document::{Phrase, joined};
use crate::ground::date::Date;
use crate::ground::quantity::Quantity;
use crate::judge::finding::Finding;
use crate::judge::requirement::{Claims, Unread};
use crate::judge::rules::ratio;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::kinds::TestKind;
use crate::record::occasion;
use crate::record::phase::Phase;
use crate::record::place::Place;
use crate::standards::Family;
use crate::trade::{PrimaryMarks, Ratio};

/// A unit with what every step needs of it.
pub struct Job<'a> {
    pub record: &'a Record,
    pub cores: Vec<CoreSheet<'a>>,
    pub criteria: &'a Criteria,
    /// What no terminal goes above.
    pub ceiling: Option<Ceiling>,
    /// Temperature of the winding that values are told for, °C.
    pub celsius: f64,
    pub purpose: &'a str,
    /// The day of the visit.
    pub date: Date,
    pub programme: Programme,
    /// What is thought to be behind readings on record, and is not answered since.
    pub suspected: Vec<Suspected>,
}

/// A cause that stands, with the reading that would decide.
pub struct Suspected {
    /// None where it is of the unit as a whole.
    pub core: Option<String>,
    /// The pair, else the core; empty for the unit.
    pub at: String,
    pub cause: &'static str,
    /// The next likeliest.
    pub next: Option<&'static str>,
    pub decide: Phrase,
    /// The step that it is a reading of.
    pub step: Option<Step>,
}

impl Suspected {
    fn of(record: &Record, finding: &Finding) -> Option<Self> {
        let because = finding.because.as_ref()?;
        let core = finding.core.and_then(|core| record.cores.get(core));
        let core = core.map(|core| core.name.clone());
        let pair = finding.pair.map(|pair| record.pair_text(pair));
        Some(Self {
            at: pair.or_else(|| core.clone()).unwrap_or_default(),
            core,
            cause: finding.rule.title,
            next: because.next.map(|(rule, _)| rule.title),
            decide: because.decide.clone()?,
            step: Step::of_test(finding.rule.kind, finding.rule != &ratio::OTHER_CORE_OPEN),
        })
    }
}

impl<'a> Job<'a> {
    /// Works out every core, and what a visit of this purpose asks for on a day.
    /// `sisters` are the units of the same sheet, itself among them.
    pub fn new(
        subject: &Subject<'a>,
        sisters: &[Subject<'a>],
        (celsius, purpose): (f64, &'a str),
        date: Date,
    ) -> Self {
        let (record, criteria) = (subject.record, subject.criteria);
        let ceiling = Ceiling::of(subject);
        let cores = (0..record.cores.len())
            .filter_map(|index| CoreSheet::new((subject, sisters), index, ceiling.as_ref()))
            .collect();
        let claims = Claims::of(
            record,
            subject.assessment,
            &occasion::last(record),
            Unread::Nothing,
        );
        let suspected = claims.counted();
        let suspected = suspected.filter_map(|one| Suspected::of(record, one));
        Self {
            suspected: suspected.collect(),
            ceiling,
            record,
            cores,
            criteria,
            celsius,
            purpose,
            date,
            programme: Programme::new(subject, purpose, date),
        }
    }

    /// Phase and id: what tells the units of a set apart on site.
    pub fn label(&self) -> String {
        let id = self.record.plate.id_text().to_owned();
        joined([self.phase().cloned(), Some(id)], " ")
    }

    /// The phase, as far as the record says.
    pub fn phase(&self) -> Option<&String> {
        self.record.place()?.phase.value()
    }

    /// The phases that its circuits are read in: a unit between a neutral and earth has that one alone.
    pub fn phases(&self) -> &'static [Phase] {
        match self.phase().and_then(|phase| Phase::read(phase)) {
            Some(Phase::N) => &[Phase::N],
            own => own.unwrap_or(Phase::L1).three(),
        }
    }

    /// The names of the three phases, as this unit's place names its own.
    pub fn three(&self) -> [&'static str; 3] {
        let own = self.phase().and_then(|phase| Phase::read(phase));
        own.unwrap_or(Phase::L1).three().map(Phase::name)
    }

    /// The two orders in which they may follow one another.
    pub fn rotations(&self) -> [String; 2] {
        let [first, second, third] = self.three();
        [[first, second, third], [first, third, second]].map(|order| order.join(" "))
    }

    /// Where it stands, as far as the record says.
    pub fn place(&self) -> String {
        say::told(self.record.place(), Place::text)
    }

    /// Marks of the primary as stamped: as the plate has them, else as its standard, or the marks of the
    /// secondary, have them go.
    pub fn primary(&self) -> (&'static str, &'static str) {
        let plate = &self.record.plate;
        let lower = |marks: &[String]| {
            let named = |mark: Option<&String>, letter| {
                mark.is_some_and(|mark| {
                    mark.trim_start_matches(|c: char| c.is_ascii_digit())
                        .starts_with(letter)
                })
            };
            named(marks.first(), 'k') && named(marks.last(), 'l')
        };
        let marks = match plate.marks.value() {
            Some(marks) => *marks,
            None if plate.family() == Family::Ieee => PrimaryMarks::H,
            None if self.cores.iter().any(|core| lower(&core.core.marks)) => PrimaryMarks::K,
            None => PrimaryMarks::P,
        };
        marks.ends()
    }

    /// What serves as primary where the unit has none of its own.
    pub fn foreign_primary(&self) -> Option<String> {
        let plate = &self.record.plate;
        if plate.may_have_own_primary() {
            return None;
        }
        let named = plate.bushing.value().cloned();
        Some(named.unwrap_or_else(|| "the cable through the window".to_owned()))
    }

    /// The pairs beside the full winding that are read in a step: neighbouring terminals, and every pair
    /// that a requirement names; of a retest those that are open alone.
    pub fn taps(&self, core: &CoreSheet<'_>, step: Step) -> Vec<(u8, u8)> {
        let last = core.core.last_mark();
        let neighbours = (0..last).filter(|_| !self.programme.is_rest);
        let neighbours = neighbours.map(|at| (at, at + 1));
        let named = self.programme.pairs(step, core.index);
        let mut all: Vec<(u8, u8)> = neighbours.chain(named).collect();
        // A ratio can be read only against one that the plate gives.
        let plate = core.core;
        let is_rated = |(from, to)| {
            step != Step::Ratio || plate.taps.is_empty() || plate.nominal_ratio(from, to).is_some()
        };
        all.retain(|pair| *pair != core.full() && is_rated(*pair));
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The same in words.
    pub fn taps_text(&self, core: &CoreSheet<'_>, step: Step) -> Vec<String> {
        let taps = self.taps(core, step).into_iter();
        taps.map(|pair| core.pair(pair)).collect()
    }

    /// The last known tap in service, from the duty; the one found on the day is written beside it.
    pub fn in_service(&self, core: &CoreSheet<'_>) -> Option<String> {
        let mut duties = self.record.duties.iter().rev();
        let tap = duties
            .find(|duty| duty.core == core.index)
            .and_then(|duty| duty.tap);
        match tap {
            Some(tap) => Some(self.record.pair_text(tap.value)),
            None => (core.core.marks.len() == 2).then(|| core.pair(core.full())),
        }
    }

    /// The rated ratio of that tap as connected: `600/1`; behind main CTs that from their primary. `None` where the
    /// position of the primary links, or a main CT, is not on record.
    pub fn ratio_in_service(&self, core: &CoreSheet<'_>) -> Option<String> {
        if self.record.feeder_on(self.date).is_some() || !core.core.inputs.is_empty() {
            let visits = self.record.visits.len();
            let whole = self.record.overall(core.index, visits, self.date);
            let (pair, ratio) = whole.ok()?;
            let secondary = core.core.secondary_of(pair)?;
            let whole = Ratio::of(ratio * secondary, secondary).text();
            return Some(format!("{whole} overall"));
        }
        let mut duties = self.record.duties.iter().rev();
        let duty = duties.find(|duty| duty.core == core.index);
        let tap = duty
            .and_then(|duty| duty.tap)
            .map(|tap| tap.value.ascending());
        let full = core.full();
        let (from, to) = match tap {
            Some(tap) => (tap.from, tap.to),
            None if core.core.marks.len() == 2 => full,
            None => return None,
        };
        let tap = core.core.tap(from, to).and_then(|tap| tap.ratio.value());
        let whole = core.core.full_ratio().filter(|_| (from, to) == full);
        let stamped = tap.copied().or(whole)?;
        let visits = self.record.visits.len();
        let position = self.record.links_after(visits);
        if self.record.plate.links.len() > 1 && position.is_none() {
            return None;
        }
        // As the cable is laid and the links lie: 600/1 with two passes is 300/1.
        let factor = self.record.link_factor(core.core, position) / core.passes;
        let connected = Ratio::of(stamped.primary * factor, stamped.secondary);
        Some(if factor == 1.0 { stamped } else { connected }.text())
    }

    /// The differential zone that a core's circuit belongs to, by its last duty.
    pub fn zone(&self, core: &CoreSheet<'_>) -> Option<&'a String> {
        let mut duties = self.record.duties.iter().rev();
        duties.find(|duty| duty.core == core.index)?.zone.value()
    }

    /// What a core is tested against.
    pub fn all_else(&self) -> &'static str {
        match (self.cores.len() > 1, self.foreign_primary().is_some()) {
            (true, false) => "primary, other cores and earth",
            (false, false) => "primary and earth",
            (true, true) => "other cores and earth",
            (false, true) => "earth",
        }
    }

    /// The other cores: name with first and last terminal.
    pub fn others(&self, core: &CoreSheet<'_>) -> Vec<String> {
        let other = self.cores.iter().filter(|other| other.index != core.index);
        other
            .map(|other| format!("{}: {}", other.core.name, other.pair(other.full())))
            .collect()
    }

    /// The other cores in the connection table.
    pub fn others_text(&self, core: &CoreSheet<'_>) -> String {
        match self.others(core).as_slice() {
            [] => "none: the CT has one core".to_owned(),
            some => format!("full winding of {}", some.join("; ")),
        }
    }

    /// The open terminals in the connection table, each with its voltage against the minus lead.
    pub fn open_text(&self, core: &CoreSheet<'_>, driven: Driven) -> String {
        let open = core.open(core.full());
        if open.is_empty() {
            return "none".to_owned();
        }
        let volts = match driven {
            Driven::By(volts) => volts,
            Driven::Unheeded => None,
        };
        let minus = core.mark(core.full().1);
        let one = |at: u8| {
            let reach = volts.and_then(|volts| core.winding.against_minus(core.full(), volts, at));
            let reach = match (driven, reach) {
                (Driven::Unheeded, _) => String::new(),
                (_, Some(reach)) => format!(" {} against {minus}", say::volts(reach)),
                (_, None) => " (voltage unknown)".to_owned(),
            };
            Some(format!("{}{reach}", core.mark(at)))
        };
        let driven = say::told(volts, |volts| format!("at {} driven: ", say::volts(volts)));
        let open = joined(open.into_iter().map(one), "; ");
        format!("{driven}{open}. Insulate; never short")
    }

    /// The cores on which a step is due.
    pub fn due(&self, step: Step) -> Vec<&CoreSheet<'a>> {
        let own = self.cores.iter();
        own.filter(|core| self.asks(step, core)).collect()
    }

    /// Whether a core's resistance is read for the sake of what is asked of its curve: neither its plate states one,
    /// nor, at a retest, have the visits that answer together one.
    fn needs_resistance(&self, core: &CoreSheet<'_>) -> bool {
        let mut taps = core.core.taps.iter();
        let is_stated =
            !core.core.resistance.is_missing() || taps.any(|tap| !tap.resistance.is_missing());
        let last = occasion::last(self.record).into_iter();
        let last = last.filter_map(|at| self.record.visits.get(at));
        let mut read = last.flat_map(|visit| &visit.tests);
        let is_read = self.programme.is_rest
            && read.any(|test| test.kind == TestKind::Resistance && test.touches(core.index));
        !is_stated && !is_read && self.programme.rests_on_resistance(core.index)
    }

    /// Whether a step is worked on a core: it is asked for, or, for demagnetisation, a test leaves the core
    /// magnetised or starts from a core that is not.
    pub fn asks(&self, step: Step, core: &CoreSheet<'_>) -> bool {
        let asks = |step: Step| {
            let own = self.programme.asks(step, Some(core.index));
            own || step == Step::Resistance && self.needs_resistance(core)
        };
        let magnetise = [
            Step::InterTurn,
            Step::Resistance,
            Step::Excitation,
            Step::Remanence,
        ];
        // A current through the primary is around every core.
        let by_primary = || self.due_on_primary(Step::PrimaryResistance);
        let follows = || magnetise.into_iter().any(asks) || by_primary() || self.is_kicked(core);
        asks(step) || step == Step::Demagnetisation && follows()
    }

    /// Whether a battery is put to a core: its polarity is to be shown, and the ratio test has room for it.
    pub fn is_kicked(&self, core: &CoreSheet<'_>) -> bool {
        let programme = &self.programme;
        programme.asks(Step::Ratio, Some(core.index)) && programme.asks_polarity(core.index)
    }

    /// Whether a step is due on the primary.
    pub fn due_on_primary(&self, step: Step) -> bool {
        self.programme.asks(step, None) && !self.is_primary_unknown()
    }

    /// Rows of the primary, one for each position of its links.
    pub fn positions(&self) -> Vec<Vec<String>> {
        let links = self.record.plate.links.iter();
        let rows: Vec<_> = links.map(|link| vec![link.value.0.clone()]).collect();
        match rows.is_empty() {
            true => vec![vec!["-".to_owned()]],
            false => rows,
        }
    }

    /// The positions of the primary links that a core's ratio is asked for in; none named where one answers.
    pub fn links_of_ratio(&self, core: &CoreSheet<'_>) -> Vec<Option<&'a String>> {
        let asked = self.programme.links_asked(core.index);
        let links = self.record.plate.links.iter();
        let names = links.map(|link| &link.value.0);
        let names = names.filter(|name| asked.contains(&name.as_str()));
        let all: Vec<_> = names.map(Some).collect();
        match all.is_empty() {
            true => vec![None],
            false => all,
        }
    }

    /// Whether the sections of the primary are tested against each other.
    pub fn are_sections_due(&self) -> bool {
        self.programme.asks_sections() && !self.is_primary_unknown()
    }

    /// Whether the primary may as well be a cable through a window: no word of it on record, and no rated
    /// voltage that a ring does not have.
    pub fn is_primary_unknown(&self) -> bool {
        let plate = &self.record.plate;
        let is_told = !plate.primary_turns.is_missing() || !plate.links.is_empty();
        let low = |um: &Quantity| um.si <= RING;
        let may_be_ring = plate.highest_voltage.value().is_none_or(low);
        !is_told && plate.may_have_own_primary() && may_be_ring
    }
}

/// Up to this highest voltage a unit may be a ring on somebody else's insulation, volt (common practice,
/// no source).
const RING: f64 = 1200.0;

/// What drives the full winding while its taps stay open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Driven {
    /// So many volts, where they are known.
    By(Option<f64>),
    /// A current, whose voltage at the taps nobody asks for.
    Unheeded,
}
