//! `kneemark pack`: the client pack of a job.

use super::check::plural;
use super::chromium::{self, Printed};
use super::draw::{self, one_line};
use super::output;
use crate::ground::seam::Disk;
use crate::ground::shelf;
use crate::job::{Diagnosed, Outcome, shown};
use crate::pack::WHOLE;
use crate::pack::build::{Built, Planned};
use crate::pack::items::some;
use crate::pack::target::{PRINTED, Refused, Target, Written};
use std::path::{Path, PathBuf};

#[derive(clap::Args)]
#[command(after_help = super::examples::PACK)]
pub struct Arguments {
    /// The pack.toml of the job
    pack: PathBuf,
    /// The folder the pack is written to
    #[arg(short, long, value_name = "FOLDER")]
    out: PathBuf,
    /// Write the whole pack on one page as well, pack.html
    #[arg(long)]
    whole: bool,
    /// Print that page to pack.pdf, through an installed Chromium
    #[arg(long)]
    pdf: bool,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    let planned = match Planned::of(&Disk, &arguments.pack) {
        Ok(planned) => planned,
        Err(none) => {
            output::print(&told(&none.0));
            output::print("nothing was written\n");
            return Outcome::Broken;
        }
    };
    output::print(&told(&planned.others));
    match write(&planned, arguments) {
        Ok(outcome) => outcome,
        Err(refused) => {
            output::print(&format!(
                "{}\n  help: {}\n",
                one_line(&refused.message),
                refused.help
            ));
            Outcome::Broken
        }
    }
}

fn write(planned: &Planned<'_>, arguments: &Arguments) -> Result<Outcome, Refused> {
    // What is printed is the whole page.
    let whole = arguments.whole || arguments.pdf;
    let mut names = planned.names(whole);
    names.extend(arguments.pdf.then(|| PRINTED.to_owned()));
    let target = Target::open(
        &arguments.out,
        &names,
        planned.records(),
        shelf::folder().as_deref(),
    )?;
    let built = planned.write(whole, &target);
    let built = built.map_err(|error| target.failed(&error))?;
    output::print(&notes(&built, &planned.folder));
    let printed = match arguments.pdf {
        true => Some(print(planned, &target)),
        false => None,
    };
    let written = target.finish()?;
    output::print(&summary(&built, &written, &arguments.out));
    Ok(match printed {
        None => built.outcome(),
        Some(Ok(bytes)) => {
            let name = shown(&arguments.out.join(PRINTED));
            output::print(&format!("{name}: {} kB\n", bytes.div_ceil(1000)));
            built.outcome()
        }
        Some(Err(why)) => {
            let why = one_line(&why);
            output::print(&format!("no PDF: {why}; the rest of the pack is written\n"));
            Outcome::Broken
        }
    })
}

fn told(told: &[Diagnosed]) -> String {
    let style = output::style();
    told.iter()
        .map(|told| draw::human(&told.source, &told.diagnostics, style))
        .collect()
}

/// Records that are not readable, visits after the day of issue, templates, what is not stated.
fn notes(built: &Built, folder: &Path) -> String {
    let mut out = String::new();
    for told in &built.told {
        let mut source = told.source.clone();
        source.name = shown(&folder.join(&source.name));
        for one in &told.diagnostics {
            out.push_str(&draw::short(&source, one));
        }
    }
    for card in built.cards.iter().filter(|card| card.errors > 0) {
        let (name, count) = (one_line(&card.spot.name), plural(card.errors, "error"));
        out.push_str(&format!(
            "not readable: {name} has {count}; its page says so, the others are built\n"
        ));
    }
    for (fault, pages) in &built.faults {
        let line = fault
            .line
            .map(|line| format!(":{line}"))
            .unwrap_or_default();
        out.push_str(&format!(
            "template {}{line}: {}\n  help: {}\n",
            fault.file,
            one_line(&fault.message),
            one_line(&fault.help)
        ));
        if !pages.is_empty() {
            out.push_str(&format!(
                "  pages that say so instead of their content: {}\n",
                some(pages, 4)
            ));
        }
    }
    for warning in &built.warnings {
        out.push_str(&format!("warning: {}\n", one_line(warning)));
    }
    out
}

fn summary(built: &Built, written: &Written, out: &Path) -> String {
    let incomplete = built.cards.iter().filter(|card| card.errors > 0).count();
    let mut text = format!(
        "{}: {}, {incomplete} not readable; {} files, {} kB\n",
        shown(out),
        plural(built.cards.len(), "CT"),
        written.count,
        written.bytes.div_ceil(1000)
    );
    if built.lost > 0 {
        text.push_str(&format!(
            "{}, told above, not in the pack; its front says so\n",
            plural(built.lost, "file")
        ));
    }
    for (names, what) in [
        (
            &written.gone,
            "deleted with an earlier build, no part of this pack",
        ),
        (
            &written.left,
            "changed since an earlier build, left, no part of this pack",
        ),
        (
            &written.came,
            "put there while the pack was made, kept, no part of it",
        ),
    ] {
        if !names.is_empty() {
            text.push_str(&format!("{what}: {}\n", one_line(&some(names, 4))));
        }
    }
    text
}

/// Prints the whole page, which is made and does not stand yet; gives the length of the PDF.
fn print(planned: &Planned<'_>, target: &Target) -> Result<u64, String> {
    let mut progress = output::Progress::begun();
    let printed = Printed {
        issued: planned.issued(),
    };
    let mut pdf = target.begin(PRINTED).map_err(|error| error.to_string())?;
    let (page, mut stage) = (target.path(WHOLE), |stage: &str| progress.tell(stage));
    let length = chromium::print(&page, &printed, &mut stage, &mut |bytes| pdf.add(bytes));
    let ended = match length {
        Ok(_) => target.end(pdf),
        Err(_) => target.discard(pdf),
    };
    ended.map_err(|error| error.to_string())?;
    length
}
