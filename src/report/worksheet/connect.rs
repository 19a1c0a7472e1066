//! How each test is connected: one row of words for a step on a core, and how rows that are worked with the
//! leads laid one way are told together.

use super::drive::Drive;
use super::job::{Driven, Job};
use super::plan::Step;
use super::plate::CoreSheet;
use super::{say, stop};
use crate::derive::expected;
use crate::document::{Cell, Table, joined};
use crate::standards::threshold;

/// How a step on the full winding of a core is connected; `None` for one of the primary alone.
pub fn row(job: &Job<'_>, core: &CoreSheet<'_>, step: Step) -> Option<Row> {
    Some(match step {
        Step::Insulation => insulation(job, core),
        Step::Withstand => withstand(job, core),
        Step::InterTurn => inter_turn(job, core),
        Step::PartialDischarge | Step::DissipationFactor | Step::PrimaryResistance => return None,
        Step::Resistance => resistance(job, core),
        Step::Remanence => remanence(job, core),
        Step::Demagnetisation | Step::Excitation => excitation(job, core, step),
        Step::Ratio => ratio(job, core),
        Step::RatioByCurrent => by_current(job, core),
        Step::Burden => burden(core),
        Step::Continuity => continuity(job, core),
        Step::SingleEarth => single_earth(job, core),
        Step::TestLinks => test_links(core),
        Step::RatioSetting => ratio_setting(job, core),
        Step::Injection => injection(job, core),
        Step::Load => load(job, core),
        Step::Stability => stability(job, core),
    })
}

/// The same for a step on the primary, which is done for the unit once, under its name.
pub fn primary(job: &Job<'_>, step: Step) -> Vec<(String, Row)> {
    let rows = match step {
        Step::Insulation => vec![primary_insulation(job)],
        Step::Withstand => {
            let sections = job.are_sections_due().then(|| sections(job));
            std::iter::once(primary_withstand(job))
                .chain(sections)
                .collect()
        }
        Step::PartialDischarge => vec![primary_discharge(job)],
        Step::DissipationFactor => vec![dissipation_factor(job)],
        Step::PrimaryResistance => vec![primary_resistance(job)],
        _ => Vec::new(),
    };
    let names = [step.name(), "Between sections"].into_iter();
    names.map(str::to_owned).zip(rows).collect()
}

/// The words of the columns, in the order in which the leads are laid.
const COLUMNS: [&str; 12] = [
    "core, pair",
    "source + / -",
    "sense + / -",
    "open",
    "shorted",
    "earthed",
    "primary",
    "burden",
    "never above",
    "stop at",
    "expect",
    "after",
];

/// One value for each of [`COLUMNS`]; empty where nothing is to be said.
pub type Row = [String; 12];

/// A [`Row`] of texts.
macro_rules! row {
    ($($text:expr),* $(,)?) => {
        [$(String::from($text)),*]
    };
}

/// What all rows say alike, once; and beside each other, under their names, what they do not.
pub fn tables(caption: &str, rows: &[(String, Row)]) -> (Table, Vec<Table>) {
    let Some((_, first)) = rows.first() else {
        return (Table::default(), Vec::new());
    };
    let cells = |at: usize| rows.iter().filter_map(move |(_, row)| row.get(at));
    let alike = |at: usize| cells(at).all(|cell| first.get(at) == Some(cell));
    let words = COLUMNS.iter().enumerate();
    let (same, other): (Vec<_>, Vec<_>) = words.partition(|(at, _)| alike(*at));
    let same = same.into_iter().zip(first);
    let same = same.filter_map(|((at, word), _)| Some((*word, first.get(at)?.clone())));
    let facts = Table::facts(same.filter(|(_, text)| !text.is_empty())).captioned(caption);
    if other.is_empty() {
        return (facts, Vec::new());
    }
    let grid = |some: &[(String, Row)]| {
        let heads = std::iter::once("what").chain(some.iter().map(|(name, _)| name.as_str()));
        let heads: Vec<&str> = heads.collect();
        let line = |(at, word): &(usize, &&str)| -> Vec<Cell> {
            let cells = some.iter().filter_map(|(_, row)| row.get(*at));
            let cells = cells.map(|cell| Cell::from(cell.as_str()));
            std::iter::once(Cell::from(**word)).chain(cells).collect()
        };
        Table::grid(&heads, other.iter().map(line).collect()).named("each")
    };
    (facts, rows.chunks(ACROSS).map(grid).collect())
}

/// Most columns of words that fit beside each other.
const ACROSS: usize = 3;

/// All rows in sentences, for who cannot see the drawing.
pub fn describe(rows: &[(String, Row)]) -> String {
    let one = |(name, row): &(String, Row)| {
        let told = COLUMNS.iter().zip(row);
        let told = told.map(|(word, text)| (!text.is_empty()).then(|| format!("{word}: {text}.")));
        Some(format!("{name}. {}", joined(told, " ")))
    };
    joined(rows.iter().map(one), " ")
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
    if let Some(foreign) = job.foreign_primary() {
        return format!("{foreign}: isolated, earthed at one side at most: no loop");
    }
    let (first, second) = job.primary();
    let induced = volts
        .zip(core.winding.full())
        .and_then(|(volts, turns)| expected::induced(volts, turns, core.primary_turns));
    let carries = say::told(induced, |volts| format!(", carries {}", say::volts(volts)));
    format!("{first} open{carries}; {second} earthed: no loop")
}

/// The earthed end of the primary.
fn earthed_end(job: &Job<'_>) -> String {
    match job.foreign_primary() {
        Some(foreign) => format!("{foreign} at one side at most"),
        None => job.primary().1.to_owned(),
    }
}

fn one_earth(job: &Job<'_>) -> String {
    let (end, shorted) = (earthed_end(job), shorted_cores(job));
    format!(
        "instrument first; {shorted}{end}; the core under test at one point only, the minus lead of the source: \
         where the source's output is earthed inside, that is the one; its own earth comes off for the test and goes back on after it"
    )
}

/// Nothing where there is no other core.
fn shorted_cores(job: &Job<'_>) -> &'static str {
    if job.cores.len() > 1 {
        "each shorted core at one point only, its circuit's earth off or the short on the one it has; "
    } else {
        ""
    }
}

fn insulation(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    row![
        format!("{} against {}", core.core.name, job.all_else()),
        format!("{} tied together / earth", core.core.marks.join(", ")),
        "the tester's own",
        "none",
        job.others_text(core),
        rest_earthed(job),
        tied_primary(job),
        "disconnected",
        "",
        stop::insulation_voltage(),
        stop::insulation(job, false),
        "discharge and earth for four times the time of application, until a meter shows zero",
    ]
}

fn withstand(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    row![
        format!("{} against {}", core.core.name, job.all_else()),
        format!("{} tied together / earth", core.core.marks.join(", ")),
        "the source's own",
        "none",
        job.others_text(core),
        rest_earthed(job),
        tied_primary(job),
        "disconnected",
        "",
        say::told(stop::withstand(job, false), |(asked, _)| asked),
        "held, without a breakdown",
        "run the voltage down, switch off, earth the winding, and only then touch a lead",
    ]
}

/// What is earthed while one core is tested against all else.
fn rest_earthed(job: &Job<'_>) -> String {
    let others = if job.cores.len() > 1 {
        "other cores, each at one point only; "
    } else {
        ""
    };
    let primary = match job.foreign_primary() {
        Some(_) => "",
        None => "primary; ",
    };
    format!("instrument first; {others}{primary}the earth of this core's circuit lifted")
}

fn tied_primary(job: &Job<'_>) -> String {
    match job.foreign_primary() {
        Some(foreign) => format!("{foreign}: isolated and earthed; no lead of the tester on it"),
        None => {
            let (first, second) = job.primary();
            format!("{first} and {second} tied together and earthed")
        }
    }
}

fn inter_turn(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let (first, second) = job.primary();
    let peak = say::told(threshold("iec-inter-turn"), |row| {
        format!(", or {} peak at the open terminals,", say::volts(row.limit))
    });
    row![
        named(core),
        format!("{first} / {second}, with current{}", on_own_lead(job, core)),
        format!("{}, peak", ends(core)),
        job.open_text(core, Driven::Unheeded),
        job.others_text(core),
        format!(
            "instrument and source first; {}{}, the source's minus; the core under test at one point only, {}: its circuit's earth comes off for the test \
             and goes back on after it",
            shorted_cores(job),
            earthed_end(job),
            core.mark(core.full().1)
        ),
        "driven",
        "disconnected",
        "",
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
        stop::ceilings(job, core),
        "where the core is saturated; by direct current, by alternating current or by a capacitor: write down which",
        constant,
        "a direct current is run down before a lead is touched; then demagnetise",
    ]
}

fn primary_withstand(job: &Job<'_>) -> Row {
    row![
        PRIMARY,
        primary_ends(job),
        "the source's own",
        "none",
        each_core(job),
        FREE_PRIMARY,
        "tested",
        "disconnected",
        "",
        say::told(stop::withstand(job, true), |(asked, _)| asked),
        "held, without a breakdown",
        "run the voltage down, switch off, earth the primary, and only then touch a lead",
    ]
}

fn primary_discharge(job: &Job<'_>) -> Row {
    row![
        PRIMARY,
        primary_ends(job),
        "by the coupling of the measuring circuit, calibrated in pC",
        "none",
        each_core(job),
        FREE_PRIMARY,
        "tested",
        "disconnected",
        "",
        "the prestress, then down to each voltage at which the charge is read",
        "no more charge than the standard allows at each voltage",
        "run the voltage down, switch off, earth the primary, and only then touch a lead",
    ]
}

/// Between the sections that the primary's links put together, the links taken off.
fn sections(job: &Job<'_>) -> Row {
    let (first, second) = job.primary();
    row![
        "primary, section against section",
        format!(
            "the section at {first}, its two terminals tied together / the section at {second}, tied together and earthed; primary links off"
        ),
        "the source's own",
        "none",
        each_core(job),
        format!(
            "source first; all cores, frame or tank, and the section at {second}; no earth on the section at {first} while the source is on"
        ),
        "tested",
        "disconnected",
        "",
        say::told(stop::withstand_sections(job), |(asked, _)| asked),
        "held, without a breakdown",
        "run the voltage down, switch off, earth both sections, and only then touch a lead; links back as the plate has them, and tight",
    ]
}

fn dissipation_factor(job: &Job<'_>) -> Row {
    let at = stop::dissipation(job);
    row![
        PRIMARY,
        format!(
            "{}; where the insulation has a test tap, from the primary to the tap, its earth off",
            primary_ends(job)
        ),
        "by the bridge, with a screened lead to the low side",
        "none",
        each_core(job),
        FREE_PRIMARY,
        "tested",
        "disconnected",
        "",
        say::told(at.clone(), |at| format!("10 kV, then {at}")),
        say::told(at, |_| "the maker's values; insulator clean and dry"
            .to_owned()),
        "run the voltage down, switch off, discharge and earth the primary, and only then touch a lead; test tap earthed again and its cap on",
    ]
}

fn primary_resistance(job: &Job<'_>) -> Row {
    let (first, second) = job.primary();
    let stated = job.record.plate.primary_resistance.value();
    row![
        "primary, in each position of its links",
        format!("{first} / {second}"),
        format!("{first} / {second}, clipped inside the source clips"),
        "none",
        each_core(job),
        format!(
            "instrument first; each core at one point only; {}: no loop",
            earthed_end(job)
        ),
        "driven by direct current",
        "disconnected",
        "",
        stop::primary_current(job),
        say::told(stated, |stated| format!(
            "at most {} at {}, according to the rating plate",
            stated.value.written(),
            stated.at.written()
        )),
        "never break the current: run it down, wait for zero, then move a clip; demagnetise every core",
    ]
}

/// What is earthed while high voltage is on the primary.
const FREE_PRIMARY: &str = "source first; all cores, and the frame or tank; no earth on the primary while the source is on";

/// What a test of the primary is of.
const PRIMARY: &str = "primary against all cores and earth";

fn primary_ends(job: &Job<'_>) -> String {
    let (first, second) = job.primary();
    let plate = &job.record.plate;
    let is_own = !(plate.primary_turns.is_missing() && plate.links.is_empty());
    let doubt = if is_own {
        ""
    } else {
        "; only where the primary is the unit's own: a cable or busbar that passes a window is somebody else's, and is not tested from here"
    };
    format!("{first} and {second} tied together / earth{doubt}")
}

fn each_core(job: &Job<'_>) -> String {
    let all = job.cores.iter().map(|core| {
        let marks = core.core.marks.join(", ");
        Some(format!("{marks} of core {}", core.core.name))
    });
    format!("{}, each core tied together", joined(all, "; "))
}

fn primary_insulation(job: &Job<'_>) -> Row {
    row![
        PRIMARY,
        primary_ends(job),
        "the tester's own",
        "none",
        each_core(job),
        "instrument first; all cores; both earths of the primary lifted under the site's sanction",
        "tested",
        "disconnected",
        "",
        "the test voltage of the site's instruction: ______ V d.c.",
        stop::insulation(job, true),
        "discharge and earth for four times the time of application, until a meter shows zero; then put the earth back",
    ]
}

fn resistance(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let taps = job.taps_text(core, Step::Resistance);
    let taps = (!taps.is_empty()).then(|| taps.join(", "));
    let taps = say::told(taps, |all| {
        format!(
            "; then {all}: zero current first, move the sense clips, then the same current again"
        )
    });
    let (ends, others) = (ends(core), job.others_text(core));
    let sense = format!("{ends}, clipped at the CT inside the source clips{taps}");
    row![
        named(core),
        ends,
        sense,
        job.open_text(core, Driven::Unheeded),
        others,
        one_earth(job),
        open_primary(job, core, None),
        "disconnected",
        stop::ceilings(job, core),
        stop::resistance_current(core),
        stop::resistance(job, core),
        "never break the current: run it down, wait for zero, then move a clip; demagnetise",
    ]
}

fn excitation(job: &Job<'_>, core: &CoreSheet<'_>, step: Step) -> Row {
    let top = core.drive.as_ref().map(Drive::top);
    let (stop_at, expect, after) = if step == Step::Demagnetisation {
        (
            stop::demagnetisation(core),
            "the current falls with the voltage, without a step".to_owned(),
            "nothing with direct current before the excitation test",
        )
    } else {
        (
            stop::excitation(core),
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
        stop::ceilings(job, core),
        stop_at,
        expect,
        after,
    ]
}

fn ratio(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let volts = core.ratio_voltage.map(|(volts, _)| volts);
    let (first, second) = job.primary();
    let taps = job.taps_text(core, Step::Ratio);
    let taps = (!taps.is_empty()).then(|| taps.join(", "));
    let taps = say::told(taps, |all| format!("; then each of {all}"));
    let own_lead = on_own_lead(job, core);
    row![
        named(core),
        ends(core),
        match inputs(core) {
            Some(inputs) => format!("a: {}; b: each input in turn: {inputs}{taps}", ends(core)),
            None => format!("a: {}; b: {first} / {second}{own_lead}{taps}", ends(core)),
        },
        job.open_text(core, Driven::By(volts)),
        job.others_text(core),
        one_earth(job),
        match job.foreign_primary() {
            _ if inputs(core).is_some() => OTHER_INPUTS.to_owned(),
            Some(_) => open_primary(job, core, volts),
            None => format!("{first} sensed, {second} earthed: no loop"),
        },
        "disconnected",
        stop::ceiling(job),
        stop::ratio(job, core),
        stop::induced(job, core),
        "run down to zero",
    ]
}

fn by_current(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let (first, second) = job.primary();
    let shorted = shorted_cores(job);
    let burdens = core.test_burdens().into_iter();
    let burdens = burdens.map(|(name, va, load)| Some(stop::burden_figures(name, va, load)));
    let burden = Some(joined(burdens, "; then ")).filter(|text| !text.is_empty());
    let most = core.rated_primary().map(|amperes| {
        let most = say::amperes(amperes * stop::highest_percent(core) / 100.0);
        format!("{most} primary, the highest current of the list below")
    });
    row![
        named(core),
        match inputs(core) {
            Some(inputs) => format!(
                "each input by itself: {inputs}; then all in series, second terminal of one to first of the next"
            ),
            None => format!("{first} / {second}, high current{}", on_own_lead(job, core)),
        },
        format!("ammeter or comparator, and the burden, on {}", ends(core)),
        job.open_text(core, Driven::Unheeded),
        job.others_text(core),
        format!(
            "instrument first; {shorted}{}; one point of the burden's loop",
            earthed_end(job)
        ),
        match inputs(core) {
            Some(_) => OTHER_INPUTS,
            None =>
                "driven; return conductor clear of the window, other phases away; leads of high current tied down: they get hot and jump",
        },
        burden.unwrap_or_else(|| "the rated one; the plate gives none".to_owned()),
        "",
        most.unwrap_or_default(),
        "errors within the class at every current of the list below",
        "run the current down before any secondary lead is touched",
    ]
}

fn burden(core: &CoreSheet<'_>) -> Row {
    let name = &core.core.name;
    row![
        format!("{name}, outgoing circuit of the tap in service: ________"),
        "outgoing terminals of the pair in service; phase to phase the two phases' terminals: write down which",
        "the same two outgoing terminals",
        "CT side parted at the links; before current flows: trips of every relay in the circuit and in its summations blocked, control room told",
        "on the CT side first, if the CT can carry current; prove the short by measurement",
        "instrument first; the circuit's one earth as found; the source's output without an earth, or isolated: one that is earthed inside \
         makes a second earth, and can short a part of the circuit",
        "any; if it can carry current the short stays on",
        "this is what is measured: phase to neutral, and each phase to phase loop in use",
        "",
        say::told(core.secondary, |isr| format!(
            "{} (rated)",
            say::amperes(isr)
        )),
        stop::burden(core),
        "source off before a load is changed or a lead is moved; links stay open, shorts on and trips blocked until all is restored",
    ]
}

fn continuity(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    row![
        format!("{}, its whole circuit", core.core.name),
        "ohmmeter + / - across the one link that is opened for it, at the terminal box, then at the panel; one of some milliamperes, since more magnetises the core",
        "the meter's own",
        "that one link, and no other",
        "on the CT side, if the CT can carry current; prove the short by measurement",
        "the circuit's one earth as found",
        dead_primary(job),
        "in the loop, as it will serve: relays and meters in",
        "",
        "",
        stop::continuity(job),
        "close the link, take the short off last, and only then go on to the next core",
    ]
}

fn single_earth(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    row![
        format!("{}, its whole circuit against earth", core.core.name),
        "the circuit, at the terminal where its earth was / earth",
        "the tester's own",
        "the circuit's one earth: lifted at ________",
        "none: winding, leads, relays and meters stay connected to each other",
        "instrument first; the primary; every other circuit by its own",
        dead_primary(job),
        "in the circuit where its maker allows the voltage; else disconnected: write down what",
        stop::circuit_voltage(),
        "the test voltage of the site's instruction: ______ V d.c.",
        stop::circuit_insulation(job),
        "discharge for four times the time of application, until a meter shows zero; put the earth back at once, tight; count the earths of the circuit: one; write both down, before energising",
    ]
}

fn test_links(core: &CoreSheet<'_>) -> Row {
    let spare = core.core.is_spare();
    row![
        format!(
            "{}, every test block, isolating and shorting link of its circuit",
            core.core.name
        ),
        "",
        "",
        "none",
        if spare {
            "all of them: the core is spare"
        } else {
            "none, once the circuit is as left"
        },
        "",
        "dead while a link is moved",
        "",
        "",
        "",
        if spare {
            "position: shorted"
        } else {
            "position: through"
        },
        "a second person looks at each; trips unblocked last",
    ]
}

/// What the primary is while its circuits are proven.
fn dead_primary(job: &Job<'_>) -> String {
    match job.foreign_primary() {
        Some(foreign) => format!("{foreign}: dead, isolated and earthed by its owner"),
        None => "dead, isolated and earthed: no current can come".to_owned(),
    }
}

/// What a circuit in service is called.
fn circuit(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    let tap = job.in_service(core);
    let tap = tap.unwrap_or_else(|| "________".to_owned());
    format!("{}, circuit of the tap in service: {tap}", core.core.name)
}

fn ratio_setting(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    row![
        circuit(job, core),
        "none",
        "every relay and meter of the circuit: what it is set to, read on the device and not in its file",
        "",
        "",
        "",
        "any",
        "",
        "",
        "",
        say::told(job.ratio_in_service(core), |ratio| format!(
            "{ratio}, by the tap on record; compare with the tap found"
        )),
        "",
    ]
}

fn injection(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    row![
        circuit(job, core),
        "where the core's leads enter the circuit, as near to the CT as can be reached: phase to neutral, one phase after the other, then all three",
        "what each relay and meter shows; the source's own ammeter",
        "CT side parted at the links or by the test plug",
        "on the CT side first, if the CT can carry current; prove the short by measurement",
        "source first; the circuit's one earth as found; the source's output without an earth, or isolated",
        "any; if it can carry current the short stays on",
        "fed",
        "",
        say::told(core.secondary, |isr| format!(
            "{} (rated)",
            say::amperes(isr)
        )),
        "each shows what is fed, or that times the ratio it is set to; the phases that are not fed show nothing",
        "more than rated no longer than a reading takes: inputs get hot; source to zero and off before a lead is moved; links closed, short off last; trips stay blocked until all is restored",
    ]
}

fn load(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let [first, second, third] = job.three();
    row![
        circuit(job, core),
        "none: the current of the network",
        "clamp meter round each lead at the relay or meter, or what it shows; angles against one voltage; the primary current by another measurement at the same moment",
        "nothing",
        "nothing",
        "as it is; nothing lifted",
        "live",
        "connected",
        "",
        "",
        say::told(job.ratio_in_service(core), |ratio| format!(
            "primary current by {ratio}; {second} a third of a turn behind {first}, {third} two thirds; neutral next to nothing"
        )),
        "read again at the end: the load may have moved",
    ]
}

fn stability(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let zone = job.zone(core).map_or("________", String::as_str);
    row![
        format!("{}, zone {zone}", circuit(job, core)),
        "none: the current of the network, or the source of the switching programme",
        "operating and restraining current of each phase, as the relay shows them, both in one unit",
        "nothing",
        "nothing",
        "as it is; nothing lifted",
        "live, or driven as the programme has it",
        "connected",
        "",
        "",
        "through the zone: next to nothing operates; into the zone: about as much as restrains, or more",
        "trips stay blocked until somebody who may has looked at the readings",
    ]
}

/// The inputs of a summation CT: `1P1-1P2, 2P1-2P2`.
fn inputs(core: &CoreSheet<'_>) -> Option<String> {
    let names = core
        .core
        .inputs
        .iter()
        .map(|input| Some(input.name.clone()));
    Some(joined(names, ", ")).filter(|names| !names.is_empty())
}

/// An open input is harmless while the secondary is closed, and a shorted one takes the flux down.
const OTHER_INPUTS: &str = "one input in use, every other one OPEN and insulated: it carries a voltage by its turns, a high one where the secondary is opened or shorts fail; \
     never shorted: a shorted input takes the current from the secondary";

/// Where the primary's marks are put to, if the primary is somebody else's.
fn on_own_lead(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    say::told(job.foreign_primary(), |_| {
        format!(", at the ends of {}", own_lead(core))
    })
}

/// A lead of one's own that stands for the primary where that is somebody else's.
fn own_lead(core: &CoreSheet<'_>) -> String {
    let passes = core.passes;
    let times = if passes > 1.0 {
        format!("{} times", say::plain(passes))
    } else {
        "once".to_owned()
    };
    format!("a lead of your own, passed {times} through the window")
}

/// Polarity by d.c. kick, one row for the unit.
pub fn kick(job: &Job<'_>, cores: &[&CoreSheet<'_>]) -> Option<Row> {
    let one = *cores.first()?;
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
    let source = on_own_lead(job, one);
    let earthed = match job.foreign_primary() {
        Some(foreign) => format!(
            "{}{foreign}: isolated, earthed at one side at most; no battery on it",
            shorted_cores(job)
        ),
        None => format!(
            "{}{second}: the primary stays earthed at this end, and the battery's minus with it",
            shorted_cores(job)
        ),
    };
    let exchanged = match job.foreign_primary() {
        Some(_) => String::new(),
        None => format!(
            "; if {first} is the earthed end here, + on {second} and - on {first}, and down on make, up on break is right"
        ),
    };
    Some(row![
        joined(names, "; "),
        format!(
            "battery + on {first}, - on {second}{source}; a switch in the plus lead; the battery limits the current: a dry one of a few volts, or a \
             resistor in series (common practice, no source)"
        ),
        joined(meters, "; "),
        open,
        shorted,
        earthed,
        format!(
            "driven by the battery for a moment, by a switch and never by hand at a clip; nobody touches {first} or \
             another winding on make or break"
        ),
        "disconnected",
        "",
        "close briefly, open by the switch",
        format!("up on make, down on break{exchanged}"),
        "direct current was on the core: demagnetise before the excitation test",
    ])
}
