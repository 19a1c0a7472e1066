//! What ISO/IEC 17025:2017 asks of a report, item by item, and whether this pack has it. Clauses
//! 7.8.2.1 and 7.8.6 after the published text; 7.8.3.1 and 7.8.8 from memory.

use super::card::Card;
use super::config::{Config, Report};
use super::plan::Entry;
use crate::judge::finding::{Finding, Verdict};
use crate::judge::requirement::Shown;
use crate::judge::rules::Whose;
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
    /// How to mend it; empty where the program itself puts it into every report.
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
        let note = match self.item.where_it_matters {
            true => " (asked only where it matters)",
            false => "",
        };
        let colon = if what.is_empty() { "" } else { ": " };
        Some(format!(
            "not stated: ISO/IEC 17025:2017, {}, {}{note}{colon}{what}; {}",
            self.item.clause, self.item.asks, self.item.mend
        ))
    }
}

struct Look<'a> {
    config: &'a Config,
    cards: &'a [Card],
}

/// What one CT gives to the report.
#[derive(Clone, Copy, Debug, Default, serde::Serialize, serde::Deserialize)]
pub struct Given {
    site: bool,
    identified: bool,
    visited: bool,
    /// Everything due and not shown has a reason.
    explained: bool,
    /// Results of the manufacturer stand beside ours.
    maker: bool,
    ambient: bool,
    /// Values with their units.
    values: usize,
    judged: bool,
    /// A judged value has no known uncertainty.
    uncertain: bool,
    /// A limit has no source.
    unsourced: bool,
}

impl Given {
    pub fn of(entry: &Entry<'_>) -> Self {
        let record = entry.record();
        let plate = &record.plate;
        let place = record.place();
        let findings = || entry.assessed().flat_map(|visit| &visit.findings);
        let is_word = |finding: &&Finding| matches!(finding.verdict, Verdict::Word(_));
        // How the work was done is no result about the item tested.
        let judged = || {
            findings()
                .filter(is_word)
                .filter(|one| one.rule.whose != Whose::Measurement)
        };
        let w = &entry.unit.assessment.workings;
        let unknown = |finding: &Finding| {
            let value = finding.value();
            value.is_some_and(|value| !w.uncertainty(value).known)
        };
        let source = |finding: &Finding| {
            let against = finding.against.as_ref();
            against.is_some_and(|against| !against.cited.source.is_empty())
        };
        let unsourced = |finding: &Finding| finding.value().is_some() && !source(finding);
        Self {
            site: place.is_some_and(|place| !place.site.is_missing()),
            identified: [&plate.id, &plate.maker, &plate.serial]
                .iter()
                .all(|given| given.value().is_some()),
            visited: !entry.visits.is_empty(),
            explained: !entry.claims().shown.iter().any(Shown::is_unexplained),
            maker: record
                .visits
                .iter()
                .any(|visit| visit.purpose() == Purpose::Factory),
            ambient: entry
                .visits()
                .all(|(_, visit)| visit.ambient.value().is_some()),
            values: findings()
                .filter(|finding| finding.value().is_some())
                .count(),
            judged: judged().next().is_some(),
            uncertain: judged().any(unknown),
            unsourced: findings().filter(is_word).any(unsourced),
        }
    }
}

impl Look<'_> {
    fn report(&self) -> &Report {
        &self.config.file.report
    }
}

/// The sentence of 7.8.2.1 l.
pub const ONLY_THESE: &str = "The results relate only to the items tested.";
/// The advice of the note to 7.8.2.1.
pub const IN_FULL: &str = "This report shall not be reproduced except in full without the written approval of the testing body.";
/// What stands at the end of a report, after 7.8.2.1 d.
pub const END: &str = "End of report";

/// Clause, what it asks, how to mend it, and where its state is found.
macro_rules! items {
    ($($clause:literal, $asks:literal $(, $matters:ident)? => $mend:literal, $state:expr;)*) => {
        /// All items, in the order of the standard.
        pub static ITEMS: &[Item] = &[$(Item {
            clause: $clause,
            asks: $asks,
            where_it_matters: items!(@ $($matters)?),
            mend: $mend,
            state: $state,
        }),*];
    };
    (@ where_it_matters) => { true };
    (@) => { false };
}

items! {
    "7.8.2.1 a", "title"
        => "write title under [report]", |look| text(&look.report().title);
    "7.8.2.1 b", "name and address of the testing body"
        => "write name and address under [contractor]", testing_body;
    "7.8.2.1 c", "where the work was done"
        => "write site under [job], or in every record", place;
    "7.8.2.1 d", "unique identification on every part, and an end mark"
        => "write number under [report]", |look| text(&look.report().number);
    "7.8.2.1 e", "name and contact of the customer"
        => "write name and contact under [client]", client;
    "7.8.2.1 f", "method used"
        => "list standard and clause, or procedure and revision, as methods under [report]",
        |look| text(&look.report().methods.join("; "));
    "7.8.2.1 g", "unambiguous identification of the items"
        => "write id, maker and serial into the record", identification;
    "7.8.2.1 h", "date of receipt", where_it_matters
        => "write received under [report], or why not: h = \"…\" under [report.reasons]",
        |look| text(&look.report().received);
    "7.8.2.1 i", "dates of the tests"
        => "the record needs a visit that is not the maker's", dates;
    "7.8.2.1 j", "date of issue"
        => "write issued under [report]", issue;
    "7.8.2.1 k", "sampling plan", where_it_matters
        => "write sampling under [report], or why not: k = \"…\" under [report.reasons]",
        |look| text(&look.report().sampling);
    "7.8.2.1 l", "that the results relate only to the items tested"
        => "", |_| text(ONLY_THESE);
    "7.8.2.1 m", "results with their units"
        => "the records hold no test that gives a result", results;
    "7.8.2.1 n", "deviations and exclusions"
        => "write `not done …: why` into the visit", exclusions;
    "7.8.2.1 o", "who authorised the report"
        => "write name under [authorised]", |look| text(&look.config.file.authorised.name);
    "7.8.2.1 p", "results of others marked as such"
        => "", external;
    "7.8.2.1 note", "that it is reproduced in full only"
        => "", |_| text(IN_FULL);
    "7.8.3.1 a", "conditions of the tests"
        => "write ambient into the visit", conditions;
    "7.8.3.1 c", "uncertainty of what is judged"
        => "give the instrument's limits of error in instruments.toml", uncertainty;
    "7.8.6.1", "decision rule and its risk"
        => "", |_| text("under Decision rule");
    "7.8.6.2", "what each verdict speaks of, and by which limit"
        => "a limit has no source", limits;
    "7.8.8", "what a new revision changes"
        => "write what into each [[report.history]], and the revision itself among them", revision;
}

/// The clause of the item of 7.8.2.1 with this letter, if a reason may stand for it. What kneemark itself
/// puts into every report needs none.
pub fn excusable(letter: &str) -> Option<&'static str> {
    let is_one = letter.len() == 1;
    let named = |item: &&Item| is_one && item.clause.strip_prefix("7.8.2.1 ") == Some(letter);
    let item = ITEMS.iter().find(named)?;
    (!item.mend.is_empty()).then_some(item.clause)
}

/// Looks for every item.
pub fn check(config: &Config, cards: &[Card]) -> Vec<Checked> {
    let look = Look { config, cards };
    let state = |item: &Item| match ((item.state)(&look), config.reasons.get(item.clause)) {
        (State::NotStated(_), Some(why)) => State::Excused(why.clone()),
        (state, _) => state,
    };
    let checked = ITEMS.iter().map(|item| Checked {
        item,
        state: state(item),
    });
    checked.collect()
}

fn text(text: &str) -> State {
    stated_unless(text.is_empty(), "", text)
}

fn stated_unless(lacking: bool, missing: &str, stated: &str) -> State {
    if lacking {
        State::NotStated(missing.to_owned())
    } else {
        State::Stated(stated.to_owned())
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
fn of_each(look: &Look<'_>, stated: &str, has: impl Fn(&Given) -> bool) -> State {
    let lacking = look.cards.iter().filter(|card| !has(&card.given));
    let names: Vec<&str> = lacking.map(|card| card.spot.name.as_str()).collect();
    stated_unless(!names.is_empty(), &some(&names, 3), stated)
}

/// At most so many: `A, B, C and 4 more`.
pub fn some(names: &[impl AsRef<str>], most: usize) -> String {
    let shown: Vec<&str> = names.iter().take(most).map(AsRef::as_ref).collect();
    match names.len().saturating_sub(most) {
        0 => shown.join(", "),
        more => format!("{} and {more} more", shown.join(", ")),
    }
}

fn testing_body(look: &Look<'_>) -> State {
    let body = &look.config.file.contractor;
    both(&body.name, &body.address)
}

fn client(look: &Look<'_>) -> State {
    let client = &look.config.file.client;
    both(&client.name, &client.contact)
}

fn place(look: &Look<'_>) -> State {
    let site = &look.config.file.job.site;
    if !site.is_empty() {
        return text(site);
    }
    of_each(look, "with each CT", |given| given.site)
}

fn identification(look: &Look<'_>) -> State {
    let what = "id, maker and serial number of each CT";
    of_each(look, what, |given| given.identified)
}

fn dates(look: &Look<'_>) -> State {
    of_each(look, "with each visit", |given| given.visited)
}

fn issue(look: &Look<'_>) -> State {
    let day = look.config.issued.map(|day| day.value.to_string());
    text(&day.unwrap_or_default())
}

fn results(look: &Look<'_>) -> State {
    let count: usize = look.cards.iter().map(|card| card.given.values).sum();
    stated_unless(
        count == 0,
        "",
        &format!("{count} values, each with its unit"),
    )
}

fn exclusions(look: &Look<'_>) -> State {
    of_each(look, "under Not tested", |given| given.explained)
}

fn external(look: &Look<'_>) -> State {
    match look.cards.iter().filter(|card| card.given.maker).count() {
        0 => text("no result of others is used"),
        count => State::Stated(format!(
            "the manufacturer's results of {count} CTs are given as the manufacturer's, beside our own"
        )),
    }
}

fn conditions(look: &Look<'_>) -> State {
    of_each(look, "air temperature of each visit", |given| given.ambient)
}

fn uncertainty(look: &Look<'_>) -> State {
    if !look.cards.iter().any(|card| card.given.judged) {
        return text("nothing is judged");
    }
    of_each(look, "U and k beside each value", |given| !given.uncertain)
}

fn limits(look: &Look<'_>) -> State {
    of_each(look, "with each verdict", |given| !given.unsourced)
}

fn revision(look: &Look<'_>) -> State {
    let (history, own) = (&look.config.history, &look.report().revision);
    let listed = history.iter().any(|one| one.name == *own);
    let lacking = history.iter().any(|one| one.what.is_empty()) || !listed;
    stated_unless(lacking, "", &format!("{own} in the revision history"))
}
