//! What rests on a line: steps of the workings, findings, requirements.

use super::{Head, Item, Said, Spot, line};
use crate::derive::workings::{Origin, Step, StepId, Value};
use crate::document::Grade;
use crate::ground::span::Span;
use crate::judge::doubts;
use crate::judge::finding::Finding;
use crate::judge::requirement::{self, Shown};
use crate::judge::verdict::{coverage_factor, expanded};
use crate::judge::words::rounded;
use std::cmp::Reverse;
use std::collections::BTreeSet;

/// Steps, or findings, of which all are told.
const FEW: usize = 10;

/// The steps of the workings at a line.
struct Steps {
    /// Entered from it.
    entered: BTreeSet<StepId>,
    /// What rests on these.
    above: BTreeSet<StepId>,
}

impl Steps {
    fn have(&self, finding: &Finding) -> bool {
        let step = finding.value().map(|value| value.step);
        step.is_some_and(|step| self.entered.contains(&step) || self.above.contains(&step))
    }
}

impl Spot<'_> {
    /// The findings and values that rest on it, few of them, and how many are left out.
    pub(super) fn follows(&self) -> Vec<Said> {
        let steps = self.steps();
        let findings = self.findings(&steps);
        let (few, more) = findings.split_at(findings.len().min(FEW / 2));
        let mut said = Vec::new();
        if !few.is_empty() {
            said.extend(self.found(few, true));
        }
        if !more.is_empty() {
            let source = &self.ct.source;
            let (name, at) = (&source.name, source.line(self.area.start));
            said.push(line(format!(
                "{} more: kneemark explain {name}:{at}",
                more.len()
            )));
        }
        said.extend(self.values(&steps, &self.shown(&steps, &findings)));
        said
    }

    fn steps(&self) -> Steps {
        let w = &self.ct.assessment.workings;
        let entered = w.entered_at(self.area);
        let above = w.above(&entered);
        Steps { entered, above }
    }

    /// What was derived from it, which findings rest on it, and which requirements on those.
    pub(super) fn resting(&self, all: bool) -> Vec<Said> {
        let steps = self.steps();
        let findings = self.findings(&steps);
        if findings.is_empty() && steps.above.is_empty() {
            let told = "No value of the workings comes from it, and no finding points at it. What a word or a name decides is not traced here.";
            let nothing = [Head("What rests on it"), line(told)];
            return nothing
                .into_iter()
                .filter(|_| self.says_a_value())
                .collect();
        }
        let mut said = self.derived(&steps, &findings, all);
        said.extend(self.found(&findings, all));
        said.extend(self.required(&findings));
        said
    }

    /// The findings of all visits whose value rests on it, or that point at it, the worst first.
    fn findings(&self, steps: &Steps) -> Vec<(usize, &Finding)> {
        let here = |span: &Span| span.meets(self.area);
        let rests = |finding: &Finding| {
            let limit = finding.against.as_ref().and_then(|against| against.span);
            steps.have(finding) || finding.points_at.iter().chain(&limit).any(here)
        };
        let visits = self.ct.assessment.visits.iter().enumerate();
        let all = visits.flat_map(|(at, visit)| visit.findings.iter().map(move |one| (at, one)));
        let (mut found, others): (Vec<(usize, &Finding)>, Vec<_>) =
            all.partition(|(_, one)| rests(one));
        // A doubt is of all rows of its core in its section, and points at one of them.
        let of_cores: Vec<Option<usize>> = found.iter().map(|(_, one)| one.core).collect();
        let doubts = others.into_iter().filter(|(visit, one)| {
            let doubt = one.grade() >= Grade::Review && doubts::told(one.rule).is_some();
            doubt && of_cores.contains(&one.core) && self.is_in(*visit, one.section)
        });
        found.extend(doubts);
        found.sort_by_key(|(_, one)| Reverse(one.grade()));
        found
    }

    /// Whether it stands in this section of a visit.
    fn is_in(&self, visit: usize, section: Option<usize>) -> bool {
        self.test().is_some_and(|(case, test)| {
            let own = section.and_then(|at| case.visit.tests.get(at));
            case.index == visit && own.is_some_and(|own| own.span == test.span)
        })
    }

    /// The steps above it whose values findings show.
    fn shown(&self, steps: &Steps, findings: &[(usize, &Finding)]) -> BTreeSet<StepId> {
        let shown = findings
            .iter()
            .filter_map(|(_, one)| Some(one.value()?.step));
        shown.filter(|step| steps.above.contains(step)).collect()
    }

    fn values(&self, steps: &Steps, shown: &BTreeSet<StepId>) -> Vec<Said> {
        let head = (!shown.is_empty()).then_some(Head("Values of findings that it goes into"));
        let items = shown
            .iter()
            .filter_map(|step| self.step(*step, &steps.entered));
        head.into_iter().chain(items).collect()
    }

    /// The values that findings show first, then the steps between; these only where they are few or asked for.
    fn derived(&self, steps: &Steps, findings: &[(usize, &Finding)], all: bool) -> Vec<Said> {
        let shown = self.shown(steps, findings);
        let between: Vec<&StepId> = steps.above.difference(&shown).collect();
        let mut said = self.values(steps, &shown);
        match between.len() {
            0 => {}
            count if all || count + shown.len() <= FEW => {
                said.push(Head("Steps on the way"));
                said.extend(
                    between
                        .iter()
                        .filter_map(|step| self.step(**step, &steps.entered)),
                );
            }
            count => {
                said.push(Head("Steps on the way"));
                said.push(line(format!("{count} of them; `--all` lists them.")));
            }
        }
        said
    }

    /// `winding resistance: 2.69926 ohm; U/I; U 0.0021 ohm, by this line alone 0.0019 ohm`.
    fn step(&self, id: StepId, entered: &BTreeSet<StepId>) -> Option<Said> {
        let w = &self.ct.assessment.workings;
        let step = w.step_at(id)?;
        let Step {
            what, unit, value, ..
        } = step;
        let with_unit = |number: String| format!("{number} {unit}").trim_end().to_owned();
        let mut text = format!("{what}: {}", with_unit(rounded(*value, 6)));
        let how = match &step.origin {
            Origin::Formula(about) => Some(format!("`{}` ({})", about.text, about.name)),
            Origin::Curve { text, .. } => Some(text.to_string()),
            Origin::Reading { .. }
            | Origin::Plate { .. }
            | Origin::Given { .. }
            | Origin::Constant { .. }
            | Origin::Row(_) => None,
        };
        text.extend(how.map(|how| format!("; {how}")));
        let (value, criteria) = (
            Value {
                si: *value,
                step: id,
            },
            &self.ct.setting.criteria,
        );
        if let Some(u) = expanded(w, value, criteria) {
            let factor = coverage_factor(criteria, &w.uncertainty(value));
            let own = factor * w.uncertainty_by(value, entered).u;
            text += &format!("; U {}", with_unit(rounded(u, 2)));
            if own > 0.0 {
                text += &format!(", by this line alone {}", with_unit(rounded(own, 2)));
            }
        }
        Some(Item(text))
    }

    fn found(&self, findings: &[(usize, &Finding)], all: bool) -> Vec<Said> {
        if findings.is_empty() {
            return vec![Head("Findings"), line("None rests on it.")];
        }
        let several = self.ct.assessment.visits.len() > 1;
        let item = |(visit, one): &(usize, &Finding)| {
            let visit = self.ct.record.visits.get(*visit).filter(|_| several);
            let visit = visit.map(|visit| format!(" (visit {})", visit.name()));
            let sentence = self.ct.sentence(one);
            let (grade, rule) = (one.grade().word(), one.rule.id);
            Item(format!(
                "{grade} `{rule}`{}: {sentence}",
                visit.unwrap_or_default()
            ))
        };
        let most = if all { usize::MAX } else { FEW };
        let mut said = vec![Head("Findings that rest on it")];
        said.extend(findings.iter().take(most).map(item));
        if let Some(more) = findings.len().checked_sub(most).filter(|more| *more > 0) {
            said.push(line(format!("{more} more; `--all` lists them.")));
        }
        said
    }

    /// What is required, as far as one of the findings is evidence for it, or as it is stated here.
    fn required(&self, findings: &[(usize, &Finding)]) -> Vec<Said> {
        let claims = self.ct.claims();
        let rests = |one: &&Shown<'_>| {
            let stated = one
                .required
                .stated_at
                .is_some_and(|span| span.meets(self.area));
            let by = |(visit, finding): &(usize, &Finding)| {
                let mut evidence = one.evidence.iter();
                evidence.any(|told| told.visit == *visit && told.is_same(finding))
            };
            stated || findings.iter().any(by)
        };
        let item = |one: &Shown<'_>| {
            let (title, subject) = (one.title(), requirement::subject(&self.ct.record, one));
            let (title, subject) = (self.ct.plain(&title), self.ct.plain(&subject));
            let why = one
                .standing
                .why()
                .map(|why| format!(" ({})", self.ct.plain(&why)));
            let due = if one.required.due {
                ""
            } else {
                "; not due at this visit"
            };
            let (id, word) = (one.required.requirement.id, one.standing.word());
            let why = why.unwrap_or_default();
            Item(format!("{word} `{id}`: {title} of {subject}{why}{due}"))
        };
        let items: Vec<Said> = claims.shown.iter().filter(rests).map(item).collect();
        let mut said = vec![Head("Requirements that rest on these findings")];
        match items.is_empty() {
            true => said.push(line("None, as the record stands after its last visit.")),
            false => said.extend(items),
        }
        said
    }
}
