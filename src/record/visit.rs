//! `[visit …]`: who came when, why, and what was tested; the tests follow as sections of their own.

use super::attachments::Attachment;
use super::body::Body;
use super::kinds::Test;
use super::schema::{FoundBy, section};
use super::sign_off::SignOff;
use super::value::Omission;
use crate::ground::date::Date;
use crate::ground::span::{Located, Span};
use crate::trade::{Purpose, Purposes};

section! {
    "visit", Visit, "one visit; the test sections below it belong to it";
    /// One visit.
    Visit::read(body: &Body, date: Located<Date>, letter: Option<String>) {
        purpose: Text
            "factory, receiving, commissioning, before energising, after energising, maintenance, after a fault, retest, investigation, or in own words behind one of these";
        job: Text "name of a job in pack.toml that gives people, papers and instruments";
        tested_by "tested by": Text "who took the readings";
        reviewed_by "reviewed by": Text "who checked them";
        witnessed_by "witnessed by": Text "who watched for the client";
        authorised_by "authorised by": Text "who answers for the report";
        crew: Text "all who worked on the day, by name";
        permit: Text "number of the permit to work on the dead primary";
        permit_until "permit until": Moment "when the permit ends, as written on it";
        permit_returned "permit returned": Moment
            "when the permit was handed back; before the primary is energised";
        outage: Text "number of the outage";
        procedure: Text "document that the work went by, with its revision";
        "deviation": Text "what was done otherwise than the procedure says, and why" repeat;
        weather: Text "weather, in words";
        leads: Text "the set of test leads, by its mark";
        certificate: Text "number of the certificate or report that the readings come from";
        ambient: Temperature "air temperature";
        humidity: Percent "relative humidity";
        instrument: Text "the instrument that is used unless a section names another";
        reference: Text "the standard that is used unless a section names another";
        winding_temperature "temperature of the winding": Temperature
            "winding temperature unless a section states its own";
        winding_temperature_by "temperature by": Choice(FoundBy)
            "how the temperature of the winding was found";
        primary: Text "state of the primary while testing: P1 open, P2 earthed";
        links "primary links": Text "position of the primary links: series, parallel";
        passes: Count
            "times the primary cable passes the window, where it differs from the plate";
        excitation_read_from "excitation read from": Text
            "the document an excitation curve was read from";
        "action": Text "an open point: `A1 dry out the terminal box; S. Hollen; 2026-06-01`" repeat;
        "closed": Text "an open point that is done: `A1 dried, cover seal renewed`" repeat;
    } + {
        date: Located<Date> = date;
        letter: Option<String> = letter;
        actions: Vec<Action> = body.texts("action").map(action).collect();
        closed: Vec<Closing> = body.texts("closed").map(closed).collect();
        deviations: Vec<Located<String>> = body.texts("deviation").cloned().collect();
        notes: Vec<Located<String>> = body.notes.clone();
        omissions: Vec<Omission> = body.omissions.clone();
        /// The last day on which something in its own lines was amended.
        amended: Option<Located<Date>> = body.last_amended();
        tests: Vec<Test> = Vec::new();
        attachments: Vec<Attachment> = Vec::new();
        sign_offs: Vec<SignOff> = Vec::new();
        /// Where the tests stand that were made again on that day: it holds them, and what serves them, and no more.
        made_again: Vec<Span> = Vec::new();
        span: Span = body.open;
        doubtful: Option<Span> = body.doubtful;
    }
}

/// One end of the primary as it stood while testing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PrimaryEnd {
    pub terminal: String,
    /// `open`, `earthed`, `shorted`, `driven`, …
    pub state: String,
}

/// An open point with its owner and day.
#[derive(Clone, Debug)]
pub struct Action {
    pub label: String,
    pub what: String,
    pub by: String,
    /// As written; a day, where it is one.
    pub until: String,
    pub span: Span,
}

/// What closes a point.
#[derive(Clone, Debug)]
pub struct Closing {
    pub label: String,
    pub remark: String,
    pub span: Span,
}

impl Visit {
    /// `2026-03-14`, `2026-03-14 b`, `2026-03-14 as found`.
    pub fn name(&self) -> String {
        let letter = self.letter.as_ref();
        let letter = letter
            .map(|letter| format!(" {letter}"))
            .unwrap_or_default();
        let part = if self.as_found() { " as found" } else { "" };
        format!("{}{letter}{part}", self.date.value)
    }

    /// Whether it is what was found on a day, cured and made again.
    pub fn as_found(&self) -> bool {
        !self.made_again.is_empty()
    }

    /// Whether a test is of this part of its day, and does not only serve it.
    pub fn is_own(&self, test: &Test) -> bool {
        !self.as_found() || self.made_again.contains(&test.span)
    }

    /// The tests of this part of its day.
    pub fn own_tests(&self) -> impl DoubleEndedIterator<Item = &Test> {
        self.tests.iter().filter(|test| self.is_own(test))
    }

    /// Why it was made, as far as it decides which tests are due.
    pub fn purpose(&self) -> Purpose {
        Purpose::read(self.purpose.value().map_or("", String::as_str))
    }

    /// All that it was made for, as far as it decides which tests are due.
    pub fn purposes(&self) -> Purposes {
        Purposes::read(self.purpose.value().map_or("", String::as_str))
    }

    /// The tests of one kind with their place in the visit: `visit.of(Test::ratio)`.
    pub fn of<'a, T: 'a>(
        &'a self,
        body: fn(&'a Test) -> Option<&'a T>,
    ) -> impl Iterator<Item = (usize, &'a Test, &'a T)> {
        let tests = self.tests.iter().enumerate();
        let tests = tests.filter_map(move |(index, test)| Some((index, test, body(test)?)));
        let mut tests: Vec<(usize, &Test, &T)> = tests.collect();
        tests.sort_by_key(|(_, test, _)| test.turn());
        tests.into_iter()
    }

    /// The state of the primary's ends in a test: its own, else that of the visit.
    pub fn primary_ends_in(&self, test: &Test) -> Option<Located<Vec<PrimaryEnd>>> {
        let own = test.excitation().and_then(|run| run.primary.get());
        match own {
            Some(text) => Some(Located::new(primary_ends(&text.value), text.span)),
            None => self.primary_ends(),
        }
    }

    /// The position of the primary links as found.
    pub fn links_found(&self) -> Option<&Located<String>> {
        let mut states = self.of(Test::state);
        states.find_map(|(_, _, state)| state.links.get())
    }

    /// The same while testing: as the visit says, else as found.
    pub fn links_on_the_day(&self) -> Option<&String> {
        let found = || self.links_found().map(|links| &links.value);
        self.links.value().or_else(found)
    }

    /// The positions that its ratios were taken in: each test's own, else that of the day.
    pub fn links_of_ratios(&self) -> impl Iterator<Item = &String> {
        let tests = self.of(Test::ratio);
        let stated = tests.filter_map(|(_, _, ratio)| ratio.links.value());
        stated.chain(self.links_on_the_day())
    }

    /// The same in service after the visit: as left, else as they stood last.
    pub fn links_left(&self) -> Option<&String> {
        let left = self.of(Test::restored);
        let left = left.filter_map(|(_, _, left)| left.primary_links.value());
        left.last().or_else(|| self.links_on_the_day())
    }

    /// The state of the primary's ends, from the visit or its `[state]` section.
    pub fn primary_ends(&self) -> Option<Located<Vec<PrimaryEnd>>> {
        let mut states = self.of(Test::state);
        let in_state = states.find_map(|(_, _, state)| state.primary.get());
        let text = in_state.or_else(|| self.primary.get())?;
        Some(Located::new(primary_ends(&text.value), text.span))
    }
}

/// Whether the primary is closed: both its ends earthed, so that the earth closes it, or shorted.
pub fn is_closed(ends: &[PrimaryEnd]) -> bool {
    let earthed = ends.iter().filter(|end| end.state == "earthed");
    earthed.count() >= 2 || is_shorted(ends)
}

/// Whether the primary is shorted on itself.
pub fn is_shorted(ends: &[PrimaryEnd]) -> bool {
    ends.iter().any(|end| end.state == "shorted")
}

fn primary_ends(text: &str) -> Vec<PrimaryEnd> {
    let end = |part: &str| {
        let part = part.trim_matches(' ');
        // A word alone is of the primary as a whole.
        let (terminal, state) = part.split_once(' ').unwrap_or(("", part));
        let state = if state.starts_with("ground") || state.starts_with("earth") {
            "earthed"
        } else {
            state
        };
        PrimaryEnd {
            terminal: terminal.to_owned(),
            state: state.to_owned(),
        }
    };
    text.split(',').map(end).collect()
}

/// `A1 dry it; S. Hollen; 2026-06-01`; what stands behind the owner is the day.
fn action(text: &Located<String>) -> Action {
    let mut parts = text.value.splitn(3, ';').map(|part| part.trim_matches(' '));
    let (label, what) = label(parts.next().unwrap_or(""));
    let mut next = || parts.next().unwrap_or("").to_owned();
    Action {
        label,
        what,
        by: next(),
        until: next(),
        span: text.span,
    }
}

fn closed(text: &Located<String>) -> Closing {
    let (label, remark) = label(&text.value);
    Closing {
        label,
        remark,
        span: text.span,
    }
}

/// The number of a point, and what stands behind it.
fn label(text: &str) -> (String, String) {
    let (label, rest) = text.split_once(' ').unwrap_or((text, ""));
    (label.to_owned(), rest.trim_matches(' ').to_owned())
}
