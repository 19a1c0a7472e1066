//! What is named behind a curve, with the near miss beside it.

use super::{job, of_rule};
use kneemark::document::Grade;
use kneemark::job::Job;
use kneemark::judge::finding::Finding;

/// mA of a core whose steep part goes on ever steeper, with so many times the section of iron and the field.
fn amps(volts: f64, section: f64, field: f64) -> f64 {
    let share = volts / (500.0 * section);
    let open = share * share / (1.0 - share * share);
    field * 5.0 * libm::pow(volts / 400.0, 0.7) + 0.05 * libm::pow(open, 3.2)
}

const VOLTS: [f64; 15] = [
    20.0, 31.0, 47.0, 70.0, 105.0, 150.0, 210.0, 280.0, 330.0, 360.0, 390.0, 415.0, 435.0, 455.0,
    470.0,
];

/// A core at the works and on site; each reading on site as `then` makes it of voltage and mA.
fn record(extra: &str, now: impl Fn(f64) -> (f64, f64)) -> String {
    let rows = |of: &dyn Fn(f64) -> (f64, f64)| -> String {
        let rows = VOLTS.map(of).map(|(v, i)| format!("{v:.4} {i:.5}\n"));
        rows.concat()
    };
    let (then, now) = (rows(&|v| (v, amps(v, 1.0, 1.0))), rows(&now));
    format!(
        "format: 1\n\n[ct]\nid: T\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\n\n\
         [core S]\nclass: PX\nratio: 600/1 A\nresistance: 3.5 ohm at 75 C\nmarks: S1 S2\n\n\
         [visit 2025-03-14]\npurpose: factory\n\n[excitation S1-S2]\nvoltmeter: mean\nvoltage/V current/mA\n{then}\n\
         [visit 2026-03-14]\npurpose: maintenance\nprimary: P1 open, P2 earthed\n\n\
         [excitation S1-S2]\nvoltmeter: mean\n{extra}voltage/V current/mA\n{now}"
    )
}

/// The causes that are named, with their grades and what is told as as likely.
fn causes(job: &Job) -> Vec<(&'static str, Grade)> {
    let one = job.records.first().expect("a record");
    let named = |one: &Finding| one.because.is_some().then(|| (one.rule.id, one.grade()));
    one.findings().filter_map(named).collect()
}

fn of(extra: &str, now: impl Fn(f64) -> (f64, f64)) -> Vec<(&'static str, Grade)> {
    causes(&job(&[&record(extra, now)], ""))
}

/// Above the bend of a worn core the readings lie beyond the curve of then, which is steeper there than it ended.
#[test]
fn a_knee_is_lower_also_where_it_is_read_beyond_the_curve_of_then() {
    let worn = of("", |v| (0.9 * v, amps(0.9 * v, 0.88, 1.3)));
    assert_eq!(worn, [("knee-lower", Grade::Review)]);
    assert_eq!(of("", |v| (v, amps(v, 0.996, 1.02))), []);
}

/// Factors of a wave that is a sine are known; what lies between them is a source off its frequency.
#[test]
fn a_voltage_that_is_a_form_factor_off_is_the_voltmeter() {
    let scaled = |times: f64| of("", move |v| (v * times, amps(v, 1.0, 1.0)));
    assert_eq!(scaled(1.11), [("voltmeter-scale", Grade::Review)]);
    assert_eq!(scaled(1.0 / 1.11), [("voltmeter-scale", Grade::Review)]);
    assert_eq!(scaled(1.08), [("source-frequency", Grade::Review)]);
    assert_eq!(scaled(1.003), []);
}

/// No curve tells a turn from what hangs on the winding: a turn fails a transformer only where the record says that
/// nothing did.
#[test]
fn a_shorted_turn_fails_only_with_the_circuit_off() {
    let turn = |extra: &str| {
        of(extra, |v| {
            let amps = amps(v, 1.0, 1.0);
            (v, libm::hypot(0.6 * amps + 0.15 * v, 0.8 * amps))
        })
    };
    assert_eq!(turn(""), [("burden-left-on", Grade::Review)]);
    assert_eq!(
        turn("burden: disconnected\n"),
        [("shorted-turn-suspected", Grade::Fails)]
    );
    // What measuring may be behind as well stands first, and the turn beside it.
    let silent = of_rule("shorted-turn-suspected").replace("burden: disconnected\n", "");
    let job = job(&[&silent], "");
    let all = job.records[0].findings();
    let told: Vec<&Finding> = all.filter(|one| one.because.is_some()).collect();
    let because = told[0].because.as_ref().expect("a cause");
    let next = because.next.map(|(rule, _)| rule.id);
    assert_eq!(
        (told[0].rule.id, told[0].grade(), next),
        (
            "burden-left-on",
            Grade::Review,
            Some("shorted-turn-suspected")
        )
    );
}

/// A loop through a primary of several turns is seen on a core by the ratio, not by the turns alone.
#[test]
fn a_loop_through_several_primary_turns_is_one_loop() {
    let curve = |core: &str, siemens: f64| {
        let rows = VOLTS.map(|v| {
            let amps = amps(v, 1.0, 1.0);
            let all = libm::hypot(0.6 * amps + 1e3 * siemens * v, 0.8 * amps);
            format!("{v} {all:.5}\n")
        });
        let rows = rows.concat();
        format!("[excitation {core}1-{core}2]\nvoltmeter: mean\nvoltage/V current/mA\n{rows}\n")
    };
    let core = |name: &str| {
        format!(
            "[core {name}]\nclass: PX\nratio: 75/1 A\nresistance: 3.5 ohm at 75 C\nmarks: {name}1 {name}2\n\n"
        )
    };
    let record = |a: f64, b: f64| {
        format!(
            "format: 1\n\n[ct]\nid: T\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 4\n\n{}{}\
             [visit 2025-03-14]\npurpose: factory\n\n{}{}[visit 2026-03-14]\npurpose: maintenance\n\n{}{}",
            core("A"),
            core("B"),
            curve("A", 0.0),
            curve("B", 0.0),
            curve("A", a),
            curve("B", b)
        )
    };
    let told = |a: f64, b: f64| causes(&job(&[&record(a, b)], ""));
    let review = |id| (id, Grade::Review);
    assert_eq!(told(0.027, 0.027), [review("primary-loop-suspected")]);
    assert_eq!(told(0.027, 0.0), [review("burden-left-on")]);
}

/// Two plates that promise another knee are two types, although name, ratio and class are the same.
#[test]
fn curves_of_two_types_are_not_held_against_each_other() {
    let unit = |id: &str, knee: f64, times: f64| {
        let rows = VOLTS.map(|v| format!("{:.4} {:.5}\n", times * v, amps(v, 1.0, 1.0)));
        format!(
            "format: 1\n\n[ct]\nid: {id}\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\n\n\
             [place since 2020-01-01]\nsite: Fell\nbay: B1\n\n[core S]\nclass: PX\nratio: 600/1 A\n\
             knee emf: {knee} V\nmarks: S1 S2\n\n[visit 2026-03-14]\npurpose: maintenance\n\n\
             [excitation S1-S2]\nvoltmeter: mean\nvoltage/V current/mA\n{}",
            rows.concat()
        )
    };
    let told = |knee: f64, units: usize| {
        let peak = std::f64::consts::SQRT_2;
        let others = ["T2", "T3"].map(|id| unit(id, knee, 1.0));
        let all = [unit("T1", 300.0, peak)].into_iter().chain(others);
        let all: Vec<String> = all.take(units).collect();
        let all: Vec<&str> = all.iter().map(String::as_str).collect();
        causes(&job(&all, ""))
    };
    assert_eq!(told(300.0, 3), [("voltmeter-scale", Grade::Review)]);
    assert_eq!(told(200.0, 3), []);
    // Of two units alone nobody knows which is the odd one.
    assert_eq!(told(300.0, 2), []);
}

/// Whether the one row of a curve is called a slip, with a certificate and without, where its current is so many times
/// what it should be; or its voltage.
fn slips(row: usize, times: (f64, f64)) -> [Option<String>; 2] {
    let at = VOLTS.get(row).copied().expect("a row");
    let now = record("", |v| {
        let (volts, amperes) = if v.to_bits() == at.to_bits() {
            times
        } else {
            (1.0, 1.0)
        };
        (v * volts, amps(v, 1.0, 1.0) * amperes)
    });
    let (plate, readings) = now.split_once("[visit 2025").expect("a visit");
    let (_, today) = readings.split_once("[visit 2026").expect("a visit");
    let alone = format!("{plate}[visit 2026{today}");
    [now, alone].map(|text| {
        let job = job(&[&text], "");
        let one = job.records.first().expect("a record");
        let mut slips = one.findings().filter(|one| one.rule.id == "curve-slip");
        slips.next().map(|slip| one.sentence(slip))
    })
}

/// One current that is off is no slip of the pen: what a slip would make of it is known to the digit. By chance two of
/// the digits do so now and then.
#[test]
fn a_bad_point_of_a_curve_is_no_slip_of_the_pen() {
    let mut named = Vec::new();
    for row in 2..VOLTS.len() - 1 {
        for times in [1.35, 1.6, 2.0, 3.0, 0.6, 0.4] {
            named.extend(slips(row, (1.0, times)).into_iter().flatten());
        }
    }
    let by_digits = |told: &String| told.contains("two digits exchanged");
    assert!(named.iter().all(by_digits), "{named:#?}");
    assert!(named.len() <= 7, "{} of 144: {named:#?}", named.len());
    let slip = slips(7, (820.0 / 280.0, 1.0));
    assert!(slip.iter().all(Option::is_some), "{slip:?}");
}

/// The last reading of a core that saturates lower is no reading of the millivolts below the curve of then.
#[test]
fn a_knee_that_is_lower_in_the_last_row_is_no_slip() {
    let lower = of("", |v| {
        let section = if v > 460.0 { 0.9 } else { 1.0 };
        (v, amps(v.min(440.0), section, 1.0))
    });
    assert!(lower.iter().all(|(id, _)| *id != "curve-slip"), "{lower:?}");
}

/// Volts that rise smoothly beyond the knee are those of a peaky wave: the rows beside the last one move too.
#[test]
fn what_the_rows_beside_do_too_is_no_slip() {
    for from in [360.0, 390.0, 415.0, 435.0] {
        for bend in [0.5, 1.0, 2.0] {
            let peaky = of("", |v| {
                let share = ((v - from) / (470.0 - from)).max(0.0);
                (v * (1.0 + 0.06 * libm::pow(share, bend)), amps(v, 1.0, 1.0))
            });
            let slips = peaky.iter().filter(|(id, _)| *id == "curve-slip");
            assert_eq!(slips.count(), 0, "{from} {bend} {peaky:?}");
        }
    }
}

/// A core of a unit that nothing is known of but its own readings, with its circuit as it was read.
fn alone(class: &str, circuit: &str, now: impl Fn(f64) -> f64) -> Vec<&'static str> {
    let rows: String = VOLTS.map(|v| format!("{v} {:.5}\n", now(v))).concat();
    let record = format!(
        "format: 1\n\n[ct]\nid: T\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\n\n\
         [core S]\nclass: {class}\nratio: 600/1 A\nmarks: S1 S2\n\n[visit 2026-03-14]\npurpose: maintenance\n\
         primary: P1 open, P2 earthed\n\n[excitation S1-S2]\nvoltmeter: mean\nvoltage/V current/mA\n{rows}\n{circuit}"
    );
    let named = causes(&job(&[&record], ""));
    named.into_iter().map(|(rule, _)| rule).collect()
}

const CIRCUIT: &str =
    "[burden S1-S2]\nloop current/A voltage/V angle/deg\nphase-neutral 1.000 50.00 2.0\n";

/// Of a core that takes its rated current far below its knee, in proportion to the voltage, it is a path across the
/// winding by itself. A straight line that stays small may be a core with a gap.
#[test]
fn a_straight_line_of_amperes_needs_no_other_curve() {
    let load = |ohm: f64| move |v: f64| amps(v, 1.0, 1.0) + 1e3 * v / ohm;
    let knee = "PX\nknee emf: 400 V";
    assert_eq!(alone(knee, CIRCUIT, load(50.0)), ["burden-left-on"]);
    assert_eq!(alone(knee, CIRCUIT, load(200.0)), [""; 0]);
    assert_eq!(alone(knee, CIRCUIT, |v| amps(v, 1.0, 1.0)), [""; 0]);
    assert_eq!(alone("PXR\nknee emf: 400 V", CIRCUIT, load(50.0)), [""; 0]);
}

/// A section in which a word was not understood tells no cause; a row that was not, takes itself out alone.
#[test]
fn a_section_that_was_misread_tells_no_cause() {
    let turn = |extra: &str| {
        of(extra, |v| {
            let amps = amps(v, 1.0, 1.0);
            (v, libm::hypot(0.6 * amps + 0.15 * v, 0.8 * amps))
        })
    };
    assert_eq!(turn("burden: disconected\n"), []);
    let record = record("", |v| (1.11 * v, amps(v, 1.0, 1.0)));
    let comma = record.replace("22.2000 ", "22,2000 ");
    assert_ne!(record, comma);
    assert_eq!(
        causes(&job(&[&comma], "")),
        [("voltmeter-scale", Grade::Review)]
    );
}
