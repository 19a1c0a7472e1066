//! Pairs of terminals.

/// Two terminals as written, not yet looked up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PairName {
    pub from: String,
    pub to: String,
}

/// Two terminals of one core, as positions in its marks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pair {
    /// Index of the core in the record.
    pub core: usize,
    pub from: u8,
    pub to: u8,
}

impl Pair {
    /// The same pair with the lower terminal first.
    #[must_use]
    pub fn ascending(self) -> Self {
        Self {
            core: self.core,
            from: self.from.min(self.to),
            to: self.from.max(self.to),
        }
    }
}
