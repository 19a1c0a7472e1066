//! The appendix: how every headline value came about, from the readings on.

use super::Ctx;
use crate::derive::workings::{Origin, Step, StepId, Value};
use crate::ground::span::Span;
use crate::judge::finding::{Finding, Grade};
use crate::judge::say::rounded;
use crate::judge::verdict::expanded;
use crate::report::Worked;
use crate::report::markdown::{anchor, escape_markdown};
use serde::Serialize;
use std::collections::BTreeMap;

/// One step.
#[derive(Debug, Serialize)]
pub(super) struct StepRow {
    pub number: usize,
    pub what: String,
    pub value: String,
    /// Where it comes from: a line of the record, or a formula with its inputs and source.
    pub how: String,
}

/// One line of the uncertainty budget.
#[derive(Debug, Serialize)]
pub(super) struct BudgetLine {
    pub component: String,
    pub contribution: String,
    pub share: String,
}

/// One value.
#[derive(Debug, Serialize)]
pub(super) struct Working {
    /// `W3`.
    pub number: String,
    pub what: String,
    pub steps: Vec<StepRow>,
    pub budget: Vec<BudgetLine>,
    /// What U is, or that it is not known.
    pub uncertainty: String,
}

/// Lines of a budget that are shown on their own; the rest is one line.
const SHOWN: usize = 8;

fn is_worked(worked: Worked, finding: &Finding) -> bool {
    match worked {
        Worked::Headline => true,
        Worked::ToLookAt => finding.grade() >= Grade::Doubt,
    }
}

impl Ctx<'_> {
    /// Workings of the headline values of the reported visit; remembers their numbers.
    pub(super) fn workings(&mut self) -> Vec<Working> {
        let Some(visit) = self.visit else {
            return Vec::new();
        };
        let mut found = Vec::new();
        let worked = self.options.workings;
        for finding in self
            .findings(visit)
            .iter()
            .filter(|finding| finding.headline && is_worked(worked, finding))
        {
            let Some(value) = finding.found.value() else {
                continue;
            };
            let computed = self.w.inputs_of(value.step).next().is_some();
            if !computed || self.traced.contains_key(&value.step) {
                continue;
            }
            let place = self.subject_of(finding);
            let number = format!("W{}", found.len() + 1);
            self.traced.insert(value.step, number.clone());
            found.push(self.working(
                number,
                format!("{place}: {}", self.pen.say(&finding.what)),
                value,
            ));
        }
        found
    }

    /// `[W3](#w3)` for a value that the appendix explains.
    pub(super) fn workings_link(&self, finding: &Finding) -> Option<String> {
        let number = self.traced.get(&self.step_of(finding)?)?;
        Some(format!("[{number}](#{})", anchor(number)))
    }

    fn working(&self, number: String, what: String, value: Value) -> Working {
        let trace = self.w.trace(value);
        let numbers: BTreeMap<StepId, usize> = trace
            .iter()
            .enumerate()
            .map(|(index, id)| (*id, index + 1))
            .collect();
        let row = |id: &StepId| {
            let step = self.w.step_at(*id)?;
            Some(StepRow {
                number: numbers.get(id).copied().unwrap_or(0),
                what: self.pen.say(&step.what),
                value: self.value(step.value, step.unit),
                how: self.how(*id, step, &numbers),
            })
        };
        let steps = trace.iter().filter_map(row).collect();
        let unit = self.w.step_at(value.step).map_or("", |step| step.unit);
        let (budget, uncertainty) = self.budget(value, unit);
        Working {
            number,
            what,
            steps,
            budget,
            uncertainty,
        }
    }

    fn value(&self, si: f64, unit: &str) -> String {
        self.pen
            .say(format!("{} {unit}", rounded(si, 6)).trim_end())
    }

    fn line(&self, span: Span) -> String {
        format!(
            "line {}, written {}",
            self.source.line(span.start),
            escape_markdown(self.source.slice(span))
        )
    }

    fn how(&self, id: StepId, step: &Step, numbers: &BTreeMap<StepId, usize>) -> String {
        let inputs: Vec<usize> = self
            .w
            .inputs_of(id)
            .filter_map(|(input, _)| numbers.get(&input).copied())
            .collect();
        match &step.origin {
            Origin::Reading { span } => format!("read; {}", self.line(*span)),
            Origin::Plate { span } => format!("rating plate; {}", self.line(*span)),
            Origin::Given { span } => format!("stated; {}", self.line(*span)),
            Origin::Constant { source } => format!("constant; {}", escape_markdown(source)),
            Origin::Formula(formula) => {
                let symbols = formula.symbols().iter().zip(&inputs);
                let with: Vec<String> = symbols
                    .map(|(symbol, number)| format!("{} = step {number}", symbol.name))
                    .collect();
                escape_markdown(&format!(
                    "{}; with {}; {}",
                    formula.text(),
                    with.join(", "),
                    formula.source()
                ))
            }
            Origin::Curve { text, source, .. } => {
                let from: Vec<String> = inputs.iter().map(usize::to_string).collect();
                escape_markdown(&format!("{text}; from steps {}; {source}", from.join(", ")))
            }
        }
    }

    fn budget(&self, value: Value, unit: &str) -> (Vec<BudgetLine>, String) {
        let uncertainty = self.w.uncertainty(value);
        let Some(u) = expanded(self.w, value, self.criteria) else {
            return (
                Vec::new(),
                "The uncertainty is not known: a reading it rests on states none.".to_owned(),
            );
        };
        let mut rows = uncertainty.budget;
        rows.retain(|row| row.contribution != 0.0);
        rows.sort_by(|a, b| b.contribution.abs().total_cmp(&a.contribution.abs()));
        let square = uncertainty.u * uncertainty.u;
        let share = |part: f64| {
            if square > 0.0 {
                format!("{:.0} %", 100.0 * part / square)
            } else {
                "–".to_owned()
            }
        };
        let shown = rows.iter().take(SHOWN).map(|row| BudgetLine {
            component: escape_markdown(&self.component(&row.component)),
            contribution: self
                .pen
                .say(format!("{} {unit}", rounded(row.contribution.abs(), 2)).trim_end()),
            share: share(row.contribution * row.contribution),
        });
        let mut lines: Vec<BudgetLine> = shown.collect();
        let rest: f64 = rows
            .iter()
            .skip(SHOWN)
            .map(|row| row.contribution * row.contribution)
            .sum();
        if rows.len() > SHOWN {
            lines.push(BudgetLine {
                component: format!("{} more, together", rows.len() - SHOWN),
                contribution: self
                    .pen
                    .say(format!("{} {unit}", rounded(rest.sqrt(), 2)).trim_end()),
                share: share(rest),
            });
        }
        let k = self.criteria.k;
        let text = format!(
            "u = {} {unit}, U = {k} u = {} {unit}.",
            rounded(uncertainty.u, 2),
            rounded(u, 2)
        );
        (lines, self.pen.say(&text.replace(" .", ".")))
    }

    /// A component's name with the line instead of the byte.
    fn component(&self, name: &str) -> String {
        match name
            .rsplit_once(" at byte ")
            .and_then(|(front, at)| Some((front, at.parse::<u32>().ok()?)))
        {
            Some((front, at)) => format!("{front}, line {}", self.source.line(at)),
            None => Self::range_text(name),
        }
    }

    /// The range of a shared component as a plain number.
    fn range_text(name: &str) -> String {
        let Some((front, behind)) = name.split_once(" up to ") else {
            return name.to_owned();
        };
        let (number, rest) = behind.split_once(' ').unwrap_or((behind, ""));
        match number.parse::<f64>() {
            Ok(to) => format!("{front}, range up to {} {rest}", rounded(to, 3))
                .trim_end()
                .to_owned(),
            Err(_) => name.to_owned(),
        }
    }
}
