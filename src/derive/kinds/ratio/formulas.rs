//! The formulas of the ratio tests.

use crate::derive::formula::{Symbol, formulas, symbol};

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

formulas! {
    pub(super) static EMF = "ratio-emf", "e.m.f. of the driven pair":
        "sqrt(V^2 - (I*R)^2*(1 - c^2)) - I*R*c" ("V") of [
            V,
            symbol("I", "A", "exciting current at that voltage"),
            symbol("R", "ohm", "winding resistance"),
            symbol("c", "", "cosine of the angle of the exciting current behind the e.m.f."),
        ], |[v, i, r, c]| (v.powi(2) - (i * r).powi(2) * (1.0 - c.powi(2))).sqrt() - i * r * c,
        "phasor subtraction of the drop of the exciting current";

    pub(super) static TURNS = "turns-ratio", "secondary turns per turn of the primary":
        "E/U" ("") of [
            symbol("E", "V", "e.m.f. of the driven pair, or the voltage that stands for it"),
            symbol("U", "V", "voltage at the primary"),
        ], |[e, u]| e / u, TRANSFORMER;

    pub(super) static SHARE = "section-share", "share of the driven pair's turns":
        "v/V" ("") of [symbol("v", "V", "voltage read at the section"), V], |[v, full]| v / full,
        "volts per turn are the same in all sections";

    pub(super) static SECTION = "section-turns-ratio",
        "secondary turns per turn of the primary, of the section":
        "s*N" ("") of [symbol("s", "", "share of the driven pair's turns"), N], |[s, n]| s * n,
        "volts per turn are the same in all sections";

    pub(super) static TURNS_ERROR = "turns-ratio-error",
        "turns ratio error, positive when the secondary has fewer turns than rated":
        "100*(Nr/N - 1)" ("%")
        of [symbol("Nr", "", "rated secondary turns per turn of the primary"), N],
        |[rated, n]| 100.0 * (rated / n - 1.0), TURNS_SOURCE;

    pub(super) static SECONDARY_TURNS = "secondary-turns", "secondary turns":
        "N*n" ("") of [N, symbol("n", "", "turns of the primary as connected")],
        |[ratio, n]| ratio * n, TRANSFORMER;

    pub(super) static VOLTS_PER_TURN = "volts-per-turn", "volts per turn":
        "U/n" ("V") of [
            symbol("U", "V", "voltage at the primary"),
            symbol("n", "", "turns of the primary as connected"),
        ], |[u, n]| u / n, TRANSFORMER;

    pub(super) static OF_KNEE = "ratio-share-of-knee",
        "voltage of the ratio test in per cent of the knee":
        "100*V/K" ("%") of [V, symbol("K", "V", "knee of the driven pair")],
        |[v, knee]| 100.0 * v / knee, "definition of per cent";

    pub(super) static PERCENT = "percent-of-rated-current", "primary current in per cent of rated":
        "100*Ip/Ipr" ("%") of [
            symbol("Ip", "A", "primary current"),
            symbol("Ipr", "A", "rated primary current as connected"),
        ], |[i, rated]| 100.0 * i / rated, "definition of per cent";

    pub(super) static CURRENT_ERROR = "ratio-error", "ratio error":
        "100*(Kn*Is - Ip)/Ip" ("%") of [
            symbol("Kn", "", "rated ratio as connected"),
            symbol("Is", "A", "secondary current"),
            symbol("Ip", "A", "primary current"),
        ], |[k, secondary, primary]| 100.0 * (k * secondary - primary) / primary,
        "IEC 61869-1 and -2:2012, definition of ratio error (from memory)";

    pub(super) static COMPARED = "error-against-standard",
        "error of the comparison, with that of the standard":
        "e + d" ("") of [
            symbol("e", "", "error as the comparator shows it"),
            symbol("d", "", "error of the standard, taken as zero"),
        ], |[e, d]| e + d, "sum of comparison and standard, to first order";

    pub(super) static RCF = "ratio-correction-factor", "ratio correction factor":
        "1/(1 + e/100)" ("") of [symbol("e", "%", "ratio error")], |[e]| 1.0 / (1.0 + e / 100.0),
        IEEE_SOURCE;

    pub(super) static TCF = "transformer-correction-factor",
        "transformer correction factor at power factor 0.6 lagging":
        "F - b*10800/(m*pi)" ("") of [
            symbol("F", "", "ratio correction factor"),
            symbol("b", "rad", "phase displacement, positive when the secondary leads"),
            symbol("m", "", "minutes of arc that change the factor by one"),
        ], |[f, b, m]| f - b * (10_800.0 / (m * std::f64::consts::PI)), IEEE_SOURCE;

    pub(super) static EMF_AT = "emf-at-current", "e.m.f. at this secondary current":
        "I*Z" ("V") of [
            symbol("I", "A", "secondary current"),
            symbol("Z", "ohm", "impedance of winding and burden"),
        ], |[i, z]| i * z, "law of Ohm, by phasors";

    pub(super) static ANGLE_BETWEEN = "exciting-angle-at",
        "angle of the exciting current behind the e.m.f.":
        "a + (b - a)*(E - u)/(v - u)" ("rad") of [
            symbol("a", "rad", "angle read at the lower voltage"),
            symbol("b", "rad", "angle read at the higher voltage"),
            symbol("E", "V", "e.m.f."),
            symbol("u", "V", "lower voltage"),
            symbol("v", "V", "higher voltage"),
        ], |[a, b, e, u, v]| a + (b - a) * (e - u) / (v - u),
        "straight line between two readings, the voltage standing for the e.m.f.";

    pub(super) static BEHIND_SECONDARY = "exciting-angle-behind-secondary",
        "angle of the exciting current behind the secondary current":
        "p - atan2(Zb*sin(q), Rct + Zb*cos(q))" ("rad") of [
            symbol("p", "rad", "angle of the exciting current behind the e.m.f."),
            symbol("Zb", "ohm", "impedance of the burden"),
            symbol("q", "rad", "angle of the burden"),
            symbol("Rct", "ohm", "winding resistance at 75 °C"),
        ], |[p, z, q, r]| p - (z * q.sin()).atan2(r + z * q.cos()),
        "phasors of the loop of winding and burden";
}
