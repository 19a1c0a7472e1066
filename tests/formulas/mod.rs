//! Every formula of the crate: its printed text against its code, its derivatives against
//! difference quotients.

mod text;

pub use text::evaluate;

use kneemark::derive::formula::{About, AnyFormula, Formula, symbol};
use kneemark::derive::formulas::{all, modules};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Even numbers between 0 and 1 from a seed.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// What is wrong with a formula, tried on seeded inputs between 0.2 and 5.
fn fault(formula: &dyn AnyFormula, seed: u64) -> Option<String> {
    let mut dice = Dice(seed);
    let names: Vec<&str> = formula.about().symbols.iter().map(|s| s.name).collect();
    let mut tried = 0;
    for _ in 0..4000 {
        let inputs: Vec<f64> = names
            .iter()
            .map(|_| 0.2 * (25f64.ln() * dice.next()).exp())
            .collect();
        let printed = match evaluate(formula.about().text, &names, &inputs) {
            Ok(value) => value,
            Err(error) => return Some(error.to_string()),
        };
        let Some(coded) = formula.value(&inputs) else {
            if printed.is_finite() {
                return Some(format!("{inputs:?}: text {printed}, no value by code"));
            }
            continue;
        };
        if (printed - coded).abs() > 1e-11 * coded.abs().max(1.0) {
            return Some(format!("{inputs:?}: text {printed}, code {coded}"));
        }
        let Some(slopes) = formula.derivatives(&inputs) else {
            continue;
        };
        for (n, slope) in slopes.iter().enumerate() {
            let at = |by: f64| {
                let mut moved = inputs.clone();
                moved[n] *= 1.0 + by;
                formula.value(&moved)
            };
            let quotient = |h: f64| {
                let by_four = 8.0 * (at(h)? - at(-h)?) - (at(2.0 * h)? - at(-2.0 * h)?);
                Some(by_four / (12.0 * h * inputs[n]))
            };
            let (Some(wide), Some(narrow)) = (quotient(2e-5), quotient(1e-5)) else {
                continue;
            };
            // Near a singular place the quotient itself is rough: its two widths say how much.
            let rough = 10.0 * (wide - narrow).abs();
            let scale = slope.abs().max(coded.abs() / inputs[n]).max(1.0);
            if (slope - narrow).abs() > 1e-6 * scale + rough {
                return Some(format!(
                    "{inputs:?}: derivative {n} is {slope}, quotient {narrow}"
                ));
            }
        }
        tried += 1;
        if tried == 100 {
            return None;
        }
    }
    Some(format!("only {tried} inputs gave a value"))
}

#[test]
fn the_text_of_every_formula_is_its_code() {
    let formulas = all();
    assert!(!formulas.is_empty());
    for (n, formula) in formulas.into_iter().enumerate() {
        let found = fault(formula, 1 + n as u64);
        assert!(
            found.is_none(),
            "{}: {}",
            formula.about().name,
            found.unwrap_or_default()
        );
    }
}

fn declaring(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            declaring(&path, found);
        } else if std::fs::read_to_string(&path)
            .unwrap()
            .contains("\nformulas! {")
        {
            found.push(path);
        }
    }
}

/// A module whose formulas are in no list would escape the proof of text against code.
#[test]
fn every_module_with_formulas_is_listed() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    declaring(&root, &mut files);
    let module = |file: &PathBuf| {
        let path = file.strip_prefix(&root).unwrap().with_extension("");
        let parts = path.iter().map(|part| part.to_string_lossy().into_owned());
        let parts = parts.filter(|part| part != "mod");
        parts.fold("kneemark".to_owned(), |path, part| {
            format!("{path}::{part}")
        })
    };
    let declared: BTreeSet<String> = files.iter().map(module).collect();
    let listed: BTreeSet<String> = modules().map(str::to_owned).collect();
    assert_eq!(declared, listed);
}

#[test]
fn every_formula_is_fit_to_print() {
    let mut names = BTreeSet::new();
    for formula in all() {
        let about = formula.about();
        let name = about.name;
        assert!(names.insert(name), "{name} stands twice");
        let kebab = name
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
        assert!(kebab, "{name}");
        assert!(!about.source.is_empty() && !about.what.is_empty(), "{name}");
        let symbols: BTreeSet<_> = about.symbols.iter().map(|s| s.name).collect();
        assert_eq!(symbols.len(), about.symbols.len(), "{name}");
    }
}

#[test]
fn a_planted_wrong_sign_is_caught() {
    static WRONG_CODE: Formula<2> = Formula {
        about: About {
            name: "wrong",
            what: "wrong",
            text: "R*(75 + k)",
            unit: "ohm",
            symbols: &[
                symbol("R", "ohm", "resistance"),
                symbol("k", "", "constant"),
            ],
            source: "none",
        },
        compute: |[r, k]| r * (75.0 - k),
    };
    static WRONG_DERIVATIVE: Formula<1> = Formula {
        about: About {
            name: "wrong-derivative",
            what: "wrong",
            text: "x",
            unit: "",
            symbols: &[symbol("x", "", "number")],
            source: "none",
        },
        compute: |[mut x]| {
            x.d[0] = -x.d[0];
            x
        },
    };
    assert!(fault(&WRONG_CODE, 1).is_some_and(|why| why.contains("text")));
    assert!(fault(&WRONG_DERIVATIVE, 1).is_some_and(|why| why.contains("derivative")));
}
