//! The formulas of the ratio tests.

use crate::derive::formula::{AnyFormula, Formula, Symbol, symbol};

const TRANSFORMER: &str = "law of the transformer: voltages at no load go as the turns";
const TURNS_SOURCE: &str =
    "IEC 61869-2:2012, 3.4 (turns ratio is primary to secondary turns; from memory)";
const IEEE_SOURCE: &str =
    "IEEE C57.13, 5.3: RCF, and TCF at power factor 0.6 with the rounded 2600 (from memory)";
const N: Symbol = symbol(
    "N",
    "",
    "secondary turns per turn of the primary, as measured",
);
const V: Symbol = symbol("V", "V", "voltage on the driven pair");

pub(super) static EMF: Formula<4> = Formula {
    name: "ratio-emf",
    what: "e.m.f. of the driven pair",
    text: "sqrt(V^2 - (I*R)^2*(1 - c^2)) - I*R*c",
    unit: "V",
    of: [
        V,
        symbol("I", "A", "exciting current at that voltage"),
        symbol("R", "ohm", "winding resistance"),
        symbol(
            "c",
            "",
            "cosine of the angle of the exciting current behind the e.m.f.",
        ),
    ],
    source: "phasor subtraction of the drop of the exciting current",
    go: |[v, i, r, c]| (v.powi(2) - (i * r).powi(2) * (1.0 - c.powi(2))).sqrt() - i * r * c,
};

pub(super) static TURNS: Formula<2> = Formula {
    name: "turns-ratio",
    what: "secondary turns per turn of the primary",
    text: "E/U",
    unit: "",
    of: [
        symbol(
            "E",
            "V",
            "e.m.f. of the driven pair, or the voltage that stands for it",
        ),
        symbol("U", "V", "voltage at the primary"),
    ],
    source: TRANSFORMER,
    go: |[e, u]| e / u,
};

pub(super) static SHARE: Formula<2> = Formula {
    name: "section-share",
    what: "share of the driven pair's turns",
    text: "v/V",
    unit: "",
    of: [symbol("v", "V", "voltage read at the section"), V],
    source: "volts per turn are the same in all sections",
    go: |[v, full]| v / full,
};

pub(super) static SECTION: Formula<2> = Formula {
    name: "section-turns-ratio",
    what: "secondary turns per turn of the primary, of the section",
    text: "s*N",
    unit: "",
    of: [symbol("s", "", "share of the driven pair's turns"), N],
    source: "volts per turn are the same in all sections",
    go: |[s, n]| s * n,
};

pub(super) static TURNS_ERROR: Formula<2> = Formula {
    name: "turns-ratio-error",
    what: "turns ratio error, positive when the secondary has fewer turns than rated",
    text: "100*(Nr/N - 1)",
    unit: "%",
    of: [
        symbol("Nr", "", "rated secondary turns per turn of the primary"),
        N,
    ],
    source: TURNS_SOURCE,
    go: |[rated, n]| 100.0 * (rated / n - 1.0),
};

pub(super) static SECONDARY_TURNS: Formula<2> = Formula {
    name: "secondary-turns",
    what: "secondary turns",
    text: "N*n",
    unit: "",
    of: [N, symbol("n", "", "turns of the primary as connected")],
    source: TRANSFORMER,
    go: |[ratio, n]| ratio * n,
};

pub(super) static VOLTS_PER_TURN: Formula<2> = Formula {
    name: "volts-per-turn",
    what: "volts per turn",
    text: "U/n",
    unit: "V",
    of: [
        symbol("U", "V", "voltage at the primary"),
        symbol("n", "", "turns of the primary as connected"),
    ],
    source: TRANSFORMER,
    go: |[u, n]| u / n,
};

pub(super) static OF_KNEE: Formula<2> = Formula {
    name: "ratio-share-of-knee",
    what: "voltage of the ratio test in per cent of the knee",
    text: "100*V/K",
    unit: "%",
    of: [V, symbol("K", "V", "knee of the driven pair")],
    source: "definition of per cent",
    go: |[v, knee]| 100.0 * v / knee,
};

pub(super) static PERCENT: Formula<2> = Formula {
    name: "percent-of-rated-current",
    what: "primary current in per cent of rated",
    text: "100*Ip/Ipr",
    unit: "%",
    of: [
        symbol("Ip", "A", "primary current"),
        symbol("Ipr", "A", "rated primary current as connected"),
    ],
    source: "definition of per cent",
    go: |[i, rated]| 100.0 * i / rated,
};

pub(super) static CURRENT_ERROR: Formula<3> = Formula {
    name: "ratio-error",
    what: "ratio error",
    text: "100*(Kn*Is - Ip)/Ip",
    unit: "%",
    of: [
        symbol("Kn", "", "rated ratio as connected"),
        symbol("Is", "A", "secondary current"),
        symbol("Ip", "A", "primary current"),
    ],
    source: "IEC 61869-1 and -2:2012, definition of ratio error (from memory)",
    go: |[k, secondary, primary]| 100.0 * (k * secondary - primary) / primary,
};

pub(super) static COMPARED: Formula<2> = Formula {
    name: "error-against-standard",
    what: "error of the comparison, with that of the standard",
    text: "e + d",
    unit: "",
    of: [
        symbol("e", "", "error as the comparator shows it"),
        symbol("d", "", "error of the standard, taken as zero"),
    ],
    source: "sum of comparison and standard, to first order",
    go: |[e, d]| e + d,
};

pub(super) static RCF: Formula<1> = Formula {
    name: "ratio-correction-factor",
    what: "ratio correction factor",
    text: "1/(1 + e/100)",
    unit: "",
    of: [symbol("e", "%", "ratio error")],
    source: IEEE_SOURCE,
    go: |[e]| 1.0 / (1.0 + e / 100.0),
};

pub(super) static TCF: Formula<2> = Formula {
    name: "transformer-correction-factor",
    what: "transformer correction factor at power factor 0.6 lagging",
    text: "F - b*10800/(2600*pi)",
    unit: "",
    of: [
        symbol("F", "", "ratio correction factor"),
        symbol(
            "b",
            "rad",
            "phase displacement, positive when the secondary leads",
        ),
    ],
    source: IEEE_SOURCE,
    go: |[f, b]| f - b * (10_800.0 / (2600.0 * std::f64::consts::PI)),
};

pub(super) static EMF_AT: Formula<2> = Formula {
    name: "emf-at-current",
    what: "e.m.f. at this secondary current",
    text: "I*Z",
    unit: "V",
    of: [
        symbol("I", "A", "secondary current"),
        symbol("Z", "ohm", "impedance of winding and burden"),
    ],
    source: "law of Ohm, by phasors",
    go: |[i, z]| i * z,
};

pub(super) static ANGLE_BETWEEN: Formula<5> = Formula {
    name: "exciting-angle-at",
    what: "angle of the exciting current behind the e.m.f.",
    text: "a + (b - a)*(E - u)/(v - u)",
    unit: "rad",
    of: [
        symbol("a", "rad", "angle read at the lower voltage"),
        symbol("b", "rad", "angle read at the higher voltage"),
        symbol("E", "V", "e.m.f."),
        symbol("u", "V", "lower voltage"),
        symbol("v", "V", "higher voltage"),
    ],
    source: "straight line between two readings, the voltage standing for the e.m.f.",
    go: |[a, b, e, u, v]| a + (b - a) * (e - u) / (v - u),
};

pub(super) static BEHIND_SECONDARY: Formula<4> = Formula {
    name: "exciting-angle-behind-secondary",
    what: "angle of the exciting current behind the secondary current",
    text: "p - atan2(Zb*sin(q), Rct + Zb*cos(q))",
    unit: "rad",
    of: [
        symbol(
            "p",
            "rad",
            "angle of the exciting current behind the e.m.f.",
        ),
        symbol("Zb", "ohm", "impedance of the burden"),
        symbol("q", "rad", "angle of the burden"),
        symbol("Rct", "ohm", "winding resistance at 75 °C"),
    ],
    source: "phasors of the loop of winding and burden",
    go: |[p, z, q, r]| p - (z * q.sin()).atan2(r + z * q.cos()),
};

/// All of them.
pub static FORMULAS: &[&dyn AnyFormula] = &[
    &EMF,
    &TURNS,
    &SHARE,
    &SECTION,
    &TURNS_ERROR,
    &SECONDARY_TURNS,
    &VOLTS_PER_TURN,
    &OF_KNEE,
    &PERCENT,
    &CURRENT_ERROR,
    &COMPARED,
    &RCF,
    &TCF,
    &EMF_AT,
    &ANGLE_BETWEEN,
    &BEHIND_SECONDARY,
];
