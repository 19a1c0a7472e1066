//! `[injection]`: current fed into the circuit in the place of the core, and what relays and meters show of it.

use super::Context;
use crate::ground::span::Given;
use crate::record::body::Cells;
use crate::record::phase::Phase;
use crate::record::readings::Measure;
use crate::record::schema::section;

section! {
    "injection", "current fed into the circuit in the place of the core, and what is shown of it";
    /// All of one section.
    Injection {
        limit: Percent "largest error that the maker of the relay or meter states" positive;
    }
    /// One reading.
    rows: InjectionRow by rows {
        core: Core "name of the core";
        at: Text "the relay or meter, by its mark" set;
        phase: Choice(Phase) "the phase that was fed, or is read beside it" set;
        current: Current "current that was fed; 0 of a phase that was not fed" set unsigned measures(Measure::Current);
        reading: Current "current that the relay or meter shows" unsigned;
        ratio: Ratio "the ratio that it is set to, where it shows primary current" set;
        remark: Text "anything else";
    }
}

fn rows(c: &mut Context<'_>) -> Vec<InjectionRow> {
    let read = |c: &mut Context<'_>, cells: &Cells<'_>| {
        let mut row = InjectionRow::read(c, cells);
        // Of what it was read nobody knows.
        if !cells.is_named() {
            row.reading = Given::Unreadable(row.span);
        }
        row
    };
    c.rows_of_cores(&[], read, |row| row.core)
}
