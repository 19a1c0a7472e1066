//! The pack's own templates: the cover with the matrix and the lists, as Markdown and as HTML. Each
//! may be replaced by a client's file of the same name below the templates folder.

use crate::report::{TemplateFault, escape_markdown};
use minijinja::syntax::SyntaxConfig;
use minijinja::value::{Serde, Value};
use minijinja::{AutoEscape, Environment, Error, Output, State, UndefinedBehavior};
use serde::Serialize;
use std::collections::BTreeMap;

/// Template of the cover in Markdown.
pub const MARKDOWN: &str = "pack/index.md";
/// Template of the cover in HTML, the inside of a page.
pub const HTML: &str = "pack/index.html";
/// Rules for the cover, put into its page.
pub const STYLE: &str = "pack/pack.css";

const BUILT_IN: &[(&str, &str)] = &[
    (MARKDOWN, include_str!("../../templates/pack/index.md")),
    (HTML, include_str!("../../templates/pack/index.html")),
    (STYLE, include_str!("../../templates/pack/pack.css")),
];

/// Steps a template may take: several times what a pack of a thousand CTs needs, and an end for a loop
/// that has none.
const FUEL: u64 = 20_000_000;

/// The pack's templates, ready to fill.
#[derive(Debug)]
pub struct PackTemplates(Environment<'static>);

impl PackTemplates {
    /// Names of the templates that a client may replace.
    pub fn names() -> impl Iterator<Item = &'static str> {
        BUILT_IN.iter().map(|(name, _)| *name)
    }

    /// The built-in templates with the client's put in their place, and what is wrong with those. One
    /// that is wrong is left out: its pages say so.
    pub fn with(overrides: &BTreeMap<String, String>) -> (Self, Vec<TemplateFault>) {
        let mut environment = empty();
        let mut faults = Vec::new();
        for (name, text) in BUILT_IN {
            let own = overrides
                .get(*name)
                .map_or(*text, String::as_str)
                .to_owned();
            if let Err(error) = environment.add_template_owned(*name, own) {
                faults.push(fault(name, &error));
            }
        }
        (Self(environment), faults)
    }

    /// Fills a template.
    ///
    /// # Errors
    /// A name that stands for nothing, a filter that does not fit, or a loop without end.
    pub fn fill<T: Serialize>(&self, name: &str, with: &T) -> Result<String, TemplateFault> {
        let template = self
            .0
            .get_template(name)
            .map_err(|error| fault(name, &error))?;
        template
            .render(Serde(with))
            .map_err(|error| fault(name, &error))
    }
}

fn empty() -> Environment<'static> {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.set_fuel(Some(FUEL));
    if let Ok(syntax) = SyntaxConfig::builder()
        .trim_blocks(true)
        .lstrip_blocks(true)
        .keep_trailing_newline(true)
        .build()
    {
        environment.set_syntax(syntax);
    }
    environment.set_auto_escape_callback(|name| match name.rsplit_once('.') {
        Some((_, "html")) => AutoEscape::Html,
        Some((_, "md")) => AutoEscape::Custom("markdown".into()),
        _ => AutoEscape::None,
    });
    environment.set_formatter(write);
    environment
}

/// Texts of records can be no markup, in Markdown as in HTML.
fn write(out: &mut Output, state: &mut State, value: &Value) -> Result<(), Error> {
    match state.auto_escape() {
        AutoEscape::Custom(_) if value.is_safe() || value.is_number() => {
            out.write_str(&value.to_string()).map_err(Error::from)
        }
        AutoEscape::Custom(_) => out
            .write_str(&escape_markdown(&value.to_string()))
            .map_err(Error::from),
        _ => minijinja::escape_formatter(out, state, value),
    }
}

fn fault(name: &str, error: &Error) -> TemplateFault {
    let detail = error
        .detail()
        .map(|detail| format!(": {detail}"))
        .unwrap_or_default();
    TemplateFault {
        file: error.name().unwrap_or(name).to_owned(),
        line: error.line(),
        message: format!("{}{detail}", error.kind()),
        help: "compare with the built-in template of the same name; its variables are listed in templates/README.md".to_owned(),
    }
}
