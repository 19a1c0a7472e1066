//! The verdict lines, one for the CT and one for the circuit, and what deserves a look.

use super::values::deserves;
use super::{Ctx, chapter, listed};
use crate::compare::standing;
use crate::document::{Block, Grade, Table, Text};
use crate::judge::finding::Finding;
use crate::judge::rules::Whose;
use crate::report::summary::Summary;

impl Ctx<'_> {
    /// The verdict of transformer and circuit, on lines of their own.
    pub(super) fn verdict(&self, summary: &Summary) -> Vec<Block> {
        let standing = standing(self.assessment);
        let record = if summary.complete {
            Text::word(Grade::Pass, "complete")
        } else {
            Text::word(Grade::Fails, "not complete")
        };
        let mut lines = vec![("Record", record)];
        for (name, whose, grade) in [
            ("Transformer", Whose::Transformer, summary.ct),
            ("Circuit it serves", Whose::Circuit, summary.circuit),
            ("Way of measuring", Whose::Measurement, summary.work),
        ] {
            let own = self
                .reported_findings()
                .iter()
                .chain(standing.iter().map(|(_, finding)| *finding))
                .filter(|finding| finding.rule.whose == whose);
            // The third line only speaks when something is to be said.
            if whose != Whose::Measurement || grade >= Some(Grade::Review) {
                lines.push((
                    name,
                    line(&own.collect::<Vec<_>>(), grade, summary.complete),
                ));
            }
        }
        let caution = "A verdict is never a clearance to energise. Local rules, the permit and the person in charge decide.";
        let blocks = vec![Block::Table(Table::facts(lines)), Block::paragraph(caution)];
        chapter("Verdict", blocks)
    }

    /// What deserves a look, also of earlier visits, and what stays open.
    pub(super) fn looks(&self) -> Vec<Block> {
        let findings = self.reported_findings();
        let mut looks: Vec<&Finding> = findings.iter().filter(|one| deserves(one)).collect();
        looks.sort_by_key(|finding| std::cmp::Reverse(finding.grade()));
        let mut lines: Vec<Text> = looks.into_iter().map(|one| self.look(one)).collect();
        for (visit, finding) in standing(self.assessment) {
            let visit = self.record.visits.get(visit);
            let visit = visit.map_or_else(String::new, crate::record::visit::Visit::name);
            let when = format!("; visit {visit}; not measured again since");
            lines.push(self.look(finding).plain(when));
        }
        let open = findings
            .iter()
            .filter(|finding| finding.grade() == Grade::Open)
            .map(|finding| self.look(finding));
        let mut blocks = listed(Block::heading(2, "For review"), lines);
        blocks.extend(listed(Block::heading(2, "Unresolved"), open.collect()));
        blocks
    }

    fn reported_findings(&self) -> &[Finding] {
        self.visit.map_or(&[], |visit| self.findings(visit))
    }
}

fn line(findings: &[&Finding], worst: Option<Grade>, complete: bool) -> Text {
    let count = |of: Grade| {
        findings
            .iter()
            .filter(|finding| finding.grade() == of)
            .count()
    };
    let (good, open) = (count(Grade::Pass), count(Grade::Open));
    let rest = match (good, open) {
        (0, 0) => String::new(),
        (good, 0) => format!("; {} within limits", many(good, "value")),
        (0, open) => format!("; {} open", many(open, "value")),
        (good, open) => format!("; {} within limits, {open} open", many(good, "value")),
    };
    let said = |of: Grade, why: String| Text::grade(of).plain(why);
    match worst {
        Some(Grade::Fails) => {
            let review = match count(Grade::Review) {
                0 => String::new(),
                n => format!(", {n} for review"),
            };
            let fails = many(count(Grade::Fails), "finding");
            said(
                Grade::Fails,
                format!(": {fails} out of limits{review}{rest}"),
            )
        }
        Some(Grade::Review) => {
            let review = many(count(Grade::Review), "finding");
            said(Grade::Review, format!(": {review}{rest}"))
        }
        _ if !complete => said(
            Grade::Open,
            ": the record is not complete, so there is no verdict as a whole".to_owned(),
        ),
        Some(Grade::Open) if good > 0 => said(Grade::Open, format!(": no limit exceeded{rest}")),
        Some(Grade::Open) => said(
            Grade::Open,
            format!(": {} without an answer", many(open, "value")),
        ),
        Some(Grade::Pass) => said(Grade::Pass, rest),
        Some(Grade::Info) => said(Grade::Info, ": no limit applies, no verdict".to_owned()),
        None => "– nothing judged".into(),
    }
}

/// `1 value`, `3 values`.
fn many(count: usize, what: &str) -> String {
    match count {
        1 => format!("1 {what}"),
        count => format!("{count} {what}s"),
    }
}
