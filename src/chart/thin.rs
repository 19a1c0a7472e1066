//! A path without the points that no eye would miss.

use plotters_backend::BackendCoord;

/// How far the thinned path may lie from a point, hundredths of a millimetre.
const FINEST: f64 = 4.0;

type Way = (f64, f64);

fn turn(a: Way, b: Way) -> f64 {
    a.0 * b.1 - a.1 * b.0
}

fn way(from: BackendCoord, to: BackendCoord) -> Way {
    (f64::from(to.0 - from.0), f64::from(to.1 - from.1))
}

/// The directions from a kept point in which a straight line passes all points since close enough.
#[derive(Clone, Copy)]
struct Cone {
    left: Way,
    right: Way,
}

impl Cone {
    /// Towards one point; `None` where it is so near that every direction will do.
    fn towards(ahead: Way) -> Option<Self> {
        let length = (ahead.0 * ahead.0 + ahead.1 * ahead.1).sqrt();
        if length <= FINEST {
            return None;
        }
        let aside = (-ahead.1 * FINEST / length, ahead.0 * FINEST / length);
        Some(Self {
            left: (ahead.0 + aside.0, ahead.1 + aside.1),
            right: (ahead.0 - aside.0, ahead.1 - aside.1),
        })
    }

    fn holds(&self, ahead: Way) -> bool {
        turn(self.right, ahead) >= 0.0 && turn(ahead, self.left) >= 0.0
    }

    fn narrowed(self, other: Self) -> Self {
        let left = if turn(other.left, self.left) > 0.0 {
            other.left
        } else {
            self.left
        };
        let right = if turn(self.right, other.right) > 0.0 {
            other.right
        } else {
            self.right
        };
        Self { left, right }
    }
}

/// Keeps first, last and what is needed between, in one pass.
pub(super) fn thin(points: impl IntoIterator<Item = BackendCoord>, kept: &mut Vec<BackendCoord>) {
    kept.clear();
    let mut points = points.into_iter();
    let Some(first) = points.next() else {
        return;
    };
    kept.push(first);
    let (mut anchor, mut last, mut cone): (_, _, Option<Cone>) = (first, first, None);
    for point in points {
        if point == last {
            continue;
        }
        let ahead = way(anchor, point);
        let (reached, step) = (way(anchor, last), way(last, point));
        let back = reached.0 * step.0 + reached.1 * step.1 < 0.0;
        if last != anchor && (back || cone.is_some_and(|cone| !cone.holds(ahead))) {
            kept.push(last);
            anchor = last;
            cone = Cone::towards(way(anchor, point));
        } else if let Some(new) = Cone::towards(ahead) {
            cone = Some(cone.map_or(new, |cone| cone.narrowed(new)));
        }
        last = point;
    }
    if last != anchor {
        kept.push(last);
    }
}
