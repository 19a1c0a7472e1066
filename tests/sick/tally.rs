//! How many planted faults the program finds, and by which name.

use super::causes::{Named, causes, compiled, troubles};
use super::faults::{FAULTS, Planted, Seat, plant};
use super::healthy;
use kneemark::document::Grade;
use kneemark::job::Compiled;
use kneemark::judge::words;
use std::collections::BTreeMap;

#[derive(Default)]
pub struct Count {
    pub cases: usize,
    pub visible: usize,
    pub found: usize,
    pub first: usize,
    pub in_three: usize,
    pub wrong: usize,
    /// Severity of each visible case, and whether it was named first.
    named: Vec<(f64, bool)>,
    /// What was named first instead.
    instead: BTreeMap<&'static str, usize>,
}

impl Count {
    fn add(&mut self, ids: &[&str], planted: &Planted) {
        self.cases += 1;
        if !planted.visible {
            return;
        }
        self.visible += 1;
        let (sick, healthy) = (compiled(&planted.sick), compiled(&planted.healthy));
        let here = |seat: &Seat, core: Option<usize>| {
            seat.core.is_none() || core.is_none() || seat.core == core
        };
        self.found += usize::from(planted.seats.iter().any(|seat| {
            let before = troubles(&healthy.records[seat.record]);
            let now = troubles(&sick.records[seat.record]);
            now.difference(&before).any(|one| here(seat, one.1))
        }));
        let is = |named: &Named| ids.iter().any(|id| named.is(id));
        let named: Vec<Vec<Named>> = planted
            .seats
            .iter()
            .map(|seat| {
                let named = causes(&sick.records[seat.record]).into_iter();
                named.filter(|named| here(seat, named.core)).collect()
            })
            .collect();
        // What is told as a tie is not told with confidence.
        let sure = named.iter().filter_map(|named| named.first());
        let sure = sure.filter(|named| !named.tied);
        let heads = named.iter().filter_map(|named| named.first());
        let first = heads.into_iter().any(is);
        self.first += usize::from(first);
        // What is told beside a tie is read with it.
        let told = |named: &Named| is(named) || named.beside.is_some_and(|id| ids.contains(&id));
        self.in_three += usize::from(named.iter().any(|named| named.iter().take(3).any(told)));
        if let Some(other) = sure.into_iter().next().filter(|_| !first) {
            self.wrong += 1;
            *self.instead.entry(other.id).or_default() += 1;
        }
        self.named.push((planted.seats[0].severity, first));
    }

    /// The least severity from which on nine of ten are named first.
    fn least_severity(&self) -> Option<f64> {
        let mut named = self.named.clone();
        named.sort_by(|a, b| a.0.total_cmp(&b.0));
        let fits = |at: &usize| {
            let rest = &named[*at..];
            rest.iter().filter(|one| one.1).count() * 10 >= rest.len() * 9
        };
        // Three cases at least: two say little.
        (0..named.len().saturating_sub(2))
            .find(fits)
            .map(|at| named[at].0)
    }

    fn merge(&mut self, other: &Self) {
        self.cases += other.cases;
        self.visible += other.visible;
        self.found += other.found;
        self.first += other.first;
        self.in_three += other.in_three;
        self.wrong += other.wrong;
    }

    fn line(&self, name: &str) -> String {
        let severity = self
            .least_severity()
            .map_or_else(|| "-".to_owned(), |one| format!("{one:.3}"));
        let mut instead: Vec<_> = self.instead.iter().collect();
        instead.sort_by_key(|one| std::cmp::Reverse(one.1));
        let instead: Vec<String> = instead
            .iter()
            .take(3)
            .map(|(id, count)| format!("{id} {count}"))
            .collect();
        format!(
            "{name:24}{:6}{:9}{:7}{:7}{:9}{:7}  {severity:>9}  {}\n",
            self.cases,
            self.visible,
            self.found,
            self.first,
            self.in_three,
            self.wrong,
            instead.join(", ")
        )
    }
}

fn of(ids: &[&str], seeds: usize) -> Count {
    let mut count = Count::default();
    for number in 0..seeds {
        count.add(ids, &plant(ids, number));
    }
    count
}

const HEAD: &str = "fault                    cases  visible  found  first in three  wrong  9/10 from  named first instead\n";

/// A line for each fault, so many seeds of it, and their sum.
pub fn table(ids: &[&'static str], seeds: usize) -> (String, Count) {
    let mut text = HEAD.to_owned();
    let mut all = Count::default();
    for (id, count) in ids.iter().zip(in_threads(ids, |id| of(&[id], seeds))) {
        text += &count.line(id);
        all.merge(&count);
    }
    text += &all.line("all of them");
    (text, all)
}

/// The same for two faults at once.
fn table_of_pairs(seeds: usize) -> String {
    let counted = in_threads(PAIRS, |pair| of(&pair[..], seeds));
    let lines = PAIRS
        .iter()
        .zip(&counted)
        .map(|(pair, count)| count.line(&pair.join("+")));
    lines.collect()
}

/// Faults that come together in the field.
const PAIRS: &[[&str; 2]] = &[
    ["burden-on", "residual-magnetism"],
    ["another-tap", "decimal-slip"],
    ["leads-not-subtracted", "temperature-wrong"],
    ["primary-loop", "shorted-turn"],
    ["secondary-reversed", "another-tap"],
    ["wet", "earth-left-on"],
    ["residual-magnetism", "shorted-turn"],
    ["temperature-wrong", "another-tap"],
    ["burden-phase-phase", "star-point"],
    ["voltmeter-mean", "residual-magnetism"],
];

/// Work on all processors; results in order.
pub fn in_threads<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let count = std::thread::available_parallelism().map_or(1, usize::from);
    let next = std::sync::atomic::AtomicUsize::new(0);
    let mut all: Vec<(usize, R)> = std::thread::scope(|scope| {
        let run = || {
            let mut done = Vec::new();
            loop {
                let at = next.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
                let Some(item) = items.get(at) else {
                    return done;
                };
                done.push((at, work(item)));
            }
        };
        let running: Vec<_> = (0..count).map(|_| scope.spawn(run)).collect();
        running
            .into_iter()
            .flat_map(|one| one.join().expect("a case"))
            .collect()
    });
    all.sort_by_key(|one| one.0);
    all.into_iter().map(|one| one.1).collect()
}

/// What an environment variable holds.
fn told(name: &str) -> Option<String> {
    std::env::var(name).ok().filter(|text| !text.is_empty())
}

/// The full count, or that of some faults (`SICK_FAULTS=joint,clip`), which leaves out pairs and healthy ones; in release: `SICK_SEEDS=200 cargo nextest run --release --run-ignored only the_full_count --no-capture`.
#[test]
#[ignore = "minutes"]
fn the_full_count() {
    let seeds = told("SICK_SEEDS").and_then(|text| text.parse().ok());
    let seeds = seeds.unwrap_or(200);
    let only = told("SICK_FAULTS");
    let is_asked = |id: &&str| {
        only.as_ref()
            .is_none_or(|only| only.split(',').any(|one| one == *id))
    };
    let ids: Vec<&str> = FAULTS
        .iter()
        .map(|fault| fault.0)
        .filter(is_asked)
        .collect();
    let (text, all) = table(&ids, seeds);
    if only.is_some() {
        println!("{text}");
        return;
    }
    println!("{text}{}", table_of_pairs(seeds.div_ceil(5)));
    let healthy = healthy::count(all.cases * 2);
    println!("{}", healthy.text());
    // What is known to hold; a change that loses more is seen here.
    let share = |part: usize, of: usize| 100.0 * part as f64 / of.max(1) as f64;
    let (named, wrong) = (share(all.first, all.visible), share(all.wrong, all.visible));
    let accused = share(healthy.accused, healthy.records);
    println!("named first {named:.1} %, wrong first {wrong:.1} %, healthy accused {accused:.2} %");
    assert!(named >= LEAST_NAMED, "{named}");
    assert!(wrong <= MOST_WRONG, "{wrong}");
    assert!(accused <= MOST_ACCUSED, "{accused}");
}

/// Per cent of the visible cases, and of the healthy records.
const LEAST_NAMED: f64 = 74.0;
const MOST_WRONG: f64 = 3.0;
const MOST_ACCUSED: f64 = 0.5;

/// The records of one case as text: `SICK_CASE=primary-loop/3`.
#[test]
#[ignore = "prints"]
fn a_case_as_text() {
    let case = std::env::var("SICK_CASE").unwrap_or_default();
    let (id, number) = case.split_once('/').expect("SICK_CASE=FAULT/NUMBER");
    let planted = plant(&[id], number.parse().expect("a number"));
    for seat in &planted.seats {
        println!(
            "# in record {}, core {:?}, severity {}",
            seat.record, seat.core, seat.severity
        );
    }
    let (files, paths) = super::job::files(&planted.sick.sheets(), planted.sick.instruments);
    for path in paths {
        let bytes = kneemark::ground::seam::Files::read(&files, &path).expect("a file");
        println!("## {}\n{}", path.display(), String::from_utf8_lossy(&bytes));
    }
    for one in &compiled(&planted.sick).records {
        print_said(one);
    }
}

/// What is for review or fails, with what stands behind each cause.
fn print_said(one: &Compiled) {
    for finding in one.findings().filter(|one| one.grade() >= Grade::Review) {
        println!("    {}: {}", finding.rule.id, one.sentence(finding));
        for phrase in words::behind(finding) {
            println!("        {}", one.plain(&phrase));
        }
    }
}

/// The lines that the fault changed, as long as they are few.
fn print_planted(planted: &Planted, record: usize) {
    let [sick, sound] = [&planted.sick, &planted.healthy].map(|case| {
        let sheets = case.sheets();
        super::write::record(&sheets[record])
    });
    let changed = sick.lines().zip(sound.lines());
    let changed: Vec<_> = changed.filter(|(now, sound)| now != sound).collect();
    for (now, sound) in changed.iter().take(6) {
        println!("    {sound}  ->  {now}");
    }
}

/// What is said of each case of some faults, in a few lines: `SICK_FAULTS=burden-on SICK_SEEDS=12`.
#[test]
#[ignore = "prints"]
fn what_is_said() {
    let seeds = told("SICK_SEEDS").and_then(|text| text.parse().ok());
    let faults = told("SICK_FAULTS").unwrap_or_default();
    for id in faults.split(',') {
        for number in 0..seeds.unwrap_or(12) {
            let planted = plant(&[id], number);
            let job = compiled(&planted.sick);
            for seat in &planted.seats {
                let one = &job.records[seat.record];
                println!(
                    "# {id}/{number} CT {} core {:?} severity {:.4} visible {} {:?}",
                    seat.record, seat.core, seat.severity, planted.visible, planted.sick.odd
                );
                print_planted(&planted, seat.record);
                for told in &one.diagnostics {
                    println!("    {}: {}: {}", told.code.name(), told.title, told.label);
                }
                print_said(one);
                let named: Vec<&str> = causes(one).iter().map(|named| named.id).collect();
                println!("    named: {}", named.join(", "));
            }
        }
    }
}
