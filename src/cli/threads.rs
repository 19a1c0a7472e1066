//! How many threads work.

use crate::ground::seam::environment;
use rayon::ThreadPoolBuilder;
use std::num::NonZero;

/// More bring nothing, and each takes memory.
const MOST: usize = 64;

/// Starts as many as the machine has cores, or as are asked for; where the system refuses them, all work is done by
/// the one that is there. Bytes are the same however many there are.
pub fn start() {
    let own = std::thread::available_parallelism().map_or(1, NonZero::get);
    let count = count(environment("RAYON_NUM_THREADS").as_deref(), own);
    if ThreadPoolBuilder::new()
        .num_threads(count)
        .build_global()
        .is_err()
    {
        let alone = ThreadPoolBuilder::new().num_threads(1).use_current_thread();
        // What fails now fails again at the first work, with its own words.
        let _ = alone.build_global();
    }
}

fn count(asked: Option<&str>, own: usize) -> usize {
    let asked = asked.and_then(|asked| asked.trim().parse().ok());
    asked.filter(|asked| *asked > 0).unwrap_or(own).min(MOST)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_many_as_asked_within_bounds() {
        for (asked, own, wanted) in [
            (None, 2, 2),
            (None, 65, MOST),
            (Some("1"), 8, 1),
            (Some("64"), 2, 64),
            (Some("65"), 2, MOST),
            (Some("100000"), 2, MOST),
            (Some("0"), 2, 2),
            (Some("many"), 2, 2),
            (Some("99999999999999999999999"), 2, 2),
        ] {
            assert_eq!(count(asked, own), wanted, "{asked:?}");
        }
    }
}
