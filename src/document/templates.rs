//! The templates: built in, each replaceable by a file of the client's with the same name.
//!
//! One rule of escaping: parts (printed blocks, a page's body, a style sheet) are finished and stand
//! as they are; every other value is text, and is escaped for the kind of file that it is put into.
//! What a template asks for and does not get is an error, not a blank; a template that runs away is
//! stopped.

use super::escape::escape_markdown;
use super::markdown::print;
use super::{Block, Pictures, Text};
use crate::ground::calm::calm;
use crate::ground::nearest::nearest;
use minijinja::syntax::SyntaxConfig;
use minijinja::value::Value;
use minijinja::{
    AutoEscape, Environment, Error, ErrorKind, Output, State, UndefinedBehavior, escape_formatter,
};
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

impl std::fmt::Display for TemplateFault {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "template {}", self.file)?;
        if let Some(line) = self.line {
            write!(out, ", line {line}")?;
        }
        write!(out, ": {}; {}", self.message, self.help)
    }
}

macro_rules! built_in {
    ($($name:literal),* $(,)?) => {
        /// Name and text of every template.
        const BUILT_IN: &[(&str, &str)] =
            &[$(($name, include_str!(concat!("../../templates/", $name)))),*];
    };
}

built_in!(
    "page.html",
    "style.css",
    "ct.md",
    "bay.md",
    "worksheet.md",
    "worksheet.css",
    "pack.md",
    "pack.css",
);

/// Instructions that one page may take; the largest takes about a tenth of it.
const FUEL: u64 = 20_000_000;

/// What a template is filled with.
#[derive(Clone, Debug, Default)]
pub struct Filling(BTreeMap<&'static str, Value>);

impl Filling {
    /// A text, calm, and escaped where it is put.
    pub fn text(&mut self, name: &'static str, text: &str) {
        self.0.insert(name, Value::from(calm(text).into_owned()));
    }

    /// A finished part.
    pub fn part(&mut self, name: &'static str, part: String) {
        self.0.insert(name, Value::from_safe_string(part));
    }

    /// Printed blocks; empty where there are none, so that a template can ask.
    pub fn blocks(&mut self, name: &'static str, blocks: &[Block], pictures: &mut Pictures) {
        self.part(name, print(blocks, pictures));
    }

    /// A printed line.
    pub fn line(&mut self, name: &'static str, text: Text) {
        let printed = print(&[Block::Paragraph(text)], &mut Pictures::new());
        self.part(name, printed.trim_end().to_owned());
    }

    /// Whether something holds.
    pub fn flag(&mut self, name: &'static str, holds: bool) {
        self.0.insert(name, Value::from(holds));
    }
}

/// All templates, ready to use.
#[derive(Debug)]
pub struct Templates {
    environment: Environment<'static>,
}

impl Templates {
    /// The templates that come with the program.
    pub fn built_in() -> Self {
        Self::with(BTreeMap::new()).unwrap_or_else(|_| Self {
            environment: Environment::empty(),
        })
    }

    /// Built-in templates with some files replaced: file name (`ct.md`) to its text.
    ///
    /// # Errors
    /// A name that is no template, or a text that cannot be parsed.
    pub fn with(mut overrides: BTreeMap<String, String>) -> Result<Self, TemplateFault> {
        let mut environment = Environment::new();
        environment.set_undefined_behavior(UndefinedBehavior::Strict);
        environment.set_fuel(Some(FUEL));
        environment.set_auto_escape_callback(|name| match name.rsplit_once('.') {
            Some((_, "html")) => AutoEscape::Html,
            Some((_, "md")) => AutoEscape::Custom("markdown".into()),
            _ => AutoEscape::None,
        });
        environment.set_formatter(write);
        let syntax = SyntaxConfig::builder()
            .trim_blocks(true)
            .lstrip_blocks(true)
            .build();
        environment.set_syntax(syntax.map_err(|error| fault("", &error))?);
        for (name, text) in BUILT_IN {
            let text = overrides
                .remove(*name)
                .unwrap_or_else(|| (*text).to_owned());
            environment
                .add_template_owned(*name, text)
                .map_err(|error| fault(name, &error))?;
        }
        match overrides.into_keys().next() {
            Some(name) => Err(stranger(&name)),
            None => Ok(Self { environment }),
        }
    }

    /// Fills a template.
    ///
    /// # Errors
    /// When it asks for something that is not there, or cannot be filled for another reason.
    pub fn fill(&self, name: &str, filling: &Filling) -> Result<String, TemplateFault> {
        let template = self.environment.get_template(name);
        template
            .and_then(|template| template.render(&filling.0))
            .map_err(|error| fault(name, &error))
    }

    /// Whether a template is the one that comes with the program.
    pub fn is_built_in(&self, name: &str) -> bool {
        let own = self.environment.get_template(name);
        let built_in = BUILT_IN.iter().find(|(known, _)| *known == name);
        own.is_ok_and(|own| built_in.is_some_and(|(_, text)| own.source() == *text))
    }

    /// Puts a template that is taken as it is, a style sheet, behind a text.
    pub(super) fn put(&self, name: &str, out: &mut String) -> Result<(), TemplateFault> {
        let template = self.environment.get_template(name);
        let template = template.map_err(|error| fault(name, &error))?;
        out.push_str(template.source());
        Ok(())
    }
}

/// Texts of others can be no markup, in Markdown as in HTML.
fn write(out: &mut Output, state: &mut State, value: &Value) -> Result<(), Error> {
    let text = value.as_str().filter(|_| !value.is_safe());
    match (state.auto_escape(), text) {
        (AutoEscape::Custom(_), Some(text)) => {
            out.write_str(&escape_markdown(text)).map_err(Error::from)
        }
        (AutoEscape::Custom(_), None) if !value.is_undefined() => match value.as_str() {
            Some(part) => out.write_str(part).map_err(Error::from),
            None => out.write_str(&value.to_string()).map_err(Error::from),
        },
        _ => escape_formatter(out, state, value),
    }
}

fn stranger(name: &str) -> TemplateFault {
    let known: Vec<&str> = BUILT_IN.iter().map(|(name, _)| *name).collect();
    let help = match nearest(name, known.iter().copied()) {
        Some(near) => format!("did you mean {near}?"),
        None => format!("the files that can be replaced are {}", known.join(", ")),
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
