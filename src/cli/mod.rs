//! The command line: one file per command. What the exit codes mean is said once, in `EXIT_CODES`.

pub mod check;
mod chromium;
mod describe;
mod diff;
pub mod draw;
pub mod examples;
mod excerpt;
mod explain;
mod export;
mod fmt;
mod import;
pub mod lsp;
mod made;
mod new;
mod output;
mod pack;
mod report;
mod sheet;
mod threads;
mod verify;
mod watch;
mod worksheet;

use crate::job::Outcome;
use clap::{Parser, Subcommand};
use std::process::ExitCode;

/// Compiles text records of current-transformer tests into judged, explained reports.
#[derive(Parser)]
#[command(version, about, max_term_width = 100, after_help = EXIT_CODES)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

const EXIT_CODES: &str = "Exit codes: 0 clean, 1 a finding fails, 2 a record or file cannot be read or written, \
64 wrong usage.\n\
A verdict is never a clearance to energise: local rules and licensed practice decide.";

#[derive(Subcommand)]
enum Command {
    /// Check records: everything that is wrong in them, and what they show
    Check(check::Arguments),
    /// Build the client pack of a job: a report per CT, summary matrix, defects list
    Pack(pack::Arguments),
    /// Check that a report was made from a record
    Verify(verify::Arguments),
    /// Write the report of one CT as Markdown and as one HTML page
    Report(report::Arguments),
    /// Create a record from a rating plate, or lay out the next visit of one
    New(Box<new::Arguments>),
    /// Print what a shell completes the command line by
    Completions(describe::Completions),
    /// Print a page for man(1)
    Man(describe::Manual),
    /// Say by meaning what changed between two states of records
    Diff(diff::Arguments),
    /// Lay records out evenly, and change nothing else in them
    Fmt(fmt::Arguments),
    /// Make a worksheet from a rating plate: cautions, connections, what to expect, blanks
    Worksheet(worksheet::Arguments),
    /// Show reports in a browser while their records are written
    Watch(watch::Arguments),
    /// Bring tables of others into records: readings, a bay sheet, rating plates
    Import(import::Arguments),
    /// Print a visit of several units as one table, to be typed into and imported
    Sheet(sheet::Arguments),
    /// Explain a name, or a line of a record: what it means, what follows from it
    Explain(explain::Arguments),
    /// Serve an editor over standard input and output: diagnostics, hover, completion, and more
    Lsp(lsp::Arguments),
    /// Write the tables of a job for engines that ask a fleet: CSV, Parquet, SQLite
    Export(export::Arguments),
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(match outcome {
            Outcome::Clean => 0,
            Outcome::Fails => 1,
            Outcome::Broken => 2,
        })
    }
}

/// What the program is called.
const NAME: &str = "kneemark";

/// Wrong usage, after the convention of sysexits.h.
const USAGE: u8 = 64;

/// Runs the command line and returns the exit code.
pub fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // A closed pipe while printing help is not an error worth telling.
            let _ = error.print();
            return if error.use_stderr() {
                ExitCode::from(USAGE)
            } else {
                ExitCode::SUCCESS
            };
        }
    };
    threads::start();
    let code = match arguments.command {
        Command::Check(arguments) => {
            unless(check::misplaced(&arguments), || check::run(&arguments))
        }
        Command::Pack(arguments) => pack::run(&arguments).into(),
        Command::Verify(arguments) => verify::run(&arguments).into(),
        Command::Report(arguments) => report::run(&arguments).into(),
        Command::New(arguments) => unless(new::misplaced(&arguments), || new::run(&arguments)),
        Command::Completions(arguments) => describe::completions(&arguments).into(),
        Command::Man(arguments) => unless(describe::misplaced(&arguments), || {
            describe::manual(&arguments)
        }),
        Command::Diff(arguments) => unless(diff::misplaced(&arguments), || diff::run(&arguments)),
        Command::Fmt(arguments) => unless(fmt::misplaced(&arguments), || fmt::run(&arguments)),
        Command::Worksheet(arguments) => worksheet::run(&arguments).into(),
        Command::Watch(arguments) => watch::run(&arguments).into(),
        Command::Import(arguments) => import::run(&arguments).into(),
        Command::Sheet(arguments) => sheet::run(&arguments).into(),
        Command::Explain(arguments) => explain::run(&arguments),
        Command::Lsp(arguments) => lsp::run(&arguments),
        Command::Export(arguments) => {
            unless(export::misplaced(&arguments), || export::run(&arguments))
        }
    };
    // What was to be read and did not arrive is no success.
    match output::ended() {
        true => code,
        false => Outcome::Broken.into(),
    }
}

/// Runs a command, unless something is wrong with its arguments as a whole.
fn unless(problem: Option<String>, run: impl FnOnce() -> Outcome) -> ExitCode {
    match problem {
        Some(problem) => {
            output::complain(&problem);
            ExitCode::from(USAGE)
        }
        None => run().into(),
    }
}
