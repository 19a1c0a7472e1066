//! Taking readings out of what was read of a test, by the places where they stand.

use crate::ground::span::{Given, Span};

/// What may hold a reading.
pub trait Taken {
    /// What stands in one of these places counts as unreadable from now on.
    fn take_out(&mut self, places: &[Span]);
}

impl<T> Taken for Given<T> {
    fn take_out(&mut self, places: &[Span]) {
        if let Some(span) = self.span().filter(|span| places.contains(span)) {
            *self = Self::Unreadable(span);
        }
    }
}

impl<T: Taken> Taken for Vec<T> {
    fn take_out(&mut self, places: &[Span]) {
        for one in self {
            one.take_out(places);
        }
    }
}

/// What a row or a section says of its subject is no reading.
impl<T> Taken for Option<T> {
    fn take_out(&mut self, _: &[Span]) {}
}

/// Nor is its place.
impl Taken for Span {
    fn take_out(&mut self, _: &[Span]) {}
}
