//! `kneemark explain`: what a name means, or what is known of a line of a record.

use super::report::Among;
use super::{USAGE, draw, output};
use crate::ground::seam::{Disk, Files};
use crate::job::{Outcome, shown};
use crate::report::line::{self, Place};
use crate::report::manual::{self, Entry, Said};
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(clap::Args)]
#[command(after_help = super::examples::EXPLAIN)]
pub struct Arguments {
    /// Names, or lines of records as FILE:LINE or FILE:LINE:COLUMN; without any, all names are listed
    #[arg(value_name = "NAME")]
    names: Vec<String>,
    /// Of a line: every step of the workings and every finding that rests on it
    #[arg(long)]
    all: bool,
}

/// Why there is no answer.
enum Fault {
    Usage(String),
    Broken(String),
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> ExitCode {
    if arguments.names.is_empty() {
        output::print(&list());
        return Outcome::Clean.into();
    }
    // Some names are of several words: `knee emf`.
    let joined = arguments.names.join(" ");
    let names = match manual::named(&joined) {
        Ok(_) => std::slice::from_ref(&joined),
        Err(_) => arguments.names.as_slice(),
    };
    let (mut wrong, mut broken) = (false, false);
    for (index, name) in names.iter().enumerate() {
        match answer(&Disk, name, arguments.all) {
            Ok(text) => {
                let between = if index == 0 { "" } else { "\n" };
                output::print(&format!("{between}{text}"));
            }
            Err(Fault::Usage(message)) => {
                output::complain(&message);
                wrong = true;
            }
            Err(Fault::Broken(message)) => {
                output::complain(&message);
                broken = true;
            }
        }
    }
    match (wrong, broken) {
        (true, _) => ExitCode::from(USAGE),
        (false, true) => Outcome::Broken.into(),
        (false, false) => Outcome::Clean.into(),
    }
}

/// All names, one a line.
fn list() -> String {
    let line = |one: Entry| format!("{} {}: {}\n", one.kind.word(), one.name, one.title);
    manual::all().into_iter().map(line).collect()
}

fn answer(files: &dyn Files, name: &str, all: bool) -> Result<String, Fault> {
    if let Some((file, place)) = place(files, name) {
        return of_line(files, file, place, all);
    }
    match manual::named(name) {
        Ok(entries) => {
            let texts: Vec<String> = entries.iter().map(of_entry).collect();
            Ok(texts.join("\n"))
        }
        Err(_) if files.exists(name.as_ref()) => Err(Fault::Usage(format!(
            "{name} is a file; name a line of it, as in {name}:12"
        ))),
        Err(near) => {
            let near = near.map(|near| format!("did you mean `{near}`? "));
            Err(Fault::Usage(format!(
                "nothing is called `{name}`; {}`kneemark explain` lists all names",
                near.unwrap_or_default()
            )))
        }
    }
}

/// `FILE:LINE` or `FILE:LINE:COLUMN`, where a name is that.
fn place(files: &dyn Files, name: &str) -> Option<(PathBuf, Place)> {
    let number = |text: &str| {
        text.bytes()
            .all(|b| b.is_ascii_digit())
            .then(|| text.parse().ok())
    };
    let cut = |text| -> Option<(&str, usize)> {
        let (before, behind) = str::rsplit_once(text, ':')?;
        Some((before, number(behind)??)).filter(|(before, _)| !before.is_empty())
    };
    let (before, last) = cut(name)?;
    match cut(before) {
        // The name of a file may end as a line does.
        Some((file, line)) if !files.exists(before.as_ref()) => {
            let column = Some(last);
            Some((file.into(), Place { line, column }))
        }
        _ => Some((
            before.into(),
            Place {
                line: last,
                column: None,
            },
        )),
    }
}

fn of_line(files: &dyn Files, file: PathBuf, place: Place, all: bool) -> Result<String, Fault> {
    let name = shown(&file);
    if files.is_folder(&file) || !files.exists(&file) {
        return Err(Fault::Broken(format!("{name} is no record")));
    }
    let among = Among::read(files, &file);
    let ct = among.ct().map_err(Fault::Broken)?;
    if ct.source.refused {
        output::explain(&draw::human(&ct.source, ct.errors(), output::style()));
        return Err(Fault::Broken(format!("{name} cannot be read")));
    }
    let said = line::explained(ct, place, all).map_err(Fault::Usage)?;
    Ok(format!("{name}:{}\n{}", place.line, drawn(&said)))
}

fn of_entry(one: &Entry) -> String {
    format!("{} {}\n{}", one.kind.word(), one.name, drawn(&one.said))
}

/// Lines of a terminal.
fn drawn(said: &[Said]) -> String {
    let piece = |one: &Said| {
        let (before, first, rest) = match one {
            Said::Head(_) => ("\n", "", ""),
            Said::Line(_) => ("", "  ", "  "),
            Said::Item(_) => ("", "  - ", "    "),
        };
        let text = draw::steering_nothing(one.text());
        let options = textwrap::Options::new(draw::WIDTH);
        let options = options.initial_indent(first).subsequent_indent(rest);
        let options = options.break_words(false);
        format!("{before}{}\n", textwrap::fill(&text, options))
    };
    said.iter().map(piece).collect()
}
