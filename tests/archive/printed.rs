//! One table on standard output, and what is no table.

use super::export;
use std::fs;
use std::path::Path;

#[test]
fn one_table_is_printed() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let place = tempfile::tempdir().expect("a folder");
    let record = root.join("records/skerrow/k03/k03-l1.ctr");
    let record = record.to_str().expect("text");
    assert_eq!(export(place.path(), &[record, "--to", "out"]).0, Some(0));
    for table in ["quantities", "cores"] {
        let (code, said) = export(place.path(), &[record, "--to", "-", "--table", table]);
        assert_eq!(code, Some(0));
        let written = fs::read_to_string(place.path().join(format!("out/{table}.csv")));
        assert_eq!(said, written.expect("a sheet"));
        assert!(said.lines().all(|line| !line.is_empty()) && said.ends_with("\r\n"));
    }
    let (code, said) = export(place.path(), &[record, "--to", "-", "--format", "sqlite"]);
    assert_eq!(code, Some(64), "{said}");
}
