//! The verdict lines, one for the CT and one for the circuit, and what deserves a look.

use super::{Ctx, chapter, listed};
use crate::compare::standing;
use crate::document::{Block, Grade, Table, Text, joined};
use crate::judge::finding::Finding;
use crate::judge::rules::Whose;
use crate::record::visit::Visit;
use crate::report::summary::{Summary, counted};

impl Ctx<'_> {
    /// The verdict of transformer and circuit, on lines of their own.
    pub(super) fn verdict(&self, summary: &Summary) -> Vec<Block> {
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
            // The third line only speaks when something is to be said.
            if whose != Whose::Measurement || grade >= Some(Grade::Review) {
                let own = counted(self.assessment, whose);
                lines.push((name, line(&own, grade, summary.complete)));
            }
        }
        let caution = "A verdict is never a clearance to energise. Local rules, the permit and the person in charge decide.";
        let blocks = vec![Block::Table(Table::facts(lines)), Block::paragraph(caution)];
        chapter("Verdict", blocks)
    }

    /// What fails, is for review or stays open, the first two also of earlier visits.
    pub(super) fn looks(&self) -> Vec<Block> {
        let findings = self.visit.map_or(&[][..], |visit| self.findings(visit));
        let own = findings
            .iter()
            .map(|finding| (finding.grade(), self.look(finding)));
        let earlier = standing(self.assessment)
            .into_iter()
            .map(|(visit, finding)| {
                let visit = self.record.visits.get(visit).map(Visit::name);
                let visit = visit.unwrap_or_default();
                let when = format!("; visit {visit}; not measured again since");
                (finding.grade(), self.look(finding).plain(when))
            });
        let all: Vec<(Grade, Text)> = own.chain(earlier).collect();
        let part = |(title, grade)| {
            let own = all.iter().filter(|(of, _)| *of == grade);
            listed(2, title, own.map(|(_, text)| text.clone()).collect())
        };
        [
            ("Fails", Grade::Fails),
            ("For review", Grade::Review),
            ("Unresolved", Grade::Open),
        ]
        .into_iter()
        .flat_map(part)
        .collect()
    }
}

fn line(findings: &[&Finding], worst: Option<Grade>, complete: bool) -> Text {
    let Some(worst) = worst else {
        return "– nothing judged".into();
    };
    let count = |of: Grade, what: &str, said: &str| {
        let own = findings.iter().filter(|finding| finding.grade() == of);
        match own.count() {
            0 => None,
            1 => Some(format!("1 {what} {said}")),
            n => Some(format!("{n} {what}s {said}")),
        }
    };
    let good = count(Grade::Pass, "value", "within limits");
    let (grade, first) = match worst {
        Grade::Fails | Grade::Review => {
            let fails = count(Grade::Fails, "finding", "out of limits");
            let review = count(Grade::Review, "finding", "for review");
            (worst, joined([fails, review], ", "))
        }
        _ if !complete => {
            let why = ": the record is not complete, so there is no verdict as a whole";
            return Text::grade(Grade::Open).plain(why);
        }
        Grade::Open if good.is_some() => (worst, "no limit exceeded".to_owned()),
        Grade::Open | Grade::Pass => (worst, String::new()),
        Grade::Info => (worst, "no limit applies, no verdict".to_owned()),
    };
    let first = Some(first).filter(|first| !first.is_empty());
    let rest = joined([good, count(Grade::Open, "value", "open")], ", ");
    let rest = Some(rest).filter(|rest| !rest.is_empty());
    let said = joined([first, rest], "; ");
    Text::grade(grade).plain(format!(": {said}"))
}
