//! Where to stop and what to expect, in words, from what the plate supports. Blank where it does not.

use super::drive::{Drive, past};
use super::job::Job;
use super::plan::Step;
use super::plate::CoreSheet;
use super::say;
use crate::derive::conductor;
use crate::derive::expected::{self, Basis, Load, TurningPoint};
use crate::document::joined;
use crate::record::criteria::InsulationProfile;
use crate::record::inputs::Input;
use crate::standards::{self, Cited, TestVoltage, px};
use crate::trade::Class;

/// Current that the source must reach at the top, ampere. At a rated knee the rule of 10 % and 50 %
/// bounds it; the classes bound it by their error.
pub fn top_current(turning: TurningPoint) -> Option<f64> {
    let current = turning.current?;
    let rise = px(false).filter(|_| turning.basis == Basis::Knee);
    Some(rise.map_or(current, |row| {
        (1.0 + row.knee_current_rise / 100.0) * current
    }))
}

/// What the e.m.f. of a class is called.
fn name(basis: Basis) -> &'static str {
    match basis {
        Basis::Knee => "rated knee Ek",
        Basis::Limit => "limiting e.m.f. E_ALF",
        Basis::Relay => "e.m.f. behind the class voltage",
        Basis::Security => "limiting e.m.f. at FS",
        Basis::Transient => "equivalent limiting e.m.f. Eal",
    }
}

/// The clause that the limit of the excitation test stands in.
pub fn excitation_source(core: &CoreSheet<'_>) -> Option<String> {
    let row = match core.core.class.value()? {
        Class::Knee { low_remanence, .. } => &px(*low_remanence)?.cited,
        Class::Protection {
            composite,
            low_remanence,
            ..
        } => &standards::protection(*composite, *low_remanence)?.cited,
        Class::Measuring {
            security: Some(_), ..
        } => &standards::threshold("iec-instrument-security")?.cited,
        Class::IeeeRelay { volts, .. } => &standards::ieee_relay(*volts)?.cited,
        Class::Transient(class) => &standards::transient(*class)?.cited,
        Class::Measuring { .. } | Class::IeeeMetering { .. } | Class::Other(_) => return None,
    };
    core.clause(row)
}

/// `300 V (rated knee Ek)`
pub fn turning_text(turning: TurningPoint) -> String {
    let (volts, name) = (say::volts(turning.volts), name(turning.basis));
    if turning.exact {
        format!("{volts} ({name})")
    } else {
        format!(
            "at least {volts} ({name} by the burden alone; the plate gives no winding resistance)"
        )
    }
}

/// What the class asks at the turning point, and where that is read at a lower frequency.
pub fn limit_text(core: &CoreSheet<'_>) -> String {
    let Some(turning) = core.turning else {
        return String::new();
    };
    let drive = core.drive.as_ref();
    let lower = drive.and_then(|drive| Some((drive, drive.lower?)));
    let lower = say::told(lower, |(drive, lower)| {
        let read = say::volts(drive.at_terminals(turning.volts));
        format!(
            "; all at {}: read that at {read} at {}",
            lower.rated_text(),
            lower.text()
        )
    });
    format!("{}{lower}", at_rated(turning))
}

fn at_rated(turning: TurningPoint) -> String {
    let at = turning_text(turning);
    match (turning.basis, turning.current.map(say::amperes)) {
        (Basis::Knee, Some(current)) => format!("knee not below {at}; at Ek at most {current}"),
        (Basis::Knee, None) => format!("knee not below {at}"),
        (Basis::Security, Some(current)) => format!("saturated by {at}: at least {current} there"),
        (Basis::Transient, Some(current)) => {
            format!("at {at} a peak of at most {current} x sqrt 2")
        }
        (_, Some(current)) => format!("at most {current} at {at}"),
        (_, None) => at,
    }
}

/// `2000 V at any terminal (common practice, no source)`
pub fn ceiling(job: &Job<'_>) -> String {
    say::told(job.ceiling.as_ref(), |ceiling| {
        format!(
            "{} at any terminal ({})",
            say::volts(ceiling.volts),
            ceiling.whose
        )
    })
}

/// The same for a step on the winding of a core, with the most current that it carries.
pub fn ceilings(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    let volts = Some(ceiling(job)).filter(|text| !text.is_empty());
    let most = core.most_current().map(|most| {
        let whose = match core.secondary {
            Some(rated) if most <= rated => "rated current; common practice, no source",
            _ if core.end_current().is_some_and(|end| most <= end) => "the limit of class or plate",
            _ => "what the knee on record takes",
        };
        format!("{} through the winding ({whose})", say::amperes(most))
    });
    joined([volts, most], "; ")
}

/// Where a core would be driven above the ceiling at rated frequency: what to do instead.
pub fn lower(job: &Job<'_>, core: &CoreSheet<'_>) -> Option<String> {
    let drive = core.drive.as_ref()?;
    let (lower, ceiling) = drive.lower.zip(job.ceiling.as_ref())?;
    let (need, most) = (say::volts(drive.reach), say::volts(ceiling.volts));
    let (rated, to) = (lower.rated_text(), lower.text());
    let top = say::volts(drive.at_terminals(drive.reach));
    Some(format!(
        "At {rated} this core needs {need}, above the ceiling of {most}: work at {to} or less, where {top} do; a tap does not help, \
         since the outer terminals reach the same voltage. The current reads low then: a limit of it is not decided. \
         Without such a source end at the ceiling, and write that down."
    ))
}

/// When the knee is past.
const PAST: &str = "10 % more voltage takes 50 % more current";

/// Stop rule of the excitation test, and what the source must give.
pub fn excitation(core: &CoreSheet<'_>) -> String {
    let Some(drive) = &core.drive else {
        return format!("the plate gives no voltage: go on until {PAST}.");
    };
    let top = joined(top(core, drive).into_iter().map(Some), " ");
    let first = match core.stop_current().map(say::amperes) {
        None => format!("{top}, and on until {PAST}."),
        Some(end) => match far(core, &end) {
            Some(far) => far,
            None => format!("{top} or {end}, whichever comes first{}.", not_before(core)),
        },
    };
    let needs = need(core).map(|need| {
        let power = say::volt_amperes(need.volts * need.amperes);
        let (least, current) = (say::volts(need.volts), say::amperes(need.amperes));
        let whose = match need.is_read {
            true => "by the curve on record",
            false => "if the core takes as much as ends the curve",
        };
        format!("Needs at least {least}, {current} ({power}), {whose}.")
    });
    joined([Some(first), unlike(core), needs], " ")
}

/// How high the source is run, in lines: by hand where the plate gives no winding resistance, since what it gives
/// is for the burden alone then.
fn top(core: &CoreSheet<'_>, drive: &Drive<'_>) -> Vec<String> {
    let told = say::volts(drive.top());
    match core.by_hand() {
        Some(_) => vec![
            format!("{} x the e.m.f. by hand", say::plain(past(1.0))),
            format!("(more than {told})"),
        ],
        None => vec![told],
    }
}

/// A security factor asks for saturation, and is shown without a knee.
fn not_before(core: &CoreSheet<'_>) -> String {
    match core.turning.map(|turning| turning.basis) {
        Some(Basis::Security) => String::new(),
        _ => format!(", but not before {PAST}"),
    }
}

/// What a source must give at least.
#[derive(Clone, Copy, Debug)]
pub struct Need {
    /// Volt at the frequency of the test.
    pub volts: f64,
    pub amperes: f64,
    /// Whether a curve on record tells it; else it is all that ends the curve.
    pub is_read: bool,
}

/// What the source must give at least; the real knee may lie higher than the plate promises.
pub fn need(core: &CoreSheet<'_>) -> Option<Need> {
    let drive = core.drive.as_ref()?;
    let known = drive.known.as_ref();
    let need = |volts, amperes, is_read| Need {
        volts: drive.at_terminals(volts),
        amperes,
        is_read,
    };
    if drive.beyond.is_some() {
        let end = core.stop_current()?;
        let read = known.and_then(|known| known.voltage_at(end));
        let last = known.map_or(0.0, |known| known.last().0);
        let volts = read.unwrap_or(last).max(drive.reach);
        let all = need(volts, end, read.is_some());
        // The ceiling may come first, with less current than that.
        return Some(match all.volts > drive.top() {
            true => Need {
                volts: drive.top(),
                is_read: false,
                ..all
            },
            false => all,
        });
    }
    let end = core.stop_current();
    // The curve on record may come to the current that ends it before it comes to the voltage.
    let ended = known
        .zip(end)
        .and_then(|(known, end)| Some((known.voltage_at(end)?, end)));
    if let Some((volts, end)) = ended.filter(|(volts, _)| *volts < drive.reach) {
        return Some(need(volts, end, true));
    }
    match known.and_then(|known| known.current_at(drive.reach)) {
        Some(read) => Some(need(drive.reach, read, true)),
        None => {
            core.end_current()?;
            Some(need(drive.reach, end?, false))
        }
    }
}

/// Where the knee on record lies far below what the class asks for: the current ends the curve.
fn far(core: &CoreSheet<'_>, end: &str) -> Option<String> {
    let drive = core.drive.as_ref()?;
    let ((beyond, known), slow) = drive.beyond.zip(drive.known.as_ref()).zip(drive.slow())?;
    let current = core.stop_current()?;
    let read = known.voltage_at(current);
    let read = read.map(|volts| drive.at_terminals(volts));
    let at = say::told(read, |volts| {
        format!(" ({} by the curve on record)", say::volts(volts))
    });
    // What ends the curve decides the limit there, if the ceiling does not come first.
    let is_below = read.is_some_and(|volts| volts <= drive.top());
    let is_decided = is_below && drive.lower.is_none() && core.end_current().is_some();
    let by = if known.is_spread {
        ", by the smallest knee"
    } else {
        ""
    };
    let decided = if is_decided {
        ", and that decides it"
    } else {
        ""
    };
    let (slow, top, beyond) = (
        say::volts(slow),
        say::volts(drive.top()),
        say::volts(beyond),
    );
    Some(format!(
        "up to {slow}{by}, then slowly, by the current, to {end}{at}{}; never above {top}. \
         The knee on record, {}, lies far below the {beyond} that is asked for: the current ends the curve{decided}.",
        not_before(core),
        known.text
    ))
}

/// Where visits found different knees, and the current does not end the curve anyhow.
fn unlike(core: &CoreSheet<'_>) -> Option<String> {
    let drive = core.drive.as_ref().filter(|drive| drive.beyond.is_none())?;
    let (known, slow) = drive.known.as_ref().zip(drive.slow())?;
    let what = match known.is_split {
        true => "The knees on record differ",
        false => "The knee on record is no measure",
    };
    Some(format!(
        "{what}, {}: above {} go up slowly, by the current.",
        known.text,
        say::volts(slow)
    ))
}

/// What stands at the source in the drawing: how high, and what ends it.
pub fn source(core: &CoreSheet<'_>) -> Vec<String> {
    let Some(drive) = &core.drive else {
        return Vec::new();
    };
    let at = say::told(drive.lower, |lower| format!(" at {}", lower.text()));
    let slow = drive.slow().filter(|_| drive.beyond.is_some());
    match slow.zip(core.stop_current()) {
        Some((slow, end)) => vec![
            format!("up to {}{at},", say::volts(slow)),
            "then by current".to_owned(),
            format!("to {}", say::amperes(end)),
        ],
        None => {
            let mut lines = top(core, drive);
            if let Some(first) = lines.first_mut() {
                *first = format!("up to {first}");
            }
            if let Some(last) = lines.last_mut() {
                last.push_str(&at);
            }
            lines
        }
    }
}

/// Where demagnetisation starts.
pub fn demagnetisation(core: &CoreSheet<'_>) -> String {
    let start = match &core.drive {
        Some(drive) => {
            let at = drive
                .lower
                .map(|lower| format!(" at {} or less", lower.text()));
            let known = drive.known.as_ref();
            let knee = known.map(|known| {
                let by = if known.is_spread {
                    ": by the largest"
                } else {
                    ""
                };
                format!("; knee on record {}{by}", known.text)
            });
            let largest = drive.saturated_by_largest().zip(drive.slow());
            let largest = say::told(largest, |(largest, slow)| {
                let (largest, slow) = (say::volts(largest), say::volts(slow));
                format!(
                    ", {largest} by the largest knee on record: above {slow} slowly, by the current"
                )
            });
            format!(
                "at least {}{}{largest}{}",
                say::volts(drive.saturated()),
                at.unwrap_or_default(),
                knee.unwrap_or_default()
            )
        }
        None => "the plate gives no voltage".to_owned(),
    };
    format!(
        "start where the core is saturated ({start}), as high as it takes until {PAST}; then down to 0 V without a step, over half a minute or more (common practice, no source)"
    )
}

/// What is added by hand where the plate gives no winding resistance.
pub fn by_hand(job: &Job<'_>, core: &CoreSheet<'_>) -> Option<String> {
    let (turning, amperes, load) = core.by_hand()?;
    let angle = load.power_factor.clamp(0.0, 1.0);
    let along = say::figures(load.ohm * angle);
    let across = load.ohm * libm::sqrt(1.0 - angle * angle);
    let sum = if across > 0.0 {
        let across = say::figures(across);
        format!("sqrt((R + {along} ohm)\u{b2} + ({across} ohm)\u{b2})")
    } else {
        format!("(R + {along} ohm)")
    };
    let hot = core
        .metal
        .zip(conductor::reference())
        .map(|(metal, reference)| {
            format!(
                "R at {} \u{b0}C = R measured x {} / ({} + t) = ______ ohm; ",
                say::plain(reference.limit),
                say::plain(metal.k + reference.limit),
                say::plain(metal.k)
            )
        });
    let rated = match core.plate.rated_frequency() {
        Some(rated) => format!("{} Hz", say::plain(rated)),
        None => "rated frequency".to_owned(),
    };
    // With the winding's resistance on top, a frequency that did for the burden alone is too high.
    let most = say::told(job.ceiling.as_ref(), |ceiling| {
        let most = say::volts(ceiling.volts);
        format!(
            "; where that is above {most}, never drive it at {rated}: f = {rated} x {most} / that = ______ Hz or less, stop at that x f / {rated} = ______ V, \
             and scale each aim alike"
        )
    });
    Some(format!(
        "By hand: the plate gives no winding resistance, so {} is for the burden alone, and the winding's resistance R comes on top. {}\
         e.m.f. = {} x {sum} = ______ V; aim at it, and stop at {} times that = ______ V at {rated}{most}.",
        say::volts(turning.volts),
        hot.unwrap_or_default(),
        say::amperes(amperes),
        say::plain(past(1.0)),
    ))
}

/// The current of a winding resistance, in the unit that it is written down in.
pub fn direct_current(rated: f64) -> String {
    format!("{} A", say::figures(0.1 * rated))
}

/// Suggested test current.
pub fn resistance_current(core: &CoreSheet<'_>) -> String {
    say::told(core.secondary, steady)
}

/// The same of the primary.
pub fn primary_current(job: &Job<'_>) -> String {
    let rated = job.cores.first().and_then(CoreSheet::rated_primary);
    say::told(rated, steady)
}

fn steady(rated: f64) -> String {
    let current = direct_current(rated);
    format!(
        "{current}: a tenth of rated (common practice, no source); wait until the reading is steady"
    )
}

/// What the plate says of the full winding's resistance, on the day, and what its sections must add up to.
pub fn resistance(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    let full = core.full();
    let on_day = plate_resistance(job, core, full).map(|on_day| {
        let stated = core.stated_resistance(full);
        let stated = say::told(stated, |(ohm, at)| {
            format!(" ({} at {} \u{b0}C)", say::ohms(ohm), say::plain(at))
        });
        format!("plate: {on_day} at {} \u{b0}C{stated}", job.celsius)
    });
    let sum = (core.core.last_mark() >= 2)
        .then(|| "with four leads the sections add up to the whole".to_owned());
    joined([on_day, sum], "; ")
}

/// `at most 2.47 ohm` on the day; without the words where the plate's figure is no limit.
pub fn plate_resistance(job: &Job<'_>, core: &CoreSheet<'_>, pair: (u8, u8)) -> Option<String> {
    let ohm = say::ohms(core.resistance(pair, job.celsius)?);
    Some(core.limited_resistance(pair, ohm))
}

/// How the plate's figure is brought to another temperature than the sheet's.
pub fn on_another_day(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    let told = core.resistance(core.full(), job.celsius).and(core.metal);
    say::told(told, |metal| {
        let k = say::plain(metal.k);
        let sum = say::plain(metal.k + job.celsius);
        format!("; at another temperature t the plate's figure is x ({k} + t) / {sum}")
    })
}

/// Voltage of the ratio test.
pub fn ratio(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    let Some((volts, emf)) = core.ratio_voltage else {
        return "a voltage well under the knee; the plate gives none".to_owned();
    };
    let share = job.criteria.share_of_knee();
    let known = core.drive.as_ref().and_then(|drive| drive.known.as_ref());
    let kind = if known.is_some_and(|known| known.least == emf) {
        "smallest knee on record"
    } else if core.core.class.value().is_some_and(Class::is_measuring) {
        "e.m.f. at 120 % of rated current"
    } else {
        "e.m.f. that the class holds to"
    };
    let (volts, emf) = (say::volts(volts), say::volts(emf));
    format!("{volts}: within {share} % of {emf} ({kind})")
}

/// Expected voltage at the primary, volt.
pub fn induced_volts(core: &CoreSheet<'_>) -> Option<f64> {
    let (volts, _) = core.ratio_voltage?;
    expected::induced(volts, core.winding.full()?, core.primary_turns)
}

/// The same at an input of a summation CT: by its ratio, whatever turns it has.
pub fn induced_at(core: &CoreSheet<'_>, input: &Input) -> Option<f64> {
    let (volts, _) = core.ratio_voltage?;
    let ratio = core.core.full_ratio()?.value() * input.factor;
    (ratio > 0.0).then(|| volts / ratio)
}

/// Expected voltage at the primary, with its band where plate or job give one.
pub fn induced(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    let inputs = core.core.inputs.iter();
    let at_inputs = inputs.map(|input| {
        let volts = say::told(induced_at(core, input), say::volts);
        Some(format!("{} {volts}", input.name)).filter(|_| !volts.is_empty())
    });
    let at_inputs = joined(at_inputs, ", ");
    if !at_inputs.is_empty() {
        return at_inputs;
    }
    say::told(induced_volts(core), |volts| {
        let unit = Unit::of_ratio(job, core);
        with_band(job, core, (volts, unit), " at the primary")
    })
}

/// The unit that the voltage of a ratio test is read in, one for the whole table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    Volt,
    Millivolt,
}

impl Unit {
    /// Millivolt where the primary alone is read, and less than a volt is expected there.
    pub fn of_ratio(job: &Job<'_>, core: &CoreSheet<'_>) -> Self {
        let primary_alone = job.taps(core, Step::Ratio).is_empty();
        let is_small = induced_volts(core).is_none_or(|volts| volts < 1.0);
        match primary_alone && is_small {
            true => Self::Millivolt,
            false => Self::Volt,
        }
    }

    pub fn name(self) -> &'static str {
        match self {
            Self::Volt => "V",
            Self::Millivolt => "mV",
        }
    }

    fn per_volt(self) -> f64 {
        match self {
            Self::Volt => 1.0,
            Self::Millivolt => 1e3,
        }
    }
}

/// `200 mV at the primary (198.0 to 202.0 mV)`; no band without a tolerance.
pub fn with_band(
    job: &Job<'_>,
    core: &CoreSheet<'_>,
    (volts, unit): (f64, Unit),
    place: &str,
) -> String {
    let (value, unit) = (volts * unit.per_volt(), unit.name());
    let band = core.turns_tolerance(job.criteria).map(|(percent, _)| {
        let low = value * (1.0 - percent / 100.0);
        let high = value * (1.0 + percent / 100.0);
        // One figure more than the value, or a band of a quarter per cent would vanish.
        let decimals = match low {
            100.0.. => 1,
            10.0.. => 2,
            1.0.. => 3,
            _ => 4,
        };
        format!(" ({low:.decimals$} to {high:.decimals$} {unit})")
    });
    format!(
        "{} {unit}{place}{}",
        say::figures(value),
        band.unwrap_or_default()
    )
}

/// Rated burden and, for a measuring class, its lower limit.
pub fn burden(core: &CoreSheet<'_>) -> String {
    say::told(core.burden_range(), |(va, least)| {
        let at = say::told(core.secondary, |isr| {
            format!(", {} at {}", say::volts(va / isr), say::amperes(isr))
        });
        let least = say::told(least, |va| {
            let least = say::volt_amperes(va);
            format!("; not below {least}, or the class does not cover it")
        });
        format!("at most {}{at}{least}", say::volt_amperes(va))
    })
}

/// Highest current of the class, per cent of rated.
pub fn highest_percent(core: &CoreSheet<'_>) -> f64 {
    currents(core).last().map_or(100.0, |at| at.percent)
}

/// A current that a class is stated at.
pub struct Current {
    /// Per cent of rated.
    pub percent: f64,
    /// The limits there in words.
    pub limits: String,
    /// Where they come from.
    pub source: String,
}

/// Currents that the class is stated at, as the plate's standard has them.
pub fn currents(core: &CoreSheet<'_>) -> Vec<Current> {
    let at = |percent, limits, row: &Cited| {
        let source = core.clause(row)?;
        Some(Current {
            percent,
            limits,
            source,
        })
    };
    match core.core.class.value() {
        Some(Class::Measuring { name, .. }) => {
            let rows = standards::measuring(name).map_or(&[][..], |class| &class.rows);
            let limits = rows.iter().filter_map(|row| {
                let phase = say::told(row.phase_minutes, phase_within);
                at(row.percent, within(row.ratio_error) + &phase, &row.cited)
            });
            limits.collect()
        }
        Some(Class::IeeeMetering { name, .. }) => {
            let rows = standards::ieee_metering(name).map_or(&[][..], |class| &class.rows);
            let limits = rows.iter().filter_map(|row| {
                let limits = format!("TCF {} to {}", row.tcf_min, row.tcf_max);
                at(row.percent, limits, &row.cited)
            });
            limits.collect()
        }
        Some(Class::Protection {
            composite,
            low_remanence,
            ..
        }) => {
            let row = standards::protection(*composite, *low_remanence);
            let limit = row.and_then(|row| {
                let phase = say::told(row.phase_minutes, phase_within);
                at(RATED, within(row.ratio_error) + &phase, &row.cited)
            });
            limit.into_iter().collect()
        }
        Some(Class::Transient(class)) => {
            let limit = standards::transient(*class).and_then(|row| {
                let phase = match row.phase_range() {
                    (low, high) if low == -high => phase_within(high),
                    (low, high) => format!(", {low} to {high} min"),
                };
                at(RATED, within(row.ratio_error) + &phase, &row.cited)
            });
            limit.into_iter().collect()
        }
        Some(Class::IeeeRelay { .. }) => {
            let standard = core.plate.standard.value();
            let row = standards::ieee_relay_at_rated(standard.and_then(|one| one.edition));
            let limit = row.and_then(|row| at(RATED, within(row.limit), &row.cited));
            limit.into_iter().collect()
        }
        Some(Class::Knee { .. } | Class::Other(_)) | None => Vec::new(),
    }
}

/// Rated current, per cent of rated.
const RATED: f64 = 100.0;

fn within(percent: f64) -> String {
    format!("\u{b1}{percent} %")
}

fn phase_within(minutes: f64) -> String {
    format!(", \u{b1}{minutes} min")
}

/// Voltage and time of the withstand test that the standard asks of the plate, and where they come from.
pub fn withstand(job: &Job<'_>, primary: bool) -> Option<(String, String)> {
    let plate = &job.record.plate;
    let time = standards::threshold("withstand-time")?;
    let (volts, cited) = if primary {
        let highest = plate.highest_voltage.value()?.si;
        let levels = standards::withstand(plate.family(), highest)?;
        let volts = match levels.voltage(plate.bil.value().map(|bil| bil.si))? {
            TestVoltage::One(only) => say::volts(only),
            TestVoltage::Between(low, high) => {
                let (low, high) = (say::volts(low), say::volts(high));
                format!("{low} or {high}, as the BIL has it")
            }
        };
        (volts, &levels.cited)
    } else {
        let row = standards::withstand_secondary(plate.family())?;
        (say::volts(row.limit), &row.cited)
    };
    let told = format!("{volts} r.m.s. for {} s", time.limit);
    Some((told, plate.cite(cited)?.source.clone()))
}

/// What the sections of the primary are tested with against each other, and whose it is.
pub fn withstand_sections(job: &Job<'_>) -> Option<(String, String)> {
    let plate = &job.record.plate;
    let time = standards::threshold("withstand-time")?;
    let row = standards::withstand_sections(plate.family())?;
    let told = format!("{} r.m.s. for {} s", say::volts(row.limit), time.limit);
    Some((told, plate.cite(&row.cited)?.source.clone()))
}

/// The voltage to earth that the standard tells the dissipation factor at.
pub fn dissipation(job: &Job<'_>) -> Option<String> {
    let plate = &job.record.plate;
    let um = plate.highest_voltage.value()?.si;
    let (_, volts) = standards::dissipation_figure(plate.family(), um)?;
    Some(say::volts(volts))
}

/// `rated: 15.0 VA, 15.0 ohm, cos \u{3c6} 0.8`
pub fn burden_figures(name: &str, va: f64, load: Load) -> String {
    let (va, ohm) = (say::volt_amperes(va), say::ohms(load.ohm));
    let factor = say::plain(load.power_factor);
    format!("{name}: {va}, {ohm}, cos \u{3c6} {factor}")
}

/// Where the lowest burden of a measuring class comes from.
pub fn burden_source(core: &CoreSheet<'_>) -> Option<String> {
    match core.core.class.value()? {
        Class::Measuring { name, .. } => {
            standards::measuring(name).and_then(|class| core.clause(&class.burden_cited))
        }
        _ => None,
    }
}

/// Voltage of the insulation test, with the most that a secondary may see.
pub fn insulation_voltage() -> String {
    let most = standards::threshold("insulation-secondary-max").map(|most| {
        let (volts, source) = (say::volts(most.limit), &most.cited.source);
        format!("never above {volts} d.c. on a secondary ({source})")
    });
    let site = "the test voltage of the site's instruction: ______ V d.c.".to_owned();
    joined([Some(site), most], "; ")
}

/// Least insulation resistance that the job names; IEC states none.
pub fn insulation(job: &Job<'_>, primary: bool) -> String {
    match &job.criteria.insulation {
        InsulationProfile::Client {
            name,
            primary: for_primary,
            core,
            at: _,
        } => {
            let ohm = if primary { for_primary } else { core };
            say::told(*ohm, |ohm| format!("at least {} ({name})", large_ohms(ohm)))
        }
        InsulationProfile::Table(name) => format!("as {name} asks for the rated voltage"),
        InsulationProfile::None => String::new(),
    }
}

fn large_ohms(ohm: f64) -> String {
    if ohm >= 1e9 {
        format!("{} Gohm", say::figures(ohm / 1e9))
    } else {
        format!("{} Mohm", say::figures(ohm / 1e6))
    }
}

/// What a loop may read.
pub fn continuity(job: &Job<'_>) -> String {
    let most = job.criteria.circuit_loop.map(|most| {
        let most = say::plain(most);
        format!("at most {most} ohm (criteria of the job)")
    });
    joined([Some("closed".to_owned()), most], "; ")
}

/// What a circuit with relays and meters in it may see.
pub fn circuit_voltage() -> String {
    say::told(standards::threshold("circuit-voltage-most"), |most| {
        let (volts, source) = (say::volts(most.limit), &most.cited.source);
        format!("{volts} d.c. unless relays and meters are out ({source})")
    })
}

/// What a circuit reads against earth while its own is lifted.
pub fn circuit_insulation(job: &Job<'_>) -> String {
    let least = job.criteria.circuit_insulation.map(|least| {
        let least = large_ohms(least);
        format!("at least {least} (criteria of the job)")
    });
    joined(
        [least, Some("nearly nothing is a second earth".to_owned())],
        "; ",
    )
}
