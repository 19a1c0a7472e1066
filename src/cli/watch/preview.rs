//! What is shown of some records as they are now. Of each only what an overview says is kept; a report is made when
//! somebody looks at it.

use super::pages;
use crate::cli::check::plural;
use crate::cli::draw;
use crate::compare;
use crate::document::free;
use crate::document::{Grade, Phrase, slug_or};
use crate::ground::diagnostic::{Diagnostic, Severity};
use crate::ground::seam::Disk;
use crate::job::{Compiled, Diagnosed, Kin, Survey, shown};
use crate::judge::requirement::Sum;
use crate::judge::rules::Whose;
use crate::record::place::Place;
use crate::report::{Options, Subject};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Everything that was asked for.
pub struct Preview {
    survey: Survey<'static>,
    /// In the order of the records that were asked for.
    units: Vec<Arc<Unit>>,
    /// What was drawn of files that are no records.
    pub others: String,
}

/// What an overview says of a record.
#[derive(Debug, PartialEq)]
pub struct Unit {
    /// All that it was made of.
    stands_on: Vec<String>,
    /// Its place among the records of the survey.
    index: usize,
    /// Name of its page, without an ending.
    pub page: String,
    /// Path of the record below what was asked for.
    pub shown: String,
    /// The same as messages show it, and the SHA-256 of its bytes.
    pub file: String,
    sha256: String,
    pub id: String,
    pub place: String,
    pub errors: usize,
    pub warnings: usize,
    /// Of transformer and circuit.
    pub verdicts: [Option<Verdict>; 2],
}

/// A verdict with its count: `pass, 4 of 4`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verdict {
    /// None where nothing is asked.
    pub grade: Option<Grade>,
    pub said: String,
}

impl Verdict {
    fn of(one: &Compiled, sum: &Sum) -> Self {
        let all = [Some(sum.brief()), sum.elsewhere()];
        let said = Phrase::join(all.into_iter().flatten(), "; ");
        Self {
            grade: sum.grade(),
            said: one.plain(&said),
        }
    }
}

impl Preview {
    /// What there is under some paths. What stands on the same as before is not made again.
    pub fn of(paths: &[PathBuf], before: Option<&Self>) -> Self {
        let survey = Survey::among(&Disk, paths);
        let known: BTreeMap<&str, &Arc<Unit>> = before
            .iter()
            .flat_map(|before| &before.units)
            .map(|unit| (unit.file.as_str(), unit))
            .collect();
        let names = names(&survey, paths, &known);
        let name = |index: usize| names.get(&index).cloned().unwrap_or_default();
        let again = |indices: &[usize]| {
            let same = |index: &usize| {
                let found = survey.found.get(*index)?;
                let unit = known.get(found.name.as_str())?;
                let is_same = unit.index == *index
                    && unit.page == name(*index)
                    && unit.stands_on == survey.stands_on(*index);
                is_same.then(|| Some(Arc::clone(unit)))
            };
            indices.iter().map(same).collect()
        };
        let make = |indices: &[usize], kin: &Kin<'_>| {
            let unit = |index: &usize| {
                let unit = Unit::of(&survey, *index, (name(*index), paths), kin)?;
                Some(Arc::new(unit))
            };
            indices.iter().map(unit).collect()
        };
        let mut units = Vec::with_capacity(survey.asked.len());
        survey.some(&survey.asked, again, make, |unit: Option<Arc<Unit>>| {
            units.extend(unit);
        });
        Self {
            others: drawn(&survey.others),
            units,
            survey,
        }
    }

    pub fn units(&self) -> impl Iterator<Item = &Unit> {
        self.units.iter().map(Arc::as_ref)
    }

    /// Whether it says the same as another one.
    pub fn is_as(&self, other: &Self) -> bool {
        self.units == other.units && self.others == other.others
    }

    /// The page of a name, if there is one.
    pub fn page(&self, name: &str, options: &Options) -> Option<Result<String, String>> {
        let unit = self.units().find(|unit| unit.page == name)?;
        let mut made = None;
        let make = |index: usize, kin: &Kin<'_>| {
            let ct = kin.get(index)?;
            let sisters = kin.others(index).filter_map(|(_, other)| {
                compare::sister(&ct.record, &other.record, &other.assessment)
            });
            let subject = Subject::of(ct, sisters.collect());
            let told = draw::human(&ct.source, &ct.diagnostics, draw::Style::Plain);
            Some(pages::report(
                &subject,
                &(self.others.clone() + &told),
                options,
            ))
        };
        self.survey.each(&[unit.index], make, |page| made = page);
        made
    }

    /// How many records there are, and what was told of other files.
    pub fn begun(&self) -> String {
        format!("{}{}\n", self.others, plural(self.units.len(), "record"))
    }

    /// What changed since a state before: a line for each record that was written, or came out otherwise.
    pub fn told(&self, before: &Self) -> String {
        let known: BTreeSet<&str> = self.units().map(|unit| unit.file.as_str()).collect();
        let gone = before
            .units()
            .filter(|unit| !known.contains(unit.file.as_str()));
        let gone = gone.map(|unit| format!("{}: gone", unit.file));
        let earlier: BTreeMap<&str, &Unit> = before
            .units()
            .map(|unit| (unit.file.as_str(), unit))
            .collect();
        let is_new = |unit: &&Unit| {
            let before = earlier.get(unit.file.as_str());
            before.is_none_or(|before| before.sha256 != unit.sha256 || before.told() != unit.told())
        };
        let told = self.units().filter(is_new).map(Unit::told);
        let others = (before.others != self.others).then(|| self.others.clone());
        let lines = gone.chain(told);
        let lines = lines.map(|line| draw::steering_nothing(&line) + "\n");
        others.into_iter().chain(lines).collect()
    }
}

impl Unit {
    fn of(
        survey: &Survey<'_>,
        index: usize,
        (page, paths): (String, &[PathBuf]),
        kin: &Kin<'_>,
    ) -> Option<Self> {
        let (one, found) = (kin.get(index)?, survey.found.get(index)?);
        let claims = one.claims();
        let count = |severity: Severity| {
            let all = one.diagnostics.iter();
            all.filter(|told| told.severity() == severity).count()
        };
        let owners = [Whose::Transformer, Whose::Circuit];
        Some(Self {
            stands_on: survey.stands_on(index),
            index,
            page,
            shown: shown(below(&found.path, paths)),
            file: found.name.clone(),
            sha256: found.sha256.clone(),
            id: one.record.plate.id_text().to_owned(),
            place: one.record.place().map(Place::text).unwrap_or_default(),
            errors: count(Severity::Error),
            warnings: count(Severity::Warning),
            verdicts: owners.map(|whose| Some(Verdict::of(one, &claims.sum(whose, None)?))),
        })
    }

    /// `h07/h07-l1.ctr: 1 error, 0 warnings; transformer open; circuit pass`.
    fn told(&self) -> String {
        let [errors, warnings] = [(self.errors, "error"), (self.warnings, "warning")]
            .map(|(count, word)| plural(count, word));
        let owners = [Whose::Transformer, Whose::Circuit].iter();
        let verdicts = owners.zip(&self.verdicts).filter_map(|(whose, verdict)| {
            Some(format!("; {} {}", whose.word(), verdict.as_ref()?.said))
        });
        let verdicts: String = verdicts.collect();
        format!("{}: {errors}, {warnings}{verdicts}", self.file)
    }
}

fn drawn(others: &[Diagnosed]) -> String {
    let all = others.iter();
    all.map(|told| {
        let found: &[Diagnostic] = &told.diagnostics;
        draw::human(&told.source, found, draw::Style::Plain)
    })
    .collect()
}

/// The path of a record below what was asked for.
fn below<'p>(path: &'p Path, paths: &[PathBuf]) -> &'p Path {
    let mut below = paths
        .iter()
        .filter_map(|asked| path.strip_prefix(asked).ok());
    let below = below.rfind(|below| !below.as_os_str().is_empty());
    below.or(path.file_name().map(Path::new)).unwrap_or(path)
}

/// Names of pages, made of the paths of their records below what was asked for. A page keeps its name as long as its
/// record is there, so that no open one becomes that of another.
fn names(
    survey: &Survey<'_>,
    paths: &[PathBuf],
    known: &BTreeMap<&str, &Arc<Unit>>,
) -> BTreeMap<usize, String> {
    let found = survey.asked.iter();
    let found = found.filter_map(|index| Some((*index, survey.found.get(*index)?)));
    let mut names: BTreeMap<usize, String> = found
        .clone()
        .filter_map(|(index, one)| Some((index, known.get(one.name.as_str())?.page.clone())))
        .collect();
    let mut taken: BTreeSet<String> = names.values().cloned().collect();
    taken.insert(pages::OVERVIEW.to_owned());
    for (index, one) in found {
        if names.contains_key(&index) {
            continue;
        }
        let own = below(&one.path, paths).with_extension("");
        let name = slug_or(&own.to_string_lossy(), "ct");
        let name = free(&name, 2, |name| taken.contains(name));
        taken.insert(name.clone());
        names.insert(index, name);
    }
    names
}

#[cfg(test)]
#[allow(clippy::disallowed_methods, reason = "tests write their own files")]
mod tests {
    use super::*;
    use std::fs;

    fn record(id: &str, bay: &str) -> String {
        format!("format: 1\n[ct]\nid: {id}\nsite: Skerrow\nbay: {bay}\n[core S]\nratio: 600/1\n")
    }

    /// What is asked for in another record is told as `check` tells it.
    #[test]
    fn what_is_asked_elsewhere_is_said() {
        let case = "tests/claims/cases/feed-devices-behind";
        let preview = Preview::of(&[case.into()], None);
        let mut units = preview.units.iter();
        let main = units.find(|unit| unit.id == "M-31").expect("the main CT");
        let circuit = main.verdicts[1].as_ref().expect("its circuit");
        assert!(
            circuit
                .said
                .contains("not asked for here: ratio that is set of 1S"),
            "{}",
            circuit.said
        );
    }

    #[test]
    fn only_what_changed_is_made_again() {
        let folder = tempfile::tempdir().expect("a folder");
        let put = |name: &str, text: &str| {
            fs::write(folder.path().join(name), text).expect("a file");
        };
        put("a.ctr", &record("A", "H01"));
        put("b.ctr", &record("B", "H01"));
        put("c.ctr", &record("C", "H02"));
        let paths = [folder.path().to_owned()];
        let first = Preview::of(&paths, None);
        let again = Preview::of(&paths, Some(&first));
        assert!(again.is_as(&first));
        put("a.ctr", &record("A", "H01").replace("600/1", "800/1"));
        let next = Preview::of(&paths, Some(&first));
        assert!(!next.is_as(&first));
        let kept = |at: usize| Arc::ptr_eq(&first.units[at], &next.units[at]);
        // B stands beside A, and is judged beside it.
        assert_eq!([0, 1, 2].map(kept), [false, false, true]);
        put("pack.toml", "[jobs.X]\ntested_by = \"X\"\n");
        let taken = Preview::of(&paths, Some(&next));
        let kept = |at: usize| Arc::ptr_eq(&next.units[at], &taken.units[at]);
        assert_eq!([0, 1, 2].map(kept), [false; 3]);
    }

    #[test]
    fn pages_are_named_by_what_was_asked_for() {
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        fs::create_dir(at("x")).expect("a folder");
        for name in ["x/a.ctr", "x-a.ctr", "index.ctr"] {
            fs::write(at(name), record(name, "H01")).expect("a file");
        }
        let pages = |path: &Path| {
            let preview = Preview::of(&[path.to_owned()], None);
            let pages = preview.units().map(|unit| unit.page.clone());
            pages.collect::<Vec<_>>()
        };
        assert_eq!(pages(folder.path()), ["index-2", "x-a", "x-a-2"]);
        assert_eq!(pages(&at("x/a.ctr")), ["a"]);
    }

    #[test]
    fn a_page_stays_that_of_its_record() {
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        fs::create_dir(at("x")).expect("a folder");
        fs::write(at("x-a.ctr"), record("ONE", "H01")).expect("a file");
        let paths = [folder.path().to_owned()];
        let first = Preview::of(&paths, None);
        // It comes before the other in the order of paths.
        fs::write(at("x/a.ctr"), record("TWO", "H01")).expect("a file");
        let next = Preview::of(&paths, Some(&first));
        let page = |preview: &Preview, id: &str| {
            let mut units = preview.units();
            units
                .find(|unit| unit.id == id)
                .map(|unit| unit.page.clone())
        };
        assert_eq!(page(&first, "ONE").as_deref(), Some("x-a"));
        assert_eq!(page(&next, "ONE").as_deref(), Some("x-a"));
        assert_eq!(page(&next, "TWO").as_deref(), Some("x-a-2"));
    }

    #[test]
    fn only_what_came_out_otherwise_is_told() {
        let folder = tempfile::tempdir().expect("a folder");
        let put = |name: &str, text: &str| {
            fs::write(folder.path().join(name), text).expect("a file");
        };
        put("a.ctr", &record("A", "H01"));
        put("b.ctr", &record("B", "H01"));
        let paths = [folder.path().to_owned()];
        let first = Preview::of(&paths, None);
        put("a.ctr", &record("A", "H01").replace("ratio", "ratoi"));
        let next = Preview::of(&paths, Some(&first));
        let told = next.told(&first);
        assert!(
            told.contains("a.ctr: 1 error") && !told.contains("b.ctr"),
            "{told}"
        );
        put("b.ctr", &(record("B", "H01") + "# a remark\n"));
        let last = Preview::of(&paths, Some(&next));
        let told = last.told(&next);
        assert!(
            told.contains("b.ctr: 0 errors") && !told.contains("a.ctr"),
            "{told}"
        );
    }
}
