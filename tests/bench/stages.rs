//! What each stage takes of one CT, beside a reader of Markdown on the report that comes out: cargo bench
//!
//! The CT is the first one of `load.py`, with 25 readings of the excitation characteristic and three charts.

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use kneemark::compile;
use kneemark::derive;
use kneemark::document::{Grade, Templates};
use kneemark::editor::{Desk, Reach, complete, hints, hover, outline, told};
use kneemark::ground::seam::Memory;
use kneemark::ground::source::{Source, sha256};
use kneemark::ground::span::Span;
use kneemark::judge;
use kneemark::layout::lay_out;
use kneemark::record::criteria::Criteria;
use kneemark::record::like::SharedPlates;
use kneemark::record::{self, is_section};
use kneemark::report::Options;
use kneemark::syntax;
use std::hint::black_box;
use std::path::Path;

// As in the program.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const CT: &str = include_str!("one.ctr");

fn stages(c: &mut Criterion) {
    let mut group = c.benchmark_group("one CT");
    group.throughput(Throughput::Bytes(CT.len() as u64));
    let (source, _) = Source::new("one.ctr", CT.as_bytes());
    group.bench_function("text", |b| {
        b.iter(|| Source::new(black_box("one.ctr"), black_box(CT.as_bytes())));
    });
    let (tree, _) = syntax::read(&source, is_section);
    group.bench_function("lines and sections", |b| {
        b.iter(|| syntax::read(black_box(&source), is_section));
    });
    let plates = SharedPlates::default();
    let (record, told) = record::read(&source, &tree, &plates);
    assert!(told.is_empty(), "{told:?}");
    group.bench_function("record", |b| {
        b.iter(|| record::read(black_box(&source), black_box(&tree), &plates));
    });
    let criteria = Criteria::default();
    group.bench_function("values", |b| {
        b.iter(|| derive::values(black_box(&record), None, &criteria));
    });
    let values = derive::values(&record, None, &criteria);
    group.bench_function("findings", |b| {
        b.iter_batched(
            || values.clone(),
            |values| {
                let others = judge::Others::default();
                judge::findings(black_box(&record), (None, &criteria), values, others)
            },
            criterion::BatchSize::SmallInput,
        );
    });
    let files = Memory::default();
    files.put("one.ctr", CT);
    let path = ["one.ctr".into()];
    group.bench_function("all of these", |b| b.iter(|| compile(&files, &path)));
    let job = compile(&files, &path);
    let [ct] = job.records.as_slice() else {
        panic!("one record")
    };
    assert!(job.outcome(Grade::Open) != kneemark::job::Outcome::Broken);
    let (options, templates) = (Options::default(), Templates::built_in());
    let report = || kneemark::report(&job, ct, &options, &templates).expect("a report");
    group.bench_function("report", |b| b.iter(report));
    let made = report();
    group.bench_function("sums of its pages", |b| {
        b.iter(|| [&made.html, &made.markdown].map(|page| sha256(black_box(page.as_bytes()))));
    });
    group.bench_function("the report's Markdown through pulldown-cmark", |b| {
        b.iter(|| {
            let parser = pulldown_cmark::Parser::new_ext(
                black_box(&made.markdown),
                pulldown_cmark::Options::ENABLE_TABLES,
            );
            let mut out = String::new();
            pulldown_cmark::html::push_html(&mut out, parser);
            out
        });
    });
    group.finish();
}

/// The first CT with so many visits that it has 200 sections.
fn long_record() -> String {
    let (plate, visit) = CT.split_once("[visit 2026").expect("a visit");
    let sections = |text: &str| text.matches("\n[").count();
    let visits = (200 - sections(plate)).div_ceil(sections(visit) + 1);
    let years = (2026 - visits + 1)..=2026;
    let visits = years.map(|year| format!("[visit {year}{}\n", visit.trim_end()));
    plate.replace("since 2026", "since 1980") + &visits.collect::<Vec<_>>().join("\n")
}

/// What an editor waits for.
fn editor(c: &mut Criterion) {
    let mut group = c.benchmark_group("200 sections in an editor");
    let files = Memory::default();
    let text = long_record();
    assert!(text.matches("\n[").count() >= 200);
    files.put("one.ctr", text.as_bytes());
    let path = Path::new("one.ctr");
    let mut desk = Desk::new(&files);
    desk.look(path);
    // A reading of the last visit, one digit more or less.
    let (front, behind) = text.rsplit_once("200.00  ").expect("a reading");
    let edits = [text.clone(), format!("{front}200.001  {behind}")];
    let mut turn = 0;
    group.bench_function("an edit, up to what is told", |b| {
        b.iter(|| {
            turn += 1;
            desk.put(path, &edits[turn % 2]);
            let looked = desk.look(path);
            assert_eq!(looked.reach, Reach::Company);
            looked.ct.iter().map(|ct| told(ct).len()).sum::<usize>()
        });
    });
    desk.put(path, &text);
    let looked = desk.look(path);
    let ct = looked.ct.expect("a record");
    assert!(ct.record.visits.len() > 20 && ct.is_complete());
    let last = |piece: &str| (text.rfind(piece).expect("it is there") + piece.len() - 1) as u32;
    for (name, at) in [
        ("hover on a key", last("voltmeter")),
        ("hover on a reading", last("0.0069959")),
        ("hover on a heading", last("secondary/A")),
    ] {
        assert!(hover(&ct, at).is_some(), "{name}");
        group.bench_function(name, |b| b.iter(|| hover(black_box(&ct), at)));
    }
    for (name, at) in [
        (
            "completion at the head of a line",
            last("[ratio S1-S2]\n") + 1,
        ),
        ("completion of a word", last("voltmeter: ") + 1),
        ("completion of a section", last("\n[") + 1),
    ] {
        assert!(!complete(&ct, at).is_empty(), "{name}");
        group.bench_function(name, |b| b.iter(|| complete(black_box(&ct), at)));
    }
    group.bench_function("outline", |b| b.iter(|| outline(black_box(&ct))));
    let all = Span::new(0, text.len());
    group.bench_function("values behind all rows", |b| {
        b.iter(|| hints(black_box(&ct), all))
    });
    group.bench_function("laying it out", |b| {
        b.iter(|| lay_out(black_box(&ct.source)))
    });
    group.finish();
}

criterion_group!(benches, stages, editor);
criterion_main!(benches);
