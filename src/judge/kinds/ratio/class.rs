//! Which limits hold for a pair, over which burdens and at which power factor.

use crate::derive::case::Case;
use crate::derive::kinds::ratio::{Burdened, rated_burden};
use crate::ground::span::Span;
use crate::standards::{
    AIM, BurdenKind, Cited, MeasuringClass, ieee_burden, measuring, power_factor,
};
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

/// The rated burden of a pair: VA, the least VA of an extended range and the power factor, where the
/// plate states them.
pub(super) struct Rated {
    pub va: f64,
    pub least: Option<f64>,
    pub power_factor: Option<f64>,
    pub span: Span,
}

/// The rated burden in VA at rated secondary current.
pub(super) fn rated(case: &Case<'_>, pair: Pair) -> Option<Rated> {
    let (burden, span) = rated_burden(case, pair)?;
    let (va, least, power_factor) = match burden {
        Burden::Power { va, power_factor } => (va.si, None, *power_factor),
        Burden::Range { least, va } => (va.si, Some(*least), None),
        Burden::Impedance { ohm, power_factor } => {
            let secondary = case.rated_secondary(pair)?;
            (ohm.si * secondary * secondary, None, *power_factor)
        }
        Burden::Designation(name) => {
            let known = ieee_burden(name)?;
            (known.va, None, Some(known.pf))
        }
        Burden::Connected | Burden::Shorted => return None,
    };
    (va.is_finite() && va > 0.0).then_some(Rated {
        va,
        least,
        power_factor,
        span,
    })
}

/// The burdens over which a measuring class holds, VA.
pub(super) fn range(class: &MeasuringClass, rated: &Rated) -> (f64, f64) {
    class.burdens(rated.va, rated.least)
}

/// A power factor that a class asks for, with its source.
pub(super) struct Asked {
    pub factor: f64,
    pub cited: Cited,
}

/// The power factor of a test burden of so many VA: the plate's, except where the standard asks for
/// another one at a small burden; else the standard's.
pub(super) fn asked(kind: BurdenKind, rated: &Rated, va: f64) -> Option<Asked> {
    let (factor, cited) = power_factor(kind, va)?;
    let (at_rated, _) = power_factor(kind, rated.va)?;
    let alike = (factor - at_rated).abs() < f64::EPSILON;
    if let Some(factor) = rated.power_factor.filter(|_| alike) {
        let cited = Cited::stated("plate-power-factor".to_owned(), "rating plate".to_owned());
        return Some(Asked { factor, cited });
    }
    let cited = cited.clone();
    Some(Asked { factor, cited })
}

/// The power factor of a run's burden against the one that is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Factor {
    Right,
    Wrong,
    Unstated,
}

/// Near enough is the same aim as for currents.
pub(super) fn factor(burden: &Burdened, asked: f64) -> Factor {
    let stated = match burden {
        Burdened::Stated { power_factor, .. } | Burdened::Connected { power_factor, .. } => {
            *power_factor
        }
        Burdened::Designated(name) => ieee_burden(name).map(|known| known.pf),
        Burdened::Shorted | Burdened::Unknown => None,
    };
    match stated {
        None => Factor::Unstated,
        Some(stated) if (stated - asked).abs() <= AIM * asked => Factor::Right,
        Some(_) => Factor::Wrong,
    }
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

/// The VA that a run's burden stands for: the end that it lies at, else its own.
pub(super) fn stands_for(place: Lies, va: Option<f64>, (least, most): (f64, f64)) -> Option<f64> {
    match place {
        Lies::Rated => Some(most),
        Lies::Least => Some(least),
        Lies::Between | Lies::Below | Lies::Above | Lies::Unknown => va,
    }
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

    #[test]
    fn a_power_factor_is_right_wrong_or_not_stated() {
        for (power_factor, told) in [
            (Some(0.8), Factor::Right),
            (Some(0.81), Factor::Right),
            (Some(0.83), Factor::Wrong),
            (Some(1.0), Factor::Wrong),
            (None, Factor::Unstated),
        ] {
            let burden = Burdened::Stated {
                va: 10.0,
                power_factor,
            };
            assert_eq!(factor(&burden, 0.8), told, "{power_factor:?}");
        }
        let named = Burdened::Designated("B-0.5".to_owned());
        assert_eq!(factor(&named, 0.9), Factor::Right);
    }
}
