//! Where to stop and what to expect, in words, from what the plate supports. Blank where it does not.

use super::job::Job;
use super::plate::CoreSheet;
use super::say;
use crate::derive::expected::{self, Basis, TurningPoint};
use crate::document::joined;
use crate::record::criteria::InsulationProfile;
use crate::standards::{self, px};
use crate::trade::Class;

/// Where the list of points ends, as a multiple of the turning point: a step of the knee rule past it.
fn beyond() -> f64 {
    px(false).map_or(1.0, |row| 1.0 + row.knee_voltage_step / 100.0)
}

/// Highest voltage of the excitation test on the full winding, volt.
pub fn top(core: &CoreSheet<'_>) -> Option<f64> {
    core.turning.map(|turning| turning.volts * beyond())
}

/// Current that the source must reach at the top, ampere. At a rated knee the rule of 10 % and 50 %
/// bounds it; the classes bound it by their error.
pub fn top_current(turning: TurningPoint) -> Option<f64> {
    turning.current.map(|current| {
        if turning.basis == Basis::Knee {
            px(false).map_or(current, |row| {
                (1.0 + row.knee_current_rise / 100.0) * current
            })
        } else {
            current
        }
    })
}

fn name(basis: Basis) -> &'static str {
    match basis {
        Basis::Knee => "rated knee Ek",
        Basis::Limit => "limiting e.m.f. E_ALF",
        Basis::Relay => "e.m.f. behind the class voltage",
        Basis::Security => "limiting e.m.f. at FS",
        Basis::Transient => "equivalent limiting e.m.f. Eal",
    }
}

/// Where the e.m.f. of a class and its current come from.
pub fn source(basis: Basis) -> &'static str {
    match basis {
        Basis::Knee => {
            "Ek and its current: rating plate; knee rule: IEC 61869-2:2012, 3.4.215 (from memory)"
        }
        Basis::Limit => {
            "E_ALF: IEC 61869-2:2012, 3.4.209, composite error of the class (from memory)"
        }
        Basis::Relay => "class C and T: 20 times rated current, 10 % (IEEE C57.13, from memory)",
        Basis::Security => "FS: IEC 61869-2:2012, at least 10 % composite error (from memory)",
        Basis::Transient => "Eal: IEC 61869-2:2012, 3.4.229 (from memory)",
    }
}

/// `300 V (rated knee Ek)`
pub fn turning_text(turning: TurningPoint) -> String {
    let at_least = if turning.exact { "" } else { "at least " };
    let why = if turning.exact {
        ""
    } else {
        "; the plate gives no winding resistance"
    };
    format!(
        "{at_least}{} ({}{why})",
        say::volts(turning.volts),
        name(turning.basis)
    )
}

/// What the class asks at the turning point.
pub fn limit_text(core: &CoreSheet<'_>) -> String {
    let Some(turning) = core.turning else {
        return String::new();
    };
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

/// Stop rule of the excitation test, and what the source must give.
pub fn excitation(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    let cap = job.cap().map(|(volts, whose)| {
        format!(
            "Never above {} at any terminal ({whose}).",
            say::volts(volts)
        )
    });
    let Some(turning) = core.turning else {
        let rule =
            "the plate gives no voltage: stop when 10 % more voltage takes 50 % more current.";
        return joined([Some(rule.to_owned()), cap], " ");
    };
    let volts = turning.volts * beyond();
    let current = top_current(turning);
    let first = match (turning.basis, current) {
        (Basis::Knee, _) => format!(
            "{}; go on until 10 % more voltage takes 50 % more current.",
            say::volts(volts)
        ),
        (_, Some(current)) => format!(
            "{} or {}, whichever comes first.",
            say::volts(volts),
            say::amperes(current)
        ),
        (_, None) => format!("{}.", say::volts(volts)),
    };
    // The plate promises a knee at least here; the real one may lie higher.
    let least = if turning.basis == Basis::Knee {
        "at least "
    } else {
        ""
    };
    let needs = current.map(|current| {
        format!(
            "Needs {least}{}, {} ({}).",
            say::volts(volts),
            say::amperes(current),
            say::volt_amperes(volts * current)
        )
    });
    let high = standards::threshold("excitation-cap-warn").filter(|cap| volts > cap.limit);
    let high = high.map(|cap| {
        let warn = say::volts(cap.limit);
        format!("Above {warn}: use a source of lower frequency; a tap does not help, since the outer terminals reach the same voltage.")
    });
    joined([Some(first), needs, high, cap], " ")
}

/// Where demagnetisation starts.
pub fn demagnetisation(core: &CoreSheet<'_>) -> String {
    match core.turning {
        Some(turning) => format!(
            "start where the core is saturated, about {}; then down to 0 V without a step, over half a minute or more (common practice, no source)",
            say::volts(turning.volts * beyond())
        ),
        None => "start where the core is saturated (the plate gives no voltage); then down to 0 V without a step, over half a minute or more (common practice, no source)".to_owned(),
    }
}

/// Suggested test current.
pub fn resistance_current(core: &CoreSheet<'_>) -> String {
    core.secondary.map_or_else(String::new, |isr| {
        format!(
            "{}: a tenth of rated (common practice, no source); wait until the reading is steady",
            say::amperes(0.1 * isr)
        )
    })
}

/// Highest resistance of the full winding on the day, and what its sections must add up to.
pub fn resistance(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    let most = core.resistance(core.full(), job.celsius);
    let most = most.map(|ohm| {
        format!(
            "at most {} at {} \u{b0}C, according to the rating plate",
            say::ohms(ohm),
            job.celsius
        )
    });
    let sum = (core.core.last_mark() >= 2)
        .then(|| "by four leads the sections add up to the whole".to_owned());
    joined([most, sum], "; ")
}

/// Voltage of the ratio test.
pub fn ratio(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    core.ratio_voltage.map_or_else(
        || "a voltage well under the knee; the plate gives none".to_owned(),
        |(volts, emf)| {
            let share = job.criteria.share_of_knee();
            let kind = if core.core.class.value().is_some_and(Class::is_measuring) {
                "e.m.f. at 120 % of rated current"
            } else {
                "e.m.f. that the class holds to"
            };
            format!(
                "{}: within {share} % of {} ({kind})",
                say::volts(volts),
                say::volts(emf)
            )
        },
    )
}

/// Expected voltage at the primary, volt.
pub fn induced_volts(core: &CoreSheet<'_>) -> Option<f64> {
    let (volts, _) = core.ratio_voltage?;
    expected::induced(volts, core.winding.full()?, core.primary_turns)
}

/// Expected voltage at the primary, with its band where plate or job give one.
pub fn induced(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    let Some(volts) = induced_volts(core) else {
        return String::new();
    };
    format!(
        "{} at the primary{}",
        say::volts(volts),
        band(
            volts,
            core.turns_tolerance(job.criteria)
                .map(|(percent, _)| percent)
        )
    )
}

/// ` (198 to 202 mV)`; nothing without a tolerance.
pub fn band(volts: f64, percent: Option<f64>) -> String {
    percent.map_or_else(String::new, |percent| {
        // One figure more than the value, or a band of a quarter per cent would vanish.
        let milli = volts < 1.0;
        let scale = if milli { 1e3 } else { 1.0 };
        let unit = if milli { "mV" } else { "V" };
        let (low, high) = (
            volts * (1.0 - percent / 100.0) * scale,
            volts * (1.0 + percent / 100.0) * scale,
        );
        let decimals = if low >= 100.0 {
            1
        } else if low >= 10.0 {
            2
        } else {
            3
        };
        format!(" ({low:.decimals$} to {high:.decimals$} {unit})")
    })
}

/// Rated burden and, for a measuring class, its lower limit.
pub fn burden(core: &CoreSheet<'_>) -> String {
    let Some((va, least)) = core.burden_range() else {
        return String::new();
    };
    let at = core
        .secondary
        .map(|isr| format!(", {} at {}", say::volts(va / isr), say::amperes(isr)))
        .unwrap_or_default();
    let least = least
        .map(|va| {
            format!(
                "; not below {}, or the class does not cover it",
                say::volt_amperes(va)
            )
        })
        .unwrap_or_default();
    format!("at most {}{at}{least}", say::volt_amperes(va))
}

/// Highest current of the class, per cent of rated.
pub fn highest_percent(core: &CoreSheet<'_>) -> f64 {
    currents(core).last().map_or(100.0, |row| row.0)
}

/// Currents that the class is stated at, per cent of rated, with the limits there in words.
pub fn currents(core: &CoreSheet<'_>) -> Vec<(f64, String)> {
    match core.core.class.value() {
        Some(Class::Measuring { name, .. }) => {
            let phase = |minutes: Option<f64>| {
                let said = minutes.map(|m| format!(", \u{b1}{m} min"));
                said.unwrap_or_default()
            };
            let rows = standards::measuring(name).map_or(&[][..], |class| &class.rows);
            let limits = rows.iter().map(|row| {
                let phase = phase(row.phase_minutes);
                (row.percent, format!("\u{b1}{} %{phase}", row.ratio_error))
            });
            limits.collect()
        }
        Some(Class::IeeeMetering { name, .. }) => {
            let rows = standards::ieee_metering(name).map_or(&[][..], |class| &class.rows);
            let limits = rows.iter().map(|row| {
                let (min, max) = (row.tcf_min, row.tcf_max);
                (row.percent, format!("TCF {min} to {max}"))
            });
            limits.collect()
        }
        _ => Vec::new(),
    }
}

/// Where the limits of the list of currents come from.
pub fn currents_source(core: &CoreSheet<'_>) -> Option<String> {
    match core.core.class.value()? {
        Class::Measuring { name, .. } => standards::measuring(name)?
            .rows
            .first()
            .map(|row| row.cited.line()),
        Class::IeeeMetering { name, .. } => standards::ieee_metering(name)?
            .rows
            .first()
            .map(|row| row.cited.line()),
        _ => None,
    }
}

/// Where the lowest burden of a measuring class comes from.
pub fn burden_source(core: &CoreSheet<'_>) -> Option<String> {
    match core.core.class.value()? {
        Class::Measuring { name, .. } => {
            standards::measuring(name).map(|class| class.burden_cited.line())
        }
        _ => None,
    }
}

/// Least insulation resistance that the job names; IEC states none.
pub fn insulation(job: &Job<'_>, primary: bool) -> String {
    match &job.criteria.insulation {
        InsulationProfile::Client {
            name,
            primary: for_primary,
            core,
        } => {
            let ohm = if primary { for_primary } else { core };
            ohm.map_or_else(String::new, |ohm| {
                format!("at least {} ({name})", large_ohms(ohm))
            })
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
