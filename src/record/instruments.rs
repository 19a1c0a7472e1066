//! `instruments.toml`: who they are, until when they are calibrated, and their limits of error.

use super::config;
use super::kinds::TestKind;
use super::readings::Measure;
use crate::ground::date::Date;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::ground::unit::Dimension;
use serde::Deserialize;
use toml::Spanned;

/// One measuring function of an instrument, with its limits of error.
#[derive(Clone, Debug, PartialEq)]
pub struct Function {
    pub measures: Measure,
    /// Range of the function, SI.
    pub from: f64,
    pub to: f64,
    /// Limit of error as a share of the reading, per cent.
    pub of_reading: f64,
    /// Limit of error as a share of `range`, per cent.
    pub of_range: f64,
    /// What `of_range` refers to, SI.
    pub range: f64,
    /// Constant part of the limit of error, SI.
    pub floor: f64,
    /// Part of the limit of error in last written digits.
    pub digits: f64,
    /// `None`: limits of error, rectangular. `Some(k)`: expanded uncertainties with this factor.
    pub coverage: Option<f64>,
    /// Only for these tests; empty for all.
    pub tests: Vec<String>,
}

/// One instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    pub id: String,
    pub what: String,
    pub maker: String,
    pub serial: String,
    pub calibrated: Option<Date>,
    pub due: Option<Date>,
    pub certificate: String,
    pub functions: Vec<Function>,
    pub span: Span,
    /// Its line in the file.
    pub line: usize,
}

/// All instruments of a job.
#[derive(Clone, Debug, Default)]
pub struct Instruments {
    /// Name of the file they come from, and the SHA-256 of its bytes.
    pub file: String,
    pub sha256: String,
    /// Something in it could not be read, so that nothing passes.
    pub broken: bool,
    pub items: Vec<Instrument>,
}

impl Instruments {
    /// What is known where the file was not understood: nothing.
    pub fn not_read(source: &Source) -> Self {
        Self {
            file: source.name.clone(),
            sha256: source.sha256.clone(),
            broken: true,
            items: Vec::new(),
        }
    }

    pub fn find(&self, id: &str) -> Option<&Instrument> {
        self.items.iter().find(|item| item.id == id)
    }
}

impl Instrument {
    /// The functions that can measure this in this test.
    pub fn functions_for<'a>(
        &'a self,
        measure: Measure,
        test: &'a str,
    ) -> impl Iterator<Item = &'a Function> {
        let fits = move |function: &&Function| {
            function.measures == measure
                && (function.tests.is_empty() || function.tests.iter().any(|name| name == test))
        };
        self.functions.iter().filter(fits)
    }

    /// The narrowest function whose range holds the value.
    pub fn function<'a>(
        &'a self,
        measure: Measure,
        test: &'a str,
        value: f64,
    ) -> Option<&'a Function> {
        let holds = |function: &&Function| (function.from..=function.to).contains(&value.abs());
        self.functions_for(measure, test)
            .filter(holds)
            .min_by(|a, b| a.to.total_cmp(&b.to))
    }

    /// The same, where that states a limit of error: one that states none says how far it reads, not how well.
    pub fn accuracy<'a>(
        &'a self,
        measure: Measure,
        test: &'a str,
        value: f64,
    ) -> Option<&'a Function> {
        let function = self.function(measure, test, value)?;
        let parts = [
            function.of_reading,
            function.of_range,
            function.floor,
            function.digits,
        ];
        parts.iter().any(|part| *part > 0.0).then_some(function)
    }

    /// Whether its calibration was valid on a day; `None` when nothing is said.
    pub fn valid_on(&self, day: Date) -> Option<bool> {
        let due = self.due?;
        Some(day <= due && self.calibrated.is_none_or(|from| from <= day))
    }
}

impl Function {
    /// Limit of error at a reading, SI, without the part that the last digit adds.
    pub fn limit_of_error(&self, value: f64) -> f64 {
        self.of_reading / 100.0 * value.abs()
            + self.of_range / 100.0 * self.range.abs()
            + self.floor
    }

    /// Divides a limit of error down to a standard uncertainty: JCGM 100:2008, 4.3.7 (rectangular), 4.3.3 (with k).
    pub fn standard(&self, limit: f64) -> f64 {
        match self.coverage {
            Some(k) if k > 0.0 => limit / k,
            _ => limit / 3f64.sqrt(),
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FileText {
    #[serde(default)]
    instrument: Vec<Spanned<InstrumentText>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct InstrumentText {
    id: String,
    #[serde(default)]
    what: String,
    #[serde(default)]
    maker: String,
    #[serde(default)]
    serial: String,
    calibrated: Option<Spanned<toml::value::Datetime>>,
    due: Option<Spanned<toml::value::Datetime>>,
    #[serde(default)]
    certificate: String,
    #[serde(default)]
    function: Vec<FunctionText>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FunctionText {
    measures: Spanned<String>,
    from: config::Text,
    to: Spanned<String>,
    of_reading: config::Text,
    of_range: config::Text,
    range: config::Text,
    floor: config::Text,
    digits: Option<Spanned<f64>>,
    coverage: Option<Spanned<f64>>,
    #[serde(default)]
    tests: Vec<Spanned<String>>,
}

/// Reads the file.
pub fn read(source: &Source) -> (Instruments, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let mut instruments = Instruments::not_read(source);
    let text: FileText = match config::tables(source) {
        Ok(text) => text,
        Err(told) => return (instruments, told),
    };
    for spanned in text.instrument {
        let span = config::span(&spanned);
        let line = source.line(span.start);
        let instrument = instrument(spanned.into_inner(), (span, line), &mut found);
        if instruments.find(&instrument.id).is_some() {
            let title = format!("two instruments have the id `{}`", instrument.id);
            found.push(config::fault(span, title, "give each its own id"));
        }
        instruments.items.push(instrument);
    }
    instruments.broken = found.iter().any(Diagnostic::is_error);
    (instruments, found)
}

fn instrument(
    text: InstrumentText,
    (span, line): (Span, usize),
    found: &mut Vec<Diagnostic>,
) -> Instrument {
    let mut day = |text: &Option<_>| Some(config::day(text.as_ref(), found)?.value);
    let (calibrated, due) = (day(&text.calibrated), day(&text.due));
    if let (Some(from), Some(due), Some(written)) = (calibrated, due, &text.due)
        && due < from
    {
        let title = format!("the calibration is due on {due}, before the day of it, {from}");
        let help = "write the two days as the certificate has them";
        found.push(config::fault(config::span(written), title, help));
    }
    let functions = text
        .function
        .iter()
        .filter_map(|function| self::function(function, found))
        .collect();
    Instrument {
        id: text.id,
        what: text.what,
        maker: text.maker,
        serial: text.serial,
        calibrated,
        due,
        certificate: text.certificate,
        functions,
        span,
        line,
    }
}

fn function(text: &FunctionText, found: &mut Vec<Diagnostic>) -> Option<Function> {
    let words = Measure::ALL.iter().map(|measure| measure.word());
    let known = words.clone().zip(Measure::ALL);
    let Some((_, measures)) = known
        .into_iter()
        .find(|(word, _)| word == text.measures.get_ref())
    else {
        let title = format!("an instrument cannot measure `{}`", text.measures.get_ref());
        found.push(config::unknown(&text.measures, title, words));
        return None;
    };
    let measures = *measures;
    let dimension = measures.dimension();
    let before = found.len();
    let mut read = |text: Option<&Spanned<String>>, dimension: Dimension, of: &str| {
        config::quantity(text, dimension, of, found)
    };
    let to = read(Some(&text.to), dimension, "to");
    let from = read(text.from.as_ref(), dimension, "from").unwrap_or(0.0);
    let range = read(text.range.as_ref(), dimension, "range");
    let parts = [
        (&text.of_reading, Dimension::Percent, "of_reading"),
        (&text.of_range, Dimension::Percent, "of_range"),
        (&text.floor, dimension, "floor"),
    ];
    let read_parts = parts.map(|(text, dimension, of)| read(text.as_ref(), dimension, of));
    for (part, (text, _, of)) in read_parts.iter().zip(parts) {
        if let (Some(..0.0), Some(text)) = (part, text) {
            let title = format!("`{of}` is below zero");
            let help = "state a limit of error without its sign";
            found.push(config::fault(config::span(text), title, help));
        }
    }
    if let Some(to) = to
        && to <= from.max(0.0)
    {
        let help = "state the least reading in `from` and the greatest in `to`";
        let title = "this range holds no reading".to_owned();
        found.push(config::fault(config::span(&text.to), title, help));
    }
    let digits = within(&text.digits, "digits", (0.0, 1e6), found);
    let coverage = within(&text.coverage, "coverage", (1.0, 10.0), found);
    let names = TestKind::ALL.iter().map(|kind| kind.name());
    for test in &text.tests {
        if !names.clone().any(|name| name == test.get_ref()) {
            let title = format!("there is no test `{}`", test.get_ref());
            found.push(config::unknown(test, title, names.clone()));
        }
    }
    // A limit of error without one of its parts is a smaller one.
    let to = to.filter(|_| found.len() == before)?;
    let [of_reading, of_range, floor] = read_parts.map(Option::unwrap_or_default);
    Some(Function {
        measures,
        from,
        to,
        of_reading,
        of_range,
        range: range.unwrap_or(to),
        floor,
        digits: digits.unwrap_or_default(),
        coverage,
        tests: text
            .tests
            .iter()
            .map(|test| test.get_ref().clone())
            .collect(),
    })
}

/// A number between two others; what is none is told and missing.
fn within(
    text: &Option<Spanned<f64>>,
    of: &str,
    (least, most): (f64, f64),
    found: &mut Vec<Diagnostic>,
) -> Option<f64> {
    let text = text.as_ref()?;
    if (least..=most).contains(text.get_ref()) {
        return Some(*text.get_ref());
    }
    let title = format!("`{of}` must lie between {least} and {most}");
    let help = "write it as the data sheet has it";
    found.push(config::fault(config::span(text), title, help));
    None
}
