//! A small part of the demo job as its rows show it: cells that say something, by their columns.

use kneemark::archive::Entry;
use kneemark::archive::columns::{Cell, Row};
use kneemark::compile;
use kneemark::ground::seam::Disk;

fn shown<R: Row>(row: &R) -> String {
    let cells = R::TABLE.columns.iter().zip(row.cells());
    let lines = cells.filter_map(|(column, cell)| {
        let text = match cell {
            Cell::Text(text) => text?.to_owned(),
            Cell::Number(number) => format!("{:.9}", number?),
            Cell::Whole(whole) => whole?.to_string(),
            Cell::Flag(flag) => flag?.to_string(),
            Cell::Day(day) => day?.to_string(),
        };
        Some(match column.name.ends_with("sha256") {
            true => format!("{}: {} letters\n", column.name, text.len()),
            false => format!("{}: {text}\n", column.name),
        })
    });
    lines.collect::<String>() + "\n"
}

#[test]
fn a_burden_and_its_core() {
    let job = compile(&Disk, &["records/skerrow/h07/h07-l1.ctr".into()]);
    let entry = Entry::of(&job.records[0], &job.records[0].claims());
    let of_burden = entry
        .quantities
        .iter()
        .filter(|row| row.test.as_deref() == Some("burden") && row.core.as_deref() == Some("2S"));
    let mut text: String = of_burden.map(shown).collect();
    let mut cores = entry.cores.iter();
    let core = cores.find(|row| row.core.as_deref() == Some("2S"));
    text += &shown(core.expect("a core"));
    insta::assert_snapshot!(text);
}
