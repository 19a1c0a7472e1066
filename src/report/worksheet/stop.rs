//! Where to stop and what to expect, in words, from what the plate supports. Blank where it does not.

use super::job::Job;
use super::plate::CoreSheet;
use super::say;
use crate::derive::expected::{self, Basis, TurningPoint};
use crate::document::joined;
use crate::record::criteria::InsulationProfile;
use crate::standards::{self, Cited, TestVoltage, px};
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
    let current = turning.current?;
    let rise = px(false).filter(|_| turning.basis == Basis::Knee);
    Some(rise.map_or(current, |row| {
        (1.0 + row.knee_current_rise / 100.0) * current
    }))
}

/// What the e.m.f. of a class is called, and where it and its current come from.
pub fn basis(basis: Basis) -> (&'static str, &'static str) {
    match basis {
        Basis::Knee => (
            "rated knee Ek",
            "Ek and its current: rating plate; knee rule: IEC 61869-2:2012, 3.4.215 (from memory)",
        ),
        Basis::Limit => (
            "limiting e.m.f. E_ALF",
            "E_ALF: IEC 61869-2:2012, 3.4.209, composite error of the class (from memory)",
        ),
        Basis::Relay => (
            "e.m.f. behind the class voltage",
            "class C and T: 20 times rated current, 10 % (IEEE C57.13, from memory)",
        ),
        Basis::Security => (
            "limiting e.m.f. at FS",
            "FS: IEC 61869-2:2012, at least 10 % composite error (from memory)",
        ),
        Basis::Transient => (
            "equivalent limiting e.m.f. Eal",
            "Eal: IEC 61869-2:2012, 3.4.229 (from memory)",
        ),
    }
}

/// `300 V (rated knee Ek)`
pub fn turning_text(turning: TurningPoint) -> String {
    let (volts, name) = (say::volts(turning.volts), basis(turning.basis).0);
    if turning.exact {
        format!("{volts} ({name})")
    } else {
        format!("at least {volts} ({name}; the plate gives no winding resistance)")
    }
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
        let volts = say::volts(volts);
        format!("Never above {volts} at any terminal ({whose}).")
    });
    let Some(turning) = core.turning else {
        let rule =
            "the plate gives no voltage: stop when 10 % more voltage takes 50 % more current.";
        return joined([Some(rule.to_owned()), cap], " ");
    };
    let volts = turning.volts * beyond();
    let (top, current) = (say::volts(volts), top_current(turning));
    let amperes = current.map(say::amperes);
    let first = match (turning.basis, &amperes) {
        (Basis::Knee, _) => {
            format!("{top}; go on until 10 % more voltage takes 50 % more current.")
        }
        (_, Some(amperes)) => format!("{top} or {amperes}, whichever comes first."),
        (_, None) => format!("{top}."),
    };
    // The plate promises a knee at least here; the real one may lie higher.
    let least = match turning.basis {
        Basis::Knee => "at least ",
        _ => "",
    };
    let needs = current.zip(amperes).map(|(current, amperes)| {
        let power = say::volt_amperes(volts * current);
        format!("Needs {least}{top}, {amperes} ({power}).")
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
    let start = match top(core) {
        Some(volts) => format!(", about {}", say::volts(volts)),
        None => " (the plate gives no voltage)".to_owned(),
    };
    format!(
        "start where the core is saturated{start}; then down to 0 V without a step, over half a minute or more (common practice, no source)"
    )
}

/// Suggested test current.
pub fn resistance_current(core: &CoreSheet<'_>) -> String {
    say::told(core.secondary, |isr| {
        let current = say::amperes(0.1 * isr);
        format!(
            "{current}: a tenth of rated (common practice, no source); wait until the reading is steady"
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
    let Some((volts, emf)) = core.ratio_voltage else {
        return "a voltage well under the knee; the plate gives none".to_owned();
    };
    let share = job.criteria.share_of_knee();
    let kind = if core.core.class.value().is_some_and(Class::is_measuring) {
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

/// Expected voltage at the primary, with its band where plate or job give one.
pub fn induced(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    say::told(induced_volts(core), |volts| {
        let band = band(job, core, volts);
        format!("{} at the primary{band}", say::volts(volts))
    })
}

/// ` (198 to 202 mV)`; nothing without a tolerance.
pub fn band(job: &Job<'_>, core: &CoreSheet<'_>, volts: f64) -> String {
    say::told(core.turns_tolerance(job.criteria), |(percent, _)| {
        // One figure more than the value, or a band of a quarter per cent would vanish.
        let (scale, unit) = if volts < 1.0 { (1e3, "mV") } else { (1.0, "V") };
        let low = volts * (1.0 - percent / 100.0) * scale;
        let high = volts * (1.0 + percent / 100.0) * scale;
        let decimals = match low {
            100.0.. => 1,
            10.0.. => 2,
            _ => 3,
        };
        format!(" ({low:.decimals$} to {high:.decimals$} {unit})")
    })
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
pub fn highest_percent(job: &Job<'_>, core: &CoreSheet<'_>) -> f64 {
    currents(job, core).last().map_or(100.0, |at| at.percent)
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

/// Currents that the class is stated at.
pub fn currents(job: &Job<'_>, core: &CoreSheet<'_>) -> Vec<Current> {
    match core.core.class.value() {
        Some(Class::Measuring { name, .. }) => {
            let rows = standards::measuring(name).map_or(&[][..], |class| &class.rows);
            let limits = rows.iter().map(|row| {
                let phase = say::told(row.phase_minutes, phase_within);
                at(row.percent, within(row.ratio_error) + &phase, &row.cited)
            });
            limits.collect()
        }
        Some(Class::IeeeMetering { name, .. }) => {
            let rows = standards::ieee_metering(name).map_or(&[][..], |class| &class.rows);
            let limits = rows.iter().map(|row| {
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
            let limit = row.map(|row| {
                let phase = say::told(row.phase_minutes, phase_within);
                at(RATED, within(row.ratio_error) + &phase, &row.cited)
            });
            limit.into_iter().collect()
        }
        Some(Class::Transient(class)) => {
            let limit = standards::transient(*class).map(|row| {
                let phase = match row.phase_range() {
                    (low, high) if low == -high => phase_within(high),
                    (low, high) => format!(", {low} to {high} min"),
                };
                at(RATED, within(row.ratio_error) + &phase, &row.cited)
            });
            limit.into_iter().collect()
        }
        Some(Class::IeeeRelay { .. }) => {
            let standard = job.record.plate.standard.value();
            let row = standards::ieee_relay_at_rated(standard.and_then(|one| one.edition));
            let limit = row.map(|row| at(RATED, within(row.limit), &row.cited));
            limit.into_iter().collect()
        }
        Some(Class::Knee { .. } | Class::Other(_)) | None => Vec::new(),
    }
}

/// Rated current, per cent of rated.
const RATED: f64 = 100.0;

fn at(percent: f64, limits: String, cited: &Cited) -> Current {
    Current {
        percent,
        limits,
        source: cited.line(),
    }
}

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
    Some((told, cited.line()))
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
