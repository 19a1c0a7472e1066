//! A new visit as a record to type into: every due test with its table, rows named, readings left as
//! `-`. Nothing that was not read stands there as a reading.

use super::blanks::aims;
use super::connect::sections;
use super::job::Job;
use super::plan::{self, Step};
use super::plate::CoreSheet;
use super::{say, stop};
use crate::ground::date::Date;
use crate::ground::source::Source;
use crate::syntax::Tree;
use crate::trade::Class;

/// Everything of a record that is not a visit, as it stands.
#[must_use]
pub fn plate_text(source: &Source, tree: &Tree) -> String {
    let mut text: String = tree
        .head_lines()
        .iter()
        .map(|line| source.slice(line.whole))
        .collect();
    for section in &tree.sections {
        if !matches!(source.slice(section.name), "ct" | "place" | "core" | "duty") {
            continue;
        }
        // The opening line is the one before the section's first.
        let from = section.first.saturating_sub(1);
        let lines = tree.lines.get(from..section.end).unwrap_or(&[]);
        lines
            .iter()
            .for_each(|line| text.push_str(source.slice(line.whole)));
    }
    let mut kept = text.trim_end_matches(['\n', '\r', ' ', '\t']).to_owned();
    kept.push('\n');
    kept
}

/// The visit with all its due tests.
pub fn visit_text(job: &Job<'_>, date: Date) -> String {
    let mut text = format!("\n[visit {date}]\npurpose: {}\n", job.purpose);
    text.push_str("# tested by:\n# ambient: 20.0 C\n# humidity: 60 %\n# instrument: M1          # described in instruments.toml\n");
    state(job, &mut text);
    for step in Step::ALL {
        let cores = due(job, *step);
        if !cores.is_empty() {
            match step {
                Step::Insulation => insulation(&cores, &mut text),
                Step::Resistance => resistance(job, &cores, &mut text),
                Step::Demagnetisation => demagnetisation(&cores, &mut text),
                Step::Excitation => cores
                    .iter()
                    .for_each(|core| excitation(job, core, &mut text)),
                Step::Ratio => ratio(job, &cores, &mut text),
                Step::RatioByCurrent => cores.iter().for_each(|core| by_current(core, &mut text)),
                Step::Burden => burden(&cores, &mut text),
            }
        }
    }
    restored(job, &mut text);
    text.push_str("\n# A test that was not done is named, with its reason: not done excitation on taps: full winding tested\n");
    text
}

fn due<'j, 'a>(job: &'j Job<'a>, step: Step) -> Vec<&'j CoreSheet<'a>> {
    let due = plan::cores(job.record, job.purpose, step);
    job.cores
        .iter()
        .filter(|core| due.contains(&core.index))
        .collect()
}

/// Names in the first column, dashes in the others, all under each other.
fn table(head: &[&str], rows: &[Vec<String>]) -> String {
    let column = |at: usize| {
        rows.iter()
            .filter_map(|row| row.get(at))
            .map(|cell| cell.chars().count())
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = head
        .iter()
        .enumerate()
        .map(|(at, word)| column(at).max(word.len()))
        .collect();
    let line = |cells: Vec<&str>| {
        let padded = cells
            .iter()
            .zip(&widths)
            .map(|(cell, width)| format!("{cell:<width$}"));
        format!(
            "{}\n",
            padded.collect::<Vec<_>>().join("  ").trim_end_matches(' ')
        )
    };
    let mut text = line(head.to_vec());
    for row in rows {
        text.push_str(&line(row.iter().map(String::as_str).collect()));
    }
    text
}

/// A row of a name and as many dashes as there are readings.
fn named(name: String, dashes: usize) -> Vec<String> {
    std::iter::once(name)
        .chain(std::iter::repeat_n("-".to_owned(), dashes))
        .collect()
}

fn state(job: &Job<'_>, text: &mut String) {
    let (first, second) = job.primary();
    text.push_str("\n[state]                       # as found\ncore | in service | earth | star | links | secondary | remark\n");
    for core in job.cores.iter().filter(|core| fits(core)) {
        text.push_str(&format!("{} | - | - | - | - | - | -\n", core.core.name));
    }
    text.push_str(&format!("# primary: {first} open, {second} earthed\n"));
    text.push_str("\n[self-check]\n# ratio of 1: 1.0000\n# leads: 0.010 ohm            # clips shorted together\n");
}

/// Whether a core's name can stand in a table parted by `|`.
fn fits(core: &CoreSheet<'_>) -> bool {
    !core.core.name.contains(['|', '#', ';'])
}

fn insulation(cores: &[&CoreSheet<'_>], text: &mut String) {
    text.push_str("\n[insulation]\n# instrument: I1\n# temperature: 20.0 +- 1 C\n");
    let row = |between: String, time: &str| {
        vec![between, "-".to_owned(), time.to_owned(), "-".to_owned()]
    };
    let mut rows: Vec<Vec<String>> = ["15", "60", "600"]
        .iter()
        .map(|time| row("primary to cores and earth".to_owned(), time))
        .collect();
    rows.extend(cores.iter().map(|core| {
        row(
            format!("{} to primary, cores and earth", core.core.name),
            "60",
        )
    }));
    text.push_str(&table(
        &["between", "voltage/V", "time/s", "resistance/Gohm"],
        &rows,
    ));
}

fn resistance(job: &Job<'_>, cores: &[&CoreSheet<'_>], text: &mut String) {
    text.push_str("\n[resistance]\n# wires: 4\n# temperature: 20.0 +- 1 C\n");
    let mut rows = Vec::new();
    for core in cores {
        let expect = stop::resistance(job, core);
        if !expect.is_empty() {
            text.push_str(&format!("# {}: {expect}\n", core.pair(core.full())));
        }
        rows.push(named(core.pair(core.full()), 2));
        rows.extend(sections(core).into_iter().map(|pair| named(pair, 2)));
    }
    text.push_str(&table(&["on", "current/A", "voltage/V"], &rows));
}

fn demagnetisation(cores: &[&CoreSheet<'_>], text: &mut String) {
    text.push_str("\n[demagnetisation]\n");
    let rows: Vec<Vec<String>> = cores
        .iter()
        .map(|core| named(core.pair(core.full()), 3))
        .collect();
    text.push_str(&table(&["on", "start/V", "end/V", "time/s"], &rows));
}

fn excitation(job: &Job<'_>, core: &CoreSheet<'_>, text: &mut String) {
    text.push_str(&format!(
        "\n[excitation {}]\n# voltmeter: mean\n",
        core.pair(core.full())
    ));
    let aims = aims(core);
    if aims.is_empty() {
        text.push_str(
            "# the plate gives no voltage: 8 to 12 points, most of them where the curve turns\n",
        );
    } else {
        let list: Vec<String> = aims.iter().map(|(volts, _)| say::volts(*volts)).collect();
        text.push_str(&format!("# aim at: {}\n", list.join(", ")));
        text.push_str(&format!(
            "# expect: {}\n# stop at: {}\n",
            stop::limit_text(core),
            stop::excitation(job, core)
        ));
    }
    let unit = super::blanks::current_unit(core);
    let rows: Vec<Vec<String>> = (0..aims.len().max(10))
        .map(|_| named("-".to_owned(), 1))
        .collect();
    text.push_str(&table(&["voltage/V", unit], &rows));
}

/// Windings with taps: the whole driven, read at the primary and at every section. Without taps: one
/// table for all.
fn ratio(job: &Job<'_>, cores: &[&CoreSheet<'_>], text: &mut String) {
    let (plain, tapped): (Vec<&CoreSheet<'_>>, Vec<_>) = cores
        .iter()
        .copied()
        .partition(|core| core.core.last_mark() < 2);
    let (first, second) = job.primary();
    if !plain.is_empty() {
        text.push_str("\n[ratio]\nmethod: voltage\n");
        let rows: Vec<Vec<String>> = plain
            .iter()
            .map(|core| named(core.pair(core.full()), 3))
            .collect();
        text.push_str(&table(
            &["on", "applied/V", "induced/mV", "phase/arcmin"],
            &rows,
        ));
    }
    for core in tapped {
        text.push_str(&format!(
            "\n[ratio {}]        # driven; read on the pair in the first column\nmethod: voltage\n",
            core.pair(core.full())
        ));
        let read = std::iter::once(format!("{first}-{second}")).chain(sections(core));
        let rows: Vec<Vec<String>> = read.map(|pair| named(pair, 3)).collect();
        text.push_str(&table(
            &["on", "applied/V", "read/V", "phase/arcmin"],
            &rows,
        ));
    }
    text.push_str("\n[polarity]\nmethod: kick\n");
    text.push_str(&format!("plus on: {first}\n"));
    text.push_str("on | deflection\n");
    cores
        .iter()
        .for_each(|core| text.push_str(&format!("{} | -\n", core.pair(core.full()))));
}

fn by_current(core: &CoreSheet<'_>, text: &mut String) {
    let currents = stop::currents(core);
    if currents.is_empty()
        || !matches!(
            core.core.class.value(),
            Some(Class::Measuring { .. } | Class::IeeeMetering { .. })
        )
    {
        return;
    }
    text.push_str(&format!(
        "\n[ratio {}]\nmethod: current\n",
        core.pair(core.full())
    ));
    match core.burden_text() {
        Some(burden) if !burden.contains('-') => text.push_str(&format!("burden: {burden}\n")),
        _ => text.push_str("# burden: 10 VA\n"),
    }
    text.push_str(
        "# the same again with the lowest burden of the class, in a section of its own\n",
    );
    let rows: Vec<Vec<String>> = currents
        .iter()
        .map(|(percent, _)| named(format!("{percent}"), 2))
        .collect();
    text.push_str(&table(&["rated/%", "error/%", "phase/min"], &rows));
}

fn burden(cores: &[&CoreSheet<'_>], text: &mut String) {
    text.push_str("\n[burden]                      # of the tap in service\n");
    let row = |core: &&CoreSheet<'_>| {
        vec![
            core.pair(core.full()),
            "phase-neutral".to_owned(),
            "-".to_owned(),
            "-".to_owned(),
            "-".to_owned(),
        ]
    };
    let rows: Vec<Vec<String>> = cores.iter().map(row).collect();
    text.push_str(&table(
        &["on", "loop", "current/A", "voltage/V", "angle/deg"],
        &rows,
    ));
}

fn restored(job: &Job<'_>, text: &mut String) {
    text.push_str(
        "\n[restored]\ncore | in service | links | secondary | earth | earths counted | remark\n",
    );
    for core in job.cores.iter().filter(|core| fits(core)) {
        text.push_str(&format!("{} | - | - | - | - | - | -\n", core.core.name));
    }
    text.push_str("# checked by:\n");
}
