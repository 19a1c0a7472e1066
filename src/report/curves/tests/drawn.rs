//! One chart of each kind, kept as text.

use insta::assert_snapshot;

use super::super::ErrorKind;
use super::samples::{excitation, factor, parallelogram, ratio, waveform};

#[test]
fn charts_stay_as_they_are() {
    assert_snapshot!("excitation", excitation().svg("exc"));
    assert_snapshot!("ratio", ratio(ErrorKind::Ratio).svg("ratio"));
    assert_snapshot!("phase", ratio(ErrorKind::Phase).svg("phase"));
    assert_snapshot!("parallelogram", parallelogram().svg("ieee"));
    assert_snapshot!("factor", factor(false).svg("alf"));
    assert_snapshot!("factor_at_least", factor(true).svg("alf"));
    assert_snapshot!("waveform", waveform().svg("wave"));
}
