//! What each stage takes of one CT, beside a reader of Markdown on the report that comes out: cargo bench
//!
//! The CT is the first one of `load.py`, with 25 readings of the excitation characteristic and three charts.

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use kneemark::compile;
use kneemark::derive;
use kneemark::document::{Grade, Templates};
use kneemark::ground::seam::Memory;
use kneemark::ground::source::{Source, sha256};
use kneemark::judge;
use kneemark::record::criteria::Criteria;
use kneemark::record::like::SharedPlates;
use kneemark::record::{self, is_section};
use kneemark::report::Options;
use kneemark::syntax;
use std::hint::black_box;

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
            |values| judge::findings(black_box(&record), (None, &criteria), values, &[]),
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

criterion_group!(benches, stages);
criterion_main!(benches);
