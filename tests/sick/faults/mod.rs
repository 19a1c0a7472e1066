//! Illnesses of known cause: one short function for each, which changes the CT, the connection, the
//! instrument or the paper of a healthy case. How grave each is, is drawn from a range that runs
//! from invisible to gross (common practice, no source, where no physics is named).

pub mod batch;
mod connection;
mod copper;
mod flux;
mod identity;
mod instrument;
mod network;
mod paper;
mod walls;

use super::dice::Dice;
use super::job::Case;
use super::sheet::{Kind, differ};

/// Where a planted fault sits, and how grave it is in its own measure.
#[derive(Clone, Debug)]
pub struct Seat {
    pub record: usize,
    /// None: all cores, or the primary.
    pub core: Option<usize>,
    pub severity: f64,
    /// Whether it can be seen although no reading differs: a plate or a field that contradicts readings.
    pub on_paper: bool,
}

impl Seat {
    fn at(record: usize, core: impl Into<Option<usize>>, severity: f64) -> Option<Self> {
        Some(Self {
            record,
            core: core.into(),
            severity,
            on_paper: false,
        })
    }

    /// A contradiction between paper and readings, seen from so large on.
    fn on_paper(self, seen: bool) -> Option<Self> {
        Some(Self {
            on_paper: seen,
            ..self
        })
    }
}

/// Plants a fault in a case; none where the case has no room for it.
pub type Plant = fn(&mut Case, &mut Dice) -> Option<Seat>;

pub const FAULTS: &[(&str, Plant)] = &[
    ("another-tap", connection::another_tap),
    ("taps-exchanged", connection::taps_exchanged),
    ("cores-exchanged", connection::cores_exchanged),
    ("secondary-reversed", connection::secondary_reversed),
    ("primary-reversed", connection::primary_reversed),
    ("primary-links", connection::primary_links),
    ("passes", connection::passes),
    ("shorting-link", connection::shorting_link),
    ("burden-on", connection::burden_on),
    ("other-core-open", connection::other_core_open),
    ("records-exchanged", identity::records_exchanged),
    ("copied-table", identity::copied_table),
    ("plate-value", identity::plate_value),
    ("plate-frequency", identity::plate_frequency),
    ("primary-loop", flux::primary_loop),
    ("shorted-turn", flux::shorted_turn),
    ("residual-magnetism", flux::residual_magnetism),
    ("knee-aged", flux::knee_aged),
    ("ratio-saturated", flux::ratio_saturated),
    ("joint", copper::joint),
    ("joint-aged", copper::joint_aged),
    ("clip", copper::clip),
    ("unsettled", copper::unsettled),
    ("heating", copper::heating),
    ("leads-not-subtracted", copper::leads_not_subtracted),
    ("leads-twice", copper::leads_twice),
    ("temperature-wrong", copper::temperature_wrong),
    ("temperature-missing", copper::temperature_missing),
    ("already-at-75", copper::already_at_75),
    ("wet", walls::wet),
    ("surface", walls::surface),
    ("test-lead", walls::test_lead),
    ("earth-left-on", walls::earth_left_on),
    ("second-earth", walls::second_earth),
    ("voltmeter-mean", instrument::voltmeter_mean),
    ("voltmeter-peak", instrument::voltmeter_peak),
    ("voltmeter-rms", instrument::voltmeter_rms),
    ("source-frequency", instrument::source_frequency),
    ("pick-up", instrument::pick_up),
    ("burden-open", network::burden_open),
    ("burden-shorted", network::burden_shorted),
    ("burden-over", network::burden_over),
    ("burden-phase-phase", network::burden_phase_phase),
    ("star-point", network::star_point),
    ("decimal-slip", paper::decimal_slip),
    ("digits-exchanged", paper::digits_exchanged),
    ("columns-exchanged", paper::columns_exchanged),
    ("unit-slip", paper::unit_slip),
];

/// A planted case.
pub struct Planted {
    pub healthy: Case,
    pub sick: Case,
    pub seats: Vec<Seat>,
    pub visible: bool,
}

/// The first case from a seed on that has room for the faults.
pub fn plant(ids: &[&str], number: usize) -> Planted {
    let name = ids.join(" and ");
    for attempt in 0..400 {
        let seed = format!("{name} {number}.{attempt}");
        let mut sick = Case::new(&seed);
        let mut dice = Dice::of(&format!("{seed}/fault"));
        let seats: Option<Vec<Seat>> = ids
            .iter()
            .map(|id| {
                let plant = FAULTS.iter().find(|fault| fault.0 == *id)?.1;
                plant(&mut sick, &mut dice)
            })
            .collect();
        if let Some(seats) = seats {
            let healthy = Case::new(&seed);
            let (a, b) = (healthy.sheets(), sick.sheets());
            let visible = seats
                .iter()
                .any(|seat| seat.on_paper || differ(&a[seat.record], &b[seat.record]));
            return Planted {
                healthy,
                sick,
                seats,
                visible,
            };
        }
    }
    panic!("no case has room for {name}");
}

/// A record, and a core of it that is tested in this way at the last visit.
fn tested(case: &mut Case, dice: &mut Dice, kind: Kind) -> Option<(usize, usize)> {
    let record = dice.below(case.records.len());
    let bench = case.last(record);
    let cores: Vec<usize> = (0..bench.places.len())
        .filter(|core| bench.does(*core, kind))
        .collect();
    (!cores.is_empty()).then(|| (record, dice.pick(&cores)))
}
