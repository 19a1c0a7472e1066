//! What a report stands on, file by file: the same record under other criteria gives other verdicts, so a
//! report names the bytes of everything that went into it, and carries the list for programs to read.

use super::{Compiled, Job};
use crate::compare::{Sister, sisters};
use crate::ground::source::sha256;
use crate::standards::FILES;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::sync::OnceLock;

/// One thing that a report stands on.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Part {
    /// `record`, `criteria`, `instruments`, …
    pub what: String,
    /// Name of the file, or of the unit that a record is of.
    pub name: String,
    /// SHA-256 of its bytes, of the program its version; empty where there is no such file.
    pub sum: String,
}

/// All of it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(transparent)]
pub struct Basis {
    pub parts: Vec<Part>,
}

/// What stands before the list in HTML, and in Markdown. No text of a record can look like them: its `<`
/// is escaped, in Markdown by a backslash, so that it never begins a line.
const MARKS: [(&str, char); 2] = [("\n<article data-basis='", '\''), ("\n<!-- basis ", '\n')];

/// The kind of part that a record is.
pub const RECORD: &str = "record";
/// The kind of part that a file of limits is.
pub const LIMITS: &str = "limits";
/// Kinds of parts that are records of other units.
const SHARED: &str = "shared plate";
pub const SISTER: &str = "sister";
/// The kind of part that a pack.toml is to a record of its job.
pub const JOBS: &str = "jobs";
/// The kind of part that a file of a visit is.
pub const ATTACHED: &str = "attached";
/// The kind of part that pack.toml is to the pages of its pack.
pub const PACK: &str = "pack";

impl Basis {
    /// What the findings of a record, and what stands beside them, rest on; of the sisters name and sum.
    pub fn of<'a>(ct: &Compiled, sisters: impl Iterator<Item = (&'a str, &'a str)>) -> Self {
        let mut basis = Self::default();
        basis.add_record(&ct.source.name, &ct.source.sha256);
        for (id, sum) in &ct.record.written.lenders {
            basis.add(SHARED, id, sum);
        }
        for (id, sum) in sisters {
            basis.add(SISTER, id, sum);
        }
        let (instruments, criteria) = ct.setting.parts();
        let [of_instruments, of_criteria] = &ct.setting.names;
        basis.add("criteria", of_criteria, &criteria.sha256);
        let instruments = instruments.map_or("", |known| known.sha256.as_str());
        basis.add("instruments", of_instruments, instruments);
        let jobs = ct.setting.jobs.iter();
        for jobs in jobs.filter(|jobs| !jobs.file.is_empty() && jobs.are_named_by(&ct.record)) {
            basis.add(JOBS, &jobs.file, &jobs.sha256);
        }
        for one in &ct.attached {
            basis.add(ATTACHED, one.file(), one.sum().unwrap_or_default());
        }
        basis.parts.extend(of_limits().iter().cloned());
        basis.add("program", "kneemark", env!("CARGO_PKG_VERSION"));
        basis
    }

    /// A record, by its name alone: where the file lies on this machine is nobody's business.
    pub fn add_record(&mut self, file: &str, sum: &str) {
        self.add(RECORD, file.rsplit('/').next().unwrap_or(""), sum);
    }

    pub fn add(&mut self, what: &str, name: &str, sum: &str) {
        self.parts.push(Part {
            what: what.to_owned(),
            name: name.to_owned(),
            sum: sum.to_owned(),
        });
    }

    /// What several stand on together, each thing once.
    pub fn joined<'a>(all: impl IntoIterator<Item = &'a Self>) -> Self {
        let mut seen: BTreeSet<&Part> = BTreeSet::new();
        let parts = all.into_iter().flat_map(|one| &one.parts);
        let mut parts: Vec<Part> = parts.filter(|part| seen.insert(part)).cloned().collect();
        // A record that is a sister of another is named once, as the record.
        let records = parts.iter().filter(|part| part.what == RECORD);
        let records: BTreeSet<String> = records.map(|part| part.sum.clone()).collect();
        let is_other = |part: &Part| {
            ![SHARED, SISTER].contains(&part.what.as_str()) || !records.contains(&part.sum)
        };
        parts.retain(is_other);
        parts.sort_by_key(|part| part.what != RECORD);
        Self { parts }
    }

    /// Whether it rests on a record of these bytes.
    pub fn has_record(&self, sum: &str) -> bool {
        self.parts
            .iter()
            .any(|part| part.what == RECORD && part.sum == sum)
    }

    /// The first part of a kind.
    pub fn part(&self, what: &str) -> Option<&Part> {
        self.parts.iter().find(|part| part.what == what)
    }

    /// As a report carries it: JSON that can end neither an attribute nor a comment.
    pub fn carried(&self) -> Carried {
        Carried(self.text())
    }

    fn text(&self) -> String {
        // Strings in a list: serialising them cannot fail.
        let json = serde_json::to_string(self).unwrap_or_default();
        let is_plain = |b: u8| b.is_ascii() && !matches!(b, b'<' | b'>' | b'&' | b'\'');
        if json.bytes().all(is_plain) {
            return json;
        }
        let mut text = String::with_capacity(json.len());
        for c in json.chars() {
            match c {
                '<' | '>' | '&' | '\'' | '\u{80}'.. => {
                    let mut units = [0; 2];
                    for unit in c.encode_utf16(&mut units) {
                        text.push_str(&format!("\\u{unit:04x}"));
                    }
                }
                c => text.push(c),
            }
        }
        text
    }

    /// The lists that a report carries; the page of a whole pack has many.
    pub fn all_in(report: &str) -> Vec<Self> {
        let mut found = Vec::new();
        for (before, end) in MARKS {
            for (at, _) in report.match_indices(before) {
                let rest = report.get(at + before.len()..).unwrap_or("");
                let text = rest.split(end).next().unwrap_or("");
                let text = text.strip_suffix(" -->").unwrap_or(text);
                found.extend(serde_json::from_str::<Self>(text).ok());
            }
        }
        found
    }
}

/// The list of a report as text.
#[derive(Clone, Debug)]
pub struct Carried(String);

impl Carried {
    /// The attribute of an article that holds it.
    pub fn attribute(&self) -> String {
        format!("data-basis='{}'", self.0)
    }

    /// The line of a Markdown file that holds it.
    pub fn comment(&self) -> String {
        format!("<!-- basis {} -->\n", self.0)
    }
}

/// The files of limits, which are the same for every report of this program.
fn of_limits() -> &'static [Part] {
    static PARTS: OnceLock<Vec<Part>> = OnceLock::new();
    PARTS.get_or_init(|| {
        let mut basis = Basis::default();
        for file in FILES {
            basis.add(LIMITS, file.name, &sha256(file.text.as_bytes()));
        }
        basis.parts
    })
}

/// One SHA-256 for all of them: of their names and sums, a line each, as `sha256sum` writes it.
pub fn limits_sum() -> &'static str {
    static SUM: OnceLock<String> = OnceLock::new();
    SUM.get_or_init(|| {
        let line = |part: &Part| format!("{}  {}\n", part.sum, part.name);
        let lines: String = of_limits().iter().map(line).collect();
        sha256(lines.as_bytes())
    })
}

impl Job {
    /// The sisters of one of its records.
    pub fn sisters(&self, ct: &Compiled) -> Vec<Sister<'_>> {
        let all = self.records.iter();
        sisters(
            &ct.record,
            all.map(|other| (&other.record, &other.assessment)),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_it_carries_is_read_back_and_ends_nothing() {
        let mut basis = Basis::default();
        basis.add(RECORD, "a' --> <b>&\n\u{1f600}\u{202e}.ctr", "00");
        let text = basis.text();
        assert!(text.is_ascii() && !text.contains(['<', '>', '&', '\'', '\n']));
        let page = format!("x\n<article {} class=\"ct\">", basis.carried().attribute());
        assert_eq!(Basis::all_in(&page), [basis.clone()]);
        let page = format!("x\n{}y", basis.carried().comment());
        assert_eq!(Basis::all_in(&page), [basis]);
    }
}
