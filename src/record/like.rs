//! `like: ID`: a core that shares the plate of another unit, read and confirmed.

use super::Record;
use super::core::{Core, Tap};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::nearest::nearest;
use crate::ground::span::{Given, Located, Span};

/// Puts the named unit's plate values into a core that says `like:`. The spans of what was taken over
/// point to the `like:` line, since nothing else of it stands in this file.
pub fn resolve(core: &mut Core, own: Option<&str>, units: &[&Record], found: &mut Vec<Diagnostic>) {
    let Some(like) = core.like.get().cloned() else {
        return;
    };
    // A unit is not its own model.
    let others = units
        .iter()
        .copied()
        .filter(|unit| own.is_none() || unit.plate.id.value().map(String::as_str) != own);
    let units = &others.collect::<Vec<_>>()[..];
    let Some(unit) = units
        .iter()
        .find(|unit| unit.plate.id.value() == Some(&like.value))
    else {
        found.push(unknown(&like, units));
        return;
    };
    let other = unit
        .cores
        .iter()
        .find(|other| other.name == core.name)
        .or(unit.cores.first());
    match other {
        Some(other) => take(core, other, like.span),
        None => found.push(unknown(&like, units).help("the unit is there, but it has no core")),
    }
}

/// Whether a record has a core that needs another unit's plate.
pub fn is_needed(record: &Record) -> bool {
    record.cores.iter().any(|core| core.like.get().is_some())
}

fn unknown(like: &Located<String>, units: &[&Record]) -> Diagnostic {
    let ids: Vec<&str> = units
        .iter()
        .filter_map(|unit| unit.plate.id.value())
        .map(String::as_str)
        .collect();
    let told = Diagnostic::new(
        Code::LikeUnknown,
        like.span,
        format!("no record here has the id `{}`", like.value),
    )
    .label("unknown unit");
    match nearest(&like.value, ids.iter().copied()) {
        Some(near) => told.help(format!("did you mean {near}?")),
        None => told
            .help("the named unit's record must lie in the same folder or among the given paths"),
    }
}

fn moved<T: Clone>(own: &mut Given<T>, other: &Given<T>, span: Span) {
    if let (true, Some(other)) = (own.is_missing(), other.get()) {
        *own = Given::Written(Located::new(other.value.clone(), span));
    }
}

fn take(core: &mut Core, other: &Core, span: Span) {
    moved(&mut core.purpose, &other.purpose, span);
    moved(&mut core.class, &other.class, span);
    moved(&mut core.burden, &other.burden, span);
    moved(&mut core.ratio, &other.ratio, span);
    moved(&mut core.turns, &other.turns, span);
    moved(&mut core.resistance, &other.resistance, span);
    moved(&mut core.conductor, &other.conductor, span);
    moved(&mut core.knee, &other.knee, span);
    moved(&mut core.extended, &other.extended, span);
    moved(&mut core.rating_factor, &other.rating_factor, span);
    moved(
        &mut core.turns_compensation,
        &other.turns_compensation,
        span,
    );
    let (own, theirs) = (&mut core.transient, &other.transient);
    moved(&mut own.kssc, &theirs.kssc, span);
    moved(&mut own.ktd, &theirs.ktd, span);
    moved(
        &mut own.primary_time_constant,
        &theirs.primary_time_constant,
        span,
    );
    moved(&mut own.duty_cycle, &theirs.duty_cycle, span);
    moved(&mut own.accuracy_time, &theirs.accuracy_time, span);
    moved(
        &mut own.loop_time_constant,
        &theirs.loop_time_constant,
        span,
    );
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
        ratio: Given::Missing,
        class: Given::Missing,
        burden: Given::Missing,
        knee: Given::Missing,
        exciting: Given::Missing,
        resistance: Given::Missing,
        span,
    };
    moved(&mut own.ratio, &tap.ratio, span);
    moved(&mut own.class, &tap.class, span);
    moved(&mut own.burden, &tap.burden, span);
    moved(&mut own.knee, &tap.knee, span);
    moved(&mut own.exciting, &tap.exciting, span);
    moved(&mut own.resistance, &tap.resistance, span);
    own
}
