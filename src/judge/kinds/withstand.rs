//! Withstand voltage: what held and what broke down, and whether voltage and time are those that the
//! standard asks of the plate's highest voltage. What held less, or for less time, shows nothing.

use crate::document::{Grade, say};
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::withstand as rules;
use crate::judge::words::brief;
use crate::record::core::{Core, core_index};
use crate::record::kinds::Test;
use crate::record::kinds::withstand::{Outcome, WithstandRow};
use crate::standards::{self, Cited, Family, TestVoltage, threshold};
use crate::trade::{Between, Item, Purpose};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, withstand) in j.case.visit.of(Test::withstand) {
        for row in &withstand.rows {
            for driven in driven(&j.case.record.cores, row) {
                let Some(finding) = observed(j, driven, row) else {
                    continue;
                };
                let core = match driven {
                    Driven::Core(core) => Some(core),
                    Driven::Primary | Driven::Unknown => None,
                };
                let finding = finding.within(index, core, row.span);
                out.push(finding.withheld(test.doubtful));
            }
        }
    }
}

/// What the voltage was on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Driven {
    Primary,
    Core(usize),
    Unknown,
}

/// Everything that was driven: several cores together are each tested.
fn driven(cores: &[Core], row: &WithstandRow) -> Vec<Driven> {
    let Some(between) = row.between.value() else {
        return vec![Driven::Unknown];
    };
    let of = |item: &Item| match item {
        Item::Primary => vec![Driven::Primary],
        Item::Cores => (0..cores.len()).map(Driven::Core).collect(),
        Item::Core(name) => core_index(cores, name)
            .into_iter()
            .map(Driven::Core)
            .collect(),
        Item::Earth => Vec::new(),
    };
    let all: Vec<Driven> = between.from.iter().flat_map(of).collect();
    if all.is_empty() {
        vec![Driven::Unknown]
    } else {
        all
    }
}

/// What a row says; nothing while all of it waits to be filled in.
fn observed(j: &Judging<'_>, driven: Driven, row: &WithstandRow) -> Option<Finding> {
    let seen = |observed: &'static str, grade| {
        Finding::observation(&rules::WITHSTAND, observed, grade).headline()
    };
    let empty = row.result.is_missing() && row.voltage.is_missing() && row.time.is_missing();
    let finding = match row.result.value() {
        Some(Outcome::Held) => held(j, driven, row, seen("held", Grade::Info)),
        Some(Outcome::BrokeDown) => seen("broke down", Grade::Fails),
        None if empty => return None,
        None => seen("", Grade::Open).verdict(Verdict::NotShown("needs the result".into())),
    };
    let between = row.between.value().map(Between::text);
    let finding = finding
        .under(si(&row.voltage).map(Condition::Voltage))
        .under(si(&row.time).map(Condition::HeldFor))
        .under(between.map(Condition::Between));
    Some(finding)
}

fn si(given: &Given<Quantity>) -> Option<f64> {
    given.value().map(|value| value.si)
}

/// Holds voltage and time of what held against what they have to be. Without a known limit it is
/// told and no more.
fn held(j: &Judging<'_>, driven: Driven, row: &WithstandRow, finding: Finding) -> Finding {
    let (Some((asked, cited)), Some(time)) = (asked(j, driven), threshold("withstand-time")) else {
        return finding.remark("no test voltage is known that it could be held against");
    };
    let (TestVoltage::One(least) | TestVoltage::Between(least, _)) = asked;
    let mut against = Against::at_least(least, &cited);
    let to_earth = row.between.value().is_some_and(|between| {
        let mut to = between.to.iter();
        to.any(|item| matches!(item, Item::Earth))
    });
    let (volts, seconds) = (si(&row.voltage), si(&row.time));
    let reaches = |asked: f64| volts.is_some_and(|volts| volts >= asked * (1.0 - 1e-9));
    let long = seconds.is_some_and(|seconds| seconds >= time.limit * (1.0 - 1e-9));
    let needs = |least: f64| {
        say!(
            "needs {} for {}",
            brief(least, unit::VOLT.word),
            brief(time.limit, unit::SECOND.word)
        )
    };
    let verdict = match asked {
        _ if !to_earth => Verdict::NotShown("needs the test to earth".into()),
        _ if !long || !reaches(least) => Verdict::NotShown(needs(least)),
        TestVoltage::Between(low, high) if !reaches(high) => {
            against = Against::between(low, high, &cited);
            Verdict::NotShown(say!(
                "needs the BIL on the rating plate, which tells {} from {}",
                brief(low, unit::VOLT.word),
                brief(high, unit::VOLT.word)
            ))
        }
        TestVoltage::One(_) | TestVoltage::Between(..) => Verdict::Observed(Grade::Pass),
    };
    let mut finding = finding.held(against, verdict);
    finding.unit = unit::VOLT;
    finding
}

/// The voltage that the standard of the plate asks for, and whose it is.
fn asked(j: &Judging<'_>, driven: Driven) -> Option<(TestVoltage, Cited)> {
    let plate = &j.case.record.plate;
    let family = plate.family();
    match driven {
        Driven::Unknown => None,
        Driven::Core(_) => {
            let row = standards::withstand_secondary(family)?;
            Some((TestVoltage::One(row.limit), row.cited.clone()))
        }
        Driven::Primary => {
            let levels = standards::withstand(family, si(&plate.highest_voltage)?)?;
            let asked = levels.voltage(si(&plate.bil))?;
            let repeated = family == Family::Iec && j.case.visit.purpose() != Purpose::Factory;
            match threshold("iec-withstand-repeat").filter(|_| repeated) {
                Some(share) => Some((lowered(asked, share.limit / 100.0), share.cited.clone())),
                None => Some((asked, levels.cited.clone())),
            }
        }
    }
}

/// A repeated test is made with less.
fn lowered(asked: TestVoltage, share: f64) -> TestVoltage {
    match asked {
        TestVoltage::One(volts) => TestVoltage::One(share * volts),
        TestVoltage::Between(low, high) => TestVoltage::Between(share * low, share * high),
    }
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{Bench, PLATE, table, visit};

    #[test]
    fn what_broke_down_fails_and_without_a_result_nothing_is_judged() {
        let of = |row: &str| {
            Bench::visit(&format!(
                "[withstand]\nbetween | voltage/kV | time/s | result\n{row}\n"
            ))
        };
        table(
            "withstand",
            of,
            &[
                ("1S to primary and earth | 3 | 60 | held", "pass"),
                ("2S to earth | 2 | 12 | broke-down", "fails"),
                (
                    "1S to primary and earth | 3 | 60 | -",
                    "not shown: needs the result",
                ),
                ("1S to primary and earth | - | - | -", ""),
            ],
        );
        let broken = of("2S to earth | 2 | 12 | broke-down");
        let said = "2S: withstand at 2000 V for 12 s, 2S to earth: broke down";
        assert_eq!(broken.says("withstand"), said);
        assert!(broken.one("withstand").action().is_some());
        let held = of("1S to primary and earth | 3 | 60 | held");
        assert!(held.one("withstand").action().is_none());
    }

    #[test]
    fn less_voltage_or_less_time_than_the_standard_asks_for_shows_nothing() {
        let of = |row: &str| {
            let (standard, row) = row.split_once("; ").unwrap();
            let plate = PLATE.replace(
                "standard: IEC 61869-2:2012\nhighest voltage: 145 kV",
                standard,
            );
            let text = format!("[withstand]\nbetween | voltage/kV | time/s | result\n{row}\n");
            let text = visit(&plate, &text).replace("investigation", "factory");
            Bench::of(&text)
        };
        let iec = "standard: IEC 61869-2:2012\n";
        let ieee = "standard: IEEE C57.13-2016\n";
        let bil = "highest voltage: 145 kV\nBIL: 550 kV";
        let rows = [
            (iec, "", "1S to earth | 3 | 60 | held", "pass"),
            (
                iec,
                "",
                "1S to earth | 2 | 60 | held",
                "not shown: needs 3000 V for 60 s",
            ),
            (
                iec,
                "",
                "1S to earth | 3 | 12 | held",
                "not shown: needs 3000 V for 60 s",
            ),
            (
                iec,
                "",
                "1S to earth | 3 | - | held",
                "not shown: needs 3000 V for 60 s",
            ),
            (
                iec,
                "",
                "1S to 2S | 3 | 60 | held",
                "not shown: needs the test to earth",
            ),
            (ieee, "", "1S to earth | 2.5 | 60 | held", "pass"),
            // Without a highest voltage there is nothing to hold it against.
            (iec, "", "primary to earth | 3 | 60 | held", "info"),
            (iec, bil, "primary to earth | 230 | 60 | held", "pass"),
            (
                iec,
                bil,
                "primary to earth | 185 | 60 | held",
                "not shown: needs 230000 V for 60 s",
            ),
        ];
        for (standard, voltage, row, told) in rows {
            let input = format!("{standard}{voltage}; {row}");
            table("withstand", of, &[(&input, told)]);
        }
        let both = "highest voltage: 145 kV";
        let said = of(&format!("{iec}{both}; primary to earth | 230 | 60 | held"));
        assert!(said.told("withstand").contains("needs the BIL"));
        let highest = of(&format!("{iec}{both}; primary to earth | 275 | 60 | held"));
        assert_eq!(highest.told("withstand"), "pass");
        // Cores that were driven together are not the primary.
        let cores = of(&format!(
            "{iec}; cores to primary and earth | 3 | 60 | held"
        ));
        let on: Vec<_> = cores.all("withstand").iter().map(|one| one.core).collect();
        assert_eq!(on, [Some(0), Some(1)]);
    }
}
