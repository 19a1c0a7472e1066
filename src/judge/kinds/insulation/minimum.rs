//! The least insulation resistance that the job's profile asks for.

use crate::derive::kinds::insulation::{Group, Node};
use crate::derive::outcome::Outcome;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::decision::{WhyNot, Word};
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::words::{quantity, short};
use crate::record::criteria::{InsulationProfile, MinimumAt};
use crate::standards::{Cited, InsulationKind, insulation_profile, threshold};

/// A minimum with the test voltage that belongs to it.
pub struct Minimum {
    cited: Cited,
    least: f64,
    test_volts: Option<f64>,
    at: MinimumAt,
    remark: Option<Phrase>,
}

/// The minimum for a group; `None` without a profile, or where the profile has none for it.
pub fn of(j: &Judging<'_>, group: &Group) -> Option<Minimum> {
    // Whether the main insulation of the primary was read, and not only that of a secondary.
    let of_primary = group.from.contains(&Node::Primary) || group.to == [Node::Primary];
    match &j.case.criteria.insulation {
        InsulationProfile::None => None,
        InsulationProfile::Client {
            name,
            primary,
            core,
            at,
        } => {
            let (side, least) = match of_primary {
                true => ("primary", *primary),
                false => ("core", *core),
            };
            let source = match name.as_str() {
                "" => "client's own minimum",
                name => name,
            };
            Some(Minimum {
                cited: Cited::stated(format!("client-insulation-{side}"), source.to_owned()),
                least: least?,
                test_volts: None,
                at: *at,
                remark: None,
            })
        }
        InsulationProfile::Table(name) => of_table(j, name, of_primary),
    }
}

fn of_table(j: &Judging<'_>, name: &str, primary: bool) -> Option<Minimum> {
    let plate = &j.case.record.plate;
    let volts = if primary {
        plate.highest_voltage.value()?.si
    } else {
        threshold("insulation-secondary-class")?.limit
    };
    let kind = plate.insulation_kind();
    let row = insulation_profile(name)?.minimum(volts, kind != InsulationKind::Oil)?;
    let class = Quantity::new(short(volts), "V");
    let mut remark = if primary {
        say!("row for {}", class)
    } else {
        say!(
            "row for the {} class, which a secondary is taken for",
            class
        )
    };
    if kind == InsulationKind::Unknown {
        remark = remark.then("; kind of insulation unknown, taken as dry");
    }
    Some(Minimum {
        cited: row.cited,
        least: row.min_ohm,
        test_volts: Some(row.test_v_dc),
        at: MinimumAt::Reference,
        remark: Some(remark),
    })
}

impl Minimum {
    /// Whether it holds for the reading as it is.
    pub fn is_as_read(&self) -> bool {
        self.at == MinimumAt::AsRead
    }

    /// Whether it names the test voltage that it belongs to.
    pub fn is_of_a_voltage(&self) -> bool {
        self.test_volts.is_some()
    }

    /// A bound shows one side only.
    fn word(&self, j: &Judging<'_>, found: Outcome) -> Verdict {
        let against = Against::at_least(self.least, &self.cited);
        let not_shown = |why: &'static str| Verdict::NotShown(why.into());
        let held = found.value().map(|value| j.hold(value, &against));
        let (Some(held), at_least, at_most) = (
            held,
            matches!(found, Outcome::AtLeast(_)),
            matches!(found, Outcome::AtMost(_)),
        ) else {
            return Verdict::NoLimit;
        };
        match held {
            Verdict::Word(Word::Pass | Word::ConditionalPass) if at_least => held,
            _ if at_least => not_shown("needs a tester that reads up to the minimum"),
            Verdict::Word(Word::Fail) if at_most => Verdict::NotMet,
            _ if at_most => not_shown("needs a reading, not a bound"),
            _ => held,
        }
    }

    /// Holds a finding against it. A bound shows one side only; a reading at another time than one
    /// minute, or with less voltage than the table asks, can show less too.
    pub fn judge(self, j: &Judging<'_>, group: &Group, finding: Finding) -> Finding {
        let against = Against::at_least(self.least, &self.cited);
        let mut finding = finding.against(j, against);
        if let Some(found) = finding.found {
            finding.verdict = self.word(j, found);
        }
        // A client who does not say at which temperature his minimum holds is met where both meet it.
        if self.at == MinimumAt::Unstated && group.at_20.is_ok() {
            let as_read = self.word(j, group.minute.r);
            finding.verdict = both(finding.verdict, as_read);
        }
        let good = finding.grade() == Grade::Pass;
        let bad = finding.grade() >= Grade::Review;
        if let Some(why) = mistimed(group, good, bad) {
            finding.verdict = why;
        }
        let off = threshold("insulation-voltage-near").map_or(0.0, |row| row.limit / 100.0);
        let too_low = |asked: f64| {
            group
                .voltage
                .is_none_or(|volts| volts < (1.0 - off) * asked)
        };
        if let Some(asked) = self.test_volts.filter(|asked| good && too_low(*asked)) {
            finding.verdict = Verdict::NotShown(say!(
                "the table asks for a test with {} d.c.",
                quantity(asked, 4, unit::VOLT)
            ));
        }
        finding.remarks.extend(self.remark);
        if group.at_20.is_err() {
            finding = finding.remark("judged as read");
        }
        finding
    }
}

/// What is true as read and at 20 °C alike: where one meets the minimum and the other does not, neither.
fn both(at_20: Verdict, as_read: Verdict) -> Verdict {
    use Word::{ConditionalFail, ConditionalPass, Fail, Pass};
    let good = |verdict: &Verdict| matches!(verdict, Verdict::Word(Pass | ConditionalPass));
    let bad = |verdict: &Verdict| {
        matches!(
            verdict,
            Verdict::NotMet | Verdict::Word(Fail | ConditionalFail)
        )
    };
    let less = Verdict::Word(ConditionalPass);
    match (&at_20, &as_read) {
        (a, b) if good(a) && good(b) => match *b == less {
            true => less,
            false => at_20,
        },
        (a, b) if bad(a) && bad(b) => match *b == Verdict::Word(ConditionalFail) {
            true => as_read,
            false => at_20,
        },
        (a, b) if (good(a) && bad(b)) || (bad(a) && good(b)) => {
            Verdict::NotDecided(WhyNot::TemperatureOfLimit)
        }
        (a, _) if good(a) || bad(a) => as_read,
        _ => at_20,
    }
}

/// The reading rises with time: late ones flatter, early ones are hard.
fn mistimed(group: &Group, good: bool, bad: bool) -> Option<Verdict> {
    let (time, minute) = (group.minute.time?, threshold("insulation-minute")?.limit);
    let near = minute * threshold("insulation-minute-near")?.limit / 100.0;
    let wrong = (good && time > minute + near) || (bad && time < minute - near);
    let at = quantity(minute, 2, unit::SECOND);
    wrong.then(|| Verdict::NotShown(say!("needs a reading at {}", at)))
}
