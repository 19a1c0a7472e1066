//! Partial discharge: the charge at the voltages that the standard asks for, behind a prestress.

use super::withstand::{held_by_primary, reaches, si};
use crate::derive::kinds::partial_discharge::Discharge;
use crate::document::say;
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::condition::{Condition, volts};
use crate::judge::decision::{WhyNot, Word};
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::partial_discharge as rules;
use crate::judge::words::brief;
use crate::record::kinds::Test;
use crate::record::kinds::partial_discharge::PartialDischarge;
use crate::standards::{DischargeLimit, Family, discharge_limits, prestress, threshold};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, body) in j.case.visit.of(Test::partial_discharge) {
        let all = j.derived.partial_discharge.iter();
        let read: Vec<&Discharge> = all.filter(|one| one.test == index).collect();
        let mut found = of_test(j, body, &read, test.span);
        for finding in &mut found {
            finding.section = Some(index);
        }
        // What stands there and is none is not what another test held.
        let doubtful = test.doubtful.or(body.prestress.unreadable());
        out.extend(found.into_iter().map(|one| one.withheld(doubtful)));
    }
}

/// A limit with the voltage that it holds at.
type Asked = (&'static DischargeLimit, f64);

fn of_test(
    j: &Judging<'_>,
    body: &PartialDischarge,
    read: &[&Discharge],
    at: Span,
) -> Vec<Finding> {
    let asked = asked(j);
    let near = |one: &Discharge| asked.iter().find(|asked| is_at(one.voltage, asked.1));
    let mut found: Vec<Finding> = read
        .iter()
        .map(|one| match near(one) {
            Some(asked) => held(j, body, one, *asked),
            None => told(j, one, &asked),
        })
        .collect();
    // A section with readings, and none where the standard asks for one.
    for (_, volts) in &asked {
        if !read.is_empty() && !read.iter().any(|one| is_at(one.voltage, *volts)) {
            let needs = say!("needs a reading at {}", self::volts(*volts));
            let mut finding = Finding::without(&rules::PARTIAL_DISCHARGE, unit::PICOCOULOMB)
                .under(Condition::Voltage(*volts))
                .verdict(Verdict::NotShown(needs));
            finding.points_at.push(at);
            found.push(finding);
        }
    }
    found
}

/// What the standard asks of the plate.
fn asked(j: &Judging<'_>) -> Vec<Asked> {
    let plate = &j.case.record.plate;
    let Some(um) = si(&plate.highest_voltage) else {
        return Vec::new();
    };
    let limits = discharge_limits(plate.family(), um, plate.neutral());
    limits.map(|limit| (limit, limit.voltage(um))).collect()
}

/// Whether a test voltage is the one that is asked for.
fn is_at(volts: f64, asked: f64) -> bool {
    let within = threshold("test-voltage-tolerance").map_or(0.0, |row| row.limit / 100.0);
    (volts - asked).abs() <= within * asked
}

fn finding(one: &Discharge, volts: f64) -> Finding {
    let finding = Finding::new(&rules::PARTIAL_DISCHARGE, one.charge, unit::PICOCOULOMB);
    let finding = finding.under(Condition::Voltage(volts)).headline();
    finding.within(one.test, None, one.at)
}

/// A charge at a voltage that nothing asks for. More than what is allowed at a higher one is too much.
fn told(j: &Judging<'_>, one: &Discharge, asked: &[Asked]) -> Finding {
    let plate = &j.case.record.plate;
    let told = finding(one, one.voltage);
    if plate.family() == Family::Iec && plate.highest_voltage.is_missing() {
        return told.verdict(Verdict::NotDecided(WhyNot::HighestVoltageMissing));
    }
    let above = asked.iter().filter(|(_, volts)| one.voltage < *volts);
    for (limit, _) in above {
        let Some(most) = limit.most(plate.insulation_kind()) else {
            continue;
        };
        let against = Against::at_most(most, &limit.cited);
        let silent = Verdict::NoLimit;
        let verdict = j.one_sided(&one.charge, &against, silent.clone(), silent);
        if matches!(verdict, Verdict::Word(Word::Fail) | Verdict::NotMet) {
            return told.held(against, verdict);
        }
    }
    told
}

fn held(j: &Judging<'_>, body: &PartialDischarge, one: &Discharge, asked: Asked) -> Finding {
    let (limit, volts) = asked;
    let plate = &j.case.record.plate;
    let mut held = finding(one, volts);
    if plate.neutral.is_missing() {
        held = held
            .remark("neutral taken as isolated: the rating plate does not say how it is earthed");
    }
    let Some(most) = limit.most(plate.insulation_kind()) else {
        return held;
    };
    let against = Against::at_most(most, &limit.cited);
    let below = Verdict::NotShown(say!(
        "needs the charge itself, or a bound of at most {}",
        brief(most * unit::PICOCOULOMB.per_si, unit::PICOCOULOMB.word)
    ));
    let verdict = match j.one_sided(&one.charge, &against, below.clone(), below) {
        pass @ Verdict::Word(Word::Pass | Word::ConditionalPass) => {
            not_prestressed(j, body).unwrap_or(pass)
        }
        verdict => verdict,
    };
    held.held(against, verdict)
}

/// What stands against a charge that is low enough: partial discharge is read on the way down from a
/// voltage that would have set it off.
fn not_prestressed(j: &Judging<'_>, body: &PartialDischarge) -> Option<Verdict> {
    let plate = &j.case.record.plate;
    let um = si(&plate.highest_voltage);
    let least = um.and_then(|um| prestress(plate.family(), um, si(&plate.bil)));
    let Some(least) = least else {
        return Some(Verdict::NotDecided(WhyNot::TestVoltageUnknown));
    };
    // An upper bound shows no least voltage.
    let stated = body.prestress.get().filter(|volts| volts.value.is_exact());
    let stated = stated.map(|volts| volts.value.si);
    let before = stated.or_else(|| held_by_primary(j));
    let enough = before.is_some_and(|volts| reaches(volts, least));
    let needs = || say!("needs a prestress of {}", volts(least));
    (!enough).then(|| Verdict::NotShown(needs()))
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{Bench, core};

    const ABOVE: &str = "prestress: 22.4 kV";

    fn of(plate: &str, head: &str, rows: &str) -> Bench {
        let test = format!("[partial-discharge]\n{head}\nvoltage/kV | charge/pC\n{rows}\n");
        let visit = format!("[visit 2026-01-05]\npurpose: factory\n{test}");
        let text = core("class: 5P20\nburden: 15 VA\nratio: 600/1 A", &visit);
        Bench::of(&text.replace("frequency: 50 Hz", &format!("frequency: 50 Hz\n{plate}")))
    }

    /// 1.2 x 12 kV is 14.4 kV and 14.4 kV/sqrt 3 is 8.31 kV; 50 and 20 pC in cast resin, 10 and 5 in oil.
    #[test]
    fn both_voltages_are_asked_for() {
        let told = |plate: &str, rows: &str| of(plate, ABOVE, rows).told("partial-discharge");
        let resin = "highest voltage: 12 kV\ninsulation: cast resin";
        let oil = "highest voltage: 12 kV\ninsulation: oil and paper";
        for (plate, rows, expected) in [
            (resin, "14.4 | 30\n8.31 | 12", "pass | pass"),
            (resin, "14.4 | 60\n8.31 | 12", "fail | pass"),
            (resin, "14.4 | <20\n8.31 | <2", "pass | pass"),
            (oil, "14.4 | 30\n8.31 | 3", "fail | pass"),
            (
                resin,
                "14.4 | 30",
                "pass | not shown: needs a reading at 8314 V",
            ),
            (
                resin,
                "12.0 | 3",
                "no limit | not shown: needs a reading at 14.4 kV | not shown: needs a reading at 8314 V",
            ),
            // At another voltage it is told, and judged where it is more than a higher one allows.
            (
                resin,
                "14.4 | 30\n8.31 | 12\n12 | 45",
                "pass | pass | no limit",
            ),
            (resin, "14.4 | 30\n8.31 | 12\n12 | 60", "pass | pass | fail"),
            (
                oil,
                "14.4 | <20\n8.31 | 3",
                "not shown: needs the charge itself, or a bound of at most 10 pC | pass",
            ),
            (
                "highest voltage: 12 kV\nneutral: earthed\ninsulation: gas",
                "12.0 | 3\n8.31 | 3",
                "pass | pass",
            ),
            (
                "highest voltage: 12 kV",
                "14.4 | 3\n8.31 | 3",
                "no limit | no limit",
            ),
            (
                // The prestress is seven times what such a unit is made for.
                "highest voltage: 0.72 kV\ninsulation: cast resin",
                "0.8 | 3",
                "not judged: a line of this section is not understood",
            ),
            (
                "insulation: cast resin",
                "14.4 | 3",
                "not decided: the plate gives no highest voltage for equipment",
            ),
        ] {
            assert_eq!(told(plate, rows), expected, "{plate}\n{rows}");
        }
    }

    /// 80 % of 28 kV is 22.4 kV.
    #[test]
    fn a_low_charge_counts_behind_a_prestress_only() {
        let plate = "highest voltage: 12 kV\ninsulation: cast resin";
        let rows = "14.4 | 30\n8.31 | 12";
        let told = |head: &str, rows: &str| of(plate, head, rows).told("partial-discharge");
        let needs = "not shown: needs a prestress of 22.4 kV";
        assert_eq!(told("", rows), format!("{needs} | {needs}"));
        assert_eq!(told("prestress: 20 kV", rows), format!("{needs} | {needs}"));
        let bound = "prestress: <28 kV";
        assert_eq!(told(bound, rows), format!("{needs} | {needs}"));
        // Too much is too much without one.
        assert_eq!(told("", "14.4 | 60\n8.31 | 12"), format!("fail | {needs}"));
        let withstand = "[withstand]\nbetween | voltage/kV | time/s | result\nprimary to cores and earth | 28 | 60 | held\n";
        assert_eq!(told("", &format!("{rows}\n\n{withstand}")), "pass | pass");
    }
}
