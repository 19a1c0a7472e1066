//! Numbers for people on a worksheet: three figures, a unit that suits.

/// What is said of a value; nothing where there is none.
#[must_use]
pub fn told<T>(value: Option<T>, words: impl FnOnce(T) -> String) -> String {
    value.map(words).unwrap_or_default()
}

/// A value with three figures and no exponent.
#[must_use]
pub fn figures(value: f64) -> String {
    let size = value.abs();
    let decimals = match size {
        s if s >= 100.0 => 0,
        s if s >= 10.0 => 1,
        s if s >= 1.0 => 2,
        s if s >= 0.1 => 3,
        _ => 4,
    };
    format!("{value:.decimals$}")
}

fn scaled(value: f64, unit: &str, large: bool) -> String {
    match value.abs() {
        0.0 => format!("0 {unit}"),
        s if s >= 10_000.0 && large => format!("{} k{unit}", figures(value / 1e3)),
        s if s >= 1.0 => format!("{} {unit}", figures(value)),
        s if s >= 1e-3 => format!("{} m{unit}", figures(value * 1e3)),
        _ => format!("{} u{unit}", figures(value * 1e6)),
    }
}

/// Volt.
#[must_use]
pub fn volts(value: f64) -> String {
    scaled(value, "V", true)
}

/// Ampere.
#[must_use]
pub fn amperes(value: f64) -> String {
    scaled(value, "A", true)
}

/// Ohm; winding resistances of milliohms are told as such.
#[must_use]
pub fn ohms(value: f64) -> String {
    if value < 0.1 {
        format!("{} mohm", figures(value * 1e3))
    } else {
        format!("{} ohm", figures(value))
    }
}

/// Volt-ampere.
#[must_use]
pub fn volt_amperes(value: f64) -> String {
    scaled(value, "VA", true)
}

/// A figure as it is, with two decimals at most.
#[must_use]
pub fn plain(value: f64) -> String {
    format!("{}", (value * 100.0).round() / 100.0)
}

/// Turns, whole where they are.
#[must_use]
pub fn turns(value: f64) -> String {
    let whole = value.round();
    if (value - whole).abs() < 0.005 {
        format!("{whole}")
    } else {
        format!("{value:.2}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_figures_and_a_unit_that_suits() {
        assert_eq!(volts(1440.0), "1440 V");
        assert_eq!(volts(0.2), "200 mV");
        assert_eq!(volts(0.000_25), "250 uV");
        assert_eq!(amperes(0.03), "30.0 mA");
        assert_eq!(ohms(2.795_8), "2.80 ohm");
        assert_eq!(ohms(0.0215), "21.5 mohm");
        assert_eq!(volt_amperes(8327.0), "8327 VA");
        assert_eq!(turns(239.999_9), "240");
        assert_eq!(turns(39.5), "39.50");
    }
}
