//! `[load]`: current and angle per core while the primary carries current, the final proof of star point and
//! ratio.

use super::Context;
use crate::ground::span::Given;
use crate::record::body::Cells;
use crate::record::phase::Phase;
use crate::record::schema::section;
use crate::record::value::choices;

section! {
    "load", "current and angle per core, while the primary carries current";
    /// All readings of one section.
    Load {
        method: Choice(Method)
            "load: current of the network; primary injection: from a source, in this unit's phase alone; load unless written";
        taken: Moment "when it was read, where that is not the day of the visit, or its time matters";
        primary_current "primary current": Current "primary current by another measurement";
        primary_angle "primary angle": Angle
            "its angle in this unit's phase, against the same as those of the rows" signed;
        angles_against "angles against": Text "what all angles are against: L1 to N of the busbar VT";
        angles: Choice(Sense) "leading or lagging: which way all angles count";
        rotation: Choice(Rotation) "in which order the phases of the network follow one another";
    }
    /// One reading.
    rows: LoadRow by rows {
        core: Core "name of the core";
        at: Text "relay or meter terminal where it was read" set;
        phase: Choice(Phase) "the phase that was read, or N; this unit's own unless written" set;
        primary: Current "primary current of this reading, instead of the section's" unsigned;
        current: Current "secondary current" unsigned;
        angle: Angle "angle against the reference";
        remark: Text "anything else";
    }
}

choices! {
    /// Where the current of the primary comes from.
    #[strum(serialize_all = "lowercase")]
    pub enum Method {
        Load,
        #[strum(serialize = "primary injection")]
        PrimaryInjection,
    }

    /// Which way angles count.
    #[strum(serialize_all = "lowercase")]
    pub enum Sense {
        /// What comes earlier has the greater angle.
        Leading,
        Lagging,
    }

    /// In which order the phases follow one another, by either way of naming them.
    pub enum Rotation {
        #[strum(serialize = "L1 L2 L3")]
        Forward,
        #[strum(serialize = "L1 L3 L2")]
        Reversed,
        #[strum(serialize = "A B C")]
        Letters,
        #[strum(serialize = "A C B")]
        LettersReversed,
    }
}

impl Rotation {
    /// Whether the third phase follows the first.
    #[must_use]
    pub fn is_reversed(self) -> bool {
        matches!(self, Self::Reversed | Self::LettersReversed)
    }
}

impl Load {
    /// Whether one phase alone was driven, by a source.
    #[must_use]
    pub fn is_injected(&self) -> bool {
        self.method.value() == Some(&Method::PrimaryInjection)
    }

    /// Whether the network drove the current, and a reading was taken: the primary was energised.
    #[must_use]
    pub fn is_energised(&self) -> bool {
        let by_load = self.method.is_missing() || self.method.value() == Some(&Method::Load);
        by_load && self.rows.iter().any(|row| !row.current.is_missing())
    }

    /// The phase of the unit: as its place says, else the only one that the rows name.
    #[must_use]
    pub fn own(&self, of_place: Option<Phase>) -> Option<Phase> {
        let named = self.rows.iter().filter_map(|row| row.phase.value());
        let mut named = named.filter(|phase| **phase != Phase::N);
        let first = named.next().copied();
        of_place.or(first.filter(|first| named.all(|phase| phase == first)))
    }
}

fn rows(c: &mut Context<'_>) -> Vec<LoadRow> {
    let read = |c: &mut Context<'_>, cells: &Cells<'_>| {
        let mut row = LoadRow::read(c, cells);
        // Of what it was read nobody knows.
        if !cells.is_named() {
            row.current = Given::Unreadable(row.span);
            row.angle = Given::Unreadable(row.span);
        }
        row
    };
    c.rows_of_cores(&[], read, |row| row.core)
}
