//! What the sheet needs of a rating plate: burden, constants and limits found, e.m.f. worked out.

use super::drive::{Ceiling, Drive};
use super::{Subject, say, stop};
use crate::derive::conductor;
use crate::derive::expected::{self, Load, Rated, TurningPoint, Winding};
use crate::document::joined;
use crate::judge::turns_tolerance;
use crate::record::core::Core;
use crate::record::criteria::Criteria;
use crate::record::inputs::Fed;
use crate::record::plate::Plate;
use crate::standards::{self, BurdenKind, Cited, ConductorConstant};
use crate::trade::{Burden, Class, Pair, Ratio};

/// Air temperature that a sheet is made out for when none is asked, °C.
pub const USUAL_TEMPERATURE: f64 = 20.0;

/// One core with what its plate supports.
pub struct CoreSheet<'a> {
    pub index: usize,
    pub core: &'a Core,
    pub plate: &'a Plate,
    pub winding: Winding,
    /// Turns of the primary, passes of the cable included.
    pub primary_turns: f64,
    /// Passes of the cable; the plate's ratio is for one.
    pub passes: f64,
    /// Rated secondary current, ampere.
    pub secondary: Option<f64>,
    /// Rated burden as an impedance.
    pub load: Option<Load>,
    pub turning: Option<TurningPoint>,
    /// How it is excited, where anything tells.
    pub drive: Option<Drive<'a>>,
    /// Proposed voltage on the full winding for the ratio test, volt, and the e.m.f. it stays under.
    pub ratio_voltage: Option<(f64, f64)>,
    /// Constant of the winding's metal; `None` gives no resistance at another temperature.
    pub metal: Option<&'static ConductorConstant>,
}

impl<'a> CoreSheet<'a> {
    /// Works out one core.
    pub fn new(
        (subject, sisters): (&Subject<'a>, &[Subject<'a>]),
        index: usize,
        ceiling: Option<&Ceiling>,
    ) -> Option<Self> {
        let (record, criteria) = (subject.record, subject.criteria);
        let core = record.cores.get(index)?;
        let secondary = core.rated_secondary();
        let load = secondary.and_then(|isr| load(core, isr));
        let at_least_one =
            |value: Option<&f64>| value.copied().filter(|turns| *turns >= 1.0).unwrap_or(1.0);
        let own_turns = at_least_one(record.plate.primary_turns.value());
        let passes = record.passes_after(record.visits.len());
        let metal = standards::conductor_constant(
            record.plate.family(),
            core.metal(),
            criteria.alternative_constant,
        );
        let rated = secondary.and_then(|isr| rated(core, isr, load, metal));
        let turning = rated.as_ref().and_then(expected::turning_point);
        let under = match core.class.value() {
            Some(class) if class.is_measuring() => rated.as_ref().and_then(expected::holds_up_to),
            _ => turning.map(|turning| turning.volts),
        };
        let drive = Drive::new((subject, sisters), index, turning, ceiling);
        // A core whose knee was found lower than its class promises saturates there.
        let known = drive.as_ref().and_then(|drive| drive.known.as_ref());
        let knee = known.map(|known| known.least);
        let under = under.into_iter().chain(knee).reduce(f64::min);
        let ratio_voltage = under.and_then(|emf| {
            let cap = standards::threshold("ratio-voltage-cap")?.limit;
            let cap = ceiling.map_or(cap, |ceiling| cap.min(ceiling.volts));
            let volts = expected::ratio_voltage(emf, criteria.share_of_knee(), cap)?;
            Some((volts, emf))
        });
        Some(Self {
            index,
            core,
            plate: &record.plate,
            drive,
            winding: Winding::of(core, own_turns),
            primary_turns: own_turns * passes,
            passes,
            secondary,
            load,
            turning,
            ratio_voltage,
            metal,
        })
    }

    /// The full winding.
    pub fn full(&self) -> (u8, u8) {
        (0, self.core.last_mark())
    }

    /// `1S1-1S3`
    pub fn pair(&self, (from, to): (u8, u8)) -> String {
        self.core.pair_text(from, to)
    }

    /// The stamped mark of a terminal.
    pub fn mark(&self, at: u8) -> &str {
        self.core
            .marks
            .get(usize::from(at))
            .map_or("?", String::as_str)
    }

    /// The terminals that a driven pair leaves open.
    pub fn open(&self, (from, to): (u8, u8)) -> Vec<u8> {
        (0..=self.core.last_mark())
            .filter(|at| *at != from && *at != to)
            .collect()
    }

    /// The clause that a row stands in by the plate's standard; none where that is not known to carry it.
    pub fn clause(&self, row: &Cited) -> Option<String> {
        self.plate.cite(row).map(|cited| cited.source.clone())
    }

    /// Tolerance of the turns ratio of the full winding, per cent, and whose it is: what the ratio by voltage
    /// is judged by.
    pub fn turns_tolerance(&self, criteria: &Criteria) -> Option<(f64, String)> {
        let (from, to) = self.full();
        let pair = Pair {
            core: self.index,
            from,
            to,
        };
        let against = turns_tolerance(self.core, self.plate, criteria, pair)?;
        let percent = against.requirement.upper?;
        let whose = self.clause(&against.cited)?;
        Some((percent, format!("{percent} %: {whose}")))
    }

    /// What is worked out by hand, with the current and the burden that it is worked from: the plate gives no
    /// winding resistance.
    pub fn by_hand(&self) -> Option<(TurningPoint, f64, Load)> {
        let turning = self.turning.filter(|turning| !turning.exact)?;
        Some((turning, turning.carries?, self.load?))
    }

    /// Current at which an excitation curve may end: every limit of it is decided there, ampere.
    pub fn end_current(&self) -> Option<f64> {
        let stated = self.core.exciting.iter().map(|at| at.value.value.si);
        let class = self.turning.and_then(stop::top_current);
        class.into_iter().chain(stated).reduce(f64::max)
    }

    /// Current at which an excitation curve ends, ampere: what decides its limits, or rated current where
    /// none is stated; never less than the knee on record takes.
    pub fn stop_current(&self) -> Option<f64> {
        let own = self.end_current().or(self.secondary)?;
        let knee = self.drive.as_ref().and_then(Drive::knee_current);
        knee.into_iter().chain([own]).reduce(f64::max)
    }

    /// Most current through the winding while it is driven, ampere: what it carries in service, or what
    /// ends the curve where that is more; common practice, no source.
    pub fn most_current(&self) -> Option<f64> {
        let all = self.secondary.into_iter().chain(self.stop_current());
        all.reduce(f64::max)
    }

    /// Whether the plate's resistance of a pair is a limit: by the class, or by a row of the tap table.
    fn is_resistance_limit(&self, (from, to): (u8, u8)) -> bool {
        let of_tap = self.core.tap(from, to);
        let in_taps = of_tap.is_some_and(|tap| tap.resistance.value().is_some());
        let pair = Pair {
            core: self.index,
            from,
            to,
        };
        let class = self.core.class_of(pair);
        let by_class = class.is_some_and(Class::limits_resistance);
        in_taps || by_class
    }

    /// The plate's resistance of a pair in words: `at most` where it is a limit.
    pub fn limited_resistance(&self, pair: (u8, u8), text: String) -> String {
        match self.is_resistance_limit(pair) {
            true => format!("at most {text}"),
            false => text,
        }
    }

    /// Resistance of a pair by the plate at `celsius`, ohm.
    pub fn resistance(&self, pair: (u8, u8), celsius: f64) -> Option<f64> {
        let (ohm, at) = self.stated_resistance(pair)?;
        expected::resistance_at(ohm, at, celsius, self.metal?.k)
    }

    /// The same as stated, ohm, with its temperature, °C: the core's for the full winding, the tap's own
    /// where the plate has one.
    pub fn stated_resistance(&self, pair: (u8, u8)) -> Option<(f64, f64)> {
        let tap = self.core.tap(pair.0, pair.1);
        let tap = tap.and_then(|tap| tap.resistance.value());
        let tap = tap.zip(conductor::reference());
        let full = self.core.resistance.value();
        let full = full.filter(|_| pair == self.full());
        tap.map(|(at, reference)| (at.si, reference.limit))
            .or(full.map(|at| (at.value.si, at.at.si)))
    }

    /// Rated primary current of the full winding as the cable is laid, of a summation CT through all inputs in
    /// series, ampere.
    pub fn rated_primary(&self) -> Option<f64> {
        let ratio = self.core.full_ratio()?;
        let series = (!self.core.inputs.is_empty()).then_some(Fed::All);
        Some(ratio.primary * self.core.input_factor(series)? / self.passes)
    }

    /// `class 5P20, 600/1, 15 VA`
    pub fn summary(&self) -> String {
        let class = self.core.class.value();
        let class = class.map(|class| format!("class {}", class.text()));
        let ratio = self.core.full_ratio().map(Ratio::text);
        let purpose = self.core.service.value().map(ToString::to_string);
        joined([class, ratio, self.burden_text(), purpose], ", ")
    }

    /// The rated burden as the plate has it.
    pub fn burden_text(&self) -> Option<String> {
        burden_of(self.core).map(burden_text)
    }

    /// Largest and, for a measuring class, smallest burden of the class, volt-ampere.
    pub fn burden_range(&self) -> Option<(f64, Option<f64>)> {
        let va = self.load?.ohm * self.secondary? * self.secondary?;
        let stated = match burden_of(self.core) {
            Some(Burden::Range { least, .. }) => Some(*least),
            _ => None,
        };
        let least = match self.core.class.value()? {
            Class::Measuring { name, .. } => {
                let class = standards::measuring(name);
                class.map(|class| class.burdens(va, stated).0)
            }
            _ => stated,
        };
        Some((va, least))
    }

    /// The burdens that a class is tested with by current: the rated one, of a measuring class the lowest
    /// one too. Volt-ampere, ohm, power factor.
    pub fn test_burdens(&self) -> Vec<(&'static str, f64, Load)> {
        let Some(((va, least), (load, isr))) =
            self.burden_range().zip(self.load.zip(self.secondary))
        else {
            return Vec::new();
        };
        let lowest = least.filter(|least| *least < va).map(|least| {
            let usual = |va| standards::power_factor(BurdenKind::Measuring, va).map(|one| one.0);
            // The plate's holds, except where the standard asks for another one at a small burden.
            let other = usual(least).filter(|factor| usual(va) != Some(*factor));
            let power_factor = other.unwrap_or(load.power_factor);
            let ohm = least / (isr * isr);
            ("lowest", least, Load { ohm, power_factor })
        });
        std::iter::once(("rated", va, load)).chain(lowest).collect()
    }
}

/// A burden as a plate has it.
pub fn burden_text(burden: &Burden) -> String {
    match burden {
        Burden::Power {
            va: size,
            power_factor,
        }
        | Burden::Impedance {
            ohm: size,
            power_factor,
        } => {
            let factor = say::told(*power_factor, |factor| format!(" at {factor:.2}"));
            format!("{}{factor}", size.written())
        }
        Burden::Range { least, va } => format!("{least}-{}", va.written()),
        Burden::Designation(name) => name.clone(),
        Burden::Connected => "connected".to_owned(),
        Burden::Shorted => "shorted".to_owned(),
    }
}

/// The burden of the core, or of its full winding's row in the tap table.
fn burden_of(core: &Core) -> Option<&Burden> {
    core.burden
        .value()
        .or_else(|| core.full_tap().and_then(|tap| tap.burden.value()))
}

fn load(core: &Core, isr: f64) -> Option<Load> {
    let class = core.class.value()?;
    let (ohm, power_factor) = match (burden_of(core), class) {
        (Some(Burden::Power { va, power_factor }), _) => {
            let factor = power_factor.or_else(|| usual_power_factor(class, va.si))?;
            (va.si / (isr * isr), factor)
        }
        (Some(Burden::Range { va, .. }), _) => {
            (va.si / (isr * isr), usual_power_factor(class, va.si)?)
        }
        // A plate gives an impedance for classes whose burden is a resistance.
        (Some(Burden::Impedance { ohm, power_factor }), _) => (ohm.si, power_factor.unwrap_or(1.0)),
        (Some(Burden::Designation(name)), _) => return designated(name, isr),
        (
            None,
            Class::IeeeMetering {
                burden: Some(name), ..
            },
        ) => return designated(name, isr),
        (_, Class::IeeeRelay { volts, .. }) => {
            return designated(&standards::ieee_relay(*volts)?.burden, isr);
        }
        _ => return None,
    };
    Some(Load { ohm, power_factor })
}

fn designated(name: &str, isr: f64) -> Option<Load> {
    let burden = standards::ieee_burden(name)?.at_secondary(isr)?;
    Some(Load {
        ohm: burden.z_ohm,
        power_factor: burden.pf,
    })
}

/// Power factor of a rated burden in volt-ampere where the plate does not say.
fn usual_power_factor(class: &Class, va: f64) -> Option<f64> {
    let kind = match class {
        Class::Protection {
            low_remanence: true,
            ..
        } => BurdenKind::Pr,
        Class::Protection { .. } => BurdenKind::P,
        Class::Measuring { .. } => BurdenKind::Measuring,
        _ => return Some(1.0),
    };
    standards::power_factor(kind, va).map(|(factor, _)| factor)
}

fn rated<'a>(
    core: &'a Core,
    secondary: f64,
    burden: Option<Load>,
    metal: Option<&ConductorConstant>,
) -> Option<Rated<'a>> {
    let full = core.full_tap();
    let of_tap = full.and_then(|tap| tap.class.value());
    let class = core.class.value().or(of_tap)?;
    let of_tap = full.and_then(|tap| tap.knee.value());
    let knee = core.knee.value().or(of_tap).map(|knee| knee.si);
    // Of several limits of the exciting current, the one stated at the knee itself.
    let mut stated = core.exciting.iter();
    let at_knee =
        stated.find(|at| knee.is_some_and(|knee| (at.value.at.si / knee - 1.0).abs() < 0.01));
    let of_tap = full.and_then(|tap| tap.exciting.value());
    let exciting = at_knee.map(|at| &at.value.value).or(of_tap);
    let own = core.resistance.value().and_then(|at| {
        let reference = conductor::reference()?.limit;
        expected::resistance_at(at.value.si, at.at.si, reference, metal?.k)
    });
    let of_tap = full.and_then(|tap| tap.resistance.value());
    let (kssc, ktd) = (core.kssc.value(), core.ktd.value());
    Some(Rated {
        class,
        secondary,
        resistance: own.or(of_tap.map(|at| at.si)),
        burden,
        knee,
        exciting: exciting.map(|limit| limit.si),
        transient: kssc.copied().zip(ktd.copied()),
    })
}
