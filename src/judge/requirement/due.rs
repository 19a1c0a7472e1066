//! What is due at visits of a purpose: the register's own table, or the client's in its place.

use super::register::{ALL, RATIO, RESISTANCE, RESISTANCE_LIMIT, Requirement, TURNS};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::nearest::nearest;
use crate::ground::source::Source;
use crate::record::config;
use crate::record::criteria::{self, Criteria};
use crate::record::due::Due;
use crate::trade::{Purpose, Purposes};

impl Requirement {
    /// Whether visits of these purposes ask for it.
    pub fn is_due(&self, purposes: Purposes, table: &Due) -> bool {
        purposes.iter().any(|purpose| {
            let own = table.asks(purpose, self.id);
            let own = own.map(|own| own || self.is_instead(purpose, table));
            own.unwrap_or_else(|| self.due.contains(&purpose))
        })
    }

    /// Whether the client's table itself names it.
    pub fn is_named(&self, purposes: Purposes, table: &Due) -> bool {
        let mut purposes = purposes.iter();
        purposes.any(|purpose| table.asks(purpose, self.id) == Some(true))
    }

    /// Whether the table names the one in whose place it stands: a class decides which of two is on the list,
    /// and a client who asks for a ratio asks for it of every class.
    fn is_instead(&self, purpose: Purpose, table: &Due) -> bool {
        let pairs = [(&TURNS, &RATIO), (&RESISTANCE_LIMIT, &RESISTANCE)];
        let either = pairs.into_iter().flat_map(|(a, b)| [(a, b), (b, a)]);
        let mut other = either.filter(|(own, _)| *own == self);
        other.any(|(_, other)| table.asks(purpose, other.id) == Some(true))
    }
}

/// Reads criteria.toml, as a whole or not at all; what it asks for has to be on the register.
pub fn read_criteria(source: &Source) -> (Criteria, Vec<Diagnostic>) {
    let (criteria, mut found) = criteria::read(source);
    let named = criteria.due.named.values().flatten();
    let unknown = named.filter(|(id, _)| !ALL.iter().any(|one| one.id == *id));
    let told: Vec<Diagnostic> = unknown
        .map(|(id, at)| {
            let title = format!("there is no requirement `{id}`");
            let help = match nearest(id, ALL.iter().map(|one| one.id)) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => "the chapter on requirements in the manual has the list".to_owned(),
            };
            config::fault(*at, title, &help)
        })
        .collect();
    if told.is_empty() {
        return (criteria, found);
    }
    found.extend(told);
    (Criteria::not_read(source), found)
}
