//! What shells and man(1) are told of the command line.

use super::output;
use crate::job::Outcome;
use clap::{Command, CommandFactory};

#[derive(clap::Args)]
pub struct Completions {
    /// The shell
    shell: clap_complete::Shell,
}

#[derive(clap::Args)]
pub struct Manual {
    /// A command; without one the page of the program
    command: Option<String>,
}

/// Prints what a shell completes by.
pub fn completions(arguments: &Completions) -> Outcome {
    let mut command = super::Arguments::command();
    let mut text = Vec::new();
    clap_complete::generate(arguments.shell, &mut command, super::NAME, &mut text);
    output::pass_on(&text);
    Outcome::Clean
}

/// What is wrong with the arguments as a whole.
pub fn misplaced(arguments: &Manual) -> Option<String> {
    let name = arguments.command.as_ref()?;
    let none = page_of(name).is_none();
    none.then(|| format!("there is no command `{name}`; `kneemark --help` lists them"))
}

/// Prints a page in the form of roff.
pub fn manual(arguments: &Manual) -> Outcome {
    let page = match &arguments.command {
        Some(name) => page_of(name),
        None => Some(super::Arguments::command()),
    };
    let mut text = Vec::new();
    let written = page.map(|page| clap_mangen::Man::new(page).render(&mut text));
    output::pass_on(&text);
    match written {
        Some(Ok(())) => Outcome::Clean,
        Some(Err(_)) | None => Outcome::Broken,
    }
}

fn page_of(name: &str) -> Option<Command> {
    let mut all = super::Arguments::command();
    // It then knows the names of its parts as they are called.
    all.build();
    all.find_subcommand(name).cloned()
}
