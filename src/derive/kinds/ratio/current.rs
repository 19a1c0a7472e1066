//! Errors by current: two currents compared, or a comparator's reading.

use super::formulas::{COMPARED, CURRENT_ERROR, PERCENT, RCF, TCF};
use super::{Measured, Point, Run, Unread, WhyUnread, burden, exact, ratio_span};
use crate::derive::case::Case;
use crate::derive::input;
use crate::derive::kinds::Derived;
use crate::derive::workings::{Origin, Part, Value, Workings};
use crate::ground::quantity::Reading;
use crate::record::kinds::Test;
use crate::record::kinds::ratio::{On, RatioRow};
use crate::record::readings::Measure;
use crate::standards::{Family, angle_constant};
use crate::trade::{Class, Pair};

/// What the rows of a section share.
struct Place<'a> {
    case: &'a Case<'a>,
    test: &'a Test,
    ieee: bool,
}

pub(super) fn derive(
    case: &Case<'_>,
    w: &mut Workings,
    derived: &Derived,
    index: usize,
    found: &mut Measured,
) {
    let Some(test) = case.visit.tests.get(index) else {
        return;
    };
    let Some(body) = test.ratio() else {
        return;
    };
    let mut runs: Vec<Run> = Vec::new();
    for (n, row) in body.rows.iter().enumerate() {
        let head = test.pair.map(|pair| pair.value.ascending());
        let pair = match row.on.map(|on| on.value) {
            Some(On::Pair(pair)) => Some(pair.ascending()),
            Some(On::Primary) | None => head,
        };
        let Some(pair) = pair else {
            found.unread.push(Unread {
                test: index,
                pair,
                why: WhyUnread::Driven,
                row: row.span,
            });
            continue;
        };
        let ieee = case.record.plate.family() == Family::Ieee
            || matches!(
                case.core(pair).and_then(|core| core.class_of(pair)),
                Some(Class::IeeeMetering { .. })
            );
        let place = Place { case, test, ieee };
        match place.point(w, row, pair, n + 1) {
            Ok(None) => {}
            Ok(Some(point)) => match runs.iter_mut().find(|run| run.pair == pair) {
                Some(run) => run.points.push(point),
                None => {
                    let burden = burden::of(case, derived, body, pair);
                    runs.push(Run {
                        test: index,
                        pair,
                        burden,
                        points: vec![point],
                        doubtful: test.doubtful,
                    });
                }
            },
            Err(why) => found.unread.push(Unread {
                test: index,
                pair: Some(pair),
                why,
                row: row.span,
            }),
        }
    }
    found.runs.append(&mut runs);
}

impl Place<'_> {
    fn point(
        &self,
        w: &mut Workings,
        row: &RatioRow,
        pair: Pair,
        n: usize,
    ) -> Result<Option<Point>, WhyUnread> {
        let (case, test) = (self.case, self.test);
        let (primary, secondary) = (exact(&row.primary)?, exact(&row.secondary)?);
        let (read, phase, rated) = (exact(&row.error)?, exact(&row.phase)?, exact(&row.rated)?);
        let what = format!("primary current, row {n}");
        let primary = primary.map(|reading| {
            input::reading_on(
                w,
                case,
                test,
                (Measure::Current, "second circuit"),
                what,
                reading,
            )
        });
        let percent = match (rated, primary) {
            (Some(rated), _) => rated.value.si,
            (None, Some(primary)) => self.percent(w, primary, pair).ok_or(WhyUnread::NoRatio)?,
            (None, None) if read.is_none() && phase.is_none() && secondary.is_none() => {
                return Ok(None);
            }
            (None, None) => return Err(WhyUnread::NoPrimary),
        };
        let error = match (read, secondary, primary) {
            (Some(read), ..) => self.compared(
                w,
                Measure::RatioError,
                format!("ratio error, row {n}"),
                read,
            ),
            (None, Some(secondary), Some(primary)) => {
                let secondary = input::reading(
                    w,
                    case,
                    test,
                    Measure::Current,
                    format!("secondary current, row {n}"),
                    secondary,
                );
                Some(
                    self.error(w, primary, secondary, pair)
                        .ok_or(WhyUnread::NoRatio)?,
                )
            }
            (None, Some(_), None) => return Err(WhyUnread::NoPrimary),
            (None, None, _) => None,
        };
        let in_centiradians = phase.is_some_and(|phase| phase.value.unit.canonical == "crad");
        let phase = phase.and_then(|phase| {
            self.compared(
                w,
                Measure::Phase,
                format!("phase displacement, row {n}"),
                phase,
            )
        });
        if error.is_none() && phase.is_none() {
            return Ok(None);
        }
        let rcf = if self.ieee {
            error.and_then(|error| w.step(&RCF, [error]))
        } else {
            None
        };
        let tcf = rcf.zip(phase).and_then(|(rcf, phase)| {
            let row = angle_constant()?;
            let what = "minutes of arc that change the factor by one";
            let minutes = input::cited(w, what, "", row.limit, &row.cited);
            w.step(&TCF, [rcf, phase, minutes])
        });
        Ok(Some(Point {
            percent,
            error,
            compared: read.is_some(),
            phase,
            in_centiradians,
            rcf,
            tcf,
            row: row.span,
        }))
    }

    fn percent(&self, w: &mut Workings, primary: Value, pair: Pair) -> Option<f64> {
        let core = self.case.core(pair)?;
        let rated = self.case.rated_primary(pair).filter(|rated| *rated > 0.0)?;
        let rated = input::plate_number(
            w,
            "rated primary current as connected",
            "A",
            rated,
            ratio_span(core, pair),
        );
        w.step(&PERCENT, [primary, rated]).map(|percent| percent.si)
    }

    fn error(
        &self,
        w: &mut Workings,
        primary: Value,
        secondary: Value,
        pair: Pair,
    ) -> Option<Value> {
        let core = self.case.core(pair)?;
        let ratio = self.case.ratio(pair).filter(|ratio| *ratio > 0.0)?;
        let ratio = input::plate_number(
            w,
            "rated ratio as connected",
            "",
            ratio,
            ratio_span(core, pair),
        );
        w.step(&CURRENT_ERROR, [ratio, secondary, primary])
    }

    /// A comparator's reading, with the error of the standard when one is named. A standard without
    /// data leaves the uncertainty unknown.
    fn compared(
        &self,
        w: &mut Workings,
        measure: Measure,
        what: String,
        reading: &Reading,
    ) -> Option<Value> {
        let shown = input::reading(w, self.case, self.test, measure, what, reading);
        if self
            .test
            .reference
            .get()
            .or(self.case.visit.reference.get())
            .is_none()
        {
            return Some(shown);
        }
        let span = self
            .test
            .reference
            .span()
            .or(self.case.visit.reference.span())
            .unwrap_or(reading.span);
        let reference = self.case.reference(self.test);
        let function =
            reference.and_then(|reference| reference.function(measure, self.test.kind.name(), 0.0));
        let parts = match (reference, function) {
            (Some(reference), Some(function)) => {
                let component = w.shared(format!("{} {}", reference.id, measure.word()));
                vec![Part {
                    component,
                    u: function.standard(function.limit_of_error(0.0)),
                }]
            }
            _ => Vec::new(),
        };
        let unit = input::si_unit(&reading.value);
        let standard = w.reading(
            "error of the standard",
            unit,
            0.0,
            Origin::Reading { span },
            &parts,
        );
        w.step(&COMPARED, [shown, standard])
    }
}
