//! `like: ID`: a core that shares the plate of another CT, read and confirmed.

use super::Written;
use super::core::{Core, Tap};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::nearest::nearest;
use crate::ground::source::Source;
use crate::ground::span::{Given, Located, Span};
use crate::syntax::{Class, Tree};
use std::collections::{BTreeMap, BTreeSet};

/// Records that a plate comes through at most: each of them is named as what the next stands on.
pub const MOST_LENDERS: usize = 64;

/// The cores that a record lends, and what they were read from.
#[derive(Clone, Copy, Debug)]
pub struct Lent<'a> {
    pub cores: &'a [Core],
    pub written: &'a Written,
}

/// The plates that a `like:` may name, lent by the records that were read before.
#[derive(Clone, Debug, Default)]
pub struct SharedPlates<'a> {
    /// CTs that may be named.
    ids: Option<&'a BTreeSet<String>>,
    lent: BTreeMap<&'a str, Lent<'a>>,
}

impl<'a> SharedPlates<'a> {
    /// Plates of CTs that may be named; the record of one that is not lent waits for another plate itself.
    pub fn of(ids: &'a BTreeSet<String>) -> Self {
        Self {
            ids: Some(ids),
            lent: BTreeMap::new(),
        }
    }

    /// Lends the plate of one of them.
    pub fn lend(&mut self, id: &'a str, lent: Lent<'a>) {
        self.lent.insert(id, lent);
    }
}

/// A field's text in the sections of a name, before anything is made of it.
fn fields<'a>(
    source: &'a Source,
    tree: &'a Tree,
    section: &'a str,
    key: &'a str,
) -> impl Iterator<Item = &'a str> {
    let sections = tree
        .sections
        .iter()
        .filter(move |of| source.slice(of.name) == section);
    let lines = sections.flat_map(|of| tree.lines_of(of));
    lines.filter_map(move |line| match line.class(source) {
        Class::Field { key: own, value } if source.slice(own) == key => Some(source.slice(value)),
        _ => None,
    })
}

/// The ids of the CTs whose plates a record asks for.
pub fn asked<'a>(source: &'a Source, tree: &'a Tree) -> impl Iterator<Item = &'a str> {
    fields(source, tree, "core", "like")
}

/// The main CTs that feed it with their cores, as its places name them.
pub fn feeders<'a>(source: &'a Source, tree: &'a Tree) -> impl Iterator<Item = (&'a str, &'a str)> {
    let written = ["ct", "place"].into_iter();
    let written = written.flat_map(|section| fields(source, tree, section, "fed by"));
    written.filter_map(super::feeder::names)
}

/// The id of the CT that a record is of, as written.
pub fn id<'a>(source: &'a Source, tree: &'a Tree) -> Option<&'a str> {
    fields(source, tree, "ct", "id").next()
}

/// Puts the named CT's plate values into a core that says `like:`. The spans of what was taken over
/// point to the `like:` line, since nothing else of it is in this file. Gives what the plate was read from.
pub fn resolve<'a>(
    core: &mut Core,
    own: Option<&str>,
    plates: &SharedPlates<'a>,
    found: &mut Vec<Diagnostic>,
) -> Option<&'a Written> {
    let like = core.like.get().cloned()?;
    // A CT is not its own model.
    let is_other = |id: &&str| own != Some(*id);
    let ids = plates.ids.into_iter().flatten().map(String::as_str);
    let is_known = plates.ids.is_some_and(|ids| ids.contains(&like.value));
    if !is_known || !is_other(&like.value.as_str()) {
        found.push(unknown(&like, ids.filter(is_other)));
        return None;
    }
    let Some(lent) = plates.lent.get(like.value.as_str()) else {
        let told = said(
            &like,
            format!("the plate of `{}` leads back to this record", like.value),
        );
        found.push(told.help("one of the records that name each other must state its own plate"));
        return None;
    };
    if lent.written.lenders.len() >= MOST_LENDERS {
        let told = said(
            &like,
            format!(
                "the plate of `{}` comes through {MOST_LENDERS} records",
                like.value
            ),
        );
        found.push(told.help("name the record that states the plate itself"));
        return None;
    }
    let same = |other: &&Core| other.name == core.name;
    match lent.cores.iter().find(same).or(lent.cores.first()) {
        Some(other) => {
            take(core, other, like.span);
            Some(lent.written)
        }
        None => {
            let told = said(&like, format!("the record of `{}` has no core", like.value));
            found.push(told.help("check the id, or write the plate's values here"));
            None
        }
    }
}

fn said(like: &Located<String>, title: String) -> Diagnostic {
    Code::LikeUnknown
        .at(like.span, title)
        .label("no plate to take values from")
}

fn unknown<'a>(like: &Located<String>, ids: impl Iterator<Item = &'a str>) -> Diagnostic {
    let title = format!("no record here has the id `{}`", like.value);
    let told = Code::LikeUnknown
        .at(like.span, title)
        .label("no such record here");
    match nearest(&like.value, ids) {
        Some(near) => told.help(format!("did you mean `{near}`?")),
        None => told.help("put its record in the same folder, or give its path as well"),
    }
}

fn moved<T: Clone>(own: &mut Given<T>, other: &Given<T>, span: Span) {
    if let (true, Some(other)) = (own.is_missing(), other.get()) {
        *own = Given::Written(Located::new(other.value.clone(), span));
    }
}

macro_rules! take_over {
    ($own:expr, $other:expr, $span:ident: $($field:ident),*) => {
        $(moved(&mut $own.$field, &$other.$field, $span);)*
    };
}

fn take(core: &mut Core, other: &Core, span: Span) {
    take_over!(core, other, span:
        service, class, burden, ratio, turns, resistance, conductor, knee, extended, rating_factor,
        turns_compensation, kssc, ktd, primary_time_constant, duty_cycle, accuracy_time,
        loop_time_constant);
    if core.exciting.is_empty() {
        core.exciting = other
            .exciting
            .iter()
            .map(|at| Located::new(at.value, span))
            .collect();
    }
    if !core.marks_declared {
        core.marks.clone_from(&other.marks);
        core.marks_declared = other.marks_declared;
    }
    if core.taps.is_empty() {
        core.taps = other.taps.iter().map(|tap| tap_at(tap, span)).collect();
    }
}

fn tap_at(tap: &Tap, span: Span) -> Tap {
    let mut own = Tap {
        from: tap.from,
        to: tap.to,
        span,
        ..Tap::default()
    };
    take_over!(own, tap, span: ratio, class, burden, knee, exciting, resistance);
    own
}
