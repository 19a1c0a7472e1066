//! How each test is connected: the table with every column, and the drawing beside it.

use super::drawing::{self, Picture as Drawing, Primary, Secondary};
use super::job::{Driven, Job};
use super::plan::Step;
use super::plate::CoreSheet;
use super::{say, stop};
use crate::derive::expected;
use crate::document::{Block, Figure, Picture, Table, Text, joined};
use crate::standards::threshold;

/// Connection table and drawing of a step on the full winding of a core.
pub fn connection(job: &Job<'_>, core: &CoreSheet<'_>, step: Step) -> Block {
    let rows = match step {
        Step::Insulation => insulation(job, core),
        Step::Withstand => withstand(job, core),
        Step::InterTurn => inter_turn(job, core),
        // Of the primary alone.
        Step::PartialDischarge => return Block::Note(Text::default()),
        Step::Resistance => resistance(job, core),
        Step::Remanence => remanence(job, core),
        Step::Demagnetisation | Step::Excitation => excitation(job, core, step),
        Step::Ratio => ratio(job, core),
        Step::RatioByCurrent => by_current(job, core),
        Step::Burden => burden(core),
    };
    let caption = format!("{}, core {}", step.name(), core.core.name);
    let excited = || job.due(Step::Excitation);
    if step == Step::Demagnetisation && excited().iter().any(|one| one.index == core.index) {
        let caption = format!("{caption}: connected as drawn under excitation");
        return Block::Table(table(caption, rows));
    }
    if matches!(step, Step::Withstand | Step::InterTurn | Step::Remanence) {
        return Block::Table(table(caption, rows));
    }
    if step == Step::Burden {
        let (plus, minus) = core.full();
        let current = say::told(core.secondary, say::amperes);
        let marks = match core.core.marks.len() {
            2 => (core.mark(plus), core.mark(minus)),
            _ => ("+", "-"),
        };
        let svg = drawing::burden(&caption, &describe(&rows), marks, &current);
        let legend = "Measure into the circuit; the CT stays parted from it.".to_owned();
        return Block::columns(drawn(svg, legend), table(caption, rows));
    }
    let secondary = secondary(core, step);
    beside(job, core, caption, rows, secondary, |picture| match step {
        Step::Insulation | Step::Withstand => picture.primary = Primary::TiedAndEarthed,
        Step::Ratio => {
            let reading = say::told(stop::induced_volts(core), say::volts);
            picture.primary = Primary::Sensed(reading);
            job.mark_open(core, core.ratio_voltage.map(|(volts, _)| volts), picture);
        }
        Step::RatioByCurrent => {
            let rated = |amperes| format!("rated {}", say::amperes(amperes));
            picture.primary = Primary::Driven(say::told(core.rated_primary(), rated));
            job.mark_open(core, None, picture);
        }
        Step::Demagnetisation | Step::Excitation => job.mark_open(core, stop::top(core), picture),
        Step::Resistance
        | Step::InterTurn
        | Step::PartialDischarge
        | Step::Remanence
        | Step::Burden => job.mark_open(core, None, picture),
    })
}

/// The words of the columns, in the order in which the leads are laid.
const COLUMNS: [&str; 11] = [
    "core, pair",
    "source + / -",
    "sense + / -",
    "open",
    "shorted",
    "earthed",
    "primary",
    "burden",
    "stop at",
    "expect",
    "after",
];

/// One value for each of [`COLUMNS`].
type Row = [String; 11];

/// A [`Row`] of texts.
macro_rules! row {
    ($($text:expr),* $(,)?) => {
        [$(String::from($text)),*]
    };
}

fn table(caption: String, rows: Row) -> Table {
    Table::facts(COLUMNS.into_iter().zip(rows)).captioned(caption)
}

/// The table beside a drawing of the core, `dress`ed with what is connected to the primary.
fn beside(
    job: &Job<'_>,
    core: &CoreSheet<'_>,
    caption: String,
    rows: Row,
    secondary: Secondary,
    dress: impl FnOnce(&mut Drawing),
) -> Block {
    let mut picture = job.picture(core, caption.clone(), secondary);
    picture.description = describe(&rows);
    dress(&mut picture);
    let legend = match core.core.marks.len() {
        2 => "The dot marks the polarity ends.",
        _ => "Figures under the winding: turns. The dot marks the polarity ends.",
    };
    let figure = drawn(drawing::draw(&picture), legend.to_owned());
    Block::columns(figure, table(caption, rows))
}

/// A drawing in its place. Plain Markdown says nothing there: the table beside it says the same in
/// words.
fn drawn(element: String, caption: String) -> Figure {
    Figure {
        key: "drawing".to_owned(),
        picture: Picture { element, caption },
        instead: Text::default(),
    }
}

fn describe(rows: &Row) -> String {
    let told = COLUMNS.iter().zip(rows);
    let told = told.map(|(word, text)| (!text.is_empty()).then(|| format!("{word}: {text}.")));
    joined(told, " ")
}

fn secondary(core: &CoreSheet<'_>, step: Step) -> Secondary {
    match step {
        Step::Insulation | Step::Withstand | Step::InterTurn | Step::PartialDischarge => {
            Secondary::Tested
        }
        Step::Resistance | Step::Remanence => {
            let current = core.secondary.map(|isr| 0.1 * isr);
            Secondary::Direct(say::told(current, say::amperes))
        }
        Step::Demagnetisation | Step::Excitation => {
            let up_to = |volts| format!("up to {}", say::volts(volts));
            Secondary::Alternating(say::told(stop::top(core), up_to))
        }
        Step::Ratio => {
            let volts = core.ratio_voltage.map(|(volts, _)| volts);
            Secondary::Alternating(say::told(volts, say::volts))
        }
        Step::RatioByCurrent | Step::Burden => Secondary::Loop("burden".to_owned()),
    }
}

fn ends(core: &CoreSheet<'_>) -> String {
    let (plus, minus) = core.full();
    format!("{} / {}", core.mark(plus), core.mark(minus))
}

fn named(core: &CoreSheet<'_>) -> String {
    let pair = core.pair(core.full());
    format!("{}, {pair} (full winding)", core.core.name)
}

fn open_primary(job: &Job<'_>, core: &CoreSheet<'_>, volts: Option<f64>) -> String {
    let (first, second) = job.primary();
    let induced = volts
        .zip(core.winding.full())
        .and_then(|(volts, turns)| expected::induced(volts, turns, core.primary_turns));
    let carries = say::told(induced, |volts| format!(", carries {}", say::volts(volts)));
    format!("{first} open{carries}; {second} earthed: no loop")
}

fn one_earth(job: &Job<'_>) -> String {
    let (end, shorted) = (job.primary().1, shorted_cores(job));
    format!(
        "instrument first; {shorted}{end}; the core under test at one point only, the minus lead of the source: \
         where the source's output is earthed inside, that is the one; its own earth comes off for the test and goes back on after it"
    )
}

/// Nothing where there is no other core.
fn shorted_cores(job: &Job<'_>) -> &'static str {
    if job.cores.len() > 1 {
        "one point of each shorted core; "
    } else {
        ""
    }
}

fn insulation(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let (first, second) = job.primary();
    row![
        format!("{} against primary, other cores and earth", core.core.name),
        format!("{} tied together / earth", core.core.marks.join(", ")),
        "the tester's own",
        "none",
        job.others_text(core),
        "other cores and primary; the earth of this core's circuit lifted",
        format!("{first} and {second} tied together and earthed"),
        "disconnected",
        stop::insulation_voltage(),
        stop::insulation(job, false),
        "discharge and earth for four times the time of application, until a meter shows zero",
    ]
}

fn withstand(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let (first, second) = job.primary();
    row![
        format!("{} against primary, other cores and earth", core.core.name),
        format!("{} tied together / earth", core.core.marks.join(", ")),
        "the source's own",
        "none",
        job.others_text(core),
        "other cores and primary; the earth of this core's circuit lifted",
        format!("{first} and {second} tied together and earthed"),
        "disconnected",
        say::told(stop::withstand(job, false), |(asked, _)| asked),
        "held, without a breakdown",
        "run the voltage down, switch off, earth the winding, and only then touch a lead",
    ]
}

fn inter_turn(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let (first, second) = job.primary();
    let peak = say::told(threshold("iec-inter-turn"), |row| {
        format!(", or {} peak at the open terminals,", say::volts(row.limit))
    });
    row![
        named(core),
        format!("{first} / {second}, with current"),
        format!("{}, peak", ends(core)),
        job.open_text(core, Driven::Unheeded),
        job.others_text(core),
        one_earth(job),
        "driven",
        "disconnected",
        format!("rated current{peak} whichever comes first; 60 s"),
        "held, without a breakdown",
        "run the current down to zero before a lead is touched; then demagnetise",
    ]
}

fn remanence(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let constant = core.core.loop_time_constant.value();
    let constant = say::told(constant, |constant| {
        format!(
            "loop time constant {}, according to the rating plate",
            constant.written()
        )
    });
    row![
        named(core),
        ends(core),
        format!("{}, at the CT terminals", ends(core)),
        job.open_text(core, Driven::Unheeded),
        job.others_text(core),
        one_earth(job),
        open_primary(job, core, None),
        "disconnected",
        "where the core is saturated; by direct current, by alternating current or by a capacitor: write down which",
        constant,
        "a direct current is run down before a lead is touched; then demagnetise",
    ]
}

/// The primary against everything, where a step drives it: for the unit once.
pub fn primary(job: &Job<'_>, step: Step) -> Option<Block> {
    match step {
        Step::Insulation => primary_insulation(job),
        Step::Withstand => primary_withstand(job),
        Step::PartialDischarge => primary_discharge(job),
        _ => None,
    }
}

fn primary_withstand(job: &Job<'_>) -> Option<Block> {
    let rows = row![
        PRIMARY,
        primary_ends(job),
        "the source's own",
        "none",
        each_core(job),
        "all cores",
        "tested",
        "disconnected",
        say::told(stop::withstand(job, true), |(asked, _)| asked),
        "held, without a breakdown",
        "run the voltage down, switch off, earth the primary, and only then touch a lead",
    ];
    (!job.cores.is_empty())
        .then(|| Block::Table(table("Withstand voltage, primary".to_owned(), rows)))
}

fn primary_discharge(job: &Job<'_>) -> Option<Block> {
    let rows = row![
        PRIMARY,
        primary_ends(job),
        "by the coupling of the measuring circuit, calibrated in pC",
        "none",
        each_core(job),
        "all cores",
        "tested",
        "disconnected",
        "the prestress, then down to each voltage at which the charge is read",
        "no more charge than the standard allows at each voltage",
        "run the voltage down, switch off, earth the primary, and only then touch a lead",
    ];
    (!job.cores.is_empty())
        .then(|| Block::Table(table("Partial discharge, primary".to_owned(), rows)))
}

/// What a test of the primary is of.
const PRIMARY: &str = "primary against all cores and earth";

fn primary_ends(job: &Job<'_>) -> String {
    let (first, second) = job.primary();
    format!("{first} and {second} tied together / earth")
}

fn each_core(job: &Job<'_>) -> String {
    let all = job.cores.iter().map(|core| {
        let marks = core.core.marks.join(", ");
        Some(format!("{marks} of core {}", core.core.name))
    });
    format!("{}, each core tied together", joined(all, "; "))
}

/// One table and drawing for the unit.
fn primary_insulation(job: &Job<'_>) -> Option<Block> {
    let core = job.cores.first()?;
    let rows = row![
        PRIMARY,
        primary_ends(job),
        "the tester's own",
        "none",
        each_core(job),
        "all cores; both earths of the primary lifted under the site's sanction",
        "tested",
        "disconnected",
        "the test voltage of the site's instruction: ______ V d.c.",
        stop::insulation(job, true),
        "discharge and earth for four times the time of application, until a meter shows zero; then put the earth back",
    ];
    let caption = "Insulation resistance, primary".to_owned();
    let tied = Secondary::TiedAndEarthed;
    let tested = |picture: &mut Drawing| picture.primary = Primary::Tested;
    Some(beside(job, core, caption, rows, tied, tested))
}

fn resistance(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let sections = core.sections();
    let sections = (!sections.is_empty()).then(|| sections.join(", "));
    let sections = say::told(sections, |all| {
        format!(
            "; then {all}: zero current first, move the sense clips, then the same current again"
        )
    });
    let (ends, others) = (ends(core), job.others_text(core));
    let sense = format!("{ends}, clipped at the CT inside the source clips{sections}");
    row![
        named(core),
        ends,
        sense,
        job.open_text(core, Driven::Unheeded),
        format!("{others} (no effect while the primary is open)"),
        one_earth(job),
        open_primary(job, core, None),
        "disconnected",
        stop::resistance_current(core),
        stop::resistance(job, core),
        "never break the current: run it down, wait for zero, then move a clip; demagnetise",
    ]
}

fn excitation(job: &Job<'_>, core: &CoreSheet<'_>, step: Step) -> Row {
    let top = stop::top(core);
    let (stop_at, expect, after) = if step == Step::Demagnetisation {
        (
            stop::demagnetisation(core),
            "the current falls with the voltage, without a step".to_owned(),
            "nothing with direct current before the excitation test",
        )
    } else {
        (
            stop::excitation(job, core),
            stop::limit_text(core),
            "run down slowly to zero, then switch off; if the source tripped, demagnetise again",
        )
    };
    row![
        named(core),
        ends(core),
        format!("{}, at the CT terminals", ends(core)),
        job.open_text(core, Driven::By(top)),
        job.others_text(core),
        one_earth(job),
        open_primary(job, core, top),
        "disconnected",
        stop_at,
        expect,
        after,
    ]
}

fn ratio(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let volts = core.ratio_voltage.map(|(volts, _)| volts);
    let (first, second) = job.primary();
    let sections = core.sections();
    let sections = (!sections.is_empty()).then(|| sections.join(", "));
    let sections = say::told(sections, |all| format!("; then each section: {all}"));
    row![
        named(core),
        ends(core),
        format!("a: {}; b: {first} / {second}{sections}", ends(core)),
        job.open_text(core, Driven::By(volts)),
        job.others_text(core),
        one_earth(job),
        format!("{first} sensed, {second} earthed: no loop"),
        "disconnected",
        stop::ratio(job, core),
        stop::induced(job, core),
        "run down to zero",
    ]
}

fn by_current(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let (first, second) = job.primary();
    let shorted = shorted_cores(job);
    let burden = core.burden_text().map(|text| format!("rated: {text}"));
    let most = core.rated_primary().map(|amperes| {
        let most = say::amperes(amperes * stop::highest_percent(job, core) / 100.0);
        format!("{most} primary, the highest current of the list below")
    });
    row![
        named(core),
        format!("{first} / {second}, high current"),
        format!("ammeter or comparator, and the burden, on {}", ends(core)),
        job.open_text(core, Driven::Unheeded),
        job.others_text(core),
        format!("instrument first; {shorted}{second}; one point of the burden's loop"),
        "driven; return conductor clear of the window, other phases away; leads of high current tied down: they get hot and jump",
        burden.unwrap_or_else(|| "the rated one; the plate gives none".to_owned()),
        most.unwrap_or_default(),
        "errors within the class at every current of the list below",
        "run the current down before any secondary lead is touched",
    ]
}

fn burden(core: &CoreSheet<'_>) -> Row {
    let name = &core.core.name;
    row![
        format!("{name}, outgoing circuit of the tap in service: ________"),
        "outgoing terminals of the pair in service",
        "the same two outgoing terminals",
        "CT side parted at the links; before current flows: trips of the relays in the circuit blocked, control room told",
        "on the CT side first, if the CT can carry current; prove the short by measurement",
        "instrument first; the circuit's one earth as found",
        "any; if it can carry current the short stays on",
        "this is what is measured: phase to neutral, and each phase to phase loop in use",
        say::told(core.secondary, |isr| format!(
            "{} (rated)",
            say::amperes(isr)
        )),
        stop::burden(core),
        "source off before a load is changed or a lead is moved; then close the links, take the short off, count the earths of the circuit: one; unblock the trips",
    ]
}

/// Polarity by d.c. kick: one drawing for the unit, one row a core.
pub fn kick(job: &Job<'_>, cores: &[&CoreSheet<'_>]) -> Option<Block> {
    let core = *cores.first()?;
    let (first, second) = job.primary();
    let names = cores.iter().map(|core| Some(named(core)));
    let meters = cores
        .iter()
        .map(|core| Some(format!("core {}: {}", core.core.name, ends(core))));
    let open = if cores.iter().all(|core| core.core.marks.len() == 2) {
        "none"
    } else {
        "taps of the core under test; insulate, never short"
    };
    let shorted = if job.cores.len() > 1 {
        "full winding of every core that is not under test"
    } else {
        "none: the CT has one core"
    };
    let rows = row![
        joined(names, "; "),
        format!("battery + on {first}, - on {second}"),
        joined(meters, "; "),
        open,
        shorted,
        format!(
            "{}{second}: the primary stays earthed at this end, and the battery's minus with it",
            shorted_cores(job)
        ),
        format!(
            "driven by the battery for a moment, by a switch and never by hand at a clip; nobody touches {first} or \
             another winding on make or break"
        ),
        "disconnected",
        "a short touch is enough",
        "up on make, down on break",
        "direct current was on the core: demagnetise",
    ];
    let caption = "Polarity by d.c. kick (battery) test".to_owned();
    let meter = Secondary::Meter("mV");
    Some(beside(job, core, caption, rows, meter, |picture| {
        picture.primary = Primary::Battery;
        job.mark_open(core, None, picture);
    }))
}
