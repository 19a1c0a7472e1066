//! The pages of the preview: an overview, and the report of each CT with all that its writer is told above it.

use super::preview::{Preview, Unit, Verdict};
use crate::chart;
use crate::document::{
    Block, Cell, Inline, NONE, Page, Pictures, Table, Templates, Text, Within, escape_html, html,
    print,
};
use crate::report::{self, NO_CLEARANCE, Options, Subject};

/// Name of the overview's page, without an ending.
pub const OVERVIEW: &str = "index";

/// What keeps a page as its record is.
pub const SCRIPT: &str = include_str!("reload.js");

const STYLE: &str = "\
pre.told{font-size:.8125rem;line-height:1.35;overflow-x:auto;border:2px solid var(--fails);padding:.6rem .8rem;margin:0 0 1.5rem}
p.lost{position:sticky;top:0;background:var(--band);border:2px solid var(--fails);padding:.4rem .8rem;max-width:none}
p.to-all{font-size:.875rem;margin:0 0 1rem}
td strong.word{white-space:normal}
";

/// A report, below what was told.
pub fn report(subject: &Subject<'_>, told: &str, options: &Options) -> Result<String, String> {
    let templates = Templates::built_in();
    let report = report::ct(subject, options, &templates);
    let report = report.map_err(|fault| fault.to_string())?;
    let to_all = "<p class=\"to-all\"><a href=\"/\">All records</a></p>\n";
    page(
        &report.title,
        &[to_all, &told_html(told), &report.html].concat(),
    )
}

/// All records, each with a link to its page.
pub fn overview(preview: &Preview) -> Result<String, String> {
    let rows: Vec<Vec<Cell>> = preview.units().map(row).collect();
    let heads = [
        "Record",
        "CT",
        "Where",
        "Transformer",
        "Circuit",
        ">Errors",
        ">Warnings",
    ];
    let table = match rows.is_empty() {
        true => Block::paragraph("There is no record."),
        false => Block::Table(Table::grid(&heads, rows).without_empty_columns()),
    };
    let blocks = [
        Block::heading(1, "Records"),
        table,
        Block::paragraph(NO_CLEARANCE),
    ];
    let mut pictures = Pictures::new();
    let marked = print(&blocks, &mut pictures);
    let body = html(&marked, &pictures, &Within::default());
    page("Records", &(told_html(&preview.others) + &body))
}

/// What is said where there is no page.
pub fn missing(preview: &Preview) -> Result<String, String> {
    let blocks = [
        Block::heading(1, "No such record"),
        Block::Paragraph(Text::default().and(Inline::Page {
            path: OVERVIEW.to_owned(),
            text: "All records".to_owned(),
        })),
    ];
    let marked = print(&blocks, &mut Pictures::new());
    let body = html(&marked, &Pictures::new(), &Within::default());
    page("No such record", &(told_html(&preview.others) + &body))
}

fn row(unit: &Unit) -> Vec<Cell> {
    let link = Text::default().and(Inline::Page {
        path: unit.page.clone(),
        text: unit.shown.clone(),
    });
    let verdict = |verdict: &Option<Verdict>| match verdict {
        None => Cell::Empty,
        Some(Verdict { grade: None, said }) => said.into(),
        Some(Verdict {
            grade: Some(grade),
            said,
        }) => Cell::Graded(*grade, Text::word(*grade, said)),
    };
    let [transformer, circuit] = unit.verdicts.each_ref().map(verdict);
    let count = |count: usize| match count {
        0 => NONE.into(),
        count => count.to_string().into(),
    };
    vec![
        link.into(),
        (&unit.id).into(),
        (&unit.place).into(),
        transformer,
        circuit,
        count(unit.errors),
        count(unit.warnings),
    ]
}

fn told_html(told: &str) -> String {
    // The lines are those of a drawing: each is escaped by itself.
    let lines: Vec<String> = told.trim_end().lines().map(escape_html).collect();
    match lines.join("\n").as_str() {
        "" => String::new(),
        told => format!(
            "<pre class=\"told\" role=\"group\" aria-label=\"Told\" tabindex=\"0\">{told}</pre>\n"
        ),
    }
}

fn page(title: &str, body: &str) -> Result<String, String> {
    let page = Page {
        title,
        styles: &["style.css"],
        rules: &[chart::STYLE, STYLE].concat(),
        ..Page::default()
    };
    let page = page.html(body, &Templates::built_in());
    page.map_err(|fault| fault.to_string())
}
