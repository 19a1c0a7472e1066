//! `kneemark fmt`: records laid out evenly, nothing in them changed.

use super::check::{INPUT, NAMED};
use super::{draw, output};
use crate::ground::calm::steers;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::{self, Disk, Files};
use crate::ground::source::Source;
use crate::ground::stage;
use crate::job::{Diagnosed, Outcome, find, shown, unreadable};
use crate::layout::lay_out;
use similar::TextDiff;
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
    (arguments.reads_input() && arguments.paths.len() > 1).then(|| {
        "`-` is one record from standard input and stands alone; a file of that name is `./-`"
            .to_owned()
    })
}

impl Arguments {
    fn reads_input(&self) -> bool {
        self.paths.iter().any(|path| path == Path::new(INPUT))
    }
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    if arguments.reads_input() {
        return piped(arguments);
    }
    let (found, others) = find(&Disk, &arguments.paths);
    let mut worst = tell(&others);
    for path in &found {
        worst = worst.max(file(&Disk, path, arguments));
    }
    worst
}

fn tell(others: &[Diagnosed]) -> Outcome {
    let mut worst = Outcome::Clean;
    for told in others {
        output::explain(&draw::human(
            &told.source,
            &told.diagnostics,
            output::style(),
        ));
        if told.diagnostics.iter().any(Diagnostic::is_error) {
            worst = Outcome::Broken;
        }
    }
    worst
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
        let diff = TextDiff::from_lines(now.as_ref(), made.as_ref());
        let mut diff = diff.unified_diff();
        let text = diff.header(name, name).to_string();
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
