//! One value beside those of the sisters: which of them it is held against.

use super::evidence::{By, Item};

/// An item against one sister, with how far that sister and the unit itself are off what is usual, in natural
/// logarithms.
pub(super) struct Seen {
    pub off: f64,
    pub own: f64,
    pub item: Item,
}

/// So much nearer to what is usual nothing is said of two units, in natural logarithms.
const AS_USUAL: f64 = 0.5;

/// Of one or two sisters the nearest, for where one agrees nothing is odd; of more the one in the middle. Of two
/// units alone the one further off what is usual is the odd one.
pub(super) fn beside_sisters(mut all: Vec<Seen>) -> Option<Item> {
    let count = all.len();
    if count > 2 {
        all.sort_by(|one, other| one.item.away.total_cmp(&other.item.away));
    } else {
        all.sort_by(|one, other| one.item.away.abs().total_cmp(&other.item.away.abs()));
    }
    let at = if count > 2 { count / 2 } else { 0 };
    let seen = all.into_iter().nth(at)?;
    let odd = count > 1 || seen.own.abs() + AS_USUAL >= seen.off.abs();
    odd.then_some(Item {
        by: By::Sisters(count),
        ..seen.item
    })
}
