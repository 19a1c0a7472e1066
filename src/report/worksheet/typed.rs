//! What a record takes of a table of the sheet: the section, its keys, and the heading of its rows. The sheet
//! and a new visit have their heads from here, so that what is written on the one is typed into the other.

use super::day::Day;
use super::plate::CoreSheet;
use crate::document::joined;
use crate::record::phase::Phase;

// Headings of tables: blanks part the words, and `|` does where a cell may hold blanks.
pub const INSPECTION: &str = "item | state | may serve | remark";
pub const STATE: &str = "core | in service | earth | star | links | secondary | remark";
pub const RESTORED: &str =
    "core | in service | links | secondary | earth | earths counted | terminals tight";
pub const ATTACHMENTS: &str = "file | shows";
pub const INSULATION: &str = "between time/s voltage/V resistance/Gohm";
pub const WITHSTAND: &str = "between voltage/kV time/s result";
pub const INTER_TURN: &str = "on rated/% peak/kV time/s result";
pub const DISCHARGE: &str = "voltage/kV charge/pC";
pub const DISSIPATION: &str = "between voltage/kV capacitance/pF factor/%";
pub const PRIMARY_RESISTANCE: &str = "links | current/A | voltage/V";
const POLARITY: &str = "on | deflection | remark";
pub const RESISTANCE: &str = "on current/A voltage/V";
pub const DEMAGNETISATION: &str = "on start/V end/V frequency/Hz time/s";
const BY_CURRENT: &str = "rated/% error/% phase/arcmin";
pub const BURDEN: &str = "on loop phases current/A voltage/V angle/deg";
pub const CONTINUITY: &str = "core | at | resistance/ohm | result | remark";
pub const SINGLE_EARTH: &str =
    "core | at | voltage/V | time/s | resistance/Mohm | put back | earths counted";
pub const TEST_LINKS: &str = "core | item | position | remark";
pub const RATIO_SETTING: &str = "core | at | ratio | remark";
pub const INJECTION: &str = "core | at | phase | current/A | reading/A | ratio | remark";
pub const LOAD: &str = "core | at | phase | current/A | angle/deg | remark";
pub const STABILITY: &str = "core | at | phase | operate/A | restrain/A | remark";

/// Of an excitation curve: milliampere where the limit is small.
pub fn excitation(core: &CoreSheet<'_>) -> &'static str {
    match core.turning.and_then(|turning| turning.current) {
        Some(limit) if limit >= 1.5 => "voltage/V current/A",
        _ => "voltage/V current/mA",
    }
}

/// Of a ratio by voltage that is read at the primary, and at the taps where there are any: in `V` or `mV`.
/// Of a summation CT at each input, and then at a pair only where taps are read as well.
pub fn ratio(core: &CoreSheet<'_>, unit: &str, at_taps: bool) -> String {
    let read = format!("applied/V read/{unit} phase/arcmin");
    match core.core.inputs.is_empty() || at_taps {
        true => of_inputs(core, &format!("on {read}")),
        false => format!("input {read}"),
    }
}

/// Of a ratio by current; of a summation CT through one input after the other, and through all in series.
pub fn by_current(core: &CoreSheet<'_>) -> String {
    of_inputs(core, BY_CURRENT)
}

/// A heading as the record of a core takes it: of a summation CT with its inputs.
fn of_inputs(core: &CoreSheet<'_>, heading: &str) -> String {
    match core.core.inputs.is_empty() {
        true => heading.to_owned(),
        false => format!("input {heading}"),
    }
}

/// Heading and rows of a polarity by battery: the whole winding of each core, of a summation CT by each input.
pub fn polarity(cores: &[&CoreSheet<'_>]) -> (String, Vec<Vec<String>>) {
    let one = cores.iter().all(|core| core.core.inputs.is_empty());
    if one {
        let rows = cores.iter().map(|core| vec![core.pair(core.full())]);
        return (POLARITY.to_owned(), rows.collect());
    }
    let rows = cores.iter().flat_map(|core| {
        let inputs = core.core.inputs.iter().map(|input| input.name.clone());
        let inputs: Vec<String> = match core.core.inputs.is_empty() {
            true => vec!["-".to_owned()],
            false => inputs.collect(),
        };
        let pair = core.pair(core.full());
        inputs
            .into_iter()
            .map(move |input| vec![input, pair.clone()])
    });
    (format!("input | {POLARITY}"), rows.collect())
}

/// Rows of an injection: each phase fed, with the two beside it that are not, at a device that is named on the day.
pub fn injected(core: &str, phases: &[Phase]) -> Vec<Vec<String>> {
    let row = |phase: &Phase| vec![core.to_owned(), "-".to_owned(), phase.name().to_owned()];
    let of = |fed: &Phase| {
        let others = phases.iter().filter(|other| *other != fed);
        let others = others.map(|other| [row(other), vec!["0".to_owned()]].concat());
        std::iter::once(row(fed)).chain(others).collect::<Vec<_>>()
    };
    phases.iter().flat_map(of).collect()
}

/// The phases of a circuit with their neutral behind them.
pub fn with_neutral(phases: &[Phase]) -> Vec<Phase> {
    let neutral = (!phases.contains(&Phase::N)).then_some(Phase::N);
    phases.iter().copied().chain(neutral).collect()
}

/// The words of a heading.
pub fn heads(heading: &str) -> Vec<&str> {
    let mark = if heading.contains('|') { '|' } else { ' ' };
    heading
        .split(mark)
        .map(|word| word.trim_matches(' '))
        .collect()
}

/// The words of a heading with columns of the sheet's own, which are not typed, behind so many of them.
pub fn heads_with<'h>(heading: &'h str, behind: usize, own: &[&'h str]) -> Vec<&'h str> {
    let mut all = heads(heading);
    let rest = all.split_off(behind.min(all.len()));
    all.extend(own);
    all.extend(rest);
    all
}

/// The caption of a table to write into, with what the record takes of it: its section, its `keys`, each with
/// room for the pen where it is not known, and its `heading`, where it has rows.
pub fn caption(what: &str, section: &str, keys: &[&str], heading: &str) -> String {
    let heading = Some(heading).filter(|heading| !heading.is_empty());
    let all = keys.iter().copied().chain(heading);
    let all = joined(all.map(|one| Some(one.to_owned())), "; ");
    format!("{what}: write down; typed as [{section}] {all}")
}

/// How the captions are read; it stands on every sheet once. At the maker's there is no permit.
pub fn how(day: Day) -> String {
    let permit = match day {
        Day::AtMaker => "",
        Day::Tests | Day::Circuits | Day::Live => {
            " permit:, permit until: and permit returned: with day and time,"
        }
    };
    format!(
        "Behind \"typed as\" each table tells what the record takes of it: the section in brackets, then keys, each on a line of its own, \
    then the heading of its rows, as it stands there. Rows of the primary and of the cores that have one section are typed below one another in it. Columns that are not named there are the sheet's own; a field left empty is typed as -. The visit stands before all of them: [visit \
    YEAR-MONTH-DAY], below it purpose:, tested by:,{permit} ambient: ___ C, humidity: ___ %, instrument:, each on a line of its own. Where the instrument shows another unit, strike the one \
    in the head out, write the other (mV for V, A for mA) and type that."
    )
}

/// What the primary is tested against.
pub const OF_PRIMARY: &str = "primary to cores and earth";

/// The sections of a primary, as the standard marks them.
pub const OF_SECTIONS: &str = "P1-C1 to C2-P2";

/// What a core is tested against.
pub fn of_core(core: &CoreSheet<'_>) -> String {
    format!("{} to primary, cores and earth", core.core.name)
}
