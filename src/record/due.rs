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
    for (word, ids) in text.purposes {
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
        let ids = ids.into_iter().map(|id| {
            let at = config::span(&id);
            (id.into_inner(), at)
        });
        due.named.insert(purpose, ids.collect());
    }
    due
}
