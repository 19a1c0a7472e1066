//! Findings as rows: value, limit, and what stands beside it.

use super::Ctx;
use super::text::NONE;
use crate::compare::{Other, beside};
use crate::derive::workings::StepId;
use crate::document::{Block, Cell, Grade, Inline, Table, Text};
use crate::judge::decision::Word;
use crate::judge::finding::{Finding, Found, Unit, Verdict, Weight, unit};
use crate::judge::say;
use crate::record::value::Pair;
use crate::report::summary::grade;
use crate::standards::Provenance;

/// The findings of one test, as they are gathered.
#[derive(Default)]
struct Values {
    rows: Vec<Vec<Cell>>,
    /// `(a) rating plate, exciting current, line 31`.
    sources: Vec<String>,
    /// Remarks and next steps with their numbers.
    remarks: Vec<(usize, String)>,
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

/// The word of a verdict, which is the reason of its grade; empty where the grade says it all.
fn word(verdict: &Verdict) -> &'static str {
    match verdict {
        Verdict::Word(Word::Pass | Word::Fail) => "",
        Verdict::Word(word) => word.text(),
        Verdict::NotMet => "not met",
        Verdict::NotShown(_) => "not shown",
        Verdict::NotDecided(_) => "not decided by this method",
        Verdict::NotJudged(_) => "not judged",
        Verdict::NoLimit => "no limit",
        Verdict::Observed(Weight::Information | Weight::Doubt) => "",
        Verdict::Observed(Weight::Defect) => "defect",
    }
}

/// Why a verdict has no word.
pub(super) fn reason(verdict: &Verdict) -> Option<String> {
    match verdict {
        Verdict::NotShown(needs) => Some(format!("not shown: {needs}")),
        Verdict::NotDecided(why) => Some(format!("not decided: {}", why.text())),
        Verdict::NotJudged(why) => Some(format!("not judged: {why}")),
        _ => None,
    }
}

/// The grade of a finding, with its reason.
fn marked(finding: &Finding) -> Text {
    Text::graded(grade(finding.grade()), word(&finding.verdict))
}

impl Ctx<'_> {
    /// The table of some findings of a visit, with the sources of its limits and its notes. `main` is
    /// the pair that the heading names; rows of another pair name theirs.
    pub(super) fn values<'f>(
        &self,
        visit: usize,
        main: Option<Pair>,
        findings: impl Iterator<Item = &'f Finding>,
    ) -> Vec<Block> {
        let mut values = Values::default();
        for finding in findings {
            self.value_row(visit, main, finding, &mut values);
        }
        if values.rows.is_empty() {
            return Vec::new();
        }
        let mut blocks = vec![Block::Table(Table::grid(HEADS, values.rows))];
        if !values.sources.is_empty() {
            let limits = format!("Limits: {}.", values.sources.join("; "));
            blocks.push(Block::Note(limits.into()));
        }
        if !values.remarks.is_empty() {
            let remarks = values.remarks.into_iter();
            blocks.push(Block::Notes(
                remarks.map(|(n, text)| (n, text.into())).collect(),
            ));
        }
        blocks
    }

    fn value_row(&self, visit: usize, main: Option<Pair>, finding: &Finding, values: &mut Values) {
        let limit = self.limit(finding, &mut values.sources);
        let beside = beside(
            self.record,
            self.assessment,
            &self.subject.sisters,
            visit,
            finding,
        );
        let note = self.remark(finding);
        let note = note.map(|remark| superscript(self.place(remark, &mut values.remarks)));
        let what = format!(
            "{}{}",
            self.other_pair(finding, main),
            self.pen.say(&finding.what)
        );
        let what = match self.workings_link(finding) {
            Some(link) => Text::from(what).plain(" ").and(link),
            None => what.into(),
        };
        let sisters = beside.sisters.map_or_else(
            || NONE.to_owned(),
            |(median, count)| self.sisters(finding, median, count),
        );
        values.rows.push(vec![
            what.plain(note.unwrap_or_default()).into(),
            self.found(finding).into(),
            limit.into(),
            self.other(finding, beside.factory).into(),
            self.other(finding, beside.last).into(),
            sisters.into(),
            marked(finding).into(),
        ]);
    }

    /// The number of a remark; equal ones in one table share it.
    fn place(&self, remark: String, remarks: &mut Vec<(usize, String)>) -> usize {
        if let Some((number, _)) = remarks.iter().find(|(_, known)| *known == remark) {
            return *number;
        }
        let number = self.next_note();
        remarks.push((number, remark));
        number
    }

    fn other_pair(&self, finding: &Finding, main: Option<Pair>) -> String {
        match finding.pair {
            Some(pair) if Some(pair.ascending()) != main => {
                format!("{}: ", self.pen.say(&self.record.pair_text(pair)))
            }
            _ => String::new(),
        }
    }

    /// `317.3 ± 0.7 V`.
    fn found(&self, finding: &Finding) -> String {
        let text = say::found(self.w, self.criteria, finding);
        if text.is_empty() {
            NONE.to_owned()
        } else {
            self.pen.say(&text)
        }
    }

    fn limit(&self, finding: &Finding, sources: &mut Vec<String>) -> String {
        let limit = say::limit(finding);
        let (Some(against), false) = (&finding.against, limit.is_empty()) else {
            return NONE.to_owned();
        };
        let line = against
            .span
            .map(|span| format!(", line {}", self.source.line(span.start)))
            .unwrap_or_default();
        let note = against
            .cited
            .note
            .as_ref()
            .map(|note| format!("; {note}"))
            .unwrap_or_default();
        let from = match against.cited.provenance {
            // Read there; only what was not needs more words.
            Provenance::Seen => against.cited.source.clone(),
            Provenance::Memory | Provenance::Derived => against.cited.line(),
        };
        let text = self.pen.say(&format!("{from}{line}{note}"));
        let index = sources
            .iter()
            .position(|known| known.ends_with(&format!(") {text}")));
        let index = index.unwrap_or_else(|| {
            sources.push(format!("({}) {text}", letter(sources.len())));
            sources.len() - 1
        });
        format!("{} ({})", self.pen.say(&limit), letter(index))
    }

    /// The same value elsewhere, and by how much this one is off it.
    fn other(&self, finding: &Finding, other: Option<Other<'_>>) -> String {
        let Some(value) = other.and_then(|other| other.finding.found.value()) else {
            return NONE.to_owned();
        };
        let text = say::number(self.w, self.criteria, value, finding.unit).text();
        format!(
            "{}{}",
            self.pen.say(&text),
            self.deviation(finding, value.si)
        )
    }

    fn sisters(&self, finding: &Finding, median: f64, count: usize) -> String {
        // As finely as the value beside it is known.
        let own = finding
            .found
            .value()
            .map(|value| say::number(self.w, self.criteria, value, finding.unit).value);
        let places = own
            .filter(|text| !text.contains('e'))
            .map(|text| text.split_once('.').map_or(0, |(_, behind)| behind.len()));
        let shown = match places {
            Some(places) if median.abs() < 1e9 => {
                format!("{:.places$}", median * finding.unit.per_si)
            }
            _ => say::rounded(median * finding.unit.per_si, 4),
        };
        let nothing = shown
            .trim_start_matches('-')
            .bytes()
            .all(|b| matches!(b, b'0' | b'.'));
        let shown = if nothing {
            shown.trim_start_matches('-').to_owned()
        } else {
            shown
        };
        let text = if finding.unit.word.is_empty() {
            shown
        } else {
            format!("{shown} {}", finding.unit.word)
        };
        format!(
            "{}{}, of {count}",
            self.pen.say(&text),
            self.deviation(finding, median)
        )
    }

    /// By how many per cent the value found is off another; nothing for errors and angles.
    fn deviation(&self, finding: &Finding, other: f64) -> String {
        let (Found::Known(value), true) = (finding.found, is_proportional(finding.unit)) else {
            return String::new();
        };
        let share = 100.0 * (value.si / other - 1.0);
        if other == 0.0 || !share.is_finite() || share.abs() > 1e5 {
            return String::new();
        }
        let text = if share.abs() < 0.05 {
            "0.0 %".to_owned()
        } else {
            format!("{share:+.1} %").replace('-', "−")
        };
        format!("; {}", self.pen.mark(&text))
    }

    /// Remarks, reason and next step of a finding, on one line.
    fn remark(&self, finding: &Finding) -> Option<String> {
        let mut parts: Vec<String> = reason(&finding.verdict)
            .into_iter()
            .chain(finding.remarks.iter().cloned())
            .collect();
        if let Some(next) = &finding.next {
            parts.push(format!("next: {next}"));
        }
        (!parts.is_empty()).then(|| self.pen.say(&parts.join("; ")))
    }

    /// The step whose workings the appendix shows.
    pub(super) fn step_of(&self, finding: &Finding) -> Option<StepId> {
        finding.found.value().map(|value| value.step)
    }

    /// Where a finding stands: `core 2S, 2S1-2S2`, `the unit`.
    pub(super) fn subject_of(&self, finding: &Finding) -> String {
        let core = finding.core.and_then(|core| self.record.cores.get(core));
        match (core, finding.pair) {
            (Some(core), Some(pair)) => self.pen.say(&format!(
                "{}, {}",
                core.name,
                core.pair_text(pair.from, pair.to)
            )),
            (Some(core), None) => self.pen.say(&core.name),
            (None, _) => "unit".to_owned(),
        }
    }

    /// One line of the list of what deserves a look.
    pub(super) fn look(&self, finding: &Finding) -> Text {
        let mut line = format!(
            ": {}: {}",
            self.subject_of(finding),
            self.pen.say(&finding.what)
        );
        let found = say::found(self.w, self.criteria, finding);
        if !found.is_empty() {
            line.push_str(&format!(": {}", self.pen.say(&found)));
        }
        let limit = say::limit(finding);
        if let (Some(against), false) = (&finding.against, limit.is_empty()) {
            line.push_str(&format!(
                "; limit {} ({})",
                self.pen.say(&limit),
                self.pen.say(&against.cited.source)
            ));
        }
        let why = reason(&finding.verdict)
            .into_iter()
            .chain(finding.remarks.iter().cloned());
        for remark in why {
            line.push_str(&format!("; {}", self.pen.say(&remark)));
        }
        if let Some(span) = finding.points_at.first() {
            line.push_str(&format!("; line {}", self.source.line(span.start)));
        }
        let said = marked(finding).plain(line);
        match &finding.next {
            Some(next) => said
                .plain(". ")
                .and(Inline::Emphasis("Next:".to_owned()))
                .plain(format!(" {}", self.pen.say(next))),
            None => said,
        }
    }
}

/// Whether a deviation in per cent of the value says anything.
fn is_proportional(of: Unit) -> bool {
    ![
        unit::PERCENT,
        unit::MINUTE_OF_ARC,
        unit::CENTIRADIAN,
        unit::DEGREE,
    ]
    .contains(&of)
}

fn letter(index: usize) -> String {
    let small = u32::try_from(index % 26)
        .ok()
        .and_then(|at| char::from_u32(u32::from('a') + at))
        .unwrap_or('a');
    if index < 26 {
        small.to_string()
    } else {
        format!("{small}{}", index / 26)
    }
}

/// The number of a remark, raised.
fn superscript(number: usize) -> String {
    const RAISED: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    let digit = |c: char| {
        c.to_digit(10)
            .and_then(|digit| RAISED.get(digit as usize))
            .copied()
            .unwrap_or(c)
    };
    std::iter::once('\u{a0}')
        .chain(number.to_string().chars().map(digit))
        .collect()
}

/// Whether a finding belongs in the list of what deserves a look.
pub(super) fn deserves(finding: &Finding) -> bool {
    grade(finding.grade()) >= Grade::Review
}
