//! The e.m.f. that a plate speaks of: the rated knee, the limiting e.m.f. of a class. Around it the
//! excitation curve is read most closely.

use super::shown;
use crate::derive::accuracy::LOOP_IMPEDANCE;
use crate::standards::{
    PeakOf, TransientClass, ieee_burden, ieee_relay, threshold, transient, values,
};
use crate::trade::Class;

/// A burden as an impedance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Impedance, ohm.
    pub ohm: f64,
    /// Power factor, lagging, 0 to 1.
    pub power_factor: f64,
}

/// What of the plate decides: class, rated secondary current, burden, winding.
#[derive(Clone, Copy, Debug)]
pub struct Rated<'a> {
    pub class: &'a Class,
    /// Rated secondary current, ampere.
    pub secondary: f64,
    /// Winding resistance at 75 °C, ohm.
    pub resistance: Option<f64>,
    /// Rated burden.
    pub burden: Option<Load>,
    /// Rated knee point e.m.f., volt.
    pub knee: Option<f64>,
    /// Upper limit of the exciting current at the rated knee, ampere.
    pub exciting: Option<f64>,
    /// Kssc and Ktd of a TP class.
    pub transient: Option<(f64, f64)>,
}

/// What the turning point stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// Rated knee point e.m.f.: the knee must lie here or higher.
    Knee,
    /// Limiting e.m.f. of 5P, 10P, 5PR, 10PR.
    Limit,
    /// E.m.f. behind the secondary terminal voltage of class C or T.
    Relay,
    /// Secondary limiting e.m.f. of a measuring core with FS: it must be saturated here.
    Security,
    /// Equivalent limiting e.m.f. Eal of TPX, TPY, TPZ.
    Transient,
}

/// An e.m.f. that the plate fixes, with the exciting current that belongs to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TurningPoint {
    pub basis: Basis,
    /// Volt.
    pub volts: f64,
    /// False when the plate gives no winding resistance: the e.m.f. is then at least `volts`.
    pub exact: bool,
    /// Exciting current in ampere, r.m.s.: the most allowed, or, for [`Basis::Security`], the least.
    pub current: Option<f64>,
    /// Secondary current that flows in winding and burden at this e.m.f., ampere; none where the plate
    /// states the e.m.f. itself.
    pub carries: Option<f64>,
}

/// Impedance of winding and burden, ohm, as a phasor sum; with what is not known left out.
fn loop_impedance(resistance: Option<f64>, load: Load) -> Option<f64> {
    let c = load.power_factor.clamp(0.0, 1.0);
    let z = LOOP_IMPEDANCE.at([resistance.unwrap_or(0.0), load.ohm, c])?;
    shown(z.v)
}

/// The e.m.f. that the plate speaks of. `None` where it does not fix one. Limiting e.m.f.: IEC
/// 61869-2:2012, 3.4.209 and 3.4.206 (from memory); class C: 20 times rated current, 10 % (IEEE
/// C57.13, from memory); Eal = Kssc Ktd Isr (Rct + Rb): IEC 61869-2:2012, 3.4.229 (from memory).
#[must_use]
pub fn turning_point(rated: &Rated<'_>) -> Option<TurningPoint> {
    let isr = shown(rated.secondary)?;
    let limit = |basis, factor: f64, load: Load, percent: f64| {
        let volts = shown(factor * isr * loop_impedance(rated.resistance, load)?)?;
        Some(TurningPoint {
            basis,
            volts,
            exact: rated.resistance.is_some(),
            current: shown(percent / 100.0 * factor * isr),
            carries: shown(factor * isr),
        })
    };
    match rated.class {
        Class::Knee { .. } => Some(TurningPoint {
            basis: Basis::Knee,
            volts: shown(rated.knee?)?,
            exact: true,
            current: rated.exciting,
            carries: None,
        }),
        Class::Protection {
            composite,
            limit_factor,
            ..
        } => limit(
            Basis::Limit,
            *limit_factor,
            rated.burden?,
            f64::from(*composite),
        ),
        Class::Measuring {
            security: Some(factor),
            ..
        } => {
            let least = threshold("iec-instrument-security")?.limit;
            limit(Basis::Security, *factor, rated.burden?, least)
        }
        Class::IeeeRelay { volts, .. } => {
            let class = ieee_relay(*volts)?;
            let burden = ieee_burden(&class.burden)?.at_secondary(isr)?;
            let load = Load {
                ohm: burden.z_ohm,
                power_factor: burden.pf,
            };
            limit(Basis::Relay, class.multiple, load, class.ratio_error)
        }
        Class::Transient(class) => equivalent(rated, *class, isr),
        Class::Measuring { .. } | Class::IeeeMetering { .. } | Class::Other(_) => None,
    }
}

fn equivalent(rated: &Rated<'_>, class: TransientClass, isr: f64) -> Option<TurningPoint> {
    let ((kssc, ktd), load) = (rated.transient?, rated.burden?);
    let volts = shown(kssc * ktd * isr * loop_impedance(rated.resistance, load)?)?;
    // A share of the peak of the fault current, told as an r.m.s. figure; TPZ limits the alternating
    // component only.
    let row = transient(class)?;
    let of_all = row.peak_of == PeakOf::Instantaneous;
    let current = of_all.then(|| shown(row.peak_error / 100.0 * kssc * isr));
    Some(TurningPoint {
        basis: Basis::Transient,
        volts,
        exact: rated.resistance.is_some(),
        current: current.flatten(),
        carries: shown(kssc * ktd * isr),
    })
}

/// The e.m.f. in volt up to which a measuring core keeps its class by its plate: 120 % of rated current
/// into the rated burden (IEC 61869-2:2012, 5.6.201, from memory). Without a winding resistance it is
/// that of the burden alone, which is less.
#[must_use]
pub fn holds_up_to(rated: &Rated<'_>) -> Option<f64> {
    let burden = rated.burden.filter(|_| rated.class.is_measuring())?;
    let percent = values("iec-extended-currents")?.values.first()?;
    shown(percent / 100.0 * rated.secondary * loop_impedance(rated.resistance, burden)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A core of 1 A by class, winding resistance and burden (ohm, power factor).
    fn rated(class: &Class, resistance: f64, burden: Option<(f64, f64)>) -> Rated<'_> {
        Rated {
            class,
            secondary: 1.0,
            resistance: Some(resistance),
            burden: burden.map(|(ohm, power_factor)| Load { ohm, power_factor }),
            knee: None,
            exciting: None,
            transient: None,
        }
    }

    /// The turning point is `volts` at `current`.
    #[track_caller]
    fn turns(rated: &Rated<'_>, basis: Basis, volts: f64, current: Option<f64>) {
        let found = turning_point(rated).unwrap();
        assert!((found.volts / volts - 1.0).abs() < 2e-4, "{found:?}");
        assert_eq!(
            (found.basis, found.exact),
            (basis, rated.resistance.is_some())
        );
        assert_eq!(found.current, current);
    }

    #[test]
    fn limiting_emf_of_a_p_class_by_hand() {
        // 15 VA at 0.8, 3.40 ohm: 20 x |3.4 + 12 + j9| = 20 x 17.837 = 356.7 V
        let class = Class::read("5P20", false);
        let lagging = rated(&class, 3.40, Some((15.0, 0.8)));
        turns(&lagging, Basis::Limit, 356.74, Some(1.0));
        let unity = rated(&class, 3.40, Some((15.0, 1.0)));
        turns(&unity, Basis::Limit, 368.0, Some(1.0));
    }

    #[test]
    fn class_c_by_hand() {
        // 0.62 ohm at 75 °C: 100 x |0.62 + 4.0 + j6.928| = 832.7 V
        let class = Class::read("C800", true);
        let mut core = rated(&class, 0.62, None);
        core.secondary = 5.0;
        turns(&core, Basis::Relay, 832.7, Some(10.0));
        core.resistance = None;
        turns(&core, Basis::Relay, 800.0, Some(10.0));
    }

    #[test]
    fn knee_security_and_transient_by_hand() {
        let class = Class::read("PX", false);
        let mut px = rated(&class, 3.6, None);
        (px.knee, px.exciting) = (Some(300.0), Some(0.03));
        turns(&px, Basis::Knee, 300.0, Some(0.03));
        px.knee = None;
        assert!(turning_point(&px).is_none());
        // 10 VA at 0.8, 2.9 ohm: 10 x |2.9 + 8 + j6| = 124.4 V, at least 1 A; 1.2 x |10.9 + j6| = 14.93 V
        let class = Class::read("0.5 FS10", false);
        let metering = rated(&class, 2.9, Some((10.0, 0.8)));
        turns(&metering, Basis::Security, 124.42, Some(1.0));
        assert!((holds_up_to(&metering).unwrap() - 14.931).abs() < 0.005);
        // 6 x 10 x 1 A x (22 + 5) ohm
        let class = Class::read("TPY", false);
        let mut tp = rated(&class, 22.0, Some((5.0, 1.0)));
        tp.transient = Some((6.0, 10.0));
        let found = turning_point(&tp).unwrap();
        assert!((found.volts - 1620.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_is_invented() {
        let burden = Some((15.0, 0.8));
        let class = Class::read("5P20", false);
        assert!(turning_point(&rated(&class, 3.4, None)).is_none());
        let mut none = rated(&class, 3.4, burden);
        none.secondary = 0.0;
        assert!(turning_point(&none).is_none());
        let class = Class::read("0.5", false);
        assert!(turning_point(&rated(&class, 3.4, burden)).is_none());
    }
}
