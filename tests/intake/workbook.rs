//! Workbooks, made here part by part as ECMA-376 has them.

use kneemark::intake::{Grid, How};
use std::io::{Cursor, Write as _};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

/// Styles from 3 on.
const FORMATS: [&str; 6] = [
    "0.0\"%\"",
    "0\\%",
    "0.0\" mA\"",
    "0.0,",
    "#,##0.00_);[Red](#,##0.00)",
    "0.0 %",
];

/// A workbook of sheets, each with its rows of XML cells. Style 1 is a per cent, 2 a day.
fn book(sheets: &[(&str, &str)]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let mut put = |name: &str, text: &str| {
        zip.start_file(name, SimpleFileOptions::default())
            .expect("a part");
        zip.write_all(text.as_bytes()).expect("a part");
    };
    let main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    let office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let package = "http://schemas.openxmlformats.org/package/2006";
    put(
        "[Content_Types].xml",
        &format!(
            "<Types xmlns=\"{package}/content-types\"><Default Extension=\"xml\" ContentType=\"application/xml\"/></Types>"
        ),
    );
    put(
        "_rels/.rels",
        &format!(
            "<Relationships xmlns=\"{package}/relationships\"><Relationship Id=\"r\" Type=\"{office}/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
        ),
    );
    let (mut list, mut links) = (String::new(), String::new());
    for (at, (name, _)) in sheets.iter().enumerate() {
        list += &format!(
            "<sheet name=\"{name}\" sheetId=\"{0}\" r:id=\"s{0}\"/>",
            at + 1
        );
        links += &format!(
            "<Relationship Id=\"s{0}\" Type=\"{office}/worksheet\" Target=\"worksheets/sheet{0}.xml\"/>",
            at + 1
        );
    }
    put(
        "xl/workbook.xml",
        &format!(
            "<workbook xmlns=\"{main}\" xmlns:r=\"{office}\"><sheets>{list}</sheets></workbook>"
        ),
    );
    links += &format!("<Relationship Id=\"y\" Type=\"{office}/styles\" Target=\"styles.xml\"/>");
    put(
        "xl/_rels/workbook.xml.rels",
        &format!("<Relationships xmlns=\"{package}/relationships\">{links}</Relationships>"),
    );
    let (mut formats, mut styles) = (String::new(), String::new());
    for (at, code) in FORMATS.iter().enumerate() {
        let code = code.replace('"', "&quot;");
        formats += &format!("<numFmt numFmtId=\"{}\" formatCode=\"{code}\"/>", 164 + at);
        styles += &format!("<xf numFmtId=\"{}\"/>", 164 + at);
    }
    put(
        "xl/styles.xml",
        &format!(
            "<styleSheet xmlns=\"{main}\"><numFmts count=\"6\">{formats}</numFmts><cellXfs count=\"9\"><xf numFmtId=\"0\"/><xf numFmtId=\"10\"/><xf numFmtId=\"14\"/>{styles}</cellXfs></styleSheet>"
        ),
    );
    for (at, (_, rows)) in sheets.iter().enumerate() {
        put(
            &format!("xl/worksheets/sheet{}.xml", at + 1),
            &format!("<worksheet xmlns=\"{main}\"><sheetData>{rows}</sheetData></worksheet>"),
        );
    }
    zip.finish().expect("a book").into_inner()
}

fn text(at: &str, text: &str) -> String {
    format!("<c r=\"{at}\" t=\"inlineStr\"><is><t>{text}</t></is></c>")
}

fn row(number: usize, cells: &str) -> String {
    format!("<row r=\"{number}\">{cells}</row>")
}

#[test]
fn cells_are_what_a_workbook_shows() {
    let rows = row(2, &[text("A2", " voltage/V "), text("C2", "x")].concat())
        + &row(
            3,
            "<c r=\"A3\"><v>100.3</v></c><c r=\"B3\" s=\"1\"><v>0.07</v></c><c r=\"C3\" s=\"2\"><v>46279</v></c><c r=\"D3\"><v>0.1</v></c>",
        );
    let grid = Grid::read(&book(&[("one", &rows)]), How::default()).expect("a table");
    let cells: Vec<(usize, Vec<&str>)> = grid
        .lines
        .iter()
        .map(|line| (line.number, line.cells.iter().map(String::as_str).collect()))
        .collect();
    // 46279 days: 2026-09-14, by `datetime.date(1899, 12, 30) + timedelta(46279)` of Python.
    assert_eq!(
        cells,
        [
            (2, vec!["voltage/V", "", "x"]),
            (3, vec!["100.3", "7%", "2026-09-14", "0.1"])
        ]
    );
}

#[test]
fn a_format_that_says_more_than_its_number_is_refused() {
    for (style, shown) in [
        (3, None),
        (4, None),
        (5, None),
        (6, None),
        (7, Some("63")),
        (8, Some("6300%")),
    ] {
        let cell = row(1, &format!("<c r=\"A1\" s=\"{style}\"><v>63</v></c>"));
        match (Grid::read(&book(&[("one", &cell)]), How::default()), shown) {
            (Ok(grid), Some(shown)) => assert_eq!(grid.lines[0].cells, [shown], "style {style}"),
            (Err(told), None) => assert!(
                told.contains("row 1, column A: its format shows more"),
                "{told}"
            ),
            (made, _) => panic!("style {style}: {made:?}"),
        }
    }
}

#[test]
fn a_formula_has_its_value_or_is_told() {
    let cells = "<c r=\"A1\"><v>2</v></c><c r=\"B1\"><f>A1*2</f><v>4</v></c>";
    let grid = Grid::read(&book(&[("one", &row(1, cells))]), How::default()).expect("a table");
    assert_eq!(grid.lines[0].cells, ["2", "4"]);
    for cell in [
        "<c r=\"B1\"><f>A1*2</f></c>",
        "<c r=\"B1\"><f>A1*2</f><v></v></c>",
    ] {
        let cells = format!("<c r=\"A1\"><v>2</v></c>{cell}");
        let told =
            Grid::read(&book(&[("one", &row(1, &cells))]), How::default()).expect_err("no value");
        assert!(
            told.contains("row 1, column B: this formula has no value yet"),
            "{told}"
        );
    }
}

#[test]
fn what_a_workbook_leaves_open_is_asked() {
    let one = row(1, &text("A1", "x"));
    let two = book(&[("one", &one), ("two", &row(1, &text("A1", "y")))]);
    let told = Grid::read(&two, How::default()).expect_err("two sheets");
    assert!(told.contains("--worksheet: `one`, `two`"), "{told}");
    let named = |name| How {
        worksheet: Some(name),
        ..How::default()
    };
    assert_eq!(
        Grid::read(&two, named("two")).expect("a table").lines[0].cells,
        ["y"]
    );
    let told = Grid::read(&two, named("three")).expect_err("no such sheet");
    assert!(told.contains("no sheet `three`"), "{told}");
    let told = Grid::read(b"a,b\n", named("one")).expect_err("no workbook");
    assert!(told.contains("no workbook"), "{told}");
}

#[test]
fn a_hostile_workbook_is_refused() {
    for (cell, told) in [
        (
            "<c r=\"A1\" t=\"e\"><v>#DIV/0!</v></c>",
            "row 1, column A: this cell holds an error",
        ),
        ("<c r=\"A1\" s=\"2\"><v>46279.5</v></c>", "time of day"),
        ("<c r=\"XFD1\"><v>1</v></c>", "more than 1000 columns"),
    ] {
        let fault =
            Grid::read(&book(&[("one", &row(1, cell))]), How::default()).expect_err("refused");
        assert!(fault.contains(told), "{fault}");
    }
    // One cell at the far end takes no memory for all that lies before it.
    let far = row(1_048_576, "<c r=\"A1048576\"><v>1</v></c>");
    assert_eq!(
        Grid::read(&book(&[("one", &far)]), How::default())
            .expect("a table")
            .lines
            .len(),
        1
    );
    // Many rows of one cell far to the right.
    let wide: String = (1..=2500)
        .map(|at| row(at, &format!("<c r=\"ALK{at}\"><v>1</v></c>")))
        .collect();
    let fault = Grid::read(&book(&[("one", &wide)]), How::default()).expect_err("refused");
    assert!(fault.contains("more than 2000000 cells"), "{fault}");
    // 100 MB of blanks in a small file.
    let long = " ".repeat(100 << 20);
    let bomb = book(&[("one", &long)]);
    assert!(bomb.len() < 1 << 20, "{}", bomb.len());
    let fault = Grid::read(&bomb, How::default()).expect_err("refused");
    assert!(fault.contains("unpacks to more"), "{fault}");
    let mut torn = book(&[("one", &row(1, &text("A1", "x")))]);
    torn.truncate(torn.len() / 2);
    assert!(Grid::read(&torn, How::default()).is_err());
    for at in 0..torn.len() {
        let mut bent = book(&[("one", &row(1, &text("A1", "x")))]);
        bent[at] ^= 0x15;
        // Whatever it is, it is told or read.
        let _ = Grid::read(&bent, How::default());
    }
}
