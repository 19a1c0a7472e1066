//! Which limits hold for a pair, and over which burdens.

use crate::derive::case::Case;
use crate::derive::kinds::ratio::{Burdened, rated_burden};
use crate::ground::span::Span;
use crate::standards::{AIM, MeasuringClass, ieee_burden, measuring};
use crate::trade::{Burden, Class, Pair};

/// The IEC measuring class of a pair with its extended rating, per cent.
pub(super) fn measuring_class(
    case: &Case<'_>,
    pair: Pair,
) -> Option<(&'static MeasuringClass, Option<f64>)> {
    let core = case.core(pair)?;
    let Class::Measuring { name, extended, .. } = core.class_of(pair)? else {
        return None;
    };
    let own = core.extended.value().map(|percent| percent.si);
    Some((measuring(name)?, own.or(*extended)))
}

/// The rated burden of a pair: VA, the least VA of an extended range, where the plate states it.
pub(super) struct Rated {
    pub va: f64,
    pub least: Option<f64>,
    pub span: Span,
}

/// The rated burden in VA at rated secondary current.
pub(super) fn rated(case: &Case<'_>, pair: Pair) -> Option<Rated> {
    let (burden, span) = rated_burden(case, pair)?;
    let (va, least) = match burden {
        Burden::Power { va, .. } => (va.si, None),
        Burden::Range { least, va } => (va.si, Some(*least)),
        Burden::Impedance { ohm, .. } => {
            let secondary = case.rated_secondary(pair)?;
            (ohm.si * secondary * secondary, None)
        }
        Burden::Designation(name) => (ieee_burden(name)?.va, None),
        Burden::Connected | Burden::Shorted => return None,
    };
    (va.is_finite() && va > 0.0).then_some(Rated { va, least, span })
}

/// Volt-amperes of what was on the secondary, as far as it is known.
pub(super) fn volt_amperes(burden: &Burdened) -> Option<f64> {
    match burden {
        Burdened::Stated { va, .. } => Some(*va),
        Burdened::Designated(name) => ieee_burden(name).map(|known| known.va),
        Burdened::Connected { va, .. } => *va,
        Burdened::Shorted => Some(0.0),
        Burdened::Unknown => None,
    }
}

/// Where the burden of a run lies in the range over which the class holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lies {
    /// At the upper end.
    Rated,
    /// At the lower end.
    Least,
    Between,
    Below,
    Above,
    /// It or the rated burden is not known.
    Unknown,
}

/// Holds a burden against `least` to `most` VA; near enough is the same aim as for currents.
pub(super) fn lies(va: Option<f64>, least: f64, most: f64) -> Lies {
    let Some(va) = va.filter(|va| va.is_finite()) else {
        return Lies::Unknown;
    };
    let at = |end: f64| (va - end).abs() <= AIM * end;
    if at(most) {
        Lies::Rated
    } else if at(least) {
        Lies::Least
    } else if va > most {
        Lies::Above
    } else if va < least {
        Lies::Below
    } else {
        Lies::Between
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Range of IEC 61869-2:2012, 5.6.201.3 (25 to 100 % of rated burden; from memory).
    #[test]
    fn burdens_lie_in_their_range() {
        for (va, place) in [
            (Some(10.1), Lies::Rated),
            (Some(2.5), Lies::Least),
            (Some(5.0), Lies::Between),
            (Some(1.0), Lies::Below),
            (Some(0.0), Lies::Below),
            (Some(10.3), Lies::Above),
            (None, Lies::Unknown),
            (Some(f64::NAN), Lies::Unknown),
        ] {
            assert_eq!(lies(va, 2.5, 10.0), place, "{va:?}");
        }
    }
}
