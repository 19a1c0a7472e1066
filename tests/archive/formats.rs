//! All formats have the same rows, whatever stands in a record.

use super::export;
use kneemark::archive::columns::{Kind, tables};
use std::fs;
use std::path::{Path, PathBuf};

/// Rows of a table, each cell as text, in an order of their own.
type Rows = Vec<Vec<String>>;

fn from_csv(folder: &Path, table: &str) -> Rows {
    let mut sheet = csv::Reader::from_path(folder.join(format!("{table}.csv"))).expect("a sheet");
    let kinds = kinds(table);
    let rows = sheet.records().map(|row| {
        let row = row.expect("a row");
        let cells = row.iter().zip(&kinds);
        let cell = |(cell, kind): (&str, &Kind)| match kind {
            Kind::Text => cell.strip_prefix('\'').unwrap_or(cell).to_owned(),
            Kind::Number if cell.is_empty() => String::new(),
            Kind::Number => format!("{:e}", cell.parse::<f64>().expect("a number")),
            _ => cell.to_owned(),
        };
        cells.map(cell).collect()
    });
    in_order(rows.collect())
}

fn kinds(table: &str) -> Vec<Kind> {
    let table = tables()
        .into_iter()
        .find(|one| one.name == table)
        .expect("a table");
    table.columns.iter().map(|column| column.kind).collect()
}

fn in_order(mut rows: Rows) -> Rows {
    rows.sort();
    rows
}

fn from_sqlite(folder: &Path, table: &str) -> Rows {
    use rusqlite::types::ValueRef;
    let base = rusqlite::Connection::open(folder.join("archive.sqlite")).expect("a base");
    let mut select = base
        .prepare(&format!("SELECT * FROM {table}"))
        .expect("a table");
    let kinds = kinds(table);
    let mut rows = select.query([]).expect("rows");
    let mut found = Vec::new();
    while let Some(row) = rows.next().expect("a row") {
        let cell = |(at, kind): (usize, &Kind)| match row.get_ref(at).expect("a cell") {
            ValueRef::Null => String::new(),
            ValueRef::Integer(flag) if *kind == Kind::Flag => (flag == 1).to_string(),
            ValueRef::Integer(whole) => whole.to_string(),
            ValueRef::Real(number) => format!("{number:e}"),
            ValueRef::Text(text) => String::from_utf8(text.to_vec()).expect("text"),
            ValueRef::Blob(_) => panic!("no bytes"),
        };
        found.push(kinds.iter().enumerate().map(cell).collect());
    }
    in_order(found)
}

pub fn from_parquet(folder: &Path, table: &str) -> Rows {
    use parquet::file::reader::{FileReader as _, SerializedFileReader};
    use parquet::record::Field;
    let mut found = Vec::new();
    for path in files(&folder.join(table)) {
        let file = fs::File::open(path).expect("a part");
        let reader = SerializedFileReader::new(file).expect("a whole file");
        for row in reader.get_row_iter(None).expect("rows") {
            let row = row.expect("a row");
            let cell = |(_, field): (&String, &Field)| match field {
                Field::Null => String::new(),
                Field::Str(text) => text.clone(),
                Field::Double(number) => format!("{number:e}"),
                Field::Long(whole) => whole.to_string(),
                Field::Bool(flag) => flag.to_string(),
                Field::Date(days) => (jiff::civil::date(1970, 1, 1)
                    + jiff::Span::new().days(i64::from(*days)))
                .to_string(),
                other => panic!("{other:?}"),
            };
            found.push(row.get_column_iter().map(cell).collect());
        }
    }
    in_order(found)
}

/// All files below a folder.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        match path.is_dir() {
            true => found.extend(files(&path)),
            false => found.push(path),
        }
    }
    found.sort();
    found
}

/// All files below a folder with what they hold.
pub fn held(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let all = files(folder).into_iter();
    let held = |path: PathBuf| (path.clone(), fs::read(path).expect("a file"));
    all.map(held).collect()
}

/// Exports in all formats, and holds the rows against each other; gives those of both tables.
fn same(place: &Path, records: &str, code: i32) -> [Rows; 2] {
    for format in ["csv", "parquet", "sqlite"] {
        let (told, said) = export(place, &[records, "--to", format, "--format", format]);
        assert_eq!(told, Some(code), "{said}");
    }
    ["quantities", "cores"].map(|table| {
        let rows = from_csv(&place.join("csv"), table);
        assert!(!rows.is_empty());
        assert!(
            rows == from_parquet(&place.join("parquet"), table),
            "{table} in Parquet"
        );
        assert!(
            rows == from_sqlite(&place.join("sqlite"), table),
            "{table} in SQLite"
        );
        rows
    })
}

#[test]
fn csv_parquet_and_sqlite_have_the_same_rows() {
    let place = tempfile::tempdir().expect("a folder");
    let records = Path::new(env!("CARGO_MANIFEST_DIR")).join("records");
    let [long, wide] = same(place.path(), records.to_str().expect("text"), 1);
    assert!(
        long.len() > 7000 && wide.len() > 60,
        "{} {}",
        long.len(),
        wide.len()
    );
}

/// Names that are formulas, folders, or each other but for capitals.
const SITES: [&str; 14] = [
    "132",
    "_x",
    ".x",
    "__HIVE_DEFAULT_PARTITION__",
    "null",
    "=cmd|' /C calc'!A0",
    "../../up",
    "a/b\\c",
    "CON",
    "Alpha",
    "alpha",
    "@SUM(A1)",
    "+1-1",
    "ä \u{202e}x",
];

#[test]
fn names_of_others_stay_within_their_cells_and_folders() {
    let place = tempfile::tempdir().expect("a folder");
    fs::create_dir(place.path().join("r")).expect("a folder");
    let record = |at: usize, place: &str| {
        format!(
            "format: 1\n[ct]\nid: =HYPERLINK(\"x\";\"{at}\"), \"q\"\nasset: '{at}\nstandard: IEC 61869-2:2012\n{place}[core S]\nratio: 600/1\n\
             [visit 2026-01-01]\nambient: -5 C\n"
        )
    };
    let put = |at: usize, text: String| {
        fs::write(place.path().join(format!("r/{at}.ctr")), text).expect("written")
    };
    for (at, site) in SITES.iter().enumerate() {
        put(
            at,
            record(at, &format!("[place since 2026-01-01]\nsite: {site}\n")),
        );
    }
    put(SITES.len(), record(SITES.len(), ""));
    let before = files(place.path()).len();
    let [_, wide] = same(place.path(), "r", 0);
    assert_eq!(wide.len(), SITES.len() + 1);
    // CSV two, SQLite one, Parquet two of each site; nothing else, nowhere else.
    let after = files(place.path()).len();
    assert_eq!(after, before + 2 + 1 + 2 * (SITES.len() + 1));
    let above = files(place.path().parent().expect("above"));
    assert!(!above.iter().any(|path| path.ends_with("up")));
    let sheet = fs::read(place.path().join("csv/quantities.csv")).expect("a sheet");
    let mut sheet = csv::Reader::from_reader(sheet.as_slice());
    let mut guarded = 0;
    for row in sheet.records() {
        for cell in row.expect("a row").iter() {
            let begins = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']);
            assert!(!begins || cell.parse::<f64>().is_ok(), "{cell}");
            guarded += usize::from(cell.starts_with('\''));
        }
    }
    assert!(guarded > SITES.len(), "{guarded}");
}

#[test]
fn a_site_too_long_for_a_folder_is_told_and_nothing_written() {
    let place = tempfile::tempdir().expect("a folder");
    let text = format!(
        "format: 1\n[ct]\nid: A\nsite: {}\n[core S]\nratio: 600/1\n",
        "ä".repeat(60)
    );
    fs::write(place.path().join("a.ctr"), text).expect("written");
    let (code, said) = export(
        place.path(),
        &["a.ctr", "--to", "out", "--format", "parquet"],
    );
    assert_eq!(code, Some(2), "{said}");
    assert!(said.contains("too long for a folder"), "{said}");
    assert!(!place.path().join("out").exists());
    assert_eq!(export(place.path(), &["a.ctr", "--to", "out"]).0, Some(0));
}
