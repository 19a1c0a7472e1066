//! `[polarity]`: which terminals rise together.

use super::{Context, Flux};
use crate::ground::span::Given;
use crate::record::body::Cells;
use crate::record::inputs::Fed;
use crate::record::schema::section;
use crate::record::value::choices;

section! {
    "polarity", "which terminals rise together";
    /// All of one section.
    Polarity {
        method: Choice(Method)
            "kick: by battery and direct-current meter; comparison: against a known CT; phase: by the phase of the ratio test";
        plus_on "plus on": Text
            "primary terminal that the battery's plus was touched to; the meter's plus is on the lower secondary terminal";
        "deflection": Choice(Deflection) "how the meter moved when the battery was connected";
        "result": Choice(Outcome) "result of a comparison";
    }
    /// What one pair showed.
    rows: PolarityRow by rows {
        on: Pair "pair that was read" or(&["pair"]);
        "input": Text "input of a summation CT that the battery was put to, the others open" set;
        deflection: Choice(Deflection) "how the meter moved on make" or(&["deflection on make"]);
        result: Choice(Outcome) "result of a comparison";
        remark: Text "anything else";
    } + {
        input: Option<Fed> = input;
    }
}

choices! {
    /// How polarity was found.
    #[strum(serialize_all = "lowercase")]
    pub enum Method {
        Kick,
        Comparison,
        Phase,
    }

    /// How the meter moved when the battery was connected.
    pub enum Deflection {
        #[strum(serialize = "up on make")]
        Up,
        #[strum(serialize = "down on make")]
        Down,
    }

    /// What a comparison showed.
    pub enum Outcome {
        #[strum(serialize = "as marked")]
        AsMarked,
        #[strum(serialize = "reversed")]
        Reversed,
    }
}

fn input(c: &mut Context<'_>, cells: &Cells<'_>) -> Option<Fed> {
    c.input(cells)
}

/// Without a table the keys speak of one pair. A battery leaves the core magnetised.
fn rows(c: &mut Context<'_>) -> Vec<PolarityRow> {
    let method = c.body.get::<Method>("method");
    let deflected = c.body.field("deflection").is_some()
        || c.body.tables.iter().any(|table| table.has("deflection"));
    let kicked = method.value() == Some(&Method::Kick) || (method.is_missing() && deflected);
    if kicked {
        c.flux = Flux::Remains;
    }
    c.rows_or_one(PolarityRow::read, |c, on| PolarityRow {
        on,
        deflection: c.body.get("deflection"),
        result: c.body.get("result"),
        remark: Given::Missing,
        input: None,
        span: c.body.open,
    })
}
