//! What only the record as a whole can show: plate values that tests need, taps that do not add up,
//! order of work. Says nothing about verdicts.
#![deny(clippy::wildcard_enum_match_arm)]

use super::core::{Core, Tap};
use super::duty::Duty;
use super::instruments::Instruments;
use super::kinds::ratio::{Method, On};
use super::kinds::type_test::is_no_day;
use super::kinds::{Flux, Test, TestKind};
use super::parse::{self, Piece};
use super::plate::Plate;
use super::schema::Stage;
use super::scope::omissions;
use super::value::At;
use super::visit::{Visit, is_closed, is_shorted};
use super::{Record, again, attachments, live, points, sign_off, taken, words};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::nearest::nearest;
use crate::ground::span::{Given, Located, Span};
use crate::standards::{Tables, threshold};
use crate::trade::{Class, Family, Pair, PrimaryMarks, Purpose, Purposes, Ratio};

/// Checks that need nothing but the record.
pub fn record(record: &Record, found: &mut Vec<Diagnostic>) {
    // What seems to be missing may be in a line that could not be read: the error is told there.
    let errors = found.iter().filter(|told| told.is_error());
    let errors: Vec<(u32, Code)> = errors.map(|told| (told.span.start, told.code)).collect();
    let within =
        |at: u32, from: Span, to: Option<u32>| at >= from.start && to.is_none_or(|to| at < to);
    let whole = |from: Span, to: Option<u32>| {
        let mut all = errors.iter();
        !all.any(|(at, _)| within(*at, from, to))
    };
    plate(record, found);
    for (index, core) in record.cores.iter().enumerate() {
        core_plate(record, core, found);
        if core.like.is_missing() && whole(core.span, next_section(record, core.span)) {
            plate_values(record, index, core, found);
        }
    }
    for duty in &record.duties {
        leads(duty, found);
    }
    feeders(record, found);
    points::check(record, found);
    attachments::check(record, found);
    for (index, visit) in record.visits.iter().enumerate() {
        purpose(visit, found);
        taps(record, visit, found);
        primary_loop(visit, found);
        run_primary(visit, found);
        wires(visit, found);
        battery(record, visit, found);
        scopes(record, visit, found);
        stages(visit, found);
        sign_off::check(visit, found);
        certificates(visit, found);
        taken::check(visit, found);
        again::check(visit, found);
        live::check(visit, found);
        positions(record, visit, found);
        let next = record.visits.get(index + 1).map(|next| next.span.start);
        let mut hiding = errors
            .iter()
            .filter(|(at, code)| hides_order(visit, *at, *code));
        if !hiding.any(|(at, _)| within(*at, visit.span, next)) {
            order_after_dc(record, visit, found);
            if next.is_none() {
                purpose_missing(record, visit, found);
            }
        }
    }
}

/// The verdict is that of the last visit: one without a purpose asks for nothing of what was asked before it.
fn purpose_missing(record: &Record, last: &Visit, found: &mut Vec<Diagnostic>) {
    let mut earlier = record.visits.iter().rev().skip(1);
    let known = |visit: &&Visit| visit.purpose() != Purpose::Other;
    let before = earlier.find(known).and_then(|visit| visit.purpose.get());
    if let (true, Some(before)) = (last.purpose.is_missing(), before) {
        found.push(words::purpose_missing(
            &before.value,
            last.span,
            before.span,
        ));
    }
}

/// Positions of the primary links that the plate does not have; how they were left, its own finding tells.
fn positions(record: &Record, visit: &Visit, found: &mut Vec<Diagnostic>) {
    let known: Vec<&str> = record
        .plate
        .links
        .iter()
        .map(|link| link.value.0.as_str())
        .collect();
    let [first, ..] = record.plate.links.as_slice() else {
        return;
    };
    let ratios = visit
        .of(Test::ratio)
        .filter_map(|(_, _, ratio)| ratio.links.get());
    let states = visit
        .of(Test::state)
        .filter_map(|(_, _, state)| state.links.get());
    let written = visit.links.get().into_iter();
    for one in written.chain(states).chain(ratios) {
        if !known.contains(&one.value.as_str()) {
            found.push(words::links_unknown(
                &one.value, one.span, first.span, &known,
            ));
        }
    }
}

/// What `fed by` says without its record; whether that is there, the job tells.
fn feeders(record: &Record, found: &mut Vec<Diagnostic>) {
    let inputs = record.cores.iter().find(|core| !core.inputs.is_empty());
    for place in &record.places {
        let Some(written) = place.fed_by.get() else {
            continue;
        };
        match (inputs, &place.feeder) {
            (Some(core), _) => {
                let ratio = core.ratio.span().unwrap_or(core.span);
                found.push(words::feeder_of_inputs(written.span, ratio));
            }
            (None, None) => found.push(words::feeder_unreadable(&written.value, written.span)),
            (None, Some(_)) => {}
        }
    }
}

/// Days of certificates that are none.
fn certificates(visit: &Visit, found: &mut Vec<Diagnostic>) {
    let tests = visit.of(Test::type_test);
    let rows = tests.flat_map(|(_, _, test)| &test.rows);
    for date in rows.filter_map(|row| row.date.get()) {
        if is_no_day(&date.value) {
            let piece = Piece::new(&date.value, date.span.start as usize);
            found.extend(parse::day(piece).err());
        }
    }
}

/// What was left stands behind what was found: the order of the file is the order of the work.
fn stages(visit: &Visit, found: &mut Vec<Diagnostic>) {
    let is = |test: &&Test, stage: Stage| test.stage.value() == Some(&stage);
    for later in visit.tests.iter().filter(|test| is(test, Stage::AsFound)) {
        let before = |test: &&Test| {
            is(test, Stage::AsLeft)
                && test.span.start < later.span.start
                && test.is_of_the_same(later)
        };
        if let Some(left) = visit.tests.iter().find(before) {
            found.push(words::stage_order(later.kind.name(), later.span, left.span));
        }
    }
}

/// Where the next core, duty or visit begins.
fn next_section(record: &Record, from: Span) -> Option<u32> {
    let cores = record.cores.iter().map(|core| core.span.start);
    let duties = record.duties.iter().map(|duty| duty.span.start);
    let visits = record.visits.iter().map(|visit| visit.span.start);
    let starts = cores.chain(duties).chain(visits);
    starts.filter(|start| *start > from.start).min()
}

fn plate(record: &Record, found: &mut Vec<Diagnostic>) {
    let plate = &record.plate;
    if plate.id.is_missing() && !plate.span.is_empty() {
        found.push(words::key_missing("id", plate.span, "ct", "BRW-19-40718"));
    }
    if let Given::Written(Located { value, span }) = &plate.standard
        && value.tables == Tables::Unknown
    {
        found.push(words::standard_unknown(&value.text, *span, value.meant()));
    }
    for unread in &plate.links_unread {
        found.push(words::links_unreadable(&unread.value, unread.span));
    }
    primary_currents(record, found);
}

/// A position of the primary links is known by its primary current, which every core has in one of them.
fn primary_currents(record: &Record, found: &mut Vec<Diagnostic>) {
    let links = &record.plate.links;
    let Some(first) = links
        .first()
        .filter(|_| record.plate.links_unread.is_empty())
    else {
        return;
    };
    for core in &record.cores {
        let Some(full) = core.full_ratio() else {
            continue;
        };
        let is_own = |primary: f64| is_current(primary, full.primary);
        if !links.iter().any(|link| is_own(link.value.1.primary)) {
            let at = core.ratio.span().unwrap_or(core.span);
            found.push(words::links_disagree(
                &core.name,
                full.primary,
                at,
                first.span,
            ));
        }
    }
    turns_of_links(record, found);
}

/// What the primary has of turns in each position goes by the currents, and is a whole number of them: a wire goes through
/// the window, or does not. The plate counts them at the ratio of the cores.
fn turns_of_links(record: &Record, found: &mut Vec<Diagnostic>) {
    let links = &record.plate.links;
    let Given::Written(turns) = &record.plate.primary_turns else {
        return;
    };
    let mut primaries = record.cores.iter().filter_map(Core::full_ratio);
    let own = |full: &Ratio| {
        let mut links = links.iter();
        links.any(|link| is_current(link.value.1.primary, full.primary))
    };
    let Some(full) = primaries.find(own) else {
        return;
    };
    // Currents of a plate are rounded ones.
    let is_whole =
        |turns: f64| turns.round() >= 1.0 && (turns - turns.round()).abs() < 0.02 * turns;
    for link in links {
        let (name, ratio) = &link.value;
        let there = turns.value * full.primary / ratio.primary;
        if !is_whole(there) {
            found.push(words::links_part_a_turn(
                turns.value,
                full.primary,
                &format!("{there:.2}"),
                name,
                ratio.primary,
                turns.span,
                link.span,
            ));
            return;
        }
    }
}

fn is_current(one: f64, other: f64) -> bool {
    (one / other - 1.0).abs() < 1e-9
}

/// A lead that is stated by its section and by its resistance per length: both must mean the same one.
fn leads(duty: &Duty, found: &mut Vec<Diagnostic>) {
    let (Some(stated), Some(section), Some(copper), Some(near)) = (
        duty.lead_resistance.get(),
        duty.lead_section.get(),
        threshold("copper-resistivity"),
        threshold("lead-resistance-near"),
    ) else {
        return;
    };
    let by_section = copper.limit / section.value.si;
    if (stated.value.si - by_section).abs() <= near.limit / 100.0 * by_section {
        return;
    }
    let per_km = |si: f64| format!("{:.3} ohm/km", 1e3 * si);
    found.push(words::leads_disagree(
        &per_km(stated.value.si),
        &per_km(by_section),
        stated.span,
        section.span,
    ));
}

fn core_plate(record: &Record, core: &Core, found: &mut Vec<Diagnostic>) {
    if let Given::Written(Located {
        value: Class::Other(text),
        span,
    }) = &core.class
    {
        let ieee = record.plate.family() == Family::Ieee;
        found.push(match Class::stray_security(text, ieee) {
            Some(factor) => words::security_stray(factor, *span),
            None => words::class_unknown(text, *span, Class::meant(text, ieee)),
        });
    }
    resistance_of_plate(record, core, found);
    let full = core.full_tap().and_then(|tap| tap.ratio.get());
    let both = core.ratio.get().zip(full);
    if let Some((whole, tap)) = both.filter(|(whole, tap)| whole.value != tap.value) {
        let (whole_text, tap_text) = (whole.value.text(), tap.value.text());
        let told = words::ratio_disagrees(&core.name, &whole_text, &tap_text, whole.span, tap.span);
        found.push(told);
    }
    let outgrown = core.taps_that_outgrow();
    let told = outgrown.first().map(|(tap, wider)| {
        let text = |tap: &Tap| {
            tap.ratio
                .value()
                .map_or_else(String::new, |ratio| ratio.text())
        };
        let (pair, whole) = (
            core.pair_text(tap.from, tap.to),
            core.pair_text(wider.from, wider.to),
        );
        words::taps_outgrow(&pair, &text(tap), &whole, &text(wider), tap.span)
    });
    found.extend(told);
    if let [first @ .., last] = &core.taps_that_disagree()[..]
        && !first.is_empty()
        && outgrown.is_empty()
    {
        let taps = first.iter().chain([last]);
        let named: Vec<String> = taps.map(|tap| core.pair_text(tap.from, tap.to)).collect();
        let named = named.join(", ");
        found.push(words::taps_disagree(&core.name, &named, last.span));
    }
    terminal_style(record, core, found);
}

/// The resistance of the plate against the turns that it is of: a unit that is a factor of 1000 off.
fn resistance_of_plate(record: &Record, core: &Core, found: &mut Vec<Diagnostic>) {
    if let Some((plate, turns, meant)) = implausible_plate(&record.plate, core) {
        let written = plate.value.value.written();
        let (less, text) = (meant < plate.value.value.si, ohms(meant));
        let turns = format!("{turns:.0}");
        found.push(words::resistance_of_plate(
            &written, &turns, less, &text, plate.span,
        ));
    }
}

/// A resistance in the unit that a plate would have.
fn ohms(ohm: f64) -> String {
    if ohm < 0.1 {
        format!("{} mohm", rounded(1e3 * ohm))
    } else {
        format!("{} ohm", rounded(ohm))
    }
}

fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

/// A plate's resistance that no winding of its turns has, those turns, and the resistance a factor of 1000
/// away that one has.
pub fn implausible_plate<'c>(plate: &Plate, core: &'c Core) -> Option<(&'c Located<At>, f64, f64)> {
    let stated = core.resistance.get()?;
    let (least, most) = (
        threshold("winding-per-turn-least")?.limit,
        threshold("winding-per-turn-most")?.limit,
    );
    let turns = turns(plate, core, (0, core.last_mark()))?;
    let usual = |ohm: f64| (least..=most).contains(&(1e3 * ohm / turns));
    let ohm = stated.value.value.si;
    let meant = [0.001 * ohm, 1000.0 * ohm]
        .into_iter()
        .find(|meant| usual(*meant))?;
    (!usual(ohm)).then_some((stated, turns, meant))
}

/// The turns of a pair, by plate.
pub fn turns(plate: &Plate, core: &Core, (from, to): (u8, u8)) -> Option<f64> {
    let by_ratio = |ratio: f64| ratio * plate.primary_turns.value().copied().unwrap_or(1.0);
    let whole = (from, to) == (0, core.last_mark());
    let stated = core.turns.value().copied().filter(|_| whole);
    stated.or_else(|| core.nominal_ratio(from, to).map(by_ratio))
}

fn terminal_style(record: &Record, core: &Core, found: &mut Vec<Diagnostic>) {
    let all = |is: fn(&str) -> bool| core.marks.iter().all(|mark| is(mark));
    let odd = match record.plate.family() {
        Family::Iec => all(|mark| mark.starts_with(['X', 'Y', 'Z', 'W', 'V'])),
        Family::Ieee => all(|mark| mark.contains('S')),
        Family::Other => false,
    };
    if odd && !core.marks_declared {
        let first = words::list(core.marks.iter().take(2).map(String::as_str));
        let all = core.marks.join(" ");
        found.push(words::terminal_style(&core.name, &first, &all, core.span));
    }
}

/// Values of the plate without which a test of this core cannot be judged.
fn plate_values(record: &Record, index: usize, core: &Core, found: &mut Vec<Diagnostic>) {
    let tests = || record.visits.iter().flat_map(|visit| &visit.tests);
    let tested = |kind: TestKind| tests().any(|test| test.kind == kind && test.touches(index));
    let (excitation, ratio) = (tested(TestKind::Excitation), tested(TestKind::Ratio));
    let any = excitation || ratio;
    let own = |own: bool, of_tap: fn(&Tap) -> bool| own && core.taps.iter().all(of_tap);
    let without_burden = own(core.burden.is_missing(), |tap| tap.burden.is_missing());
    let without_knee = own(core.knee.is_missing(), |tap| tap.knee.is_missing());
    let by_class = match core.class.value() {
        None => (
            any && core.class.is_missing(),
            ("class", "5P20", "the limits of the standard follow from"),
        ),
        Some(Class::Protection { .. }) => (
            excitation && without_burden,
            ("burden", "15 VA", "the composite error is judged at"),
        ),
        Some(Class::Knee { .. }) => (
            excitation && without_knee,
            (
                "knee emf",
                "300 V",
                "the excitation test of this class is judged by",
            ),
        ),
        Some(Class::Measuring { security, .. }) => {
            let by_current = ratio && tested_by_current(record, index);
            (
                without_burden && ((excitation && security.is_some()) || by_current),
                (
                    "burden",
                    "10 VA",
                    "errors and security factor are stated at",
                ),
            )
        }
        Some(Class::Transient(_)) => (
            excitation && without_burden,
            ("burden", "5 ohm", "the accuracy limit is stated at"),
        ),
        Some(Class::IeeeMetering { .. } | Class::IeeeRelay { .. } | Class::Other(_)) => {
            (false, ("", "", ""))
        }
    };
    let by_ratio = (
        any && core.taps.is_empty() && core.ratio.is_missing(),
        (
            "ratio",
            "600/1 A",
            "every verdict on ratio or excitation needs",
        ),
    );
    for (key, example, why) in [by_ratio, by_class]
        .iter()
        .filter(|(needed, _)| *needed)
        .map(|(_, value)| *value)
    {
        found.push(words::plate_value_missing(
            &core.name, core.span, key, example, why,
        ));
    }
}

fn tested_by_current(record: &Record, core: usize) -> bool {
    let mut ratios = record.visits.iter().flat_map(|visit| visit.of(Test::ratio));
    ratios.any(|(_, test, ratio)| ratio.method == Some(Method::Current) && test.touches(core))
}

/// The purpose decides what is due: one that nobody knows would take every test off the list.
fn purpose(visit: &Visit, found: &mut Vec<Diagnostic>) {
    let Some(Located { value, span }) = visit.purpose.get() else {
        return;
    };
    let first = Purpose::beginning(value);
    if Purpose::read(value) == Purpose::Other {
        let (at, _) = span.split_at(first.len());
        found.push(words::word_unknown(
            first,
            at,
            Purpose::WORDS,
            ("purpose", false),
        ));
    }
    // What is listed and is nearly a purpose asks for nothing; free words are nothing like one.
    for part in Purposes::listed(value) {
        let is_known = part
            .parse()
            .is_ok_and(|read: Purpose| read != Purpose::Other);
        let near = nearest(part, Purpose::WORDS.iter().copied());
        if is_known || near.is_none() {
            continue;
        }
        let start = part.as_ptr() as usize - value.as_ptr() as usize;
        let (_, behind) = span.split_at(start);
        let (at, _) = behind.split_at(part.len());
        found.push(words::word_unknown(
            part,
            at,
            Purpose::WORDS,
            ("purpose", false),
        ));
    }
}

/// A pair whose nominal ratio the plate does not fix cannot be judged.
fn taps(record: &Record, visit: &Visit, found: &mut Vec<Diagnostic>) {
    let mut told: Vec<Pair> = Vec::new();
    for test in &visit.tests {
        for pair in rated_pairs(test) {
            let Some(core) = record.cores.get(pair.value.core) else {
                continue;
            };
            let ascending = pair.value.ascending();
            let known =
                core.taps.is_empty() || core.nominal_ratio(ascending.from, ascending.to).is_some();
            if !known && !told.contains(&ascending) {
                told.push(ascending);
                let text = record.pair_text(pair.value);
                let secondary = core.rated_secondary().unwrap_or(1.0);
                found.push(words::tap_not_declared(
                    &text, pair.span, secondary, &core.name,
                ));
            }
        }
    }
}

/// Pairs whose turns a test needs.
fn rated_pairs(test: &Test) -> Vec<Located<Pair>> {
    let excitation = test.excitation().and(test.pair);
    let rows = test.ratio().into_iter().flat_map(|ratio| &ratio.rows);
    let ratio = rows
        .filter_map(|row| row.on)
        .filter_map(|on| match on.value {
            On::Pair(pair) => Some(Located::new(pair, on.span)),
            On::Primary => None,
        });
    ratio.chain(excitation).collect()
}

/// Earth switches on both sides close the primary through the earth grid: a shorted turn on every core.
fn primary_loop(visit: &Visit, found: &mut Vec<Diagnostic>) {
    let driven = |test: &&Test| matches!(test.flux, Flux::Measured | Flux::Tripped | Flux::Cleared);
    let told = visit.tests.iter().filter(driven).find_map(|test| {
        let ends = visit.primary_ends_in(test)?;
        is_closed(&ends.value)
            .then(|| words::primary_loop(is_shorted(&ends.value), ends.span, test.span))
    });
    found.extend(told);
}

/// What the state of an end of the primary may be during a run, which decides whether it is closed.
const STATES: &[&str] = &["open", "earthed", "grounded", "shorted"];

/// States of the primary that a run is said to have had, and nobody knows.
fn run_primary(visit: &Visit, found: &mut Vec<Diagnostic>) {
    for (_, test, run) in visit.of(Test::excitation) {
        let Some(text) = run.primary.get() else {
            continue;
        };
        let ends = visit.primary_ends_in(test).into_iter();
        let mut ends = ends.flat_map(|ends| ends.value);
        if let Some(end) = ends.find(|end| !STATES.contains(&end.state.as_str())) {
            let told = words::word_unknown(&end.state, text.span, STATES, ("primary", true));
            found.push(told.help("write the state of each end: P1 open, P2 earthed; or shorted"));
        }
    }
}

/// Whether an error may stand where a step of the order was meant. A table that leaves the flux alone is none, whatever
/// is wrong in it; any other line may be the opening of one.
fn hides_order(visit: &Visit, at: u32, code: Code) -> bool {
    let of_table = matches!(
        code,
        Code::HeadingUnits
            | Code::HeadingForm
            | Code::ColumnUnknown
            | Code::ColumnMissing
            | Code::CellCount
            | Code::CellMissing
            | Code::NumberUnreadable
            | Code::DecimalComma
            | Code::UnitMissing
            | Code::UnitUnknown
            | Code::WordUnknown
    );
    let before = visit.tests.iter().filter(|test| test.span.start <= at);
    let test = before.max_by_key(|test| test.span.start);
    !(of_table && test.is_some_and(|test| test.flux == Flux::Untouched))
}

/// File order within a visit is the order of work, judged per core.
fn order_after_dc(record: &Record, visit: &Visit, found: &mut Vec<Diagnostic>) {
    for (index, core) in record.cores.iter().enumerate() {
        let mut left: Option<&Test> = None;
        for test in &visit.tests {
            let flux = test.flux_on(index);
            if matches!(flux, Flux::Measured | Flux::Tripped) {
                let told = left.take().map(|before| {
                    let tell = match before.flux == Flux::Tripped {
                        true => words::order_after_trip,
                        false => words::order_after_dc,
                    };
                    tell(&core.name, test.span, before.span)
                });
                found.extend(told);
            }
            match flux {
                Flux::Remains | Flux::Tripped => left = Some(test),
                Flux::Cleared => left = None,
                Flux::Measured | Flux::Untouched => {}
            }
        }
    }
}

/// Ways of connecting that there are not.
fn wires(visit: &Visit, found: &mut Vec<Diagnostic>) {
    let wires = visit.of(Test::resistance).map(|(_, _, body)| &body.wires);
    let of_primary = visit.of(Test::primary_resistance);
    let of_primary = of_primary.map(|(_, _, body)| &body.wires);
    for wires in wires.chain(of_primary) {
        if let Some(wires) = wires.get()
            && ![2.0, 4.0].contains(&wires.value)
        {
            found.push(words::wires(wires.value, wires.span));
        }
    }
}

/// A battery's plus on something else than a terminal of the primary.
fn battery(record: &Record, visit: &Visit, found: &mut Vec<Diagnostic>) {
    let usual = match record.plate.family() {
        Family::Ieee => PrimaryMarks::H,
        Family::Iec | Family::Other => PrimaryMarks::P,
    };
    let marks = record.plate.marks.value().copied();
    let (first, last) = marks.unwrap_or(usual).ends();
    for (_, _, polarity) in visit.of(Test::polarity) {
        if let Some(Located { value, span }) = polarity.plus_on.get()
            && PrimaryMarks::of(value.trim_matches([' ', '\t'])).is_none()
        {
            found.push(words::plus_on(value, &words::one_of([first, last]), *span));
        }
    }
}

/// Words of a `not done` line that mean nothing.
fn scopes(record: &Record, visit: &Visit, found: &mut Vec<Diagnostic>) {
    for (scope, omission) in omissions(record, visit) {
        if let Some(word) = scope.unknown.first() {
            let kinds = TestKind::ALL.iter().map(|kind| kind.name());
            let cores = record.cores.iter().map(|core| core.name.as_str());
            let title = format!("`{word}` is neither a test nor a core");
            let told = words::omission_unreadable(omission.scope.span, title);
            found.push(match nearest(word, kinds.chain(cores)) {
                Some(near) => told.help(format!("did you mean `{near}`?")),
                None => told,
            });
        }
    }
}

/// Checks that need the instruments; `None` when there is no `instruments.toml`.
pub fn against_instruments(
    record: &Record,
    instruments: Option<&Instruments>,
    found: &mut Vec<Diagnostic>,
) {
    let Some(instruments) = instruments else {
        let mut named = record
            .visits
            .iter()
            .filter_map(|visit| visit.instrument.get());
        found.extend(named.next().map(|id| words::instruments_missing(id.span)));
        return;
    };
    for visit in &record.visits {
        let mut told: Vec<String> = Vec::new();
        let own = visit.own_tests().map(|test| &test.instrument);
        // What was found on a day is told with the rest of it.
        let whole = [&visit.instrument, &visit.reference].into_iter();
        let named = whole.filter(|_| !visit.as_found()).chain(own);
        for id in named.filter_map(Given::get) {
            known(visit, id, instruments, &mut told, found);
        }
        let unnamed = visit.instrument.is_missing()
            && !visit.as_found()
            && visit.purpose() != Purpose::Factory;
        let unread = |test: &&Test| test.has_readings() && test.instrument.is_missing();
        if let (true, Some(test)) = (unnamed, visit.tests.iter().find(unread)) {
            found.push(words::instrument_missing(test.span));
        }
    }
}

fn known(
    visit: &Visit,
    id: &Located<String>,
    instruments: &Instruments,
    told: &mut Vec<String>,
    found: &mut Vec<Diagnostic>,
) {
    if told.contains(&id.value) {
        return;
    }
    told.push(id.value.clone());
    let Some(instrument) = instruments.find(&id.value) else {
        if instruments.broken {
            return; // told where the file is wrong
        }
        let ids = instruments.items.iter().map(|item| item.id.as_str());
        let title = format!("{} has no instrument `{}`", instruments.file, id.value);
        let help = match nearest(&id.value, ids) {
            Some(near) => {
                format!("did you mean `{near}`? Otherwise add an [[instrument]] with this id")
            }
            None => "add an [[instrument]] with this id".to_owned(),
        };
        found.push(
            Code::InstrumentUnknown
                .at(id.span, title)
                .label("unknown instrument")
                .help(help),
        );
        return;
    };
    let day = visit.date.value;
    if let (Some(false), Some(due)) = (instrument.valid_on(day), instrument.due) {
        let from = instrument.calibrated.map(|day| format!("{day} "));
        let valid = format!("{}to {due}", from.unwrap_or_default());
        let told = words::calibration_expired(&instrument.id, &visit.date, id.span, &valid);
        found.push(told);
    }
}
