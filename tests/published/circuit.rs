//! Burden of the circuit, leads, fault level: examples of relay makers' manuals.

use super::{Row, by_formula, exact, exciting, iec, told};
use kneemark::derive::accuracy::{BURDEN_IMPEDANCE, PROPORTION};
use kneemark::derive::workings::Workings;

const MANUAL: &str = "a relay maker's instruction manual, application of settings";
const LEADS: &str = "a relay maker's manual, lead resistance example";
const BUS: &str = "a relay maker's instruction manual, bus differential, CT saturation";

/// The circuit-burden finding of one loop at 5 A, VA.
fn measured(volts: f64) -> f64 {
    let visit = format!(
        "[burden S1-S2]\nloop  current/A  voltage/V  angle/deg\nphase-neutral  5.000  {volts:.4}  0.0\n"
    );
    told(&iec("class: 5P20\nburden: 15 VA\nratio: 600/5 A", &visit)).value("circuit-burden")
}

fn burdens() -> Vec<Row> {
    let ohm = |va: f64| {
        let mut w = Workings::new();
        let [va, isr] = exact(&mut w, [va, 5.0]);
        w.step(&BURDEN_IMPEDANCE, [va, isr]).unwrap().si
    };
    vec![
        Row::record(
            "0.008 ohm at 5 A: burden, VA",
            MANUAL,
            0.2,
            measured(0.040),
            1e-9,
        ),
        Row::record(
            "0.6 ohm at 5 A: burden, VA",
            MANUAL,
            15.0,
            measured(3.000),
            1e-9,
        ),
        Row::new(
            "0.2 VA at 5 A: impedance, ohm",
            MANUAL,
            0.008,
            ohm(0.2),
            1e-9,
        ),
        Row::new("15 VA at 5 A: impedance, ohm", MANUAL, 0.6, ohm(15.0), 1e-9),
    ]
}

/// A duty with leads of 20 m and 4 mm2, and what the relay adds.
fn leads(relay: &str) -> super::Told {
    let core = "class: 5P20\nburden: 15 VA\nratio: 600/5 A\nresistance: 0.2 ohm at 75 C\n\n[duty S since 2026-01-01]\nfault current: 12 kA\nlead length: 20 m\nlead section: 4 mm2\nlead temperature: 20 C\nlead returns: full";
    let core = format!("{core}\n{relay}");
    told(&iec(
        &core,
        &exciting(
            "S1-S2",
            &[(10.0, 0.01), (50.0, 0.02), (90.0, 0.05), (100.0, 0.5)],
        ),
    ))
}

fn wiring() -> Vec<Row> {
    let (bare, both) = (leads(""), leads("relay burden: 0.3 VA"));
    let total = both.step("leads and relay");
    vec![
        Row::record(
            "20 m of 4 mm2 copper, go and return: ohm",
            LEADS,
            0.175,
            bare.step("resistance of the leads"),
            1e-9,
        ),
        Row::record(
            "the same at 5 A: VA",
            LEADS,
            4.375,
            25.0 * bare.step("resistance of the leads"),
            1e-9,
        ),
        Row::record(
            "leads 4.375 VA and relay 0.3 VA: VA",
            LEADS,
            4.675,
            25.0 * total,
            1e-9,
        ),
    ]
}

/// Saturation-free current of a bus CT: 144 V behind 0.34 ohm, leads of 0.003 ohm/m and 0.008 ohm.
fn bus() -> Vec<Row> {
    let z = |metres: f64| 0.34 + 2.0 * 0.003 * metres + 0.008;
    let times = |metres: f64| by_formula("limit-factor", &[144.0, 5.0, z(metres)]);
    // In per unit of a zone base of 1200 A with CTs of 600/5 A.
    let zone = |metres: f64| times(metres) * 600.0 / 1200.0;
    let free = by_formula("saturation-reserve", &[144.0, 0.0, 144.0]);
    let left = by_formula("saturation-reserve", &[144.0, 80.0, 144.0]);
    vec![
        Row::new(
            "144 V, 210 m of lead: times rated current",
            BUS,
            17.9,
            times(210.0),
            0.05,
        ),
        Row::new(
            "144 V, 210 m of lead: secondary current, A",
            BUS,
            89.55,
            5.0 * times(210.0),
            0.01,
        ),
        Row::new(
            "144 V, 210 m of lead: in per unit of the zone",
            BUS,
            8.96,
            zone(210.0),
            0.006,
        ),
        Row::new(
            "144 V, 205 m of lead: in per unit of the zone",
            BUS,
            9.13,
            zone(205.0),
            0.006,
        ),
        Row::new(
            "80 % remanence: reduction of the saturation-free current",
            BUS,
            5.0,
            free / left,
            1e-9,
        ),
    ]
}

/// Close-up fault of 40 kA on 1200/1 A.
fn fault() -> Vec<Row> {
    let source = "a relay maker's technical manual, distance and differential application notes";
    let duty = |current: &str, extra: &str| {
        let core = "class: 5P20\nburden: 15 VA\nratio: 1200/1 A\nresistance: 2.0 ohm at 75 C";
        let core = format!(
            "{core}\n\n[duty S since 2026-01-01]\nfault current: {current}\nburden: 1.0 ohm\n{extra}"
        );
        told(&iec(
            &core,
            &exciting(
                "S1-S2",
                &[(50.0, 0.01), (300.0, 0.02), (400.0, 0.05), (450.0, 0.5)],
            ),
        ))
    };
    let secondary = |told: &super::Told| told.step("symmetrical secondary current of the fault");
    // 51.704 ohm on 230 kV.
    let through = duty("2568.5 A", "x/r: 5.66");
    vec![
        Row::record(
            "40 kA on 1200/1 A: secondary current, A",
            source,
            33.33,
            secondary(&duty("40 kA", "")),
            0.005,
        ),
        Row::record(
            "2568.5 A on 1200/1 A: secondary current, A",
            source,
            2.14,
            secondary(&through),
            0.005,
        ),
        Row::record(
            "3160.34 A on 1200/1 A: secondary current, A",
            source,
            2.63,
            secondary(&duty("3160.34 A", "")),
            0.005,
        ),
        Row::new(
            "2.6336 A through 1 ohm with X/R 5.743, times 0.6: V",
            source,
            10.65,
            0.6 * by_formula("fault-emf-offset", &[2.6336, 5.743]),
            0.02,
        ),
    ]
}

/// Actual accuracy limit factors by the textbook proportion.
fn proportion() -> Vec<Row> {
    let measured = |rct: &str| {
        let core =
            format!("class: 5P10\nburden: 10 VA\nratio: 600/5 A\nresistance: {rct} ohm at 75 C");
        let visit = "[burden S1-S2]\nloop  current/A  voltage/V  angle/deg\nphase-neutral  5.000  0.500  0.0\n\n";
        let visit = format!(
            "{visit}{}",
            exciting(
                "S1-S2",
                &[(10.0, 0.01), (50.0, 0.02), (90.0, 0.05), (100.0, 0.5)]
            )
        );
        told(&iec(&core, &visit)).remarked("actual-factor", "by the textbook proportion ")
    };
    let library = |inputs: [f64; 5]| {
        let mut w = Workings::new();
        let inputs = exact(&mut w, inputs);
        w.step(&PROPORTION, inputs).unwrap().si
    };
    let quarter =
        "a relay maker's user manual, CT accuracy limit factor (secondary current inferred)";
    let needed = "a relay maker's manual, CT requirements example";
    let own = "a relay maker's manual, formula (Pn + Pi)/(P' + Pi); own arithmetic";
    vec![
        Row::record(
            "10 VA 5P10 at 2.5 VA, winding 0.5 ohm: actual factor",
            quarter,
            15.0,
            measured("0.5"),
            0.05,
        ),
        Row::record(
            "10 VA 5P10 at 2.5 VA, winding 0.05 ohm: actual factor",
            quarter,
            30.0,
            measured("0.05"),
            0.05,
        ),
        Row::new(
            "rated factor 9, 5 VA and 3 ohm, 0.6 ohm connected: actual factor",
            needed,
            20.0,
            library([9.0, 5.0, 0.6, 3.0, 1.0]),
            1e-9,
        ),
        Row::new(
            "5P10 20 VA, 2 VA inside, 4.675 VA connected: actual factor",
            own,
            32.959,
            library([10.0, 20.0, 4.675, 2.0 / 25.0, 5.0]),
            5e-4,
        ),
    ]
}

pub fn rows() -> Vec<Row> {
    [burdens(), wiring(), bus(), fault(), proportion()]
        .into_iter()
        .flatten()
        .collect()
}
