//! The verdict of a class as a whole: it passes when everything that it promises was read and held, and
//! says what is missing otherwise.

use super::class::Lies;
use crate::derive::kinds::ratio::Run;
use crate::document::{Phrase, say};
use crate::ground::span::Span;
use crate::judge::condition::{self, Condition};
use crate::judge::decision::Word;
use crate::judge::finding::{Finding, Verdict, unit};
use crate::judge::rules::ratio as rules;
use crate::judge::verdict::not_judged;
use crate::judge::words::brief;
use crate::standards::AIM;
use crate::trade::Pair;

/// One current of a run.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// The listed current that it stands for, per cent.
    percent: f64,
    verdicts: Vec<Verdict>,
    /// What was not read of what the class limits.
    lacks: Option<&'static str>,
}

impl Row {
    /// A current with what its findings came to.
    pub fn of(percent: f64, findings: &[Finding], lacks: Option<&'static str>) -> Self {
        let verdicts = findings.iter().map(|finding| finding.verdict.clone());
        Self {
            percent,
            verdicts: verdicts.collect(),
            lacks,
        }
    }

    /// The worst of its verdicts in one word.
    fn word(&self) -> &'static str {
        let is = |wanted: Word| self.verdicts.contains(&Verdict::Word(wanted));
        let decided = |verdict: &Verdict| matches!(verdict, Verdict::Word(_) | Verdict::NoLimit);
        let not_met = self.verdicts.contains(&Verdict::NotMet);
        if is(Word::Fail) || is(Word::ConditionalFail) || not_met {
            "outside"
        } else if self.verdicts.iter().all(decided) {
            "within"
        } else {
            "not decided"
        }
    }
}

/// One run.
struct At {
    burden: Phrase,
    /// `Unknown` where the class says nothing of its burden.
    place: Lies,
    /// The record states the power factor of the burden.
    stated: bool,
    rows: Vec<Row>,
    doubtful: Option<Span>,
}

/// A burden that a full statement needs.
pub(super) struct End {
    place: Lies,
    burden: Phrase,
    power_factor: Option<f64>,
    /// Its designation holds the power factor.
    is_named: bool,
}

impl End {
    /// So many VA, at a power factor where the class asks for one.
    pub fn of_va(place: Lies, va: f64, power_factor: Option<f64>) -> Self {
        Self {
            place,
            burden: brief(va, "VA").into(),
            power_factor,
            is_named: false,
        }
    }

    /// The burden of an IEEE class, which holds its power factor.
    pub fn named(designation: &str, power_factor: f64) -> Self {
        Self {
            place: Lies::Rated,
            burden: designation.to_owned().into(),
            power_factor: Some(power_factor),
            is_named: true,
        }
    }

    /// `2.5 VA and power factor 1`.
    fn phrase(&self) -> Phrase {
        match self.power_factor.filter(|_| !self.is_named) {
            Some(factor) => {
                let factor = brief(factor, "");
                say!("{} and power factor {}", self.burden.clone(), factor)
            }
            None => self.burden.clone(),
        }
    }
}

/// What a class promises.
pub(super) struct Promise {
    /// Its name, and its burden where that is part of it.
    pub class: Vec<Condition>,
    /// Currents that a full statement needs, per cent.
    pub wanted: Vec<f64>,
    /// None where the plate gives no burden.
    pub ends: Vec<End>,
    /// Why the class cannot be judged at all.
    pub unjudged: Option<&'static str>,
    /// Whether the class heads its core's summary, rather than the errors themselves.
    pub heads: bool,
}

impl Promise {
    pub fn of(class: Condition) -> Self {
        Self {
            class: vec![class],
            wanted: Vec::new(),
            ends: Vec::new(),
            unjudged: None,
            heads: true,
        }
    }
}

/// What was taken of one pair's class, in one position of the primary links: in another one the primary is another winding,
/// and its points complete nothing here.
pub(super) struct Shown {
    pair: Pair,
    links: Option<String>,
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
    (place, stated): (Lies, bool),
    rows: Vec<Row>,
) {
    let at = At {
        burden: condition::burden(&run.burden),
        place,
        stated,
        rows,
        doubtful: run.doubtful,
    };
    let spans = run.points.iter().map(|point| point.row).take(1);
    let mut same = so_far.iter_mut();
    match same.find(|shown| shown.pair == run.pair && shown.links == run.links) {
        Some(shown) => {
            shown.runs.push(at);
            shown.points_at.extend(spans);
        }
        None => so_far.push(Shown {
            pair: run.pair,
            links: run.links.clone(),
            test: run.test,
            promise,
            runs: vec![at],
            points_at: spans.collect(),
        }),
    }
}

/// One finding per pair with a class and position of the links. Series and parallel have the same ampere-turns, so that
/// a class that one position shows whole asks nothing more of the others than their ratio, which is required by itself.
pub(super) fn findings(all: Vec<Shown>) -> Vec<Finding> {
    let whole = |one: &&Shown| one.missing().is_empty() || one.promise.unjudged.is_some();
    let whole: Vec<Pair> = all.iter().filter(whole).map(|one| one.pair).collect();
    let kept = all.into_iter().filter(|one| {
        let is_partial = !one.missing().is_empty() && whole.contains(&one.pair);
        let is_open = matches!(one.verdict(&"more".into()), Verdict::NotShown(_));
        !(is_partial && is_open)
    });
    kept.map(Shown::finding).collect()
}

impl Shown {
    fn finding(self) -> Finding {
        let missing = Phrase::join(self.missing(), "; ");
        let doubtful = self.runs.iter().find_map(|run| run.doubtful);
        let verdict = self.verdict(&missing);
        let is_said = missing.is_empty() || matches!(verdict, Verdict::NotShown(_));
        let mut finding = Finding::without(&rules::CLASS_SHOWN, unit::ONE)
            .verdict(verdict)
            .at(self.test, self.pair, self.points_at)
            .withheld(doubtful);
        finding.headline = self.promise.heads;
        finding.remarks = self.runs.iter().filter_map(At::remark).collect();
        finding.conditions = self.promise.class;
        if is_said || self.promise.unjudged.is_some() {
            return finding;
        }
        finding.remark(say!("not measured: {}", missing))
    }

    fn rows(&self) -> impl Iterator<Item = &Row> {
        self.runs.iter().flat_map(|run| &run.rows)
    }

    /// The worst word of its points; but what was not read passes nothing.
    fn verdict(&self, missing: &Phrase) -> Verdict {
        if let Some(why) = self.promise.unjudged {
            return not_judged(why);
        }
        let verdicts = self.rows().flat_map(|row| &row.verdicts);
        let ranked = verdicts.filter_map(|verdict| Some((rank(verdict)?, verdict)));
        let worst = ranked.min_by_key(|(rank, _)| *rank);
        let against = worst.filter(|(rank, _)| *rank < PASSES);
        match against.or(worst.filter(|_| missing.is_empty())) {
            Some((_, verdict)) => verdict.clone(),
            None => Verdict::NotShown(say!("needs {}", missing.clone())),
        }
    }

    /// What a full statement still needs, in words.
    fn missing(&self) -> Vec<Phrase> {
        if self.promise.ends.is_empty() {
            return vec!["the rated burden, which the plate does not give".into()];
        }
        let ends = self.promise.ends.iter();
        ends.flat_map(|end| self.missing_at(end)).collect()
    }

    /// What is missing at one burden.
    fn missing_at(&self, end: &End) -> Vec<Phrase> {
        let at = || self.runs.iter().filter(|run| run.place == end.place);
        // What was taken at an unknown power factor is told once, not as a point that was not taken.
        let stated = at().any(|run| run.stated);
        let rows = || {
            at().filter(|run| run.stated || !stated)
                .flat_map(|run| &run.rows)
        };
        let mut lacking: Vec<(Option<&'static str>, Vec<f64>)> = Vec::new();
        for percent in &self.promise.wanted {
            let taken = || rows().filter(|row| (row.percent - percent).abs() <= AIM * percent);
            if taken().any(|row| row.lacks.is_none()) {
                continue;
            }
            let lacks = taken().find_map(|row| row.lacks);
            match lacking.iter_mut().find(|(what, _)| *what == lacks) {
                Some((_, percents)) => percents.push(*percent),
                None => lacking.push((lacks, vec![*percent])),
            }
        }
        let mut missing: Vec<Phrase> = Vec::new();
        if at().next().is_some() && !stated {
            missing.extend(end.power_factor.map(|factor| {
                say!(
                    "the power factor of the burden at {}, which must be {}",
                    end.burden.clone(),
                    brief(factor, "")
                )
            }));
        }
        missing.extend(lacking.into_iter().map(|(what, points)| {
            let place = say!("{} at {}", percents(&points), end.phrase());
            what.map_or(place.clone(), |what| say!("{} at {}", what, place))
        }));
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

/// From this rank on a verdict is a pass.
const PASSES: u8 = 4;

/// How soon a verdict decides for the whole class; none where it says nothing of it.
fn rank(verdict: &Verdict) -> Option<u8> {
    match verdict {
        Verdict::Word(Word::Fail) => Some(0),
        Verdict::NotMet => Some(1),
        Verdict::Word(Word::ConditionalFail) => Some(2),
        Verdict::NotDecided(_) => Some(3),
        Verdict::Word(Word::ConditionalPass) => Some(PASSES),
        Verdict::Word(Word::Pass) => Some(PASSES + 1),
        Verdict::NotShown(_) | Verdict::NoLimit | Verdict::NotJudged(_) | Verdict::Observed(_) => {
            None
        }
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
