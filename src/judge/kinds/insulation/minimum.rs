//! The least insulation resistance that the job's profile asks for.

use super::MINUTE;
use crate::derive::kinds::insulation::{Group, Node};
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::decision::{Requirement, Word};
use crate::judge::finding::{Against, Finding, Found, Verdict, unit};
use crate::judge::verdict::cited_limit;
use crate::judge::words::{quantity, short};
use crate::record::criteria::InsulationProfile;
use crate::standards::InsulationKind;
use crate::standards::{Cited, Provenance, insulation_profile};

/// Rated voltage that a secondary is looked up by: apparatus of the 600 V class.
const SECONDARY_CLASS: f64 = 600.0;

/// A minimum with the test voltage that belongs to it.
pub struct Minimum {
    against: Against,
    least: f64,
    test_volts: Option<f64>,
    remark: Option<Phrase>,
}

/// Whether the main insulation of the primary was read, and not only that of a secondary.
fn of_primary(group: &Group) -> bool {
    group.from.contains(&Node::Primary) || group.to == [Node::Primary]
}

/// The minimum for a group; `None` without a profile, or where the profile has none for it.
pub fn of(j: &Judging<'_>, group: &Group) -> Option<Minimum> {
    let primary = of_primary(group);
    match &j.case.criteria.insulation {
        InsulationProfile::None => None,
        InsulationProfile::Client {
            name,
            primary: of_primary,
            core,
        } => {
            let least = if primary { *of_primary } else { *core }?;
            let cited = Cited {
                id: format!(
                    "client-insulation-{}",
                    if primary { "primary" } else { "core" }
                ),
                source: if name.is_empty() {
                    "client's own minimum".to_owned()
                } else {
                    name.clone()
                },
                provenance: Provenance::Seen,
                note: None,
            };
            let against = cited_limit(Requirement::at_least(least), &cited);
            Some(Minimum {
                against,
                least,
                test_volts: None,
                remark: None,
            })
        }
        InsulationProfile::Table(name) => of_table(j, name, primary),
    }
}

fn of_table(j: &Judging<'_>, name: &str, primary: bool) -> Option<Minimum> {
    let plate = &j.case.record.plate;
    let volts = if primary {
        plate.highest_voltage.value()?.si
    } else {
        SECONDARY_CLASS
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
    let against = cited_limit(Requirement::at_least(row.min_ohm), &row.cited);
    Some(Minimum {
        against,
        least: row.min_ohm,
        test_volts: Some(row.test_v_dc),
        remark: Some(remark),
    })
}

impl Minimum {
    /// Holds a finding against it. A bound shows one side only; a reading at another time than one
    /// minute, or with less voltage than the table asks, can show less too.
    pub fn judge(self: &Minimum, j: &Judging<'_>, group: &Group, finding: Finding) -> Finding {
        let mut finding = finding.against(j.w, j.case.criteria, self.against.clone());
        let not_shown = |why: &'static str| Verdict::NotShown(why.into());
        match finding.found {
            Found::AtLeast(value) if value.si >= self.least => {
                finding.verdict = Verdict::Word(Word::Pass);
            }
            Found::AtLeast(_) => {
                finding.verdict = not_shown("needs a tester that reads up to the minimum");
            }
            Found::AtMost(value) if value.si < self.least => finding.verdict = Verdict::NotMet,
            Found::AtMost(_) => finding.verdict = not_shown("needs a reading, not a bound"),
            Found::Known(_) | Found::NotReached { .. } | Found::Nothing => {}
        }
        let good = finding.grade() == Grade::Pass;
        let bad = finding.grade() >= Grade::Review;
        let time = group.minute.time;
        let (late, early) = (
            time.is_some_and(|t| t > *MINUTE.end()),
            time.is_some_and(|t| t < *MINUTE.start()),
        );
        // The reading rises with time: late ones flatter, early ones are hard.
        if (good && late) || (bad && early) {
            finding.verdict = Verdict::NotShown(say!(
                "needs a reading at {}",
                quantity(60.0, 2, unit::SECOND)
            ));
        }
        let too_low = |asked: f64| group.voltage.is_none_or(|volts| volts < 0.95 * asked);
        if let Some(asked) = self.test_volts.filter(|asked| good && too_low(*asked)) {
            finding.verdict = Verdict::NotShown(say!(
                "the table asks for a test with {} d.c.",
                quantity(asked, 4, unit::VOLT)
            ));
        }
        if let Some(remark) = &self.remark {
            finding = finding.remark(remark.clone());
        }
        if group.at_20.is_err() {
            finding = finding.remark("judged as read");
        }
        finding
    }
}
