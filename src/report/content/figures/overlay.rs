//! The excitation curves of several CTs on one small chart, for the page of a bay.

use super::excitation::taken_on;
use super::{Kind, Unit, asked, line, mark};
use crate::chart::{Chart, Curve, Marks, Pen, Points, Shape};
use crate::compare::Sister;
use crate::derive::kinds::excitation::Excited;
use crate::document::{Figure, NumberStyle, Picture};
use crate::judge::Assessment;
use crate::record::Record;
use crate::record::criteria::Criteria;

/// A CT of an overlaid chart.
#[derive(Clone, Copy, Debug)]
pub struct Overlay<'a> {
    /// What its curve is called: its phase.
    pub label: &'a str,
    pub record: &'a Record,
    pub assessment: &'a Assessment,
    /// The visits that answer together, oldest first.
    pub visits: &'a [usize],
    /// The core of this record.
    pub core: usize,
}

/// Told apart in grey by dash and mark.
const PENS: [Pen; 4] = [Pen::Main, Pen::Second, Pen::Third, Pen::Fourth];

/// The excitation curves of like cores on one chart, with their knees and what is asked of them; on the
/// axes that the charts of these CTs have in their own reports. `None` where no core has a curve.
pub fn overlaid(key: &str, units: &[Overlay<'_>], pen: NumberStyle) -> Option<Figure> {
    let (first, others) = units.split_first()?;
    let criteria = Criteria::default();
    let sisters = others.iter().map(|other| Sister {
        id: other.label.to_owned(),
        place: String::new(),
        record: other.record,
        assessment: other.assessment,
        apart: None,
    });
    let sisters: Vec<Sister<'_>> = sisters.collect();
    let all = unit(first, &sisters, &criteria, pen);
    let amperes = all.amperes();
    let (mut curves, mut ends, mut told) = (Vec::<Curve>::new(), Vec::new(), Vec::new());
    let mut asked = Vec::new();
    let mut knees: Vec<(String, (f64, f64))> = Vec::new();
    for (of, colour) in units.iter().zip(PENS.into_iter().cycle()) {
        let unit = unit(of, &[], &criteria, pen);
        let Some((visit, excited)) = latest(of) else {
            continue;
        };
        let Some(curve) = &excited.curve else {
            continue;
        };
        let points = amperes.interpolated(curve);
        if let Some(end) = points.last() {
            ends.push(mark(of.label, String::new(), *end, Shape::Bare, colour));
        }
        curves.push(line(of.label, colour, points, Marks::Along));
        told.push(match unit.knee(excited) {
            Some((knee, _)) => {
                let said = format!("{}: {} at {}", of.label, knee.label, knee.value);
                knees.push((knee.label, knee.at));
                said
            }
            None => format!("{}: no knee within the readings", of.label),
        });
        let derived = &of.assessment.visits.get(visit)?.derived;
        let Some(case) = unit.case(visit) else {
            continue;
        };
        let wanted = asked::of_pair(&case, derived, excited.pair.ascending());
        asked::join(&mut asked, wanted);
    }
    if curves.is_empty() {
        return None;
    }
    let core = first.record.cores.get(first.core)?;
    let title = format!("Excitation characteristic, core {}", core.name);
    if let Some((name, _)) = knees.first() {
        let points = knees.iter().map(|(_, at)| *at).collect();
        let rings = Marks::At(Shape::Ring, points);
        curves.push(line(name, Pen::Point, Points::new(), rings));
    }
    let (limits, marks) = all.limits(&asked, amperes);
    ends.extend(marks);
    let chart = Chart {
        title: title.clone(),
        description: format!("{}.", told.join("; ")),
        axes: all.axes(&core.name),
        curves,
        bands: Vec::new(),
        limits,
        marks: ends,
        notes: Vec::new(),
    };
    let instead = format!("Chart: {title}. {}", chart.description);
    Some(Figure {
        key: format!("{key}-{}", Kind::Excitation.name()),
        picture: Picture {
            element: chart.svg(key),
            ..Picture::default()
        },
        instead: instead.into(),
    })
}

fn unit<'a>(
    of: &Overlay<'a>,
    sisters: &'a [Sister<'a>],
    criteria: &'a Criteria,
    pen: NumberStyle,
) -> Unit<'a> {
    Unit {
        record: of.record,
        assessment: of.assessment,
        sisters,
        instruments: None,
        criteria,
        pen,
    }
}

/// The latest curve of a core among the visits: on the pair in service, else the one worked last.
fn latest<'a>(of: &Overlay<'a>) -> Option<(usize, &'a Excited)> {
    let newest = of.visits.iter().rev();
    let mut found = newest.filter_map(|index| {
        let visit = of.record.visits.get(*index)?;
        let derived = &of.assessment.visits.get(*index)?.derived;
        let served = of.record.pair_in_service(of.core, visit);
        let on_served = served.and_then(|pair| taken_on(derived, pair.ascending()));
        let own = derived.excitation.iter().rev();
        let mut own = own.filter(|excited| excited.pair.core == of.core && excited.curve.is_some());
        Some((*index, on_served.or_else(|| own.next())?))
    });
    found.next()
}
