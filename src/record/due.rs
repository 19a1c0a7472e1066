//! `[due]` of criteria.toml: what a client asks for at visits of a purpose, in place of the program's own
//! table.

use super::config;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::nearest::nearest;
use crate::ground::span::Span;
use crate::trade::Purpose;
use serde::Deserialize;
use std::collections::BTreeMap;
use toml::Spanned;

/// The requirements that are due, by their ids; of a purpose that is not named, the program's own.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Due {
    /// With the place where each is written.
    pub named: BTreeMap<Purpose, BTreeMap<String, Span>>,
}

impl Due {
    /// Whether a requirement is due at a purpose; `None` where the client says nothing of that purpose.
    pub fn asks(&self, purpose: Purpose, id: &str) -> Option<bool> {
        let ids = self.named.get(&purpose)?;
        Some(ids.contains_key(id))
    }
}

/// The table as written.
#[derive(Deserialize, Default)]
#[serde(transparent)]
pub(super) struct DueText {
    purposes: BTreeMap<Spanned<String>, Vec<Spanned<String>>>,
}

/// Reads it; whether the ids are known is told where they are.
pub(super) fn read(text: DueText, found: &mut Vec<Diagnostic>) -> Due {
    let mut due = Due::default();
    let mut texts: Vec<_> = text.purposes.into_iter().collect();
    texts.sort_by_key(|(word, _)| word.span().start);
    let mut first: BTreeMap<Purpose, Span> = BTreeMap::new();
    for (word, ids) in texts {
        let purpose: Option<Purpose> = match word.get_ref().parse() {
            Ok(Purpose::Other) | Err(_) => None,
            Ok(purpose) => Some(purpose),
        };
        let Some(purpose) = purpose else {
            let title = format!("`{}` is no purpose of a visit", word.get_ref());
            let near = nearest(word.get_ref(), Purpose::WORDS.iter().copied());
            let help = match near {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => format!("the purposes are {}", Purpose::WORDS.join(", ")),
            };
            found.push(config::fault(config::span(&word), title, &help));
            continue;
        };
        if purpose == Purpose::Retest {
            let title = "a retest asks for what the visits before it left open".to_owned();
            let help = "take this line out";
            found.push(config::fault(config::span(&word), title, help));
            continue;
        }
        if let Some(before) = first.insert(purpose, config::span(&word)) {
            let title = format!("`{}` is the same purpose as one above", word.get_ref());
            let help = "write what is due at visits of one purpose in one line";
            let told = config::fault(config::span(&word), title, help);
            found.push(told.other(before, "first here"));
            continue;
        }
        let ids = ids.into_iter().map(|id| {
            let at = config::span(&id);
            (id.into_inner(), at)
        });
        due.named.insert(purpose, ids.collect());
    }
    due
}

#[cfg(test)]
mod tests {
    use crate::ground::source::Source;

    #[test]
    fn one_purpose_in_two_spellings_is_told_with_both_places() {
        let text = "[due]\n\"before energizing\" = []\n\"before energising\" = [\"ratio\"]\n";
        let source = Source::new("criteria.toml", text.as_bytes()).0;
        let told = crate::record::criteria::read(&source).1;
        let [one] = told.as_slice() else {
            panic!("{told:?}")
        };
        let first = one.others.first().map(|(span, _)| source.slice(*span));
        assert_eq!(first, Some("\"before energizing\""));
        assert_eq!(source.slice(one.span), "\"before energising\"");
    }
}
