//! What is due at visits of a purpose: the register's own table, or the client's in its place.

use super::register::{ALL, Requirement};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::nearest::nearest;
use crate::ground::source::Source;
use crate::record::config;
use crate::record::criteria::{self, Criteria};
use crate::record::due::Due;
use crate::trade::Purposes;

impl Requirement {
    /// Whether visits of these purposes ask for it.
    pub fn is_due(&self, purposes: Purposes, table: &Due) -> bool {
        purposes.iter().any(|purpose| {
            let own = table.asks(purpose, self.id);
            own.unwrap_or_else(|| self.due.contains(&purpose))
        })
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
