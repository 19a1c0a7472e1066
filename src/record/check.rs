//! What only the record as a whole can show: plate values that tests need, taps that do not add up,
//! order of work, tests due. Says nothing about verdicts.
#![deny(clippy::wildcard_enum_match_arm)]

use super::class::Class;
use super::core::Core;
use super::due;
use super::instruments::Instruments;
use super::kinds::ratio::{Method, On};
use super::kinds::{Test, TestKind};
use super::readings;
use super::value::Pair;
use super::visit::Visit;
use super::{Record, words};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::nearest::nearest;
use crate::ground::number::Bound;
use crate::ground::span::{Given, Located, Span};
use crate::standards::Family;

/// Checks that need nothing but the record.
pub fn record(record: &Record, found: &mut Vec<Diagnostic>) {
    // What seems to be missing may stand in a line that could not be read: that was told there.
    let errors: Vec<u32> = found
        .iter()
        .filter(|diagnostic| diagnostic.is_error())
        .map(|diagnostic| diagnostic.span.start)
        .collect();
    let whole = |from: Span, to: Option<u32>| {
        !errors
            .iter()
            .any(|at| *at >= from.start && to.is_none_or(|to| *at < to))
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
        if whole(
            visit.span,
            record.visits.get(index + 1).map(|next| next.span.start),
        ) {
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
    cores
        .chain(duties)
        .chain(visits)
        .filter(|start| *start > from.start)
        .min()
}

fn plate(record: &Record, found: &mut Vec<Diagnostic>) {
    let plate = &record.plate;
    if plate.id.is_missing() && !plate.span.is_empty() {
        found.push(words::key_missing("id", plate.span, "ct", "BRW-19-40718"));
    }
    if let Some(standard) = plate
        .standard
        .get()
        .filter(|standard| !standard.value.known)
    {
        found.push(
            Diagnostic::new(Code::StandardUnknown, standard.span, format!("no limits of `{}` are known", standard.value.text))
                .label("kept as text")
                .help("values are computed and shown without a verdict; knee data on the plate (class X, PS) are judged all the same"),
        );
    }
}

fn core_plate(record: &Record, core: &Core, found: &mut Vec<Diagnostic>) {
    if let Some(Located {
        value: Class::Other(text),
        span,
    }) = core.class.get()
    {
        found.push(
            Diagnostic::new(Code::ClassUnknown, *span, format!("the class `{text}` is not in the tables"))
                .label("kept as text: no limit, no verdict")
                .help("check the spelling (5P20, 0.5 FS10, PX, TPY, C800, 0.3B-0.5); old classes may stand as they are"),
        );
    }
    let named: Vec<String> = core
        .taps_that_disagree()
        .iter()
        .map(|tap| core.pair_text(tap.from, tap.to))
        .collect();
    if named.len() >= 2 {
        let span = core
            .taps_that_disagree()
            .last()
            .map_or(core.span, |tap| tap.span);
        found.push(
            Diagnostic::new(Code::TapsDisagree, span, format!("the ratios of core {} do not add up", core.name))
                .label(format!("{} disagree", words::list(named.iter().map(String::as_str))))
                .help("the ratio between two terminals is the sum of the sections between them; check the digits of each tap"),
        );
    }
    terminal_style(record, core, found);
}

fn terminal_style(record: &Record, core: &Core, found: &mut Vec<Diagnostic>) {
    let ieee_marks = core
        .marks
        .iter()
        .all(|mark| mark.starts_with(['X', 'Y', 'Z', 'W', 'V']));
    let iec_marks = core.marks.iter().all(|mark| mark.contains('S'));
    let odd = match record.plate.family() {
        Family::Iec => ieee_marks,
        Family::Ieee => iec_marks,
        Family::Other => false,
    };
    if odd && !core.marks_declared {
        found.push(
            Diagnostic::new(
                Code::TerminalStyle,
                core.span,
                format!(
                    "core {} has terminals in the style of the other standard",
                    core.name
                ),
            )
            .label(format!(
                "{} under this standard?",
                words::list(core.marks.iter().take(2).map(String::as_str))
            ))
            .help(format!(
                "if they are stamped like this, say so: `marks: {}`",
                core.marks.join(" ")
            )),
        );
    }
}

/// Values of the plate without which a test of this core cannot be judged.
fn plate_values(record: &Record, core: &Core, found: &mut Vec<Diagnostic>) {
    let index = super::core::core_index(&record.cores, &core.name).unwrap_or(usize::MAX);
    let tested = |kind: TestKind| {
        record.visits.iter().any(|visit| {
            visit
                .tests
                .iter()
                .any(|test| test.kind == kind && due::touches(record, test, index))
        })
    };
    let mut miss = |needed: bool, key: &str, example: &str, why: &str| {
        if needed {
            found.push(
                Diagnostic::new(Code::PlateValueMissing, core.span, format!("core {} has no `{key}`, which {why}", core.name))
                    .label(format!("no `{key}` on the plate"))
                    .help(format!("add `{key}: {example}`, with ` from drawing` behind it if the plate does not show it")),
            );
        }
    };
    let excitation = tested(TestKind::Excitation);
    let ratio = tested(TestKind::Ratio);
    miss(
        (excitation || ratio) && core.taps.is_empty() && core.ratio.is_missing(),
        "ratio",
        "600/1 A",
        "every verdict on ratio or excitation needs",
    );
    let Some(class) = core.class.value() else {
        miss(
            (excitation || ratio) && core.class.is_missing(),
            "class",
            "5P20",
            "the limits of the standard follow from",
        );
        return;
    };
    let burden = core.burden.is_missing() && core.taps.iter().all(|tap| tap.burden.is_missing());
    let knee = core.knee.is_missing() && core.taps.iter().all(|tap| tap.knee.is_missing());
    match class {
        Class::Protection { .. } => miss(
            excitation && burden,
            "burden",
            "15 VA",
            "the composite error is judged at",
        ),
        Class::Knee { .. } => miss(
            excitation && knee,
            "knee emf",
            "300 V",
            "the excitation test of this class is judged by",
        ),
        Class::Measuring { security, .. } => {
            miss(
                burden
                    && ((excitation && security.is_some())
                        || (ratio && tested_by_current(record, index))),
                "burden",
                "10 VA",
                "errors and security factor are stated at",
            );
        }
        Class::Transient(_) => miss(
            excitation && burden,
            "burden",
            "5 ohm",
            "the accuracy limit is stated at",
        ),
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
                    Diagnostic::new(
                        Code::TapNotDeclared,
                        pair.span,
                        format!("the plate gives no ratio for {text}"),
                    )
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
    let earthed = ends
        .value
        .iter()
        .filter(|end| end.state == "earthed")
        .count();
    let excited = visit
        .tests
        .iter()
        .find(|test| matches!(test.kind, TestKind::Excitation | TestKind::Demagnetisation));
    if let (true, Some(test)) = (earthed >= 2, excited) {
        found.push(
            Diagnostic::new(Code::PrimaryLoop, ends.span, "the primary is earthed on both sides while a core is excited")
                .label("a closed loop through the earth grid")
                .other(test.span, "excited here")
                .help("both earths make a shorted turn of the primary, so that every core looks shorted; lift one earth under whatever sanction the site needs, and repeat"),
        );
    }
}

/// File order within a visit is the order of work, judged per core.
fn order_after_dc(record: &Record, visit: &Visit, found: &mut Vec<Diagnostic>) {
    for (index, core) in record.cores.iter().enumerate() {
        let mut dc: Option<Span> = None;
        for test in visit
            .tests
            .iter()
            .filter(|test| due::touches(record, test, index))
        {
            if test.leaves_remanence() {
                dc = Some(test.span);
            } else if test.kind == TestKind::Demagnetisation {
                dc = None;
            } else if test.kind == TestKind::Excitation
                && let Some(before) = dc.take()
            {
                found.push(after_dc(core, test, before));
            }
        }
    }
}

fn after_dc(core: &Core, test: &Test, before: Span) -> Diagnostic {
    let title = format!(
        "core {} is excited after a d.c. test without demagnetisation in between",
        core.name
    );
    Diagnostic::new(Code::OrderAfterDc, test.span, title)
        .label("residual magnetism raises the low end of this curve")
        .other(before, "direct current here")
        .help("demagnetise between them and write [demagnetisation] there; the order in the file is the order of work")
}

/// Currents far beyond anything a core takes: most likely A where mA was meant.
fn implausible(record: &Record, visit: &Visit, found: &mut Vec<Diagnostic>) {
    for (_, test, excitation) in visit.of(Test::excitation) {
        let Some(pair) = test.pair else { continue };
        let Some(rated) = record
            .cores
            .get(pair.value.core)
            .and_then(Core::rated_secondary)
        else {
            continue;
        };
        let far = |given: &Given<crate::ground::quantity::Quantity>| {
            given
                .get()
                .copied()
                .filter(|reading| reading.value.si > 30.0 * rated)
        };
        if let Some(reading) = excitation.rows.iter().find_map(|row| far(&row.current)) {
            found.push(
                Diagnostic::new(
                    Code::ReadingImplausible,
                    reading.span,
                    format!(
                        "an exciting current of {} on a core of {rated} A rated secondary current",
                        reading.value.written()
                    ),
                )
                .label(format!("{:.0} times rated", reading.value.si / rated))
                .help("check the unit in the heading: mA where A is written?"),
            );
        }
    }
}

/// Words of a `not done` line that mean nothing.
fn scopes(record: &Record, visit: &Visit, found: &mut Vec<Diagnostic>) {
    for (scope, omission) in due::omissions(record, visit) {
        if let Some(word) = scope.unknown.first() {
            let names: Vec<&str> = TestKind::ALL
                .iter()
                .map(|kind| kind.name())
                .chain(record.cores.iter().map(|core| core.name.as_str()))
                .collect();
            let told = words::aside(omission.scope.span, false);
            let title = format!("`{word}` is neither a test nor a core");
            let told = Diagnostic { title, ..told };
            found.push(match nearest(word, names.iter().copied()) {
                Some(near) => told.help(format!("did you mean {near}?")),
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
    let mut parts: Vec<String> = Vec::new();
    for kind in TestKind::ALL {
        let cores: Vec<&str> = missing
            .iter()
            .filter(|due| due.kind == *kind)
            .filter_map(|due| record.cores.get(due.core))
            .map(|core| core.name.as_str())
            .collect();
        if !cores.is_empty() {
            parts.push(format!("{} ({})", kind.name(), cores.join(", ")));
        }
    }
    found.push(
        Diagnostic::new(
            Code::TestsMissing,
            visit.span,
            format!(
                "this visit has no {}",
                words::one_of(parts.iter().map(String::as_str))
            ),
        )
        .label(format!(
            "due at a {} visit",
            visit
                .purpose
                .value()
                .map_or("", |text| text.split([' ', ',']).next().unwrap_or(""))
        ))
        .help("add the test, or say why it is not there: `not done excitation 2S: …`"),
    );
}

/// Checks that need the instruments; `None` when there is no `instruments.toml`.
pub fn against_instruments(
    record: &Record,
    instruments: Option<&Instruments>,
    found: &mut Vec<Diagnostic>,
) {
    let Some(instruments) = instruments else {
        if let Some(visit) = record
            .visits
            .iter()
            .find(|visit| visit.instrument.get().is_some())
        {
            let span = visit.instrument.span().unwrap_or(visit.span);
            found.push(
                Diagnostic::new(Code::InstrumentsMissing, span, "there is no instruments.toml above this record")
                    .label("calibration and uncertainty unknown")
                    .help("write an instruments.toml beside the records; without it measuring classes get no verdict"),
            );
        }
        return;
    };
    for visit in &record.visits {
        let mut told: Vec<String> = Vec::new();
        if let Some(id) = visit.instrument.get() {
            known(visit, id, instruments, &mut told, found);
        }
        if let Some(id) = visit.reference.get() {
            known(visit, id, instruments, &mut told, found);
        }
        for test in &visit.tests {
            if let Some(id) = test.instrument.get() {
                known(visit, id, instruments, &mut told, found);
            }
            ranges(visit, test, instruments, found);
        }
        let measured = visit
            .tests
            .iter()
            .find(|test| !readings::of(test).is_empty() && test.instrument.is_missing());
        if let (Some(test), true) = (
            measured,
            visit.instrument.is_missing() && visit.purpose() != super::visit::Purpose::Factory,
        ) {
            found.push(
                Diagnostic::new(
                    Code::InstrumentMissing,
                    test.span,
                    "nobody says which instrument took these readings",
                )
                .label("no `instrument:` here or in the visit")
                .help("write `instrument: …` into [visit] or into this section"),
            );
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
        let ids: Vec<&str> = instruments
            .items
            .iter()
            .map(|item| item.id.as_str())
            .collect();
        let unknown = Diagnostic::new(
            Code::InstrumentUnknown,
            id.span,
            format!("{} has no instrument `{}`", instruments.file, id.value),
        )
        .label("unknown instrument");
        found.push(match nearest(&id.value, ids.iter().copied()) {
            Some(near) => unknown.help(format!(
                "did you mean {near}? Otherwise add an [[instrument]] with this id"
            )),
            None => unknown.help("add an [[instrument]] with this id"),
        });
        return;
    };
    if instrument.valid_on(visit.date.value) == Some(false) {
        let from = instrument
            .calibrated
            .map(|day| format!("{day} "))
            .unwrap_or_default();
        let to = instrument
            .due
            .map(|day| day.to_string())
            .unwrap_or_default();
        found.push(
            Diagnostic::new(
                Code::CalibrationExpired,
                id.span,
                format!("the calibration of {} was not valid on {}", instrument.id, visit.date.value),
            )
            .label(format!("valid {from}to {to}"))
            .other(visit.date.span, "the day")
            .help("enter the newer certificate into instruments.toml, or have the instrument checked; the report says it"),
        );
    }
}

fn ranges(visit: &Visit, test: &Test, instruments: &Instruments, found: &mut Vec<Diagnostic>) {
    let id = test.instrument.value().or(visit.instrument.value());
    let Some(instrument) = id.and_then(|id| instruments.find(id)) else {
        return;
    };
    for (measure, reading) in readings::of(test) {
        let name = test.kind.name();
        let mut functions = instrument.functions_for(measure, name).peekable();
        let bound = reading.value.bound != Bound::Exact;
        if functions.peek().is_none()
            || bound
            || instrument
                .function(measure, name, reading.value.si)
                .is_some()
        {
            continue;
        }
        let (from, to) = functions.fold((f64::INFINITY, 0f64), |(from, to), function| {
            (from.min(function.from), to.max(function.to))
        });
        let unit = reading.value.unit;
        let scale = reading.value.si / reading.value.number;
        let shown = |si: f64| {
            if scale.is_finite() && scale != 0.0 {
                si / scale
            } else {
                si
            }
        };
        found.push(
            Diagnostic::new(
                Code::ReadingRange,
                reading.span,
                format!("{} is outside the range of {} for {}", reading.value.written(), instrument.id, measure.word()),
            )
            .label(format!("{} measures {} from {} to {} {}", instrument.id, measure.word(), shown(from), shown(to), unit.canonical))
            .help("check the reading and its unit, or name the instrument that took it: `instrument: …` in this section"),
        );
    }
}
