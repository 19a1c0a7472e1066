//! The one scale of grades, on every surface.

/// What a finding comes to, in a summary; the worst is the greatest.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
pub enum Grade {
    /// Reported, nothing to say for or against.
    Info,
    /// Within its limit.
    Pass,
    /// Neither shown good nor bad.
    Open,
    /// For review: conditional fail, or an observation that a person has to weigh.
    Review,
    /// Outside its limit, or an observation that needs action.
    Fails,
}

impl Grade {
    /// All grades, the worst last.
    pub const ALL: [Self; 5] = [
        Self::Info,
        Self::Pass,
        Self::Open,
        Self::Review,
        Self::Fails,
    ];

    /// The word, the same on terminal, page and in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Info => "info",
            Self::Pass => "pass",
            Self::Open => "open",
            Self::Review => "review",
            Self::Fails => "fails",
        }
    }

    /// The shape that goes with it, so that nothing is told by colour alone.
    #[must_use]
    pub fn mark(self) -> char {
        match self {
            Self::Info => '·',
            Self::Pass => '●',
            Self::Open => '○',
            Self::Review => '▲',
            Self::Fails => '■',
        }
    }
}
