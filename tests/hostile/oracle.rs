//! What holds of everything that comes out, whatever goes in. Used by the tests here, and by the fuzz targets.

use kneemark::cli::check::{Format, text};
use kneemark::cli::draw::Style;
use kneemark::compile;
use kneemark::document::Grade;
use kneemark::emit::json;
use kneemark::ground::calm::steers;
use kneemark::ground::date;
use kneemark::ground::seam::Memory;
use kneemark::ground::source::Source;
use kneemark::ground::span::Span;
use kneemark::job::{Job, Outcome};
use kneemark::layout::lay_out;
use kneemark::pack::build::Planned;
use kneemark::pack::sink::InMemory;
use kneemark::report::worksheet::{self, Options, Subject};
use std::path::{Path, PathBuf};

/// The folder that a job lies in.
pub const JOB: &str = "job";

/// Runs every command over the job in `job/` and holds what comes out to the promises. `given` is the text that
/// is tried: words that stand in it may stand in what is printed.
pub fn answered(files: &Memory, given: &str) {
    let job = compile(files, &[PathBuf::from(JOB)]);
    spans_lie_inside(&job);
    for (name, made) in outputs(files, &job) {
        nothing_steers(&name, &made);
        holds_numbers_only(&name, &made, given);
        if name.ends_with(".html") {
            let lower = made.to_ascii_lowercase();
            assert!(
                !lower.contains("<script") && !lower.contains("href=\"javascript:"),
                "{name}"
            );
        }
    }
}

/// Everything that the commands make of a job, by name.
pub fn outputs(files: &Memory, job: &Job) -> Vec<(String, String)> {
    let said = |format, style| text(job, format, true, style);
    let mut made = vec![
        ("short".to_owned(), said(Format::Short, Style::Plain)),
        ("human".to_owned(), said(Format::Human, Style::Plain)),
        ("unicode".to_owned(), said(Format::Human, Style::Unicode)),
    ];
    let day = date::read("2040-01-01").expect("a day");
    for one in &job.records {
        if !one.source.refused {
            is_laid_out_once(&one.source);
        }
        let record = json::record(one, std::iter::empty());
        serde_json::from_str::<serde_json::Value>(&record).expect("it is JSON");
        made.push(("json".to_owned(), record));
        let subject = || Subject {
            record: &one.record,
            criteria: &one.setting.criteria,
            instruments: one.setting.instruments.as_deref(),
            assessment: &one.assessment,
            errors: one.errors().count(),
        };
        let options = Options {
            core: None,
            celsius: 20.0,
            purpose: "commissioning",
            paper: Default::default(),
        };
        let sheet = worksheet::worksheet(&[subject()], &options).expect("our own template");
        made.extend([
            ("sheet.md".to_owned(), sheet.markdown),
            ("sheet.html".to_owned(), sheet.html),
        ]);
        let visit = worksheet::new_visit(&subject(), "maintenance", day, None);
        made.push(("visit".to_owned(), visit));
    }
    if let Ok(planned) = Planned::of(files, &Path::new(JOB).join("pack.toml")) {
        let sink = InMemory::default();
        let built = planned.write(true, &sink).expect("room");
        // What one command cannot read another does not pass.
        if planned.records().count() == job.records.len()
            && job.outcome(Grade::Fails) == Outcome::Broken
        {
            assert_eq!(built.outcome(), Outcome::Broken);
        }
        let files = sink.into_files().into_iter();
        made.extend(files.map(|(name, bytes)| (name, String::from_utf8(bytes).expect("text"))));
    }
    made
}

/// A text that is laid out stays as it is, line by line.
fn is_laid_out_once(source: &Source) {
    let made = lay_out(source).text;
    // As `fmt` writes it: with its mark, behind which another one is text.
    let mark = if source.bom { "\u{feff}" } else { "" };
    let written = [mark, &made].concat();
    let (again, _) = Source::new(&source.name, written.as_bytes());
    assert_eq!(lay_out(&again).text, made);
    assert_eq!(source.text.lines().count(), made.lines().count());
}

pub fn spans_lie_inside(job: &Job) {
    for unit in &job.records {
        for diagnostic in &unit.diagnostics {
            let others = diagnostic.others.iter().map(|(span, _)| *span);
            let mends = diagnostic
                .mends
                .iter()
                .flat_map(|mend| mend.edits.iter().map(|(span, _)| *span));
            for span in std::iter::once(diagnostic.span).chain(others).chain(mends) {
                inside(&unit.source, span, diagnostic.code.name());
            }
        }
        for visit in &unit.assessment.visits {
            for finding in &visit.findings {
                finding
                    .points_at
                    .iter()
                    .for_each(|span| inside(&unit.source, *span, finding.rule.id));
            }
        }
    }
}

pub fn inside(source: &Source, span: Span, of: &str) {
    assert!(
        span.start <= span.end && source.text.get(span.range()).is_some(),
        "{of} points at {span:?} of {} bytes",
        source.text.len()
    );
}

/// A page may hold line ends, and nothing else that moves a cursor.
pub fn nothing_steers(name: &str, made: &str) {
    let is_file = name == "visit" || name.ends_with(".html") || name.ends_with(".md");
    let odd = |c: &char| match c {
        '\n' => false,
        // A visit goes on in the line ends of its record; a template has its own.
        '\r' | '\t' => !is_file,
        c => steers(*c),
    };
    let odd = made.chars().find(odd);
    assert!(odd.is_none(), "{odd:?} in what is printed as {name}");
}

/// `NaN` and `inf` are printed only where the text that went in has such a word.
pub fn holds_numbers_only(name: &str, made: &str, given: &str) {
    let given = given.to_lowercase();
    for word in made.split(|c: char| !c.is_alphanumeric()) {
        let none = ["nan", "inf", "infinity"]
            .iter()
            .any(|none| word.eq_ignore_ascii_case(none));
        assert!(
            !none || given.contains(&word.to_lowercase()),
            "{word} in {name}"
        );
    }
}
