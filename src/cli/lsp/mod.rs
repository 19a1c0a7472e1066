//! `kneemark lsp`: the Language Server Protocol 3.17 over standard input and output, on `editor`.
//!
//! `lsp-server` gives the messages; its own reader ends at the first message that is none, and trusts the length that
//! stands before it, so that frames are read here (`frame`). The types are those of `gen-lsp-types`: made of the
//! protocol's own model and kept, and they need `serde` alone.

mod answers;
mod documents;
mod frame;
mod position;
mod publish;
mod queue;
mod say;
mod server;

pub use frame::LONGEST_MESSAGE;

use crate::ground::seam::Disk;
use queue::Queue;
use server::Server;
use std::process::ExitCode;
use std::sync::Arc;

#[derive(clap::Args)]
#[command(after_help = super::examples::LSP)]
pub struct Arguments {
    /// Some editors ask for it by name; there is no other way
    #[arg(long)]
    stdio: bool,
}

/// Runs the command.
pub fn run(_: &Arguments) -> ExitCode {
    let queue = Arc::new(Queue::default());
    let reader = Arc::clone(&queue);
    // It ends with the input, or with the process.
    std::thread::spawn(move || {
        let mut input = std::io::stdin().lock();
        while let Ok(Some((incoming, bytes))) = frame::read(&mut input) {
            reader.put(incoming, bytes);
        }
        reader.end();
    });
    match Server::new(&Disk, std::io::stdout().lock()).serve(&queue) {
        true => ExitCode::SUCCESS,
        false => ExitCode::FAILURE,
    }
}
