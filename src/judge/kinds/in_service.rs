//! What the judges of circuits in service share: the limit that holds, and what is missing for a verdict.

use crate::derive::outcome::Outcome;
use crate::document::{self, Grade, Phrase, say};
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::WhyNot;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::words::{brief, cite, short};
use crate::record::criteria::Criteria;
use crate::record::feeder::{Feeder, NoMain, Unknown};
use crate::record::phase::Phase;
use crate::standards::{Cited, threshold};
use crate::trade::{Pair, Ratio, mark};

/// Whether two rows are of one relay or meter; of two that nobody named it is not known.
pub(super) fn is_one_device(
    (core, at): (Option<usize>, &Given<String>),
    (other, there): (Option<usize>, &Given<String>),
) -> bool {
    let mut both = at.value().zip(there.value()).into_iter();
    core == other && both.any(|(at, there)| mark::is_one(at, there))
}

/// Whether two stated ratios are one.
pub(super) fn is_same(a: f64, b: f64) -> bool {
    (a / b - 1.0).abs() < 1e-9
}

impl Finding {
    /// Of a phase that a row names.
    pub(super) fn of_phase(self, phase: &Given<Phase>) -> Self {
        self.under(phase.value().copied().map(Condition::Phase))
    }

    /// Read at a share of rated current, per cent.
    pub(super) fn at_current(mut self, share: Option<f64>) -> Self {
        self.at_current = share;
        self
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

impl Finding {
    pub(super) fn fails(&self) -> bool {
        self.grade() == Grade::Fails
    }

    /// By the limit that is stated; without one it shows nothing, but what is past a bound of practice fails. An
    /// uncertainty larger than the limit decides nothing.
    pub(super) fn by_stated(
        self,
        j: &Judging<'_>,
        stated: Option<Against>,
        bound: Against,
    ) -> Self {
        if let Some(limit) = stated {
            return self.against(j, limit.no_wider());
        }
        let held = self.clone().against(j, bound.no_wider());
        match held.fails() {
            true => held,
            false => self.verdict(Verdict::NotDecided(WhyNot::LimitUnstated)),
        }
    }

    /// The same of a bound: it shows what it bounds, and nothing beyond it.
    pub(super) fn bounded(
        self,
        j: &Judging<'_>,
        read: Outcome,
        stated: Option<Against>,
        bound: Against,
    ) -> Self {
        let open = || Verdict::NotShown("needs a value, not a bound".into());
        let of = |limit: &Against| j.one_sided(&read, limit, open(), open());
        match (stated, of(&bound)) {
            (Some(limit), _) => {
                let limit = limit.no_wider();
                let verdict = of(&limit);
                self.held(limit, verdict)
            }
            (None, broken @ Verdict::NotMet) => self.held(bound, broken),
            (None, _) => self.verdict(Verdict::NotDecided(WhyNot::LimitUnstated)),
        }
    }

    /// Of a phase that nothing drives, by the share of rated current that was read, per cent: a bound below the limit
    /// shows as well as a value that it is quiet.
    pub(super) fn quiet(mut self, j: &Judging<'_>, share: Outcome) -> Option<Self> {
        let most = threshold("reading-unfed")?;
        let most = Against::within(most.limit, &most.cited);
        self.found = Some(share);
        Some(match share {
            Outcome::Known(_) => self.against(j, most),
            _ => {
                let open = Verdict::NotShown("needs a value, not a bound".into());
                let verdict = j.one_sided(&share, &most, open.clone(), open);
                self.held(most, verdict)
            }
        })
    }

    /// Beyond its limit it is for review.
    pub(super) fn for_review(self, j: &Judging<'_>, limit: Against) -> Self {
        let held = self.clone().against(j, limit.clone().no_wider());
        match held.fails() {
            true => self.beyond(limit),
            false => held,
        }
    }
}

/// Whether a reading is a thousand times what it should be, or a thousandth, near enough for a slip of the unit: no
/// wiring makes either. A thousandth has digits of its own, or it is the noise of an input that gets no current.
pub(super) fn is_thousandfold(times: f64, reading: &Given<Quantity>) -> bool {
    let limits = threshold("reading-fails").zip(threshold("reading-as"));
    let Some(((near, fine), reading)) = limits.zip(reading.value()) else {
        return false;
    };
    let is = |factor: f64| (times / factor - 1.0).abs() < near.limit / 100.0;
    let has_digits = reading.resolution <= reading.si.abs() * fine.limit / 100.0;
    is(1000.0) || (is(0.001) && has_digits)
}

/// What a row without a value needs, of what is to be read; nothing where it waits to be filled in, or was told
/// as unreadable.
pub(super) fn lacks(
    read: [(&Given<Quantity>, &'static str); 2],
    waits: bool,
) -> Option<&'static str> {
    if waits || read.iter().any(|(given, _)| given.is_unreadable()) {
        return None;
    }
    let missing = read.iter().find(|(given, _)| given.is_missing());
    Some(missing.map_or("needs a value, not a bound", |(_, needs)| *needs))
}

impl<'a> Judging<'a> {
    /// The ratio of a pair as a plate writes it: `600/1`.
    pub(super) fn rated(&self, pair: Pair, ratio: f64) -> Phrase {
        match self.case.rated_secondary(pair) {
            Some(secondary) => written(Ratio::of(ratio * secondary, secondary)),
            None => document::Quantity::new(short(ratio), "").into(),
        }
    }

    /// The pair of a core that serves and its ratio, or what that needs.
    pub(super) fn serving(&self, core: usize) -> Result<(Pair, f64), Phrase> {
        self.case.serving(core).map_err(|unknown| match unknown {
            Unknown::Tap => "needs the tap in service".into(),
            Unknown::Links => "needs the position of the primary links".into(),
            Unknown::Ratio(pair) => {
                let pair = Phrase::terminals(self.case.record.pair_text(pair));
                say!("needs the rated ratio of {}", pair)
            }
            Unknown::Inputs => {
                "needs the main CTs of the inputs: column `main` of the table of inputs in [ct]"
                    .into()
            }
            Unknown::Main(why) => self.main_missing(why),
            Unknown::OfMain => {
                let main = self.case.feeder().map(Feeder::text).unwrap_or_default();
                say!(
                    "needs tap in service, links and rated ratio of {}, as its record has them",
                    main
                )
            }
        })
    }

    /// The other CTs that the core which feeds this unit feeds as well, by the records of the job.
    pub(super) fn beside(&self) -> Option<Phrase> {
        let feeder = self.case.feeder()?;
        let others = feeder.beside.iter().cloned().map(Phrase::from);
        (!feeder.beside.is_empty()).then(|| {
            say!(
                "{} feeds {} too, by the record of that: in series their burdens add, else one of the records names a wrong core",
                feeder.text(),
                Phrase::list(others, ", ", " and ")
            )
        })
    }

    /// What the main CT needs that feeds this unit.
    pub(super) fn main_missing(&self, why: NoMain) -> Phrase {
        let Some(feeder) = self.case.feeder() else {
            return Phrase::default();
        };
        match why {
            NoMain::Elsewhere => say!(
                "needs the record of the main CT {} in the job",
                feeder.id.clone()
            ),
            NoMain::NoCore => say!(
                "needs a core {} in the record of {}",
                feeder.core.clone(),
                feeder.id.clone()
            ),
            NoMain::Circle => "needs `fed by` without a circle".into(),
            NoMain::Chain => "needs `fed by` that leads to the main CT by way of fewer CTs".into(),
        }
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

/// `600/1`.
pub(super) fn written(ratio: Ratio) -> Phrase {
    let number = |value: f64| document::Quantity::new(short(value), "");
    say!("{}/{}", number(ratio.primary), number(ratio.secondary))
}
