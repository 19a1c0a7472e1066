//! What only the record as a whole can show: plate values that tests need, taps that do not add up,
//! order of work, tests due. Says nothing about verdicts.
#![deny(clippy::wildcard_enum_match_arm)]

use super::core::Core;
use super::due;
use super::instruments::Instruments;
use super::kinds::ratio::{Method, On};
use super::kinds::{Flux, Test, TestKind};
use super::readings;
use super::visit::Visit;
use super::{Record, words};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::nearest::nearest;
use crate::ground::span::{Given, Located, Span};
use crate::trade::{Class, Family, Pair, Purpose};

/// Checks that need nothing but the record.
pub fn record(record: &Record, found: &mut Vec<Diagnostic>) {
    // What seems to be missing may be in a line that could not be read: the error is told there.
    let errors = found.iter().filter(|told| told.is_error());
    let errors: Vec<u32> = errors.map(|told| told.span.start).collect();
    let whole = |from: Span, to: Option<u32>| {
        let within = |at: &u32| *at >= from.start && to.is_none_or(|to| *at < to);
        !errors.iter().any(within)
    };
    plate(record, found);
    for core in &record.cores {
        core_plate(record, core, found);
        if core.like.is_missing() && whole(core.span, next_section(record, core.span)) {
            plate_values(record, core, found);
        }
    }
    for (index, visit) in record.visits.iter().enumerate() {
        taps(record, visit, found);
        primary_loop(visit, found);
        implausible(record, visit, found);
        scopes(record, visit, found);
        let next = record.visits.get(index + 1).map(|next| next.span.start);
        if whole(visit.span, next) {
            order_after_dc(record, visit, found);
            tests_missing(record, visit, found);
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
        && !value.known
    {
        let told = Code::StandardUnknown
            .at(*span, format!("the limits of `{}` are not known", value.text))
            .label("kept as text")
            .help("values are computed and shown without a verdict; only knee data on the plate (class X, PS) are judged");
        found.push(told);
    }
}

fn core_plate(record: &Record, core: &Core, found: &mut Vec<Diagnostic>) {
    if let Given::Written(Located {
        value: Class::Other(text),
        span,
    }) = &core.class
    {
        let told = Code::ClassUnknown
            .at(*span, format!("the class `{text}` is not in the tables"))
            .label("kept as text: no limit, no verdict")
            .help("check the spelling (5P20, 0.5 FS10, PX, TPY, C800, 0.3B-0.5); leave old classes as they are");
        found.push(told);
    }
    if let [first @ .., last] = &core.taps_that_disagree()[..]
        && !first.is_empty()
    {
        let taps = first.iter().chain([last]);
        let named: Vec<String> = taps.map(|tap| core.pair_text(tap.from, tap.to)).collect();
        let title = format!("the ratios of core {} do not add up", core.name);
        let told = Code::TapsDisagree
            .at(last.span, title)
            .label(format!("{} disagree", named.join(", ")))
            .help("the ratio between two terminals is the sum of the sections between them; check each tap");
        found.push(told);
    }
    terminal_style(record, core, found);
}

fn terminal_style(record: &Record, core: &Core, found: &mut Vec<Diagnostic>) {
    let all = |is: fn(&str) -> bool| core.marks.iter().all(|mark| is(mark));
    let odd = match record.plate.family() {
        Family::Iec => all(|mark| mark.starts_with(['X', 'Y', 'Z', 'W', 'V'])),
        Family::Ieee => all(|mark| mark.contains('S')),
        Family::Other => false,
    };
    if odd && !core.marks_declared {
        let title = format!(
            "core {} has terminals in the style of the other standard",
            core.name
        );
        let first = core.marks.iter().take(2).map(String::as_str);
        let told = Code::TerminalStyle
            .at(core.span, title)
            .label(format!("{} under this standard?", words::list(first)))
            .help(format!(
                "if they are stamped like this, write `marks: {}`",
                core.marks.join(" ")
            ));
        found.push(told);
    }
}

/// Values of the plate without which a test of this core cannot be judged.
fn plate_values(record: &Record, core: &Core, found: &mut Vec<Diagnostic>) {
    let index = super::core::core_index(&record.cores, &core.name).unwrap_or(usize::MAX);
    let tests = || record.visits.iter().flat_map(|visit| &visit.tests);
    let tested =
        |kind: TestKind| tests().any(|test| test.kind == kind && due::touches(record, test, index));
    let mut miss = |needed: bool, key: &str, example: &str, why: &str| {
        if needed {
            let title = format!("core {} has no `{key}`, which {why}", core.name);
            let told = Code::PlateValueMissing
                .at(core.span, title)
                .label(format!("no `{key}` on the plate"))
                .help(format!("add `{key}: {example}`; if it is not from the plate, add ` from drawing` after it"));
            found.push(told);
        }
    };
    let (excitation, ratio) = (tested(TestKind::Excitation), tested(TestKind::Ratio));
    let any = excitation || ratio;
    let without_ratio = core.taps.is_empty() && core.ratio.is_missing();
    miss(
        any && without_ratio,
        "ratio",
        "600/1 A",
        "every verdict on ratio or excitation needs",
    );
    let Some(class) = core.class.value() else {
        let unclassed = any && core.class.is_missing();
        return miss(
            unclassed,
            "class",
            "5P20",
            "the limits of the standard follow from",
        );
    };
    let burden = core.burden.is_missing() && core.taps.iter().all(|tap| tap.burden.is_missing());
    let knee = core.knee.is_missing() && core.taps.iter().all(|tap| tap.knee.is_missing());
    match class {
        Class::Protection { .. } => {
            miss(
                excitation && burden,
                "burden",
                "15 VA",
                "the composite error is judged at",
            );
        }
        Class::Knee { .. } => {
            let why = "the excitation test of this class is judged by";
            miss(excitation && knee, "knee emf", "300 V", why);
        }
        Class::Measuring { security, .. } => {
            let by_current = ratio && tested_by_current(record, index);
            let needed = burden && ((excitation && security.is_some()) || by_current);
            miss(
                needed,
                "burden",
                "10 VA",
                "errors and security factor are stated at",
            );
        }
        Class::Transient(_) => {
            miss(
                excitation && burden,
                "burden",
                "5 ohm",
                "the accuracy limit is stated at",
            );
        }
        Class::IeeeMetering { .. } | Class::IeeeRelay { .. } | Class::Other(_) => {}
    }
}

fn tested_by_current(record: &Record, core: usize) -> bool {
    let mut ratios = record.visits.iter().flat_map(|visit| visit.of(Test::ratio));
    ratios.any(|(_, test, ratio)| {
        ratio.method == Some(Method::Current) && due::touches(record, test, core)
    })
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
                found.push(
                    Code::TapNotDeclared
                        .at(pair.span, format!("the plate gives no ratio for {text}"))
                        .label("turns unknown")
                        .help(format!(
                            "add a row `{text}  …/{}` to the tap table of core {}",
                            core.rated_secondary().unwrap_or(1.0),
                            core.name
                        )),
                );
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
    let Some(ends) = visit.primary_ends() else {
        return;
    };
    let earthed = ends.value.iter().filter(|end| end.state == "earthed");
    let driven = |test: &&Test| matches!(test.flux(), Flux::Measured | Flux::Cleared);
    if let (true, Some(test)) = (earthed.count() >= 2, visit.tests.iter().find(driven)) {
        let told = Code::PrimaryLoop
            .at(ends.span, "the primary is earthed at both ends while a core is excited")
            .label("a closed loop through the earth grid")
            .other(test.span, "excited here")
            .help("two earths turn the primary into a shorted turn, so that every core looks shorted; lift one earth under the site's permit and safety rules, and repeat");
        found.push(told);
    }
}

/// File order within a visit is the order of work, judged per core.
fn order_after_dc(record: &Record, visit: &Visit, found: &mut Vec<Diagnostic>) {
    for (index, core) in record.cores.iter().enumerate() {
        let mut dc: Option<Span> = None;
        let own = visit
            .tests
            .iter()
            .filter(|test| due::touches(record, test, index));
        for test in own {
            match test.flux() {
                Flux::Remains => dc = Some(test.span),
                Flux::Cleared => dc = None,
                Flux::Measured => {
                    found.extend(dc.take().map(|before| after_dc(core, test, before)));
                }
                Flux::Untouched => {}
            }
        }
    }
}

fn after_dc(core: &Core, test: &Test, before: Span) -> Diagnostic {
    let title = format!(
        "core {} is excited after a d.c. test without demagnetisation in between",
        core.name
    );
    Code::OrderAfterDc.at(test.span, title)
        .label("residual magnetism raises the low end of this curve")
        .other(before, "direct current here")
        .help("demagnetise in between and write [demagnetisation] there; the order in the file is the order of work")
}

/// Currents far beyond anything a core takes: most likely A where mA was meant.
fn implausible(record: &Record, visit: &Visit, found: &mut Vec<Diagnostic>) {
    for (_, test, excitation) in visit.of(Test::excitation) {
        let Some(pair) = test.pair else { continue };
        let core = record.cores.get(pair.value.core);
        let Some(rated) = core.and_then(Core::rated_secondary) else {
            continue;
        };
        let mut currents = excitation.rows.iter().filter_map(|row| row.current.get());
        if let Some(reading) = currents.find(|reading| reading.value.si > 30.0 * rated) {
            let (written, times) = (reading.value.written(), reading.value.si / rated);
            let title = format!(
                "an exciting current of {written} on a core of {rated} A rated secondary current"
            );
            let told = Code::ReadingImplausible
                .at(reading.span, title)
                .label(format!("{times:.0} times rated"))
                .help("check the unit in the heading: mA instead of A?");
            found.push(told);
        }
    }
}

/// Words of a `not done` line that mean nothing.
fn scopes(record: &Record, visit: &Visit, found: &mut Vec<Diagnostic>) {
    for (scope, omission) in due::omissions(record, visit) {
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

fn tests_missing(record: &Record, visit: &Visit, found: &mut Vec<Diagnostic>) {
    let missing = due::missing(record, visit);
    if missing.is_empty() {
        return;
    }
    let part = |kind: &TestKind| {
        let cores = missing.iter().filter(|due| due.kind == *kind);
        let cores = cores.filter_map(|due| record.cores.get(due.core));
        let names: Vec<&str> = cores.map(|core| core.name.as_str()).collect();
        (!names.is_empty()).then(|| format!("{} ({})", kind.name(), names.join(", ")))
    };
    let parts: Vec<String> = TestKind::ALL.iter().filter_map(part).collect();
    let parts = words::one_of(parts.iter().map(String::as_str));
    let purpose = visit.purpose.value().map_or("", String::as_str);
    let purpose = purpose.split([' ', ',']).next().unwrap_or("");
    let told = Code::TestsMissing
        .at(visit.span, format!("this visit has no {parts}"))
        .label(format!("due at a {purpose} visit"))
        .help("add the test, or say why it is not there: `not done excitation 2S: …`");
    found.push(told);
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
        found.extend(named.next().map(|id| {
            Code::InstrumentsMissing
                .at(id.span, "there is no instruments.toml for this record")
                .label("calibration and uncertainty unknown")
                .help("write an instruments.toml beside the records or in a folder above; without it measuring classes get no verdict")
        }));
        return;
    };
    for visit in &record.visits {
        let mut told: Vec<String> = Vec::new();
        let own = visit.tests.iter().map(|test| &test.instrument);
        let named = [&visit.instrument, &visit.reference].into_iter().chain(own);
        for id in named.filter_map(Given::get) {
            known(visit, id, instruments, &mut told, found);
        }
        for test in &visit.tests {
            ranges(visit, test, instruments, found);
        }
        let unnamed = visit.instrument.is_missing() && visit.purpose() != Purpose::Factory;
        let mut measured = visit
            .tests
            .iter()
            .filter(|test| !readings::of(test).is_empty());
        if let (true, Some(test)) = (unnamed, measured.find(|test| test.instrument.is_missing())) {
            let told = Code::InstrumentMissing
                .at(test.span, "the instrument of these readings is not stated")
                .label("no `instrument:` here or in the visit")
                .help("write `instrument: …` in [visit] or in this section");
            found.push(told);
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
    if instrument.valid_on(day) == Some(false) {
        let from = instrument
            .calibrated
            .map(|day| format!("{day} "))
            .unwrap_or_default();
        let to = instrument
            .due
            .map(|day| day.to_string())
            .unwrap_or_default();
        let title = format!(
            "the calibration of {} was not valid on {day}",
            instrument.id
        );
        let told = Code::CalibrationExpired
            .at(id.span, title)
            .label(format!("valid {from}to {to}"))
            .other(visit.date.span, "the day")
            .help("enter the newer certificate in instruments.toml, or have the instrument checked; the report shows the lapse");
        found.push(told);
    }
}

fn ranges(visit: &Visit, test: &Test, instruments: &Instruments, found: &mut Vec<Diagnostic>) {
    let id = test.instrument.value().or(visit.instrument.value());
    let Some(instrument) = id.and_then(|id| instruments.find(id)) else {
        return;
    };
    let name = test.kind.name();
    for (measure, Located { value, span }) in readings::of(test) {
        let mut functions = instrument.functions_for(measure, name).peekable();
        let inside = instrument.function(measure, name, value.si).is_some();
        if functions.peek().is_none() || !value.is_exact() || inside {
            continue;
        }
        let (from, to) = functions.fold((f64::INFINITY, 0f64), |(from, to), function| {
            (from.min(function.from), to.max(function.to))
        });
        let scale = value.si / value.number;
        let scale = if scale.is_finite() && scale != 0.0 {
            scale
        } else {
            1.0
        };
        let (from, to, unit) = (from / scale, to / scale, &value.unit.canonical);
        let (id, of) = (&instrument.id, measure.word());
        let title = format!("{} is outside the range of {id} for {of}", value.written());
        let told = Code::ReadingRange
            .at(span, title)
            .label(format!("{id} measures {of} from {from} to {to} {unit}"))
            .help("check the reading and its unit, or name the instrument that took it: `instrument: …` in this section");
        found.push(told);
    }
}
