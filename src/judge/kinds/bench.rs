//! Small records for the tests of the judges: record text in, what the findings come to out.

use crate::derive;
use crate::derive::kindred::Kindred;
use crate::ground::source::Source;
use crate::judge::finding::Finding;
use crate::judge::{Assessment, Others, findings, words};
use crate::record::criteria::Criteria;
use crate::record::instruments;
use crate::record::{self, Record};

/// Two cores: `1S` of class 5P20 with two terminals, `2S` of class PX with three.
pub const PLATE: &str = "format: 1\n\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nhighest voltage: 145 kV\nfrequency: 50 Hz\n\
    insulation: oil and paper\n\n[core 1S]\nclass: 5P20\nburden: 15 VA\nratio: 600/1 A\nresistance: 3.40 ohm at 75 C\n\n\
    [core 2S]\nclass: PX\ntap ratio/A knee/V exciting/mA resistance/ohm\n2S1-2S2 300/1 150 60 1.75\n2S1-2S3 600/1 300 30 3.50\n\n";

/// An ordinary instrument, one good enough for any class, and one that is not.
const INSTRUMENTS: &str = "
M1 voltage from=0V to=2000V of_reading=0.1% digits=1
M1 current from=0A to=1000A of_reading=0.1% digits=1
M1 resistance from=0ohm to=100ohm of_reading=0.1% digits=1
M1 angle from=-180deg to=180deg floor=0.5deg digits=1
K1 ratio-error from=-200% to=200% floor=0.0001%
K1 phase from=-300arcmin to=300arcmin floor=0.01arcmin
K1 current to=1000A of_reading=0.02%
K1 voltage to=1000V of_reading=0.02%
K1 angle from=-180deg to=180deg floor=0.01deg
ROUGH resistance from=0ohm to=100ohm floor=0.02ohm
COARSE ratio-error from=-200% to=200% floor=0.5%
COARSE phase from=-300arcmin to=300arcmin floor=60arcmin
";

/// The instruments as their file has them.
fn instruments() -> instruments::Instruments {
    let mut file = String::new();
    let mut known = "";
    for line in INSTRUMENTS.lines().filter(|line| !line.is_empty()) {
        let mut words = line.split(' ');
        let id = words.next().unwrap();
        if id != known {
            file += &format!("[[instrument]]\nid = \"{id}\"\n");
            known = id;
        }
        let measures = words.next().unwrap();
        file += &format!("[[instrument.function]]\nmeasures = \"{measures}\"\n");
        for (key, value) in words.map(|word| word.split_once('=').unwrap()) {
            let unit = value.find(|c: char| c.is_alphabetic() || c == '%');
            file += &match unit.map(|at| value.split_at(at)) {
                Some((number, unit)) => format!("{key} = \"{number} {unit}\"\n"),
                None => format!("{key} = {value}\n"),
            };
        }
    }
    let (read, told) = instruments::read(&Source::new("instruments.toml", file.as_bytes()).0);
    assert!(told.is_empty(), "{told:?}\n{file}");
    read
}

/// A small record, derived and judged.
pub struct Bench {
    pub record: Record,
    pub assessment: Assessment,
    criteria: Criteria,
}

impl Bench {
    /// A whole record by the default criteria.
    pub fn of(text: &str) -> Self {
        Self::by(Criteria::default(), text)
    }

    /// A whole record by criteria of its own.
    pub fn by(criteria: Criteria, text: &str) -> Self {
        Self::made(criteria, text, Others::default())
    }

    /// A whole record among its sisters.
    pub fn among(text: &str, sisters: &[&str]) -> Self {
        let criteria = Criteria::default();
        let instruments = instruments();
        let shown = sisters.iter().map(|text| {
            let (record, _) = record::read_alone(&Source::new("s.ctr", text.as_bytes()).0);
            let values = derive::values(&record, Some(&instruments), &criteria);
            Kindred::of(&record, Some(&instruments), &criteria, &values)
        });
        let shown: Vec<Kindred> = shown.collect();
        let sisters: Vec<&Kindred> = shown.iter().collect();
        let others = Others {
            sisters: &sisters,
            mains: &[],
        };
        Self::made(criteria, text, others)
    }

    fn made(criteria: Criteria, text: &str, others: Others<'_>) -> Self {
        let (record, told) = record::read_alone(&Source::new("t.ctr", text.as_bytes()).0);
        let errors: Vec<&String> = told
            .iter()
            .filter(|told| told.is_error())
            .map(|told| &told.title)
            .collect();
        assert!(errors.is_empty() || text.contains("# broken"), "{errors:?}");
        let instruments = instruments();
        let values = derive::values(&record, Some(&instruments), &criteria);
        let assessment = findings(&record, (Some(&instruments), &criteria), values, others);
        Self {
            record,
            assessment,
            criteria,
        }
    }

    /// One visit with `M1` on [`PLATE`].
    pub fn visit(text: &str) -> Self {
        Self::of(&visit(PLATE, text))
    }

    /// The rules of the causes that the last visit names, in their order.
    pub fn causes(&self) -> Vec<&'static str> {
        let last = self.assessment.visits.last().unwrap();
        let causes = last.findings.iter().filter(|one| one.because.is_some());
        causes.map(|one| one.rule.id).collect()
    }

    /// The rules of the findings that the only cause of a rule explains.
    pub fn explained_by(&self, rule: &str) -> Vec<&'static str> {
        let cause = self.one(rule);
        let all = &self.assessment.visits.last().unwrap().findings;
        let explained = all.iter().filter(|one| cause.explains(one));
        explained.map(|one| one.rule.id).collect()
    }

    /// All findings of the last visit with this rule.
    pub fn all(&self, rule: &str) -> Vec<&Finding> {
        let last = self.assessment.visits.last().unwrap();
        let of_rule = |finding: &&Finding| finding.rule.id == rule;
        last.findings.iter().filter(of_rule).collect()
    }

    /// The only finding of the last visit with this rule.
    pub fn one(&self, rule: &str) -> &Finding {
        let found = self.all(rule);
        assert_eq!(found.len(), 1, "{rule}: {found:?}");
        found[0]
    }

    /// The number of the only finding, SI.
    pub fn value(&self, rule: &str) -> f64 {
        self.one(rule).value().unwrap().si
    }

    /// What each finding of a rule comes to: `pass`, `fails`, `not shown: needs readings up to 833 V`;
    /// empty where there is none.
    pub fn told(&self, rule: &str) -> String {
        let all = self.all(rule);
        let each = all.iter().map(|one| words::reasoned(&one.verdict));
        let each: Vec<String> = each.map(|told| told.to_string()).collect();
        each.join(" | ")
    }

    /// The only finding as it is printed, with its remarks and what is next behind it.
    pub fn says(&self, rule: &str) -> String {
        let finding = self.one(rule);
        let w = &self.assessment.workings;
        let sentence = words::sentence(&self.record, w, &self.criteria, finding);
        let because = words::behind(finding);
        let behind = finding.remarks.iter().chain(&because).chain(&finding.next);
        std::iter::once(&sentence)
            .chain(behind)
            .map(|phrase| phrase.plain(|_| 0))
            .collect::<Vec<_>>()
            .join("; ")
    }

    /// Whether the only finding, as printed, holds all of these words.
    #[track_caller]
    pub fn holds(&self, rule: &str, words: &[&str]) {
        let says = self.says(rule);
        for word in words {
            assert!(says.contains(word), "{word}: {says}");
        }
    }
}

/// A plate with one visit of `M1` behind it.
pub fn visit(plate: &str, text: &str) -> String {
    format!("{plate}\n[visit 2026-01-05]\npurpose: investigation\ninstrument: M1\n\n{text}\n")
}

/// A plate of one core under IEC, then the rest.
pub fn core(core: &str, rest: &str) -> String {
    format!(
        "format: 1\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n[core S]\nmarks: S1 S2\n{core}\n{rest}\n"
    )
}

/// What the findings of a rule come to, input by input.
#[track_caller]
pub fn table(rule: &str, bench: impl Fn(&str) -> Bench, rows: &[(&str, &str)]) {
    for (input, told) in rows {
        assert_eq!(bench(input).told(rule), *told, "{rule} of {input}");
    }
}

/// Why a section that is not understood has no verdict.
pub const BROKEN: &str = "not judged: a line of this section is not understood";
