use crate::document::Grade;
use crate::judge::decision::Word;
use crate::judge::finding::{Finding, Verdict};
use crate::judge::kinds::bench::{judged, of_rule, record, record_of};
use crate::record::criteria::{Criteria, InsulationProfile};

fn client() -> Criteria {
    let insulation = InsulationProfile::Client {
        name: "client 4.2".to_owned(),
        primary: Some(5e9),
        core: Some(1e8),
    };
    Criteria {
        insulation,
        ..Criteria::default()
    }
}

fn table(name: &str) -> Criteria {
    Criteria {
        insulation: InsulationProfile::Table(name.to_owned()),
        ..Criteria::default()
    }
}

fn found(criteria: &Criteria, rule: &str, rows: &str) -> Vec<Finding> {
    let text = format!(
        "[insulation]\ntemperature: 20 C\nbetween voltage/V time/s resistance/Mohm\n{rows}\n"
    );
    of_rule(&judged(&record("", &text), criteria), rule)
}

fn one(criteria: &Criteria, rows: &str) -> Finding {
    found(criteria, "insulation-resistance", rows).remove(0)
}

fn remarks(finding: &Finding, words: &str) -> bool {
    let mut all = finding.remarks.iter().map(|remark| remark.plain(|_| 0));
    all.any(|remark| remark == words)
}

#[test]
fn the_clients_minimum_judges_primary_and_cores() {
    assert_eq!(
        one(&client(), "primary to cores and earth 5000 60 9000").grade(),
        Grade::Pass
    );
    assert_eq!(
        one(&client(), "primary to cores and earth 5000 60 500").grade(),
        Grade::Fails
    );
    let core = one(&client(), "1S to primary, cores and earth 1000 60 21");
    assert_eq!((core.grade(), core.core), (Grade::Fails, Some(0)));
    let next = core.next.unwrap().plain(|_| 0);
    assert!(
        next.ends_with("1S to primary; 1S to 2S; 1S to earth"),
        "{next}"
    );
    let good = one(&client(), "1S to primary, cores and earth 1000 60 9000");
    let clears = "this reading covers 1S to primary; 1S to 2S; 1S to earth";
    assert!(remarks(&good, clears), "{:?}", good.remarks);
}

#[test]
fn bounds_show_one_side_only() {
    let verdict = |cell: &str| {
        one(
            &client(),
            &format!("primary to cores and earth 5000 60 {cell}"),
        )
        .verdict
    };
    assert_eq!(verdict(">9000"), Verdict::Word(Word::Pass));
    assert!(matches!(verdict(">2000"), Verdict::NotShown(_)));
    assert_eq!(verdict("<100"), Verdict::NotMet);
}

#[test]
fn the_time_of_the_reading_counts() {
    let verdict = |time: &str, cell: &str| {
        one(
            &client(),
            &format!("primary to cores and earth 5000 {time} {cell}"),
        )
        .verdict
    };
    assert!(matches!(verdict("600", "9000"), Verdict::NotShown(_)));
    assert_eq!(verdict("600", "500"), Verdict::Word(Word::Fail));
    assert!(matches!(verdict("15", "500"), Verdict::NotShown(_)));
    assert_eq!(verdict("15", "9000"), Verdict::Word(Word::Pass));
}

/// ANSI/NETA MTS-2019, Table 100.1: 46 kV and above, 5000 V d.c., 100 Gohm (seen); 600 V, 1000 V
/// d.c., 100 Mohm.
#[test]
fn a_published_table_with_its_test_voltage() {
    assert_eq!(
        one(
            &table("neta-100.1"),
            "primary to cores and earth 2500 60 41000"
        )
        .grade(),
        Grade::Fails
    );
    let short = one(
        &table("neta-100.1"),
        "primary to cores and earth 2500 60 410000",
    );
    assert!(matches!(short.verdict, Verdict::NotShown(why) if why.plain(|_| 0).contains("5000 V")));
    assert_eq!(
        one(
            &table("neta-100.1"),
            "primary to cores and earth 5000 60 410000"
        )
        .grade(),
        Grade::Pass
    );
    assert_eq!(
        one(
            &table("neta-100.1"),
            "1S to primary, cores and earth 1000 60 99"
        )
        .grade(),
        Grade::Fails
    );
    assert_eq!(
        one(
            &table("neta-100.5"),
            "1S to primary, cores and earth 1000 60 300"
        )
        .grade(),
        Grade::Pass
    );
}

#[test]
fn without_a_profile_there_is_no_verdict_but_a_megohm_is_looked_at() {
    assert_eq!(
        one(&Criteria::default(), "1S to earth 1000 60 21").verdict,
        Verdict::NoLimit
    );
    assert_eq!(
        one(&Criteria::default(), "1S to earth 1000 60 0.7").grade(),
        Grade::Review
    );
}

#[test]
fn five_kilovolt_on_a_secondary_is_told() {
    let told = |rows: &str| found(&client(), "insulation-test-voltage", rows).len();
    assert_eq!(told("1S to primary, cores and earth 5000 60 9000"), 1);
    assert_eq!(told("1S to primary, cores and earth 1000 60 9000"), 0);
    assert_eq!(told("primary to cores and earth 5000 60 9000"), 0);
}

#[test]
fn pairs_that_no_group_reaches_are_named() {
    let groups = |rows: &str| found(&client(), "insulation-groups", rows);
    let all = "primary to cores and earth 5000 60 9000\n1S to primary, cores and earth 1000 60 900\n2S to primary, cores and earth 1000 60 900";
    assert!(groups(all).is_empty());
    let short =
        "primary to cores and earth 5000 60 9000\n1S to primary, cores and earth 1000 60 900";
    assert_eq!(groups(short).remove(0).observed.plain(|_| 0), "2S to earth");
}

#[test]
fn information_carries_no_verdict() {
    let rows = "1S to earth 1000 60 900\n1S to earth 1000 600 1200";
    assert_eq!(
        found(&client(), "polarisation-index", rows)
            .remove(0)
            .verdict,
        Verdict::NoLimit
    );
    let time = found(&client(), "insulation-discharge", rows)
        .remove(0)
        .found
        .value()
        .unwrap()
        .si;
    assert_eq!(time, 2400.0);
}

#[test]
fn unknown_insulation_is_judged_as_read() {
    let plate =
        "format: 1\n\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\n\n[core S]\nratio: 600/1 A\n\n";
    let text = "[insulation]\ntemperature: 40 C\nbetween voltage/V time/s resistance/Mohm\nS to primary and earth 1000 60 101\n";
    let finding = of_rule(
        &judged(&record_of(plate, text), &client()),
        "insulation-resistance",
    )
    .remove(0);
    assert!(remarks(&finding, "judged as read"), "{:?}", finding.remarks);
    assert!((finding.found.value().unwrap().si - 1.01e8).abs() < 1.0);
}
