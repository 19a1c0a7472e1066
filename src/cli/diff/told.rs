//! Differences told: to a person, in a merge request, to a program.

use super::super::draw::steering_nothing;
use super::Format;
use crate::diff::{Difference, How, Of, Size, differences};
use crate::document::{self, Block, Pictures, Text};
use crate::job::Compiled;
use crate::judge::words;
use serde::Serialize;

/// What differs of one record.
#[derive(Serialize)]
pub struct Told {
    pub name: String,
    pub id: Option<String>,
    /// Only in the later state, or only in the earlier one.
    pub is: Option<How>,
    /// Its name in the earlier state, where that was another.
    pub was: Option<String>,
    pub found: Vec<Difference>,
}

/// Version of the JSON; changes when a field changes its meaning or goes.
const VERSION: u32 = 1;

#[derive(Serialize)]
struct All<'a> {
    version: u32,
    /// Those that differ.
    records: Vec<&'a Told>,
}

impl Told {
    pub fn of(name: String, before: Option<&Compiled>, after: Option<&Compiled>) -> Self {
        let one = after.or(before);
        let id = one.and_then(|one| one.record.plate.id.value().cloned());
        let is = match (before, after) {
            (None, Some(_)) => Some(How::Added),
            (Some(_), None) => Some(How::Removed),
            (Some(_), Some(_)) | (None, None) => None,
        };
        Self {
            name,
            id,
            is,
            was: None,
            found: differences(before, after),
        }
    }
}

impl Told {
    pub fn differs(&self) -> bool {
        !self.found.is_empty() || self.was.is_some() || self.is.is_some()
    }
}

/// All that differ, and nothing where nothing does.
pub fn print(told: &[Told], format: Format) -> String {
    let differ: Vec<&Told> = told.iter().filter(|one| one.differs()).collect();
    match format {
        Format::Human => differ.iter().map(|one| human(one)).collect(),
        Format::Markdown if differ.is_empty() => String::new(),
        Format::Markdown => {
            let blocks: Vec<Block> = differ.iter().flat_map(|one| markdown(one)).collect();
            document::plain(&document::print(&blocks, &mut Pictures::new()))
        }
        Format::Json => {
            let all = All {
                version: VERSION,
                records: differ,
            };
            // Strings and numbers: serialising them cannot fail.
            serde_json::to_string_pretty(&all).unwrap_or_default() + "\n"
        }
    }
}

const GROUPS: [(Of, &str); 8] = [
    (Of::Settings, "settings"),
    (Of::Unread, "not understood"),
    (Of::Plate, "plate"),
    (Of::Observation, "observations"),
    (Of::Words, "words"),
    (Of::Order, "order"),
    (Of::Derived, "derived"),
    (Of::Verdict, "verdicts"),
];

/// The differences of a record in groups that hold any.
fn groups(told: &Told) -> impl Iterator<Item = (&'static str, Vec<&Difference>)> {
    GROUPS.into_iter().filter_map(|(of, name)| {
        let found: Vec<&Difference> = told.found.iter().filter(|one| one.of == of).collect();
        (!found.is_empty()).then_some((name, found))
    })
}

fn heading(told: &Told) -> String {
    let id = told
        .id
        .as_ref()
        .map_or(String::new(), |id| format!(" ({id})"));
    let is = match told.is {
        Some(How::Added) => ", new",
        Some(How::Removed) => ", gone",
        _ => "",
    };
    let was = told
        .was
        .as_ref()
        .map_or(String::new(), |was| format!(", was {was}"));
    format!("{}{id}{is}{was}", told.name)
}

fn human(told: &Told) -> String {
    let mut out = steering_nothing(&heading(told)) + "\n";
    for (name, found) in groups(told) {
        out.push_str(&format!("  {name}\n"));
        for one in found {
            out.push_str(&format!("    {}\n", steering_nothing(&sentence(one))));
        }
    }
    let unamended = unamended(told);
    if unamended > 0 {
        out.push_str(&format!("  {}\n", flagged(unamended)));
    }
    out
}

fn markdown(told: &Told) -> Vec<Block> {
    let mut blocks = vec![Block::heading(3, heading(told))];
    let unamended = unamended(told);
    if unamended > 0 {
        blocks.push(Block::Paragraph(Text::strong(flagged(unamended))));
    }
    for (name, found) in groups(told) {
        let lines = found.into_iter().map(|one| Text::from(sentence(one)));
        blocks.push(Block::heading(4, name));
        blocks.push(Block::List(lines.collect()));
    }
    blocks
}

fn unamended(told: &Told) -> usize {
    told.found.iter().filter(|one| one.unamended).count()
}

/// ISO/IEC 17025:2017, 7.5.2: what was observed first is kept, with the day, what was altered and who did it.
fn flagged(count: usize) -> String {
    let what = match count {
        1 => "1 observation was".to_owned(),
        count => format!("{count} observations were"),
    };
    format!("{what} altered without an `amended:` line (ISO/IEC 17025:2017, 7.5.2)")
}

/// `visit 2026-03-14 / excitation 1S1-1S2 / 413.4 V / current: 5.453 mA -> 5.543 mA (+0.090 mA, +1.7 %, U 0.011 mA)`.
fn sentence(one: &Difference) -> String {
    let values = match (&one.before, &one.after) {
        (Some(before), Some(after)) => format!(": {before} -> {after}"),
        (Some(before), None) => format!(": was {before}"),
        (None, Some(after)) => format!(": {after}"),
        (None, None) => String::new(),
    };
    let how = match one.how {
        How::Added => " (new)",
        How::Removed => " (gone)",
        How::WrittenFiner => " (written finer)",
        How::WrittenCoarser => " (written coarser)",
        How::Changed => "",
    };
    let size = one.size.as_ref().map_or(String::new(), size);
    let unamended = if one.unamended { ", not amended" } else { "" };
    format!("{}{values}{how}{size}{unamended}", one.place)
}

fn size(size: &Size) -> String {
    let number = |x: f64| words::rounded(x, 3);
    let sign = if size.change < 0.0 { "" } else { "+" };
    let percent = size.percent.map_or(String::new(), |percent| {
        format!(", {sign}{} %", words::rounded(percent, 2))
    });
    let u = match size.expanded_uncertainty {
        Some(u) => format!(", U {} {}", words::rounded(u, 2), size.unit),
        None => String::new(),
    };
    format!(" ({sign}{} {}{percent}{u})", number(size.change), size.unit)
}
