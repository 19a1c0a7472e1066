//! Withstand voltage: what held and what broke down, and whether voltage and time are those that the
//! standard asks of the plate's highest voltage. What held less, or for less time, shows nothing.

use crate::document::{Grade, say};
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::judge::assess::Judging;
use crate::judge::condition::{Condition, volts};
use crate::judge::decision::WhyNot;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::Rule;
use crate::judge::rules::withstand as rules;
use crate::judge::words::brief;
use crate::record::Record;
use crate::record::core::{Core, core_index};
use crate::record::kinds::Test;
use crate::record::kinds::withstand::{Outcome, WithstandRow};
use crate::standards::{self, Cited, Family, TestVoltage, Threshold, threshold};
use crate::trade::between::together;
use crate::trade::{Between, Item, PairName, PrimaryMarks, Purpose};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, withstand) in j.case.visit.of(Test::withstand) {
        for row in &withstand.rows {
            for driven in driven(&j.case.record.cores, row) {
                let Some(finding) = observed(j, driven, row) else {
                    continue;
                };
                let finding = finding.within(index, driven.core(), row.span);
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
    /// A section of a winding, of a core or of the primary.
    Section(Option<usize>),
    Unknown,
}

impl Driven {
    fn core(self) -> Option<usize> {
        match self {
            Self::Core(core) => Some(core),
            Self::Section(core) => core,
            Self::Primary | Self::Unknown => None,
        }
    }

    fn rule(self) -> &'static Rule {
        match self {
            Self::Section(_) => &rules::BETWEEN_SECTIONS,
            Self::Primary | Self::Core(_) | Self::Unknown => &rules::WITHSTAND,
        }
    }

    /// What a winding is tested against: earth, and all other windings on it.
    fn others(self, record: &Record) -> Vec<Item> {
        let (primary, cores) = match self {
            Self::Core(_) => (record.plate.may_have_own_primary(), record.cores.len() > 1),
            Self::Primary | Self::Section(_) | Self::Unknown => (false, !record.cores.is_empty()),
        };
        let items = [
            primary.then_some(Item::Primary),
            cores.then_some(Item::Cores),
            Some(Item::Earth),
        ];
        items.into_iter().flatten().collect()
    }

    /// Whether its test is against what it has to hold: all others and earth, or another section of the same winding,
    /// which has no terminal in common with it.
    fn is_against(self, record: &Record, between: &Between) -> bool {
        let cores = &record.cores;
        let Self::Section(winding) = self else {
            let is_named = |core: usize| {
                let named = |item: &Item| matches!(item, Item::Core(name) if core_index(cores, name) == Some(core));
                self.core() == Some(core) || between.to.iter().any(named)
            };
            let has = |item: &Item| {
                let all = || *item == Item::Cores && (0..cores.len()).all(is_named);
                between.to.contains(item) || all()
            };
            return self.others(record).iter().all(has);
        };
        let sections = |side: &[Item]| -> Vec<PairName> {
            let all = side.iter().filter_map(|item| match item {
                Item::Section(ends) => Some(ends.clone()),
                _ => None,
            });
            all.filter(|ends| winding_of(cores, ends) == winding)
                .collect()
        };
        let (from, to) = (sections(&between.from), sections(&between.to));
        let apart = |a: &PairName, b: &PairName| {
            [&a.from, &a.to]
                .iter()
                .all(|end| **end != b.from && **end != b.to)
        };
        let all = from.iter().all(|a| to.iter().all(|b| apart(a, b)));
        all && !from.is_empty() && !to.is_empty()
    }
}

/// The core whose winding a section is of; none for the primary's.
fn winding_of(cores: &[Core], ends: &PairName) -> Option<usize> {
    let has = |core: &Core| core.position(&ends.from).is_some();
    cores.iter().position(has)
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
        Item::Section(ends) => {
            // A winding between its ends is no section of it.
            let whole = |core: &Core| {
                let at = [&ends.from, &ends.to].map(|end| core.position(end));
                at == [Some(0), Some(core.last_mark())] || at == [Some(core.last_mark()), Some(0)]
            };
            let marks = PrimaryMarks::of(&ends.from).zip(PrimaryMarks::of(&ends.to));
            let primary = marks.is_some_and(|((a, first), (b, second))| a == b && first != second);
            match winding_of(cores, ends) {
                Some(core) if cores.get(core).is_some_and(whole) => vec![Driven::Core(core)],
                None if primary => vec![Driven::Primary],
                winding => vec![Driven::Section(winding)],
            }
        }
        Item::Earth | Item::TestTap => Vec::new(),
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
    let empty = row.voltage.is_missing() && row.time.is_missing();
    let finding = outcome(driven.rule(), &row.result, empty)?;
    let finding = match row.result.value() {
        Some(Outcome::Held) => held(j, driven, row, finding),
        Some(Outcome::BrokeDown) | None => finding,
    };
    let between = row.between.value().map(Between::text);
    let finding = finding
        .under(si(&row.voltage).map(Condition::Voltage))
        .under(si(&row.time).map(Condition::HeldFor))
        .under(between.map(Condition::Between));
    Some(finding)
}

/// What came of a voltage that was to be held; nothing while the row is `empty` and without a result.
pub(super) fn outcome(
    rule: &'static Rule,
    result: &Given<Outcome>,
    empty: bool,
) -> Option<Finding> {
    let seen = |observed, grade| Finding::observation(rule, observed, grade).headline();
    match result.value() {
        Some(Outcome::Held) => Some(seen("held", Grade::Info)),
        Some(Outcome::BrokeDown) => Some(seen("broke down", Grade::Fails)),
        None if empty && result.is_missing() => None,
        None => {
            let needs = Verdict::NotShown("needs the result".into());
            Some(seen("", Grade::Open).verdict(needs))
        }
    }
}

pub(super) fn si(given: &Given<Quantity>) -> Option<f64> {
    given.value().map(|value| value.si)
}

/// Whether it was held as long as the standard asks for.
pub(super) fn is_long(time: &Given<Quantity>, least: &Threshold) -> bool {
    si(time).is_some_and(|time| reaches(time, least.limit))
}

/// Whether a value is at least this, but for the rounding of its digits.
pub(super) fn reaches(value: f64, least: f64) -> bool {
    value >= least * (1.0 - 1e-9)
}

/// Holds voltage and time of what held against what they have to be.
fn held(j: &Judging<'_>, driven: Driven, row: &WithstandRow, finding: Finding) -> Finding {
    let (full, cited) = match full(j, driven) {
        Ok(asked) => asked,
        Err(verdict) => return finding.verdict(verdict),
    };
    let Some(time) = threshold("withstand-time") else {
        return finding.verdict(Verdict::NotDecided(WhyNot::TestVoltageUnknown));
    };
    let (share, passed) = (repeat(j, driven), was_passed(j, driven));
    let (asked, cited) = match share {
        Some(share) if passed => (lowered(full, share.limit / 100.0), &share.cited),
        _ => (full, &cited),
    };
    let (TestVoltage::One(least) | TestVoltage::Between(least, _)) = asked;
    let mut against = Against::at_least(least, cited);
    let record = j.case.record;
    let is_against = |between: &Between| driven.is_against(record, between);
    let is_against = row.between.value().is_some_and(is_against);
    let needs_it = match driven {
        Driven::Section(_) => "needs the test to another section of the same winding".into(),
        Driven::Primary | Driven::Core(_) | Driven::Unknown => {
            say!("needs the test to {}", together(&driven.others(record)))
        }
    };
    let read = si(&row.voltage);
    let reaches = |asked: f64| read.is_some_and(|read| reaches(read, asked));
    let long = is_long(&row.time, time);
    let needs = |least: f64| {
        say!(
            "needs {} for {}",
            volts(least),
            brief(time.limit, unit::SECOND.word)
        )
    };
    let verdict = match asked {
        _ if !is_against => Verdict::NotShown(needs_it),
        _ if !long || !reaches(least) => Verdict::NotShown(needs(least)),
        TestVoltage::Between(low, high) if !reaches(high) => {
            against = Against::between(low, high, cited);
            Verdict::NotShown(say!(
                "needs the BIL on the rating plate, which tells {} from {}",
                volts(low),
                volts(high)
            ))
        }
        TestVoltage::One(_) | TestVoltage::Between(..) => Verdict::Observed(Grade::Pass),
    };
    let less = share.filter(|share| !reaches(least) && reaches(least * share.limit / 100.0));
    let less = less.filter(|_| !passed);
    let mut finding = finding.held(against, verdict);
    if let Some(share) = less {
        finding = finding.remark(say!(
            "{} of it is enough for a test that is repeated, and no earlier visit on record passed the whole one",
            brief(share.limit, unit::PERCENT.word)
        ));
    }
    finding.unit = unit::voltage(least);
    finding
}

/// The share of the full voltage that a repeated test is made with; IEC has it for the primary.
fn repeat(j: &Judging<'_>, driven: Driven) -> Option<&'static Threshold> {
    let iec = j.case.record.plate.family() == Family::Iec;
    let repeated = iec && driven == Driven::Primary && j.case.visit.purpose() != Purpose::Factory;
    threshold("iec-withstand-repeat").filter(|_| repeated)
}

/// Whether earlier visits show that the winding held all that is asked of it, and did not break down since.
fn was_passed(j: &Judging<'_>, driven: Driven) -> bool {
    let core = driven.core();
    let before = j.earlier.iter().flat_map(|visit| &visit.findings);
    let own = before.filter(|one| one.rule == &rules::WITHSTAND && one.core == core);
    own.fold(false, |passed, one| match one.grade() {
        Grade::Pass => true,
        Grade::Fails => false,
        Grade::Info | Grade::Open | Grade::Review => passed,
    })
}

/// The voltage that the standard of the plate asks for at the maker's, and whose it is; or why it is not
/// known.
fn full(j: &Judging<'_>, driven: Driven) -> Result<(TestVoltage, Cited), Verdict> {
    let plate = &j.case.record.plate;
    let unknown = || Verdict::NotDecided(WhyNot::TestVoltageUnknown);
    let family = plate.family();
    match driven {
        Driven::Unknown => Err(Verdict::NotShown(
            "needs what was tested against what".into(),
        )),
        Driven::Core(_) => {
            let row = standards::withstand_secondary(family).ok_or_else(unknown)?;
            Ok((TestVoltage::One(row.limit), row.cited.clone()))
        }
        Driven::Section(_) => {
            let row = standards::withstand_sections(family).ok_or_else(unknown)?;
            Ok((TestVoltage::One(row.limit), row.cited.clone()))
        }
        Driven::Primary => {
            let missing = || Verdict::NotDecided(WhyNot::HighestVoltageMissing);
            let um = si(&plate.highest_voltage).ok_or_else(missing)?;
            let levels = standards::withstand(family, um).ok_or_else(unknown)?;
            let asked = levels.voltage(si(&plate.bil)).ok_or_else(unknown)?;
            Ok((asked, levels.cited.clone()))
        }
    }
}

/// The highest voltage that the primary held to earth for its full time at this visit, V; none where it
/// broke down. A certificate's order is not the order of the work.
pub(super) fn held_by_primary(j: &Judging<'_>) -> Option<f64> {
    let tests = j.case.visit.of(Test::withstand);
    let tests = tests.filter(|(_, test, _)| test.doubtful.is_none());
    let rows = tests.flat_map(|(_, _, withstand)| &withstand.rows);
    let on_primary =
        |row: &&WithstandRow| driven(&j.case.record.cores, row).contains(&Driven::Primary);
    let rows: Vec<&WithstandRow> = rows.filter(on_primary).collect();
    let broke = |row: &&WithstandRow| row.result.value() == Some(&Outcome::BrokeDown);
    let time = threshold("withstand-time").filter(|_| !rows.iter().any(broke))?;
    let held = rows.into_iter().filter(|row| {
        let to_earth = row
            .between
            .value()
            .is_some_and(|between| between.to.contains(&Item::Earth));
        let held = row.result.value() == Some(&Outcome::Held);
        held && to_earth && is_long(&row.time, time)
    });
    held.filter_map(|row| si(&row.voltage)).reduce(f64::max)
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
                ("1S to primary, 2S and earth | 3 | 60 | held", "pass"),
                ("2S to earth | 2 | 12 | broke-down", "fails"),
                (
                    "1S to primary, 2S and earth | <4 | 60 | held # broken",
                    "not shown: needs 3000 V for 60 s",
                ),
                (
                    "1S to primary, 2S and earth | 3 | <90 | held # broken",
                    "not shown: needs 3000 V for 60 s",
                ),
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
            (
                iec,
                "",
                "1S to primary, cores and earth | 3 | 60 | held",
                "pass",
            ),
            (
                iec,
                "",
                "1S to primary, cores and earth | 2 | 60 | held",
                "not shown: needs 3000 V for 60 s",
            ),
            (
                iec,
                "",
                "1S to primary, cores and earth | 3 | 12 | held",
                "not shown: needs 3000 V for 60 s",
            ),
            (
                iec,
                "",
                "1S to primary, cores and earth | 3 | - | held",
                "not shown: needs 3000 V for 60 s",
            ),
            (
                iec,
                "",
                "1S to 2S | 3 | 60 | held",
                "not shown: needs the test to primary, cores and earth",
            ),
            (
                iec,
                "",
                "1S to earth | 3 | 60 | held",
                "not shown: needs the test to primary, cores and earth",
            ),
            (
                iec,
                "",
                "1S to primary and earth | 3 | 60 | held",
                "not shown: needs the test to primary, cores and earth",
            ),
            (
                iec,
                bil,
                "primary to earth | 230 | 60 | held",
                "not shown: needs the test to cores and earth",
            ),
            (
                ieee,
                "",
                "1S to primary, cores and earth | 2.5 | 60 | held",
                "pass",
            ),
            // Without a highest voltage there is nothing to hold it against.
            (
                iec,
                "",
                "primary to cores and earth | 3 | 60 | held",
                "not decided: the plate gives no highest voltage for equipment",
            ),
            (
                iec,
                "",
                "- | 3 | 60 | held",
                "not shown: needs what was tested against what",
            ),
            (
                "standard: BS 3938:1973\n",
                "",
                "1S to primary, cores and earth | 3 | 60 | held",
                "not decided: no test voltage is known for this rating plate",
            ),
            (
                iec,
                bil,
                "primary to cores and earth | 230 | 60 | held",
                "pass",
            ),
            (
                iec,
                bil,
                "P1-P2 to cores and earth | 230 | 60 | held",
                "pass",
            ),
            (
                iec,
                bil,
                "primary to cores and earth | 185 | 60 | held",
                "not shown: needs 230 kV for 60 s",
            ),
        ];
        for (standard, voltage, row, told) in rows {
            let input = format!("{standard}{voltage}; {row}");
            table("withstand", of, &[(&input, told)]);
        }
        let both = "highest voltage: 145 kV";
        let said = of(&format!(
            "{iec}{both}; primary to cores and earth | 230 | 60 | held"
        ));
        assert!(said.told("withstand").contains("needs the BIL"));
        let highest = of(&format!(
            "{iec}{both}; primary to cores and earth | 275 | 60 | held"
        ));
        assert_eq!(highest.told("withstand"), "pass");
        // Cores that were driven together are not the primary.
        let cores = of(&format!(
            "{iec}; cores to primary and earth | 3 | 60 | held"
        ));
        let on: Vec<_> = cores.all("withstand").iter().map(|one| one.core).collect();
        assert_eq!(on, [Some(0), Some(1)]);
    }

    #[test]
    fn sections_are_tested_against_each_other() {
        let of = |row: &str| {
            let (standard, row) = row.split_once("; ").unwrap();
            let plate = PLATE.replace("standard: IEC 61869-2:2012", standard);
            let head = "[withstand]\nbetween | voltage/kV | time/s | result";
            Bench::of(&visit(&plate, &format!("{head}\n{row}\n")))
        };
        let iec = "standard: IEC 61869-2:2012";
        for (standard, row, told) in [
            (iec, "P1-C1 to C2-P2 | 3 | 60 | held", "pass"),
            (
                iec,
                "P1-C1 to P1-C1 | 3 | 60 | held",
                "not shown: needs the test to another section of the same winding",
            ),
            (
                iec,
                "P1-C1 to C1-P2 | 3 | 60 | held",
                "not shown: needs the test to another section of the same winding",
            ),
            (
                iec,
                "P1-C1 to 2S1-2S2 | 3 | 60 | held",
                "not shown: needs the test to another section of the same winding",
            ),
            (
                iec,
                "P1-C1 to C2-P2 | 2 | 60 | held",
                "not shown: needs 3000 V for 60 s",
            ),
            (
                iec,
                "P1-C1 to C2-P2 | 3 | 10 | held",
                "not shown: needs 3000 V for 60 s",
            ),
            (
                iec,
                "P1-C1 to earth | 3 | 60 | held",
                "not shown: needs the test to another section of the same winding",
            ),
            (iec, "P1-C1 to C2-P2 | 1 | 2 | broke-down", "fails"),
            (
                iec,
                "P1-C1 to C2-P2 | 3 | 60 | -",
                "not shown: needs the result",
            ),
            (
                "standard: IEEE C57.13-2016",
                "H1-H3 to H4-H2 | 3 | 60 | held",
                "not decided: no test voltage is known for this rating plate",
            ),
        ] {
            let input = format!("{standard}; {row}");
            table("withstand-sections", of, &[(&input, told)]);
            assert!(of(&input).all("withstand").is_empty(), "{input}");
        }
    }

    /// 80 % of 275 kV is 220 kV.
    #[test]
    fn less_is_enough_only_behind_a_full_test_on_record() {
        let rows =
            "[withstand]\nbetween | voltage/kV | time/s | result\nprimary to cores and earth";
        let last =
            format!("[visit 2026-02-01]\npurpose: commissioning\n{rows} | 220 | 60 | held\n");
        let behind = |first: &str| {
            let plate = PLATE.replace(
                "highest voltage: 145 kV",
                "highest voltage: 145 kV\nBIL: 650 kV",
            );
            Bench::of(&format!("{plate}{first}\n{last}"))
        };
        let maker = |row: &str| format!("[visit 2026-01-05]\npurpose: factory\n{rows} | {row}\n");
        table(
            "withstand",
            |row| behind(&maker(row)),
            &[
                ("275 | 60 | held", "pass"),
                ("220 | 60 | held", "not shown: needs 275 kV for 60 s"),
                (
                    "275 | 60 | held\nprimary to earth | 275 | 60 | broke-down",
                    "not shown: needs 275 kV for 60 s",
                ),
                ("275 | 60 | broke-down", "not shown: needs 275 kV for 60 s"),
            ],
        );
        behind("").holds(
            "withstand",
            &["needs 275 kV for 60 s", "no earlier visit on record"],
        );
    }
}
