//! One template: text with places for values, and stretches that stand only where something is there to be said.
//!
//! The language is as small as that on purpose. A template comes from a client, and whatever it says, a page must be
//! made in the time that it takes to copy its parts: there are no loops, no variables, no filters and nothing
//! that includes, and each value is put a few times at most.

mod read;
#[cfg(test)]
mod tests;

use super::escape::escape_markdown;
use super::escape_html;
use super::templates::{Filling, TemplateFault, Value};
pub use read::{DEEPEST, MOST_BYTES, MOST_TAGS, MOST_TIMES, MOST_WORDS};

/// What a text of others is escaped for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Html,
    Markdown,
    /// A style sheet, which is taken as it is.
    Plain,
}

/// A template that was read.
#[derive(Clone, Debug)]
pub struct Template {
    file: String,
    kind: Kind,
    nodes: Vec<Node>,
}

#[derive(Clone, Debug)]
enum Node {
    Text(String),
    Put(Name),
    /// The first stretch whose condition holds; one without a condition stands last.
    If(Vec<(Option<Condition>, Vec<Node>)>),
}

/// The name of a value, and the line that asks for it.
#[derive(Clone, Debug)]
struct Name {
    text: String,
    line: usize,
}

/// One of these, of each of which all hold; a name may be denied.
#[derive(Clone, Debug)]
struct Condition(Vec<Vec<(bool, Name)>>);

impl Template {
    /// How often a value is put whatever holds.
    pub fn always_puts(&self, name: &str) -> usize {
        let puts = |node: &&Node| matches!(node, Node::Put(own) if own.text == name);
        self.nodes.iter().filter(puts).count()
    }

    /// How often a value is put at most.
    pub fn puts(&self, name: &str) -> usize {
        puts(&self.nodes, name)
    }

    /// Fills it.
    ///
    /// # Errors
    /// When it asks for a value that is not there.
    pub fn fill(&self, filling: &Filling) -> Result<String, TemplateFault> {
        let mut out = String::new();
        self.ask(&self.nodes, filling)?;
        self.put(&self.nodes, filling, &mut out)?;
        Ok(out)
    }

    /// Fills what stands before and behind the one place of a value.
    ///
    /// # Errors
    /// When it asks for a value that is not there.
    pub fn fill_around(
        &self,
        name: &str,
        filling: &Filling,
    ) -> Result<(String, String), TemplateFault> {
        let is_it = |node: &Node| matches!(node, Node::Put(own) if own.text == name);
        let at = self
            .nodes
            .iter()
            .position(is_it)
            .unwrap_or(self.nodes.len());
        let (before, behind) = self.nodes.split_at(at);
        self.ask(before, filling)?;
        self.ask(behind.get(1..).unwrap_or_default(), filling)?;
        let (mut front, mut end) = (String::new(), String::new());
        self.put(before, filling, &mut front)?;
        self.put(behind.get(1..).unwrap_or_default(), filling, &mut end)?;
        Ok((front, end))
    }

    /// Asks for every value that is named anywhere: a wrong name is told on the first page, not on the first one
    /// that has something to say there.
    fn ask(&self, nodes: &[Node], filling: &Filling) -> Result<(), TemplateFault> {
        for node in nodes {
            match node {
                Node::Text(_) => {}
                Node::Put(name) => {
                    self.value(name, filling)?;
                }
                Node::If(arms) => {
                    for (condition, nodes) in arms {
                        let names = condition.iter().flat_map(|condition| &condition.0);
                        for (_, name) in names.flatten() {
                            self.value(name, filling)?;
                        }
                        self.ask(nodes, filling)?;
                    }
                }
            }
        }
        Ok(())
    }

    fn put(
        &self,
        nodes: &[Node],
        filling: &Filling,
        out: &mut String,
    ) -> Result<(), TemplateFault> {
        for node in nodes {
            match node {
                Node::Text(text) => out.push_str(text),
                Node::Put(name) => match self.value(name, filling)? {
                    Value::Part(part) => out.push_str(part),
                    Value::Text(text) => match self.kind {
                        Kind::Html => out.push_str(&escape_html(text)),
                        Kind::Markdown => out.push_str(&escape_markdown(text)),
                        Kind::Plain => out.push_str(text),
                    },
                    Value::Flag(holds) => out.push_str(if *holds { "true" } else { "false" }),
                },
                Node::If(arms) => {
                    for (condition, nodes) in arms {
                        let holds = match condition {
                            Some(condition) => self.holds(condition, filling)?,
                            None => true,
                        };
                        if holds {
                            self.put(nodes, filling, out)?;
                            break;
                        }
                    }
                }
            }
        }
        Ok(())
    }

    fn holds(&self, condition: &Condition, filling: &Filling) -> Result<bool, TemplateFault> {
        let mut one = false;
        for all in &condition.0 {
            let mut each = true;
            for (is_denied, name) in all {
                each &= self.value(name, filling)?.says_something() != *is_denied;
            }
            one |= each;
        }
        Ok(one)
    }

    fn value<'f>(&self, name: &Name, filling: &'f Filling) -> Result<&'f Value, TemplateFault> {
        filling.get(&name.text).ok_or_else(|| TemplateFault {
            file: self.file.clone(),
            line: Some(name.line),
            message: format!("nothing has the name {}", name.text),
            help: format!(
                "it is given {}; templates/README.md says what they are",
                filling.names()
            ),
        })
    }
}

fn puts(nodes: &[Node], name: &str) -> usize {
    let of = |node: &Node| match node {
        Node::Text(_) => 0,
        Node::Put(own) => usize::from(own.text == name),
        Node::If(arms) => arms.iter().map(|(_, nodes)| puts(nodes, name)).sum(),
    };
    nodes.iter().map(of).sum()
}
