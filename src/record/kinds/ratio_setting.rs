//! `[ratio-setting]`: the ratio that relays and meters are set to.

use super::Context;
use crate::record::schema::section;

section! {
    "ratio-setting", "the ratio that relays and meters of a circuit are set to";
    /// All of one section.
    RatioSetting {}
    /// One relay or meter.
    rows: RatioSettingRow by rows {
        core: Core "name of the core";
        at: Text "the relay or meter, by its mark" set;
        ratio: Ratio "the ratio that it is set to: 600/1";
        remark: Text "anything else";
    }
}

fn rows(c: &mut Context<'_>) -> Vec<RatioSettingRow> {
    c.rows_of_cores(&[], RatioSettingRow::read, |row| row.core)
}
