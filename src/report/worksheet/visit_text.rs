//! A new visit as a record to type into: every due test with its table, rows named, readings left as
//! `-`. Nothing that was not read stands there as a reading.

use super::blanks::{aims, aims_by_current};
use super::day::Day;
use super::front::INSPECTED;
use super::job::Job;
use super::plan::{Setup, Step};
use super::plate::CoreSheet;
use super::sheet::list;
use super::{say, stop, typed};
use crate::document::joined;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::layout::even;
use crate::record::inputs;
use crate::record::phase::Phase;
use crate::standards;
use strum::VariantArray;

/// The visit with all its due tests. Direct current comes first, a demagnetisation behind it, and another
/// one of each core as left, as the sheet has it: direct current last leaves the core magnetised.
pub fn visit_text(job: &Job<'_>, day: &str) -> String {
    // A second visit of a day has a letter behind it, and a time has none.
    let of_day = day.split(' ').next().unwrap_or(day);
    let text = |step: &Step| {
        let cores = job.due(*step);
        let primary = job.due_on_primary(*step);
        match step {
            // It stands where the direct current was, due or not.
            Step::Demagnetisation => {
                let kick = polarity(job);
                let why = "after the direct current, before the next test";
                format!("{kick}{}", demagnetisation(&cores, why))
            }
            _ if cores.is_empty() && !primary => String::new(),
            Step::Insulation => insulation(&cores, primary),
            Step::Withstand => withstand(job, &cores, primary),
            Step::InterTurn => {
                let rows = table(typed::INTER_TURN, full(&cores));
                format!("\n[inter-turn]                  # held or broke-down\n{rows}")
            }
            Step::PartialDischarge => {
                let rows = table(typed::DISCHARGE, vec![Vec::new(), Vec::new()]);
                format!("\n[partial-discharge]\n{}{rows}", prestress(job))
            }
            Step::DissipationFactor => dissipation_factor(),
            Step::PrimaryResistance => primary_resistance(job),
            Step::Remanence => cores.iter().map(|core| remanence(core)).collect(),
            Step::Resistance => resistance(job, &cores),
            Step::Excitation => cores.iter().map(|core| excitation(job, core)).collect(),
            Step::Ratio => {
                let each = cores.iter().flat_map(|core| {
                    let links = job.links_of_ratio(core).into_iter();
                    links.map(move |links| ratio(job, core, links))
                });
                each.collect()
            }
            Step::RatioByCurrent => cores.iter().map(|core| by_current(core)).collect(),
            Step::Burden => burden(job, &cores),
            Step::Continuity => {
                let named = named(&cores).into_iter();
                let at = ["terminal box", "panel"];
                let rows = named.flat_map(|name| at.map(|at| vec![name.clone(), at.to_owned()]));
                let rows = table(typed::CONTINUITY, rows.collect());
                format!("\n[continuity]                  # closed or open\n{rows}")
            }
            Step::SingleEarth => {
                let rows = named(&cores).into_iter().map(|name| vec![name]);
                let rows = table(typed::SINGLE_EARTH, rows.collect());
                format!("\n[single-earth]                # put back: yes or no\n{rows}")
            }
            Step::TestLinks => {
                let rows = named(&cores).into_iter().map(|name| vec![name]);
                let rows = table(typed::TEST_LINKS, rows.collect());
                format!(
                    "\n[test-links]                  # through, shorted or open\nstage: as left\n{rows}"
                )
            }
            Step::RatioSetting => {
                let rows = cores.iter().map(|core| vec![core.core.name.clone()]);
                let rows = piped(typed::RATIO_SETTING, rows);
                format!("\n[ratio-setting]               # a row for each relay and meter\n{rows}")
            }
            Step::Injection => {
                let phases = job.phases();
                let rows = cores
                    .iter()
                    .flat_map(|core| typed::injected(&core.core.name, phases));
                let rows = piped(typed::INJECTION, rows);
                format!(
                    "\n[injection]                   # at: the relay or meter; current 0: a phase that is not fed, read beside the one above it\n# limit: 1 %\n{rows}"
                )
            }
            Step::Load => {
                let phases = typed::with_neutral(job.phases());
                let rows = piped(typed::LOAD, by_phase(&cores, &phases));
                let [forward, reversed] = job.rotations();
                let rotation = format!("# rotation: {forward}");
                let [first, ..] = job.three();
                format!(
                    "\n[load]                        # after energising; no live secondary is opened\nmethod: load\n# taken: {of_day} 17:05\n# primary current: 300 A\n\
                     # primary angle: 0 deg\n# angles against: {first} to N of the busbar VT\n# angles: leading             # or lagging\n{rotation:<28}# or {reversed}, as the phases of the network follow\n{rows}"
                )
            }
            Step::Stability => cores
                .iter()
                .map(|core| stability(job, core, of_day))
                .collect(),
        }
    };
    // What is read on load stands behind what is restored.
    let (live, dead): (Vec<Step>, Vec<Step>) = Step::VARIANTS
        .iter()
        .partition(|step| Setup::OnLoad.steps().contains(step));
    let tests: String = dead.iter().map(text).collect();
    let load: String = live.iter().map(text).collect();
    let last = demagnetisation(
        &job.due(Step::Demagnetisation),
        "as left: nothing by direct current after it",
    );
    let (first, second) = job.primary();
    let cores: Vec<&CoreSheet<'_>> = job.cores.iter().collect();
    let state: String = named(&cores)
        .iter()
        .map(|name| format!("{name}{}\n", " | -".repeat(6)))
        .collect();
    let left = state.replace('\n', " | -\n");
    let items = list(INSPECTED).into_iter().map(|item| vec![item]);
    let items = piped(typed::INSPECTION, items);
    let kind = Day::of_unit(job);
    let inspection = format!("\n[inspection]\n{items}");
    let ends = format!("# primary: {first} open, {second} earthed\n");
    let ends = Some(ends).filter(|_| kind.is_of_tests());
    let state = format!(
        "\n[state]                       # as found\n{}\n{state}{}",
        typed::STATE,
        ends.unwrap_or_default()
    );
    let left = format!(
        "\n[restored]\n{} | remark\n{left}# checked by:\n",
        typed::RESTORED
    );
    let permit =
        format!("# permit:                  # permit until, permit returned: {of_day} 15:10\n");
    let permit = Some(permit).filter(|_| kind != Day::AtMaker);
    // What nobody opens is neither found nor left otherwise.
    let (inspection, state, left) = match kind {
        Day::Tests | Day::AtMaker => (inspection, state, left),
        Day::Circuits => (String::new(), state, left),
        Day::Live => Default::default(),
    };
    even(&format!(
        "\n[visit {day}]\npurpose: {}\n\
         # tested by:\n{}# action:                  # an open point: A1 what; who; by which day\n# ambient: 20.0 C\n# humidity: 60 %\n# instrument: M1          # described in instruments.toml\n\
         {inspection}{state}\
         \n[self-check]\n# ratio of 1: 1.0000\n# leads: 0.010 ohm            # clips shorted together\n{tests}{last}{left}{load}\
         \n# A test that was not done is named, with its reason: not done excitation on taps: full winding tested\n\
         # Photos and files stand in a section [attachments], with the heading file | shows\n",
        job.purpose,
        permit.unwrap_or_default(),
    ))
}

/// What the discharge of this unit is read behind, at least.
fn prestress(job: &Job<'_>) -> String {
    let plate = &job.record.plate;
    let si = |given: &Given<Quantity>| given.value().map(|volts| volts.si);
    let volts = si(&plate.highest_voltage)
        .and_then(|um| standards::prestress(plate.family(), um, si(&plate.bil)));
    let line = |volts: f64| format!("# prestress: {} kV\n", (volts / 100.0).round() / 10.0);
    volts.map_or_else(String::new, line)
}

/// Names in the first column, dashes for what is to be read.
fn table(head: &str, rows: Vec<Vec<String>>) -> String {
    let piped = head.contains('|');
    let head: Vec<String> = typed::heads(head).into_iter().map(str::to_owned).collect();
    let dashes = std::iter::repeat_n("-".to_owned(), head.len());
    let between = if piped { " | " } else { "  " };
    let filled = |row: Vec<String>| {
        let rest = dashes.clone().skip(row.len());
        row.into_iter().chain(rest).collect::<Vec<_>>()
    };
    let lines = std::iter::once(head).chain(rows.into_iter().map(filled));
    lines
        .map(|cells| format!("{}\n", cells.join(between)))
        .collect()
}

/// The names of cores, but for one that cannot stand in a table parted by `|`.
fn named(cores: &[&CoreSheet<'_>]) -> Vec<String> {
    let names = cores.iter().map(|core| core.core.name.clone());
    names
        .filter(|name| !name.contains(['|', '#', ';']))
        .collect()
}

/// The same where a cell may hold blanks.
fn piped(head: &str, rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let width = typed::heads(head).len();
    let filled = |row: Vec<String>| {
        let rest = std::iter::repeat_n("-".to_owned(), width.saturating_sub(row.len()));
        let cells: Vec<String> = row.into_iter().chain(rest).collect();
        format!("{}\n", cells.join(" | "))
    };
    let rows: String = rows.into_iter().map(filled).collect();
    format!("{head}\n{rows}")
}

/// A row of each phase, at a device that is named on the day.
fn by_phase<'c>(
    cores: &'c [&CoreSheet<'_>],
    phases: &'c [Phase],
) -> impl Iterator<Item = Vec<String>> + 'c {
    let of = |core: &'c CoreSheet<'_>| {
        let name = &core.core.name;
        let row = |phase: &Phase| vec![name.clone(), "-".to_owned(), phase.name().to_owned()];
        phases.iter().map(row)
    };
    cores.iter().flat_map(move |core| of(core))
}

fn stability(job: &Job<'_>, core: &CoreSheet<'_>, day: &str) -> String {
    let zone = job.zone(core).map_or("-", String::as_str);
    let rows = piped(typed::STABILITY, by_phase(&[core], job.phases()));
    format!(
        "\n[stability]\nzone: {zone}\nmethod: load\n# taken: {day} 17:05\nfault: through                # or in-zone\n# limit: 5 %\n{rows}"
    )
}

/// The full winding of a core.
fn whole(core: &CoreSheet<'_>) -> String {
    core.pair(core.full())
}

/// Rows named by the full windings.
fn full(cores: &[&CoreSheet<'_>]) -> Vec<Vec<String>> {
    cores.iter().map(|core| vec![whole(core)]).collect()
}

/// What the primary, and each core, is tested against.
fn between<'c>(
    cores: &'c [&CoreSheet<'_>],
    primary: bool,
) -> (Option<String>, impl Iterator<Item = String> + 'c) {
    let own = primary.then(|| typed::OF_PRIMARY.to_owned());
    (own, cores.iter().map(|core| typed::of_core(core)))
}

fn insulation(cores: &[&CoreSheet<'_>], primary: bool) -> String {
    let row = |between: String, time: &str| vec![between, time.to_owned()];
    let (primary, cores) = between(cores, primary);
    let times = ["15", "60", "600"];
    let primary = primary
        .iter()
        .flat_map(|own| times.map(|time| row(own.clone(), time)));
    let cores = cores.map(|core| row(core, "60"));
    let rows = table(typed::INSULATION, primary.chain(cores).collect());
    format!("\n[insulation]\n# instrument: I1\n# temperature: 20.0 +- 1 C\n# guard: none\n{rows}")
}

fn dissipation_factor() -> String {
    let rows = vec![vec![typed::OF_PRIMARY.to_owned()]; 2];
    let rows = table(typed::DISSIPATION, rows);
    format!("\n[dissipation-factor]          # tan delta\n# temperature: 20.0 +- 1 C\n{rows}")
}

fn primary_resistance(job: &Job<'_>) -> String {
    let rows = job.positions().into_iter();
    let rows: String = rows
        .map(|row| format!("{} | - | -\n", row.concat()))
        .collect();
    format!(
        "\n[primary-resistance]\n# wires: 4\n# temperature: 20.0 +- 1 C\n{}\n{rows}",
        typed::PRIMARY_RESISTANCE
    )
}

fn withstand(job: &Job<'_>, cores: &[&CoreSheet<'_>], primary: bool) -> String {
    let (primary, cores) = between(cores, primary);
    let sections = job
        .are_sections_due()
        .then(|| typed::OF_SECTIONS.to_owned());
    let rows = primary.into_iter().chain(sections).chain(cores);
    let rows = rows.map(|one| vec![one]);
    let rows = table(typed::WITHSTAND, rows.collect());
    format!("\n[withstand]                   # held or broke-down\n{rows}")
}

fn remanence(core: &CoreSheet<'_>) -> String {
    format!(
        "\n[remanence {}]\nmethod: -                     # dc, ac or capacitor\nremanence factor: -\nloop time constant: -\n",
        whole(core)
    )
}

fn resistance(job: &Job<'_>, cores: &[&CoreSheet<'_>]) -> String {
    let expected = cores.iter().map(|core| {
        let expect = stop::resistance(job, core);
        let told = (!expect.is_empty()).then_some(expect);
        say::told(told, |expect| format!("# {}: {expect}\n", whole(core)))
    });
    let expected: String = expected.collect();
    let pairs = cores
        .iter()
        .flat_map(|core| std::iter::once(whole(core)).chain(job.taps_text(core, Step::Resistance)));
    let rows = pairs.map(|pair| vec![pair]).collect();
    let rows = table(typed::RESISTANCE, rows);
    format!(
        "\n[resistance]\n# wires: 4\n# temperature: 20.0 +- 1 C\n# temperature by: contact        # or oil, tank, air, estimated\n{expected}{rows}"
    )
}

fn excitation(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    let aims = aims(core);
    let aim = if aims.is_empty() {
        "# the plate gives no voltage: 8 to 12 points, most of them where the curve turns\n"
            .to_owned()
    } else {
        format!(
            "# aim at: {}\n# expect: {}\n# stop at: {}\n# never above: {}\n{}",
            joined(
                aims.iter()
                    .map(|(volts, _)| Some(say::volts(*volts)))
                    .chain(aims_by_current(core).into_iter().map(|(aim, _)| Some(aim))),
                ", "
            ),
            stop::limit_text(core),
            stop::excitation(core),
            stop::ceilings(job, core),
            say::told(stop::lower(job, core), |lower| format!("# {lower}\n"))
        )
    };
    let points = aims.len() + aims_by_current(core).len();
    let rows = vec![Vec::new(); points.max(10)];
    let rows = table(typed::excitation(core), rows);
    let pair = whole(core);
    format!(
        "\n[excitation {pair}]\n# voltmeter: mean\n# ended: zero                 # or tripped\n{aim}{rows}"
    )
}

/// The whole winding driven, read at the primary and at every tap, in the unit that the sheet has.
fn ratio(job: &Job<'_>, core: &CoreSheet<'_>, links: Option<&String>) -> String {
    let (first, second) = job.primary();
    let taps: Vec<String> = job.taps_text(core, Step::Ratio).into_iter().collect();
    let unit = stop::Unit::of_ratio(job, core);
    let heading = typed::ratio(core, unit.name(), !taps.is_empty());
    let inputs = &core.core.inputs;
    let rows: Vec<Vec<String>> = match inputs.is_empty() {
        true => {
            let at_primary = std::iter::once(format!("{first}-{second}"));
            at_primary.chain(taps).map(|pair| vec![pair]).collect()
        }
        false => {
            let none = || "-".to_owned();
            let pair = (!taps.is_empty()).then(none);
            let name = |input: &inputs::Input| std::iter::once(input.name.clone());
            let by_input = inputs.iter();
            let by_input = by_input.map(|input| name(input).chain(pair.clone()).collect());
            by_input
                .chain(taps.into_iter().map(|pair| vec![none(), pair]))
                .collect()
        }
    };
    let rows = table(&heading, rows);
    let links = say::told(links, |links| format!("links: {links}\n"));
    format!(
        "\n[ratio {}]        # driven; read on the pair in the first column\nmethod: voltage\n{links}{rows}",
        whole(core)
    )
}

fn polarity(job: &Job<'_>) -> String {
    let asked = job.cores.iter().filter(|core| job.is_kicked(core));
    let asked: Vec<&CoreSheet<'_>> = asked.collect();
    if asked.is_empty() {
        return String::new();
    }
    let (first, _) = job.primary();
    let (heading, rows) = typed::polarity(&asked);
    let kicks = piped(&heading, rows);
    format!("\n[polarity]\nmethod: kick\nplus on: {first}\n{kicks}")
}

/// Of the pair in service. Where nothing tells it the full winding stands in its place, since a row needs a
/// pair, and the line above says so.
fn burden(job: &Job<'_>, cores: &[&CoreSheet<'_>]) -> String {
    let pairs = cores
        .iter()
        .map(|core| (core, job.in_service(core)))
        .map(|(core, pair)| (core, pair.is_some(), pair.unwrap_or_else(|| whole(core))));
    let row = |pair: String| vec![pair, "phase-neutral".to_owned()];
    let rows = pairs.clone().map(|(_, _, pair)| row(pair)).collect();
    let rows = table(typed::BURDEN, rows);
    let unknown = pairs.clone().filter(|(_, is_known, _)| !is_known);
    let unknown: String = unknown
        .map(|(core, ..)| {
            let (name, full) = (&core.core.name, whole(core));
            format!(
                "# {name}: no tap in service on record; write the pair found in place of {full}\n"
            )
        })
        .collect();
    let [first, second, _] = job.three();
    let two = pairs.map(|(_, _, pair)| {
        format!(
            "# {pair}  phase-phase  {first}-{second}  -  -  -    # each loop of two phases in use\n"
        )
    });
    let two: String = two.collect();
    format!("\n[burden]                      # of the tap in service\n{unknown}{rows}{two}")
}

fn demagnetisation(cores: &[&CoreSheet<'_>], why: &str) -> String {
    if cores.is_empty() {
        return String::new();
    }
    let rows = table(typed::DEMAGNETISATION, full(cores));
    format!("\n[demagnetisation]             # {why}\n{rows}")
}

fn by_current(core: &CoreSheet<'_>) -> String {
    let mut currents: Vec<f64> = stop::currents(core)
        .into_iter()
        .map(|at| at.percent)
        .collect();
    if currents.is_empty() {
        currents.push(100.0);
    }
    let burden = match core.burden_text() {
        Some(burden) if !burden.contains('-') => format!("burden: {burden}"),
        _ => "# burden: 10 VA".to_owned(),
    };
    let again = match core.core.class.value() {
        Some(class) if class.is_measuring() => {
            "# the same again with the lowest burden of the class, in a section of its own\n"
        }
        _ => "",
    };
    let inputs = &core.core.inputs;
    let by_input = inputs
        .iter()
        .map(|input| vec![input.name.clone(), "100".to_owned()]);
    let all = (!inputs.is_empty()).then(|| inputs::ALL.to_owned());
    let rows = currents.iter().map(|percent| {
        let all = all.clone().into_iter();
        all.chain([percent.to_string()]).collect()
    });
    let rows = table(&typed::by_current(core), by_input.chain(rows).collect());
    format!(
        "\n[ratio {}]\nmethod: current\n{burden}\n{again}{rows}",
        whole(core)
    )
}
