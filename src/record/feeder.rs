//! What feeds the primary of an interposing CT: a core of a main CT, which has a record of its own.

use super::Record;
use super::core::core_index;
use super::kinds::{Test, TestKind};
use super::place::Place;
use crate::ground::date::Date;
use crate::ground::span::{Given, Span};
use crate::trade::{Pair, mark};
use std::sync::Arc;

/// The core that `fed by:` names.
#[derive(Clone, Debug)]
pub struct Feeder {
    /// Of the main CT.
    pub id: String,
    /// Name of its core.
    pub core: String,
    /// Where it is written.
    pub span: Span,
    /// Its record, where the job has it.
    pub main: Result<Main, NoMain>,
    /// The ids of other CTs of the job that name the same core.
    pub beside: Vec<String>,
}

/// A core of the main CT in its record.
#[derive(Clone, Debug)]
pub struct Main {
    pub record: Arc<Record>,
    pub core: usize,
}

/// Another CT of the job that hangs on a core of this one, as its own record says.
#[derive(Clone, Debug)]
pub struct Behind {
    pub id: String,
    /// The core of this CT.
    pub core: usize,
    /// The day from which on it hangs there until now; from ever without one.
    pub since: Option<Date>,
    /// What visits asked there of the circuit behind it, by the names of the requirements, each with its day.
    pub asked: Vec<(&'static str, Date)>,
}

/// Why nothing is known of the core that feeds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoMain {
    /// No record of the job has this id.
    Elsewhere,
    /// Its record has no such core.
    NoCore,
    /// It is fed by the CT that it feeds.
    Circle,
    /// By way of more CTs than are read.
    Chain,
}

/// What is not known of a ratio that serves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unknown {
    Tap,
    Ratio(Pair),
    /// The position of the primary links.
    Links,
    /// The main CTs of the inputs of a summation CT.
    Inputs,
    /// The main CT.
    Main(NoMain),
    /// The tap, ratio or links of the main CT, or of what feeds that one.
    OfMain,
}

/// `BRW-26-00207 1S`: an id, which may have blanks in it, and a core, which has none.
pub(super) fn names(text: &str) -> Option<(&str, &str)> {
    let (id, core) = text.trim_matches([' ', '\t']).rsplit_once([' ', '\t'])?;
    let id = id.trim_end_matches([' ', '\t']);
    (!id.is_empty() && !core.is_empty()).then_some((id, core))
}

impl Feeder {
    /// What is written; nothing of its record is known by that.
    pub(super) fn read(written: &Given<String>) -> Option<Self> {
        let written = written.get()?;
        let (id, core) = names(&written.value)?;
        Some(Self {
            id: id.to_owned(),
            core: core.to_owned(),
            span: written.span,
            main: Err(NoMain::Elsewhere),
            beside: Vec::new(),
        })
    }

    /// `1S of BRW-26-00207`.
    pub fn text(&self) -> String {
        format!("{} of {}", self.core, self.id)
    }

    /// Why no main CT comes at its end, where that is so.
    pub fn endless(&self) -> Option<NoMain> {
        let why = self.main.as_ref().err().copied();
        why.filter(|why| matches!(why, NoMain::Circle | NoMain::Chain))
    }

    /// Takes the record of the main CT.
    pub fn take(&mut self, record: Arc<Record>) {
        self.main = match core_index(&record.cores, &self.core) {
            Some(core) => Ok(Main { record, core }),
            None => Err(NoMain::NoCore),
        };
    }
}

impl Main {
    /// The pair that serves on a day with its overall ratio; see [`Record::overall`].
    pub fn serving(&self, day: Date) -> Result<(Pair, f64), Unknown> {
        self.record.overall(self.core, self.visits_until(day), day)
    }

    fn visits_until(&self, day: Date) -> usize {
        let until = |visit: &&super::visit::Visit| visit.date.value <= day;
        self.record.visits.iter().take_while(until).count()
    }

    /// The position of the primary links that serves on a day, where they can stand in several.
    pub fn links(&self, day: Date) -> Option<&String> {
        let several = self.record.plate.links.len() > 1;
        let position = self.record.links_after(self.visits_until(day));
        position.filter(|_| several)
    }

    /// Rated secondary current of a pair, ampere.
    pub fn rated_secondary(&self, pair: Pair) -> Option<f64> {
        self.record.cores.get(self.core)?.secondary_of(pair)
    }
}

impl Behind {
    /// Whether a visit there asked for a requirement while it hangs here, and after a day.
    pub fn is_asked(&self, requirement: &str, after: Option<Date>) -> bool {
        let fed = |day: Date| self.since.is_none_or(|since| since <= day);
        let after = |day: Date| after.is_none_or(|after| after < day);
        let mut asked = self.asked.iter();
        asked.any(|(of, day)| *of == requirement && fed(*day) && after(*day))
    }
}

impl Record {
    /// The CTs that hang on a core on a day, and do so still.
    pub fn behind_on(&self, core: usize, day: Date) -> impl Iterator<Item = &Behind> {
        let on =
            move |one: &&Behind| one.core == core && one.since.is_none_or(|since| since <= day);
        self.behind.iter().filter(on)
    }

    /// The core of a main CT on which this one hangs now, with the day from which on it does without a break. One
    /// that stands by for another unit hangs on none, nor does one of which no core serves.
    pub fn hangs_on(&self) -> Option<(&Feeder, Option<Date>)> {
        self.cores.iter().find(|core| !core.is_spare())?;
        let now = self.places.last()?.hangs_on()?;
        let same = |place: &&Place| {
            let then = place.hangs_on();
            then.is_some_and(|then| (&then.id, &then.core) == (&now.id, &now.core))
        };
        let first = self.places.iter().rev().take_while(same).last()?;
        Some((now, first.since.as_ref().map(|since| since.value)))
    }

    /// Whether a relay or meter of the circuit of a core is on record on a day: as the zone of the duty that holds then, or at a
    /// visit up to it, by a row of what it is set to or shows, or a reading at a place that has a name. What visits named
    /// before another CT came to hang on the core may hang behind that one; a new duty moves no relay.
    pub fn names_device(&self, core: usize, day: Date, hangs_since: Option<Date>) -> bool {
        let duty = self.duty_on(core, day);
        let now = |visit: &&super::visit::Visit| {
            let own = visit.date.value;
            own <= day && hangs_since.is_none_or(|since| since <= own)
        };
        let mut tests = self
            .visits
            .iter()
            .filter(now)
            .flat_map(|visit| &visit.tests);
        duty.is_some_and(|duty| !duty.zone.is_missing())
            || tests.any(|test| match test.kind {
                TestKind::RatioSetting | TestKind::Injection | TestKind::Stability => {
                    test.touches(core)
                }
                TestKind::Load => test.load().is_some_and(|load| {
                    let mut rows = load.rows.iter();
                    rows.any(|row| {
                        let at = row.at.value();
                        row.core == Some(core) && at.is_some_and(|at| !self.is_place(at))
                    })
                }),
                _ => false,
            })
    }

    /// Whether a reading on load was taken at a terminal (`X3:1`), or at a place or link where the circuit was looked at.
    fn is_place(&self, name: &str) -> bool {
        let is_it = |at: &Given<String>| at.value().is_some_and(|at| mark::is_one(at, name));
        let mut visits = self.visits.iter();
        name.contains(':')
            || visits.any(|visit| {
                let ends = visit.of(Test::continuity);
                let mut ends = ends.flat_map(|(_, _, body)| &body.rows);
                let links = visit.of(Test::test_links);
                let mut links = links.flat_map(|(_, _, body)| &body.rows);
                ends.any(|row| is_it(&row.at)) || links.any(|row| is_it(&row.item))
            })
    }

    /// The core that feeds this CT on a day.
    pub fn feeder_on(&self, day: Date) -> Option<&Feeder> {
        self.place_on(day)?.feeder.as_ref()
    }

    /// Whether a core fed this CT on a day, by a place that had begun by then.
    pub fn was_fed_by(&self, feeder: &Feeder, day: Date) -> bool {
        let begun = |place: &&Place| place.since.is_none_or(|since| since.value <= day);
        let place = self.places.iter().rev().find(begun);
        let then = place.and_then(|place| place.feeder.as_ref());
        then.is_some_and(|then| (&then.id, &then.core) == (&feeder.id, &feeder.core))
    }

    /// The pair of a core that serves on a day, by all that was written in so many first visits, with its
    /// nominal ratio as it is connected; or what is not known of it.
    pub fn serving(&self, core: usize, visits: usize, day: Date) -> Result<(Pair, f64), Unknown> {
        let pair = self.pair_by(core, visits, day);
        let pair = pair.ok_or(Unknown::Tap)?.ascending();
        let unknown = Unknown::Ratio(pair);
        let known = self.cores.get(core).ok_or(unknown)?;
        let nominal = known.nominal_ratio(pair.from, pair.to).ok_or(unknown)?;
        let position = self.links_after(visits);
        if self.plate.links.len() > 1 && position.is_none() {
            return Err(Unknown::Links);
        }
        let ratio = nominal * self.link_factor(known, position) / self.passes_after(visits);
        (ratio > 0.0).then_some((pair, ratio)).ok_or(unknown)
    }

    /// Rated primary current of the pair of a core that serves by all that is written, else of the whole winding; ampere.
    pub fn rated_primary(&self, core: usize) -> Option<f64> {
        let last = self.visits.last().map(|visit| visit.date.value);
        let serving = last.and_then(|day| self.serving(core, self.visits.len(), day).ok());
        let known = self.cores.get(core)?;
        match serving {
            Some((pair, ratio)) => Some(ratio * known.secondary_of(pair)?),
            None => Some(known.full_ratio()?.primary),
        }
    }

    /// The same with the ratio from the primary of the main CT that feeds this one, or of those that feed the inputs of a
    /// summation CT.
    pub fn overall(&self, core: usize, visits: usize, day: Date) -> Result<(Pair, f64), Unknown> {
        let (pair, own) = self.serving(core, visits, day)?;
        if let Some(sum) = self.cores.get(core).filter(|core| !core.inputs.is_empty()) {
            let of_inputs = self.of_inputs(sum).ok_or(Unknown::Inputs)?;
            return Ok((pair, own * of_inputs));
        }
        let Some(feeder) = self.feeder_on(day) else {
            return Ok((pair, own));
        };
        let main = feeder.main.as_ref().map_err(|why| Unknown::Main(*why))?;
        match main.serving(day) {
            Ok((_, ratio)) => Ok((pair, own * ratio)),
            Err(Unknown::Main(why)) => Err(Unknown::Main(why)),
            Err(_) => Err(Unknown::OfMain),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_may_have_blanks_and_a_core_none() {
        assert_eq!(names("BRW-26-00207 1S"), Some(("BRW-26-00207", "1S")));
        assert_eq!(names("Brannock 207  1S"), Some(("Brannock 207", "1S")));
        assert_eq!(names("1S"), None);
        assert_eq!(names(" 1S "), None);
    }
}
