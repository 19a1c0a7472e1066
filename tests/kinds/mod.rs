//! Each kind of test by three whole records: one that shows it, one where it is bad, and one that shows
//! nothing of it. `KIND-good.txt` and the others are what `check --all` says of it. After a change of words:
//! `KINDS_REFRESH=1 cargo test kinds`, then read every change.

use kneemark::cli::check::{Format, text};
use kneemark::cli::draw::Style;
use kneemark::document::Grade;
use kneemark::ground::seam::Disk;
use kneemark::record::kinds::TestKind;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

const FOLDER: &str = "tests/kinds";

/// The records in the folder: the name of the kind, and which of the three.
fn records() -> Vec<(TestKind, String, PathBuf)> {
    let entries = std::fs::read_dir(FOLDER).unwrap();
    let paths = entries.map(|entry| entry.unwrap().path());
    let mut found: Vec<_> = paths
        .filter(|path| path.extension().is_some_and(|ending| ending == "ctr"))
        .map(|path| {
            let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
            let which = ["good", "bad", "not-shown"];
            let which = which.iter().find(|which| stem.ends_with(*which)).unwrap();
            let name = stem.strip_suffix(which).unwrap().trim_end_matches('-');
            let kind = TestKind::of(name).unwrap_or_else(|| panic!("no kind `{name}`"));
            (kind, (*which).to_owned(), path)
        })
        .collect();
    found.sort_by(|a, b| a.2.cmp(&b.2));
    found
}

/// A record, and what feeds it: those in the folder `beside/NAME`.
fn with_beside(path: &Path) -> Vec<PathBuf> {
    let beside = Path::new(FOLDER).join("beside");
    let beside = beside.join(path.file_stem().unwrap());
    let entries = std::fs::read_dir(beside).into_iter().flatten();
    let entries = entries.map(|entry| entry.unwrap().path());
    std::iter::once(path.to_owned()).chain(entries).collect()
}

#[test]
fn each_kind_is_shown_is_bad_and_is_not_shown() {
    let refresh = std::env::var_os("KINDS_REFRESH").is_some();
    let mut wrong = Vec::new();
    for (kind, which, path) in records() {
        let job = kneemark::compile(&Disk, &with_beside(&path));
        let said = text(&job, Format::Human, true, Style::Plain);
        let expected = path.with_extension("txt");
        if refresh {
            std::fs::write(&expected, &said).unwrap();
        } else if std::fs::read_to_string(&expected).unwrap_or_default() != said {
            wrong.push(format!("{}:\n{said}", path.display()));
        }
        let mut all = job.records.iter();
        let one = all.find(|one| one.path == path).expect("a record");
        let mut errors = job.diagnostics().flat_map(|(_, told)| told.iter());
        assert!(
            !errors.any(|told| told.is_error()),
            "{}: {said}",
            path.display()
        );
        let own = one.findings().filter(|finding| finding.rule.kind == kind);
        let grades: BTreeSet<Grade> = own.map(|finding| finding.grade()).collect();
        let is_bad = grades.contains(&Grade::Fails) || grades.contains(&Grade::Review);
        let claims = one.claims();
        let mut own = claims
            .shown
            .iter()
            .filter(|shown| shown.required.requirement.kind == kind && shown.required.due);
        let fits = match which.as_str() {
            "good" => !grades.is_empty() && !is_bad && own.all(|shown| shown.standing.is_met()),
            "bad" => is_bad,
            _ => !is_bad && own.all(|shown| !shown.standing.is_met()),
        };
        if !fits {
            wrong.push(format!("{} is not {which}:\n{said}", path.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_kind_that_is_here_has_all_three() {
    let all = records();
    for (kind, ..) in &all {
        let own = all.iter().filter(|(other, ..)| other == kind);
        let which: BTreeSet<&str> = own.map(|(_, which, _)| which.as_str()).collect();
        assert_eq!(which.len(), 3, "{}: {which:?}", kind.name());
    }
    assert!(Path::new(FOLDER).join("criteria.toml").exists());
}
