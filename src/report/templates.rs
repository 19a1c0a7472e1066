//! The templates: built in, each replaceable by a file of the client's with the same name.
//!
//! Templates get finished strings: numbers are rounded and texts escaped before they come here. What
//! a template asks for and does not get is an error, not a blank; a template that runs away is
//! stopped.

use minijinja::syntax::SyntaxConfig;
use minijinja::value::{Serde, Value};
use minijinja::{AutoEscape, Environment, Error, ErrorKind, UndefinedBehavior};
use std::collections::BTreeMap;

/// A template that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TemplateFault {
    /// Name of the template file.
    pub file: String,
    /// 1-based line, where known.
    pub line: Option<usize>,
    pub message: String,
    pub help: String,
}

macro_rules! built_in {
    ($($name:literal),* $(,)?) => {
        /// Name and text of every template of this part of the program.
        const BUILT_IN: &[(&str, &str)] = &[$(($name, include_str!(concat!("../../templates/", $name)))),*];
    };
}

built_in!(
    "page.html",
    "style.css",
    "ct.md",
    "ct/head.md",
    "ct/diagnostics.md",
    "ct/verdict.md",
    "ct/look.md",
    "ct/plate.md",
    "ct/core.md",
    "ct/values.md",
    "ct/not-done.md",
    "ct/actions.md",
    "ct/sheets.md",
    "ct/readings.md",
    "ct/earlier.md",
    "ct/instruments.md",
    "ct/decision.md",
    "ct/workings.md",
    "ct/end.md",
);

/// Instructions that one page may take; a report of sixty tests takes about a tenth of it.
const FUEL: u64 = 20_000_000;

/// All templates, ready to use.
#[derive(Debug)]
pub struct Templates {
    environment: Environment<'static>,
}

impl Templates {
    /// The templates that come with the program.
    pub fn built_in() -> Self {
        Self::new(&[], BTreeMap::new()).unwrap_or_else(|_| Self {
            environment: Environment::empty(),
        })
    }

    /// Built-in templates with some files replaced: file name (`ct/head.md`) to its text.
    ///
    /// # Errors
    /// A name that is no template, or a text that cannot be parsed.
    pub fn with(overrides: BTreeMap<String, String>) -> Result<Self, TemplateFault> {
        Self::new(&[], overrides)
    }

    /// The same with more built-in templates: those of the pack.
    ///
    /// # Errors
    /// As for [`Self::with`].
    pub fn new(
        more: &[(&'static str, &'static str)],
        overrides: BTreeMap<String, String>,
    ) -> Result<Self, TemplateFault> {
        let mut environment = Environment::new();
        environment.set_undefined_behavior(UndefinedBehavior::Strict);
        environment.set_fuel(Some(FUEL));
        environment.set_auto_escape_callback(|name| {
            if name.ends_with(".html") {
                AutoEscape::Html
            } else {
                AutoEscape::None
            }
        });
        environment.set_syntax(
            SyntaxConfig::builder()
                .trim_blocks(true)
                .lstrip_blocks(true)
                .build()
                .map_err(|error| fault("", &error))?,
        );
        let known: BTreeMap<&str, &str> = BUILT_IN.iter().chain(more).copied().collect();
        for (name, text) in &known {
            if !overrides.contains_key(*name) {
                environment
                    .add_template_owned((*name).to_owned(), (*text).to_owned())
                    .map_err(|error| fault(name, &error))?;
            }
        }
        for (name, text) in overrides {
            if !known.contains_key(name.as_str()) {
                return Err(stranger(&name, known.keys().copied()));
            }
            environment
                .add_template_owned(name.clone(), text)
                .map_err(|error| fault(&name, &error))?;
        }
        Ok(Self { environment })
    }

    /// Names of the template files of a CT's report.
    pub fn names() -> Vec<&'static str> {
        BUILT_IN.iter().map(|(name, _)| *name).collect()
    }

    /// Fills a template.
    ///
    /// # Errors
    /// When it asks for something that is not there, or cannot be filled for another reason.
    pub fn fill<T: serde::Serialize>(&self, name: &str, with: &T) -> Result<String, TemplateFault> {
        let template = self
            .environment
            .get_template(name)
            .map_err(|error| fault(name, &error))?;
        template
            .render(Value::from(Serde(with)))
            .map_err(|error| fault(name, &error))
    }

    /// The text of a template that is taken as it is: the style sheet.
    pub(super) fn text(&self, name: &str) -> Result<String, TemplateFault> {
        let template = self
            .environment
            .get_template(name)
            .map_err(|error| fault(name, &error))?;
        Ok(template.source().to_owned())
    }
}

fn stranger<'a>(name: &str, known: impl Iterator<Item = &'a str> + Clone) -> TemplateFault {
    let near = crate::ground::nearest::nearest(name, known.clone());
    let help = match near {
        Some(near) => format!("did you mean {near}?"),
        None => format!(
            "the files that can be replaced are {}",
            known.collect::<Vec<_>>().join(", ")
        ),
    };
    TemplateFault {
        file: name.to_owned(),
        line: None,
        message: format!("no template has the name {name}"),
        help,
    }
}

/// The innermost error: an outer one only says that an included file has one.
fn fault(name: &str, error: &Error) -> TemplateFault {
    let mut deepest = error;
    while let Some(inner) =
        std::error::Error::source(deepest).and_then(|source| source.downcast_ref::<Error>())
    {
        deepest = inner;
    }
    let message = deepest.detail().map_or_else(
        || deepest.kind().to_string(),
        |detail| format!("{}: {detail}", deepest.kind()),
    );
    let help = match deepest.kind() {
        ErrorKind::UndefinedError => "templates/README.md lists what each template is given",
        ErrorKind::OutOfFuel => "the template does too much; look for a loop within a loop",
        ErrorKind::TemplateNotFound => {
            "a template can include the files that templates/README.md lists, and no other"
        }
        _ => "see the chapter on templates in the manual",
    };
    let file = deepest
        .name()
        .filter(|name| !name.is_empty())
        .unwrap_or(name);
    TemplateFault {
        file: file.to_owned(),
        line: deepest.line(),
        message,
        help: help.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(name: &str, text: &str) -> Result<Templates, TemplateFault> {
        Templates::with(BTreeMap::from([(name.to_owned(), text.to_owned())]))
    }

    #[test]
    fn the_built_in_ones_all_parse() {
        let templates = Templates::new(&[], BTreeMap::new()).unwrap();
        for name in Templates::names() {
            assert!(templates.environment.get_template(name).is_ok(), "{name}");
        }
    }

    #[test]
    fn a_fault_names_file_and_line() {
        let told = with("ct/end.md", "one\ntwo {{ x\n").unwrap_err();
        assert_eq!((told.file.as_str(), told.line), ("ct/end.md", Some(2)));
        let told = with("ct/ends.md", "").unwrap_err();
        assert_eq!(told.help, "did you mean ct/end.md?");
    }

    #[test]
    fn what_is_missing_is_an_error_and_a_runaway_is_stopped() {
        let told = with("ct/end.md", "\n\n{{ nothing }}")
            .unwrap()
            .fill("ct/end.md", &BTreeMap::<&str, &str>::new())
            .unwrap_err();
        assert_eq!((told.file.as_str(), told.line), ("ct/end.md", Some(3)));
        let text = "{% for a in range(9999) %}{% for b in range(9999) %}{% for c in range(9999) %}x{% endfor %}{% endfor %}{% endfor %}";
        let told = with("ct/end.md", text)
            .unwrap()
            .fill("ct/end.md", &BTreeMap::<&str, &str>::new())
            .unwrap_err();
        assert!(told.help.contains("too much"), "{told:?}");
    }
}
