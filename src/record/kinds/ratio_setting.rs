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
    let rows = c.rows(&[], RatioSettingRow::read);
    c.touch(rows.iter().filter_map(|row| row.core));
    rows
}
