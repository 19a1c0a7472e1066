//! The templates: built in, each replaceable by a file of the client's with the same name.

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

/// All templates, ready to use.
#[derive(Debug, Default)]
pub struct Templates {}

impl Templates {
    /// The templates that come with the program.
    pub fn built_in() -> Self {
        Self::default()
    }

    /// Built-in templates with some files replaced: file name (`ct/head.md`) to its text.
    ///
    /// # Errors
    /// A name that is no template, or a text that cannot be parsed.
    pub fn with(overrides: BTreeMap<String, String>) -> Result<Self, TemplateFault> {
        let _ = overrides;
        Ok(Self::built_in())
    }

    /// Names of all template files that can be replaced.
    pub fn names() -> Vec<&'static str> {
        Vec::new()
    }

    /// Fills a template of the built-in or the pack's folder; for parts of a report that other
    /// modules write. Register those with [`Templates::with`].
    ///
    /// # Errors
    /// When the template cannot be filled.
    pub fn fill<T: serde::Serialize>(&self, name: &str, with: &T) -> Result<String, TemplateFault> {
        let _ = (name, with);
        Ok(String::new())
    }
}
