//! A client's own templates, and what happens when they are wrong.

use super::{ONE_BAY, Pack, bay, built, text};
use kneemark::document::is_ours;
use kneemark::job::Outcome;

fn with(name: &str, template: &str) -> Pack {
    let files = bay("h07", &format!("{ONE_BAY}[templates]\nfolder = \"own\"\n"));
    files.put(format!("job/own/{name}"), template);
    built(&files)
}

#[test]
fn a_cover_of_the_clients_own() {
    let built = with(
        "pack.md",
        "# Own: {{ title }}\n\n{{ broken }}{{ caution }}\n{{ scope }}\n<script>alert(1)</script>\n",
    );
    assert_eq!(built.outcome(), Outcome::Clean);
    assert!(
        text(&built, "index.html").contains("Own: one bay</h1>")
            && !text(&built, "index.html").contains("Summary matrix")
    );
    assert!(text(&built, "index.md").starts_with("# Own: one bay\n"));
    assert!(!text(&built, "index.html").contains("<script"));
}

/// A page of the client's own says what no reader may miss, or nothing.
#[test]
fn a_template_that_leaves_out_what_must_be_said() {
    for (file, page, template, lost) in [
        (
            "pack.md",
            "index.md",
            "# {{ title }}\n\nSafe to energise.\n",
            "{{ caution }}",
        ),
        (
            "ct.md",
            "ct/brw-25-41301.md",
            "Safe to energise.\n",
            "{{ verdict }}",
        ),
        (
            "bay.md",
            "bay/skerrow-132-kv-h07.md",
            "{{ compared }}\n",
            "{{ verdicts }}",
        ),
    ] {
        let built = with(file, template);
        assert_eq!(built.outcome(), Outcome::Broken);
        let (fault, pages) = &built.faults[0];
        assert_eq!(
            built.faults.len(),
            1,
            "one fault of a template is one fault of the pack"
        );
        assert!(fault.message.contains(lost), "{fault}");
        assert!(pages.iter().any(|one| one == page), "{pages:?}");
        let page = text(&built, page);
        assert!(page.contains("This page could not be made") && !page.contains("Safe"));
    }
}

/// Every page with a verdict says what a verdict is not.
#[test]
fn every_page_says_that_a_verdict_is_no_clearance() {
    let built = built(&bay("h07", ONE_BAY));
    for (name, bytes) in &built.files {
        let page = String::from_utf8_lossy(bytes);
        assert!(
            page.contains("A verdict is never a clearance to energise"),
            "{name}"
        );
    }
}

/// File, line and help; the page says so; the CTs' pages are made.
#[test]
fn a_cover_that_cannot_be_read() {
    for template in [
        "# x\n{% if %}",
        "# x\n{{ no_such_thing }}{{ caution }}{{ scope }}{{ broken }}",
        "\n{% for a in range(100000) %}{% for b in range(100000) %}{% endfor %}{% endfor %}",
        "\n{% set a = title ~ title %}",
    ] {
        let built = with("pack.md", template);
        assert_eq!(built.outcome(), Outcome::Broken);
        let (fault, pages) = &built.faults[0];
        assert_eq!(
            (fault.file.as_str(), fault.line),
            ("pack.md", Some(2)),
            "{fault:?}"
        );
        assert!(!fault.message.is_empty() && !fault.help.is_empty());
        assert!(
            pages.iter().any(|page| page == "index.html")
                && !pages.iter().any(|page| page.starts_with("ct/")),
            "{pages:?}"
        );
        let index = text(&built, "index.html");
        assert!(index.contains("This page could not be made") && index.contains("pack.md, line 2"));
        assert!(text(&built, "ct/brw-25-41301.md").len() > 2000);
    }
}

#[test]
fn a_report_that_cannot_be_read() {
    let built = with("ct.md", "# {{ title }\n");
    assert_eq!(built.outcome(), Outcome::Broken);
    assert!(text(&built, "ct/brw-25-41301.md").contains("This page could not be made"));
    assert!(
        text(&built, "index.md").contains("## Summary matrix"),
        "the cover is made"
    );
    for (name, bytes) in &built.files {
        assert!(is_ours(bytes), "{name} can be replaced by the next build");
    }
}

#[test]
fn a_page_that_cannot_be_read() {
    let built = with("page.html", "<html>{{ body");
    assert!(text(&built, "index.html").contains("This page could not be made"));
    assert!(
        text(&built, "index.md").contains("## Summary matrix"),
        "Markdown needs no page"
    );
    let whole = text(&built, "pack.html");
    assert!(whole.contains("This page could not be made") && !whole.contains("class=\"ct\""));
}

#[test]
fn a_page_has_one_body() {
    let built = with("page.html", "<html><p>{{ title }}</p>{{ body }}<hr></html>");
    assert_eq!(built.outcome(), Outcome::Clean);
    for page in ["index.html", "pack.html", "ct/brw-25-41301.html"] {
        let page = text(&built, page);
        assert!(page.starts_with("<html><p>") && page.ends_with("<hr></html>"));
        assert!(page.contains("<article"));
    }
    let built = with("page.html", "{{ body }}<hr>{{ body }}");
    assert_eq!(built.outcome(), Outcome::Broken);
    assert!(built.faults[0].0.message.contains("more than once"));
}

#[test]
fn a_page_that_leaves_its_body_out_is_told() {
    let built = with("page.html", "<html>{{ title }}</html>");
    assert_eq!(built.outcome(), Outcome::Broken);
    let (fault, pages) = &built.faults[0];
    assert_eq!(fault.file, "page.html");
    assert!(fault.message.contains("does not put {{ body }}"), "{fault}");
    assert!(pages.iter().any(|page| page == "pack.html"));
    assert!(pages.iter().any(|page| page == "ct/brw-25-41301.html"));
}

/// No character of a title or a style sheet is taken for the place where the body goes.
#[test]
fn the_body_goes_where_it_belongs_whatever_stands_around() {
    for odd in ["\u{e000}", "{{ body }}"] {
        let pack = ONE_BAY.replace("one bay", &format!("one {odd} bay"));
        let files = bay("h07", &format!("{pack}[templates]\nfolder = \"own\"\n"));
        files.put(
            "job/own/pack.css",
            format!(".own::before {{ content: \"{odd}\" }}\n"),
        );
        let built = built(&files);
        for page in ["index.html", "pack.html"] {
            let page = text(&built, page);
            let (head, body) = page.split_once("</head>").unwrap();
            assert!(!head.contains("<article") && body.contains("<article"));
        }
    }
}

#[test]
fn a_file_that_is_no_template() {
    let built = with("pakc.md", "x");
    assert_eq!(built.outcome(), Outcome::Broken);
    assert!(built.faults[0].1.is_empty() && text(&built, "index.html").contains("Summary matrix"));
}

#[test]
fn a_folder_that_is_not_there_or_outside() {
    for (folder, word) in [("own", "no folder"), ("../own", "outside")] {
        let built = built(&bay(
            "h07",
            &format!("{ONE_BAY}[templates]\nfolder = \"{folder}\"\n"),
        ));
        let told: Vec<&str> = built
            .others
            .iter()
            .flat_map(|told| &told.diagnostics)
            .map(|one| one.title.as_str())
            .collect();
        assert!(told[0].contains(word), "{told:?}");
        assert_eq!(built.outcome(), Outcome::Broken);
    }
}

#[test]
fn a_logo_becomes_part_of_the_page() {
    let pack =
        format!("{ONE_BAY}[contractor]\nname = \"T\"\naddress = \"S\"\nlogo = \"logo.svg\"\n");
    let files = bay("h07", &pack);
    files.put(
        "job/logo.svg",
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 1 1\"/>",
    );
    assert!(
        text(&built(&files), "index.html")
            .contains("<img class=\"logo\" src=\"data:image/svg+xml;base64,")
    );
    for (bytes, word) in [("GIF89a", "neither"), ("", "neither")] {
        files.put("job/logo.svg", bytes);
        let built = built(&files);
        assert!(built.others[0].diagnostics[0].title.contains(word));
    }
}

/// A page of a bay that cannot be made is told of every file that it stands in.
#[test]
fn a_bay_that_cannot_be_read() {
    let built = with("bay.md", "# {{ title }\n");
    assert_eq!(built.outcome(), Outcome::Broken);
    let bays: Vec<_> = built.faults.iter().collect();
    let [(fault, pages)] = bays.as_slice() else {
        panic!("one fault: {bays:?}");
    };
    assert_eq!(fault.file, "bay.md");
    for page in [
        "bay/skerrow-132-kv-h07.html",
        "bay/skerrow-132-kv-h07.md",
        "pack.html",
    ] {
        assert_eq!(
            pages.iter().filter(|one| *one == page).count(),
            1,
            "{page} in {pages:?}"
        );
    }
    assert_eq!(pages.len(), 3, "{pages:?}");
}
