//! Where an axis is ruled and what its lines are called.
//!
//! Positions on a logarithmic axis are decimal logarithms, on a linear axis plain values. Labels
//! are built from whole numbers and a power of ten, so no binary fraction ever shows in them.

/// How strongly a grid line is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// A decade, or a labelled line of a linear axis.
    Strong,
    /// A line between.
    Light,
}

/// One grid line.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    /// Position: log10 of the value on a logarithmic axis, the value itself on a linear one.
    pub at: f64,
    pub weight: Weight,
    pub label: Option<String>,
}

/// The room that an axis has, in millimetres of the natural size.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    /// Length of the axis.
    pub length: f64,
    /// Least distance of two neighbouring labels.
    pub gap: f64,
}

const SLACK: f64 = 1e-9;
/// Fewer labels than this leave a reader guessing; then the axis is divided evenly in value.
const FEWEST: usize = 3;

/// Lines of a logarithmic axis from `lo` to `hi` (both log10), ascending.
///
/// Decades are strong and labelled (every n-th where they are crowded), 2 and 5 are labelled where
/// they fit, 2 to 9 are light where they fit. A range too short for that gets evenly divided
/// labels. Empty if the range is not ascending and finite.
pub fn log_ticks(lo: f64, hi: f64, room: Room) -> Vec<Tick> {
    let span = hi - lo;
    if !usable(lo, hi, room) {
        return Vec::new();
    }
    let decade = room.length / span;
    let ticks = decades(lo, hi, decade, room.gap);
    let labels = ticks.iter().filter(|t| t.label.is_some()).count();
    if labels < FEWEST && span < 1.5 && lo > -290.0 && hi < 290.0 {
        return within_decade(lo, hi, room);
    }
    ticks
}

fn usable(lo: f64, hi: f64, room: Room) -> bool {
    let span = hi - lo;
    span.is_finite() && span > 0.0 && room.length > 0.0 && room.gap > 0.0
}

fn decades(lo: f64, hi: f64, decade: f64, gap: f64) -> Vec<Tick> {
    let stride = [1, 2, 3, 5, 10, 20, 50, 100, 200]
        .into_iter()
        .find(|s| f64::from(*s) * decade >= gap)
        .unwrap_or(500);
    let named: &[i32] = if decade * libm::log10(2.0) >= gap {
        &[1, 2, 5]
    } else {
        &[1]
    };
    let light = decade >= 12.0;
    let mut ticks = Vec::new();
    for exponent in (lo.floor() as i32)..=(hi.ceil() as i32) {
        for digit in 1..=9 {
            let at = f64::from(exponent) + libm::log10(f64::from(digit));
            let keep = if digit == 1 {
                decade >= 3.0 || exponent % stride == 0
            } else {
                light
            };
            if !keep || at < lo - SLACK || at > hi + SLACK {
                continue;
            }
            let labelled = named.contains(&digit) && exponent % stride == 0;
            ticks.push(Tick {
                at,
                weight: if digit == 1 {
                    Weight::Strong
                } else {
                    Weight::Light
                },
                label: labelled.then(|| number(i64::from(digit), exponent)),
            });
        }
    }
    ticks
}

/// Even steps of value on a logarithmic axis that spans less than about a decade.
fn within_decade(lo: f64, hi: f64, room: Room) -> Vec<Tick> {
    let (from, to) = (libm::exp10(lo), libm::exp10(hi));
    let mut wish = (to - from) * room.gap / room.length;
    // The upper end is the crowded one, so the step widens until two labels fit there.
    for _ in 0..12 {
        let step = Step::at_least(wish);
        let top = room.length * (hi - libm::log10(to - step.size())) / (hi - lo);
        if top >= room.gap || step.size() * 2.0 > to - from {
            break;
        }
        wish = step.size() * 1.01;
    }
    let mut ticks = even(from, to, Step::at_least(wish));
    for tick in &mut ticks {
        tick.at = libm::log10(tick.at);
    }
    ticks.retain(|t| t.at.is_finite());
    ticks
}

/// Lines of a linear axis: labelled ones at steps of 1, 2 or 5 times a power of ten, light ones between.
/// Empty if the range is not ascending and finite.
pub fn linear_ticks(lo: f64, hi: f64, room: Room) -> Vec<Tick> {
    if !usable(lo, hi, room) {
        return Vec::new();
    }
    even(lo, hi, Step::at_least((hi - lo) * room.gap / room.length))
}

/// A step of 1, 2 or 5 times a power of ten.
#[derive(Clone, Copy, Debug)]
pub struct Step {
    digit: i64,
    exponent: i32,
}

impl Step {
    /// The smallest step not below `wish`; steps stay within 1e-305 and 1e305.
    pub fn at_least(wish: f64) -> Step {
        let log = if wish > 0.0 {
            libm::log10(wish).clamp(-305.0, 304.0)
        } else {
            -305.0
        };
        let exponent = (log + SLACK).floor();
        let rest = log - exponent;
        let (digit, carry) = [(1, 0.0), (2, libm::log10(2.0)), (5, libm::log10(5.0))]
            .into_iter()
            .find(|(_, log)| rest <= log + SLACK)
            .map_or((1, 1), |(digit, _)| (digit, 0));
        Step {
            digit,
            exponent: exponent as i32 + carry,
        }
    }

    /// The step as a number.
    pub fn size(self) -> f64 {
        self.digit as f64 * libm::exp10(f64::from(self.exponent))
    }

    /// The smallest range on whole steps that holds `lo` and `hi`.
    pub fn round_out(self, lo: f64, hi: f64) -> (f64, f64) {
        let size = self.size();
        (
            (lo / size + SLACK).floor() * size,
            (hi / size - SLACK).ceil() * size,
        )
    }

    fn times(self, count: i64) -> String {
        number(count.saturating_mul(self.digit), self.exponent)
    }
}

fn even(lo: f64, hi: f64, step: Step) -> Vec<Tick> {
    let size = step.size();
    let parts = if step.digit == 2 { 4 } else { 5 };
    let (first, last) = ((lo / size - SLACK).ceil(), (hi / size + SLACK).floor());
    if !(first.abs() < 1e15 && last.abs() < 1e15 && last - first < 500.0) {
        return Vec::new();
    }
    let mut ticks = Vec::new();
    for count in (first as i64 - 1)..=(last as i64) {
        for part in 0..parts {
            let at = (count as f64 + f64::from(part) / f64::from(parts)) * size;
            if at < lo - SLACK * size || at > hi + SLACK * size {
                continue;
            }
            let strong = part == 0;
            ticks.push(Tick {
                at,
                weight: if strong {
                    Weight::Strong
                } else {
                    Weight::Light
                },
                label: strong.then(|| step.times(count)),
            });
        }
    }
    ticks
}

/// The largest 1, 2 or 5 times a power of ten not above the value, both as log10.
pub fn stop_below(log: f64) -> f64 {
    let whole = log.floor();
    let stop = [5.0, 2.0]
        .into_iter()
        .map(libm::log10)
        .find(|stop| whole + stop <= log + SLACK);
    whole + stop.unwrap_or(0.0)
}

/// The smallest 1, 2 or 5 times a power of ten not below the value, both as log10.
pub fn stop_above(log: f64) -> f64 {
    let whole = log.floor();
    let stop = [1.0, 2.0, 5.0]
        .into_iter()
        .map(libm::log10)
        .find(|stop| whole + stop >= log - SLACK);
    whole + stop.unwrap_or(1.0)
}

/// `mantissa` times ten to the `exponent`, in plain decimals below a million and down to 0.00001,
/// else as a product with a power of ten. The minus sign is U+2212.
pub fn number(mantissa: i64, exponent: i32) -> String {
    let sign = if mantissa < 0 { "\u{2212}" } else { "" };
    let digits = mantissa.unsigned_abs().to_string();
    let size = digits.len() as i32 + exponent;
    if mantissa == 0 {
        return "0".to_string();
    }
    if size > 6 || exponent < -12 || size < -4 {
        return format!("{sign}{}", scientific(&digits, exponent));
    }
    if exponent >= 0 {
        return format!("{sign}{digits}{}", "0".repeat(exponent as usize));
    }
    let padded = format!(
        "{digits:0>width$}",
        width = 1 + exponent.unsigned_abs() as usize
    );
    let (whole, part) = padded.split_at(padded.len() - exponent.unsigned_abs() as usize);
    format!("{sign}{whole}.{part}")
}

fn scientific(digits: &str, exponent: i32) -> String {
    let trimmed = digits.trim_end_matches('0');
    let exponent = exponent + (digits.len() - trimmed.len()) as i32;
    let raised: String = exponent.to_string().chars().map(raise).collect();
    match trimmed {
        "1" => format!("10{raised}"),
        _ => format!("{trimmed}·10{raised}"),
    }
}

fn raise(c: char) -> char {
    match c {
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        '-' => '⁻',
        '0' | '4'..='9' => char::from_u32(0x2070 + (c as u32 - '0' as u32)).unwrap_or(c),
        other => other,
    }
}
