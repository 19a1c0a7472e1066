//! One line for each numeric check, and the page they make.

use std::fmt::Write as _;

/// A published number and ours.
pub struct Row {
    check: String,
    source: &'static str,
    published: f64,
    ours: f64,
    /// Largest difference, absolute.
    within: f64,
    /// Whether it came through a whole record and the JSON.
    record: bool,
    /// Why the two differ by more than rounding, where they do.
    apart: Option<&'static str>,
}

impl Row {
    /// A check of a library function: equal within `within`.
    pub fn new(
        check: impl Into<String>,
        source: &'static str,
        published: f64,
        ours: f64,
        within: f64,
    ) -> Self {
        Self {
            check: check.into(),
            source,
            published,
            ours,
            within,
            record: false,
            apart: None,
        }
    }

    /// A check through a whole record and the JSON.
    pub fn record(
        check: impl Into<String>,
        source: &'static str,
        published: f64,
        ours: f64,
        within: f64,
    ) -> Self {
        Self {
            record: true,
            ..Self::new(check, source, published, ours, within)
        }
    }

    /// The two are known to differ, and why.
    pub fn apart(self, why: &'static str) -> Self {
        Self {
            apart: Some(why),
            ..self
        }
    }

    fn holds(&self) -> bool {
        (self.ours - self.published).abs() <= self.within
    }
}

/// Asserts every row.
#[track_caller]
pub fn hold(rows: &[Row]) {
    assert!(!rows.is_empty());
    let off: Vec<String> = rows
        .iter()
        .filter(|row| !row.holds())
        .map(|row| {
            format!(
                "{}: {}, published {} +- {} ({})",
                row.check, row.ours, row.published, row.within, row.source
            )
        })
        .collect();
    assert!(off.is_empty(), "{}", off.join("\n"));
}

/// A number with `digits` significant ones.
fn number(x: f64, digits: usize) -> String {
    if x == 0.0 {
        return "0".to_owned();
    }
    let rounded: f64 = format!("{x:.*e}", digits - 1).parse().unwrap();
    if (1e-4..1e7).contains(&rounded.abs()) {
        format!("{rounded}")
    } else {
        format!("{rounded:e}")
    }
}

fn difference(row: &Row) -> String {
    let off = row.ours - row.published;
    // Below the last bits there is nothing to tell.
    if off.abs() <= 1e-9 * row.published.abs() {
        "0".to_owned()
    } else {
        number(off, 2)
    }
}

fn page(rows: &[Row]) -> String {
    let mut out = String::from(
        "<!-- Written by the tests in this folder: PUBLISHED_REFRESH=1 cargo test published -->\n",
    );
    let mut notes: Vec<&str> = Vec::new();
    for (title, record) in [
        ("Through a whole record and its JSON", true),
        ("Through the library's functions", false),
    ] {
        let _ = write!(
            out,
            "\n## {title}\n\n| check | source | published | ours | difference |\n|---|---|---|---|---|\n"
        );
        for row in rows.iter().filter(|row| row.record == record) {
            let mark =
                row.apart
                    .filter(|_| difference(row) != "0")
                    .map_or_else(String::new, |why| {
                        let at =
                            notes
                                .iter()
                                .position(|known| *known == why)
                                .unwrap_or_else(|| {
                                    notes.push(why);
                                    notes.len() - 1
                                });
                        format!(" ({})", at + 1)
                    });
            let numbers = [
                number(row.published, 9),
                number(row.ours, 7),
                difference(row) + &mark,
            ];
            let _ = writeln!(
                out,
                "| {} | {} | {} |",
                row.check,
                row.source,
                numbers.join(" | ")
            );
        }
    }
    if !notes.is_empty() {
        out.push_str("\nKnown to differ, and why:\n\n");
        for (n, why) in notes.iter().enumerate() {
            let _ = writeln!(out, "{}. {why}", n + 1);
        }
    }
    out
}

#[test]
fn the_table_is_fresh() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/published/table.md");
    let rows = super::rows();
    hold(&rows);
    assert!(
        rows.iter().filter(|row| row.record).count() >= 20 && rows.len() >= 100,
        "{}",
        rows.len()
    );
    let page = page(&rows);
    if std::env::var_os("PUBLISHED_REFRESH").is_some() {
        std::fs::write(path, &page).unwrap();
    }
    let kept = std::fs::read_to_string(path).unwrap_or_default();
    assert!(
        kept == page,
        "tests/published/table.md is not what the tests give: run PUBLISHED_REFRESH=1 cargo test published"
    );
}

/// The guard itself: a wrong number must be seen.
#[test]
fn a_planted_wrong_number_is_caught() {
    let wrong = Row::new("planted", "none", 3750.0, 3750.2, 0.1);
    assert!(!wrong.holds());
    assert!(!Row::new("planted", "none", 1.0, f64::NAN, 0.1).holds());
    assert!(
        std::panic::catch_unwind(|| hold(&[Row::new("planted", "none", 3750.0, 3750.2, 0.1)]))
            .is_err()
    );
}
