use crate::judge::kinds::bench::{Bench, PLATE, table, visit};
use crate::record::criteria::{Criteria, InsulationProfile, MinimumAt};

fn client() -> InsulationProfile {
    InsulationProfile::Client {
        name: "client 4.2".to_owned(),
        primary: Some(5e9),
        core: Some(1e8),
        at: MinimumAt::Reference,
    }
}

/// Rows by a profile: `between voltage time resistance/Mohm`.
fn by(insulation: InsulationProfile) -> impl Fn(&str) -> Bench {
    move |rows| {
        let head = "[insulation]\ntemperature: 20 C\nbetween voltage/V time/s resistance/Mohm";
        let insulation = insulation.clone();
        let criteria = Criteria {
            insulation,
            ..Criteria::default()
        };
        let rows = rows
            .replace("primary all", "primary to cores and earth")
            .replace("S all", "S to primary, cores and earth");
        Bench::by(criteria, &visit(PLATE, &format!("{head}\n{rows}\n")))
    }
}

const RULE: &str = "insulation-resistance";

/// The guard stands beside the value; how damp the air was is told where the insulation is low.
#[test]
fn guard_and_humidity_stand_beside_a_low_value() {
    let read = |keys: &str, mohm: &str| {
        let head = "between voltage/V time/s resistance/Mohm";
        let row = format!("1S to primary, cores and earth 500 60 {mohm}");
        let text = format!("{keys}\n{head}\n{row}\n");
        let text = match text.contains("[insulation]") {
            true => text,
            false => format!("[insulation]\n{text}"),
        };
        Bench::visit(&text).says(RULE)
    };
    let (air, dew) = ("relative humidity", "dew on the surface");
    for (keys, mohm, has) in [
        ("humidity: 92 %", "0.4", [true, true]),
        ("humidity: 92 %\nguard: none", "0.4", [true, true]),
        ("humidity: 92 %\nguard: bushing skirt", "0.4", [true, false]),
        ("humidity: 80 %", "0.4", [true, true]),
        ("humidity: 79 %", "0.4", [true, false]),
        ("humidity: 92 %", "400", [false, false]),
        ("", "0.4", [false, false]),
        // The section's goes before the visit's.
        ("humidity: 92 %\n\n[insulation]", "0.4", [true, true]),
        (
            "humidity: 92 %\n\n[insulation]\nhumidity: 40 %",
            "0.4",
            [true, false],
        ),
    ] {
        let said = read(keys, mohm);
        assert_eq!(
            [said.contains(air), said.contains(dew)],
            has,
            "{keys}: {said}"
        );
        let guarded = keys.contains("skirt");
        assert_eq!(said.contains("guard at bushing skirt"), guarded, "{said}");
    }
    assert!(read("guard: bushing skirt", "400").contains("guard at bushing skirt"));
}

#[test]
fn the_clients_minimum_judges_primary_and_cores() {
    table(
        RULE,
        by(client()),
        &[
            ("primary all 5000 60 9000", "pass"),
            ("primary all 5000 60 500", "fail"),
            ("1S all 1000 60 21", "fail"),
            // Bounds show one side only.
            ("primary all 5000 60 >9000", "pass"),
            (
                "primary all 5000 60 >2000",
                "not shown: needs a tester that reads up to the minimum",
            ),
            ("primary all 5000 60 <100", "not met"),
            (
                "primary all 5000 60 <9000",
                "not shown: needs a reading, not a bound",
            ),
            // The time of the reading counts.
            (
                "primary all 5000 600 9000",
                "not shown: needs a reading at 60 s",
            ),
            ("primary all 5000 600 500", "fail"),
            (
                "primary all 5000 15 500",
                "not shown: needs a reading at 60 s",
            ),
            (
                "primary all 5000 15 9000",
                "not shown: needs 60 s under voltage (common practice, no source)",
            ),
        ],
    );
    let pairs = "1S to primary; 1S to 2S; 1S to earth";
    let bad = by(client())("1S all 1000 60 21");
    bad.holds(RULE, &[&format!("then the pairs one by one: {pairs}")]);
    assert_eq!(bad.one(RULE).core, Some(0));
    let good = by(client())("1S all 1000 60 9000");
    good.holds(RULE, &[&format!("this reading covers {pairs}")]);
}

/// ANSI/NETA MTS-2019, Table 100.1: 46 kV and above, 5000 V d.c., 100 Gohm (seen); 600 V, 1000 V
/// d.c., 100 Mohm.
#[test]
fn a_published_table_with_its_test_voltage() {
    let named = |name: &str| by(InsulationProfile::Table(name.to_owned()));
    table(
        RULE,
        named("neta-100.1"),
        &[
            ("primary all 2500 60 41000", "fail"),
            (
                "primary all 2500 60 410000",
                "not shown: the table asks for a test with 5000 V d.c.",
            ),
            ("primary all 5000 60 410000", "pass"),
            ("1S all 1000 60 90", "fail"),
            (
                "1S all 1000 60 99",
                "not decided: the part of its uncertainty that is known is larger than its distance to the limit",
            ),
        ],
    );
    table(RULE, named("neta-100.5"), &[("1S all 1000 60 300", "pass")]);
}

#[test]
fn without_a_profile_there_is_no_verdict_but_a_megohm_is_looked_at() {
    let rows = [
        ("1S to earth 1000 60 21", "no limit"),
        ("1S to earth 1000 60 0.7", "review"),
    ];
    table(RULE, by(InsulationProfile::None), &rows);
}

#[test]
fn five_kilovolt_on_a_secondary_is_told() {
    table(
        "insulation-test-voltage",
        by(client()),
        &[
            ("1S all 5000 60 9000", "review"),
            ("1S all 1000 60 9000", ""),
            ("primary all 5000 60 9000", ""),
        ],
    );
}

#[test]
fn pairs_that_no_group_reaches_are_named() {
    let short = "primary all 5000 60 9000\n1S all 1000 60 900";
    let all = format!("{short}\n2S all 1000 60 900");
    assert_eq!(by(client())(&all).told("insulation-groups"), "");
    let short = by(client())(short);
    assert_eq!(
        short.one("insulation-groups").observed.plain(|_| 0),
        "2S to earth"
    );
}

#[test]
fn information_carries_no_verdict() {
    let both = by(client())("1S to earth 1000 60 900\n1S to earth 1000 600 1200");
    assert_eq!(both.told("polarisation-index"), "no limit");
    both.holds("polarisation-index", &["600 s to 60 s"]);
    assert_eq!(both.value("insulation-discharge"), 2400.0);
    let short = by(client())("1S to earth 1000 15 900\n1S to earth 1000 60 1200");
    short.holds("dielectric-absorption", &["60 s to 15 s"]);
}

#[test]
fn unknown_insulation_is_judged_as_read() {
    let plate =
        "format: 1\n\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\n\n[core S]\nratio: 600/1 A\n\n";
    let text = "[insulation]\ntemperature: 40 C\nbetween voltage/V time/s resistance/Mohm\nS to primary and earth 1000 60 101\n";
    let insulation = client();
    let criteria = Criteria {
        insulation,
        ..Criteria::default()
    };
    let bench = Bench::by(criteria, &visit(plate, text));
    bench.holds(RULE, &["; judged as read"]);
    assert!((bench.value(RULE) - 1.01e8).abs() < 1.0);
}
