//! `kneemark watch`: a live preview of reports while their records are written.

mod changes;
mod pages;
mod preview;
mod serve;

use super::output;
use crate::job::{Outcome, shown};
use crate::report::{Annex, Files, Options};
use changes::Changes;
use preview::Preview;
use serve::{Board, Server};
use std::path::PathBuf;
use std::sync::Arc;

#[derive(clap::Args)]
#[command(after_help = super::examples::WATCH)]
pub struct Arguments {
    /// Records, or folders with records
    #[arg(required = true)]
    paths: Vec<PathBuf>,
    /// Port of the preview on this machine; without one any that is free
    #[arg(long, default_value_t = 0)]
    port: u16,
    /// Look at the files twice a second, where the system does not tell of changes, as in some network folders
    #[arg(long)]
    poll: bool,
    /// Write 1,5 instead of 1.5
    #[arg(long)]
    decimal_comma: bool,
    /// Annexes behind the reports
    #[arg(long, value_enum, value_name = "ANNEX", value_delimiter = ',')]
    annex: Vec<Annex>,
}

/// Runs the command until it is ended from outside.
pub fn run(arguments: &Arguments) -> Outcome {
    match watch(arguments) {
        Ok(never) => match never {},
        Err(message) => {
            output::complain(&message);
            Outcome::Broken
        }
    }
}

/// What does not come to an end by itself.
enum Never {}

fn watch(arguments: &Arguments) -> Result<Never, String> {
    // Before the first look, so that nothing changes unseen behind it.
    let mut changes = Changes::of(&arguments.paths, arguments.poll)?;
    let server = Server::on(arguments.port)?;
    let options = Options {
        decimal_comma: arguments.decimal_comma,
        annexes: arguments.annex.iter().copied().collect(),
        // The preview hands out pages and no files.
        files: Files::Elsewhere,
        ..Options::default()
    };
    let mut now = Arc::new(Preview::of(&arguments.paths, None));
    let board = Board::new(Arc::clone(&now));
    output::print(&format!(
        "{}preview on http://{}/ until this command is ended\n",
        now.begun(),
        server.address()
    ));
    server.start(Arc::clone(&board), options)?;
    loop {
        changes.wait()?;
        let next = Arc::new(Preview::of(&arguments.paths, Some(&now)));
        if next.is_as(&now) {
            continue;
        }
        // The pages first: who reads them waits for them.
        board.put(Arc::clone(&next));
        output::print(&next.told(&now));
        now = next;
    }
}

/// Paths for a complaint.
fn named(paths: &[PathBuf]) -> String {
    let names: Vec<String> = paths.iter().map(|path| shown(path)).collect();
    names.join(", ")
}
