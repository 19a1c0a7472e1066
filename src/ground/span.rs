//! Byte ranges in a source text, and values that remember where they were written.

use std::ops::Range;

/// A half-open range of bytes in one source text. Sources are capped well below 4 GB.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    pub start: u32,
    pub end: u32,
}

impl Span {
    /// The range from `start` to `end`; positions past 4 GB are clamped (sources are capped before).
    pub fn new(start: usize, end: usize) -> Self {
        let clamp = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Self {
            start: clamp(start),
            end: clamp(end.max(start)),
        }
    }

    /// The smallest range that holds both.
    #[must_use]
    pub fn to(self, other: Self) -> Self {
        Self {
            start: self.start.min(other.start),
            end: self.end.max(other.end),
        }
    }

    /// Whether it has a byte with the other in common; one that is empty, whether it lies in the other.
    pub fn meets(self, other: Self) -> bool {
        let common = self
            .end
            .min(other.end)
            .saturating_sub(self.start.max(other.start));
        let inside = self.start <= other.end && other.start <= self.end;
        common > 0 || inside && (self.is_empty() || other.is_empty())
    }

    /// The first `len` bytes, and the rest.
    #[must_use]
    pub fn split_at(self, len: usize) -> (Self, Self) {
        let Range { start, end } = self.range();
        let cut = (start + len).min(end);
        (Self::new(start, cut), Self::new(cut, end))
    }

    /// The empty range at the end of this one, where something is missing.
    #[must_use]
    pub fn after(self) -> Self {
        Self {
            start: self.end,
            end: self.end,
        }
    }

    /// The range as `usize` bounds, for slicing.
    pub fn range(self) -> Range<usize> {
        self.start as usize..self.end as usize
    }

    /// Length in bytes.
    pub fn len(self) -> usize {
        (self.end - self.start) as usize
    }

    /// Whether the range holds no byte.
    pub fn is_empty(self) -> bool {
        self.start == self.end
    }
}

/// A value and the place where it was written. Without `PartialEq`: position is not meaning.
#[derive(Clone, Copy, Debug)]
pub struct Located<T> {
    pub value: T,
    pub span: Span,
}

impl<T> Located<T> {
    pub fn new(value: T, span: Span) -> Self {
        Self { value, span }
    }
}

/// What a record says of one thing. `Unreadable` silences follow-on errors: a diagnostic was given
/// where it stands, so nobody needs to hear that the value is missing as well.
#[derive(Clone, Copy, Debug, Default)]
pub enum Given<T> {
    Written(Located<T>),
    #[default]
    Missing,
    Unreadable(Span),
}

impl<T> Given<T> {
    /// The value with its place, when it could be read.
    pub fn get(&self) -> Option<&Located<T>> {
        match self {
            Self::Written(located) => Some(located),
            Self::Missing | Self::Unreadable(_) => None,
        }
    }

    /// The bare value, when it could be read.
    pub fn value(&self) -> Option<&T> {
        self.get().map(|located| &located.value)
    }

    /// Whether nothing was written at all.
    pub fn is_missing(&self) -> bool {
        matches!(self, Self::Missing)
    }

    /// Whether something is written there that could not be read.
    pub fn is_unreadable(&self) -> bool {
        self.unreadable().is_some()
    }

    /// Where something is written that could not be read.
    pub fn unreadable(&self) -> Option<Span> {
        match self {
            Self::Unreadable(span) => Some(*span),
            Self::Written(_) | Self::Missing => None,
        }
    }

    /// Where it was written, readable or not.
    pub fn span(&self) -> Option<Span> {
        match self {
            Self::Written(located) => Some(located.span),
            Self::Unreadable(span) => Some(*span),
            Self::Missing => None,
        }
    }
}
