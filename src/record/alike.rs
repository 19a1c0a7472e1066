//! Units that ought to give nearly the same values: where they stand, and which of their cores are alike.

use super::core::Core;
use super::place::Place;

/// Whether units are sisters by where they stand: same site and bay, or same set.
pub fn are_sisters(one: &Place, other: &Place) -> bool {
    let equal =
        |x: Option<&String>, y: Option<&String>| matches!((x, y), (Some(x), Some(y)) if x == y);
    let bay =
        equal(one.site.value(), other.site.value()) && equal(one.bay.value(), other.bay.value());
    bay || equal(one.set.value(), other.set.value())
}

/// Whether a sister's core may be compared: same name, ratios, terminals and class.
pub fn is_like(a: &Core, b: &Core) -> bool {
    let class = |core: &Core| core.class.value().map(crate::trade::Class::text);
    a.name == b.name
        && a.full_ratio() == b.full_ratio()
        && a.marks.len() == b.marks.len()
        && class(a) == class(b)
}

/// The core among `cores` that is like `own`.
pub fn like_core(own: &Core, cores: &[Core]) -> Option<usize> {
    cores.iter().position(|other| is_like(own, other))
}
