//! The judges, one file per test. Each turns derived values into findings.

#[cfg(test)]
mod bench;
pub mod burden;
pub mod demagnetisation;
mod doubt;
pub mod duty;
pub mod excitation;
pub mod insulation;
pub mod polarity;
pub mod protection;
pub mod ratio;
pub mod resistance;
pub mod self_check;
pub mod state;

use super::assess::Judging;

/// Judges everything of one visit, in the order of a report.
pub fn judge(j: &mut Judging<'_>) {
    state::judge(j);
    self_check::judge(j);
    insulation::judge(j);
    resistance::judge(j);
    demagnetisation::judge(j);
    excitation::judge(j);
    protection::judge(j);
    ratio::judge(j);
    polarity::judge(j);
    burden::judge(j);
    duty::judge(j);
}
