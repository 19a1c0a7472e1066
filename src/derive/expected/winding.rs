//! A winding as a row of terminals: turns between any two, and how high the open ones are driven.

use crate::record::core::Core;

/// Turns of every terminal counted from the first, as far as the plate fixes them.
#[derive(Clone, Debug, PartialEq)]
pub struct Winding {
    turns: Vec<Option<f64>>,
}

impl Winding {
    /// From the plate: nominal ratio times `primary_turns`, or the stated number of turns shared out by
    /// the ratios.
    #[must_use]
    pub fn of(core: &Core, primary_turns: f64) -> Self {
        let full = core
            .nominal_ratio(0, core.last_mark())
            .filter(|full| *full > 0.0);
        let scale = match (core.turns.value(), full) {
            (Some(turns), Some(full)) if *turns > 0.0 => turns / full,
            _ => primary_turns,
        };
        let at = |to: u8| {
            if to == 0 {
                Some(0.0)
            } else {
                core.nominal_ratio(0, to)
            }
        };
        let terminals = 0..=core.last_mark();
        Self::from_turns(terminals.map(|to| Some(at(to)? * scale)).collect())
    }

    /// From turns counted from the first terminal. What does not rise from terminal to terminal is
    /// taken as unknown.
    #[must_use]
    pub fn from_turns(turns: Vec<Option<f64>>) -> Self {
        let mut highest = -1.0;
        let mut rising = |at: Option<f64>| {
            let known = at.filter(|at| at.is_finite() && *at > highest)?;
            highest = known;
            Some(known)
        };
        Self {
            turns: turns.into_iter().map(&mut rising).collect(),
        }
    }

    fn last(&self) -> u8 {
        u8::try_from(self.turns.len().saturating_sub(1)).unwrap_or(u8::MAX)
    }

    fn position(&self, terminal: u8) -> Option<f64> {
        self.turns.get(usize::from(terminal)).copied().flatten()
    }

    /// Turns between two terminals.
    #[must_use]
    pub fn turns(&self, from: u8, to: u8) -> Option<f64> {
        let between = (self.position(to)? - self.position(from)?).abs();
        (between > 0.0).then_some(between)
    }

    /// Turns of the whole winding.
    #[must_use]
    pub fn full(&self) -> Option<f64> {
        self.turns(0, self.last())
    }

    /// Every pair, the full winding first, then by falling turns (unknown ones last), then in winding
    /// order.
    #[must_use]
    pub fn pairs(&self) -> Vec<(u8, u8)> {
        let last = self.last();
        let mut pairs: Vec<(u8, u8)> = (0..last)
            .flat_map(|from| (from + 1..=last).map(move |to| (from, to)))
            .collect();
        let turns = |pair: &(u8, u8)| self.turns(pair.0, pair.1).unwrap_or(0.0);
        pairs.sort_by(|a, b| turns(b).total_cmp(&turns(a)).then(a.cmp(b)));
        if let Some(at) = pairs.iter().position(|pair| *pair == (0, last)) {
            let full = pairs.remove(at);
            pairs.insert(0, full);
        }
        pairs
    }

    /// Volts across the outer terminals for every volt on the driven pair.
    #[must_use]
    pub fn multiplier(&self, from: u8, to: u8) -> Option<f64> {
        Some(self.full()? / self.turns(from, to)?)
    }

    /// Voltage in volt of a terminal against `to`, the side of the minus lead, while `volts` drive the
    /// pair `from`-`to`.
    #[must_use]
    pub fn against_minus(&self, (from, to): (u8, u8), volts: f64, terminal: u8) -> Option<f64> {
        let reach =
            volts * (self.position(terminal)? - self.position(to)?).abs() / self.turns(from, to)?;
        reach.is_finite().then_some(reach)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn winding(sections: &[f64]) -> Winding {
        let mut sum = 0.0;
        let rest = sections.iter().map(|section| {
            sum += section;
            Some(sum)
        });
        Winding::from_turns(std::iter::once(Some(0.0)).chain(rest).collect())
    }

    #[test]
    fn two_to_five_terminals_have_one_three_six_and_ten_pairs() {
        for (sections, pairs) in [
            (&[600.0][..], 1),
            (&[300.0, 300.0], 3),
            (&[100.0, 50.0, 250.0], 6),
            (&[40.0, 20.0, 100.0, 80.0], 10),
        ] {
            let winding = winding(sections);
            let last = u8::try_from(sections.len()).unwrap();
            assert_eq!(winding.pairs().len(), pairs);
            assert_eq!(winding.pairs()[0], (0, last));
            assert!((winding.multiplier(0, last).unwrap() - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn open_terminals_against_the_minus_lead() {
        // 1200:5; X2-X3 (20 turns) at 120 V: 6 V a turn. X1 is 60 turns from X3, X5 180 turns.
        let winding = winding(&[40.0, 20.0, 100.0, 80.0]);
        let reach = |terminal| winding.against_minus((1, 2), 120.0, terminal).unwrap();
        assert_eq!([reach(0), reach(3), reach(4)], [360.0, 600.0, 1080.0]);
        assert_eq!(winding.multiplier(1, 2).unwrap() * 120.0, 1440.0);
    }

    #[test]
    fn what_the_plate_does_not_fix_stays_unknown() {
        let winding = Winding::from_turns(vec![Some(0.0), None, Some(600.0)]);
        assert!(winding.multiplier(0, 1).is_none() && winding.multiplier(1, 2).is_none());
        assert_eq!(winding.multiplier(0, 2), Some(1.0));
        assert_eq!(winding.pairs(), [(0, 2), (0, 1), (1, 2)]);
        assert!(
            Winding::from_turns(vec![Some(0.0), Some(300.0), Some(100.0)])
                .full()
                .is_none()
        );
    }
}
