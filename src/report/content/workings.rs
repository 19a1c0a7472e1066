//! The appendix: how every headline value came about, from the readings on.

use super::{Ctx, chapter};
use crate::derive::component::Component;
use crate::derive::workings::{Origin, Step, StepId, Value};
use crate::document::{Block, Cell, Inline, Part, Phrase, Table, Text, say, slug};
use crate::ground::span::Span;
use crate::judge::finding::Finding;
use crate::judge::verdict::{coverage_factor, expanded};
use crate::judge::words::{self, rounded, short};
use crate::standards::without_memory;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// Lines of a budget that are shown on their own; the rest is one line.
const SHOWN: usize = 8;

/// A source as the body cites it: that it is from memory stands in the annex.
fn clause(source: &str) -> Cow<'_, str> {
    without_memory(source).map_or(Cow::Borrowed(source), Cow::Owned)
}

impl Ctx<'_> {
    /// Workings of the headline values of the reported visit; remembers their numbers.
    pub(super) fn workings(&mut self) -> Vec<Block> {
        let Some(visit) = self.visit else {
            return Vec::new();
        };
        let intro = "Every headline value from its readings on, in SI units.";
        let mut blocks = vec![Block::paragraph(intro)];
        for finding in self
            .findings(visit)
            .iter()
            .filter(|finding| finding.headline)
        {
            let Some(value) = finding.value() else {
                continue;
            };
            let computed = self.w.inputs_of(value.step).next().is_some();
            if !computed || self.traced.contains_key(&value.step) {
                continue;
            }
            let place = words::subject(self.record, finding);
            let number = format!("W{}", self.traced.len() + 1);
            blocks.push(Block::heading(3, number.as_str()));
            let what = self.phrase(&say!("{}: {}", place, words::what(finding)));
            blocks.push(Block::Paragraph(what));
            blocks.extend(self.working(value));
            self.traced.insert(value.step, number);
        }
        if self.traced.is_empty() {
            return Vec::new();
        }
        chapter("Workings", blocks)
    }

    /// `[W3](#w3)` for a value that the appendix explains.
    pub(super) fn workings_link(&self, finding: &Finding) -> Option<Inline> {
        self.link_of(finding.value()?.step)
    }

    pub(super) fn link_of(&self, step: StepId) -> Option<Inline> {
        let number = self.traced.get(&step)?;
        Some(Inline::Link {
            anchor: slug(number),
            text: number.clone(),
        })
    }

    fn working(&self, value: Value) -> Vec<Block> {
        let trace = self.w.trace(value);
        let numbers: BTreeMap<StepId, usize> = trace
            .iter()
            .enumerate()
            .map(|(index, id)| (*id, index + 1))
            .collect();
        let row = |id: &StepId| {
            let step = self.w.step_at(*id)?;
            let number = numbers.get(id).copied().unwrap_or(0);
            Some(vec![
                Cell::from(number.to_string()),
                self.pen.say(&step.what.to_string()).into(),
                self.value(step.value, step.unit).into(),
                self.how(*id, step, &numbers).into(),
            ])
        };
        let steps = trace.iter().filter_map(row).collect();
        let unit = self.w.step_at(value.step).map_or("", |step| step.unit);
        let (budget, uncertainty) = self.budget(value, unit);
        let mut blocks = vec![
            Block::Table(Table::grid(&[">Step", "Quantity", ">Value", "From"], steps)),
            Block::paragraph(uncertainty),
        ];
        if !budget.is_empty() {
            let heads = ["Uncertainty from", ">Contribution", ">Share"];
            blocks.push(Block::Table(Table::grid(&heads, budget)));
        }
        blocks
    }

    fn value(&self, si: f64, unit: &str) -> String {
        self.pen
            .say(format!("{} {unit}", rounded(si, 6)).trim_end())
    }

    fn line(&self, span: Span) -> String {
        format!(
            "line {}, written {}",
            self.source.line(span.start),
            self.source.slice(span)
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
            Origin::Constant { source } => format!("constant; {}", clause(source)),
            Origin::Row(cited) => format!("constant; {}", cited.source),
            Origin::Formula(formula) => {
                let symbols = formula.symbols.iter().zip(&inputs);
                let with: Vec<String> = symbols
                    .map(|(symbol, number)| format!("{} = step {number}", symbol.name))
                    .collect();
                format!(
                    "{}; with {}; {}",
                    formula.text,
                    with.join(", "),
                    clause(formula.source)
                )
            }
            Origin::Curve { text, source } => {
                let from: Vec<String> = inputs.iter().map(usize::to_string).collect();
                format!("{text}; from steps {}; {}", from.join(", "), clause(source))
            }
        }
    }

    /// The lines of the uncertainty budget, and what U is, or that it is not known.
    fn budget(&self, value: Value, unit: &str) -> (Vec<Vec<Cell>>, String) {
        let uncertainty = self.w.uncertainty(value);
        let Some(u) = expanded(self.w, value, self.criteria) else {
            return (
                Vec::new(),
                "The uncertainty is not known: a reading it rests on states none.".to_owned(),
            );
        };
        let factor = coverage_factor(self.criteria, &uncertainty);
        let mut rows = self.w.budget(value);
        rows.retain(|row| row.contribution != 0.0);
        rows.sort_by(|a, b| b.contribution.abs().total_cmp(&a.contribution.abs()));
        let square = uncertainty.u * uncertainty.u;
        let line = |component: Text, size: f64| {
            let share = if square > 0.0 {
                format!("{:.0} %", 100.0 * size * size / square)
            } else {
                "–".to_owned()
            };
            let contribution = format!("{} {unit}", rounded(size, 2));
            vec![
                Cell::from(component),
                self.pen.say(contribution.trim_end()).into(),
                share.into(),
            ]
        };
        let shown = rows.iter().take(SHOWN);
        let mut lines: Vec<Vec<Cell>> = shown
            .map(|row| line(self.component(&row.component), row.contribution.abs()))
            .collect();
        let rest: f64 = rows
            .iter()
            .skip(SHOWN)
            .map(|row| row.contribution * row.contribution)
            .sum();
        if let Some(more) = rows.len().checked_sub(SHOWN).filter(|more| *more > 0) {
            lines.push(line(format!("{more} more, together").into(), rest.sqrt()));
        }
        let k = short(factor);
        let text = format!(
            "u = {} {unit}, U = {k} u = {} {unit}.",
            rounded(uncertainty.u, 2),
            rounded(u, 2)
        );
        (lines, self.pen.say(&text.replace(" .", ".")))
    }

    /// What an uncertainty comes from, with the line that it stands in.
    fn component(&self, component: &Component) -> Text {
        let line = component.place().map(|at| say!("{}", Part::Line(at)));
        let said = std::iter::once(words::component(component)).chain(line);
        self.phrase(&Phrase::join(said, ", "))
    }
}
