//! The punch list: the points of all CTs on a page of their own, sorted by day, with ways to and from it.

use super::{ONE_BAY, Pack, bay, built, demo_text, text};
use kneemark::ground::seam::Memory;

/// A bay whose first two CTs have points.
fn pointed() -> Pack {
    let files = bay("h07", ONE_BAY);
    for (name, lines) in [
        (
            "skerrow/h07/h07-l1.ctr",
            "action: A1 renew the seal; S. Hollen; 2026-12-01\naction: A2 paint the lid\n",
        ),
        (
            "skerrow/h07/h07-l2.ctr",
            "action: B1 dry out the box; R. Anvik; 2026-11-01\naction: B2 label S3; R. Anvik; 2026-10-01\nclosed: B2 done\n",
        ),
    ] {
        put(&files, name, lines);
    }
    built(&files)
}

/// Adds lines to the last visit of a demo record.
fn put(files: &Memory, name: &str, lines: &str) {
    let text = demo_text(name);
    let at = text.rfind("[visit ").expect("a visit");
    let at = at + text[at..].find('\n').expect("an end") + 1;
    files.put(
        format!("job/{name}"),
        format!("{}{lines}{}", &text[..at], &text[at..]),
    );
}

#[test]
fn a_job_without_points_has_no_page_and_no_chapter() {
    let built = built(&bay("h07", ONE_BAY));
    assert!(!built.files.contains_key("punch-list.html"));
    assert!(!text(&built, "index.md").contains("oints"));
}

#[test]
fn open_points_stand_by_their_day_and_closed_ones_behind_them() {
    let built = pointed();
    let page = text(&built, "punch-list.md");
    let order = ["| B1 |", "| A1 |", "| A2 |", "| B2 |"].map(|label| page.find(label));
    assert!(order.is_sorted() && order[0].is_some(), "{order:?}\n{page}");
    let line = |label: &str| {
        page.lines()
            .find(|line| line.contains(label))
            .expect("a line")
    };
    // The report is of 2026-11-20.
    assert!(line("| B1 |").contains("past its day"), "{page}");
    assert!(!line("| A1 |").contains("past its day"), "{page}");
    assert!(line("| B2 |").contains("done"), "{page}");
    assert!(
        page.contains("3 open") && page.contains("1 past their day") && page.contains("1 closed")
    );
}

#[test]
fn the_front_counts_and_leads_there_and_each_line_to_its_ct() {
    let built = pointed();
    let front = text(&built, "index.md");
    assert_eq!(front.matches("(punch-list.md)").count(), 2, "{front}");
    assert!(!front.contains("renew the seal"), "the front stays short");
    let page = text(&built, "punch-list.html");
    assert!(
        page.contains("href=\"index.html\"") && page.contains("href=\"ct/"),
        "{page}"
    );
    let whole = text(&built, "pack.html");
    assert_eq!(whole.matches("id=\"page--punch-list\"").count(), 1);
    assert_eq!(whole.matches("href=\"#page--punch-list\"").count(), 2);
}
