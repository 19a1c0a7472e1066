//! Whole sheets, read by eye when they change.

use super::{sheet, unit};

#[test]
fn three_terminals_under_iec() {
    insta::assert_snapshot!(sheet(&unit("h12-line-l1.ctr")).markdown);
}

#[test]
fn five_terminals_under_ieee() {
    insta::assert_snapshot!(sheet(&unit("e1-l1.ctr")).markdown);
}
