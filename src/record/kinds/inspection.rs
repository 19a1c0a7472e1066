//! `[inspection]`: what was looked at.

use super::Context;
use crate::ground::span::{Given, Span};
use crate::record::schema::{Section, section};

pub static SCHEMA: Section = section! {
    "inspection", Pair, "what was looked at: item | state | remark";
    keys {}
    columns {
        "item": Text "what was looked at";
        "state": Text "how it was";
        "remark": Text "anything else";
    }
};

/// One item.
#[derive(Clone, Debug)]
pub struct InspectionRow {
    pub item: Given<String>,
    pub state: Given<String>,
    pub remark: Given<String>,
    pub span: Span,
}

/// All items of one section.
#[derive(Clone, Debug)]
pub struct Inspection {
    pub rows: Vec<InspectionRow>,
}

pub fn read(c: &mut Context<'_>) -> Inspection {
    let rows = c.rows(&[], |_, cells| InspectionRow {
        item: cells.get("item"),
        state: cells.get("state"),
        remark: cells.get("remark"),
        span: cells.row.span,
    });
    Inspection { rows }
}
