//! The inputs of a summation CT: primary windings whose currents add up in one secondary.
//!
//! Own arithmetic on ampere-turns: with all inputs at rated current the secondary has its rated current, and
//! each input gives its share by its turns.

use super::Record;
use super::core::Core;
use super::plate::{InputRow, Plate};
use super::words;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::span::Span;
use crate::trade::Ratio;

/// One input.
#[derive(Clone, Debug)]
pub struct Input {
    /// Its terminals: `1P1-1P2`.
    pub name: String,
    /// Its rated current, ampere.
    pub rated: f64,
    /// Its own ratio over that of the plate, where the plate's counts all inputs alike.
    pub factor: f64,
}

/// Which inputs a current went through, or a voltage was read at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fed {
    /// One, the others open.
    One(usize),
    /// All of them in series.
    All,
}

/// All of them in series, as a record writes it.
pub const ALL: &str = "all";

/// The inputs of a core; none where its ratio names one primary current. A table of `[ct]` gives terminals, and
/// the main CTs where the inputs are weighted for them.
pub(super) fn of(core: &Core, plate: Option<&Plate>, found: &mut Vec<Diagnostic>) -> Vec<Input> {
    let full = core.full_tap().map(|tap| &tap.ratio);
    let ratios = [full, Some(&core.ratio)].into_iter().flatten();
    let mut ratios = ratios.filter_map(|ratio| ratio.get());
    let rows: &[InputRow] = plate.map_or(&[], |plate| &plate.inputs);
    let Some(ratio) = ratios.find(|ratio| !ratio.value.inputs().is_empty()) else {
        return Vec::new();
    };
    let currents = ratio.value.inputs();
    if let Some(row) = rows.first().filter(|_| rows.len() != currents.len()) {
        found.push(words::inputs_differ(
            (rows.len(), currents.len()),
            ratio.span,
            row.span,
        ));
        return named(currents, &[], 1.0);
    }
    // Weights of some inputs are weights of none.
    let weights: Option<Vec<f64>> = rows.iter().map(weight).collect();
    let sum: f64 = currents.iter().sum();
    let weights = weights.filter(|weights| !weights.is_empty());
    let weights = weights.unwrap_or_else(|| vec![1.0; currents.len()]);
    let weighted: f64 = currents.iter().zip(&weights).map(|(i, w)| i * w).sum();
    let mut inputs = named(currents, rows, 1.0);
    for (input, weight) in inputs.iter_mut().zip(weights) {
        input.factor = weighted / (weight * sum);
    }
    inputs
}

fn named(currents: &[f64], rows: &[InputRow], factor: f64) -> Vec<Input> {
    let own = |at: usize| rows.get(at).and_then(|row| row.name.value().cloned());
    let each = currents.iter().enumerate().map(|(at, rated)| Input {
        name: own(at).unwrap_or_else(|| format!("{n}P1-{n}P2", n = at + 1)),
        rated: *rated,
        factor,
    });
    each.collect()
}

/// Main ampere per ampere in the input.
fn weight(row: &InputRow) -> Option<f64> {
    let weight = row.main.value().copied().map(Ratio::value)?;
    (weight.is_finite() && weight > 0.0).then_some(weight)
}

impl Core {
    /// The ratio as seen from some of the inputs over that of the plate; 1 of a CT with one primary. `None`
    /// where nobody says which input it was.
    pub fn input_factor(&self, fed: Option<Fed>) -> Option<f64> {
        match fed {
            None => self.inputs.is_empty().then_some(1.0),
            Some(Fed::One(at)) => self.inputs.get(at).map(|input| input.factor),
            // Each adds its share of the one current.
            Some(Fed::All) => {
                let shares: f64 = self.inputs.iter().map(|input| 1.0 / input.factor).sum();
                (shares > 0.0).then(|| 1.0 / shares)
            }
        }
    }

    /// `1P1-1P2`; `all inputs in series`.
    pub fn fed_text(&self, fed: Fed) -> Option<String> {
        match fed {
            Fed::One(at) => self.inputs.get(at).map(|input| input.name.clone()),
            Fed::All => Some("all inputs in series".to_owned()),
        }
    }
}

impl Record {
    /// Primary ampere of the main CTs per ampere of the inputs of a summation CT, with all at their rated current;
    /// `None` where the plate does not name the main CT of each. Each input has its turns for its main CT, so that it
    /// is the same of whichever of them a current goes through.
    pub fn of_inputs(&self, core: &Core) -> Option<f64> {
        let rows = &self.plate.inputs;
        let weights: Option<Vec<f64>> = rows.iter().map(weight).collect();
        let weights = weights.filter(|weights| weights.len() == core.inputs.len())?;
        let rated: f64 = core.inputs.iter().map(|input| input.rated).sum();
        let all = core.inputs.iter().zip(weights);
        let primary: f64 = all.map(|(input, weight)| input.rated * weight).sum();
        (rated > 0.0).then_some(primary / rated)
    }
}

/// Looks an input up among those of all cores.
pub(super) fn resolve(
    cores: &[Core],
    name: &str,
    span: Span,
    found: &mut Vec<Diagnostic>,
) -> Option<Fed> {
    let known = || cores.iter().flat_map(|core| &core.inputs);
    if name == ALL && known().next().is_some() {
        return Some(Fed::All);
    }
    let mut cores = cores.iter();
    let at = cores.find_map(|core| core.inputs.iter().position(|input| input.name == name));
    if at.is_none() {
        let names = known().map(|input| input.name.as_str());
        found.push(words::input_unknown(name, span, names));
    }
    at.map(Fed::One)
}

#[cfg(test)]
mod tests {
    use crate::ground::source::Source;
    use crate::record::inputs::Fed;
    use crate::record::read_alone;
    use proptest::prelude::*;

    fn factors(table: &str, ratio: &str) -> Vec<f64> {
        let text = format!("format: 1\n[ct]\nid: A1\n{table}\n[core S]\nratio: {ratio} A\n");
        let source = Source::new("a.ctr", text.as_bytes()).0;
        let (record, found) = read_alone(&source);
        assert!(found.iter().all(|one| one.code.name() != "inputs-differ"));
        let core = &record.cores[0];
        let one = (0..core.inputs.len()).map(|at| core.input_factor(Some(Fed::One(at))).unwrap());
        let all = core.input_factor(Some(Fed::All)).unwrap();
        one.chain([all]).collect()
    }

    /// Plain arithmetic: 5 A in one of three equal inputs give a third of 1 A, so that its ratio is 15; the
    /// same 5 A through all of them give 1 A.
    #[test]
    fn equal_inputs_share_alike() {
        assert_eq!(factors("", "5+5+5/1"), [1.0, 1.0, 1.0, 1.0 / 3.0]);
    }

    /// 1000/5 and 500/5 into 1 A at 1500 A in all: 5 A of the first are 1000 A, two thirds of 1 A, ratio 7.5
    /// of the plate's 10; of the second a third, ratio 15.
    #[test]
    fn inputs_are_weighted_by_their_main_cts() {
        let table = "input main/A\nA1-A2 1000/5\nB1-B2 500/5\n";
        let factors = factors(table, "5+5/1");
        let expected = [0.75, 1.5, 0.5];
        assert!(
            factors
                .iter()
                .zip(expected)
                .all(|(a, b)| (a - b).abs() < 1e-12)
        );
    }

    proptest! {
        /// With each input at its rated current the secondary has its own.
        #[test]
        fn all_at_rated_give_rated(inputs in proptest::collection::vec((1u32..10, 100u32..4000), 2..6)) {
            let ratio: Vec<String> = inputs.iter().map(|(rated, _)| rated.to_string()).collect();
            let rows = inputs.iter().enumerate();
            let rows: String = rows.map(|(at, (_, main))| format!("{at}a-{at}b {main}/5\n")).collect();
            let factors = factors(&format!("input main/A\n{rows}"), &format!("{}/1", ratio.join("+")));
            let sum: f64 = inputs.iter().map(|(rated, _)| f64::from(*rated)).sum();
            let secondary = inputs.iter().zip(&factors).map(|((rated, _), factor)| f64::from(*rated) / (factor * sum));
            prop_assert!((secondary.sum::<f64>() - 1.0).abs() < 1e-9);
        }
    }
}
