//! What is named of tables of errors, and what is not: a core that is truly bad is bad smoothly.

use crate::judge::kinds::bench::Bench;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

const CAUSES: [&str; 4] = [
    "error-slip",
    "phase-slip",
    "errors-exchanged",
    "burdens-exchanged",
];

const HIGH: [&str; 4] = [
    "5 -0.920 32.0",
    "20 -0.610 21.0",
    "100 -0.380 13.0",
    "120 -0.360 12.0",
];
const LOW: [&str; 4] = [
    "5 -0.300 28.0",
    "20 -0.200 19.0",
    "100 -0.120 12.0",
    "120 -0.110 11.0",
];

fn table(burden: &str, rows: &[String]) -> String {
    let rows = rows.join("\n");
    format!(
        "\n[ratio S1-S2]\nmethod: current\nburden: {burden}\nrated/% error/% phase/arcmin\n{rows}\n"
    )
}

fn record(tables: &str) -> String {
    format!(
        "format: 1\n\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n\n[core S]\nclass: 0.5\nburden: 10 VA\n\
         ratio: 600/1 A\n\n[visit 2026-03-14]\npurpose: investigation\ninstrument: K1\n{tables}"
    )
}

/// Two burdens, the greater one with some rows in place of its own.
fn with(edits: &[(usize, &str)]) -> Bench {
    let mut high = HIGH.map(str::to_owned);
    for (at, row) in edits {
        high[*at] = (*row).to_owned();
    }
    let low = LOW.map(str::to_owned);
    Bench::of(&record(
        &(table("10 VA at 0.80", &high) + &table("2.5 VA at 1.00", &low)),
    ))
}

/// What is named, and in which words.
fn named(found: &Bench) -> Vec<(&'static str, String)> {
    let all = CAUSES.into_iter().flat_map(|id| {
        let all = found.all(id).into_iter();
        all.map(move |one| (id, one.observed.plain(|_| 0)))
    });
    all.collect()
}

fn rules(found: &Bench) -> Vec<&'static str> {
    named(found).into_iter().map(|(id, _)| id).collect()
}

#[test]
fn one_number_is_told_with_what_was_meant() {
    assert_eq!(rules(&with(&[])), [""; 0]);
    for (at, row, id, words) in [
        (1, "20 -6.10 21.0", "error-slip", "-0.61 % agrees"),
        (0, "5 -9.20 32.0", "error-slip", "-0.92 % agrees"),
        (2, "100 -3.80 13.0", "error-slip", "-0.38 % agrees"),
        (0, "5 0.920 32.0", "error-slip", "minus sign"),
        (2, "100 0.380 13.0", "error-slip", "minus sign"),
        (1, "20 -0.610 210", "phase-slip", "21 arcmin agrees"),
        (1, "20 -0.610 2.10", "phase-slip", "21 arcmin agrees"),
        (2, "100 -0.380 31.0", "phase-slip", "two digits exchanged"),
        (2, "100 -0.380 -13.0", "phase-slip", "minus sign"),
    ] {
        let told = named(&with(&[(at, row)]));
        assert!(
            matches!(told.as_slice(), [(rule, says)] if *rule == id && says.contains(words)),
            "{row}: {told:?}"
        );
    }
}

/// Near misses: what was put right has to lie where all columns ask for it, and to be the only such number.
#[test]
fn what_agrees_with_nothing_is_no_slip() {
    for (at, row) in [
        // With its point in place it would be 0.3 % off.
        (1, "20 -9.10 21.0"),
        (0, "5 -5.20 32.0"),
        // Its sign changed it would be as far off.
        (1, "20 0.30 21.0"),
        // A contact of the lead moves both columns.
        (1, "20 -1.610 45.0"),
        (0, "5 -1.100 36.0"),
    ] {
        assert_eq!(rules(&with(&[(at, row)])), [""; 0], "{row}");
    }
    // One burden without the phase: nothing but the rows beside it, which leave room for too much.
    let rows = ["5 -0.920 -", "20 -6.10 -", "100 -0.380 -", "120 -0.360 -"];
    let alone = record(&table("10 VA at 0.80", &rows.map(str::to_owned)));
    assert_eq!(rules(&Bench::of(&alone)), [""; 0]);
}

/// Only what rests on the number is withheld: another row that fails is a failure, and so is its class.
#[test]
fn a_failure_beside_a_slip_stays_one() {
    let found = with(&[(1, "20 -6.10 21.0")]);
    assert!(!found.told("ratio-error").contains("fail"));
    assert!(found.told("class-shown").contains("in doubt"));
    assert_eq!(
        found.explained_by("error-slip"),
        ["ratio-error", "class-shown"]
    );
    assert_eq!(found.told("phase-displacement").matches("pass").count(), 8);
    let bad = [
        "5 -1.84 64.0",
        "20 -1.22 420",
        "100 -0.76 26.0",
        "120 -0.72 24.0",
    ];
    let edits: Vec<(usize, &str)> = bad.into_iter().enumerate().collect();
    let found = with(&edits);
    assert_eq!(rules(&found), ["phase-slip"]);
    assert_eq!(found.told("ratio-error").matches("fail").count(), 4);
    assert_eq!(found.told("class-shown"), "fail");
}

#[test]
fn rows_and_columns_agree_in_each_others_place() {
    let rows_exchanged = with(&[(0, "5 -0.610 21.0"), (1, "20 -0.920 32.0")]);
    let told = named(&rows_exchanged);
    assert!(
        matches!(told.as_slice(), [("errors-exchanged", says)] if says.contains("5 % and 20 %")),
        "{told:?}"
    );
    for edits in [
        vec![(1, "20 21.0 -0.610")],
        vec![(0, "5 32.0 -0.920")],
        vec![
            (0, "5 32.0 -0.920"),
            (1, "20 21.0 -0.610"),
            (2, "100 13.0 -0.380"),
            (3, "120 12.0 -0.360"),
        ],
    ] {
        let told = named(&with(&edits));
        assert!(
            matches!(told.as_slice(), [("errors-exchanged", says)] if says.contains("columns")),
            "{edits:?}: {told:?}"
        );
    }
    // Only one of both columns says so.
    assert_eq!(
        rules(&with(&[(0, "5 -0.610 32.0"), (1, "20 -0.920 21.0")])),
        [""; 0]
    );
}

#[test]
fn burdens_that_are_exchanged_turn_the_exciting_current_the_wrong_way() {
    let of = |high: &[&str], low: &[&str], low_burden: &str| {
        let rows =
            |rows: &[&str]| -> Vec<String> { rows.iter().map(|row| (*row).to_owned()).collect() };
        let high = table("10 VA at 0.80", &rows(high));
        rules(&Bench::of(&record(
            &(high + &table(low_burden, &rows(low))),
        )))
    };
    assert_eq!(of(&HIGH, &LOW, "2.5 VA at 1.00"), [""; 0]);
    assert_eq!(of(&LOW, &HIGH, "2.5 VA at 1.00"), ["burdens-exchanged"]);
    // The angles say nothing where nobody says the power factor.
    assert_eq!(of(&LOW, &HIGH, "2.5 VA"), [""; 0]);
    // What was left in the iron at the smaller burden makes its errors greater too, but turns nothing.
    let magnetised = [
        "5 -1.20 112.0",
        "20 -0.80 76.0",
        "100 -0.48 48.0",
        "120 -0.44 44.0",
    ];
    assert_eq!(of(&HIGH, &magnetised, "2.5 VA at 1.00"), [""; 0]);
}

/// A core by the exciting current of its iron, and what else may make its errors bad.
#[derive(Clone, Copy, Debug)]
struct Core {
    /// Exciting current at rated current and burden, as a share of it; the power of the flux that it falls with; its
    /// angle behind the e.m.f., radian.
    share: f64,
    power: f64,
    angle: f64,
    /// Winding resistance over the impedance of the rated burden.
    winding: f64,
    /// Times of the rated flux at which it saturates.
    knee: f64,
    /// Per cent: turns that were taken off; what another core that stands open adds at rated current; what is picked up
    /// at 1 % of it.
    turns: f64,
    open: f64,
    pick_up: f64,
}

impl Core {
    /// Error in per cent and displacement in minutes.
    fn errors(&self, percent: f64, burden: f64, factor: f64) -> (f64, f64) {
        let sine = (1.0 - factor * factor).sqrt();
        let (r, x) = (self.winding + burden * factor, burden * sine);
        let z = r.hypot(x) / (self.winding + 0.8).hypot(0.6);
        let flux = z * percent / 100.0;
        let share = self.share * z * (flux.powf(-self.power) + (flux / self.knee).powi(12));
        let behind = self.angle - x.atan2(r);
        let (along, across) = (share * behind.cos(), share * behind.sin());
        let error = 100.0 * (1.0 / (1.0 + along).hypot(across) - 1.0);
        let error = error + self.turns + self.open * percent / 100.0 + self.pick_up / percent;
        (error, across.atan2(1.0 + along).to_degrees() * 60.0)
    }

    fn rows(&self, burden: f64, factor: f64, scatter: &[f64]) -> Vec<String> {
        let percents = [1.0, 5.0, 20.0, 100.0, 120.0, 200.0];
        let mut scatter = scatter.iter().cycle();
        let mut noise = || scatter.next().copied().unwrap_or_default();
        let row = |percent: f64| {
            let (error, phase) = self.errors(percent, burden, factor);
            let (error, phase) = (error + 0.005 * noise(), phase + 0.3 * noise());
            format!("{percent} {error:.3} {phase:.1}")
        };
        percents.map(row).into()
    }
}

fn core() -> impl Strategy<Value = Core> {
    let sizes = (
        -4.0..-1.2f64,
        0.0..0.5f64,
        0.5..1.3f64,
        0.05..1.0f64,
        1.2..8.0f64,
    );
    let others = (
        -1.5..1.5f64,
        prop_oneof![Just(0.0), -0.5..0.5f64],
        prop_oneof![Just(0.0), -1.0..1.0f64],
    );
    (sizes, others).prop_map(
        |((size, power, angle, winding, knee), (turns, open, pick_up))| Core {
            share: 10f64.powf(size),
            power,
            angle,
            winding,
            knee,
            turns,
            open,
            pick_up,
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        // The same cores each time: the question is how rare it is, which a lucky seed would hide.
        rng_seed: RngSeed::Fixed(20_260_314),
        ..ProptestConfig::with_cases(1500)
    })]

    /// Sound or bad, magnetised, saturating, beside an open core, with what the yard induces: no slip is told of it.
    #[test]
    fn no_core_is_a_slip(core in core(), scatter in prop::collection::vec(-1.0..1.0f64, 24)) {
        let both = table("10 VA at 0.80", &core.rows(1.0, 0.8, &scatter))
            + &table("2.5 VA at 1.00", &core.rows(0.25, 1.0, &scatter[7..]));
        let found = Bench::of(&record(&both));
        prop_assert!(named(&found).is_empty(), "{:?}\n{both}", named(&found));
    }

    /// A slip of a sound one is told as what it is, or not at all.
    #[test]
    fn a_slip_is_told_right(
        core in core(),
        scatter in prop::collection::vec(-1.0..1.0f64, 24),
        (at, is_phase, how) in (0..6usize, any::<bool>(), 0..3usize),
    ) {
        let mut rows = core.rows(1.0, 0.8, &scatter);
        let mut cells: Vec<String> = rows[at].split(' ').map(str::to_owned).collect();
        let column = 1 + usize::from(is_phase);
        let meant: f64 = cells[column].parse().unwrap();
        let times = [0.1, 10.0, -1.0][how];
        let decimals = if is_phase { [2, 0, 1] } else { [4, 2, 3] };
        cells[column] = format!("{:.*}", decimals[how], meant * times);
        rows[at] = cells.join(" ");
        let both = table("10 VA at 0.80", &rows)
            + &table("2.5 VA at 1.00", &core.rows(0.25, 1.0, &scatter[7..]));
        let told = named(&Bench::of(&record(&both)));
        let right = if is_phase { "phase-slip" } else { "error-slip" };
        let unit = if is_phase { "arcmin" } else { "%" };
        let words = format!("where {} {unit} agrees", (1e4 * meant).round() / 1e4);
        for (rule, says) in &told {
            prop_assert!(*rule == right && says.contains(&words), "{meant} {times} {told:?}\n{both}");
        }
    }
}
