//! The judges, one file per kind of test. Each turns derived values into findings.

#[cfg(test)]
pub(crate) mod bench;
pub(super) mod burden;
mod continuity;
mod demagnetisation;
mod dissipation_factor;
mod duty;
pub(super) mod excitation;
mod in_service;
mod injection;
mod inspection;
mod insulation;
mod inter_turn;
mod load;
mod partial_discharge;
mod polarity;
mod primary_resistance;
mod protection;
pub mod ratio;
mod ratio_setting;
pub mod resistance;
mod restored;
mod self_check;
mod single_earth;
mod stability;
mod state;
mod test_links;
mod type_test;
mod withstand;

use super::assess::Judging;
use super::condition::Condition;
use super::finding::{Finding, Verdict};
use super::standard::by_standard;
use crate::document::Grade;
use crate::ground::span::Given;
use crate::record::kinds::TestKind;

/// Judges everything of one visit, in the order of a report.
pub(super) fn judge(j: &mut Judging<'_>) -> Vec<Finding> {
    let mut out = Vec::new();
    for kind in TestKind::ALL {
        judge_of(*kind)(j, &mut out);
    }
    by_standard(j, &mut out);
    out
}

/// The judge of a kind. There is no wildcard, so that no kind goes without one.
#[deny(clippy::wildcard_enum_match_arm)]
fn judge_of(kind: TestKind) -> fn(&mut Judging<'_>, &mut Vec<Finding>) {
    match kind {
        TestKind::Inspection => inspection::judge,
        TestKind::State => state::judge,
        TestKind::SelfCheck => self_check::judge,
        TestKind::Insulation => insulation::judge,
        TestKind::Withstand => withstand::judge,
        TestKind::InterTurn => inter_turn::judge,
        TestKind::PartialDischarge => partial_discharge::judge,
        TestKind::DissipationFactor => dissipation_factor::judge,
        TestKind::TypeTest => type_test::judge,
        TestKind::PrimaryResistance => primary_resistance::judge,
        TestKind::Resistance => resistance::judge,
        TestKind::Demagnetisation => demagnetisation::judge,
        // What the curve shows of the class, and of the circuit's duty, is judged with it.
        TestKind::Excitation => |j, out| {
            excitation::judge(j, out);
            protection::judge(j, out);
            duty::judge(j, out);
        },
        TestKind::Remanence => protection::remanence,
        TestKind::Ratio => ratio::judge,
        TestKind::Polarity => polarity::judge,
        TestKind::Burden => burden::judge,
        TestKind::Continuity => continuity::judge,
        TestKind::SingleEarth => single_earth::judge,
        TestKind::TestLinks => test_links::judge,
        TestKind::RatioSetting => ratio_setting::judge,
        TestKind::Injection => injection::judge,
        TestKind::Load => load::judge,
        TestKind::Stability => stability::judge,
        TestKind::Restored => restored::judge,
    }
}

/// What a cell says; empty when it says nothing.
fn text(given: &Given<String>) -> &str {
    let written = given.value().map_or("", String::as_str);
    match written.trim_matches([' ', '\t']) {
        "-" => "",
        said => said,
    }
}

impl Finding {
    /// What is good as found only: how a circuit was left is what shows it.
    fn only_as_found(self) -> Self {
        let good = matches!(self.grade(), Grade::Info | Grade::Pass);
        let needs = "needs it read with `stage: as left`, or without a stage";
        match good {
            true => self.verdict(Verdict::NotShown(needs.into())),
            false => self,
        }
    }

    /// Of an item that a cell names, with the row's remark.
    fn of_row(self, item: &Given<String>, remark: &Given<String>) -> Self {
        let (item, remark) = (text(item), text(remark));
        let item = (!item.is_empty()).then(|| Condition::Item(item.to_owned()));
        let mut made = self.under(item);
        made.remarks
            .extend((!remark.is_empty()).then(|| remark.to_owned().into()));
        made
    }
}
