//! Tables to write into: rows named by pair, units in the heading.

use super::job::Job;
use super::plan::Step;
use super::plate::CoreSheet;
use super::{say, stop};
use crate::derive::expected::{self, Why};
use crate::document::{Cell, Table};

/// The blank tables of a step on one core.
pub fn blanks(job: &Job<'_>, core: &CoreSheet<'_>, step: Step) -> Vec<Table> {
    match step {
        Step::Insulation => vec![insulation(
            &format!("{} to primary, other cores and earth", core.core.name),
            &["60"],
        )],
        Step::Resistance => vec![resistance(job, core)],
        Step::Demagnetisation => {
            let heads = ["pair", "start/V", "end/V", "time/s"];
            let table = Table::blank(&heads, [core.pair(core.full())]);
            vec![table.captioned("Demagnetisation: write down")]
        }
        Step::Excitation => vec![excitation(core)],
        Step::Ratio => vec![ratio(job, core)],
        Step::RatioByCurrent => vec![by_current(core)],
        Step::Burden => {
            let heads = ["loop", "current/A", "voltage/V", "angle/deg"];
            let loops = ["phase-neutral", "phase-phase", ""].map(str::to_owned);
            vec![Table::blank(&heads, loops).captioned("Connected burden: write down")]
        }
    }
}

/// Insulation readings at the times that indices are made of.
pub fn insulation(between: &str, times: &[&str]) -> Table {
    let heads = ["time/s", "voltage/V", "resistance/Gohm", "temperature/C"];
    let table = Table::blank(&heads, times.iter().map(|time| (*time).to_owned()));
    table.captioned(format!("Insulation, {between}: write down"))
}

/// A row that begins with told cells and ends in blanks.
fn row(told: Vec<String>, blanks: usize) -> Vec<Cell> {
    told.into_iter()
        .map(Cell::from)
        .chain(std::iter::repeat_n(Cell::Blank, blanks))
        .collect()
}

fn resistance(job: &Job<'_>, core: &CoreSheet<'_>) -> Table {
    let last = core.core.last_mark();
    let pairs =
        std::iter::once(core.full()).chain((0..last).map(|at| (at, at + 1)).filter(|_| last >= 2));
    let rows = pairs.map(|pair| {
        let most = core
            .resistance(pair, job.celsius)
            .map(say::ohms)
            .unwrap_or_default();
        row(vec![core.pair(pair), most], 3)
    });
    let heads = ["pair", "at most", "current/A", "voltage/V", "temperature/C"];
    Table::grid(&heads, rows.collect()).captioned(format!(
        "Winding resistance: write down (at most, at {} \u{b0}C)",
        job.celsius
    ))
}

/// Milliampere where the limit is small.
pub fn current_unit(core: &CoreSheet<'_>) -> &'static str {
    if core
        .turning
        .and_then(|turning| turning.current)
        .is_some_and(|limit| limit >= 1.5)
    {
        "current/A"
    } else {
        "current/mA"
    }
}

/// Voltages to aim at on the full winding, with a word for those that matter.
pub fn aims(core: &CoreSheet<'_>) -> Vec<(f64, &'static str)> {
    let Some(turning) = core.turning else {
        return Vec::new();
    };
    // Limits of the exciting current that the plate states at other voltages are read there too.
    let mut limits = vec![turning.volts];
    limits.extend(
        core.core
            .exciting
            .iter()
            .map(|at| at.value.at.si)
            .filter(|volts| (volts / turning.volts - 1.0).abs() > 0.02),
    );
    let why = |why: Why| match why {
        Why::Spread => "",
        Why::Turn => "turn",
        Why::Limit => "limit",
    };
    expected::points(turning.volts, &limits)
        .into_iter()
        .map(|point| (point.volts, why(point.why)))
        .collect()
}

fn excitation(core: &CoreSheet<'_>) -> Table {
    let unit = current_unit(core);
    let mut rows: Vec<Vec<Cell>> = aims(core)
        .into_iter()
        .map(|(volts, why)| row(vec![say::volts(volts), why.to_owned()], 2))
        .collect();
    if rows.is_empty() {
        rows = (0..10).map(|_| row(Vec::new(), 4)).collect();
    } else {
        rows.extend((0..2).map(|_| row(Vec::new(), 4)));
    }
    Table::grid(&["aim", "why", "voltage/V", unit], rows).captioned(format!(
        "Excitation {}: write down, rising only",
        core.pair(core.full())
    ))
}

fn ratio(job: &Job<'_>, core: &CoreSheet<'_>) -> Table {
    let (first, second) = job.primary();
    let percent = core
        .turns_tolerance(job.criteria)
        .map(|(percent, _)| percent);
    let at_primary = stop::induced_volts(core)
        .map(|volts| format!("{}{}", say::volts(volts), stop::band(volts, percent)));
    let mut rows = vec![row(
        vec![format!("{first}-{second}"), at_primary.unwrap_or_default()],
        3,
    )];
    if core.core.last_mark() >= 2 {
        let applied = core.ratio_voltage.map(|(volts, _)| volts);
        for at in 0..core.core.last_mark() {
            let share = core
                .winding
                .turns(at, at + 1)
                .zip(core.winding.full())
                .zip(applied);
            let volts = share.map(|((turns, full), applied)| say::volts(applied * turns / full));
            rows.push(row(
                vec![core.pair((at, at + 1)), volts.unwrap_or_default()],
                3,
            ));
        }
    }
    let heads = [
        "read on",
        "expect",
        "applied/V",
        "read/V or mV",
        "phase/arcmin",
    ];
    let caption = format!("Ratio, {} driven: write down", core.pair(core.full()));
    Table::grid(&heads, rows).captioned(caption)
}

fn by_current(core: &CoreSheet<'_>) -> Table {
    let primary = core.rated_primary();
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for (percent, limits) in stop::currents(core) {
        let aim = primary
            .map(|amperes| say::amperes(amperes * percent / 100.0))
            .unwrap_or_default();
        rows.push(row(vec![format!("{percent} %"), aim, limits], 3));
    }
    if rows.is_empty() {
        rows = (0..4).map(|_| row(Vec::new(), 6)).collect();
    }
    let heads = [
        "rated/%",
        "primary, aim",
        "limit of the class",
        "burden",
        "error/%",
        "phase/min",
    ];
    Table::grid(&heads, rows).captioned(
        "Ratio by current: write down, once with the rated and once with the lowest burden of the class",
    )
}

/// The pair that raises the winding most, in one sentence.
pub fn steepest(core: &CoreSheet<'_>) -> Option<String> {
    let rise = |pair: (u8, u8)| Some((core.winding.multiplier(pair.0, pair.1)?, pair));
    let known = core.winding.pairs().into_iter().skip(1).filter_map(rise);
    let (multiplier, pair) = known.max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(format!(
        "{} at 120 V: {} across {}.",
        core.pair(pair),
        say::volts(120.0 * multiplier),
        core.pair(core.full())
    ))
}

/// Other driven pairs: how high the winding goes, and what the source must give instead.
pub fn other_pairs(core: &CoreSheet<'_>) -> Option<Table> {
    let pairs: Vec<(u8, u8)> = core.winding.pairs().into_iter().skip(1).collect();
    if pairs.is_empty() {
        return None;
    }
    let top = stop::top(core);
    let current = core.turning.and_then(stop::top_current);
    let rows = pairs
        .iter()
        .map(|pair| pair_row(core, *pair, top, current))
        .collect();
    let full = core.pair(core.full());
    let reaches = format!("at 120 V on it: {full} reaches");
    let heads = [
        "driven",
        "turns",
        "multiplier",
        &reaches,
        "source for the same flux",
        "open terminals then, against the minus lead",
    ];
    Some(Table::grid(&heads, rows).captioned(format!(
        "If another pair must be driven ({full} is the first choice): what the open terminals reach"
    )))
}

fn pair_row(
    core: &CoreSheet<'_>,
    pair: (u8, u8),
    top: Option<f64>,
    current: Option<f64>,
) -> Vec<Cell> {
    let unknown = || "unknown: the plate gives no ratio".to_owned();
    let Some(multiplier) = core.winding.multiplier(pair.0, pair.1) else {
        return row(
            vec![
                core.pair(pair),
                String::new(),
                unknown(),
                String::new(),
                String::new(),
                String::new(),
            ],
            0,
        );
    };
    let turns = core
        .winding
        .turns(pair.0, pair.1)
        .map(say::turns)
        .unwrap_or_default();
    let across = say::volts(120.0 * multiplier);
    let source = top.map(|volts| {
        let amperes = current
            .map(|amperes| format!(", {}", say::amperes(amperes * multiplier)))
            .unwrap_or_default();
        format!("{}{amperes}", say::volts(volts / multiplier))
    });
    let volts = top.map_or(120.0, |volts| volts / multiplier);
    let reach = core.open(pair).into_iter().filter_map(|at| {
        Some(format!(
            "{} {}",
            core.mark(at),
            say::volts(core.winding.against_minus(pair, volts, at)?)
        ))
    });
    let reach = reach.collect::<Vec<_>>().join(", ");
    row(
        vec![
            core.pair(pair),
            turns,
            say::figures(multiplier),
            across,
            source.unwrap_or_default(),
            reach,
        ],
        0,
    )
}
