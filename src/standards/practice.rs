//! Limits and constants that are one number each, and the lists of standard values.

use std::sync::LazyLock;

use super::cited::{Threshold, ValueList};
use super::store::ById;

static THRESHOLDS: LazyLock<ById<Threshold>> = LazyLock::new(|| ById::of("threshold"));
static VALUES: LazyLock<ById<ValueList>> = LazyLock::new(|| ById::of("values"));

/// A single number by its stable id, of whichever file.
#[must_use]
pub fn threshold(id: &str) -> Option<&'static Threshold> {
    THRESHOLDS.get(id)
}

/// A list of standard values by its stable id.
#[must_use]
pub fn values(id: &str) -> Option<&'static ValueList> {
    VALUES.get(id)
}

#[cfg(test)]
mod tests {
    use crate::standards::store::all;

    #[test]
    fn each_row_stands_on_a_line_of_its_own_and_is_found_by_its_id() {
        let mut found = [0, 0];
        for (group, row) in all::<toml::Table>() {
            let id = row["id"].as_str().expect("an id");
            match group {
                "threshold" => {
                    found[0] += 1;
                    assert_eq!(super::threshold(id).expect(id).cited.id, id);
                }
                "values" => {
                    found[1] += 1;
                    assert_eq!(super::values(id).expect(id).cited.id, id);
                }
                _ => {}
            }
        }
        assert!(found.iter().all(|count| *count > 3), "{found:?}");
    }
}
