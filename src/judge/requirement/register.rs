//! The register of requirements: everything that can be asked of a transformer or a circuit, once.
//!
//! When a requirement is due is common practice, no source: a maker's routine test shows the class, a
//! test on site shows that the unit is the one on the plate, whole, and connected as it should be.

use crate::judge::rules::{self, Rule, Whose};
use crate::record::kinds::TestKind;
use crate::trade::Purpose::{
    self, AfterEnergising, AfterFault, BeforeEnergising, Commissioning, Factory, Maintenance,
    Receiving,
};

/// What shows a requirement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// A value that was held against a limit.
    Limit,
    /// That it was measured; where a limit is known, it is held as well.
    Measured,
    /// The same of each relay, meter or phase that was read: one that is good answers for no other.
    Each,
    /// That it was seen, and nothing is wrong with it.
    Seen,
}

/// One requirement.
#[derive(Debug)]
pub struct Requirement {
    /// Stable name in kebab case: `composite-error`. Never reused for another meaning.
    pub id: &'static str,
    /// As a row of the list begins.
    pub title: &'static str,
    /// What would show it.
    pub needs: &'static str,
    pub whose: Whose,
    /// The kind of test that shows it.
    pub kind: TestKind,
    /// Rules whose findings are evidence for it.
    pub evidence: &'static [&'static Rule],
    pub proof: Proof,
    /// Purposes of a visit that ask for it. What none asks for stays on the list.
    pub due: &'static [Purpose],
    /// Published source, or "common practice, no source".
    pub source: &'static str,
}

impl Requirement {
    /// Whether each position of the primary links is asked for by itself.
    pub fn is_of_links(&self) -> bool {
        *self == LINKS
    }

    /// Whether its evidence is worked out with the winding resistance.
    pub fn rests_on_resistance(&self) -> bool {
        let all = [&COMPOSITE, &SECURITY, &RELAY_CLASS, &PEAK, &DUTY_FACTOR];
        all.contains(&self)
    }

    /// What its evidence has to be.
    pub fn proof_words(&self) -> &'static str {
        match self.proof {
            _ if self.evidence.is_empty() => "to be stated",
            Proof::Limit => "held against a limit",
            Proof::Measured => "measured",
            Proof::Each => "measured, each by itself",
            Proof::Seen => "seen, and as it is to be",
        }
    }
}

impl PartialEq for Requirement {
    /// Each stands once, in the register.
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self, other)
    }
}

macro_rules! requirements {
    ($($name:ident = $id:literal {
        $whose:ident, $kind:ident, $proof:ident, $title:literal,
        needs $needs:literal,
        shown by {$($part:ident::$rule:ident),*}, due at [$($due:ident),*], $source:literal
    })*) => {
        $(pub static $name: Requirement = Requirement {
            id: $id,
            title: $title,
            needs: $needs,
            whose: Whose::$whose,
            kind: TestKind::$kind,
            evidence: &[$(&rules::$part::$rule),*],
            proof: Proof::$proof,
            due: &[$($due),*],
            source: $source,
        };)*
        /// All requirements, in the order of a report.
        pub static ALL: &[&Requirement] = &[$(&$name),*];
    };
}

requirements! {
    ACCURACY = "accuracy" {
        Transformer, Ratio, Limit, "accuracy class by current",
        needs "errors by current at the points of the class, at the burdens that it names",
        shown by {ratio::CLASS_SHOWN}, due at [Factory],
        "IEC 61869-2:2012, 7.3.5; IEEE C57.13, 8.1 (from memory)"
    }
    COMPOSITE = "composite-error" {
        Transformer, Excitation, Limit, "composite error at the accuracy limit",
        needs "winding resistance, and an excitation curve up to the e.m.f. at the limit factor",
        shown by {protection::COMPOSITE_ERROR}, due at [Factory, Commissioning, Maintenance, AfterFault],
        "IEC 61869-2:2012, 5.6.202.2 and 7.2.6.203 (from memory)"
    }
    SECURITY = "security-factor" {
        Transformer, Excitation, Limit, "instrument security factor at rated burden",
        needs "winding resistance, and an excitation curve up to the e.m.f. at the security factor, or to a tenth of the current there",
        shown by {protection::SECURITY_FACTOR}, due at [Factory, Commissioning, Maintenance, AfterFault],
        "IEC 61869-2:2012, 3.4.204 and 7.2.6.202 (from memory)"
    }
    KNEE = "knee-emf" {
        Transformer, Excitation, Limit, "knee point e.m.f.",
        needs "excitation readings at the rated knee and a tenth above it, or a curve",
        shown by {protection::KNEE_EMF}, due at [Factory, Commissioning, Maintenance, AfterFault],
        "IEC 61869-2:2012, 5.6.202.4 (from memory)"
    }
    EXCITING = "exciting-current" {
        Transformer, Excitation, Limit, "exciting current",
        needs "an excitation reading at that voltage, or a curve around it",
        shown by {protection::EXCITING_CURRENT}, due at [Factory, Commissioning, Maintenance, AfterFault],
        "IEC 61869-2:2012, 5.6.202.4 (from memory)"
    }
    RELAY_CLASS = "relay-class" {
        Transformer, Excitation, Limit, "exciting current at the class voltage",
        needs "winding resistance, and an excitation curve up to the e.m.f. at 20 times rated current",
        shown by {protection::EXCITING_AT_CLASS}, due at [Factory, Commissioning, Maintenance, AfterFault],
        "IEEE C57.13, 6.4.1 (from memory)"
    }
    RELAY_CLASS_T = "relay-class-by-test" {
        Transformer, Ratio, Limit, "ratio error at 20 times rated current, by test",
        needs "a test with 20 times rated current at rated burden",
        shown by {protection::EXCITING_AT_CLASS}, due at [Factory],
        "IEEE C57.13, 6.4.1: class T is shown by test only (from memory)"
    }
    PEAK = "peak-exciting-current" {
        Transformer, Excitation, Limit, "peak exciting current at the equivalent limiting e.m.f.",
        needs "winding resistance, and peak exciting currents up to the equivalent limiting e.m.f.",
        shown by {protection::PEAK_EXCITING_CURRENT}, due at [Factory, Commissioning, Maintenance, AfterFault],
        "IEC 61869-2:2012, 5.6.202.5 and annex 2B (from memory)"
    }
    DIMENSIONING = "transient-factor" {
        Transformer, Excitation, Limit, "transient dimensioning for the rated cycle",
        needs "the time constants and times of the rated cycle",
        shown by {protection::TRANSIENT_FACTOR}, due at [Factory, Commissioning, Maintenance, AfterFault],
        "IEC 61869-2:2012, annexes 2A and 2B (from memory)"
    }
    UNKNOWN_STANDARD = "standard-of-the-plate" {
        Transformer, Inspection, Limit, "standard on the rating plate",
        needs "the standard on the rating plate",
        shown by {}, due at [Factory, Commissioning, Maintenance, AfterFault],
        "common practice, no source"
    }
    UNKNOWN_CLASS = "class-of-the-plate" {
        Transformer, Excitation, Limit, "class on the rating plate",
        needs "the class on the rating plate",
        shown by {}, due at [Factory, Commissioning, Maintenance, AfterFault],
        "common practice, no source"
    }
    CURVE = "excitation-curve" {
        Transformer, Excitation, Measured, "excitation curve",
        needs "an excitation curve past its knee",
        shown by {excitation::KNEE_IEC, excitation::KNEE_45, excitation::KNEE_30}, due at [Commissioning, Maintenance, AfterFault],
        "common practice, no source"
    }
    REMANENCE = "remanence-factor" {
        Transformer, Remanence, Limit, "remanence factor",
        needs "a remanence test, or the certificate of the type",
        shown by {protection::REMANENCE_FACTOR, type_test::TYPE_TEST}, due at [],
        "IEC 61869-2:2012, 5.6.202.3 to 5.6.202.5, a type test (from memory)"
    }
    LOOP_CONSTANT = "loop-time-constant" {
        Transformer, Remanence, Limit, "secondary loop time constant",
        needs "a remanence test with the secondary loop time constant, or with the inductance",
        shown by {protection::LOOP_TIME_CONSTANT}, due at [Factory],
        "IEC 61869-2:2012, 7.3.202 (from memory)"
    }
    TURNS = "turns-ratio" {
        Transformer, Ratio, Limit, "turns ratio",
        needs "the ratio by voltage",
        shown by {ratio::TURNS_RATIO}, due at [Factory, Receiving, Commissioning, Maintenance, AfterFault],
        "IEC 61869-2:2012, 5.6.202.4 (from memory)"
    }
    RATIO = "ratio" {
        Transformer, Ratio, Measured, "ratio",
        needs "the ratio by voltage or by current",
        shown by {ratio::TURNS_RATIO, ratio::RATIO_ERROR}, due at [Factory, Receiving, Commissioning, Maintenance, AfterFault],
        "each declared ratio: IEC 61869-2:2012, 5.6.203; IEEE C57.13, routine tests (from memory); on site, common practice, no source"
    }
    LINKS = "ratio-of-links" {
        Transformer, Ratio, Measured, "ratio in links position",
        needs "the ratio in each position of the primary links",
        shown by {ratio::TURNS_RATIO, ratio::RATIO_ERROR}, due at [Factory],
        "IEC 61869-2:2012, 5.6.203 (from memory)"
    }
    POLARITY = "polarity" {
        Transformer, Polarity, Measured, "polarity",
        needs "a kick, a comparison, or the phase of the ratio test",
        shown by {polarity::POLARITY}, due at [Factory, Receiving, Commissioning],
        "IEC 61869-1:2007, 7.3.6; IEEE C57.13, routine tests (from memory)"
    }
    RESISTANCE_LIMIT = "winding-resistance-limit" {
        Transformer, Resistance, Limit, "winding resistance at 75 °C",
        needs "the winding resistance with the temperature of the winding",
        shown by {resistance::WINDING_RESISTANCE}, due at [Factory, Commissioning, Maintenance, AfterFault],
        "IEC 61869-2:2012, 5.6.202.4 and 5.6.202.5 (from memory)"
    }
    RESISTANCE = "winding-resistance" {
        Transformer, Resistance, Measured, "winding resistance",
        needs "a reading by direct current, with the temperature of the winding",
        shown by {resistance::WINDING_RESISTANCE}, due at [Commissioning, Maintenance, AfterFault],
        "common practice, no source"
    }
    INSULATION = "insulation-resistance" {
        Transformer, Insulation, Measured, "insulation resistance",
        needs "an insulation test against earth, with its voltage and time",
        shown by {insulation::INSULATION_RESISTANCE}, due at [Receiving, Commissioning, Maintenance, AfterFault],
        "common practice, no source; a limit only by the client's profile"
    }
    WITHSTAND = "withstand" {
        Transformer, Withstand, Measured, "power-frequency withstand",
        needs "power frequency at the full test voltage, for its full time",
        shown by {withstand::WITHSTAND}, due at [Factory],
        "IEC 61869-1:2007, 7.3.1 and 7.3.4; IEEE C57.13, routine tests (from memory)"
    }
    BETWEEN_SECTIONS = "withstand-sections" {
        Transformer, Withstand, Measured, "withstand between sections",
        needs "power frequency between the sections at the full test voltage, for its full time",
        shown by {withstand::BETWEEN_SECTIONS}, due at [Factory],
        "IEC 61869-1:2007, 7.3.3 (from memory, the clause with low confidence)"
    }
    INTER_TURN = "inter-turn" {
        Transformer, InterTurn, Measured, "inter-turn overvoltage",
        needs "rated current, or the peak voltage of the standard, with the secondary open, for a minute",
        shown by {inter_turn::INTER_TURN}, due at [Factory],
        "IEC 61869-2:2012, 5.3.201 and 7.3.204 (from memory)"
    }
    PARTIAL_DISCHARGE = "partial-discharge" {
        Transformer, PartialDischarge, Limit, "partial discharge",
        needs "the charge at the voltages of the standard, after its prestress",
        shown by {partial_discharge::PARTIAL_DISCHARGE}, due at [Factory],
        "IEC 61869-1:2007, 5.3.3.1 and 7.3.2 (from memory)"
    }
    DISSIPATION_FACTOR = "dissipation-factor" {
        Transformer, DissipationFactor, Measured, "dissipation factor",
        needs "capacitance and dissipation factor of the primary, with test voltage and temperature",
        shown by {dissipation_factor::DISSIPATION_FACTOR}, due at [],
        "IEC 61869-1:2007, 5.3.3.3 and 7.4.3, a special test: where the client asks for it (from memory)"
    }
    TEMPERATURE_RISE = "temperature-rise" {
        Transformer, TypeTest, Seen, "temperature rise",
        needs "the certificate of the type",
        shown by {type_test::TEMPERATURE_RISE}, due at [],
        "IEC 61869-1:2007, 7.2.2, a type test (from memory)"
    }
    PRIMARY_RESISTANCE = "primary-resistance" {
        Transformer, PrimaryResistance, Limit, "resistance at 75 °C",
        needs "the resistance of the primary with the temperature of the winding",
        shown by {primary_resistance::PRIMARY_RESISTANCE}, due at [Factory, Commissioning],
        "the rating plate; common practice, no source"
    }
    DEMAGNETISED = "demagnetised" {
        Transformer, Demagnetisation, Measured, "demagnetisation",
        needs "a demagnetisation from above the knee down to zero, behind the last direct current",
        shown by {demagnetisation::DEMAGNETISATION_START, demagnetisation::DEMAGNETISATION_END, demagnetisation::DIRECT_CURRENT_LAST, excitation::RESIDUAL_MAGNETISM}, due at [Commissioning, Maintenance, AfterFault],
        "common practice, no source"
    }
    BURDEN = "circuit-burden" {
        Circuit, Burden, Measured, "burden of the circuit",
        needs "the loop from phase to neutral",
        shown by {burden::CIRCUIT_BURDEN, burden::CIRCUIT_BURDEN_BELOW_RANGE}, due at [Commissioning],
        "IEC 61869-2:2012, 5.5.201 (from memory); that it is measured, common practice, no source"
    }
    RELAY = "relay-requirement" {
        Circuit, Excitation, Limit, "relay's requirement",
        needs "a duty with the knee or the factor that the relay asks for",
        shown by {}, due at [],
        "common practice, no source: whoever sets the relay states it, as a duty"
    }
    DUTY_KNEE = "required-knee" {
        Circuit, Excitation, Limit, "knee for the relay's requirement",
        needs "an excitation curve of the tap in service up to that knee",
        shown by {duty::REQUIRED_KNEE}, due at [Commissioning, Maintenance, AfterFault],
        "the requirement that the duty states"
    }
    DUTY_FACTOR = "required-factor" {
        Circuit, Excitation, Limit, "limit factor for the relay's requirement",
        needs "winding resistance, burden, and an excitation curve of the tap in service up to that factor",
        shown by {duty::REQUIRED_FACTOR}, due at [Commissioning, Maintenance, AfterFault],
        "the requirement that the duty states"
    }
    CONTINUITY = "circuit-continuity" {
        Circuit, Continuity, Seen, "continuity of the circuit",
        needs "the resistance of the loop, or that it was found closed, at every place where it is read",
        shown by {continuity::LOOP_CONTINUITY}, due at [BeforeEnergising],
        "common practice, no source"
    }
    SINGLE_EARTH = "single-earth" {
        Circuit, SingleEarth, Seen, "single earth",
        needs "the insulation resistance of the circuit with its earth lifted, the test voltage, and that the earth was put back",
        shown by {single_earth::SINGLE_EARTH}, due at [BeforeEnergising],
        "IEEE C57.13.3-2014: one earth for each secondary circuit; how it is shown, common practice, no source"
    }
    TEST_LINKS = "test-links" {
        Circuit, TestLinks, Seen, "test links as left",
        needs "the position of every test block and link, with `stage: as left`",
        shown by {test_links::TEST_LINK}, due at [BeforeEnergising],
        "common practice, no source"
    }
    RATIO_SETTING = "ratio-setting" {
        Circuit, RatioSetting, Each, "ratio that is set",
        needs "the ratio that each relay and meter is set to, and the tap in service",
        shown by {ratio_setting::RATIO_SETTING}, due at [BeforeEnergising],
        "common practice, no source"
    }
    INJECTION = "secondary-injection" {
        Circuit, Injection, Each, "secondary injection",
        needs "a current fed into this unit's phase of the circuit, what each relay and meter shows of it, and the error that they may have",
        shown by {injection::INJECTION_ERROR, injection::INJECTION_UNFED, injection::INJECTION_SLIP}, due at [BeforeEnergising],
        "common practice, no source"
    }
    LOAD = "current-on-load" {
        Circuit, Load, Each, "current on load",
        needs "current and angle of this unit's phase, on load or by primary injection, beside those of the primary",
        shown by {load::LOAD_RATIO, load::LOAD_LINKS, load::LOAD_SLIP, load::LOAD_ANGLE, load::LOAD_ROTATION, load::LOAD_NEUTRAL, load::LOAD_NEUTRAL_SUM, load::LOAD_UNFED}, due at [AfterEnergising],
        "common practice, no source"
    }
    STABILITY = "stability" {
        Circuit, Stability, Each, "stability of the differential zone",
        needs "operating and restraining current of the zone with enough current of the primary through it, and what they may be",
        shown by {stability::STABILITY}, due at [AfterEnergising],
        "common practice, no source"
    }
    AS_LEFT = "circuit-as-left" {
        Circuit, Restored, Seen, "circuit as left",
        needs "links or secondary of the core as left, behind the last test that opened them",
        shown by {restored::CIRCUIT_AS_LEFT, test_links::TEST_LINKS_DIFFER}, due at [Commissioning, BeforeEnergising, Maintenance, AfterFault],
        "common practice, no source"
    }
    EARTH = "one-earth" {
        Circuit, Restored, Seen, "one earth on the circuit",
        needs "the earths counted, or where the earth is, as left",
        shown by {restored::CIRCUIT_EARTHS, single_earth::EARTHS_DIFFER}, due at [Commissioning, BeforeEnergising, Maintenance, AfterFault],
        "IEEE C57.13.3-2014: one earth for each secondary circuit"
    }
}
