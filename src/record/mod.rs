//! Lines and sections to a typed record, with every value knowing where it was written.

mod again;
pub mod alike;
mod aside;
pub mod attachments;
pub mod body;
mod build;
pub mod check;
pub mod config;
pub mod core;
pub mod core_line;
pub mod criteria;
pub mod due;
pub mod duty;
pub mod feeder;
pub mod fence;
pub mod inputs;
pub mod instruments;
pub mod jobs;
pub mod kinds;
pub mod like;
mod lineage;
mod live;
pub mod named;
pub mod occasion;
mod parse;
pub mod permit;
pub mod phase;
pub mod place;
pub mod plate;
pub(crate) mod points;
mod reader;
pub mod readings;
pub mod schema;
pub mod scope;
pub mod sections;
pub mod sign_off;
mod stages;
pub mod table;
pub mod taken;
pub mod value;
pub mod visit;
mod words;

use self::body::Body;
use self::core::Core;
use crate::ground::date::Date;
use crate::ground::span::Span;
use crate::syntax::Tree;
use crate::trade::{Pair, PairName};
use duty::Duty;
use feeder::Behind;
use place::Place;
use plate::Plate;
use std::collections::BTreeMap;
use std::sync::Arc;
use visit::Visit;

/// The newest format that this program reads.
pub const FORMAT: u32 = 1;

/// One CT for its whole life.
#[derive(Clone, Debug)]
pub struct Record {
    pub plate: Plate,
    pub places: Vec<Place>,
    pub cores: Vec<Core>,
    pub duties: Vec<Duty>,
    pub visits: Vec<Visit>,
    /// Where a visit begins whose date could not be read: nothing of it is judged.
    pub undated: Vec<Span>,
    /// Of each visit the first one that it answers together with; see [`occasion`].
    pub(crate) begins: Vec<usize>,
    /// What hangs on its cores, by the other records of the job.
    pub behind: Vec<Behind>,
    /// What it was read from.
    pub written: Arc<Written>,
}

/// The lines of a record, and what was read of each section; `None` where there is no such section.
#[derive(Clone, Debug, Default)]
pub struct Written {
    pub tree: Tree,
    pub bodies: Vec<Option<Body>>,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// Ids and SHA-256 of the records whose plates it took over, and of those that lent them theirs.
    pub lenders: BTreeMap<String, String>,
}

impl Record {
    /// `1S1-1S3`.
    pub fn pair_text(&self, pair: Pair) -> String {
        self.cores
            .get(pair.core)
            .map_or_else(|| "?".to_owned(), |core| core.pair_text(pair.from, pair.to))
    }

    /// The name of the core that a pair is of, by the terminal before its hyphen.
    pub fn core_of(&self, pair: &str) -> Option<&str> {
        let first = pair.split('-').next()?;
        let is_own = |core: &&Core| core.marks.iter().any(|mark| mark == first);
        self.cores
            .iter()
            .find(is_own)
            .map(|core| core.name.as_str())
    }

    /// The place on a day: the last one that began by then.
    pub fn place_on(&self, day: Date) -> Option<&Place> {
        let begun = |place: &&Place| place.since.is_none_or(|since| since.value <= day);
        self.places.iter().rev().find(begun).or(self.places.first())
    }

    /// The phase that the place of a day states.
    pub fn phase_on(&self, day: Date) -> Option<phase::Phase> {
        phase::Phase::read(self.place_on(day)?.phase.value()?)
    }

    /// The same as written, where it is none that rows can name.
    pub fn odd_phase_on(&self, day: Date) -> Option<&str> {
        let written = self.place_on(day)?.phase.value()?;
        let is_odd = phase::Phase::read(written).is_none();
        is_odd.then_some(written.as_str())
    }

    /// The last place.
    pub fn place(&self) -> Option<&Place> {
        self.places.last()
    }

    /// Whether nothing is due on a core: a spare beside one that serves. Where none serves, the unit
    /// itself is the spare, and is to show what it promises.
    pub fn is_excused(&self, core: &Core) -> bool {
        core.is_spare() && self.cores.iter().any(|core| !core.is_spare())
    }

    /// The duty of a core on a day.
    pub fn duty_on(&self, core: usize, day: Date) -> Option<&Duty> {
        let fits =
            |duty: &&Duty| duty.core == core && duty.since.is_none_or(|since| since.value <= day);
        self.duties.iter().rev().find(fits)
    }

    /// The pair in service of a core after a visit: as left, else as found, else by its duty, else the only
    /// tap.
    pub fn pair_in_service(&self, core: usize, visit: &Visit) -> Option<Pair> {
        self.pair_after(core, &[visit])
    }

    /// The pair in service of a core on a day, by all that was written in so many first visits: what a visit wrote
    /// last, or a duty that began after it.
    pub fn pair_by(&self, core: usize, visits: usize, day: Date) -> Option<Pair> {
        let visits = self.visits.get(..visits)?;
        let duty = self.duty_on(core, day);
        let since = duty
            .filter(|duty| duty.tap.is_some())
            .and_then(|duty| duty.since);
        let after = |visit: &&Visit| since.is_none_or(|since| visit.date.value >= since.value);
        self.pair_on(core, &visits.iter().filter(after).collect::<Vec<_>>(), day)
    }

    /// The position of the primary links in service, by all that was written in so many first visits.
    pub fn links_after(&self, visits: usize) -> Option<&String> {
        let written = self.visits.iter().take(visits).rev();
        written.filter_map(Visit::links_left).next()
    }

    /// Times the cable passes the window in service, likewise; else by the plate.
    pub fn passes_after(&self, visits: usize) -> f64 {
        let written = self.visits.iter().take(visits).rev();
        let written = written.filter_map(|visit| visit.passes.value()).next();
        let passes = written.or(self.plate.passes.value());
        passes.copied().unwrap_or(1.0).max(1.0)
    }

    /// By how much a position of the primary links changes the plate's ratio, by its primary current, since cores
    /// may have other secondary ones; 1 where the plate has none of this name.
    pub fn link_factor(&self, core: &Core, position: Option<&String>) -> f64 {
        let mut links = self.plate.links.iter();
        let link = links.find(|link| Some(&link.value.0) == position);
        let at = link.zip(core.full_ratio());
        at.map_or(1.0, |(link, full)| link.value.1.primary / full.primary)
    }

    /// The pair in service after several visits, oldest first: what the last one writes that writes of it.
    pub fn pair_after(&self, core: usize, visits: &[&Visit]) -> Option<Pair> {
        self.pair_on(core, visits, visits.last()?.date.value)
    }

    /// The same on a day that is none of a visit.
    fn pair_on(&self, core: usize, visits: &[&Visit], day: Date) -> Option<Pair> {
        let mut written = visits.iter().rev();
        if let Some(text) = written.find_map(|visit| tap_written(core, visit)) {
            let name = text.split_once('-').map(|(from, to)| PairName {
                from: from.to_owned(),
                to: to.to_owned(),
            });
            return name.and_then(|name| {
                self::core::resolve(&self.cores, &name, Span::default(), &mut Vec::new())
            });
        }
        let duty = self.duty_on(core, day);
        if let Some(tap) = duty.and_then(|duty| duty.tap) {
            return Some(tap.value);
        }
        let known = self.cores.get(core)?;
        (known.marks.len() == 2).then_some(Pair {
            core,
            from: 0,
            to: 1,
        })
    }
}

/// What a visit writes of the tap in service: how it was left, else how it was found.
fn tap_written(core: usize, visit: &Visit) -> Option<&String> {
    let left = visit.of(kinds::Test::restored);
    let left = left.flat_map(|(_, _, restored)| &restored.cores);
    let left = left.map(|row| (row.core, &row.in_service));
    let found = visit.of(kinds::Test::state);
    let found = found.flat_map(|(_, _, state)| &state.cores);
    let found = found.map(|row| (row.core, &row.in_service));
    let rows = left.chain(found).filter(|(of, _)| *of == Some(core));
    let mut written = rows.filter_map(|(_, text)| text.value());
    written.find(|text| !matches!(text.as_str(), "" | "-"))
}

pub use aside::same as is_same_text;
pub use build::{Identity, identity, is_section, read, read_alone};
