//! What the judges of circuits in service share: the limit that holds, and what is missing for a verdict.

use crate::derive::case::Unknown;
use crate::document::{Phrase, say};
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::words::{brief, cite};
use crate::record::criteria::Criteria;
use crate::record::phase::Phase;
use crate::standards::{Cited, threshold};
use crate::trade::Pair;

impl Finding {
    /// Of a phase that a row names.
    pub(super) fn of_phase(self, phase: &Given<Phase>) -> Self {
        let phase = phase.value().map(|phase| phase.name().to_owned());
        self.under(phase.map(Condition::Item))
    }

    /// Not shown, and what it needs.
    pub(super) fn needs(self, what: impl Into<Phrase>) -> Self {
        self.verdict(Verdict::NotShown(what.into()))
    }

    /// Not shown where a share of rated current is too small to tell, per cent; else `judged`. Below it meters
    /// and cores err too much.
    pub(super) fn unless_small(
        self,
        share: Option<f64>,
        judged: impl FnOnce(Self) -> Self,
    ) -> Self {
        let Some(least) = threshold("load-least") else {
            return self;
        };
        match share {
            None => self.needs("needs the rated secondary current"),
            Some(share) if share < least.limit => {
                let least_share = brief(least.limit, unit::PERCENT.word);
                let why = cite(&least.cited);
                self.needs(say!(
                    "needs more current: {} of rated at least",
                    least_share
                ))
                .remark(say!(
                    "below that meters and core err too much to tell ({})",
                    why
                ))
            }
            Some(_) => judged(self),
        }
    }
}

impl<'a> Judging<'a> {
    /// The pair of a core that serves and its ratio, or what that needs.
    pub(super) fn serving(&self, core: usize) -> Result<(Pair, f64), Phrase> {
        self.case.serving(core).map_err(|unknown| match unknown {
            Unknown::Tap => "needs the tap in service".into(),
            Unknown::Links => "needs the position of the primary links".into(),
            Unknown::Ratio(pair) => {
                let pair = Phrase::terminals(self.case.record.pair_text(pair));
                say!("needs the rated ratio of {}", pair)
            }
        })
    }

    /// The limit that the section states, else the job's; `key` and `what` name it.
    pub(super) fn stated_limit(
        &self,
        section: &Given<Quantity>,
        of_job: Option<f64>,
        (key, what): (&str, &str),
        against: fn(f64, &Cited) -> Against,
    ) -> Option<Against> {
        if let Some(own) = section.get() {
            let cited = Cited::stated(format!("record-{key}"), format!("the record: {what}"));
            return Some(against(own.value.si, &cited).stated_at(own.span));
        }
        Some(against(of_job?, &Criteria::own(key, what)))
    }
}
