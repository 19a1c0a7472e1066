//! The order of the pack: CTs grouped by what `order` says, each with a file name of its own, and the
//! visits that belong to the job.

use super::build::Planned;
use super::config::{Config, Key};
use crate::compare::Sister;
use crate::document::Grade;
use crate::document::{free, joined, slug_or};
use crate::ground::date::Date;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::job::{Compiled, Found};
use crate::judge::VisitAssessment;
use crate::judge::requirement::Claims;
use crate::judge::standing::Told;
use crate::record::place::Place;
use crate::record::visit::Visit;
use crate::record::{Record, occasion};
use crate::report::Subject;
use crate::report::rows::Row;
use crate::trade::Purpose;
use alphanumeric_sort::compare_str;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Where a CT stands in the pack.
#[derive(Clone, Debug, Default)]
pub struct Spot {
    /// Its record in the survey.
    pub index: usize,
    /// File name without its ending, unique in the pack.
    pub slug: String,
    /// As people call it: its id, or the record's file where it has none.
    pub name: String,
    /// Heading under which it stands: `Skerrow 132 kV, H07`; empty when the place is not stated.
    pub group: String,
    /// What tells it from the others of its group: its phase, or what it is the spare of.
    pub position: String,
    /// The bay that it shares with others.
    pub bay: Option<usize>,
}

impl Spot {
    /// Its page as seen from the front, without an ending.
    pub fn path(&self) -> String {
        format!("ct/{}", self.slug)
    }

    /// `Skerrow 132 kV, H07, L1`; empty where none is stated.
    pub fn place(&self) -> String {
        let place = [&self.group, &self.position];
        joined(
            place.map(|text| (!text.is_empty()).then(|| text.clone())),
            ", ",
        )
    }

    /// What it is called beside its place.
    pub fn short(&self) -> &str {
        match self.position.as_str() {
            "" => &self.name,
            position => position,
        }
    }
}

/// A bay with several CTs, which has a page of its own.
#[derive(Clone, Debug)]
pub struct Bay {
    pub slug: String,
    /// `Skerrow 132 kV, H07`.
    pub name: String,
    /// Its CTs among all of the pack, in their order.
    pub members: Vec<usize>,
}

impl Bay {
    /// Its page as seen from the front, without an ending.
    pub fn path(&self) -> String {
        format!("bay/{}", self.slug)
    }
}

/// The order of a pack.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    /// All CTs.
    pub spots: Vec<Arc<Spot>>,
    pub bays: Vec<Bay>,
}

/// One CT in the pack, compiled, with what every page says of it.
pub struct Entry<'a> {
    pub spot: &'a Arc<Spot>,
    pub unit: &'a Compiled,
    /// Indices of the visits of this job, oldest first.
    pub visits: Vec<usize>,
    /// What its report is about: those of them, the last ones, that answer together; without a visit of
    /// the job the last ones of all.
    pub subject: Subject<'a>,
    /// The day that its open points are held against: of issue, else of its last visit.
    pub on: Option<Date>,
    /// Without a visit of the job, that there is nothing to claim.
    unvisited: Option<Claims<'a>>,
}

impl<'a> Entry<'a> {
    pub fn new(
        spot: &'a Arc<Spot>,
        unit: &'a Compiled,
        sisters: Vec<Sister<'a>>,
        planned: &Planned<'_>,
    ) -> Self {
        let config = &planned.config;
        let issued = config.issued.map(|issued| issued.value);
        let (mut visits, mut occasion, makers) = of_job(&unit.record, config, issued);
        let (record, assessment) = (&unit.record, &unit.assessment);
        let claims = |visits: &[usize]| Claims::of(record, assessment, visits, unit.unread());
        // What failed at the maker's fails until a visit shows it mended, also where nobody went.
        let failed = |one: &Told<'_>| one.grade() == Grade::Fails;
        if occasion.is_empty() && claims(&makers).counted().any(failed) {
            (visits, occasion) = (makers.clone(), makers);
        }
        let unvisited = occasion.is_empty().then(|| claims(&[]));
        let subject = match occasion.is_empty() {
            true => Subject::of(unit, sisters),
            false => Subject::at(occasion, unit, sisters),
        };
        Self {
            spot,
            unit,
            visits,
            subject: subject.made_also_of(planned.basis.parts.iter().cloned()),
            on: issued.or(unit.record.last_day()),
            unvisited,
        }
    }

    /// What the job's visits let it claim.
    pub fn claims(&self) -> &Claims<'a> {
        self.unvisited.as_ref().unwrap_or(self.subject.claims())
    }

    /// The rows of its table; without a visit of the job there are none.
    pub fn rows(&self) -> &[Row] {
        match self.unvisited {
            Some(_) => &[],
            None => self.subject.rows(),
        }
    }

    pub fn record(&self) -> &'a Record {
        &self.unit.record
    }

    /// The job's visits with their indices.
    pub fn visits(&self) -> impl DoubleEndedIterator<Item = (usize, &'a Visit)> {
        let all = &self.unit.record.visits;
        let one = |&index: &usize| Some((index, all.get(index)?));
        self.visits.iter().filter_map(one)
    }

    /// What the job's visits were judged.
    pub fn assessed(&self) -> impl Iterator<Item = &'a VisitAssessment> {
        let all = &self.unit.assessment.visits;
        self.visits.iter().filter_map(|index| all.get(*index))
    }
}

/// The CTs in the order of the pack, and the bays that they stand in.
pub fn plan(found: &[Found], config: &Config) -> Plan {
    // Stable, and the survey is in the order of paths: how the folder was listed decides nothing.
    let mut order: Vec<(usize, &Found)> = found.iter().enumerate().collect();
    order.sort_by(|(_, a), (_, b)| by_keys(a, b, &config.order));
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let spot = |(index, one): (usize, &Found)| {
        let name = name(one);
        let slug = free(&slug_or(&name, "ct"), 2, |name| taken.contains(name));
        taken.insert(slug.clone());
        let (group, position) = place(one.place.as_ref());
        Spot {
            index,
            slug,
            name,
            group,
            position,
            bay: None,
        }
    };
    let mut spots: Vec<Spot> = order.into_iter().map(spot).collect();
    let bays = bays(&mut spots, found);
    let spots = spots.into_iter().map(Arc::new).collect();
    Plan { spots, bays }
}

/// Bays in which several CTs stand, in the order of the first of each.
fn bays(spots: &mut [Spot], found: &[Found]) -> Vec<Bay> {
    let mut members: BTreeMap<(&str, &str), Vec<usize>> = BTreeMap::new();
    for (at, spot) in spots.iter().enumerate() {
        let place = found.get(spot.index).and_then(|one| one.place.as_ref());
        let bay = place.and_then(|place| place.site.value().zip(place.bay.value()));
        if let Some((site, bay)) = bay {
            members.entry((site, bay)).or_default().push(at);
        }
    }
    let mut members: Vec<Vec<usize>> = members.into_values().collect();
    members.retain(|members| members.len() > 1);
    members.sort();
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let mut bays = Vec::new();
    for members in members {
        let first = members.first().and_then(|first| spots.get(*first));
        let name = first.map(|first| first.group.clone()).unwrap_or_default();
        let slug = free(&slug_or(&name, "bay"), 2, |name| taken.contains(name));
        taken.insert(slug.clone());
        for at in &members {
            if let Some(spot) = spots.get_mut(*at) {
                spot.bay = Some(bays.len());
            }
        }
        bays.push(Bay {
            slug,
            name,
            members,
        });
    }
    bays
}

fn name(found: &Found) -> String {
    match &found.id {
        Some(id) => id.clone(),
        None => found
            .path
            .file_stem()
            .map(|stem| stem.to_string_lossy().into_owned())
            .unwrap_or_default(),
    }
}

fn by_keys(a: &Found, b: &Found, keys: &[Key]) -> Ordering {
    let each = keys.iter().map(|key| {
        let (x, y) = (key_text(a, *key), key_text(b, *key));
        // What does not say where it stands comes last.
        x.is_empty().cmp(&y.is_empty()).then_with(|| natural(x, y))
    });
    each.fold(Ordering::Equal, Ordering::then)
}

/// The order that people expect of names with numbers in them, L1, L2, L10, whatever their case; of
/// names that read equal (`7`, `07`) the text decides, so that the order is total.
fn natural(a: &str, b: &str) -> Ordering {
    compare_str(a.to_lowercase(), b.to_lowercase()).then_with(|| a.cmp(b))
}

fn key_text(found: &Found, key: Key) -> &str {
    let place = found.place.as_ref();
    let text = match key {
        Key::Site => place.and_then(|place| place.site.value()),
        Key::Bay => place.and_then(|place| place.bay.value()),
        Key::Phase => place.and_then(|place| place.phase.value()),
        Key::Set => place.and_then(|place| place.set.value()),
        Key::Id => found.id.as_ref(),
        Key::File => return &found.name,
    };
    text.map_or("", String::as_str)
}

fn place(place: Option<&Place>) -> (String, String) {
    let Some(place) = place else {
        return Default::default();
    };
    let group = joined(
        [place.site.value().cloned(), place.bay.value().cloned()],
        ", ",
    );
    let spare = place.spare_for.value().map(|of| format!("spare for {of}"));
    (
        group,
        place.phase.value().cloned().or(spare).unwrap_or_default(),
    )
}

/// The visits a pack speaks of, and those of them that its verdicts speak of: of visits that answer
/// together the last ones with one that names a job of the pack, else the last ones that are not the
/// maker's; and what else names a job of the pack. Then the maker's last ones.
fn of_job(
    record: &Record,
    config: &Config,
    issued: Option<Date>,
) -> (Vec<usize>, Vec<usize>, Vec<usize>) {
    let visit = |index: &usize| record.visits.get(*index);
    let counts = |index: &usize| {
        let day = visit(index).map(|visit| visit.date.value);
        issued.is_none_or(|issued| day.is_some_and(|day| day <= issued))
    };
    let is_named = |index: &usize| {
        let job = visit(index).and_then(|visit| visit.job.value());
        job.is_some_and(|job| config.file.jobs.contains_key(job))
    };
    let groups = occasion::occasions(record).into_iter();
    let groups = groups.map(|group| group.into_iter().filter(counts).collect::<Vec<_>>());
    let groups: Vec<Vec<usize>> = groups.filter(|group| !group.is_empty()).collect();
    let at_maker = |group: &&Vec<usize>| occasion::purposes(record, group).holds(Purpose::Factory);
    let named = groups.iter().rfind(|group| group.iter().any(is_named));
    let last = named.or_else(|| groups.iter().rfind(|group| !at_maker(group)));
    let last = last.cloned().unwrap_or_default();
    let all = groups.iter().flatten().copied();
    let visits = all.filter(|index| is_named(index) || last.contains(index));
    let makers = groups.iter().rfind(at_maker).cloned().unwrap_or_default();
    (visits.collect(), last, makers)
}

/// Tells of visits after the day of issue: the report cannot speak of them.
pub fn tell_later(record: &Record, config: &Config, found: &mut Vec<Diagnostic>) {
    let Some(issued) = config.issued else { return };
    let day = issued.value;
    let later = |visit: &&Visit| visit.date.value > day && !visit.as_found();
    for visit in record.visits.iter().filter(later) {
        let name = visit.name();
        let title = format!("the visit of {name} lies after the report's day of issue, {day}");
        let told = Code::VisitFuture.at(visit.date.span, title);
        let told = told.label("after the day of issue");
        found.push(told.help("correct the date here, or issued under [report] in pack.toml; the summary leaves this visit out"));
    }
}

#[cfg(test)]
mod tests {
    use super::natural;

    #[test]
    fn numbers_count_as_numbers() {
        let order = [
            "",
            "1e9",
            "99999999999999999999999",
            "H7",
            "H07",
            "H12 line side",
            "L1",
            "L2",
            "l3",
            "L10",
        ];
        let mut names = order;
        names.reverse();
        names.sort_by(|a, b| natural(a, b));
        assert_eq!(names, order);
    }
}
