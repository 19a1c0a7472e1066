//! `[load]`: on-load current and angle per core, the final proof of star point and ratio.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Span};
use crate::record::schema::{Section, section};

pub static SCHEMA: Section = section! {
    "load", Pair, "current and angle under load, per core";
    keys {
        "primary current": Current "primary current by another measurement";
    }
    columns {
        "core": Core "name of the core";
        "at": Text "relay or meter terminal where it was read";
        "current": Current "secondary current" positive;
        "angle": Angle "angle against the reference voltage";
        "remark": Text "anything else";
    }
};

/// One reading.
#[derive(Clone, Debug)]
pub struct LoadRow {
    pub core: Option<usize>,
    pub at: Given<String>,
    pub current: Given<Quantity>,
    pub angle: Given<Quantity>,
    pub remark: Given<String>,
    pub span: Span,
}

/// All readings of one section.
#[derive(Clone, Debug)]
pub struct Load {
    pub primary_current: Given<Quantity>,
    pub rows: Vec<LoadRow>,
}

pub fn read(c: &mut Context<'_>) -> Load {
    let rows = c.rows(&[], |c, cells| LoadRow {
        core: c.core(cells),
        at: cells.get("at"),
        current: cells.get("current"),
        angle: cells.get("angle"),
        remark: cells.get("remark"),
        span: cells.row.span,
    });
    Load {
        primary_current: c.body.get("primary current"),
        rows,
    }
}
