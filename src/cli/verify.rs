//! `kneemark verify`: whether a report was made of a record, and is what its files give today.

use super::draw::one_line;
use super::output;
use super::report::Among;
use crate::document::Paper;
use crate::ground::seam::{Disk, Files};
use crate::ground::source::sha256;
use crate::job::{
    ATTACHED, Basis, FOLDER, JOBS, LIMITS, Outcome, PACK, Part, RECORD, here, jobs_of, shown,
};
use crate::pack::build::Planned;
use crate::pack::sink::InMemory;
use crate::report::{Annexes, Options};
use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

#[derive(clap::Args)]
#[command(after_help = super::examples::VERIFY)]
pub struct Arguments {
    /// A report, HTML or Markdown
    report: PathBuf,
    /// The record it is said to be made of
    record: PathBuf,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    let (outcome, text) = match told(&Disk, arguments) {
        Ok(told) => told,
        Err(why) => (Outcome::Broken, why + "\n"),
    };
    output::print(&text);
    outcome
}

fn told(files: &dyn Files, arguments: &Arguments) -> Result<(Outcome, String), String> {
    let read = |path: &Path| {
        let read = files.read(path);
        read.map_err(|error| format!("{} cannot be read: {error}", shown(path)))
    };
    let (report, record) = (read(&arguments.report)?, read(&arguments.record)?);
    let (of, from) = (shown(&arguments.report), shown(&arguments.record));
    let text = String::from_utf8_lossy(&report).into_owned();
    let basis = Basis::joined(&Basis::all_in(&text));
    if basis.parts.is_empty() {
        return Err(format!(
            "{of} does not say what it was made of, so nothing can be said; is it a report of kneemark?"
        ));
    }
    let (own, name) = (
        sha256(&record),
        arguments.record.file_name().unwrap_or_default(),
    );
    let is_named = |part: &&Part| part.what == RECORD && *part.name == *name;
    if !basis.has_record(&own) && !basis.parts.iter().any(|part| is_named(&part)) {
        let on_report = basis.parts.iter().filter(|part| part.what == RECORD);
        let on_report =
            on_report.map(|part| format!("\n  on the report  {} {}", part.sum, part.name));
        return Ok((
            Outcome::Fails,
            format!(
                "{of} does not belong to {from}{}\n  of the record  {own}\n",
                on_report.collect::<String>()
            ),
        ));
    }
    let again = again(files, &arguments.record, &own, (&text, &basis))?;
    let of_record = again.iter().filter_map(|made| {
        let now = Basis::joined(&Basis::all_in(made));
        now.has_record(&own).then_some((made, now))
    });
    // Made of the same things, and reading most like it.
    let made =
        of_record.max_by_key(|(made, now)| (Reverse(strangers(&basis, now)), alike(&text, made)));
    let (made, now) = made.ok_or_else(|| format!("{from} gives no report now"))?;
    let differing = differences(&basis, &now);
    if !differing.is_empty() {
        let told = format!(
            "{of} is not what its files give now:\n{}",
            differing.join("\n")
        );
        return Ok((Outcome::Fails, told + "\n"));
    }
    if made.as_bytes() != report {
        let told = format!(
            "{of} was changed after it was made, or another build of this version made it: its files are the same, but they give another text.\n{}",
            first_difference(&text, made)
        );
        return Ok((Outcome::Fails, told));
    }
    let exchanged = exchanged(files, &arguments.report, &basis);
    if !exchanged.is_empty() {
        let told = format!(
            "{of} is as it was made, but not all copies beside it are:\n{}",
            exchanged.concat()
        );
        return Ok((Outcome::Fails, told));
    }
    let parts = basis.parts.iter().map(|part| {
        let sum = if part.sum.is_empty() {
            "none"
        } else {
            &part.sum
        };
        format!("  {} {}: {sum}\n", part.what, one_line(&part.name))
    });
    let told = format!(
        "{of} belongs to {from}: made again from these it is the same, byte for byte.\n{}",
        parts.collect::<String>()
    );
    Ok((Outcome::Clean, told))
}

/// The copies of the files of its visits, beside a report or above a page of a pack, that are not the file whose sum
/// stands in their name.
fn exchanged(files: &dyn Files, report: &Path, basis: &Basis) -> Vec<String> {
    let attached = basis.parts.iter().filter(|part| part.what == ATTACHED);
    let sums: Vec<&str> = attached
        .map(|part| part.sum.as_str())
        .filter(|sum| !sum.is_empty())
        .collect();
    if sums.is_empty() {
        return Vec::new();
    }
    let own = here(report.parent().unwrap_or(Path::new("")));
    let folders = ["", ".."].map(|up| own.join(up).join(FOLDER));
    let listed = folders.iter().filter_map(|folder| files.list(folder).ok());
    let told = listed.flatten().filter_map(|(path, _)| {
        let name = path.file_name()?.to_string_lossy().into_owned();
        let sum = sums.iter().find(|sum| bears(&name, sum))?;
        let found = match files.read(&path) {
            Ok(bytes) => sha256(&bytes),
            Err(error) => format!("cannot be read: {error}"),
        };
        (found != **sum).then(|| {
            format!(
                "  {FOLDER}/{} differs: its name has {sum}, the file {found}\n",
                one_line(&name)
            )
        })
    });
    told.collect()
}

/// Whether the name of a copy ends in a sum, before its ending.
fn bears(name: &str, sum: &str) -> bool {
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    [name, stem].iter().any(|text| {
        text.strip_suffix(sum)
            .is_some_and(|rest| rest.ends_with('-'))
    })
}

/// The texts that a report made of these files could be: those of its pack, or of the record alone in each
/// form that `kneemark report` knows.
fn again(
    files: &dyn Files,
    record: &Path,
    own_sum: &str,
    (text, basis): (&str, &Basis),
) -> Result<Vec<String>, String> {
    let own = here(record.parent().unwrap_or(Path::new("")));
    if let Some(pack) = basis.part(PACK) {
        let none = || {
            format!(
                "the report is part of a pack, and no folder of the job of {} has its {}",
                shown(record),
                one_line(&pack.name)
            )
        };
        let jobs = jobs_of(files, own);
        // The one that the report names, else the nearest.
        let is_named = |job: &&PathBuf| {
            let bytes = files.read(&job.join(&pack.name));
            bytes.is_ok_and(|bytes| sha256(&bytes) == pack.sum)
        };
        let folder = jobs.iter().find(is_named).or(jobs.first());
        let folder = folder.ok_or_else(none)?;
        let place = folder.join(&pack.name);
        let why = || {
            format!(
                "its pack cannot be built now; see `kneemark pack {}`",
                shown(&place)
            )
        };
        let planned = Planned::of(files, &place).map_err(|_| why())?;
        let sink = InMemory::with(own_sum);
        planned.write(true, &sink).map_err(|_| why())?;
        let texts = sink.into_files().into_values();
        return Ok(texts
            .filter_map(|bytes| String::from_utf8(bytes).ok())
            .collect());
    }
    let among = Among::read(files, record);
    let mut texts = Vec::new();
    for decimal_comma in [false, true] {
        for paper in [Paper::A4, Paper::Letter] {
            let options = Options {
                decimal_comma,
                paper,
                annexes: Annexes::of_report(text),
                ..Options::default()
            };
            let (report, html) = among.made(&options)?;
            texts.extend([html, report.markdown]);
        }
    }
    Ok(texts)
}

/// How many things only one of two reports is made of.
fn strangers(one: &Basis, other: &Basis) -> usize {
    let (one, other) = (sums(one), sums(other));
    let only = |of: &Sums<'_>, other: &Sums<'_>| {
        let keys = of.keys().filter(|key| !other.contains_key(*key));
        keys.count()
    };
    only(&one, &other) + only(&other, &one)
}

/// How many bytes two texts begin and end alike.
fn alike(one: &str, other: &str) -> usize {
    let (one, other) = (one.bytes(), other.bytes());
    same(one.clone(), other.clone()) + same(one.rev(), other.rev())
}

fn same(one: impl Iterator<Item = u8>, other: impl Iterator<Item = u8>) -> usize {
    one.zip(other).take_while(|(a, b)| a == b).count()
}

/// The line at which a report leaves the text that it was made with.
fn first_difference(report: &str, made: &str) -> String {
    let at = same(report.bytes(), made.bytes());
    let line = report
        .bytes()
        .take(at)
        .filter(|byte| *byte == b'\n')
        .count()
        + 1;
    let shown = |text: &str| {
        let line = text.split('\n').nth(line - 1).unwrap_or("");
        let start = text
            .bytes()
            .take(at)
            .rev()
            .take_while(|byte| *byte != b'\n')
            .count();
        let start = (0..=start.saturating_sub(30))
            .rev()
            .find(|at| line.is_char_boundary(*at));
        let from = line.get(start.unwrap_or(0)..).unwrap_or("");
        one_line(&from.chars().take(80).collect::<String>())
    };
    format!(
        "  line {line} reads  {}\n  made again      {}\n",
        shown(report),
        shown(made)
    )
}

type Sums<'a> = BTreeMap<(&'a str, &'a str), Vec<&'a str>>;

fn sums(basis: &Basis) -> Sums<'_> {
    let mut found = Sums::new();
    for Part { what, name, sum } in &basis.parts {
        let of = if sum.is_empty() { "none" } else { sum };
        found.entry((what, name)).or_default().push(of);
    }
    found.values_mut().for_each(|sums| sums.sort_unstable());
    found
}

/// What differs, by name.
fn differences(on_report: &Basis, now: &Basis) -> Vec<String> {
    let (on_report, now) = (sums(on_report), sums(now));
    let mut names: Vec<&(&str, &str)> = on_report.keys().chain(now.keys()).collect();
    names.sort_unstable();
    names.dedup();
    let differs = names
        .into_iter()
        .filter(|name| on_report.get(*name) != now.get(*name));
    let told = |of: &(&str, &str)| {
        let sums = |sums: &Sums<'_>| match sums.get(of) {
            Some(sums) => sums.join(", "),
            None => "none".to_owned(),
        };
        let (what, name) = (of.0, one_line(of.1));
        let of_file = ["criteria", "instruments", ATTACHED, JOBS, PACK, RECORD].contains(&what);
        let name = if of_file {
            name
        } else {
            format!("{what} {name}")
        };
        let place = match what {
            "program" | LIMITS => "this program",
            _ => "the folder",
        };
        format!(
            "  {name} differs: the report was made with {}, {place} has {}",
            sums(&on_report),
            sums(&now)
        )
    };
    differs.map(told).collect()
}
