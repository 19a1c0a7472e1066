//! `[state]`: as found, before anything is touched. Star point, earth and links are where CTs trip
//! people and plants.

use super::Context;
use crate::ground::span::{Given, Span};
use crate::record::schema::{Section, section};

pub static SCHEMA: Section = section! {
    "state", Pair, "as found, before anything is touched";
    keys {
        "primary": Text "state of the primary: P1 open, P2 earthed";
        "primary links": Text "position of the primary links as found";
    }
    columns {
        "core": Core "name of the core";
        "in service": Text "pair that is connected, or spare";
        "earth": Text "where the secondary is earthed" or("ground");
        "star": Text "terminal at the star point";
        "links": Text "test and shorting links";
        "remark": Text "anything else";
    }
};

/// How one core was found.
#[derive(Clone, Debug)]
pub struct CoreState {
    pub core: Option<usize>,
    pub in_service: Given<String>,
    pub earth: Given<String>,
    pub star: Given<String>,
    pub links: Given<String>,
    pub remark: Given<String>,
    pub span: Span,
}

/// How the CT was found.
#[derive(Clone, Debug)]
pub struct State {
    pub cores: Vec<CoreState>,
    pub primary: Given<String>,
    pub links: Given<String>,
}

pub fn read(c: &mut Context<'_>) -> State {
    let cores = c.rows(&[], |c, cells| CoreState {
        core: c.core(cells),
        in_service: cells.get("in service"),
        earth: cells.get("earth"),
        star: cells.get("star"),
        links: cells.get("links"),
        remark: cells.get("remark"),
        span: cells.row.span,
    });
    State {
        cores,
        primary: c.body.get("primary"),
        links: c.body.get("primary links"),
    }
}
