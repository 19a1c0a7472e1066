//! What ISO/IEC 17025:2017 asks of a report, item by item, and whether this pack has it. Clauses
//! 7.8.2.1 and 7.8.6 after the published text; 7.8.3.1 and 7.8.8 from memory.

use super::config::Config;
use super::plan::Entry;
use crate::judge::finding::{Finding, Verdict, Whose};
use crate::record::due;
use crate::trade::Purpose;

/// One item of the standard.
#[derive(Clone, Copy, Debug)]
pub struct Item {
    /// `7.8.2.1 a`
    pub clause: &'static str,
    /// What the report shall hold, in our own words.
    pub asks: &'static str,
    /// Asked only where it matters (receipt, sampling).
    pub where_it_matters: bool,
    /// How to mend it.
    mend: &'static str,
    state: fn(&Look<'_>) -> State,
}

/// Whether the report has an item.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum State {
    /// It stands in the report; what it says, in short.
    Stated(String),
    /// It does not apply; the reason that was given.
    Excused(String),
    /// It does not stand there; what is missing.
    NotStated(String),
}

/// An item with its state in this pack.
#[derive(Clone, Debug)]
pub struct Checked {
    pub item: &'static Item,
    pub state: State,
}

impl Checked {
    pub fn is_missing(&self) -> bool {
        matches!(self.state, State::NotStated(_))
    }

    /// `not stated: ISO/IEC 17025:2017, 7.8.2.1 f, method used; name it in [report] methods`.
    pub fn warning(&self) -> Option<String> {
        let State::NotStated(what) = &self.state else {
            return None;
        };
        let note = if self.item.where_it_matters {
            " (asked only where it matters)"
        } else {
            ""
        };
        let what = if what.is_empty() {
            String::new()
        } else {
            format!(": {what}")
        };
        Some(format!(
            "not stated: ISO/IEC 17025:2017, {}, {}{note}{what}; {}",
            self.item.clause, self.item.asks, self.item.mend
        ))
    }
}

struct Look<'a> {
    config: &'a Config,
    entries: &'a [Entry],
}

/// The sentence of 7.8.2.1 l.
pub const ONLY_THESE: &str = "The results relate only to the items tested.";
/// The advice of the note to 7.8.2.1.
pub const IN_FULL: &str = "This report shall not be reproduced except in full without the written approval of the testing body.";
/// What stands at the end of a report, after 7.8.2.1 d.
pub const END: &str = "End of report";

/// All items, in the order of the standard.
pub static ITEMS: &[Item] = &[
    Item::new("7.8.2.1 a", "title", "write title under [report]", |look| {
        text(&look.config.title)
    }),
    Item::new(
        "7.8.2.1 b",
        "name and address of the testing body",
        "write name and address under [contractor]",
        |look| {
            both(
                &look.config.contractor.name,
                &look.config.contractor.address,
            )
        },
    ),
    Item::new(
        "7.8.2.1 c",
        "where the work was done",
        "write site under [job], or in every record",
        place,
    ),
    Item::new(
        "7.8.2.1 d",
        "unique identification on every part, and an end mark",
        "write number under [report]",
        |look| text(&look.config.number),
    ),
    Item::new(
        "7.8.2.1 e",
        "name and contact of the customer",
        "write name and contact under [client]",
        |look| both(&look.config.client.name, &look.config.client.contact),
    ),
    Item::new(
        "7.8.2.1 f",
        "method used",
        "list standard and clause, or procedure and revision, as methods under [report]",
        |look| text(&look.config.methods.join("; ")),
    ),
    Item::new(
        "7.8.2.1 g",
        "unambiguous identification of the items",
        "write id, maker and serial into the record",
        identification,
    ),
    Item::new(
        "7.8.2.1 h",
        "date of receipt",
        "write received under [report], or why not: h = \"…\" under [report.reasons]",
        |look| text(&look.config.received),
    )
    .where_it_matters(),
    Item::new(
        "7.8.2.1 i",
        "dates of the tests",
        "the record needs a visit that is not the maker's",
        dates,
    ),
    Item::new(
        "7.8.2.1 j",
        "date of issue",
        "write issued under [report]",
        |look| {
            text(
                &look
                    .config
                    .issued
                    .map(|day| day.value.to_string())
                    .unwrap_or_default(),
            )
        },
    ),
    Item::new(
        "7.8.2.1 k",
        "sampling plan",
        "write sampling under [report], or why not: k = \"…\" under [report.reasons]",
        |look| text(&look.config.sampling),
    )
    .where_it_matters(),
    Item::new(
        "7.8.2.1 l",
        "that the results relate only to the items tested",
        "",
        |_| State::Stated(ONLY_THESE.to_owned()),
    ),
    Item::new(
        "7.8.2.1 m",
        "results with their units",
        "the records hold no test that gives a result",
        results,
    ),
    Item::new(
        "7.8.2.1 n",
        "deviations and exclusions",
        "write `not done …: why` into the visit",
        exclusions,
    ),
    Item::new(
        "7.8.2.1 o",
        "who authorised the report",
        "write name under [authorised]",
        |look| text(&look.config.authorised),
    ),
    Item::new(
        "7.8.2.1 p",
        "results of others marked as such",
        "",
        external,
    ),
    Item::new(
        "7.8.2.1 note",
        "that it is reproduced in full only",
        "",
        |_| State::Stated(IN_FULL.to_owned()),
    ),
    Item::new(
        "7.8.3.1 a",
        "conditions of the tests",
        "write ambient into the visit",
        conditions,
    ),
    Item::new(
        "7.8.3.1 c",
        "uncertainty of what is judged",
        "give the instrument's limits of error in instruments.toml",
        uncertainty,
    ),
    Item::new("7.8.6.1", "decision rule and its risk", "", |_| {
        State::Stated("under Decision rule".to_owned())
    }),
    Item::new(
        "7.8.6.2",
        "what each verdict speaks of, and by which limit",
        "a limit has no source",
        limits,
    ),
    Item::new(
        "7.8.8",
        "what a new revision changes",
        "write what into each [[report.history]], and the revision itself among them",
        revision,
    ),
];

impl Item {
    const fn new(
        clause: &'static str,
        asks: &'static str,
        mend: &'static str,
        state: fn(&Look<'_>) -> State,
    ) -> Self {
        Self {
            clause,
            asks,
            where_it_matters: false,
            mend,
            state,
        }
    }

    const fn where_it_matters(mut self) -> Self {
        self.where_it_matters = true;
        self
    }

    fn letter(&self) -> Option<&'static str> {
        self.clause
            .strip_prefix("7.8.2.1 ")
            .filter(|letter| letter.len() == 1)
    }
}

/// Whether a reason may stand for an item of this letter. What kneemark itself puts into every report
/// needs none.
pub fn is_excusable(letter: &str) -> bool {
    ITEMS
        .iter()
        .any(|item| item.letter() == Some(letter) && !item.mend.is_empty())
}

/// Looks for every item.
pub fn check(config: &Config, entries: &[Entry]) -> Vec<Checked> {
    let look = Look { config, entries };
    let state = |item: &Item| match (item.state)(&look) {
        State::NotStated(what) => {
            let reason = item.letter().and_then(|letter| config.reasons.get(letter));
            reason.map_or(State::NotStated(what), |why| State::Excused(why.clone()))
        }
        stated => stated,
    };
    ITEMS
        .iter()
        .map(|item| Checked {
            item,
            state: state(item),
        })
        .collect()
}

fn text(text: &str) -> State {
    if text.is_empty() {
        State::NotStated(String::new())
    } else {
        State::Stated(text.to_owned())
    }
}

fn both(name: &str, more: &str) -> State {
    match (name.is_empty(), more.is_empty()) {
        (false, false) => State::Stated(format!("{name}, {more}")),
        (false, true) => State::NotStated(format!("only {name}")),
        _ => State::NotStated(String::new()),
    }
}

/// Stated when no CT lacks it; names some that do.
fn of_each(entries: &[Entry], has: impl Fn(&Entry) -> bool, stated: &str) -> State {
    let lacking: Vec<&str> = entries
        .iter()
        .filter(|entry| !has(entry))
        .map(|entry| entry.name.as_str())
        .collect();
    if lacking.is_empty() {
        State::Stated(stated.to_owned())
    } else {
        State::NotStated(some(&lacking))
    }
}

/// `A, B, C and 4 more`.
pub fn some(names: &[&str]) -> String {
    let shown: Vec<&str> = names.iter().take(3).copied().collect();
    match names.len() {
        0..=3 => shown.join(", "),
        all => format!("{} and {} more", shown.join(", "), all - 3),
    }
}

fn place(look: &Look<'_>) -> State {
    if !look.config.site.is_empty() {
        return State::Stated(look.config.site.clone());
    }
    of_each(
        look.entries,
        |entry| {
            entry
                .record()
                .place()
                .is_some_and(|place| !place.site.is_missing())
        },
        "with each CT",
    )
}

fn identification(look: &Look<'_>) -> State {
    let has = |entry: &Entry| {
        let plate = &entry.record().plate;
        plate.id.value().is_some()
            && plate.maker.value().is_some()
            && plate.serial.value().is_some()
    };
    of_each(look.entries, has, "id, maker and serial number of each CT")
}

fn dates(look: &Look<'_>) -> State {
    of_each(
        look.entries,
        |entry| !entry.visits.is_empty(),
        "with each visit",
    )
}

/// Findings of the job's visits.
fn findings(entries: &[Entry]) -> impl Iterator<Item = (&Entry, &Finding)> {
    entries.iter().flat_map(|entry| {
        let visits = entry
            .visits
            .iter()
            .filter_map(|&index| entry.unit.assessment.visits.get(index));
        visits.flat_map(move |visit| visit.findings.iter().map(move |finding| (entry, finding)))
    })
}

fn results(look: &Look<'_>) -> State {
    let count = findings(look.entries)
        .filter(|(_, finding)| finding.found.value().is_some())
        .count();
    if count == 0 {
        State::NotStated(String::new())
    } else {
        State::Stated(format!("{count} values, each with its unit"))
    }
}

fn exclusions(look: &Look<'_>) -> State {
    let explained = |entry: &Entry| {
        entry
            .visits()
            .last()
            .is_none_or(|(_, visit)| due::missing(entry.record(), visit).is_empty())
    };
    of_each(look.entries, explained, "under Not tested")
}

fn external(look: &Look<'_>) -> State {
    let maker = |entry: &&Entry| {
        entry
            .record()
            .visits
            .iter()
            .any(|visit| visit.purpose() == Purpose::Factory)
    };
    match look.entries.iter().filter(maker).count() {
        0 => State::Stated("no result of others is used".to_owned()),
        count => State::Stated(format!(
            "the manufacturer's results of {count} CTs are given as the manufacturer's, beside our own"
        )),
    }
}

fn conditions(look: &Look<'_>) -> State {
    of_each(
        look.entries,
        |entry| {
            entry
                .visits()
                .all(|(_, visit)| visit.ambient.value().is_some())
        },
        "air temperature of each visit",
    )
}

fn uncertainty(look: &Look<'_>) -> State {
    // How the work was done is no result about the item tested.
    let judged = |finding: &Finding| {
        matches!(finding.verdict, Verdict::Word(_)) && finding.rule.whose != Whose::Measurement
    };
    let lacks = |entry: &Entry, finding: &Finding| {
        let value = finding.found.value();
        value.is_some_and(|value| !entry.unit.assessment.workings.uncertainty(value).known)
    };
    let (mut all, mut without) = (0usize, Vec::new());
    for (entry, finding) in findings(look.entries).filter(|(_, finding)| judged(finding)) {
        all += 1;
        if lacks(entry, finding) && without.last() != Some(&entry.name.as_str()) {
            without.push(entry.name.as_str());
        }
    }
    match (all, without.is_empty()) {
        (0, _) => State::Stated("nothing is judged".to_owned()),
        (_, true) => State::Stated("U and k beside each value".to_owned()),
        (_, false) => State::NotStated(some(&without)),
    }
}

fn limits(look: &Look<'_>) -> State {
    let unsourced = |finding: &Finding| {
        matches!(finding.verdict, Verdict::Word(_))
            && finding.found.value().is_some()
            && finding
                .against
                .as_ref()
                .is_none_or(|against| against.cited.source.is_empty())
    };
    let names: Vec<&str> = findings(look.entries)
        .filter(|(_, finding)| unsourced(finding))
        .map(|(entry, _)| entry.name.as_str())
        .collect();
    if names.is_empty() {
        State::Stated("with each verdict".to_owned())
    } else {
        State::NotStated(some(&names))
    }
}

fn revision(look: &Look<'_>) -> State {
    let history = &look.config.history;
    let listed = history.iter().any(|one| one.name == look.config.revision);
    if history.iter().any(|one| one.what.is_empty()) || !listed {
        return State::NotStated(String::new());
    }
    State::Stated(format!("{} in the revision history", look.config.revision))
}
