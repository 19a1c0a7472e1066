//! Tables to write into: rows named by pair, units in the heading.

use super::drive::Drive;
use super::job::Job;
use super::plan::Step;
use super::plate::CoreSheet;
use super::{say, stop, typed};
use crate::derive::expected::{self, Why};
use crate::document::{Cell, Table, joined};
use crate::record::inputs;
use crate::record::phase::Phase;

/// The blank tables of a step on one core. Their captions name no core: the cards and the rows do.
pub fn blank(job: &Job<'_>, core: &CoreSheet<'_>, step: Step) -> Vec<Table> {
    match step {
        Step::Insulation => vec![insulation("cores", &typed::of_core(core), &["60"])],
        Step::Withstand => vec![withstand("cores", vec![typed::of_core(core)])],
        Step::InterTurn => {
            let what = format!("{}, {HELD}", step.name());
            let table = Table::blank(&typed::heads(typed::INTER_TURN), [core.pair(core.full())]);
            vec![table.captioned(typed::caption(&what, "inter-turn", &[], typed::INTER_TURN))]
        }
        Step::PartialDischarge => vec![discharge()],
        Step::DissipationFactor | Step::PrimaryResistance => Vec::new(),
        Step::Resistance => vec![resistance(job, core)],
        Step::Remanence => vec![remanence(core)],
        Step::Demagnetisation => {
            let when = if job.asks(Step::Excitation, core) {
                "before excitation"
            } else {
                "behind the direct current"
            };
            vec![demagnetisation(core, when)]
        }
        Step::Excitation => vec![excitation(job, core)],
        Step::Ratio => {
            let links = job.links_of_ratio(core).into_iter();
            links.map(|links| ratio(job, core, links)).collect()
        }
        Step::RatioByCurrent => by_current(core),
        Step::Burden => vec![burden(job, core)],
        Step::Continuity => {
            let what = format!("{}, result: closed or open", step.name());
            let rows = ["terminal box", "panel"];
            let rows = rows.map(|at| vec![core.core.name.clone(), at.to_owned()]);
            vec![of_circuit(
                &what,
                ("continuity", &[]),
                typed::CONTINUITY,
                rows.to_vec(),
            )]
        }
        Step::SingleEarth => {
            let what = format!("{}, put back: yes or no", step.name());
            let rows = vec![vec![core.core.name.clone()]];
            vec![of_circuit(
                &what,
                ("single-earth", &[]),
                typed::SINGLE_EARTH,
                rows,
            )]
        }
        Step::TestLinks => {
            let what = format!(
                "{} as left, position: through, shorted or open; as found in a section of its own",
                step.name()
            );
            let rows = vec![vec![core.core.name.clone()]; 3];
            let section = ("test-links", &["stage: as left"] as &[&str]);
            vec![of_circuit(&what, section, typed::TEST_LINKS, rows)]
        }
        Step::RatioSetting => vec![ratio_setting(core)],
        Step::Injection => vec![injection(job, core)],
        Step::Load => vec![load(job, core)],
        Step::Stability => vec![stability(job, core)],
    }
}

/// A table of a circuit, whose rows begin with the name of the core.
fn of_circuit(
    what: &str,
    (section, keys): (&str, &[&str]),
    heading: &str,
    rows: Vec<Vec<String>>,
) -> Table {
    begun(&typed::heads(heading), rows).captioned(typed::caption(what, section, keys, heading))
}

/// Deflections by battery, of the cores that are named.
pub fn polarity(job: &Job<'_>, cores: &[&CoreSheet<'_>]) -> Table {
    let (heading, rows) = typed::polarity(cores);
    let plus = format!("plus on: {}", job.primary().0);
    let keys = ["method: kick", plus.as_str()];
    let caption = typed::caption("Polarity", "polarity", &keys, &heading);
    begun(&typed::heads(&heading), rows).captioned(caption)
}

/// What is written of a voltage that was held.
const HELD: &str = "result: held or broke-down";

/// What is written of how a curve was taken, and of how a temperature was found.
const RUN: &str = "voltmeter: mean, rms or peak; ended: zero or tripped";
const FOUND_BY: &str = "temperature by: contact, oil, tank, air or estimated";

/// What is written of a reading with the primary live: the permit was handed back before it.
const TAKEN: &str = "taken: day and time";

/// Of the pair in service, which is found on the day where nothing tells it.
fn burden(job: &Job<'_>, core: &CoreSheet<'_>) -> Table {
    let unknown = || format!("{}: ______", core.core.name);
    let pair = job.in_service(core).unwrap_or_else(unknown);
    let loops = ["phase-neutral", "phase-phase"];
    let rows = loops.map(|path| vec![pair.clone(), path.to_owned()]);
    let caption = typed::caption("Connected burden", "burden", &[], typed::BURDEN);
    begun(&typed::heads(typed::BURDEN), rows.to_vec()).captioned(caption)
}

/// Room for two devices.
fn ratio_setting(core: &CoreSheet<'_>) -> Table {
    let (heading, name) = (typed::RATIO_SETTING, &core.core.name);
    let caption = typed::caption(Step::RatioSetting.name(), "ratio-setting", &[], heading);
    begun(&typed::heads(heading), vec![vec![name.clone()]; 2]).captioned(caption)
}

/// The rows of a device that is read phase by phase; its mark is one for the pen.
fn by_phase(core: &CoreSheet<'_>, heading: &str, phases: &[Phase]) -> Table {
    let heads = typed::heads(heading);
    let row = |phase: &Phase| {
        let told = [
            Cell::from(core.core.name.as_str()),
            Cell::Blank,
            Cell::from(phase.name()),
        ];
        let blanks = std::iter::repeat_n(Cell::Blank, heads.len().saturating_sub(told.len()));
        told.into_iter().chain(blanks).collect()
    };
    Table::grid(&heads, phases.iter().map(row).collect())
}

fn injection(job: &Job<'_>, core: &CoreSheet<'_>) -> Table {
    let (heading, keys) = (typed::INJECTION, ["limit: ______ %"]);
    let what = format!(
        "{}; ratio where it shows primary current; current 0: not fed, read beside the phase above it",
        Step::Injection.name()
    );
    let caption = typed::caption(&what, "injection", &keys, heading);
    let heads = typed::heads(heading);
    let rows = typed::injected(&core.core.name, job.phases())
        .into_iter()
        .map(|told| {
            // The mark of the device is one for the pen.
            let cell = |text: String| match text.as_str() {
                "-" => Cell::Blank,
                _ => Cell::from(text),
            };
            let blanks = std::iter::repeat_n(Cell::Blank, heads.len().saturating_sub(told.len()));
            told.into_iter().map(cell).chain(blanks).collect()
        });
    Table::grid(&heads, rows.collect()).captioned(caption)
}

fn load(job: &Job<'_>, core: &CoreSheet<'_>) -> Table {
    let heading = typed::LOAD;
    let keys = [
        "method: load",
        "taken: ________________",
        "primary current: ______ A",
        "primary angle: ______ deg",
        "angles against: ______",
        "angles: ______",
        "rotation: ______",
    ];
    let [forward, reversed] = job.rotations();
    let what = format!(
        "{}; {TAKEN}; angles: leading or lagging; rotation: {forward} or {reversed}",
        Step::Load.name()
    );
    let caption = typed::caption(&what, "load", &keys, heading);
    by_phase(core, heading, &typed::with_neutral(job.phases())).captioned(caption)
}

fn stability(job: &Job<'_>, core: &CoreSheet<'_>) -> Table {
    let heading = typed::STABILITY;
    let zone = job.zone(core).map_or("______", String::as_str);
    let zone = format!("zone: {zone}");
    let keys = [
        zone.as_str(),
        "method: load",
        "taken: ________________",
        "fault: through",
        "limit: ______ %",
    ];
    let what = format!("{}; {TAKEN}", Step::Stability.name());
    let caption = typed::caption(&what, "stability", &keys, heading);
    by_phase(core, heading, job.phases()).captioned(caption)
}

/// Keys of a section, which has no rows.
fn remanence(core: &CoreSheet<'_>) -> Table {
    let rows = [
        "method: dc, ac or capacitor",
        "remanence factor/%",
        "loop time constant/s",
    ];
    let section = format!("remanence {}", core.pair(core.full()));
    let keys = [
        "method: ______",
        "remanence factor: ______ %",
        "loop time constant: ______ s",
    ];
    Table::blank(&["what", "reading"], rows.map(str::to_owned)).captioned(typed::caption(
        Step::Remanence.name(),
        &section,
        &keys,
        "",
    ))
}

/// The blank table of a step on the primary, where it has one.
pub fn primary(job: &Job<'_>, step: Step) -> Option<Table> {
    match step {
        Step::Insulation => {
            let times = ["15", "60", "600"];
            Some(insulation("primary", typed::OF_PRIMARY, &times))
        }
        Step::Withstand => {
            let sections = job.are_sections_due().then_some(typed::OF_SECTIONS);
            let between = std::iter::once(typed::OF_PRIMARY).chain(sections);
            let between = between.map(str::to_owned).collect();
            Some(withstand("primary", between))
        }
        Step::PartialDischarge => Some(discharge()),
        Step::DissipationFactor => Some(dissipation_factor()),
        Step::PrimaryResistance => Some(primary_resistance(job)),
        _ => None,
    }
}

/// Written down twice on a day: before a test that starts from a core without flux, and as left.
pub fn demagnetisation(core: &CoreSheet<'_>, when: &str) -> Table {
    let heading = typed::DEMAGNETISATION;
    let what = format!("Demagnetisation, {when}");
    let table = Table::blank(&typed::heads(heading), [core.pair(core.full())]);
    table.captioned(typed::caption(&what, "demagnetisation", &[], heading))
}

fn discharge() -> Table {
    let (heading, keys) = (typed::DISCHARGE, ["prestress: ______ kV"]);
    let caption = typed::caption("Partial discharge", "partial-discharge", &keys, heading);
    begun(&typed::heads(heading), vec![Vec::new(); 3]).captioned(caption)
}

fn dissipation_factor() -> Table {
    let heading = typed::DISSIPATION;
    let rows = vec![vec![typed::OF_PRIMARY.to_owned()]; 2];
    let keys = ["temperature: ______ C", "temperature by: ______"];
    let what = format!("Dissipation factor, tan delta; {FOUND_BY}");
    let caption = typed::caption(&what, "dissipation-factor", &keys, heading);
    begun(&typed::heads(heading), rows).captioned(caption)
}

fn primary_resistance(job: &Job<'_>) -> Table {
    let heading = typed::PRIMARY_RESISTANCE;
    let keys = [
        "wires: ______",
        "temperature: ______ C",
        "temperature by: ______",
    ];
    let what = format!("Primary resistance; {FOUND_BY}");
    let caption = typed::caption(&what, "primary-resistance", &keys, heading);
    begun(&typed::heads(heading), job.positions()).captioned(caption)
}

fn withstand(what: &str, between: Vec<String>) -> Table {
    let (heading, what) = (typed::WITHSTAND, format!("Withstand, {what}, {HELD}"));
    let table = Table::blank(&typed::heads(heading), between);
    table.captioned(typed::caption(&what, "withstand", &[], heading))
}

/// Insulation readings at the times that indices are made of.
fn insulation(what: &str, between: &str, times: &[&str]) -> Table {
    let (heading, what) = (typed::INSULATION, format!("Insulation, {what}"));
    let rows = times
        .iter()
        .map(|time| vec![between.to_owned(), (*time).to_owned()]);
    let keys = ["temperature: ______ C", "guard: ______"];
    let caption = typed::caption(&what, "insulation", &keys, heading);
    begun(&typed::heads(heading), rows.collect()).captioned(caption)
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
    let taps = job.taps(core, Step::Resistance);
    let rows = std::iter::once(core.full()).chain(taps).map(|pair| {
        let plate = stop::plate_resistance(job, core, pair);
        vec![core.pair(pair), plate.unwrap_or_default()]
    });
    let plate = format!("plate, at {} \u{b0}C", job.celsius);
    let heading = typed::RESISTANCE;
    let section = format!("resistance {}", core.pair(core.full()));
    let what = format!(
        "Winding resistance{}; {FOUND_BY}",
        stop::on_another_day(job, core)
    );
    let keys = [
        "wires: ______",
        "temperature: ______ C",
        "temperature by: ______",
    ];
    begun(&typed::heads_with(heading, 1, &[&plate]), rows.collect())
        .captioned(typed::caption(&what, &section, &keys, heading))
}

/// Voltages to aim at on the full winding, volt at rated frequency, with a word for those that matter;
/// none that a core cannot be driven to.
pub fn aims(core: &CoreSheet<'_>) -> Vec<(f64, &'static str)> {
    let Some(drive) = &core.drive else {
        return Vec::new();
    };
    let why = |why: Why| match why {
        Why::Spread => "",
        Why::Turn => "turn",
        Why::Limit => "limit",
    };
    let held = |volts: &&f64| drive.beyond.is_none() || **volts <= drive.reach;
    let asked: Vec<f64> = drive.asked.iter().filter(held).copied().collect();
    expected::points(drive.turn, &asked)
        .into_iter()
        .map(|point| (point.volts, why(point.why)))
        .collect()
}

/// What is aimed at above the knee, where the current ends the curve: currents above what the curve on
/// record has there, by equal shares, and at the last the stop of the test, whichever comes first.
pub fn aims_by_current(core: &CoreSheet<'_>) -> Vec<(String, &'static str)> {
    let drive = core.drive.as_ref().filter(|drive| drive.beyond.is_some());
    let from = drive.and_then(Drive::knee_current);
    let Some(((drive, from), end)) = drive.zip(from).zip(core.stop_current()) else {
        return Vec::new();
    };
    let rise = end / from;
    // Nearer than half as much again a reading tells nothing that its neighbours do not.
    let steps = [1.0, 2.0].into_iter().filter(|_| rise > 1.5);
    let steps = steps.map(|step| from * libm::pow(rise, step / 3.0));
    let steps = steps.map(|aim| (say::amperes(aim), "by current"));
    let last = format!("{} or {}", say::amperes(end), say::volts(drive.top()));
    steps.chain([(last, "limit, the first")]).collect()
}

fn excitation(job: &Job<'_>, core: &CoreSheet<'_>) -> Table {
    let aims = aims(core);
    let by_current = aims_by_current(core).into_iter();
    let lower = core
        .drive
        .as_ref()
        .and_then(|drive| Some((drive, drive.lower?)));
    let (pair, heading) = (core.pair(core.full()), typed::excitation(core));
    let (what, section) = (
        format!("Excitation, {pair} driven; {RUN}"),
        format!("excitation {pair}"),
    );
    let caption = |keys: &[&str]| typed::caption(&what, &section, keys, heading);
    // Beyond the last aim there may be one more: the knee rule ends the curve, wherever that is.
    let told = if lower.is_some() { 2 } else { 1 };
    let spare = std::iter::repeat_n(String::new(), told).chain(["spare".to_owned()]);
    let blank = match aims.is_empty() {
        true => vec![Vec::new(); 10],
        false => vec![spare.collect()],
    };
    let Some((drive, lower)) = lower else {
        let rows = aims.into_iter();
        let rows = rows.map(|(volts, why)| vec![say::volts(volts), why.to_owned()]);
        let rows = rows.chain(by_current.map(|(aim, why)| vec![aim, why.to_owned()]));
        let heads = typed::heads_with(heading, 0, &["aim", "why"]);
        return begun(&heads, rows.chain(blank).collect())
            .captioned(caption(&["voltmeter: ______", "ended: ______"]));
    };
    let rows = up_to_ceiling(job, aims).into_iter();
    let rows = rows.map(|(volts, rated, why)| {
        let rated = rated.map_or_else(|| "never".to_owned(), say::volts);
        vec![say::volts(drive.at_terminals(volts)), rated, why.to_owned()]
    });
    let by_current = by_current.map(|(aim, why)| vec![aim, String::new(), why.to_owned()]);
    let rows = rows.chain(by_current);
    let at = |text: String| format!("aim at {text}");
    let (low, rated) = (at(lower.text()), at(lower.rated_text()));
    let heads = typed::heads_with(heading, 0, &[&low, &rated, "why"]);
    begun(&heads, rows.chain(blank).collect()).captioned(caption(&[
        "voltmeter: ______",
        "frequency: ______ Hz",
        "ended: ______",
    ]))
}

/// Aims with what may be driven at rated frequency, to the ceiling and with a row at it: a source without
/// a lower frequency ends there.
fn up_to_ceiling(
    job: &Job<'_>,
    aims: Vec<(f64, &'static str)>,
) -> Vec<(f64, Option<f64>, &'static str)> {
    let most = job.ceiling.as_ref().map_or(0.0, |ceiling| ceiling.volts);
    let (below, above): (Vec<_>, Vec<_>) = aims.into_iter().partition(|(volts, _)| *volts <= most);
    let is_near = below.last().is_some_and(|(volts, _)| *volts > 0.99 * most);
    let at = (most > 0.0 && !is_near).then_some((most, Some(most), "ceiling"));
    let below = below
        .into_iter()
        .map(|(volts, why)| (volts, Some(volts), why));
    let above = above.into_iter().map(|(volts, why)| (volts, None, why));
    below.chain(at).chain(above).collect()
}

/// In a position of the primary links where several are asked for: what is expected goes by its ratio.
fn ratio(job: &Job<'_>, core: &CoreSheet<'_>, links: Option<&String>) -> Table {
    let (first, second) = job.primary();
    let taps = job.taps(core, Step::Ratio);
    let unit = stop::Unit::of_ratio(job, core);
    let factor = links.map_or(1.0, |_| job.record.link_factor(core.core, links));
    let at_primary = say::told(stop::induced_volts(core), |volts| {
        stop::with_band(job, core, (volts / factor, unit), "")
    });
    let inputs = &core.core.inputs;
    let mut rows: Vec<Vec<String>> = inputs
        .iter()
        .map(|input| {
            let volts = stop::induced_at(core, input);
            let volts = say::told(volts, |volts| stop::with_band(job, core, (volts, unit), ""));
            let pair = (!taps.is_empty()).then(|| "-".to_owned());
            let named = std::iter::once(input.name.clone()).chain(pair);
            named.chain([volts]).collect()
        })
        .collect();
    if inputs.is_empty() {
        rows.push(vec![format!("{first}-{second}"), at_primary]);
    }
    let applied = core.ratio_voltage.map(|(volts, _)| volts);
    let at_taps = !taps.is_empty();
    rows.extend(taps.into_iter().map(|pair| {
        let turns = core.winding.turns(pair.0, pair.1);
        let share = turns.zip(core.winding.full()).zip(applied);
        let volts = share.map(|((turns, full), applied)| applied * turns / full);
        let row = [core.pair(pair), say::told(volts, say::volts)];
        let no_input = (!inputs.is_empty()).then(|| "-".to_owned());
        no_input.into_iter().chain(row).collect()
    }));
    let heading = typed::ratio(core, unit.name(), at_taps);
    let pair = core.pair(core.full());
    let told = if inputs.is_empty() || !at_taps { 1 } else { 2 };
    let (what, section) = (format!("Ratio, {pair} driven"), format!("ratio {pair}"));
    let links = links.map(|links| format!("links: {links}"));
    let keys = std::iter::once("method: voltage").chain(links.as_deref());
    let caption = typed::caption(&what, &section, &keys.collect::<Vec<_>>(), &heading);
    begun(&typed::heads_with(&heading, told, &["expect"]), rows).captioned(caption)
}

/// One table for each burden that the class is tested with, its burden in figures.
fn by_current(core: &CoreSheet<'_>) -> Vec<Table> {
    let primary = core.rated_primary();
    let inputs = &core.core.inputs;
    let row = |at: stop::Current| {
        let aim = primary.map(|amperes| amperes * at.percent / 100.0);
        let aim = say::told(aim, say::amperes);
        let row = [at.percent.to_string(), aim, at.limits];
        let all = (!inputs.is_empty()).then(|| inputs::ALL.to_owned());
        all.into_iter().chain(row).collect()
    };
    let heading = typed::by_current(core);
    let heading = heading.as_str();
    let told = if inputs.is_empty() { 1 } else { 2 };
    let heads = typed::heads_with(heading, told, &["primary, aim", "limit of the class"]);
    let table = |burden: String, key: String| {
        // Each by itself at its rated current; the class is that of all.
        let by_input = inputs.iter().map(|input| {
            let aim = say::amperes(input.rated);
            vec![input.name.clone(), "100".to_owned(), aim, String::new()]
        });
        let all = stop::currents(core).into_iter().map(row);
        let mut rows: Vec<Vec<String>> = by_input.chain(all).collect();
        if rows.is_empty() {
            rows = vec![Vec::new(); 4];
        }
        let pair = core.pair(core.full());
        let what = format!("Ratio by current, {pair}, burden {burden}");
        let (section, keys) = (format!("ratio {pair}"), ["method: current", key.as_str()]);
        begun(&heads, rows).captioned(typed::caption(&what, &section, &keys, heading))
    };
    let burdens = core.test_burdens();
    if burdens.is_empty() {
        let (rated, key) = ("rated, which the plate does not give", "burden: ______ VA");
        return vec![table(rated.to_owned(), key.to_owned())];
    }
    let burdens = burdens.into_iter();
    burdens
        .map(|(name, va, load)| {
            let key = format!(
                "burden: {} VA at {}",
                say::plain(va),
                say::plain(load.power_factor)
            );
            table(stop::burden_figures(name, va, load), key)
        })
        .collect()
}

/// Other driven pairs: how high the winding goes, how high they may go, and what the source must give
/// instead.
pub fn other_pairs(job: &Job<'_>, core: &CoreSheet<'_>) -> Option<Table> {
    let pairs = core.winding.pairs().into_iter().skip(1);
    let rows: Vec<Vec<String>> = pairs.map(|pair| pair_row(job, core, pair)).collect();
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
        "never above, for the ceiling",
        "source for the same flux",
        "open terminals then, against the minus lead",
    ];
    let lower = core.drive.as_ref().and_then(|drive| drive.lower);
    let lower = say::told(lower, |lower| {
        format!("; the last two columns at {}", lower.text())
    });
    let caption = format!(
        "Core {}: if another pair must be driven ({full} is the first choice), what the open terminals reach{lower}",
        core.core.name
    );
    Some(begun(&heads, rows).captioned(caption))
}

fn pair_row(job: &Job<'_>, core: &CoreSheet<'_>, pair: (u8, u8)) -> Vec<String> {
    let winding = &core.winding;
    let Some(multiplier) = winding.multiplier(pair.0, pair.1) else {
        let unknown = "unknown: the plate gives no ratio".to_owned();
        let none = String::new;
        return vec![
            core.pair(pair),
            none(),
            unknown,
            none(),
            none(),
            none(),
            none(),
        ];
    };
    let need = stop::need(core);
    let top = core.drive.as_ref().map(Drive::top);
    let volts = need.map(|need| need.volts).or(top);
    let volts = volts.map(|volts| volts / multiplier);
    let source = say::told(volts, |volts| {
        let amperes = need.map(|need| source_current(core, need.amperes * multiplier));
        joined([Some(say::volts(volts)), amperes], ", ")
    });
    let volts = volts.unwrap_or(120.0);
    let reach = core.open(pair).into_iter().map(|at| {
        let reached = say::volts(winding.against_minus(pair, volts, at)?);
        Some(format!("{} {reached}", core.mark(at)))
    });
    let most = job.ceiling.as_ref();
    let most = most.map(|ceiling| say::volts(ceiling.volts / multiplier));
    vec![
        core.pair(pair),
        say::told(winding.turns(pair.0, pair.1), say::turns),
        say::figures(multiplier),
        say::volts(120.0 * multiplier),
        most.unwrap_or_default(),
        source,
        joined(reach, ", "),
    ]
}

/// What a pair takes for the same flux; more than the winding carries is not driven.
fn source_current(core: &CoreSheet<'_>, amperes: f64) -> String {
    match core.most_current().filter(|most| amperes > *most) {
        Some(most) => format!("not to saturation: never above {}", say::amperes(most)),
        None => say::amperes(amperes),
    }
}
