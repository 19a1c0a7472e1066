//! From the text of a template to what it says, within its bounds.

use super::{Condition, Kind, Name, Node, Template};
use crate::document::TemplateFault;
use crate::ground::calm::steers;
use std::collections::BTreeMap;

/// Bytes of a template.
pub const MOST_BYTES: usize = 1 << 20;
/// Places and conditions of a template.
pub const MOST_TAGS: usize = 1000;
/// Conditions within each other.
pub const DEEPEST: usize = 32;
/// How often one value may be put.
pub const MOST_TIMES: usize = 10;
/// Words of one condition.
pub const MOST_WORDS: usize = 40;

impl Template {
    /// Reads a template.
    ///
    /// # Errors
    /// What is no tag of the language, or beyond one of the bounds, with its line.
    pub fn read(file: &str, text: &str) -> Result<Self, TemplateFault> {
        let fault = |line: Option<usize>, message: &str, help: &str| TemplateFault {
            file: file.to_owned(),
            line,
            message: message.to_owned(),
            help: help.to_owned(),
        };
        if text.len() > MOST_BYTES {
            let message = format!(
                "it has {} bytes; a template has {MOST_BYTES} at most",
                text.len()
            );
            return Err(fault(
                None,
                &message,
                "pictures belong into the pack's mark, not into a template",
            ));
        }
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let odd = |c: char| steers(c) && !matches!(c, '\n' | '\r' | '\t');
        if let Some((before, _)) = text.split_once(odd) {
            let help = "save it as plain text";
            let message = "it holds a control character, or one that turns the writing";
            return Err(fault(Some(lines(before) + 1), message, help));
        }
        let kind = match file.rsplit_once('.') {
            Some((_, "html")) => Kind::Html,
            Some((_, "md")) => Kind::Markdown,
            _ => Kind::Plain,
        };
        let mut read = Reader::default();
        if kind == Kind::Plain {
            read.text(text);
        } else {
            let mut line = 1;
            let told = |(line, message, help): Told| fault(Some(line), &message, help);
            // One line end at the end of the file is the editor's.
            let mut rest = text.strip_suffix('\n').unwrap_or(text);
            rest = rest.strip_suffix('\r').unwrap_or(rest);
            while let Some((before, sign, behind)) = next_tag(rest) {
                line += lines(before);
                let (inner, after) = behind.split_once(sign.close()).ok_or_else(|| {
                    told((line, format!("`{}` is not closed", sign.open()), LANGUAGE))
                })?;
                read.text(before);
                let after = read.tag(sign, inner, line, after).map_err(told)?;
                // What was passed: the tag, and the blanks that go with it.
                let passed = behind.len() - after.len();
                line += lines(behind.get(..passed).unwrap_or_default());
                rest = after;
            }
            read.text(rest);
            read.complete().map_err(told)?;
        }
        Ok(Self {
            file: file.to_owned(),
            kind,
            nodes: read.nodes,
        })
    }
}

/// A condition whose end is still to come.
struct Open {
    line: usize,
    arms: Vec<(Option<Condition>, Vec<Node>)>,
    condition: Option<Condition>,
    nodes: Vec<Node>,
}

/// Line, message and help.
type Told = (usize, String, &'static str);

const LANGUAGE: &str = "a template knows {{ name }}, {% if name %}, {% elif name %}, {% else %}, {% endif %} with not, and, or, and {# remarks #}; templates/README.md says more";

/// What a tag is, by its second sign.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sign {
    Value,
    Condition,
    Remark,
}

impl Sign {
    const ALL: [Self; 3] = [Self::Value, Self::Condition, Self::Remark];

    fn open(self) -> &'static str {
        match self {
            Self::Value => "{{",
            Self::Condition => "{%",
            Self::Remark => "{#",
        }
    }

    fn close(self) -> &'static str {
        match self {
            Self::Value => "}}",
            Self::Condition => "%}",
            Self::Remark => "#}",
        }
    }
}

/// What stands before the next tag, its sign, and what stands behind that.
fn next_tag(text: &str) -> Option<(&str, Sign, &str)> {
    let mut braces = text.match_indices('{');
    braces.find_map(|(at, _)| {
        let (before, rest) = text.split_at_checked(at)?;
        let sign = Sign::ALL
            .into_iter()
            .find(|sign| rest.starts_with(sign.open()))?;
        Some((before, sign, rest.get(2..)?))
    })
}

fn lines(text: &str) -> usize {
    text.bytes().filter(|byte| *byte == b'\n').count()
}

#[derive(Default)]
struct Reader {
    nodes: Vec<Node>,
    open: Vec<Open>,
    tags: usize,
    times: BTreeMap<String, usize>,
}

impl Reader {
    fn now(&mut self) -> &mut Vec<Node> {
        match self.open.last_mut() {
            Some(open) => &mut open.nodes,
            None => &mut self.nodes,
        }
    }

    fn text(&mut self, text: &str) {
        if !text.is_empty() {
            self.now().push(Node::Text(text.to_owned()));
        }
    }

    /// Takes blanks off the end of the text before a tag: all of them, or those of a line that has nothing else.
    fn trim(&mut self, all: bool) {
        let is_first = self.now().len() == 1;
        let Some(Node::Text(text)) = self.now().last_mut() else {
            return;
        };
        let kept = match all {
            true => text.trim_end(),
            false => text.trim_end_matches([' ', '\t']),
        };
        if all || kept.ends_with('\n') || kept.is_empty() && is_first {
            text.truncate(kept.len());
        }
    }

    /// Takes a tag; gives what is left of the text behind it.
    fn tag<'t>(
        &mut self,
        sign: Sign,
        inner: &str,
        line: usize,
        after: &'t str,
    ) -> Result<&'t str, Told> {
        self.tags += 1;
        if self.tags > MOST_TAGS {
            let message = format!("it has more than {MOST_TAGS} tags");
            return Err((line, message, "leave out what is not needed"));
        }
        let eats_before = inner.starts_with('-');
        let eats_behind = inner.ends_with('-');
        if eats_before || sign != Sign::Value {
            self.trim(eats_before);
        }
        let said = inner.strip_prefix('-').unwrap_or(inner);
        let said = said.strip_suffix('-').unwrap_or(said).trim();
        match sign {
            Sign::Remark => {}
            Sign::Value => {
                let name = name(said, line)?;
                let times = self.times.entry(name.text.clone()).or_default();
                *times += 1;
                if *times > MOST_TIMES {
                    let message = format!("it puts {} more than {MOST_TIMES} times", name.text);
                    return Err((line, message, "put it once, where it belongs"));
                }
                self.now().push(Node::Put(name));
            }
            Sign::Condition => self.condition(said, line)?,
        }
        Ok(match (eats_behind, sign) {
            (true, _) => after.trim_start(),
            (false, Sign::Value) => after,
            // A line of its own leaves none.
            (false, _) => {
                let after_return = after.strip_prefix('\r').unwrap_or(after);
                after_return.strip_prefix('\n').unwrap_or(after)
            }
        })
    }

    fn condition(&mut self, said: &str, line: usize) -> Result<(), Told> {
        let (word, rest) = said.split_once(char::is_whitespace).unwrap_or((said, ""));
        let strange = || {
            (
                line,
                format!("`{{% {} %}}` is no tag", shortened(said)),
                LANGUAGE,
            )
        };
        if word == "if" {
            if self.open.len() == DEEPEST {
                let message = format!("more than {DEEPEST} conditions stand within each other");
                return Err((line, message, "close what is open, or join them with and"));
            }
            self.open.push(Open {
                line,
                arms: Vec::new(),
                condition: Some(condition(rest, line)?),
                nodes: Vec::new(),
            });
            return Ok(());
        }
        let next = match (word, rest) {
            ("elif", rest) => Some(condition(rest, line)?),
            ("else" | "endif", "") => None,
            _ => return Err(strange()),
        };
        let unopened = || (line, format!("`{word}` has no if before it"), LANGUAGE);
        let open = self.open.last_mut().ok_or_else(unopened)?;
        if open.condition.is_none() && !open.arms.is_empty() && word != "endif" {
            return Err((line, format!("`{word}` stands behind else"), LANGUAGE));
        }
        let nodes = std::mem::take(&mut open.nodes);
        open.arms
            .push((std::mem::replace(&mut open.condition, next), nodes));
        if word == "endif"
            && let Some(open) = self.open.pop()
        {
            self.now().push(Node::If(open.arms));
        }
        Ok(())
    }

    fn complete(&self) -> Result<(), Told> {
        match self.open.last() {
            Some(open) => Err((open.line, "this if has no endif".to_owned(), LANGUAGE)),
            None => Ok(()),
        }
    }
}

/// Names with not, and, or between them; and binds first.
fn condition(said: &str, line: usize) -> Result<Condition, Told> {
    if said.split_whitespace().count() > MOST_WORDS {
        let message = format!("a condition has {MOST_WORDS} words at most");
        return Err((line, message, LANGUAGE));
    }
    let any = said.split_whitespace().collect::<Vec<_>>();
    let any = any.split(|word| *word == "or").map(|all| {
        let all = all.split(|word| *word == "and").map(|one| {
            let strange = || {
                (
                    line,
                    format!("`{}` is no condition", shortened(said)),
                    LANGUAGE,
                )
            };
            match one {
                [one] => Ok((false, name(one, line)?)),
                ["not", one] => Ok((true, name(one, line)?)),
                _ => Err(strange()),
            }
        });
        all.collect::<Result<Vec<_>, Told>>()
    });
    Ok(Condition(any.collect::<Result<_, Told>>()?))
}

fn name(said: &str, line: usize) -> Result<Name, Told> {
    let is_letter = |c: char| c.is_ascii_lowercase() || c == '_';
    let is_name = said.starts_with(is_letter)
        && said.chars().all(|c| is_letter(c) || c.is_ascii_digit())
        && !["not", "and", "or", "if"].contains(&said);
    if !is_name {
        let message = match said.contains(['{', '\n']) {
            true => "this `{{` is not closed".to_owned(),
            false => format!("`{}` is not the name of a value", shortened(said)),
        };
        return Err((line, message, LANGUAGE));
    }
    Ok(Name {
        text: said.to_owned(),
        line,
    })
}

/// The front of a long text.
fn shortened(text: &str) -> String {
    const MOST: usize = 40;
    match text.char_indices().nth(MOST) {
        Some((at, _)) => format!("{}\u{2026}", text.get(..at).unwrap_or_default()),
        None => text.to_owned(),
    }
}
