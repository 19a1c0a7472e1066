//! `kneemark diff`: what changed between two states of records, by meaning.

mod git;
mod told;

use super::report::Among;
use super::{draw, output};
use crate::diff::lines;
use crate::ground::seam::{Disk, Files, InHand, Memory};
use crate::ground::source::Source;
use crate::job::{Compiled, Job, Outcome, Survey, shown};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use told::Told;

/// Output format.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// For people
    Human,
    /// For a comment on a merge request
    Markdown,
    /// For programs
    Json,
}

#[derive(clap::Args)]
#[command(after_help = super::examples::DIFF)]
pub struct Arguments {
    /// Two records, or two folders; what git gives to an external diff is understood too
    #[arg(required = true, num_args = 1..)]
    paths: Vec<String>,
    /// The two are revisions of the git repository that one stands in; of one only, the other is what lies in the folder
    #[arg(long, conflicts_with = "text")]
    revisions: bool,
    /// Print what one record says, a line for each value: for git's textconv
    #[arg(long)]
    text: bool,
    /// Output format
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
}

/// What is wrong with the arguments as a whole.
pub fn misplaced(arguments: &Arguments) -> Option<String> {
    let count = arguments.paths.len();
    let told = match (arguments.text, arguments.revisions) {
        (true, _) if count != 1 => "--text is of one record",
        (_, true) if count > 2 => "--revisions takes one or two of them",
        // git-diff(1): an external diff is given seven words, behind a renamed file two more.
        (false, false) if ![2, 7, 9].contains(&count) => "two records, or two folders",
        _ => return None,
    };
    Some(told.to_owned())
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    let format = arguments.format;
    let done = match arguments.paths.as_slice() {
        [file] if arguments.text => text(Path::new(file)),
        [before] => of_revisions(before, None, format),
        [before, after] if arguments.revisions => of_revisions(before, Some(after), format),
        [before, after] => of_paths(Path::new(before), Path::new(after), format),
        // path old-file old-hex old-mode new-file new-hex new-mode
        [path, before, _, _, after, _, _] | [_, before, _, _, after, _, _, path, _] => {
            for_git(path, Path::new(before), Path::new(after), format)
        }
        _ => Ok(Outcome::Clean),
    };
    done.unwrap_or_else(|why| {
        output::complain(&why);
        Outcome::Broken
    })
}

fn of_paths(before: &Path, after: &Path, format: Format) -> Result<Outcome, String> {
    let folders = [before, after].map(|path| Disk.is_folder(path));
    match folders {
        [true, true] => {
            let [old, new] = [before, after].map(|folder| Jobs::of(&Disk, folder));
            Ok(print(&pairs(&old, &new), format)
                .max(old.told(&new))
                .max(new.told(&old)))
        }
        [false, false] => {
            let [old, new] = [before, after].map(|file| Among::read(&Disk, file));
            let name = shown(after);
            let (old, new) = (old.ct()?, new.ct()?);
            let read = refused(old).max(refused(new));
            Ok(read.max(print(&[Told::of(name, Some(old), Some(new))], format)))
        }
        _ => Err("one of them is a folder, and the other is none".to_owned()),
    }
}

/// The records below a folder, by their paths below it.
struct Jobs {
    job: Job,
    folder: PathBuf,
}

impl Jobs {
    fn of(files: &dyn Files, folder: &Path) -> Self {
        Self {
            job: Survey::among(files, &[folder.to_owned()]).job(),
            folder: folder.to_owned(),
        }
    }

    /// What could not be read and is not the same in another state, told on standard error.
    fn told(&self, other: &Self) -> Outcome {
        let is_there = |source: &Source| {
            let others = other.job.others.iter().map(|told| &told.source);
            let mut all = others.chain(other.job.records.iter().map(|one| &one.source));
            all.any(|own| own.sha256 == source.sha256 && own.name == source.name)
        };
        let others = self
            .job
            .others
            .iter()
            .filter(|told| !is_there(&told.source));
        let files = others.map(|told| output::tell(&told.source, &told.diagnostics));
        let records = self.job.records.iter();
        let records = records.filter(|one| one.source.refused && !is_there(&one.source));
        files
            .chain(records.map(refused))
            .max()
            .unwrap_or(Outcome::Clean)
    }

    fn records(&self) -> BTreeMap<String, &Compiled> {
        let named =
            |one: &'_ Compiled| shown(one.path.strip_prefix(&self.folder).unwrap_or(&one.path));
        self.job
            .records
            .iter()
            .map(|one| (named(one), one))
            .collect()
    }
}

/// A record of which nothing can be read says nothing, and is not the same as another one.
fn refused(ct: &Compiled) -> Outcome {
    match ct.source.refused {
        true => output::tell(&ct.source, &ct.diagnostics),
        false => Outcome::Clean,
    }
}

/// Records of two jobs: those of one path, else those of one id.
fn pairs(old: &Jobs, new: &Jobs) -> Vec<Told> {
    let (mut before, after) = (old.records(), new.records());
    let mut told = Vec::new();
    let mut rest = Vec::new();
    for (name, record) in after {
        match before.remove(&name) {
            Some(earlier) => told.push(Told::of(name, Some(earlier), Some(record))),
            None => rest.push((name, record)),
        }
    }
    for (name, record) in rest {
        let id = record.record.plate.id.value();
        let moved = before
            .iter()
            .find(|(_, one)| id.is_some() && one.record.plate.id.value() == id);
        let moved = moved.map(|(name, _)| name.clone());
        let earlier = moved.as_ref().and_then(|name| before.remove(name));
        told.push(Told {
            was: moved,
            ..Told::of(name, earlier, Some(record))
        });
    }
    let gone = before.into_iter();
    told.extend(gone.map(|(name, record)| Told::of(name, Some(record), None)));
    told.sort_by(|one, other| one.name.cmp(&other.name));
    told
}

fn of_revisions(before: &str, after: Option<&String>, format: Format) -> Result<Outcome, String> {
    let old = git::files(before)?;
    let new = match after {
        Some(after) => git::files(after)?,
        None => git::lying()?,
    };
    let [old, new] = [&old, &new].map(|files| Jobs::of(files, Path::new(git::ROOT)));
    Ok(print(&pairs(&old, &new), format)
        .max(old.told(&new))
        .max(new.told(&old)))
}

/// As git's external diff: both states among what lies in the folder now. It ends well whatever differs, as git asks.
fn for_git(path: &str, before: &Path, after: &Path, format: Format) -> Result<Outcome, String> {
    let place = Path::new(path);
    let read = |file: &Path| {
        let files = InHand::new(&Disk, place, Disk.read(file));
        (file != Path::new(NO_FILE)).then(|| Among::read(&files, place))
    };
    let (old, new) = (read(before), read(after));
    let old = old.as_ref().map(Among::ct).transpose()?;
    let new = new.as_ref().map(Among::ct).transpose()?;
    old.into_iter().chain(new).map(refused).for_each(drop);
    print(&[Told::of(path.to_owned(), old, new)], format);
    Ok(Outcome::Clean)
}

/// What git names in place of a file that is not there.
const NO_FILE: &str = "/dev/null";

fn text(file: &Path) -> Result<Outcome, String> {
    let memory = Memory::default();
    let bytes = Disk
        .read(file)
        .map_err(|error| format!("{}: {error}", shown(file)))?;
    // By itself: git gives a name that says nothing of where it lies.
    memory.put("record.ctr", bytes);
    let job = crate::compile(&memory, &[PathBuf::from("record.ctr")]);
    let record = job.records.first().ok_or("it cannot be read")?;
    if refused(record) == Outcome::Broken {
        return Ok(Outcome::Broken);
    }
    let lines = lines(record).into_iter();
    let lines = lines.map(|line| draw::steering_nothing(&line) + "\n");
    output::print(&lines.collect::<String>());
    Ok(Outcome::Clean)
}

fn print(told: &[Told], format: Format) -> Outcome {
    output::print(&told::print(told, format));
    match told.iter().any(Told::differs) {
        true => Outcome::Fails,
        false => Outcome::Clean,
    }
}
