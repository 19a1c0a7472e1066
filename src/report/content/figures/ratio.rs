//! Ratio error and phase displacement over the current, or the parallelogram of an IEEE class.

use super::{Ctx, Drawing};
use crate::derive::case::Case;
use crate::derive::kinds::ratio::{Burdened, Point, Run};
use crate::judge::finding::unit::MINUTE_OF_ARC;
use crate::record::class::Class;
use crate::record::kinds::TestKind;
use crate::record::value::Pair;
use crate::report::curves::{ErrorKind, Parallelogram, RatioErrors, Role, Series};
use crate::standards::{ieee_metering, measuring, protection};

type Points = Vec<(f64, f64)>;

impl Ctx<'_> {
    /// The charts of every pair of a core that was measured by current.
    pub(super) fn ratio_charts(&self, case: &Case<'_>, core: usize) -> Vec<(TestKind, Drawing)> {
        let Some(assessed) = self.assessment.visits.get(case.index) else {
            return Vec::new();
        };
        let runs: Vec<&Run> = assessed
            .derived
            .ratio
            .runs
            .iter()
            .filter(|run| run.pair.core == core)
            .collect();
        let mut pairs: Vec<Pair> = runs.iter().map(|run| run.pair).collect();
        pairs.sort_unstable();
        pairs.dedup();
        let mut drawn = Vec::new();
        for pair in pairs {
            let own: Vec<&Run> = runs
                .iter()
                .copied()
                .filter(|run| run.pair == pair)
                .collect();
            drawn.extend(
                self.pair_charts(case, pair, &own)
                    .into_iter()
                    .map(|drawing| (TestKind::Ratio, drawing)),
            );
        }
        drawn
    }

    fn pair_charts(&self, case: &Case<'_>, pair: Pair, runs: &[&Run]) -> Vec<Drawing> {
        let class = case.core(pair).and_then(|core| core.class_of(pair));
        if let Some(Class::IeeeMetering { name, .. }) = class {
            return self.parallelogram(pair, name, runs).into_iter().collect();
        }
        let both = [ErrorKind::Ratio, ErrorKind::Phase];
        both.into_iter()
            .filter_map(|quantity| self.errors(pair, class, runs, quantity))
            .collect()
    }

    fn errors(
        &self,
        pair: Pair,
        class: Option<&Class>,
        runs: &[&Run],
        quantity: ErrorKind,
    ) -> Option<Drawing> {
        let value = |point: &Point| match quantity {
            ErrorKind::Ratio => point.error.map(|error| error.si),
            ErrorKind::Phase => point.phase.map(|phase| phase.si * MINUTE_OF_ARC.per_si),
        };
        let series = |run: &&Run| Series {
            name: self.burdened(&run.burden),
            points: run
                .points
                .iter()
                .filter_map(|point| Some((point.percent, value(point)?)))
                .collect(),
            role: Role::This,
        };
        let drawn: Vec<Series> = runs
            .iter()
            .map(series)
            .filter(|series| !series.points.is_empty())
            .collect();
        if drawn.is_empty() {
            return None;
        }
        let name = match quantity {
            ErrorKind::Ratio => "Ratio error",
            ErrorKind::Phase => "Phase displacement",
        };
        let of_class = class
            .map(|class| format!(", class {}", class.text()))
            .unwrap_or_default();
        let count: usize = drawn.iter().map(|series| series.points.len()).sum();
        Some(Drawing::Ratio(RatioErrors {
            title: format!("{name}, {}{of_class}", self.core_pair(pair)),
            description: format!(
                "{count} values with {} burdens over the primary current.",
                drawn.len()
            ),
            envelope: class
                .map(|class| envelope(class, quantity))
                .unwrap_or_default(),
            runs: drawn,
            quantity,
        }))
    }

    fn parallelogram(&self, pair: Pair, name: &str, runs: &[&Run]) -> Option<Drawing> {
        let point = |run: &Run, point: &Point| {
            let label = format!(
                "{} %, {}",
                crate::judge::say::rounded(point.percent, 3),
                self.burdened(&run.burden)
            );
            Some((label, point.rcf?.si, point.phase?.si * MINUTE_OF_ARC.per_si))
        };
        let points: Vec<(String, f64, f64)> = runs
            .iter()
            .flat_map(|run| run.points.iter().filter_map(move |one| point(run, one)))
            .collect();
        let rows = ieee_metering(name)
            .map(|class| class.rows.as_slice())
            .unwrap_or_default();
        let limit = |row: &crate::standards::MeteringRow| {
            (
                format!("{name} at {} % of rated current", row.percent),
                row.tcf_min,
                row.tcf_max,
            )
        };
        (!points.is_empty()).then(|| {
            Drawing::Parallelogram(Parallelogram {
                title: format!("Metering accuracy, {}, class {name}", self.core_pair(pair)),
                description: format!("{} points with the limits of the class.", points.len()),
                limits: rows.iter().map(limit).collect(),
                points,
            })
        })
    }

    fn burdened(&self, burden: &Burdened) -> String {
        let stated = |va: &f64, factor: &Option<f64>| {
            let factor = factor
                .map(|factor| format!(" at {factor:.2}"))
                .unwrap_or_default();
            format!("{}{factor}", self.label(*va, "VA"))
        };
        match burden {
            Burdened::Stated { va, power_factor } => stated(va, power_factor),
            Burdened::Designated(name) => name.clone(),
            Burdened::Connected {
                va: Some(va),
                power_factor,
            } => format!("connected, {}", stated(va, power_factor)),
            Burdened::Connected { va: None, .. } => "connected".to_owned(),
            Burdened::Shorted => "shorted".to_owned(),
            Burdened::Unknown => "burden not stated".to_owned(),
        }
    }
}

/// The limits of an IEC measuring class over the current; empty for other classes.
fn envelope(class: &Class, quantity: ErrorKind) -> Points {
    if let Class::Protection {
        composite,
        low_remanence,
        ..
    } = class
    {
        let row = protection(*composite, *low_remanence);
        let limit = row.and_then(|row| {
            if quantity == ErrorKind::Ratio {
                Some(row.ratio_error)
            } else {
                row.phase_minutes
            }
        });
        return limit.map(|limit| (100.0, limit)).into_iter().collect();
    }
    let Class::Measuring { name, .. } = class else {
        return Points::new();
    };
    let Some(class) = measuring(name) else {
        return Points::new();
    };
    let limit = |row: &crate::standards::ErrorLimit| match quantity {
        ErrorKind::Ratio => Some((row.percent, row.ratio_error)),
        ErrorKind::Phase => Some((row.percent, row.phase_minutes?)),
    };
    class.rows.iter().filter_map(limit).collect()
}
