//! People and papers of a visit on the page of its CT and in JSON; a reading on load under a permit that still runs is
//! told by the pack, not by its records alone.

use super::{ONE_BAY, Pack, bay, built, demo_text, text};
use kneemark::emit::json::document;
use kneemark::ground::seam::Memory;
use serde_json::Value;

const RECORD: &str = "skerrow/h13/h13-l1.ctr";

/// Bay H13 with lines at the last visit of its first CT, which reads the first load, and others in its pack.toml.
fn with(lines: &str, of_pack: &str) -> Memory {
    let files = bay("h13", &format!("{ONE_BAY}{of_pack}"));
    let text = demo_text(RECORD);
    let at = text.rfind("[visit ").expect("a visit");
    let at = at + text[at..].find('\n').expect("an end") + 1;
    files.put(
        format!("job/{RECORD}"),
        format!("{}{lines}{}", &text[..at], &text[at..]),
    );
    files
}

fn told(pack: &Pack) -> Vec<&'static str> {
    let all = pack.told.iter().flat_map(|of| &of.diagnostics);
    all.map(|told| told.code.name()).collect()
}

/// The page of the CT.
fn page(pack: &Pack) -> String {
    let name = pack.files.keys().find(|name| {
        name.starts_with("ct/") && name.ends_with(".md") && text(pack, name).contains("H13 · L1")
    });
    text(pack, name.expect("its page"))
}

#[test]
fn a_pack_tells_of_a_reading_on_load_under_a_permit() {
    let runs = built(&with("permit: 26-0417\npermit until: 2099-01-01\n", ""));
    assert!(!told(&runs).is_empty() && told(&runs).iter().all(|code| *code == "permit-runs"));
    let remark = "read while permit 26-0417 still runs";
    assert!(page(&runs).contains(remark), "{}", page(&runs));
    let back = "permit: 26-0417\npermit until: 2099-01-01\npermit returned: 2026-01-01\n";
    let back = built(&with(back, ""));
    assert!(!told(&back).contains(&"permit-runs"));
    assert!(!page(&back).contains(remark));
}

#[test]
fn a_permit_that_the_job_names_counts() {
    let job = "[jobs.J]\npermit = \"26-0417\"\ncrew = \"R. Anvik, L. Foss\"\noutage = \"26-118\"\nprocedure = \"TI 12 C\"\nleads = \"L4\"\n";
    let pack = built(&with("job: J\n", job));
    assert!(told(&pack).contains(&"permit-runs"));
    let page = page(&pack);
    for said in [
        "crew R. Anvik, L. Foss",
        "permit 26-0417",
        "outage 26-118",
        "procedure TI 12 C",
        "test leads L4",
    ] {
        assert!(page.contains(said), "{said}\n{page}");
    }
}

#[test]
fn what_is_written_of_people_and_papers_is_on_the_page_and_in_json() {
    let lines = "crew: R. Anvik, L. Foss\npermit: 26-0417\npermit until: 2026-01-01 16:30\npermit returned: 2026-01-01 15:10\n\
        outage: 26-118\nprocedure: TI 12 C\ndeviation: no source, ratio by voltage\ndeviation: links shorted by hand\n\
        weather: dry\nleads: L4\ncertificate: MC-77\n";
    let files = with(lines, "");
    let page = page(&built(&files));
    for said in [
        "crew R. Anvik, L. Foss",
        "weather dry",
        "permit 26-0417, until 2026-01-01 16:30, handed back 2026-01-01 15:10; outage 26-118; procedure TI 12 C; \
         otherwise no source, ratio by voltage; otherwise links shorted by hand; test leads L4; readings from MC-77",
    ] {
        assert!(page.contains(said), "{said}\n{page}");
    }
    let job = kneemark::compile(&files, &[format!("job/{RECORD}").into()]);
    let json: Value = serde_json::from_str(&document(&job)).expect("it is JSON");
    let visits = json["records"][0]["visits"].as_array().expect("visits");
    let last = visits.last().expect("a visit");
    for (name, text) in [
        ("crew", "R. Anvik, L. Foss"),
        ("permit", "26-0417"),
        ("permit_until", "2026-01-01 16:30"),
        ("permit_returned", "2026-01-01 15:10"),
        ("outage", "26-118"),
        ("procedure", "TI 12 C"),
        ("weather", "dry"),
        ("leads", "L4"),
        ("certificate", "MC-77"),
    ] {
        assert_eq!(last[name], text, "{name}");
    }
    let deviations = ["no source, ratio by voltage", "links shorted by hand"];
    assert_eq!(last["deviations"], serde_json::json!(deviations));
    assert_eq!(visits[0]["permit"], Value::Null);
}
