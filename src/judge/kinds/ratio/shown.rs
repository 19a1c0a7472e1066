//! What the readings show of a class as a whole: at which currents and burdens it was held, and what
//! was not taken.

use super::class::{Lies, burden_text};
use super::{DOUBTFUL, list, plain};
use crate::derive::kinds::ratio::Run;
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::decision::{WhyNot, Word};
use crate::judge::finding::{Finding, Found, Verdict, Whose, unit};
use crate::record::kinds::TestKind;
use crate::record::value::Pair;
use crate::standards::AIM;

/// One current of a run.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// The listed current that it stands for, per cent.
    pub percent: f64,
    pub verdicts: Vec<Verdict>,
    /// Everything that the class limits was read.
    pub complete: bool,
}

/// One run at a burden within the class.
struct At {
    text: String,
    place: Lies,
    rows: Vec<Row>,
    doubtful: bool,
}

/// What was taken of one pair's class.
pub(super) struct Shown {
    pair: Pair,
    test: usize,
    class: String,
    runs: Vec<At>,
    /// Currents that a full statement needs.
    wanted: Vec<f64>,
    /// Burdens that a full statement needs, VA.
    ends: Vec<(Lies, f64)>,
    points_at: Vec<Span>,
}

/// Adds a run to what was taken so far.
pub(super) fn add(
    so_far: &mut Vec<Shown>,
    run: &Run,
    class: String,
    place: Lies,
    rows: Vec<Row>,
    wanted: Vec<f64>,
    ends: Vec<(Lies, f64)>,
) {
    let at = At {
        text: burden_text(&run.burden),
        place,
        rows,
        doubtful: run.doubtful.is_some(),
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
            class,
            runs: vec![at],
            wanted,
            ends,
            points_at: spans.collect(),
        }),
    }
}

/// One finding per pair with a class; it heads the core's summary.
pub(super) fn tell(j: &mut Judging<'_>, shown: &[Shown]) {
    for each in shown {
        let missing = each.missing();
        let verdict = each.verdict();
        let part = if missing.is_empty() || !matches!(verdict, Verdict::Word(_)) {
            ""
        } else {
            ", shown in part"
        };
        let what = format!("{}{part}", each.class);
        let mut told = Finding::new(
            "class-shown",
            TestKind::Ratio,
            Whose::Ct,
            what,
            Found::Nothing,
            unit::ONE,
        );
        told = told
            .at(each.test, each.pair, each.points_at.clone())
            .headline();
        told.verdict = verdict;
        told.remarks = each.runs.iter().filter_map(At::text).collect();
        if !missing.is_empty() {
            told = told.remark(format!("not taken: {}", missing.join("; ")));
        }
        j.findings.push(told);
    }
}

impl Shown {
    /// The worst word; without any, why there is none.
    fn verdict(&self) -> Verdict {
        if self.runs.iter().any(|run| run.doubtful) {
            return Verdict::NotJudged(DOUBTFUL.to_owned());
        }
        let verdicts = || {
            self.runs
                .iter()
                .flat_map(|run| &run.rows)
                .flat_map(|row| &row.verdicts)
        };
        let has = |wanted: Word| verdicts().any(|verdict| *verdict == Verdict::Word(wanted));
        let undecided: Option<WhyNot> = verdicts().find_map(|verdict| match verdict {
            Verdict::NotDecided(why) => Some(*why),
            _ => None,
        });
        if let Some(word) = [Word::Fail, Word::ConditionalFail]
            .into_iter()
            .find(|word| has(*word))
        {
            return Verdict::Word(word);
        }
        if let Some(why) = undecided {
            return Verdict::NotDecided(why);
        }
        match [Word::ConditionalPass, Word::Pass]
            .into_iter()
            .find(|word| has(*word))
        {
            Some(word) => Verdict::Word(word),
            None => Verdict::NotShown(
                "readings at the currents and burdens of the class are needed".to_owned(),
            ),
        }
    }

    /// What a full statement still needs, in words.
    fn missing(&self) -> Vec<String> {
        let near = |row: &Row, percent: f64| (row.percent - percent).abs() <= AIM * percent;
        let mut found = Vec::new();
        for (end, va) in &self.ends {
            let at: Vec<&At> = self.runs.iter().filter(|run| run.place == *end).collect();
            let lacks = |percent: &&f64| {
                !at.iter()
                    .any(|run| run.rows.iter().any(|row| near(row, **percent)))
            };
            let points: Vec<String> = self
                .wanted
                .iter()
                .filter(lacks)
                .map(|percent| plain(*percent))
                .collect();
            if at.is_empty() {
                found.push(format!("{} VA", plain(*va)));
            } else if !points.is_empty() {
                found.push(format!("{} % at {} VA", list(&points), plain(*va)));
            }
        }
        if self
            .runs
            .iter()
            .flat_map(|run| &run.rows)
            .any(|row| !row.complete)
        {
            found.push("ratio error or phase displacement at some currents".to_owned());
        }
        found
    }
}

impl At {
    /// `10 VA: within at 1 and 5 %; outside at 20 %`.
    fn text(&self) -> Option<String> {
        let sort = |row: &Row| {
            let is = |wanted: Word| row.verdicts.contains(&Verdict::Word(wanted));
            if is(Word::Fail) || is(Word::ConditionalFail) {
                "outside"
            } else if row
                .verdicts
                .iter()
                .any(|verdict| !matches!(verdict, Verdict::Word(_) | Verdict::NoLimit))
            {
                "not decided"
            } else {
                "within"
            }
        };
        let percents = |wanted: &str| -> Option<String> {
            let rows: Vec<String> = self
                .rows
                .iter()
                .filter(|row| sort(row) == wanted)
                .map(|row| plain(row.percent))
                .collect();
            (!rows.is_empty()).then(|| format!("{wanted} at {} % of rated current", list(&rows)))
        };
        let parts: Vec<String> = ["within", "outside", "not decided"]
            .into_iter()
            .filter_map(percents)
            .collect();
        (!parts.is_empty() && !self.doubtful)
            .then(|| format!("{}: {}", self.text, parts.join("; ")))
    }
}
