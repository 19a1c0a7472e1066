//! The phase that a reading is of, and the neutral.

use super::value::choices;

choices! {
    /// One of the three, in the order in which they follow one another, or what they make together.
    #[derive(PartialOrd, Ord, strum::IntoStaticStr)]
    pub enum Phase {
        L1,
        L2,
        L3,
        N,
    }
}

impl Phase {
    /// The three, in their order.
    pub const ALL: [Self; 3] = [Self::L1, Self::L2, Self::L3];

    /// As written.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.into()
    }
}
