//! The plain page that stands where a template cannot be used: it says so, and says no result.

use crate::document::{Block, Pictures, TemplateFault, Text, Within, finish, html, print};

/// A document in place of one that could not be made.
pub struct Plain(String);

impl Plain {
    pub fn new(title: &str, fault: &TemplateFault) -> Self {
        let said = Text::strong("This page could not be made.").plain(format!(" {fault}"));
        let blocks = [Block::heading(1, title), Block::Paragraph(said)];
        Self(print(&blocks, &mut Pictures::new()))
    }

    /// The inside of a page.
    pub fn article(&self, lower: usize) -> String {
        let within = Within {
            lower,
            ..Within::default()
        };
        let body = html(&self.0, &Pictures::new(), &within);
        format!("<article>{body}</article>\n")
    }

    /// The page in Markdown.
    pub fn markdown(&self) -> String {
        finish(&self.0, "")
    }
}
