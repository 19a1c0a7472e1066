//! What stands beside the records: criteria, the pack, and the page that says what is planted.

use super::unit::Record;

/// `criteria.toml`
pub const CRITERIA: &str = r#"# What the invented client asks beyond the standard.
[decision]
rule = "guard band"
guard = 1.0
k = 2

[insulation]
profile = "client"

[insulation.client]
name = "Nordvik Nett commissioning instruction 4.2"
primary = "5 Gohm"
core = "100 Mohm"

[ratio]
turns = "0.5 %"

[burden]

[resistance]
phases = "5 %"
"#;

/// `pack.toml`
pub const PACK: &str = r#"# The demo job; client, contractor, people and places are invented.
records = ["skerrow/**/*.ctr"]
order = ["site", "bay", "phase"]

[report]
number = "NN-SKR-2026-031"
revision = "A"
issued = 2026-11-20
title = "Skerrow substation: current transformers, commissioning tests"

[[report.history]]
revision = "A"
date = 2026-11-20
what = "first issue"

[client]
name = "Nordvik Nett"
address = "Kaiveien 4, Nordvik"
contact = "E. Lund, protection"

[contractor]
name = "Anvik Relay and Test"
address = "Verkstedgata 11, Skerrow"

[job]
name = "Skerrow extension, stage 2"
site = "Skerrow"

[authorised]
name = "S. Hollen"
role = "responsible for testing"

[numbers]
decimal = "point"

[page]
paper = "A4"
"#;

/// `README.md`
pub fn readme(records: &[Record]) -> String {
    let mut text = String::from(
        "# The demo job\n\nAn invented utility, Nordvik Nett, commissions an invented substation, Skerrow. Makers, people, places, serial\n\
         numbers and readings are invented; nothing here was measured. The readings come from one physical model with seeded\n\
         noise; `cargo run --example demo` writes the folder anew and a test holds it to that.\n\n\
         A verdict on these records, as on any, is never a clearance to energise.\n\n\
         | CT | place | record | planted | core | must be found |\n|---|---|---|---|---|---|\n",
    );
    for record in records {
        let one = &record.planted;
        text += &format!(
            "| {} | {} | [{}]({}) | {} | {} | {} |\n",
            one.ct,
            record.place,
            one.file.rsplit('/').next().unwrap_or_default(),
            one.file,
            one.fault,
            one.core,
            must_be_found(one.fault)
        );
    }
    text + "\nThe CTs with `none` are sound, with margins well beyond the uncertainty of their tests; no finding may fail on them.\n\
        The CTs of H08 also hold the maker's curves, so that the shorted turn and the residual magnetism can be seen against them.\n"
}

fn must_be_found(fault: &str) -> &'static str {
    match fault {
        "shorted-turn" => {
            "2S: exciting current far above plate, certificate and sisters at every voltage; ratio still within class"
        }
        "residual-magnetism" => {
            "1S: low end of the curve raised against the certificate, knee unchanged; no demagnetisation after direct current"
        }
        "reversed-polarity" => "1S: deflection down on make, phase by voltage half a turn away",
        "wrong-tap" => {
            "3S: 3S1-3S3 measures 300/1 and 3S1-3S2 measures 600/1; resistances exchanged likewise"
        }
        "wet-insulation" => "primary and all cores below the client's minimum, no rise with time",
        "burden-over-rating" => "1S: connected burden about 24 VA at rated current against 15 VA",
        "closed-primary-loop" => {
            "every core seems to have a shorted turn; primary earthed at P1 and P2"
        }
        "falling-insulation" => {
            "X: insulation a tenth of what it was in 2019 and far below the sisters', still above the client's minimum; where it drifts to"
        }
        "class-not-met" => "S: ratio error outside class 0.5 at rated burden",
        _ => "nothing",
    }
}
