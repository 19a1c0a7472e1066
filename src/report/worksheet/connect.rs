//! How each test is connected: the table with every column, and the drawing beside it.

use super::drawing::{self, Primary, Secondary};
use super::job::Job;
use super::plate::CoreSheet;
use super::stop;
use super::{
    plan::{self, Step},
    say,
};
use crate::document::{Block, Figure, Picture, Table, Text};

/// Connection table and drawing of a step on the full winding of a core.
pub fn connection(job: &Job<'_>, core: &CoreSheet<'_>, step: Step) -> Block {
    let rows = match step {
        Step::Insulation => insulation(job, core),
        Step::Resistance => resistance(job, core),
        Step::Demagnetisation | Step::Excitation => excitation(job, core, step),
        Step::Ratio => ratio(job, core),
        Step::RatioByCurrent => by_current(job, core),
        Step::Burden => burden(core),
    };
    let caption = format!("{}, core {}", step.name(), core.core.name);
    let drawn_again = step == Step::Demagnetisation
        && plan::cores(job.record, job.purpose, Step::Excitation).contains(&core.index);
    if drawn_again {
        return Block::Table(table(
            format!("{caption}: connected as drawn under excitation"),
            rows,
        ));
    }
    Block::columns(
        figure(job, core, step, &rows, &caption),
        table(caption, rows),
    )
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
pub type Row = [String; 11];

fn table(caption: String, rows: Row) -> Table {
    Table::facts(COLUMNS.into_iter().zip(rows)).captioned(caption)
}

fn ends(core: &CoreSheet<'_>) -> String {
    let (plus, minus) = core.full();
    format!("{} / {}", core.mark(plus), core.mark(minus))
}

fn named(core: &CoreSheet<'_>) -> String {
    format!(
        "{}, {} (full winding)",
        core.core.name,
        core.pair(core.full())
    )
}

fn open_primary(job: &Job<'_>, core: &CoreSheet<'_>, volts: Option<f64>) -> String {
    let (first, second) = job.primary();
    let induced = volts.zip(core.winding.full()).and_then(|(volts, turns)| {
        crate::derive::expected::induced(volts, turns, core.primary_turns)
    });
    let carries = induced
        .map(|volts| format!(", carries {}", say::volts(volts)))
        .unwrap_or_default();
    format!("{first} open{carries}; {second} earthed: no loop")
}

fn one_earth(job: &Job<'_>) -> String {
    let end = job.primary().1;
    format!(
        "instrument first; {}{end}; no second earth on the core under test",
        shorted_cores(job)
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
    let tied = core.core.marks.join(", ");
    [
        format!("{} against primary, other cores and earth", core.core.name),
        format!("{tied} tied together / earth"),
        "the tester's own".to_owned(),
        "none".to_owned(),
        job.others_text(core),
        "other cores and primary; the earth of this core's circuit lifted".to_owned(),
        format!("{first} and {second} tied together and earthed"),
        "disconnected".to_owned(),
        "the test voltage of the site's instruction: ______ V d.c.".to_owned(),
        stop::insulation(job, false),
        "discharge and earth for four times the time of application, until a meter shows zero"
            .to_owned(),
    ]
}

/// The primary against everything: one table and drawing for the unit.
pub fn primary_insulation(job: &Job<'_>) -> Option<Block> {
    let core = job.cores.first()?;
    let (first, second) = job.primary();
    let all: Vec<String> = job
        .cores
        .iter()
        .map(|core| format!("{} of core {}", core.core.marks.join(", "), core.core.name))
        .collect();
    let rows: Row = [
        "primary against all cores and earth".to_owned(),
        format!("{first} and {second} tied together / earth"),
        "the tester's own".to_owned(),
        "none".to_owned(),
        format!("{}, each core tied together", all.join("; ")),
        "all cores; both earths of the primary lifted under the site's sanction".to_owned(),
        "tested".to_owned(),
        "disconnected".to_owned(),
        "the test voltage of the site's instruction: ______ V d.c.".to_owned(),
        stop::insulation(job, true),
        "discharge and earth for four times the time of application, until a meter shows zero; then put the earth back".to_owned(),
    ];
    let caption = "Insulation resistance, primary".to_owned();
    let mut picture = job.picture(core, caption.clone(), Secondary::TiedAndEarthed);
    picture.primary = Primary::Tested;
    picture.description = describe(&rows);
    let drawn = drawn(drawing::draw(&picture), legend(core, Step::Insulation));
    Some(Block::columns(drawn, table(caption, rows)))
}

fn resistance(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let mut sense = format!("{}, clipped at the CT inside the source clips", ends(core));
    let sections: Vec<String> = sections(core);
    if !sections.is_empty() {
        sense.push_str(&format!(
            "; then {} under the same current",
            sections.join(", ")
        ));
    }
    [
        named(core),
        ends(core),
        sense,
        job.open_text(core, None).replace(" (voltage unknown)", ""),
        format!(
            "{} (no effect while the primary is open)",
            job.others_text(core)
        ),
        one_earth(job),
        open_primary(job, core, None),
        "disconnected".to_owned(),
        stop::resistance_current(core),
        stop::resistance(job, core),
        "never break the current: run it down, wait for zero, then move a clip; demagnetise"
            .to_owned(),
    ]
}

/// `1S1-1S2`, `1S2-1S3`: neighbouring terminals, where there are taps.
pub fn sections(core: &CoreSheet<'_>) -> Vec<String> {
    let last = core.core.last_mark();
    if last < 2 {
        Vec::new()
    } else {
        (0..last).map(|at| core.pair((at, at + 1))).collect()
    }
}

fn excitation(job: &Job<'_>, core: &CoreSheet<'_>, step: Step) -> Row {
    let top = stop::top(core);
    let demagnetise = step == Step::Demagnetisation;
    [
        named(core),
        ends(core),
        format!("{}, at the CT terminals", ends(core)),
        job.open_text(core, top),
        job.others_text(core),
        one_earth(job),
        open_primary(job, core, top),
        "disconnected".to_owned(),
        if demagnetise {
            stop::demagnetisation(core)
        } else {
            stop::excitation(job, core)
        },
        if demagnetise {
            String::from("the current falls with the voltage, without a step")
        } else {
            stop::limit_text(core)
        },
        if demagnetise {
            "nothing with direct current before the excitation test".to_owned()
        } else {
            "run down slowly to zero, then switch off; if the source tripped, demagnetise again"
                .to_owned()
        },
    ]
}

fn ratio(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let volts = core.ratio_voltage.map(|(volts, _)| volts);
    let (first, second) = job.primary();
    let mut sense = format!("a: {}; b: {first} / {second}", ends(core));
    if !sections(core).is_empty() {
        sense.push_str(&format!(
            "; then each section: {}",
            sections(core).join(", ")
        ));
    }
    [
        named(core),
        ends(core),
        sense,
        job.open_text(core, volts),
        job.others_text(core),
        one_earth(job),
        format!("{first} sensed, {second} earthed: no loop"),
        "disconnected".to_owned(),
        stop::ratio(job, core),
        stop::induced(job, core),
        "run down to zero".to_owned(),
    ]
}

fn by_current(job: &Job<'_>, core: &CoreSheet<'_>) -> Row {
    let (first, second) = job.primary();
    let open = job.open_text(core, None).replace(" (voltage unknown)", "");
    [
        named(core),
        format!("{first} / {second}, high current"),
        format!("ammeter or comparator, and the burden, on {}", ends(core)),
        open,
        job.others_text(core),
        format!(
            "instrument first; {}{second}; one point of the burden's loop",
            shorted_cores(job)
        ),
        "driven; return conductor clear of the window, other phases away".to_owned(),
        core.burden_text().map_or_else(
            || "the rated one; the plate gives none".to_owned(),
            |text| format!("rated: {text}"),
        ),
        core.rated_primary().map_or_else(String::new, |amperes| {
            format!(
                "{} primary, the highest current of the list below",
                say::amperes(amperes * stop::highest_percent(core) / 100.0)
            )
        }),
        "errors within the class at every current of the list below".to_owned(),
        "run the current down before any secondary lead is touched".to_owned(),
    ]
}

fn burden(core: &CoreSheet<'_>) -> Row {
    [
        format!(
            "{}, outgoing circuit of the tap in service: ________",
            core.core.name
        ),
        "outgoing terminals of the pair in service".to_owned(),
        "the same two outgoing terminals".to_owned(),
        "CT side parted at the links".to_owned(),
        "on the CT side first, if the CT can carry current; prove the short by measurement"
            .to_owned(),
        "instrument first; the circuit's one earth as found".to_owned(),
        "any; if it can carry current the short stays on".to_owned(),
        "this is what is measured: phase to neutral, and each phase to phase loop in use"
            .to_owned(),
        core.secondary
            .map_or_else(String::new, |isr| format!("{} (rated)", say::amperes(isr))),
        stop::burden(core),
        "close the links, then take the short off; count the earths of the circuit: one".to_owned(),
    ]
}

fn figure(job: &Job<'_>, core: &CoreSheet<'_>, step: Step, rows: &Row, caption: &str) -> Figure {
    let svg = if step == Step::Burden {
        let (plus, minus) = core.full();
        let current = core.secondary.map(say::amperes).unwrap_or_default();
        let marks = if core.core.marks.len() == 2 {
            (core.mark(plus), core.mark(minus))
        } else {
            ("+", "-")
        };
        drawing::burden(caption, &describe(rows), marks, &current)
    } else {
        let mut picture = job.picture(core, caption.to_owned(), secondary(core, step));
        picture.description = describe(rows);
        dress(job, core, step, &mut picture);
        drawing::draw(&picture)
    };
    drawn(svg, legend(core, step))
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

fn secondary(core: &CoreSheet<'_>, step: Step) -> Secondary {
    let up_to = |volts: Option<f64>| {
        volts
            .map(|volts| format!("up to {}", say::volts(volts)))
            .unwrap_or_default()
    };
    match step {
        Step::Insulation => Secondary::Tested,
        Step::Resistance => Secondary::Direct(
            core.secondary
                .map(|isr| say::amperes(0.1 * isr))
                .unwrap_or_default(),
        ),
        Step::Demagnetisation | Step::Excitation => Secondary::Alternating(up_to(stop::top(core))),
        Step::Ratio => Secondary::Alternating(
            core.ratio_voltage
                .map(|(volts, _)| say::volts(volts))
                .unwrap_or_default(),
        ),
        Step::RatioByCurrent | Step::Burden => Secondary::Loop("burden".to_owned()),
    }
}

/// What is connected to the primary, and what the open terminals reach.
fn dress(job: &Job<'_>, core: &CoreSheet<'_>, step: Step, picture: &mut drawing::Picture) {
    match step {
        Step::Insulation => picture.primary = Primary::TiedAndEarthed,
        Step::Ratio => {
            picture.primary = Primary::Sensed(
                stop::induced_volts(core)
                    .map(say::volts)
                    .unwrap_or_default(),
            );
            job.mark_open(core, core.ratio_voltage.map(|(volts, _)| volts), picture);
        }
        Step::RatioByCurrent => {
            let rated = core
                .rated_primary()
                .map(|amperes| format!("rated {}", say::amperes(amperes)));
            picture.primary = Primary::Driven(rated.unwrap_or_default());
            job.mark_open(core, None, picture);
        }
        Step::Resistance => job.mark_open(core, None, picture),
        Step::Demagnetisation | Step::Excitation => job.mark_open(core, stop::top(core), picture),
        Step::Burden => {}
    }
}

fn describe(rows: &Row) -> String {
    COLUMNS
        .iter()
        .zip(rows)
        .filter(|(_, text)| !text.is_empty())
        .map(|(word, text)| format!("{word}: {text}."))
        .collect::<Vec<_>>()
        .join(" ")
}

fn legend(core: &CoreSheet<'_>, step: Step) -> String {
    match (step, core.core.marks.len()) {
        (Step::Burden, _) => "Measure into the circuit; the CT stays parted from it.".to_owned(),
        (_, 2) => "The dot marks the polarity ends.".to_owned(),
        _ => "Figures under the winding: turns. The dot marks the polarity ends.".to_owned(),
    }
}

/// Polarity by d.c. kick: one drawing for the unit, one row a core.
pub fn kick(job: &Job<'_>, cores: &[&CoreSheet<'_>]) -> Option<Block> {
    let core = *cores.first()?;
    let (first, second) = job.primary();
    let meters: Vec<String> = cores
        .iter()
        .map(|core| format!("core {}: {}", core.core.name, ends(core)))
        .collect();
    let rows: Row = [
        cores
            .iter()
            .map(|core| named(core))
            .collect::<Vec<_>>()
            .join("; "),
        format!("battery + on {first}, - on {second}"),
        meters.join("; "),
        if cores.iter().all(|core| core.core.marks.len() == 2) {
            "none"
        } else {
            "taps of the core under test; insulate, never short"
        }
        .to_owned(),
        if job.cores.len() > 1 {
            "full winding of every core that is not under test"
        } else {
            "none: the CT has one core"
        }
        .to_owned(),
        format!("{}the battery side stays off earth", shorted_cores(job)),
        "driven by the battery for a moment; keep clear of the ends on break".to_owned(),
        "disconnected".to_owned(),
        "a short touch is enough".to_owned(),
        "up on make, down on break".to_owned(),
        "direct current was on the core: demagnetise".to_owned(),
    ];
    let caption = "Polarity by d.c. kick (battery) test".to_owned();
    let mut picture = job.picture(core, caption.clone(), Secondary::Meter("mV"));
    picture.primary = Primary::Battery;
    picture.description = describe(&rows);
    job.mark_open(core, None, &mut picture);
    let drawn = drawn(drawing::draw(&picture), legend(core, Step::Resistance));
    Some(Block::columns(drawn, table(caption, rows)))
}
