//! Findings as rows: value, limit, and what stands beside it.

use super::Ctx;
use super::text::NONE;
use crate::derive::knee::KneeRule;
use crate::document::{Block, Cell, Grade, Inline, NO_BREAK, Part, Phrase, Table, Text, say};
use crate::judge::decision::Word;
use crate::judge::finding::{Finding, Verdict};
use crate::judge::rules::{self, Rule};
use crate::judge::words;
use crate::report::rows::{Aside, Before, asides};
use crate::trade::Pair;

/// The findings of one test, as they are gathered.
#[derive(Default)]
struct Values {
    rows: Vec<Vec<Cell>>,
    /// `(a) rating plate, exciting current, line 31`.
    sources: Vec<Text>,
    /// Remarks and next steps with their numbers.
    remarks: Vec<(usize, Text)>,
}

const HEADS: &[&str] = &[
    "Quantity",
    ">Found",
    ">Limit",
    ">Manufacturer",
    ">Last visit",
    ">Sisters, median",
    "Verdict",
];

/// The grade of a finding, with the word of its verdict where that says more.
pub(super) fn marked(finding: &Finding) -> Text {
    let word = match finding.verdict {
        Verdict::Word(Word::Pass | Word::Fail) | Verdict::Observed(_) => "",
        _ => words::verdict(&finding.verdict),
    };
    Text::graded(finding.grade(), word)
}

impl Ctx<'_> {
    /// The table of some findings of a visit, with the sources of its limits and its notes. `main` is
    /// the pair that the heading names; rows of another pair name theirs.
    pub(super) fn value_table<'f>(
        &self,
        visit: usize,
        main: Option<Pair>,
        findings: impl Iterator<Item = &'f Finding>,
    ) -> Vec<Block> {
        let mut values = Values::default();
        for finding in findings.filter(|one| self.is_result(one)) {
            self.value_row(visit, main, finding, &mut values);
        }
        if values.rows.is_empty() {
            return Vec::new();
        }
        let mut blocks = vec![Block::Table(
            Table::grid(HEADS, values.rows).without_empty_columns(),
        )];
        if !values.sources.is_empty() {
            let mut limits = Text::from("Limits: ");
            for (index, source) in values.sources.iter().enumerate() {
                let between = if index == 0 { "" } else { "; " };
                let letter = format!("{between}({}) ", letter(index));
                limits = limits.plain(letter).join(source.clone());
            }
            blocks.push(Block::Note(limits.plain(".")));
        }
        if !values.remarks.is_empty() {
            blocks.push(Block::Notes(values.remarks));
        }
        blocks
    }

    /// Whether a client asks for it: a knee by another rule than the plate's, and what only tells how to
    /// work, is in the data and not on a page unless it is for review.
    pub(super) fn is_result(&self, finding: &Finding) -> bool {
        let core = finding.core.and_then(|core| self.record.cores.get(core));
        let own = core.map(|core| KneeRule::of(self.record.plate.family(), core));
        let knees = [
            (&rules::excitation::KNEE_IEC, KneeRule::Iec),
            (&rules::excitation::KNEE_45, KneeRule::Tangent45),
            (&rules::excitation::KNEE_30, KneeRule::Tangent30),
        ];
        let other = |(rule, by): (&Rule, KneeRule)| finding.rule == rule && own != Some(by);
        let work = [
            &rules::insulation::INSULATION_DISCHARGE,
            &rules::ratio::VOLTS_PER_TURN,
        ];
        let quiet = knees.into_iter().any(other) || work.contains(&finding.rule);
        !quiet || finding.grade() >= Grade::Review
    }

    fn value_row(&self, visit: usize, main: Option<Pair>, finding: &Finding, values: &mut Values) {
        let number = words::shown(self.w, self.criteria, finding);
        let beside = asides(self.subject, visit, finding, number.as_ref());
        let note = self.remark(finding);
        let note = note.map(|remark| superscript(self.place(remark, &mut values.remarks)));
        let what = say!("{}{}", self.other_pair(finding, main), words::what(finding));
        // Words need the width of the first column; the second is for numbers.
        let observed = &finding.observed;
        let (what, found) = match finding.value() {
            None if observed.is_empty() => (what, NONE.into()),
            None => (say!("{}: {}", what, observed.clone()), NONE.into()),
            Some(_) => {
                let found = words::found_as(finding, number);
                (what, self.phrase(&found))
            }
        };
        let mut what = self.phrase(&what);
        if let Some(link) = self.workings_link(finding) {
            what = what.plain(" ").and(link);
        }
        let cells = [
            what.plain(note.unwrap_or_default()),
            found,
            self.limit(finding, &mut values.sources),
            self.earlier_value(beside.factory.as_ref()),
            self.earlier_value(beside.last.as_ref()),
            self.of_sisters(beside.sisters.as_ref()),
            marked(finding),
        ];
        values.rows.push(cells.map(Cell::from).into());
    }

    /// The number of a remark; equal ones in one table share it.
    fn place(&self, remark: Text, remarks: &mut Vec<(usize, Text)>) -> usize {
        if let Some((number, _)) = remarks.iter().find(|(_, known)| *known == remark) {
            return *number;
        }
        let number = self.next_note();
        remarks.push((number, remark));
        number
    }

    fn other_pair(&self, finding: &Finding, main: Option<Pair>) -> Phrase {
        match finding.pair {
            Some(pair) if Some(pair.ascending()) != main => {
                say!("{}: ", Phrase::terminals(self.record.pair_text(pair)))
            }
            _ => Phrase::default(),
        }
    }

    /// A phrase as this report writes it.
    pub(super) fn phrase(&self, phrase: &Phrase) -> Text {
        self.pen.phrase(phrase, |span| self.source.line(span.start))
    }

    fn limit(&self, finding: &Finding, sources: &mut Vec<Text>) -> Text {
        let limit = words::limit(finding);
        let (Some(against), false) = (&finding.against, limit.is_empty()) else {
            return NONE.into();
        };
        let line = against.span.map(|span| say!(", {}", Part::Line(span)));
        let source = [Some(words::cite(&against.cited)), line]
            .into_iter()
            .flatten();
        let source = self.phrase(&Phrase::join(source, ""));
        let index = sources.iter().position(|known| *known == source);
        let index = index.unwrap_or_else(|| {
            sources.push(source);
            sources.len() - 1
        });
        self.phrase(&limit).plain(format!(" ({})", letter(index)))
    }

    /// The value of an earlier visit, and what changed since.
    fn earlier_value(&self, before: Option<&Before>) -> Text {
        let Some(before) = before else {
            return NONE.into();
        };
        let value = self.phrase(&before.value);
        match &before.change {
            Some(_) => value.plain("; ").join(self.before(Some(before))),
            None => value,
        }
    }

    /// The median of the sisters, and by how much this value is off it.
    fn of_sisters(&self, aside: Option<&Aside>) -> Text {
        let Some(aside) = aside else {
            return NONE.into();
        };
        let off = aside.off.map(|off| format!("; {}", self.off(off)));
        let value = self.pen.quantity(&aside.value);
        format!("{value}{}, of {}", off.unwrap_or_default(), aside.of).into()
    }

    /// `+1.2 %`, with its sign.
    pub(super) fn off(&self, share: f64) -> String {
        let text = if share.abs() < 0.05 {
            format!("0.0{NO_BREAK}%")
        } else {
            format!("{share:+.1}{NO_BREAK}%").replace('-', "−")
        };
        self.pen.mark(&text)
    }

    /// Reason, remarks and next step of a finding, on one line.
    fn remark(&self, finding: &Finding) -> Option<Text> {
        let why = words::reason(&finding.verdict).map(|_| words::reasoned(&finding.verdict));
        let remarks = finding.remarks.iter().cloned();
        let next = finding.action().map(|next| say!("next: {}", next));
        let said = Phrase::join(why.into_iter().chain(remarks).chain(next), "; ");
        (!said.is_empty()).then(|| self.phrase(&said))
    }

    /// One line of the lists of what fails, is for review or unresolved.
    pub(super) fn look(&self, finding: &Finding) -> Text {
        let text = self.said_of(finding, &finding.remarks);
        match finding.action() {
            Some(next) => text
                .plain(". ")
                .and(Inline::Emphasis("Next:".to_owned()))
                .plain(" ")
                .join(self.phrase(&next)),
            None => text,
        }
    }

    /// What a cause explains, whose next step is the cause's.
    pub(super) fn explained(&self, finding: &Finding) -> Text {
        self.said_of(finding, &[])
    }

    /// A finding with its grade and its line in the record.
    fn said_of(&self, finding: &Finding, remarks: &[Phrase]) -> Text {
        let said = words::sentence(self.record, self.w, self.criteria, finding);
        let line = finding.points_at.first();
        let line = line.map(|span| self.written_at(*span).into());
        let all = std::iter::once(said).chain(remarks.iter().cloned());
        let said = Phrase::join(all.chain(line), "; ");
        let text = Text::grade(finding.grade()).plain(": ");
        text.join(self.phrase(&said))
    }
}

pub(super) fn letter(index: usize) -> String {
    let small = ('a'..='z').nth(index % 26).unwrap_or('a');
    match index / 26 {
        0 => small.to_string(),
        round => format!("{small}{round}"),
    }
}

/// The number of a remark, raised.
fn superscript(number: usize) -> String {
    let digits = number.to_string();
    let raised = digits.chars().map(|digit| match digit {
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        digit => char::from_u32(u32::from('⁰') + digit.to_digit(10).unwrap_or(0)).unwrap_or(digit),
    });
    std::iter::once('\u{a0}').chain(raised).collect()
}
