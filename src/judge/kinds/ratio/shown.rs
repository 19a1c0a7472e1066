//! What the readings show of a class as a whole: at which currents and burdens it was held, and what
//! was not taken.

use super::class::Lies;
use crate::derive::kinds::ratio::Run;
use crate::document::{Phrase, say};
use crate::ground::span::Span;
use crate::judge::condition::{self, Condition};
use crate::judge::decision::Word;
use crate::judge::finding::{Finding, Verdict, unit};
use crate::judge::rules::ratio as rules;
use crate::judge::words::brief;
use crate::standards::AIM;
use crate::trade::Pair;

/// One current of a run.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// The listed current that it stands for, per cent.
    percent: f64,
    verdicts: Vec<Verdict>,
    /// Everything that the class limits was read.
    complete: bool,
}

impl Row {
    /// A current with what its findings came to.
    pub fn of(percent: f64, findings: &[Finding], complete: bool) -> Self {
        let verdicts = findings.iter().map(|finding| finding.verdict.clone());
        Self {
            percent,
            verdicts: verdicts.collect(),
            complete,
        }
    }

    /// The worst of its verdicts in one word.
    fn word(&self) -> &'static str {
        let is = |wanted: Word| self.verdicts.contains(&Verdict::Word(wanted));
        let decided = |verdict: &Verdict| matches!(verdict, Verdict::Word(_) | Verdict::NoLimit);
        if is(Word::Fail) || is(Word::ConditionalFail) {
            "outside"
        } else if self.verdicts.iter().all(decided) {
            "within"
        } else {
            "not decided"
        }
    }
}

/// One run at a burden within the class.
struct At {
    burden: Phrase,
    place: Lies,
    rows: Vec<Row>,
    doubtful: Option<Span>,
}

/// What a class promises.
pub(super) struct Promise {
    /// Its name, and its burden where that is part of it.
    pub class: Vec<Condition>,
    /// Currents that a full statement needs, per cent.
    pub wanted: Vec<f64>,
    /// Burdens that a full statement needs, VA.
    pub ends: Vec<(Lies, f64)>,
}

/// What was taken of one pair's class.
pub(super) struct Shown {
    pair: Pair,
    test: usize,
    promise: Promise,
    runs: Vec<At>,
    points_at: Vec<Span>,
}

/// Adds a run to what was taken so far.
pub(super) fn add(
    so_far: &mut Vec<Shown>,
    run: &Run,
    promise: Promise,
    place: Lies,
    rows: Vec<Row>,
) {
    let at = At {
        burden: condition::burden(&run.burden),
        place,
        rows,
        doubtful: run.doubtful,
    };
    let spans = run.points.iter().map(|point| point.row).take(1);
    match so_far.iter_mut().find(|shown| shown.pair == run.pair) {
        Some(shown) => {
            shown.runs.push(at);
            shown.points_at.extend(spans);
        }
        None => so_far.push(Shown {
            pair: run.pair,
            test: run.test,
            promise,
            runs: vec![at],
            points_at: spans.collect(),
        }),
    }
}

impl Shown {
    /// One finding per pair with a class; it heads the core's summary.
    pub(super) fn finding(self) -> Finding {
        let missing = self.missing();
        let doubtful = self.runs.iter().find_map(|run| run.doubtful);
        let mut finding = Finding::without(&rules::CLASS_SHOWN, unit::ONE)
            .verdict(self.verdict())
            .at(self.test, self.pair, self.points_at)
            .headline()
            .withheld(doubtful);
        finding.remarks = self.runs.iter().filter_map(At::remark).collect();
        finding.conditions = self.promise.class;
        if missing.is_empty() {
            return finding;
        }
        if matches!(finding.verdict, Verdict::Word(_)) {
            finding = finding.observed("shown in part");
        }
        finding.remark(say!("not measured: {}", Phrase::join(missing, "; ")))
    }

    fn rows(&self) -> impl Iterator<Item = &Row> {
        self.runs.iter().flat_map(|run| &run.rows)
    }

    /// The worst word; without any, why there is none.
    fn verdict(&self) -> Verdict {
        let verdicts = self.rows().flat_map(|row| &row.verdicts);
        let ranked = verdicts.filter_map(|verdict| Some((rank(verdict)?, verdict)));
        match ranked.min_by_key(|(rank, _)| *rank) {
            Some((_, verdict)) => verdict.clone(),
            None => {
                let needs = "readings at the currents and burdens of the class are needed";
                Verdict::NotShown(needs.into())
            }
        }
    }

    /// What a full statement still needs, in words.
    fn missing(&self) -> Vec<Phrase> {
        let near = |row: &Row, percent: f64| (row.percent - percent).abs() <= AIM * percent;
        let mut missing = Vec::new();
        for (end, va) in &self.promise.ends {
            let at = || self.runs.iter().filter(|run| run.place == *end);
            let taken =
                |percent: f64| at().any(|run| run.rows.iter().any(|row| near(row, percent)));
            let wanted = self.promise.wanted.iter().copied();
            let points: Vec<f64> = wanted.filter(|percent| !taken(*percent)).collect();
            let va = brief(*va, "VA");
            if at().next().is_none() {
                missing.push(va.into());
            } else if !points.is_empty() {
                missing.push(say!("{} at {}", percents(&points), va));
            }
        }
        if self.rows().any(|row| !row.complete) {
            missing.push("ratio error or phase displacement at some currents".into());
        }
        missing
    }
}

impl At {
    /// `10 VA: within at 1 and 5 % of rated current; outside at 20 % of rated current`.
    fn remark(&self) -> Option<Phrase> {
        let at = |word: &'static str| -> Option<Phrase> {
            let rows = self.rows.iter().filter(|row| row.word() == word);
            let currents: Vec<f64> = rows.map(|row| row.percent).collect();
            (!currents.is_empty())
                .then(|| say!("{} at {} of rated current", word, percents(&currents)))
        };
        let parts = ["within", "outside", "not decided"].into_iter();
        let parts = Phrase::join(parts.filter_map(at), "; ");
        (!parts.is_empty() && self.doubtful.is_none())
            .then(|| say!("{}: {}", self.burden.clone(), parts))
    }
}

/// How soon a verdict decides for the whole class; none where it says nothing of it.
fn rank(verdict: &Verdict) -> Option<u8> {
    match verdict {
        Verdict::Word(Word::Fail) => Some(0),
        Verdict::Word(Word::ConditionalFail) => Some(1),
        Verdict::NotDecided(_) => Some(2),
        Verdict::Word(Word::ConditionalPass) => Some(3),
        Verdict::Word(Word::Pass) => Some(4),
        Verdict::NotMet
        | Verdict::NotShown(_)
        | Verdict::NoLimit
        | Verdict::NotJudged(_)
        | Verdict::Observed(_) => None,
    }
}

/// `1, 5 and 20 %`.
fn percents(all: &[f64]) -> Phrase {
    let last = all.len().saturating_sub(1);
    let unit = |index| if index == last { "%" } else { "" };
    let each = all.iter().enumerate();
    let each = each.map(|(index, percent)| brief(*percent, unit(index)).into());
    Phrase::list(each, ", ", " and ")
}
