//! `[state]`: as found, before anything is touched. Star point, earth and links are where CTs trip
//! people and plants.

use super::Context;
use crate::ground::span::{Given, Located, Span};
use crate::record::core::{core_index, core_unknown};
use crate::record::schema::{Argument, Column, Key, Kind, Section};

pub static SCHEMA: Section = Section {
    name: "state",
    also: &[],
    argument: Argument::Pair,
    keys: &[
        Key::new(
            "primary",
            Kind::Text,
            "state of the primary: P1 open, P2 earthed",
        ),
        Key::new(
            "primary links",
            Kind::Text,
            "position of the primary links as found",
        ),
    ],
    columns: &[
        Column::new("core", Kind::Core, "name of the core"),
        Column::new("in service", Kind::Text, "pair that is connected, or spare"),
        Column::new("earth", Kind::Text, "where the secondary is earthed").or(&["ground"]),
        Column::new("star", Kind::Text, "terminal at the star point"),
        Column::new("links", Kind::Text, "test and shorting links"),
        Column::new("remark", Kind::Text, "anything else"),
    ],
    doc: "as found, before anything is touched",
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
    let mut cores = Vec::new();
    for cells in c
        .body
        .tables
        .iter()
        .flat_map(crate::record::reader::Table::cells)
    {
        cores.push(CoreState {
            core: core_of(c, &cells.text("core")),
            in_service: cells.text("in service"),
            earth: cells.text("earth"),
            star: cells.text("star"),
            links: cells.text("links"),
            remark: cells.text("remark"),
            span: cells.row.span,
        });
    }
    State {
        cores,
        primary: c.body.text("primary"),
        links: c.body.text("primary links"),
    }
}

/// Looks up a cell that names a core.
pub fn core_of(c: &mut Context<'_>, name: &Given<String>) -> Option<usize> {
    let Given::Written(Located { value, span }) = name else {
        return None;
    };
    let found = core_index(c.cores, value);
    if found.is_none() {
        c.found.push(core_unknown(value, *span, c.cores));
    }
    found
}
