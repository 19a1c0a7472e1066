//! A finding beside the same of earlier visits: what changed, by how much and how surely; and the line through
//! three occasions or more, with the day on which it meets the finding's own limit.

use crate::derive::history::{By, Line};
use crate::derive::outcome::Side;
use crate::derive::workings::{Value, Workings};
use crate::ground::date::{Date, days};
use crate::judge::Assessment;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::insulation::INSULATION_RESISTANCE;
use crate::judge::rules::resistance::WINDING_RESISTANCE;
use crate::judge::verdict::coverage_factor;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::kinds::TestKind;
use crate::record::occasion::occasions;
use crate::standards::threshold;
use crate::trade::Purpose;

/// What earlier visits say of a finding.
#[derive(Clone, Debug, Default)]
pub struct History<'a> {
    /// From a visit whose purpose is `factory`.
    pub factory: Option<Past<'a>>,
    /// From the last earlier visit that has it and is not the maker's.
    pub last: Option<Past<'a>>,
    pub drift: Option<Drift>,
}

/// The same value at an earlier visit.
#[derive(Clone, Debug)]
pub struct Past<'a> {
    pub visit: usize,
    pub finding: &'a Finding,
    /// From then to the finding; `None` where the two cannot be compared.
    pub change: Option<Change>,
}

/// From one visit to a later one.
#[derive(Clone, Copy, Debug)]
pub struct Change {
    pub by: By,
    /// On which side of `size` it is, where a reading was beyond its instrument.
    pub side: Side,
    /// By `by`: in the SI unit of the value, in per cent, or as the logarithm of a multiple.
    pub size: f64,
    /// Expanded uncertainty of `size`; `None` where that of a reading is not known.
    pub u: Option<f64>,
}

impl Change {
    /// Whether there is one beyond its uncertainty; `None` where this is not known, so that nothing is called
    /// a change.
    pub fn is_shown(&self) -> Option<bool> {
        let u = self.u?;
        Some(match self.side {
            Side::Known => self.size.abs() > u,
            Side::AtLeast => self.size > u,
            Side::AtMost => self.size < -u,
        })
    }
}

/// A straight line through the readings of three occasions or more, whose slope is beyond its uncertainty.
#[derive(Clone, Debug)]
pub struct Drift {
    pub by: By,
    /// The visits with their values, oldest first.
    pub readings: Vec<(usize, Value)>,
    /// Over the years since the first of them, in the SI unit of the value, or of its logarithm.
    pub line: Line,
    /// Expanded uncertainty of its slope a year.
    pub u: f64,
    /// The limit that it leads to, in the measure of the line.
    pub target: Option<f64>,
    /// When the line meets it.
    pub limit: Option<Reached>,
}

/// The year in which a line meets a limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reached {
    pub year: i32,
    /// By the steepest and the flattest slope within the uncertainty.
    pub from: i32,
    pub to: i32,
}

/// What earlier visits say of a finding of visit `visit`.
pub fn history<'a>(
    record: &Record,
    assessment: &'a Assessment,
    criteria: &Criteria,
    visit: usize,
    finding: &Finding,
) -> History<'a> {
    let w = &assessment.workings;
    let earlier = |factory: bool| {
        let visits = record.visits.iter().zip(&assessment.visits).enumerate();
        let mut before = visits.take(visit).collect::<Vec<_>>().into_iter().rev();
        before.find_map(|(at, (of, assessed))| {
            let own = (of.purpose() == Purpose::Factory) == factory && !of.as_found();
            let same = own.then(|| same(finding, &assessed.findings)).flatten()?;
            Some(Past {
                visit: at,
                finding: same,
                change: change(w, criteria, (same, finding), false),
            })
        })
    };
    History {
        factory: earlier(true),
        last: earlier(false),
        drift: drift(record, assessment, criteria, visit, finding),
    }
}

/// The same among the findings of another visit, where it has a number.
fn same<'a>(finding: &Finding, among: &'a [Finding]) -> Option<&'a Finding> {
    let mut all = among.iter();
    all.find(|other| finding.is_same(other) && sided(other).is_some())
}

fn sided(finding: &Finding) -> Option<(Side, Value)> {
    let sided = finding.found.and_then(|found| found.sided());
    sided.filter(|(_, value)| value.si.is_finite())
}

/// By what two findings of this kind are compared; `None` where the value is the tester's choice and not the
/// transformer's, was not taken to one temperature, which of one day it need not be, or is in doubt.
fn by(finding: &Finding, same_day: bool) -> Option<By> {
    let is_sound = finding.withheld.is_none() && !matches!(finding.verdict, Verdict::NotJudged(_));
    let corrected = |one: &Condition| matches!(one, Condition::CorrectedTo(_));
    let at_one_temperature = || same_day || finding.conditions.iter().any(corrected);
    let share = [
        unit::PERCENT,
        unit::MINUTE_OF_ARC,
        unit::CENTIRADIAN,
        unit::DEGREE,
    ];
    let by = match finding.rule.kind {
        TestKind::Insulation => {
            let is_value = finding.rule == &INSULATION_RESISTANCE && at_one_temperature();
            is_value.then_some(By::Times)?
        }
        TestKind::PrimaryResistance => at_one_temperature().then_some(By::Percent)?,
        TestKind::Resistance if finding.rule == &WINDING_RESISTANCE => {
            at_one_temperature().then_some(By::Percent)?
        }
        TestKind::Resistance
        | TestKind::PartialDischarge
        | TestKind::DissipationFactor
        | TestKind::Excitation
        | TestKind::Remanence
        | TestKind::Ratio
        | TestKind::Polarity
        | TestKind::Burden => match share.contains(&finding.unit) {
            true => By::Difference,
            false => By::Percent,
        },
        TestKind::Inspection
        | TestKind::State
        | TestKind::SelfCheck
        | TestKind::Withstand
        | TestKind::InterTurn
        | TestKind::TypeTest
        | TestKind::Demagnetisation
        | TestKind::Continuity
        | TestKind::SingleEarth
        | TestKind::TestLinks
        | TestKind::RatioSetting
        | TestKind::Injection
        | TestKind::Load
        | TestKind::Stability
        | TestKind::Restored => return None,
    };
    let (_, value) = sided(finding)?;
    (is_sound && (by == By::Difference || value.si > 0.0)).then_some(by)
}

pub(super) fn change(
    w: &Workings,
    criteria: &Criteria,
    (earlier, later): (&Finding, &Finding),
    same_day: bool,
) -> Option<Change> {
    let by = by(later, same_day).filter(|own| by(earlier, same_day) == Some(*own))?;
    let (side, later, earlier) = later.found?.over(&earlier.found?)?;
    let (size, uncertainty) = by.change(w, earlier, later)?;
    let u = coverage_factor(criteria, &uncertainty) * uncertainty.u;
    let u = Some(u).filter(|u| uncertainty.known && u.is_finite());
    Some(Change { by, side, size, u })
}

/// A line where three occasions have it. Where one of them was beyond its instrument there is none: what is left
/// of the readings would be chosen by their size.
fn drift(
    record: &Record,
    assessment: &Assessment,
    criteria: &Criteria,
    visit: usize,
    finding: &Finding,
) -> Option<Drift> {
    if record.visits.len() < 3 {
        return None;
    }
    let (w, by) = (&assessment.workings, by(finding, false)?);
    let on = |visit: usize| record.visits.get(visit).map(|visit| visit.date.value);
    let mut readings = Vec::new();
    for occasion in occasions(record) {
        // A repeat of one occasion takes the place of what it repeats.
        let until = occasion.into_iter().rev().filter(|at| *at <= visit);
        let mut read = until.filter_map(|at| {
            let assessed = assessment.visits.get(at)?;
            let same = same(finding, &assessed.findings)?;
            (self::by(same, false) == Some(by)).then_some((at, same))
        });
        if let Some((at, same)) = read.next() {
            let value = same.known()?;
            // What nobody knows the weight of says nothing of a line: a certificate without its instrument.
            let weighs = w.uncertainty(value).known;
            readings.extend(weighs.then_some((at, value)));
        }
    }
    let (first, last) = (on(readings.first()?.0)?, on(readings.last()?.0)?);
    let timed = |(at, value): &(usize, Value)| Some((years(first, on(*at)?), *value));
    let timed: Vec<(f64, Value)> = readings.iter().filter_map(timed).collect();
    // Without its own reading nothing of it is told.
    let (_, own) = sided(finding)?;
    if readings.last().map(|(_, value)| value.step) != Some(own.step) {
        return None;
    }
    let (line, spread) = by.line(w, &timed)?;
    let u = coverage_factor(criteria, &spread) * spread.u;
    if !u.is_finite() || line.slope.abs() <= u {
        return None;
    }
    let now = by.measured(readings.last()?.1.si);
    let against = finding.against.as_ref();
    let target = against.and_then(|against| target(by, against, line.slope));
    let ahead = target.filter(|target| (target - now) * line.slope > 0.0);
    let limit = ahead.and_then(|target| {
        let fastest = u.copysign(line.slope);
        let at = |slope: f64| line.reaches(target, slope).max(years(first, last));
        let horizon = threshold("drift-horizon")?.limit;
        let when = at(line.slope);
        let year = |when: f64| {
            // Far beyond any calendar it stays there.
            (in_years(first) + when).clamp(0.0, 9999.0) as i32
        };
        (when - years(first, last) <= horizon).then(|| Reached {
            year: year(when),
            from: year(at(line.slope + fastest)),
            to: year(at(line.slope - fastest)),
        })
    });
    Some(Drift {
        by,
        readings,
        line,
        u,
        target: ahead,
        limit,
    })
}

/// The limit that a slope leads to.
fn target(by: By, against: &Against, slope: f64) -> Option<f64> {
    let requirement = &against.requirement;
    let limit = match slope > 0.0 {
        true => requirement.upper,
        false if against.magnitude => requirement.upper.map(|upper| -upper),
        false => requirement.lower,
    };
    limit
        .map(|limit| by.measured(limit))
        .filter(|limit| limit.is_finite())
}

/// A day as a number of years: `2019.5`.
pub fn in_years(day: Date) -> f64 {
    f64::from(day.year()) + f64::from(day.day_of_year()) / 366.0
}

fn years(from: Date, to: Date) -> f64 {
    f64::from(days(from, to)) / 365.25
}
