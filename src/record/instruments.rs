//! `instruments.toml`: who they are, until when they are calibrated, and their limits of error.

use super::config;
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
}

/// All instruments of a job.
#[derive(Clone, Debug, Default)]
pub struct Instruments {
    /// Name of the file they come from, and the SHA-256 of its bytes.
    pub file: String,
    pub sha256: String,
    /// The file could not be read as a whole, so that nothing is known of any instrument.
    pub broken: bool,
    pub items: Vec<Instrument>,
}

impl Instruments {
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
    digits: Option<f64>,
    coverage: Option<f64>,
    #[serde(default)]
    tests: Vec<String>,
}

/// Reads the file.
pub fn read(source: &Source) -> (Instruments, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let mut instruments = Instruments {
        file: source.name.clone(),
        sha256: source.sha256.clone(),
        ..Instruments::default()
    };
    let text: FileText = match config::tables(source) {
        Ok(text) => text,
        Err(told) => {
            instruments.broken = true;
            return (instruments, told);
        }
    };
    for spanned in text.instrument {
        let span = config::span(&spanned);
        let instrument = instrument(spanned.into_inner(), span, &mut found);
        if instruments.find(&instrument.id).is_some() {
            let title = format!("two instruments have the id `{}`", instrument.id);
            found.push(config::fault(span, title, "give each its own id"));
        }
        instruments.items.push(instrument);
    }
    (instruments, found)
}

fn instrument(text: InstrumentText, span: Span, found: &mut Vec<Diagnostic>) -> Instrument {
    let mut day = |text: &Option<_>| Some(config::day(text.as_ref(), found)?.value);
    let (calibrated, due) = (day(&text.calibrated), day(&text.due));
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
    let mut read = |text: Option<&Spanned<String>>, dimension: Dimension, of: &str| {
        config::quantity(text, dimension, of, found)
    };
    let to = read(Some(&text.to), dimension, "to")?;
    Some(Function {
        measures,
        from: read(text.from.as_ref(), dimension, "from").unwrap_or(0.0),
        to,
        of_reading: read(text.of_reading.as_ref(), Dimension::Percent, "of_reading").unwrap_or(0.0),
        of_range: read(text.of_range.as_ref(), Dimension::Percent, "of_range").unwrap_or(0.0),
        range: read(text.range.as_ref(), dimension, "range").unwrap_or(to),
        floor: read(text.floor.as_ref(), dimension, "floor").unwrap_or(0.0),
        digits: text
            .digits
            .filter(|digits| (0.0..=1e6).contains(digits))
            .unwrap_or(0.0),
        coverage: text.coverage.filter(|k| (0.1..=100.0).contains(k)),
        tests: text.tests.clone(),
    })
}
