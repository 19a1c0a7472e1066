//! Tables to write into: rows named by pair, units in the heading.

use super::job::Job;
use super::plan::Step;
use super::plate::CoreSheet;
use super::{say, stop};
use crate::derive::expected::{self, Why};
use crate::document::{Cell, Table, joined};

/// The blank table of a step on one core.
pub fn blank(job: &Job<'_>, core: &CoreSheet<'_>, step: Step) -> Table {
    match step {
        Step::Insulation => {
            let between = format!("{} to primary, other cores and earth", core.core.name);
            insulation(&between, &["60"])
        }
        Step::Withstand => withstand(&core.core.name),
        Step::InterTurn => {
            let heads = ["pair", "rated/%", "peak/kV", "time/s", "held or broke-down"];
            let table = Table::blank(&heads, [core.pair(core.full())]);
            table.captioned("Inter-turn overvoltage: write down")
        }
        Step::PartialDischarge => discharge(),
        Step::Resistance => resistance(job, core),
        Step::Remanence => {
            let heads = [
                "pair",
                "method",
                "remanence factor/%",
                "loop time constant/s",
            ];
            let table = Table::blank(&heads, [core.pair(core.full())]);
            table.captioned("Remanence: write down")
        }
        Step::Demagnetisation => {
            let heads = ["pair", "start/V", "end/V", "time/s"];
            let table = Table::blank(&heads, [core.pair(core.full())]);
            table.captioned("Demagnetisation: write down")
        }
        Step::Excitation => excitation(core),
        Step::Ratio => ratio(job, core),
        Step::RatioByCurrent => by_current(job, core),
        Step::Burden => {
            let heads = ["loop", "current/A", "voltage/V", "angle/deg"];
            let loops = ["phase-neutral", "phase-phase", ""].map(str::to_owned);
            Table::blank(&heads, loops).captioned("Connected burden: write down")
        }
    }
}

/// The blank table of a step on the primary, where it has one.
pub fn primary(step: Step) -> Option<Table> {
    match step {
        Step::Insulation => Some(insulation(
            "primary to cores and earth",
            &["15", "60", "600"],
        )),
        Step::Withstand => Some(withstand("primary")),
        Step::PartialDischarge => Some(discharge()),
        _ => None,
    }
}

fn discharge() -> Table {
    let rows = ["", "", ""].map(str::to_owned);
    let table = Table::blank(&["voltage/kV", "charge/pC"], rows);
    table.captioned("Partial discharge, after a prestress of ______ kV: write down")
}

fn withstand(what: &str) -> Table {
    let heads = ["against", "voltage/kV", "time/s", "held or broke-down"];
    let table = Table::blank(&heads, ["all else and earth".to_owned()]);
    table.captioned(format!("Withstand, {what}: write down"))
}

/// Insulation readings at the times that indices are made of.
fn insulation(between: &str, times: &[&str]) -> Table {
    let heads = ["time/s", "voltage/V", "resistance/Gohm", "temperature/C"];
    let table = Table::blank(&heads, times.iter().map(|time| (*time).to_owned()));
    table.captioned(format!("Insulation, {between}: write down"))
}

/// Rows that begin with told cells, and room for the pen in the rest.
fn begun(heads: &[&str], rows: Vec<Vec<String>>) -> Table {
    let row = |told: Vec<String>| {
        let blanks = std::iter::repeat_n(Cell::Blank, heads.len().saturating_sub(told.len()));
        told.into_iter().map(Cell::from).chain(blanks).collect()
    };
    Table::grid(heads, rows.into_iter().map(row).collect())
}

fn resistance(job: &Job<'_>, core: &CoreSheet<'_>) -> Table {
    let last = core.core.last_mark();
    let sections = (0..last).filter(|_| last >= 2).map(|at| (at, at + 1));
    let rows = std::iter::once(core.full()).chain(sections).map(|pair| {
        let most = core.resistance(pair, job.celsius);
        vec![core.pair(pair), say::told(most, say::ohms)]
    });
    let heads = ["pair", "at most", "current/A", "voltage/V", "temperature/C"];
    let celsius = job.celsius;
    begun(&heads, rows.collect()).captioned(format!(
        "Winding resistance: write down (at most, at {celsius} \u{b0}C)"
    ))
}

/// Milliampere where the limit is small.
pub fn current_unit(core: &CoreSheet<'_>) -> &'static str {
    match core.turning.and_then(|turning| turning.current) {
        Some(limit) if limit >= 1.5 => "current/A",
        _ => "current/mA",
    }
}

/// Voltages to aim at on the full winding, with a word for those that matter.
pub fn aims(core: &CoreSheet<'_>) -> Vec<(f64, &'static str)> {
    let Some(turning) = core.turning else {
        return Vec::new();
    };
    // Limits of the exciting current that the plate states at other voltages are read there too.
    let stated = core.core.exciting.iter().map(|at| at.value.at.si);
    let stated = stated.filter(|volts| (volts / turning.volts - 1.0).abs() > 0.02);
    let limits: Vec<f64> = std::iter::once(turning.volts).chain(stated).collect();
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
    let aims = aims(core).into_iter();
    let aims = aims.map(|(volts, why)| vec![say::volts(volts), why.to_owned()]);
    let empty = if aims.len() == 0 { 10 } else { 2 };
    let rows = aims.chain(std::iter::repeat_n(Vec::new(), empty)).collect();
    let heads = ["aim", "why", "voltage/V", current_unit(core)];
    let pair = core.pair(core.full());
    begun(&heads, rows).captioned(format!("Excitation {pair}: write down, rising only"))
}

fn ratio(job: &Job<'_>, core: &CoreSheet<'_>) -> Table {
    let (first, second) = job.primary();
    let at_primary = say::told(stop::induced_volts(core), |volts| {
        format!("{}{}", say::volts(volts), stop::band(job, core, volts))
    });
    let mut rows = vec![vec![format!("{first}-{second}"), at_primary]];
    if core.core.last_mark() >= 2 {
        let applied = core.ratio_voltage.map(|(volts, _)| volts);
        rows.extend((0..core.core.last_mark()).map(|at| {
            let turns = core.winding.turns(at, at + 1);
            let share = turns.zip(core.winding.full()).zip(applied);
            let volts = share.map(|((turns, full), applied)| applied * turns / full);
            vec![core.pair((at, at + 1)), say::told(volts, say::volts)]
        }));
    }
    let heads = [
        "read on",
        "expect",
        "applied/V",
        "read/V or mV",
        "phase/arcmin",
    ];
    let caption = format!("Ratio, {} driven: write down", core.pair(core.full()));
    begun(&heads, rows).captioned(caption)
}

fn by_current(job: &Job<'_>, core: &CoreSheet<'_>) -> Table {
    let primary = core.rated_primary();
    let row = |at: stop::Current| {
        let aim = primary.map(|amperes| amperes * at.percent / 100.0);
        let aim = say::told(aim, say::amperes);
        vec![format!("{} %", at.percent), aim, at.limits]
    };
    let mut rows: Vec<Vec<String>> = stop::currents(job, core).into_iter().map(row).collect();
    if rows.is_empty() {
        rows = vec![Vec::new(); 4];
    }
    let heads = [
        "rated/%",
        "primary, aim",
        "limit of the class",
        "burden",
        "error/%",
        "phase/min",
    ];
    let burdens = match core.core.class.value() {
        Some(class) if class.is_measuring() => {
            "once with the rated and once with the lowest burden of the class"
        }
        _ => "with the rated burden",
    };
    begun(&heads, rows).captioned(format!("Ratio by current: write down, {burdens}"))
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
    let pairs = core.winding.pairs().into_iter().skip(1);
    let rows: Vec<Vec<String>> = pairs.map(|pair| pair_row(core, pair)).collect();
    if rows.is_empty() {
        return None;
    }
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
    let caption = format!(
        "If another pair must be driven ({full} is the first choice): what the open terminals reach"
    );
    Some(begun(&heads, rows).captioned(caption))
}

fn pair_row(core: &CoreSheet<'_>, pair: (u8, u8)) -> Vec<String> {
    let winding = &core.winding;
    let Some(multiplier) = winding.multiplier(pair.0, pair.1) else {
        let unknown = "unknown: the plate gives no ratio".to_owned();
        let none = String::new;
        return vec![core.pair(pair), none(), unknown, none(), none(), none()];
    };
    let volts = stop::top(core).map(|volts| volts / multiplier);
    let source = say::told(volts, |volts| {
        let amperes = core.turning.and_then(stop::top_current);
        let amperes = amperes.map(|amperes| say::amperes(amperes * multiplier));
        joined([Some(say::volts(volts)), amperes], ", ")
    });
    let volts = volts.unwrap_or(120.0);
    let reach = core.open(pair).into_iter().map(|at| {
        let reached = say::volts(winding.against_minus(pair, volts, at)?);
        Some(format!("{} {reached}", core.mark(at)))
    });
    vec![
        core.pair(pair),
        say::told(winding.turns(pair.0, pair.1), say::turns),
        say::figures(multiplier),
        say::volts(120.0 * multiplier),
        source,
        joined(reach, ", "),
    ]
}
