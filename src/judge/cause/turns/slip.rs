//! Slips of the pen in a ratio by voltage: a decimal point, two digits, the two columns. What was meant is known to the
//! digit, and has to agree with the plate and with all that is known otherwise.

use crate::derive::kinds::ratio::Turns;
use crate::document::{Part, Phrase, say};
use crate::ground::quantity::Reading;
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::cause::digits::{
    OF_COLUMNS, OF_DIGITS, alternatives, exact, in_each_others_column, written,
};
use crate::judge::cause::evidence::{By, Evidence, Item, Of, cost};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::kinds::ratio::turns_tolerance;
use crate::judge::rules::ratio as rules;
use crate::record::alike::like_core;
use crate::record::kinds::Test;
use crate::record::kinds::ratio::{Method, On, RatioRow};
use crate::trade::Pair;

/// Leads on another tap are as common as a slip; what fits both is a tap.
const OF_A_SLIP: f64 = price::OF_A_FREE_SIZE;
/// What was set for one row was set for the others: nearer than this as a share it is the same.
const SAME: f64 = 0.01;
/// That it is so when it is put right speaks for a slip, in natural logarithms. Conventions of this project.
const SET: f64 = 2.0;
/// Of two cells that would do, the one that is unlike the others; the least that this tells of. A convention of this
/// project.
const UNLIKE: f64 = 0.5;
/// Two cells that would do are both told where the others do not say by more than this which.
const AS_LIKELY: f64 = 0.1;
/// What a turns ratio that was put right may be off, beside the uncertainty of its reading, where no tolerance is known:
/// turns that were taken off, and the drop of the exciting current. Common practice, no source.
const OF_THE_TURNS: f64 = 0.005;
/// A ratio is far off where it is so many times that.
const FAR: f64 = 4.0;

/// A ratio that is off by less is told by two digits where the rest of the record says what it is: the other pairs of its
/// core, its errors by current, the same pair of a sister. These go together but for a turn that was taken off and the
/// drop of the exciting current. Common practice, no source.
const TOGETHER: f64 = 0.001;
const OF_SISTERS: f64 = 0.002;

/// A row with what moves when it is put right.
struct Row<'a> {
    test: usize,
    core: usize,
    row: &'a RatioRow,
    applied: &'a Reading,
    read: &'a Reading,
    /// 1 where the ratio is what was applied over what was read, -1 for a section beside the driven pair.
    power: f64,
    /// All sections of the test rest on it.
    carries: bool,
}

pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let rows = rows(j);
    let families = evidence.families_of(Of::Turns);
    let off: Vec<&Item> = families
        .flat_map(|(_, family)| &family.items)
        .filter(|item| item.away.abs() > 2.0 * item.u)
        .collect();
    let suspects = rows
        .iter()
        .filter(|row| off.iter().any(|item| row.carries(item)));
    let mut all: Vec<Hypothesis> = suspects
        .flat_map(|row| in_row(j, evidence, &rows, row))
        .collect();
    let cores = 0..j.case.record.cores.len();
    let suspects = cores.filter(|core| off.iter().any(|item| item.pair.core == *core));
    all.extend(suspects.filter_map(|core| {
        let own: Vec<&Row<'_>> = rows.iter().filter(|row| row.core == core).collect();
        let name = j.case.record.cores.get(core)?.name.clone();
        columns(j, evidence, &own, say!("core {}", Phrase::terminals(name)))
    }));
    let mut tests: Vec<usize> = rows.iter().map(|row| row.test).collect();
    tests.dedup();
    all.extend(tests.into_iter().filter_map(|test| {
        let own: Vec<&Row<'_>> = rows.iter().filter(|row| row.test == test).collect();
        let first = own.first()?.core;
        let several = own.iter().any(|row| row.core != first);
        columns(
            j,
            evidence,
            own.get(..).filter(|_| several)?,
            "the table".into(),
        )
    }));
    all
}

fn rows<'a>(j: &Judging<'a>) -> Vec<Row<'a>> {
    let tests = j.case.visit.of(Test::ratio);
    let tests = tests.filter(|(_, _, body)| body.method == Some(Method::Voltage));
    let rows = tests.flat_map(|(test, head, body)| {
        let head = head.pair.map(|pair| pair.value.ascending());
        body.rows.iter().filter_map(move |row| {
            let of = match row.on?.value {
                On::Pair(pair) => Some(pair.ascending()),
                On::Primary => None,
            };
            // Without a pair of its own a row is of that of the head.
            let is_section = head.is_some() && of.is_some() && of != head;
            Some(Row {
                test,
                core: of.or(head)?.core,
                row,
                applied: exact(&row.applied)?,
                read: exact(&row.induced)?,
                power: if is_section { -1.0 } else { 1.0 },
                carries: head.is_some() && !is_section,
            })
        })
    });
    rows.collect()
}

impl Row<'_> {
    fn is(&self, item: &Item) -> bool {
        item.at.first() == Some(&self.row.span)
    }

    /// Whether the ratio of an item rests on it.
    fn carries(&self, item: &Item) -> bool {
        self.is(item) || self.carries && item.section == self.test
    }

    /// ln of what was applied and of what was read over those of another row, the nearer of the two.
    fn unlike(&self, rows: &[Row<'_>], (applied, read): (f64, f64)) -> f64 {
        let others = rows
            .iter()
            .filter(|row| row.core == self.core && row.row.span != self.row.span);
        let each = others.flat_map(|row| {
            let off = |own: f64, other: &Reading| libm::log(own / other.value.si).abs();
            [off(applied, row.applied), off(read, row.read)]
        });
        each.fold(f64::INFINITY, f64::min)
    }

    fn seat(&self, evidence: &Evidence<'_>, at: Vec<Span>) -> Seat {
        let families = evidence.families_of(Of::Turns);
        let mut items = families.flat_map(|(_, family)| &family.items);
        Seat {
            section: Some(self.test),
            core: Some(self.core),
            pair: items.find(|item| self.is(item)).map(|item| item.pair),
            at,
        }
    }
}

fn made(
    evidence: &Evidence<'_>,
    seat: Seat,
    observed: Phrase,
    by: impl Fn(&Item) -> f64,
) -> Hypothesis {
    Hypothesis::new(&rules::RATIO_SLIP, seat, observed)
        .moves(evidence, Of::Turns, by)
        .decide("the sheet that was written at the test, or the reading again")
}

/// Whether every ratio that is moved comes from far off to that of its plate, and to that of the earlier visit.
fn fits(j: &Judging<'_>, evidence: &Evidence<'_>, by: impl Fn(&Item) -> f64) -> bool {
    let families = evidence.families_of(Of::Turns);
    let items = families.flat_map(|(_, family)| &family.items);
    let mut moved = items.filter(|item| by(item) != 0.0).peekable();
    moved.peek().is_some()
        && moved.all(|item| {
            let room = room(j, item);
            (item.away - by(item)).abs() <= room && item.away.abs() >= FAR * room
        })
}

/// What an item may be off.
fn room(j: &Judging<'_>, item: &Item) -> f64 {
    let (plate, criteria) = (&j.case.record.plate, j.case.criteria);
    let core = j.case.core(item.pair);
    let tolerance = core.and_then(|core| turns_tolerance(core, plate, criteria, item.pair));
    let turns = match tolerance.map(|against| against.requirement.upper) {
        Some(Some(percent)) => OF_THE_TURNS.min(percent / 100.0),
        _ => OF_THE_TURNS,
    };
    let all = j.derived.ratio.turns.iter();
    let mut all = all.filter(|one| one.readings.first() == item.at.first());
    let u = all.next().map(|one| j.w.uncertainty(one.error));
    let read = u.filter(|u| u.known).map_or(0.0, |u| u.u / 100.0);
    libm::hypot(turns, 2.0 * read)
}

fn in_row(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    rows: &[Row<'_>],
    row: &Row<'_>,
) -> Vec<Hypothesis> {
    let volts = (row.applied.value.si, row.read.value.si);
    let stands = row.unlike(rows, volts) < SAME;
    // What the other rows say of what was applied and what was read, when it is put right.
    let speaks = |put: (f64, f64)| {
        let unlike = row.unlike(rows, put);
        let speaks = if unlike < SAME && !stands { SET } else { 0.0 };
        let against = if unlike.is_finite() {
            unlike.min(1.0)
        } else {
            0.0
        };
        speaks - UNLIKE * against
    };
    let right = |observed, at: Vec<Span>, put: (f64, f64), cost: f64| {
        let ratio = libm::log((put.0 / put.1) / (volts.0 / volts.1));
        let shift = |item: &Item| {
            if row.carries(item) {
                -row.power * ratio
            } else {
                0.0
            }
        };
        let rest = || by_the_rest(j, evidence, shift).filter(|_| cost == OF_DIGITS);
        let by_rest = match fits(j, evidence, shift) {
            true => Some(0.0),
            false => rest(),
        };
        by_rest.map(|by_rest| {
            made(evidence, row.seat(evidence, at), observed, shift)
                .price(OF_A_SLIP + cost)
                .besides(speaks(put) + by_rest)
        })
    };
    let of_read = |times: f64| (volts.0, volts.1 * times);
    let of_applied = |times: f64| (volts.0 * times, volts.1);
    let mut all = Vec::new();
    for (cell, is_read) in [(row.applied, false), (row.read, true)] {
        for one in alternatives(cell) {
            let times = one.times(cell);
            let (put, other) = match is_read {
                true => (of_read(times), of_applied(1.0 / times)),
                false => (of_applied(times), of_read(1.0 / times)),
            };
            // A point or a unit of the one cell does what that of the other does.
            let lead = match one.is_digits {
                true => f64::INFINITY,
                false => speaks(put) - speaks(other),
            };
            if lead.abs() > AS_LIKELY {
                let observed = one.told_by(cell, BY_THE_PLATE);
                all.push(right(observed, vec![cell.span], put, one.cost));
            } else if is_read {
                let observed = say!(
                    "{} in {}: {} in place of {}, or {} in place of {}, agrees with {}",
                    one.how,
                    Part::Line(cell.span),
                    written(cell, one.number),
                    written(cell, cell.value.number),
                    written(row.applied, row.applied.value.number / times),
                    written(row.applied, row.applied.value.number),
                    BY_THE_PLATE
                );
                let at = vec![row.applied.span, cell.span];
                all.push(right(observed, at, put, one.cost));
            }
        }
    }
    let (one, other) = (row.applied, row.read);
    let observed = say!(
        "the two columns exchanged in {}: {} and {} agree with {}",
        Part::Line(one.span),
        written(one, other.value.number),
        written(other, one.value.number),
        BY_THE_PLATE
    );
    let put = in_each_others_column(one, other);
    all.push(right(observed, vec![one.span, other.span], put, OF_COLUMNS));
    all.into_iter().flatten().collect()
}

/// How much the rest of the record speaks for a ratio that is put right by a little, in natural logarithms; none where
/// it does not say, or says otherwise.
fn by_the_rest(j: &Judging<'_>, evidence: &Evidence<'_>, by: impl Fn(&Item) -> f64) -> Option<f64> {
    let families = evidence.families_of(Of::Turns);
    let items = families.flat_map(|(_, family)| &family.items);
    let moved: Vec<&Item> = items.filter(|item| by(item) != 0.0).collect();
    let mut speaks: Vec<f64> = Vec::new();
    for item in moved {
        let said: Vec<(f64, f64)> = match item.by {
            By::Plate => rest(j, item),
            _ => vec![(0.0, item.u)],
        };
        let put = item.away - by(item);
        for (expected, u) in said {
            let (written, put) = ((item.away - expected).abs(), (put - expected).abs());
            if written < FAR * u || put > u {
                return None;
            }
            speaks.push(cost(written, u) - cost(put, u));
        }
    }
    speaks.into_iter().reduce(f64::max)
}

/// What the rest of a record says that a ratio is off its plate by, and what it scatters by.
fn rest(j: &Judging<'_>, item: &Item) -> Vec<(f64, f64)> {
    let own = j.derived.ratio.turns.iter();
    let own: Vec<&Turns> = own.filter(|one| one.doubtful.is_none()).collect();
    let of_item = |one: &&&Turns| one.readings.first() == item.at.first();
    let Some(this) = own.iter().find(of_item) else {
        return Vec::new();
    };
    let off = |percent: f64| -libm::log1p(percent / 100.0);
    let u = j.w.uncertainty(this.error);
    let read = if u.known { u.u / 100.0 } else { TOGETHER };
    // Turns are whole.
    let scatters = |of: f64, turns: f64| libm::hypot(libm::hypot(of, read), 0.5 / turns);
    let others = own.iter().filter(|one| {
        let of_core = one.pair.core == item.pair.core && one.pair != item.pair;
        of_core && one.test == item.section
    });
    let others = others.map(|one| {
        let turns = one.ratio.si.min(this.ratio.si);
        (off(one.error.si), scatters(TOGETHER, turns))
    });
    let runs = j.derived.ratio.runs.iter();
    let runs = runs.filter(|run| run.pair == item.pair && run.doubtful.is_none());
    let errors = runs.flat_map(|run| &run.points);
    let errors = errors.filter_map(|point| Some(point.error?.si));
    // The exciting current takes most of what it is off by.
    let by_current = errors.reduce(f64::max).map(|error| {
        let of = libm::hypot(TOGETHER, 0.5 * error / 100.0);
        (off(error), scatters(of, this.ratio.si))
    });
    let core = j.case.core(item.pair);
    let sisters = j.sisters.iter().filter_map(|sister| {
        let core = like_core(core?, &sister.cores)?;
        let pair = Pair { core, ..item.pair };
        let shown = sister.on_site().flat_map(|shown| &shown.turns);
        let error = shown
            .filter(|(own, _)| *own == pair)
            .map(|(_, error)| *error)
            .next()?;
        Some((off(error), scatters(OF_SISTERS, this.ratio.si)))
    });
    others.chain(by_current).chain(sisters).collect()
}

/// Both columns exchanged in all rows of a core, or of a table of several.
fn columns(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    own: &[&Row<'_>],
    whose: Phrase,
) -> Option<Hypothesis> {
    let first = own.first().filter(|_| own.len() > 1)?;
    let times = |row: &Row<'_>| {
        let (applied, read) = in_each_others_column(row.applied, row.read);
        row.power * libm::log((applied / read) / (row.applied.value.si / row.read.value.si))
    };
    let shift = |item: &Item| {
        let moved = own.iter().filter(|row| row.carries(item));
        -moved.map(|row| times(row)).sum::<f64>()
    };
    let observed = say!(
        "the two columns exchanged in all rows of {}: the other way round they agree with the plate",
        whose
    );
    let of_one_core = own.iter().all(|row| row.core == first.core);
    let seat = Seat {
        pair: None,
        core: of_one_core.then_some(first.core),
        ..first.seat(evidence, vec![first.row.span])
    };
    let made = || made(evidence, seat, observed, shift).price(OF_A_SLIP + OF_COLUMNS);
    fits(j, evidence, shift).then(made)
}

const BY_THE_PLATE: &str = "the turns ratio of the plate";
