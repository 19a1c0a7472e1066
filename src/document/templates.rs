//! The templates: built in, each replaceable by a file of the client's with the same name.
//!
//! One rule of escaping: parts (printed blocks, a page's body, a style sheet) are finished and stand
//! as they are; every other value is text, and is escaped for the kind of file that it is put into.
//! What a template asks for and does not get is an error, not a blank.

use super::markdown::print;
use super::template::Template;
use super::{Block, Pictures, Text};
use crate::ground::calm::calm;
use crate::ground::nearest::nearest;
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

/// The page around everything, and the value in it that is by far the longest.
const PAGE: &str = "page.html";
const BODY: &str = "body";

macro_rules! built_in {
    ($($name:literal puts $must:expr),* $(,)?) => {
        /// Name and text of every template, and the values that it has to put, whatever holds: what must not
        /// be kept from a reader.
        const BUILT_IN: &[(&str, &str, &[&str])] =
            &[$(($name, include_str!(concat!("../../templates/", $name)), &$must)),*];
    };
}

built_in!(
    "page.html" puts [BODY],
    "style.css" puts [],
    "ct.md" puts ["verdict", "diagnostics", "end"],
    "bay.md" puts ["verdicts"],
    "worksheet.md" puts ["cautions"],
    "worksheet.css" puts [],
    "pack.md" puts ["caution", "scope", "broken"],
    "pack.css" puts [],
);

/// A value of a page.
#[derive(Clone, Debug)]
pub enum Value {
    /// Escaped where it is put.
    Text(String),
    /// Finished.
    Part(String),
    Flag(bool),
}

impl Value {
    pub(super) fn says_something(&self) -> bool {
        match self {
            Self::Text(text) | Self::Part(text) => !text.is_empty(),
            Self::Flag(holds) => *holds,
        }
    }
}

/// What a template is filled with.
#[derive(Clone, Debug, Default)]
pub struct Filling(BTreeMap<&'static str, Value>);

impl Filling {
    /// A text, calm, and escaped where it is put.
    pub fn text(&mut self, name: &'static str, text: &str) {
        self.0.insert(name, Value::Text(calm(text).into_owned()));
    }

    /// A finished part.
    pub fn part(&mut self, name: &'static str, part: String) {
        self.0.insert(name, Value::Part(part));
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
        self.0.insert(name, Value::Flag(holds));
    }

    pub(super) fn get(&self, name: &str) -> Option<&Value> {
        self.0.get(name)
    }

    pub(super) fn names(&self) -> String {
        self.0.keys().copied().collect::<Vec<_>>().join(", ")
    }
}

/// All templates, ready to use.
#[derive(Debug)]
pub struct Templates {
    /// By their names; a style sheet as it is.
    read: BTreeMap<&'static str, Template>,
}

impl Templates {
    /// The templates that come with the program.
    pub fn built_in() -> Self {
        Self::with(BTreeMap::new()).unwrap_or_else(|_| Self {
            read: BTreeMap::new(),
        })
    }

    /// Whether a template has this name.
    pub fn is_one(name: &str) -> bool {
        BUILT_IN.iter().any(|(known, ..)| *known == name)
    }

    /// Built-in templates with some files replaced: file name (`ct.md`) to its text.
    ///
    /// # Errors
    /// A name that is no template, a text that is none, or one that keeps from a reader what must be said.
    pub fn with(mut overrides: BTreeMap<String, String>) -> Result<Self, TemplateFault> {
        let mut read = BTreeMap::new();
        for (name, text, must) in BUILT_IN {
            let own = overrides.remove(*name);
            let template = Template::read(name, own.as_deref().unwrap_or(text))?;
            for value in *must {
                if template.always_puts(value) == 0 {
                    return Err(left_out(name, value));
                }
            }
            if *name == PAGE && template.puts(BODY) > 1 {
                return Err(TemplateFault {
                    message: "it puts {{ body }} more than once".to_owned(),
                    help: "a page has one body".to_owned(),
                    ..left_out(name, BODY)
                });
            }
            read.insert(*name, template);
        }
        match overrides.into_keys().next() {
            Some(name) => Err(stranger(&name)),
            None => Ok(Self { read }),
        }
    }

    /// Fills a template.
    ///
    /// # Errors
    /// When it asks for something that is not there.
    pub fn fill(&self, name: &str, filling: &Filling) -> Result<String, TemplateFault> {
        self.get(name)?.fill(filling)
    }

    /// What stands before and behind the body of a page.
    ///
    /// # Errors
    /// When it asks for something that is not there.
    pub(super) fn around_body(&self, filling: &Filling) -> Result<(String, String), TemplateFault> {
        self.get(PAGE)?.fill_around(BODY, filling)
    }

    /// Puts a template that is taken as it is, a style sheet, behind a text.
    pub(super) fn put(&self, name: &str, out: &mut String) -> Result<(), TemplateFault> {
        out.push_str(&self.get(name)?.fill(&Filling::default())?);
        Ok(())
    }

    fn get(&self, name: &str) -> Result<&Template, TemplateFault> {
        self.read.get(name).ok_or_else(|| stranger(name))
    }
}

fn left_out(file: &str, value: &str) -> TemplateFault {
    TemplateFault {
        file: file.to_owned(),
        line: None,
        message: format!("it does not put {{{{ {value} }}}}, which no reader may miss"),
        help: format!("put {{{{ {value} }}}} where it goes, outside any if"),
    }
}

/// What is told of a file that has the name of no template.
pub fn stranger(name: &str) -> TemplateFault {
    let known: Vec<&str> = BUILT_IN.iter().map(|(name, ..)| *name).collect();
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
