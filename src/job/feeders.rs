//! Interposing CTs and the main CTs that feed them: each is given the records that its `fed by:` names.

use super::shared::Parsed;
use super::survey::{Found, Survey};
use crate::ground::date::Date;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::span::{Located, Span};
use crate::judge::requirement::asked_behind;
use crate::judge::words::short;
use crate::record::Record;
use crate::record::core::core_index;
use crate::record::feeder::{Behind, Feeder, Main, NoMain};
use crate::record::like::SharedPlates;
use crate::record::phase::Phase;
use crate::standards::threshold;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Records of main CTs that are read for one unit at most.
const MOST_READ: usize = 32;

/// Gives a record those of the main CTs that feed it, and tells what is wrong with what it says of them.
pub(super) fn take(
    survey: &Survey<'_>,
    found: &Found,
    plates: &SharedPlates<'_>,
    (record, told): (&mut Record, &mut Vec<Diagnostic>),
) {
    let mut feeding = Feeding {
        survey,
        plates,
        own: found,
        left: MOST_READ,
    };
    let own = found.id.as_deref().into_iter().collect();
    feeding.feed(record, &own, told);
    record.behind = behind(survey, found, plates, record);
}

/// The other CTs of the job that hang on a core of a record now, by the order of their ids.
fn behind(
    survey: &Survey<'_>,
    own: &Found,
    plates: &SharedPlates<'_>,
    record: &Record,
) -> Vec<Behind> {
    let of = |other: &Found| {
        let (hanging, _) = Parsed::of(survey.again(other)).record(plates);
        let (feeder, since) = hanging.hangs_on()?;
        (Some(&feeder.id) == own.id.as_ref()).then_some(())?;
        Some(Behind {
            id: other.id.clone()?,
            core: core_index(&record.cores, &feeder.core)?,
            since,
            asked: asked_behind(&hanging, &other.setting.criteria.due),
        })
    };
    let mut all: Vec<Behind> = named_by(survey, own).filter_map(of).collect();
    all.sort_by(|one, other| one.id.cmp(&other.id));
    all
}

/// The other CTs that name one as their main CT, at whatever time.
fn named_by<'s>(survey: &'s Survey<'_>, main: &'s Found) -> impl Iterator<Item = &'s Found> {
    let id = main.id.as_ref();
    let named = id.and_then(|id| survey.fed.get(id)).into_iter().flatten();
    let others = named.filter_map(|at| survey.found.get(*at));
    others.filter(move |one| one.path != main.path && one.id.as_ref() != id)
}

struct Feeding<'a> {
    survey: &'a Survey<'a>,
    plates: &'a SharedPlates<'a>,
    own: &'a Found,
    /// How many more records are read.
    left: usize,
}

impl Feeding<'_> {
    /// `fed` are the ids on the way to a record, itself among them.
    fn feed(&mut self, record: &mut Record, fed: &BTreeSet<&str>, told: &mut Vec<Diagnostic>) {
        let cores = record.cores.iter().enumerate();
        let primary: Vec<(f64, Span)> = cores
            .filter_map(|(index, core)| Some((record.rated_primary(index)?, core.span)))
            .collect();
        let places = record.places.iter().skip(1);
        let ends: Vec<_> = places
            .map(|place| place.since.map(|since| since.value))
            .collect();
        for (place, until) in record.places.iter_mut().zip(ends.into_iter().chain([None])) {
            let phase = place.phase.get().cloned();
            let since = place.since.as_ref().map(|since| since.value);
            if let Some(feeder) = place.feeder.as_mut() {
                let own = Own {
                    phase,
                    since,
                    until,
                    primary: &primary,
                };
                self.one(feeder, &own, fed, told);
            }
        }
    }

    fn one(
        &mut self,
        feeder: &mut Feeder,
        own: &Own<'_>,
        fed: &BTreeSet<&str>,
        told: &mut Vec<Diagnostic>,
    ) {
        let main = self.survey.ids.get(&feeder.id);
        let Some(main) = main.and_then(|at| self.survey.found.get(*at)) else {
            told.push(elsewhere(feeder));
            return;
        };
        feeder.beside = self.beside(feeder);
        let parsed = Parsed::of(self.survey.again(main));
        let (mut record, _) = parsed.record(self.plates);
        let source = &parsed.text.source;
        let at = |span: Span| format!("{}:{}", source.name, source.line(span.start));
        let left = self.left.checked_sub(1);
        self.left = left.unwrap_or_default();
        let id = feeder.id.clone();
        let mut on_the_way = fed.clone();
        let is_new = on_the_way.insert(&id);
        let endless = match (is_new, left) {
            (false, _) => Some(NoMain::Circle),
            (true, None) => Some(NoMain::Chain),
            (true, Some(_)) => {
                // What is wrong there is told there.
                self.feed(&mut record, &on_the_way, &mut Vec::new());
                None
            }
        };
        let places = record.places.iter();
        let mut beyond = places.filter_map(|place| place.feeder.as_ref());
        let found = match endless {
            Some(why) => Some((why, beyond.next())),
            None => beyond.find_map(|one| Some((one.endless()?, Some(one)))),
        };
        if let Some((why, beyond)) = found {
            feeder.main = Err(why);
            let beyond = at(beyond.map_or(record.plate.span, |one| one.span));
            told.push(match why {
                NoMain::Chain => chain(feeder, &beyond),
                NoMain::Circle | NoMain::Elsewhere | NoMain::NoCore => circle(feeder, &beyond),
            });
            return;
        }
        let record = Arc::new(record);
        feeder.take(Arc::clone(&record));
        match &feeder.main {
            Err(_) => {
                let first = record.cores.first();
                let first = first.map_or(record.plate.span, |core| core.span);
                told.push(no_core(feeder, &record, &at(first)));
            }
            Ok(main) => {
                let moved = moved(feeder, own, main, &at);
                told.extend(moved.or_else(|| other_phase(feeder, own, main, &at)));
                told.extend(other_current(feeder, own, main, &at));
            }
        }
    }

    /// The other CTs that name the same core where they are now.
    fn beside(&self, feeder: &Feeder) -> Vec<String> {
        let same = |one: &&Found| {
            let place = one.place.as_ref();
            let now = place.and_then(|place| place.feeder.as_ref());
            now.is_some_and(|now| (&now.id, &now.core) == (&feeder.id, &feeder.core))
        };
        let others = self.survey.fed.get(&feeder.id).into_iter().flatten();
        let others = others.filter_map(|at| self.survey.found.get(*at));
        let others = others.filter(|one| one.path != self.own.path && one.id != self.own.id);
        let beside = others.filter(same);
        beside.filter_map(|one| one.id.clone()).collect()
    }
}

/// What an interposing CT says of itself where it is fed.
struct Own<'a> {
    phase: Option<Located<String>>,
    since: Option<Date>,
    /// When its next place begins.
    until: Option<Date>,
    /// Rated primary current of each core, ampere.
    primary: &'a [(f64, Span)],
}

/// A phase by its name, whatever it is called.
fn is_other(one: &str, other: &str) -> bool {
    match (Phase::read(one), Phase::read(other)) {
        (Some(one), Some(other)) => one != other,
        (None, None) => !one.eq_ignore_ascii_case(other),
        // Two ways of naming them.
        _ => false,
    }
}

fn other_phase(
    feeder: &Feeder,
    own: &Own<'_>,
    main: &Main,
    at: &dyn Fn(Span) -> String,
) -> Option<Diagnostic> {
    let place = match own.since {
        Some(since) => main.record.place_on(since),
        None => main.record.place(),
    };
    let (phase, of_main) = (own.phase.as_ref()?, place?.phase.get()?);
    if !is_other(&phase.value, &of_main.value) {
        return None;
    }
    let title = format!(
        "this CT stands in phase {}, and {} that feeds it in {}",
        phase.value, feeder.id, of_main.value
    );
    let told = Code::FeederPhase.at(feeder.span, title);
    let told = told.label(format!("its phase is at {}", at(of_main.span)));
    let told = told.other(phase.span, "the phase here");
    Some(told.help("correct the id behind `fed by`, or the phase that is wrong; where a lead crosses over, trace it"))
}

/// A main CT that stands elsewhere since a day on which its record still has it feed this one.
fn moved(
    feeder: &Feeder,
    own: &Own<'_>,
    main: &Main,
    at: &dyn Fn(Span) -> String,
) -> Option<Diagnostic> {
    let places = &main.record.places;
    let first = match own.since {
        Some(since) => main.record.place_on(since),
        None => places.first(),
    }?;
    let mut later = places
        .iter()
        .filter_map(|place| Some((place, place.since?.value)));
    let (place, since) = later.find(|(place, since)| {
        let after = own.since.is_none_or(|own| own < *since);
        after && own.until.is_none_or(|until| *since < until) && !first.is_the_same(place)
    })?;
    let title = format!(
        "{} that feeds this CT stands at {} since {since}, and this place still has it feed it",
        feeder.id,
        place.text()
    );
    let told = Code::FeederElsewhere.at(feeder.span, title);
    let told = told.label(format!("moved at {}", at(place.span)));
    Some(told.help("write a [place since …] of this CT with what feeds it from that day on, or correct the day; what was shown of this circuit before the move shows nothing of the one behind it"))
}

/// A core drives its rated current through whatever hangs on it.
fn other_current(
    feeder: &Feeder,
    own: &Own<'_>,
    main: &Main,
    at: &dyn Fn(Span) -> String,
) -> Option<Diagnostic> {
    let core = main.record.cores.get(main.core)?;
    let driven = core.rated_secondary()?;
    let near = threshold("feeding-current-near")?;
    let is_near = |rated: f64| (rated / driven - 1.0).abs() <= near.limit / 100.0;
    let (rated, span) = own.primary.iter().find(|(rated, _)| !is_near(*rated))?;
    let title = format!(
        "the primary of this CT is rated {} A, and {} gives {} A at its rated current",
        short(*rated),
        feeder.text(),
        short(driven)
    );
    let told = Code::FeederCurrent.at(feeder.span, title);
    let told = told.label(format!("its core is at {}", at(core.span)));
    let help = match *rated < driven {
        true => format!(
            "it would carry {} times its rated current: correct the core behind `fed by`, or the ratio; where it is so, its thermal limit decides",
            short(driven / rated)
        ),
        false => "correct the core behind `fed by`, or the ratio; where it is meant, errors and settings go by the amperes between the two".to_owned(),
    };
    Some(told.other(*span, "the core here").help(help))
}

fn elsewhere(feeder: &Feeder) -> Diagnostic {
    let title = format!("no record of this job is of the main CT `{}`", feeder.id);
    Code::FeederElsewhere
        .at(feeder.span, title)
        .label("what is known of it is not known here")
        .help("put its record into the job, or correct the id; until then neither the overall ratio nor the burden on it is judged")
}

/// `at` is the record of the main CT as `file:line`.
fn no_core(feeder: &Feeder, record: &Record, at: &str) -> Diagnostic {
    let names: Vec<&str> = record.cores.iter().map(|core| core.name.as_str()).collect();
    let title = format!("{} has no core `{}`", feeder.id, feeder.core);
    Code::FeederCore
        .at(feeder.span, title)
        .label(format!("its cores are at {at}"))
        .help(format!("cores of that record: {}", names.join(", ")))
}

/// `at` is where the main CT says what feeds it, as `file:line`.
fn circle(feeder: &Feeder, at: &str) -> Diagnostic {
    let title = format!("what feeds {} leads in a circle", feeder.id);
    Code::FeederCircle
        .at(feeder.span, title)
        .label(format!("fed itself at {at}"))
        .help("the main CT stands in the primary circuit and no CT feeds it: write `fed by` at the interposing CT alone")
}

/// `at` is where the next CT says what feeds it, as `file:line`.
fn chain(feeder: &Feeder, at: &str) -> Diagnostic {
    let title = format!(
        "more than {MOST_READ} CTs in a row feed this one, {} the first of them",
        feeder.id
    );
    Code::FeederChain
        .at(feeder.span, title)
        .label(format!("the next one is at {at}"))
        .help("follow `fed by` from CT to CT to the main CT, and correct the id that leads astray; so many are not read")
}

#[cfg(test)]
mod tests {
    use super::is_other;

    #[test]
    fn phases_are_compared_whichever_way_they_are_named() {
        for (one, other, told) in [
            ("A", "L1", false),
            ("A", "L2", true),
            ("B", "A", true),
            ("A (L1)", "A", false),
            ("r", "R", false),
            ("R", "Y", true),
            // R may be the first or another one.
            ("R", "L2", false),
        ] {
            assert_eq!(is_other(one, other), told, "{one} {other}");
        }
    }
}
