//! `instruments.toml`: who they are, until when they are calibrated, and their limits of error.

use super::parse::{self, Piece};
use super::readings::Measure;
use super::words;
use crate::ground::date::{self, Date};
use crate::ground::diagnostic::{Code, Diagnostic};
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
    /// Name of the file they come from.
    pub file: String,
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
    from: Option<Spanned<String>>,
    to: Spanned<String>,
    of_reading: Option<Spanned<String>>,
    of_range: Option<Spanned<String>>,
    range: Option<Spanned<String>>,
    floor: Option<Spanned<String>>,
    digits: Option<f64>,
    coverage: Option<f64>,
    #[serde(default)]
    tests: Vec<String>,
}

/// Reads the file.
pub fn read(source: &Source) -> (Instruments, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let text: FileText = match toml::from_str(&source.text) {
        Ok(text) => text,
        Err(error) => {
            return (
                Instruments {
                    file: source.name.clone(),
                    broken: true,
                    items: Vec::new(),
                },
                vec![toml_error(&error)],
            );
        }
    };
    let mut items: Vec<Instrument> = Vec::new();
    for spanned in text.instrument {
        let span = Span::new(spanned.span().start, spanned.span().end);
        let instrument = instrument(spanned.into_inner(), span, &mut found);
        if items.iter().any(|other| other.id == instrument.id) {
            found.push(config(
                span,
                format!("two instruments have the id `{}`", instrument.id),
                "give each its own id",
            ));
        }
        items.push(instrument);
    }
    (
        Instruments {
            file: source.name.clone(),
            broken: false,
            items,
        },
        found,
    )
}

/// A fault of a .toml file, as its parser tells it.
pub fn toml_error(error: &toml::de::Error) -> Diagnostic {
    let span = error
        .span()
        .map_or_else(Span::default, |range| Span::new(range.start, range.end));
    let message = error.message().split('\n').next().unwrap_or("").to_owned();
    config(
        span,
        message,
        "see the chapter on configuration files in the manual",
    )
}

/// A diagnostic about a .toml file.
pub fn config(span: Span, title: String, help: &str) -> Diagnostic {
    Diagnostic::new(Code::ConfigUnreadable, span, title)
        .label("here")
        .help(help)
}

fn instrument(text: InstrumentText, span: Span, found: &mut Vec<Diagnostic>) -> Instrument {
    let mut day = |text: &Option<Spanned<toml::value::Datetime>>| {
        let spanned = text.as_ref()?;
        let read = date::read(&spanned.get_ref().to_string()).ok();
        if read.is_none() {
            let at = Span::new(spanned.span().start, spanned.span().end);
            found.push(words::date(&spanned.get_ref().to_string(), at, false));
        }
        read
    };
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
    let word = text.measures.get_ref().as_str();
    let Some(measures) = Measure::ALL
        .iter()
        .copied()
        .find(|measure| measure.word() == word)
    else {
        let span = Span::new(text.measures.span().start, text.measures.span().end);
        let list = words::one_of(Measure::ALL.iter().map(|measure| measure.word()));
        found.push(config(
            span,
            format!("an instrument cannot measure `{word}`"),
            &format!("write {list}"),
        ));
        return None;
    };
    let dimension = dimension(measures);
    let mut read =
        |text: Option<&Spanned<String>>, dimension: Dimension, of: &str| -> Option<f64> {
            let text = text?;
            // The span of a string holds its quotes.
            match parse::quantity(
                Piece::new(text.get_ref(), text.span().start + 1),
                dimension,
                of,
            ) {
                Ok(quantity) => Some(quantity.si),
                Err(told) => {
                    found.push(told);
                    None
                }
            }
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

fn dimension(measure: Measure) -> Dimension {
    match measure {
        Measure::Voltage => Dimension::Voltage,
        Measure::Current => Dimension::Current,
        Measure::Resistance | Measure::Insulation => Dimension::Resistance,
        Measure::Angle | Measure::Phase => Dimension::Angle,
        Measure::RatioError | Measure::Ratio | Measure::Humidity => Dimension::Percent,
        Measure::Temperature => Dimension::Temperature,
        Measure::Frequency => Dimension::Frequency,
        Measure::Time => Dimension::Time,
    }
}
