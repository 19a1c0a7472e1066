//! The verdict lines, one for the CT and one for the circuit, and what deserves a look.

use super::Ctx;
use super::values::deserves;
use crate::compare::standing;
use crate::judge::finding::{Finding, Grade, Whose};
use crate::report::markdown::escape_markdown;
use crate::report::summary::{Summary, mark};
use serde::Serialize;

#[derive(Debug, Serialize)]
pub(super) struct Verdicts {
    pub complete: bool,
    /// Name and verdict: the transformer, the circuit, where needed the way of measuring.
    pub lines: Vec<(String, String)>,
    pub looks: Vec<String>,
    /// Findings of earlier visits that nothing later answers.
    pub standing: Vec<String>,
    /// Values that stay open, with the reason.
    pub open: Vec<String>,
}

impl Ctx<'_> {
    pub(super) fn verdicts(&self, summary: &Summary) -> Verdicts {
        let findings: &[Finding] = self.visit.map_or(&[], |visit| self.findings(visit));
        let standing = standing(self.assessment);
        let mut lines = Vec::new();
        for (name, whose, grade) in [
            ("Transformer", Whose::Ct, summary.ct),
            ("Circuit it serves", Whose::Circuit, summary.circuit),
            ("Way of measuring", Whose::Work, summary.work),
        ] {
            let own = findings
                .iter()
                .chain(standing.iter().map(|(_, finding)| *finding))
                .filter(|finding| finding.whose == whose);
            let text = line(&own.collect::<Vec<_>>(), grade, summary.complete);
            // The third line only speaks when something is to be said.
            if whose != Whose::Work || grade >= Some(Grade::Doubt) {
                lines.push((name.to_owned(), text));
            }
        }
        let date = |visit: usize| {
            self.record
                .visits
                .get(visit)
                .map_or_else(String::new, |visit| escape_markdown(&visit.name()))
        };
        let mut looks: Vec<&Finding> = findings
            .iter()
            .filter(|finding| deserves(finding))
            .collect();
        looks.sort_by_key(|finding| std::cmp::Reverse(finding.grade()));
        Verdicts {
            complete: summary.complete,
            lines,
            looks: looks
                .into_iter()
                .map(|finding| self.look(finding))
                .collect(),
            standing: standing
                .iter()
                .map(|(visit, finding)| format!("{}; visit {}", self.look(finding), date(*visit)))
                .collect(),
            open: findings
                .iter()
                .filter(|finding| finding.grade() == Grade::Open)
                .map(|finding| self.look(finding))
                .collect(),
        }
    }
}

fn line(findings: &[&Finding], grade: Option<Grade>, complete: bool) -> String {
    let count = |grade: Grade| {
        findings
            .iter()
            .filter(|finding| finding.grade() == grade)
            .count()
    };
    let sign = mark(grade);
    let values = |n: usize| {
        if n == 1 {
            "1 value".to_owned()
        } else {
            format!("{n} values")
        }
    };
    let (good, open) = (count(Grade::Good), count(Grade::Open));
    let rest = match (good, open) {
        (0, 0) => String::new(),
        (good, 0) => format!("; {} within limits", values(good)),
        (0, open) => format!("; {} open", values(open)),
        (good, open) => format!("; {} within limits, {open} open", values(good)),
    };
    match grade {
        Some(Grade::Bad) => {
            let doubt = match count(Grade::Doubt) {
                0 => String::new(),
                n => format!(", {n} to look at"),
            };
            format!(
                "**{sign} fail**: {} out of limits{doubt}{rest}",
                findings_text(count(Grade::Bad))
            )
        }
        Some(Grade::Doubt) => format!(
            "**{sign} deserves a look**: {}{rest}",
            findings_text(count(Grade::Doubt))
        ),
        _ if !complete => {
            "**○ open**: the record is not complete, so there is no verdict as a whole".to_owned()
        }
        Some(Grade::Open) if good > 0 => format!("**{sign} no limit exceeded, {open} open**{rest}"),
        Some(Grade::Open) => format!("**{sign} open**: {} without an answer", values(open)),
        Some(Grade::Good) => format!("**{sign} pass**{rest}"),
        Some(Grade::Plain) => "– no limit applies, no verdict".to_owned(),
        None => "– nothing judged".to_owned(),
    }
}

fn findings_text(count: usize) -> String {
    if count == 1 {
        "1 finding".to_owned()
    } else {
        format!("{count} findings")
    }
}
