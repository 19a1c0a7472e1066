//! Capacitance and dissipation factor of the primary's insulation: the factor against the client's limit, else the
//! figure of the standard, which is no requirement; the capacitance against that of an earlier visit.

use super::resistance::beside::{beyond, by_job};
use super::withstand::si;
use crate::derive::kinds::dissipation_factor::Insulated;
use crate::derive::outcome::Outcome;
use crate::derive::workings::Value;
use crate::document::{Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::condition::{Condition, volts};
use crate::judge::decision::Word;
use crate::judge::finding::{Against, Finding, Unit, Verdict, unit};
use crate::judge::rules::Rule;
use crate::judge::rules::dissipation_factor as rules;
use crate::judge::words::{self, brief};
use crate::record::criteria::Criteria;
use crate::record::occasion;
use crate::standards::{InsulationKind, dissipation_figure, threshold};
use crate::trade::{Between, Item};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for row in &j.derived.dissipation_factor {
        let factor = row.factor.map(|factor| of_factor(j, row, factor));
        let capacitance = row.capacitance.map(|found| of_capacitance(row, found));
        let change = capacitance.as_ref().and_then(|value| change(j, value, out));
        let found = [factor, capacitance, change].into_iter().flatten();
        out.extend(found.map(|finding| finding.withheld(row.doubtful)));
    }
}

fn made(rule: &'static Rule, row: &Insulated, (found, unit): (Outcome, Unit)) -> Finding {
    Finding::new(rule, found, unit)
        .within(row.test, None, row.at)
        .under(row.voltage.map(Condition::Voltage))
        .under(
            row.between
                .as_ref()
                .map(Between::text)
                .map(Condition::Between),
        )
}

fn of_capacitance(row: &Insulated, found: Outcome) -> Finding {
    let made = made(&rules::CAPACITANCE, row, (found, unit::PICOFARAD));
    match lacks(row) {
        Some(needs) => made.verdict(Verdict::NotShown(needs)),
        None => made,
    }
}

fn of_factor(j: &Judging<'_>, row: &Insulated, found: Outcome) -> Finding {
    let mut made = made(&rules::DISSIPATION_FACTOR, row, (found, unit::PERCENT)).headline();
    if let Some(t) = row.temperature {
        let t = Quantity::new(words::rounded(t.si, 3), "\u{b0}C");
        made = made.remark(say!("at {}, not corrected", t));
    }
    made.remarks
        .extend(words::temperature_by(row.temperature_by, "insulation"));
    if let Some(needs) = lacks(row) {
        return made.verdict(Verdict::NotShown(needs));
    }
    match limit(j, row) {
        Limit::None => made,
        Limit::OtherVoltage(volts) => made.remark(say!(
            "the figure of the standard holds at {}",
            self::volts(volts)
        )),
        Limit::Client(against) => {
            let verdict = held(j, row, found, &against);
            made.held(against, verdict)
        }
        // What "normally" holds fails nothing.
        Limit::Figure(against) => match held(j, row, found, &against) {
            Verdict::Word(Word::Fail | Word::ConditionalFail) | Verdict::NotMet => made
                .beyond(against)
                .remark("the standard tells it of a usual unit, and asks for nothing"),
            verdict => made.held(against, verdict),
        },
    }
}

/// What a row lacks that its reading says nothing without.
fn lacks(row: &Insulated) -> Option<Phrase> {
    match (&row.between, row.voltage) {
        (None, _) => Some("needs what was measured against what".into()),
        (_, None) => Some("needs the test voltage".into()),
        (Some(_), Some(_)) => None,
    }
}

fn held(j: &Judging<'_>, row: &Insulated, found: Outcome, against: &Against) -> Verdict {
    let most = against.requirement.upper.unwrap_or_default();
    let below = Verdict::NotShown(say!(
        "needs the factor itself, or a bound of at most {}",
        brief(most, unit::PERCENT.word)
    ));
    match j.one_sided(&found, against, below.clone(), below) {
        Verdict::Word(Word::Pass | Word::ConditionalPass) if row.temperature.is_none() => {
            Verdict::NotShown("needs the temperature of the insulation".into())
        }
        verdict => verdict,
    }
}

/// What a factor is held against.
enum Limit {
    None,
    Client(Against),
    /// What the standard calls usual.
    Figure(Against),
    /// The same holds at this voltage, V.
    OtherVoltage(f64),
}

fn limit(j: &Judging<'_>, row: &Insulated) -> Limit {
    // The tap's own insulation to earth is another one, with factors of its own.
    let mut from = row.between.iter().flat_map(|between| &between.from);
    if !from.any(|item| *item == Item::Primary) {
        return Limit::None;
    }
    if let Some(most) = j.case.criteria.dissipation_factor {
        let cited = Criteria::own("dissipation-factor", "dissipation factor");
        return Limit::Client(Against::at_most(most, &cited));
    }
    let plate = &j.case.record.plate;
    let um = si(&plate.highest_voltage);
    let oil = plate.insulation_kind() == InsulationKind::Oil;
    let figure = um
        .filter(|_| oil)
        .and_then(|um| dissipation_figure(plate.family(), um));
    let Some(((most, volts), read)) = figure.zip(row.voltage) else {
        return Limit::None;
    };
    let within = threshold("test-voltage-tolerance").map_or(0.0, |row| row.limit / 100.0);
    match (read - volts).abs() <= within * volts {
        true => Limit::Figure(Against::at_most(most.limit, &most.cited)),
        false => Limit::OtherVoltage(volts),
    }
}

/// Against what was read of the same insulation before, the maker's among it: the last earlier visit, else the first
/// one, which a slow change shows; else the rows above it in its own section.
fn change(j: &mut Judging<'_>, value: &Finding, above: &[Finding]) -> Option<Finding> {
    let own = || by_job(value, "capacitance", "capacitance against earlier values");
    let (limit, cited) = match j.case.criteria.capacitance_change {
        Some(limit) => (limit, own()),
        None => threshold("capacitance-moved").map(|row| (row.limit, row.cited.clone()))?,
    };
    let beside = above.iter().filter(|one| one.section == value.section);
    let beside = nearest(beside, value).map(|then| (then, None));
    let before = earlier(j, value);
    let (last, first) = (before.last(), before.first());
    let mut others = last.into_iter().chain(first).chain(&beside);
    others.find_map(|((then, volts), visit)| {
        let (rule, limit) = (&rules::CAPACITANCE_CHANGE, (limit, &cited));
        let mut made = beyond(j.w, rule, value, *then, limit)?;
        made.conditions.clone_from(&value.conditions);
        let read = j.number(*then, unit::PICOFARAD);
        let volts = self::volts(*volts);
        Some(made.remark(match visit {
            Some(visit) => say!("{} at {} at the visit of {}", read, volts, visit.clone()),
            None => say!("{} at {} in the same section", read, volts),
        }))
    })
}

/// A capacitance with its voltage.
type Read = (Value, f64);

/// What each earlier visit read of the same, oldest first, with the visit's name.
fn earlier(j: &Judging<'_>, value: &Finding) -> Vec<(Read, Option<String>)> {
    // A visit that repeats a reading confirms a change, and does not take it back.
    let together = occasion::up_to(j.case.record, j.case.index);
    let visits = j.earlier.iter().zip(&j.case.record.visits).enumerate();
    let visits = visits.filter(|(at, _)| !together.contains(at));
    let read = visits.filter_map(|(_, (assessed, visit))| {
        let read = nearest(assessed.findings.iter(), value)?;
        Some((read, Some(visit.name())))
    });
    read.collect()
}

/// Of readings of the same insulation the one at the nearest voltage, where that is near enough: its capacitance
/// hardly moves with it.
fn nearest<'f>(findings: impl Iterator<Item = &'f Finding>, value: &Finding) -> Option<Read> {
    let most = threshold("capacitance-voltages")?.limit;
    let volts = of_voltage(value)?;
    let off = |one: f64| libm::log(one / volts).abs();
    let same = findings.filter(|one| {
        let shown = !matches!(one.verdict, Verdict::NotJudged(_) | Verdict::NotShown(_));
        one.rule == value.rule && shown && of_between(one) == of_between(value)
    });
    let read = same.filter_map(|one| Some((one.known()?, of_voltage(one)?)));
    let near = read.filter(|(_, volts)| off(*volts) <= libm::log(most) + 1e-9);
    near.min_by(|(_, one), (_, other)| off(*one).total_cmp(&off(*other)))
}

fn of_voltage(finding: &Finding) -> Option<f64> {
    finding.conditions.iter().find_map(|one| match one {
        Condition::Voltage(volts) => Some(*volts),
        _ => None,
    })
}

fn of_between(finding: &Finding) -> Option<&String> {
    finding.conditions.iter().find_map(|one| match one {
        Condition::Between(text) => Some(text),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{Bench, core};
    use crate::record::criteria::Criteria;

    const OIL: &str = "highest voltage: 145 kV\ninsulation: oil and paper";
    const WARM: &str = "temperature: 22 C";

    fn by(criteria: Criteria, plate: &str, keys: &str, rows: &str) -> Bench {
        let test = format!(
            "[dissipation-factor]\n{keys}\nbetween | voltage/kV | capacitance/pF | factor/%\n{rows}\n"
        );
        let visit = format!("[visit 2026-01-05]\npurpose: factory\n{test}");
        let text = core("class: 5P20\nburden: 15 VA\nratio: 600/1 A", &visit);
        Bench::by(
            criteria,
            &text.replace("frequency: 50 Hz", &format!("frequency: 50 Hz\n{plate}")),
        )
    }

    fn told(plate: &str, keys: &str, rows: &str) -> String {
        by(Criteria::default(), plate, keys, rows).told("dissipation-factor")
    }

    /// 145 kV/sqrt 3 is 83.7 kV.
    #[test]
    fn the_figure_of_the_standard_holds_at_its_voltage_and_fails_nothing() {
        let all = "primary to cores and earth";
        for (rows, expected) in [
            ("83.7 | 812 | 0.31", "pass"),
            ("83.7 | 812 | 0.62", "review"),
            ("83.7 | 812 | <0.5", "pass"),
            (
                "83.7 | 812 | <0.8",
                "not shown: needs the factor itself, or a bound of at most 0.5 %",
            ),
            ("83.7 | 812 | >0.8", "review"),
            ("10 | 812 | 0.62", "no limit"),
            ("- | 812 | 0.31", "not shown: needs the test voltage"),
        ] {
            assert_eq!(
                told(OIL, WARM, &format!("{all} | {rows}")),
                expected,
                "{rows}"
            );
        }
        let row = "primary to cores and earth | 83.7 | 812 | 0.31";
        assert_eq!(
            told(OIL, "", row),
            "not shown: needs the temperature of the insulation"
        );
        assert_eq!(
            told(OIL, WARM, "- | 83.7 | 812 | 0.31"),
            "not shown: needs what was measured against what"
        );
        assert_eq!(
            told(OIL, WARM, "test tap to earth | 83.7 | 812 | 0.9"),
            "no limit"
        );
        assert_eq!(
            told(OIL, WARM, "primary to test tap | 83.7 | 812 | 0.9"),
            "review"
        );
        let other = "highest voltage: 145 kV\ninsulation: gas";
        assert_eq!(told(other, WARM, row), "no limit");
        let low = OIL.replace("145 kV", "36 kV");
        assert_eq!(
            told(&low, WARM, "primary to earth | 20.8 | 812 | 0.9"),
            "no limit"
        );
    }

    #[test]
    fn the_clients_limit_holds_at_any_voltage_and_can_fail() {
        let criteria = || Criteria {
            dissipation_factor: Some(0.4),
            ..Criteria::default()
        };
        let told = |rows: &str| by(criteria(), OIL, WARM, rows).told("dissipation-factor");
        assert_eq!(told("primary to earth | 10 | 812 | 0.31"), "pass");
        assert_eq!(told("primary to earth | 10 | 812 | 0.52"), "fail");
        assert_eq!(told("test tap to earth | 2 | 812 | 0.52"), "no limit");
    }

    #[test]
    fn a_capacitance_that_moved_is_told() {
        let rows = |value: &str| format!("primary to earth | 10 | {value} | 0.31");
        let by_job = |capacitance_change: Option<f64>, then: &str, now: &str| {
            let criteria = Criteria {
                capacitance_change,
                ..Criteria::default()
            };
            let rows = format!(
                "{}\n[visit 2027-01-05]\npurpose: maintenance\n[dissipation-factor]\n{WARM}\nbetween | voltage/kV | capacitance/pF | factor/%\n{}",
                rows(then),
                rows(now)
            );
            by(criteria, OIL, WARM, &rows).told("capacitance-change")
        };
        let of = |then: &str, now: &str| by_job(Some(3.0), then, now);
        // Without a figure of the job that of common practice is told: 852/812 is 4.9 %, 856/812 5.4 %.
        assert_eq!(by_job(None, "812", "852"), "");
        assert_eq!(by_job(None, "812", "856"), "review");
        assert_eq!(by_job(None, "702", "1056"), "review");
        assert_eq!(of("812", "818"), "");
        assert_eq!(of("812", "871"), "review");
        assert_eq!(of("812", "750"), "review");
    }

    /// What creeps moves little from visit to visit, and another voltage hides nothing.
    #[test]
    fn a_capacitance_is_held_against_the_first_and_the_last_reading_and_its_neighbour() {
        let head = "[dissipation-factor]\ntemperature: 22 C\nbetween | voltage/kV | capacitance/pF | factor/%";
        let row = |read: &str| format!("primary to earth | {read} | 0.31");
        let visits = |reads: &[&str]| {
            let later = reads.iter().skip(1).enumerate();
            let later: String = later
                .map(|(at, read)| {
                    let year = 2027 + at;
                    let row = row(read);
                    format!("\n[visit {year}-01-05]\npurpose: maintenance\n{head}\n{row}")
                })
                .collect();
            let rows = row(reads[0]) + &later;
            by(Criteria::default(), OIL, WARM, &rows)
        };
        for (reads, expected) in [
            (&["10 | 812", "10 | 848"][..], ""),
            (&["10 | 812", "10 | 848", "10 | 886"], "review"),
            (&["10 | 812", "10.1 | 1000"], "review"),
            (&["10 | 812", "20 | 1000"], "review"),
            (&["10 | 812", "21 | 1000"], ""),
        ] {
            assert_eq!(
                visits(reads).told("capacitance-change"),
                expected,
                "{reads:?}"
            );
        }
        visits(&["10 | 812", "10 | 848", "10 | 886"]).holds(
            "capacitance-change",
            &["812 pF at 10 kV at the visit of 2026-01-05"],
        );
        let two = |other: &str| {
            let rows = format!("{}\n{}", row("10 | 812"), row(other));
            by(Criteria::default(), OIL, WARM, &rows).told("capacitance-change")
        };
        assert_eq!(two("12 | 1000"), "review");
        assert_eq!(two("83.7 | 1000"), "");
    }
}
