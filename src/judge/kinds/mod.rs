//! The judges, one file per kind of test. Each turns derived values into findings.

#[cfg(test)]
mod bench;
pub mod burden;
pub mod demagnetisation;
mod doubt;
pub mod duty;
pub mod excitation;
mod inspection;
pub mod insulation;
mod load;
pub mod polarity;
pub mod protection;
pub mod ratio;
pub mod resistance;
mod restored;
pub mod self_check;
pub mod state;
mod withstand;

use super::assess::Judging;
use crate::record::kinds::TestKind;

/// Judges everything of one visit, in the order of a report.
pub fn judge(j: &mut Judging<'_>) {
    for kind in TestKind::ALL {
        judge_of(*kind)(j);
    }
}

/// The judge of a kind. There is no wildcard, so that no kind goes without one.
fn judge_of(kind: TestKind) -> fn(&mut Judging<'_>) {
    match kind {
        TestKind::Inspection => inspection::judge,
        TestKind::State => state::judge,
        TestKind::SelfCheck => self_check::judge,
        TestKind::Insulation => insulation::judge,
        TestKind::Withstand => withstand::judge,
        TestKind::Resistance => resistance::judge,
        TestKind::Demagnetisation => demagnetisation::judge,
        // What the curve shows of the class, and of the circuit's duty, is judged with it.
        TestKind::Excitation => |j| {
            excitation::judge(j);
            protection::judge(j);
            duty::judge(j);
        },
        TestKind::Remanence => protection::remanence,
        TestKind::Ratio => ratio::judge,
        TestKind::Polarity => polarity::judge,
        TestKind::Burden => burden::judge,
        TestKind::Load => load::judge,
        TestKind::Restored => restored::judge,
    }
}
