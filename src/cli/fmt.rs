//! `kneemark fmt`: records laid out evenly, nothing in them changed.

use super::check::{NAMED, crowded, reads_input};
use super::output;
use crate::ground::calm::steers;
use crate::ground::seam::{self, Disk, Files};
use crate::ground::source::Source;
use crate::ground::stage;
use crate::job::{Diagnosed, Outcome, find, is_record, shown, unreadable};
use crate::layout::lay_out;
use std::ops::Range;
use std::path::{Path, PathBuf};

#[derive(clap::Args)]
#[command(after_help = super::examples::FMT)]
pub struct Arguments {
    /// Records, or folders with records; `-` for standard input, laid out to standard output
    #[arg(required = true)]
    paths: Vec<PathBuf>,
    /// Write nothing; name the records that would be laid out otherwise, and exit with 1 when there are any
    #[arg(long, conflicts_with = "diff")]
    check: bool,
    /// Write nothing; print what would change, and exit with 1 when anything would
    #[arg(long)]
    diff: bool,
}

/// What is wrong with the arguments as a whole.
pub fn misplaced(arguments: &Arguments) -> Option<String> {
    crowded(&arguments.paths)
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    if reads_input(&arguments.paths) {
        return piped(arguments);
    }
    let (found, others) = find(&Disk, &arguments.paths);
    let mut worst = tell(&others);
    for path in &found {
        // It writes: what looks like a record and is none would suffer.
        if !is_record(path) {
            let name = shown(path);
            output::complain(&format!(
                "{name} is left as it is: the name of a record ends in .ctr"
            ));
            worst = Outcome::Broken;
            continue;
        }
        worst = worst.max(file(&Disk, path, arguments));
    }
    worst
}

fn tell(others: &[Diagnosed]) -> Outcome {
    let told = others
        .iter()
        .map(|told| output::tell(&told.source, &told.diagnostics));
    told.max().unwrap_or(Outcome::Clean)
}

/// Standard input to standard output: what cannot be laid out is passed on as it came, so that an editor loses nothing.
fn piped(arguments: &Arguments) -> Outcome {
    let bytes = match seam::standard_input() {
        Ok(bytes) => bytes,
        Err(error) => return tell(&[unreadable(Path::new(NAMED), &error)]),
    };
    let (outcome, made) = made(NAMED, &bytes);
    let Some(made) = made else {
        output::pass_on(&bytes);
        return outcome;
    };
    match arguments.check || arguments.diff {
        true => outcome.max(compared(NAMED, &bytes, &made, arguments)),
        false => {
            output::pass_on(&made);
            outcome
        }
    }
}

fn file(files: &dyn Files, path: &Path, arguments: &Arguments) -> Outcome {
    let name = shown(path);
    let bytes = match files.read(path) {
        Ok(bytes) => bytes,
        Err(error) => return tell(&[unreadable(path, &error)]),
    };
    let (outcome, made) = made(&name, &bytes);
    let Some(made) = made.filter(|made| *made != bytes) else {
        return outcome;
    };
    if arguments.check || arguments.diff {
        return outcome.max(compared(&name, &bytes, &made, arguments));
    }
    // An editor may have written to it since.
    let is_same = files.read(path).is_ok_and(|now| now == bytes);
    let written = match is_same {
        true => stage::write(&files.resolve(path), &made),
        false => Err(std::io::Error::other("it was changed meanwhile")),
    };
    match written {
        Ok(()) => {
            output::print(&format!("{name}\n"));
            outcome
        }
        Err(error) => {
            output::complain(&format!("{name} is left as it is: {error}"));
            Outcome::Broken
        }
    }
}

/// A record laid out, with what is told of it; `None` where it cannot be read at all.
fn made(name: &str, bytes: &[u8]) -> (Outcome, Option<Vec<u8>>) {
    let (source, diagnostics) = Source::new(name, bytes);
    if source.refused {
        let told = Diagnosed {
            path: None,
            source,
            diagnostics,
        };
        return (tell(&[told]), None);
    }
    let laid_out = lay_out(&source);
    for line in laid_out.left {
        output::explain(&format!(
            "{name}:{line}: this section is left as it is; laid out it would not read the same\n"
        ));
    }
    let mark: &[u8] = if source.bom { b"\xEF\xBB\xBF" } else { b"" };
    (
        Outcome::Clean,
        Some([mark, laid_out.text.as_bytes()].concat()),
    )
}

/// Names a record that would change, or prints how.
fn compared(name: &str, now: &[u8], made: &[u8], arguments: &Arguments) -> Outcome {
    if now == made {
        return Outcome::Clean;
    }
    if arguments.diff {
        let [now, made] = [now, made].map(String::from_utf8_lossy);
        let text = hunks(name, &now, &made);
        let is_calm = |c: char| matches!(c, '\n' | '\r' | '\t') || !steers(c);
        let shown = text
            .chars()
            .map(|c| if is_calm(c) { c } else { '\u{fffd}' });
        output::print(&shown.collect::<String>());
    } else {
        output::print(&format!("{name}\n"));
    }
    Outcome::Fails
}

/// Lines that are shown around those that change.
const AROUND: usize = 3;

/// The lines that change, as a unified diff: each line becomes one line, so that nothing has to be searched for.
fn hunks(name: &str, now: &str, made: &str) -> String {
    let lines: Vec<(&str, &str)> = now
        .split_inclusive('\n')
        .zip(made.split_inclusive('\n'))
        .collect();
    let changed = lines.iter().zip(0..).filter(|((old, new), _)| old != new);
    let mut out = format!("--- {name}\n+++ {name}\n");
    let mut hunk: Option<Range<usize>> = None;
    let mut put = |hunk: Range<usize>| {
        let (from, count) = (hunk.start + 1, hunk.len());
        out.push_str(&format!("@@ -{from},{count} +{from},{count} @@\n"));
        let mut open = 0..0;
        let all = lines.get(hunk.clone()).unwrap_or_default();
        for (at, (old, new)) in all.iter().enumerate() {
            if old == new {
                flush(all, std::mem::replace(&mut open, 0..0), &mut out);
                line(' ', old, &mut out);
            } else if open.is_empty() {
                open = at..at + 1;
            } else {
                open.end = at + 1;
            }
        }
        flush(all, open, &mut out);
    };
    for (_, at) in changed {
        let at: usize = at;
        let around = at.saturating_sub(AROUND)..(at + AROUND + 1).min(lines.len());
        hunk = Some(match hunk.take() {
            Some(before) if around.start <= before.end => before.start..around.end,
            Some(before) => {
                put(before);
                around
            }
            None => around,
        });
    }
    hunk.into_iter().for_each(&mut put);
    out
}

/// Lines that follow each other and all change: first what they were, then what they become.
fn flush(lines: &[(&str, &str)], open: Range<usize>, out: &mut String) {
    let open = lines.get(open).unwrap_or_default();
    open.iter().for_each(|(old, _)| line('-', old, out));
    open.iter().for_each(|(_, new)| line('+', new, out));
}

fn line(mark: char, text: &str, out: &mut String) {
    out.push(mark);
    out.push_str(text);
    if !text.ends_with('\n') {
        out.push_str("\n\\ No newline at end of file\n");
    }
}
