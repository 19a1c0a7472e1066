//! How series are told apart: class for the colour, dash and mark for black-and-white print.

use std::fmt::{Result, Write};

use super::Role;

/// A mark at a point, about 2 mm wide.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shape {
    Circle,
    Square,
    Triangle,
    Diamond,
    Down,
    Plus,
    Cross,
    /// A larger square with a cross in it: a point that is asked for.
    Target,
    /// An arrow that points up: the true value may be higher.
    Up,
}

impl Shape {
    /// Appends the path data of the mark around a place.
    pub(super) fn write(self, out: &mut String, x: i32, y: i32) -> Result {
        let rest = match self {
            Shape::Circle => {
                return write!(out, "M{} {y}a85 85 0 1 0 170 0a85 85 0 1 0-170 0z", x - 85);
            }
            Shape::Square => return write!(out, "M{} {}h150v150h-150z", x - 75, y - 75),
            Shape::Triangle => return write!(out, "M{x} {}l100 170h-200z", y - 110),
            Shape::Diamond => return write!(out, "M{x} {}l110 110-110 110-110-110z", y - 110),
            Shape::Down => return write!(out, "M{x} {}l100-170h-200z", y + 110),
            Shape::Plus => return write!(out, "M{} {y}h220M{x} {}v220", x - 110, y - 110),
            Shape::Cross => "l160 160m0-160l-160 160",
            Shape::Target => "m-40-40h240v240h-240zl240 240m0-240l-240 240",
            Shape::Up => return write!(out, "M{x} {}v-420m-70 110l70-110 70 110", y - 110),
        };
        write!(out, "M{} {}{rest}", x - 80, y - 80)
    }
}

const SHAPES: [Shape; 7] = [
    Shape::Circle,
    Shape::Square,
    Shape::Triangle,
    Shape::Diamond,
    Shape::Down,
    Shape::Plus,
    Shape::Cross,
];

/// Stroke patterns in hundredths of a millimetre; the first is a full line.
const DASHES: [&str; 6] = [
    "",
    "260 110",
    "420 110 60 110",
    "60 110",
    "160 90",
    "420 90 60 90 60 90",
];

/// How one series is drawn.
#[derive(Clone, Copy, Debug)]
pub(super) struct Look {
    pub class: &'static str,
    pub dash: &'static str,
    pub shape: Shape,
}

impl Role {
    fn class(self) -> &'static str {
        match self {
            Role::This => "curve-this",
            Role::Sister => "curve-sister",
            Role::Earlier => "curve-earlier",
            Role::Factory => "curve-factory",
        }
    }

    fn first_dash(self) -> usize {
        match self {
            Role::This => 0,
            Role::Sister => 1,
            Role::Earlier => 2,
            Role::Factory => 3,
        }
    }
}

/// One look for each series: the dash tells the role, the mark tells the series.
pub(super) fn looks(roles: &[Role], first_shape: usize) -> Vec<Look> {
    let mut seen: Vec<Role> = Vec::new();
    let mut looks = Vec::new();
    for (index, role) in roles.iter().enumerate() {
        let before = seen.iter().filter(|r| *r == role).count();
        let dash = DASHES.get((role.first_dash() + before) % DASHES.len());
        let shape = SHAPES.get((first_shape + index) % SHAPES.len());
        looks.push(Look {
            class: role.class(),
            dash: dash.copied().unwrap_or(""),
            shape: shape.copied().unwrap_or(Shape::Circle),
        });
        seen.push(*role);
    }
    looks
}
