//! Units that ought to give nearly the same values: where they stand, of what make they are, and which of their cores
//! are alike.

use super::core::Core;
use super::place::Place;
use super::plate::Plate;
use crate::standards::Family;
use crate::trade::Burden;

/// Whether units are sisters by where they stand: same site and bay, or same set.
pub fn are_sisters(one: &Place, other: &Place) -> bool {
    let equal =
        |x: Option<&String>, y: Option<&String>| matches!((x, y), (Some(x), Some(y)) if x == y);
    let bay =
        equal(one.site.value(), other.site.value()) && equal(one.bay.value(), other.bay.value());
    bay || equal(one.set.value(), other.set.value())
}

/// What a plate says of how a unit is made. What is not stated sets nothing apart.
#[derive(Clone, Debug)]
pub struct Make {
    maker: Option<String>,
    kind: Option<String>,
    family: Family,
    year: Option<f64>,
}

impl Make {
    pub fn of(plate: &Plate) -> Self {
        Self {
            maker: plate.maker.value().cloned(),
            kind: plate.kind.value().cloned(),
            family: plate.family(),
            year: plate.year.value().copied(),
        }
    }

    /// Whether it was made in another year than the unit of a plate: of another batch, whose values may be others.
    pub fn is_of_another_year(&self, plate: &Plate) -> bool {
        let both = self.year.zip(plate.year.value().copied());
        both.is_some_and(|(one, other)| (one - other).abs() > 0.5)
    }

    /// Why a unit of the same place is not held against one of this make.
    pub fn apart(&self, other: &Self) -> Option<&'static str> {
        let differ = |one: Option<&String>, other: Option<&String>| {
            one.zip(other).is_some_and(|(one, other)| one != other)
        };
        let families = [self.family, other.family];
        let of_standards = self.family != other.family && !families.contains(&Family::Other);
        [
            (
                differ(self.maker.as_ref(), other.maker.as_ref()),
                "another maker",
            ),
            (
                differ(self.kind.as_ref(), other.kind.as_ref()),
                "another type",
            ),
            (of_standards, "another standard"),
        ]
        .into_iter()
        .find_map(|(is_so, why)| is_so.then_some(why))
    }
}

/// Why a sister's core of the same name is not compared: `None` where it may be.
fn unlike(a: &Core, b: &Core) -> Option<&'static str> {
    let class = |core: &Core| core.class.value().map(crate::trade::Class::text);
    [
        (a.full_ratio() != b.full_ratio(), "another ratio"),
        (a.marks.len() != b.marks.len(), "other terminals"),
        (class(a) != class(b), "another class"),
    ]
    .into_iter()
    .find_map(|(is_so, why)| is_so.then_some(why))
}

/// Whether a sister's core may be compared: same name, ratios, terminals and class.
pub fn is_like(a: &Core, b: &Core) -> bool {
    a.name == b.name && unlike(a, b).is_none()
}

/// Whether two plates promise another knee, or another burden: the cores are of two types, and their curves no
/// measure of each other.
pub fn are_of_two_types(a: &Core, b: &Core) -> bool {
    let knee = |core: &Core| core.knee.value().map(|stated| stated.si);
    let burden = |core: &Core| match core.burden.value()? {
        Burden::Power { va, .. } | Burden::Range { va, .. } => Some(va.si),
        Burden::Impedance { ohm, .. } => Some(ohm.si),
        Burden::Designation(_) | Burden::Connected | Burden::Shorted => None,
    };
    let differ = |a: Option<f64>, b: Option<f64>| {
        let both = a.zip(b);
        both.is_some_and(|(a, b)| (a - b).abs() > AS_STATED * a.abs().max(b.abs()))
    };
    differ(knee(a), knee(b)) || differ(burden(a), burden(b))
}

/// Two plates of one type may round a value otherwise, by such a share.
const AS_STATED: f64 = 0.02;

/// The core among `cores` that is like `own`.
pub fn like_core(own: &Core, cores: &[Core]) -> Option<usize> {
    cores.iter().position(|other| is_like(own, other))
}

/// Why none among `cores` is like `own`; `None` where one is.
pub fn none_like(own: &Core, cores: &[Core]) -> Option<&'static str> {
    if like_core(own, cores).is_some() {
        return None;
    }
    let mut named = cores.iter().filter(|other| other.name == own.name);
    named
        .next()
        .map_or(Some("no core of this name"), |other| unlike(own, other))
}
