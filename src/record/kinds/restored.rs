//! `[restored]`: the last look before the lid is closed.

use super::Context;
use crate::ground::span::{Given, Span};
use crate::record::schema::{Section, section};

pub static SCHEMA: Section = section! {
    "restored", Pair, "as left, checked by a second person";
    keys {
        "checked by": Text "the second person who looked";
    }
    columns {
        "core": Core "name of the core";
        "links": Text "test and shorting links as left";
        "earth": Text "where the secondary is earthed" or("ground");
        "earths counted": Number
            "earths found on the circuit; there is to be one" or("grounds counted");
        "in service": Text "pair as left connected";
        "remark": Text "anything else";
    }
};

/// How one core was left.
#[derive(Clone, Debug)]
pub struct CoreRestored {
    pub core: Option<usize>,
    pub links: Given<String>,
    pub earth: Given<String>,
    pub earths: Given<f64>,
    pub in_service: Given<String>,
    pub remark: Given<String>,
    pub span: Span,
}

/// How the CT was left.
#[derive(Clone, Debug)]
pub struct Restored {
    pub cores: Vec<CoreRestored>,
    pub checked_by: Given<String>,
}

pub fn read(c: &mut Context<'_>) -> Restored {
    let cores = c.rows(&[], |c, cells| CoreRestored {
        core: c.core(cells),
        links: cells.get("links"),
        earth: cells.get("earth"),
        earths: cells.get("earths counted"),
        in_service: cells.get("in service"),
        remark: cells.get("remark"),
        span: cells.row.span,
    });
    Restored {
        cores,
        checked_by: c.body.get("checked by"),
    }
}
