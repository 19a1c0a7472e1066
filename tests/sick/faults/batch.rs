//! Iron or copper of another batch in one of the sisters: odd, and no illness.

use super::super::dice::Dice;
use super::super::job::Case;

/// One sister made of other iron (up to 30 % more or less field) or other wire (up to 8 %), from the
/// works on.
pub fn another(case: &mut Case, dice: &mut Dice) {
    let record = dice.below(case.records.len());
    let (weak, wire) = if dice.chance(0.5) {
        (1.0 + dice.sign() * dice.between(0.1, 0.3), 1.0)
    } else {
        (1.0, 1.0 + dice.sign() * dice.between(0.02, 0.08))
    };
    for bench in &mut case.records[record].benches {
        for core in &mut bench.body.cores {
            core.ring.iron.weak *= weak;
            for ohms in &mut core.ohms {
                *ohms *= wire;
            }
        }
    }
}
