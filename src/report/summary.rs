//! What a report comes to as a whole.

use crate::document::Grade;
use crate::job::Compiled;
use crate::judge::requirement::{Claims, Sum, Unread};
use crate::judge::rules::Whose;

/// One CT.
#[derive(Debug)]
pub struct Summary {
    /// Whether the record could be read without an error.
    pub readable: bool,
    /// What the transformer, and the circuit it serves, come to.
    pub transformer: Option<Sum>,
    pub circuit: Option<Sum>,
    /// The worst grade of the way of measuring.
    pub measurement: Option<Grade>,
}

impl Summary {
    pub(super) fn of(ct: &Compiled, claims: &Claims<'_>) -> Self {
        Self {
            readable: ct.unread() == Unread::Nothing,
            transformer: claims.sum(Whose::Transformer, None),
            circuit: claims.sum(Whose::Circuit, None),
            measurement: claims.worst(Whose::Measurement),
        }
    }
}
