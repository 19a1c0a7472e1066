//! Stability of a differential zone: little operates while the current goes through it, and much while it
//! ends inside. A zone with a turned transformer is quiet for a fault inside.

use super::in_service::lacks;
use super::text;
use crate::derive::kinds::stability::Balance;
use crate::derive::outcome::Outcome;
use crate::document::{Grade, Phrase, say};
use crate::ground::number::Bound;
use crate::ground::quantity::Quantity;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::stability as rules;
use crate::judge::words::brief;
use crate::record::kinds::Test;
use crate::record::kinds::load::LoadRow;
use crate::record::kinds::stability::{Fault, Stability, StabilityRow};
use crate::standards::{Cited, threshold};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, stability) in j.case.visit.of(Test::stability) {
        for (place, row) in stability.rows.iter().enumerate() {
            let mut all = j.derived.stability.iter();
            let balance = all.find(|one| one.test == index && one.row == place);
            let finding = one(j, (index, stability), row, balance);
            // By a limit that cannot be read nothing passes, nor by the job's in its place.
            let doubtful = test.doubtful.or(stability.limit.unreadable());
            out.extend(finding.map(|finding| finding.withheld(doubtful)));
        }
    }
}

fn one(
    j: &Judging<'_>,
    (section, stability): (usize, &Stability),
    row: &StabilityRow,
    balance: Option<&Balance>,
) -> Option<Finding> {
    let core = row.core?;
    let inside = stability.fault.value() == Some(&Fault::InZone);
    // Where the section names no zone, the one that the duty names is meant.
    let duty = j.case.record.duty_on(core, j.case.visit.date.value);
    let named = Some(text(&stability.zone)).filter(|zone| !zone.is_empty());
    let of_duty = duty.map(|duty| text(&duty.zone));
    let of_duty = of_duty.filter(|zone| !zone.is_empty());
    let has_zone = of_duty.is_some();
    let zone = named.or(of_duty);
    let zone = zone.map(|zone| Condition::Item(zone.to_owned()));
    let fault = inside.then(|| Condition::Item("fault in the zone".to_owned()));
    let placed = |finding: Finding| {
        let placed = finding.within(section, Some(core), row.span).headline();
        let placed = placed.under(zone).under(fault);
        placed.of_row(&row.at, &row.remark).of_phase(&row.phase)
    };
    let rule = &rules::STABILITY;
    let Some(balance) = balance else {
        let blank = row.operate.is_missing() && row.restrain.is_missing();
        let read = [
            (&row.operate, "needs the operating current"),
            (&row.restrain, "needs the restraining current"),
        ];
        let needs = lacks(read, blank && text(&row.remark).is_empty())?;
        return Some(placed(Finding::without(rule, unit::PERCENT).needs(needs)));
    };
    let mut finding = placed(Finding::new(rule, balance.spill, unit::PERCENT));
    finding.points_at.clone_from(&balance.readings);
    finding.at_current = balance.share.map(|share| share.si);
    let read = Outcome::read(balance.spill, balance.bound);
    finding.found = Some(read);
    // What is written too large only makes a current that restrains look quiet: a zone that is not fails all the same.
    let slip = slip(j, stability, row, balance);
    let slip = slip.or_else(|| too_quiet(row, balance).filter(|_| !inside));
    if let Some(slip) = slip.as_ref().filter(|_| inside) {
        return Some(finding.observed(slip.clone()).graded(Grade::Review));
    }
    if stability.fault.is_unreadable() {
        return Some(finding.needs("needs where the current went: through the zone, or into it"));
    }
    let against = if inside { from_inside } else { Against::within };
    let of_job = j.case.criteria.service.operate;
    let what = ("service-operate", "operating current of a stable zone");
    let limit = j.stated_limit(&stability.limit, of_job, what, against);
    let far = threshold("stability-fails")?;
    let broken = inside == (balance.spill.si.abs() < far.limit);
    // Much that operates is enough to tell, however little restrains.
    let times = (balance.spill.si.abs() / 100.0).max(1.0);
    let share = balance.share.map(|share| share.si * times);
    let is_limit = |limit: &Quantity| limit.si < far.limit;
    let senseless = !stability.limit.value().is_none_or(is_limit);
    let judged = finding.unless_small(share, |finding| {
        let limit = limit.filter(|_| !senseless);
        // Without a limit of its own only what is past any balance is told.
        let judged = match balance.bound {
            Bound::Exact => finding.by_stated(j, limit, against(far.limit, &far.cited)),
            _ => finding.bounded(j, read, limit, against(far.limit, &far.cited)),
        };
        match judged.fails() {
            false if senseless => judged.needs(say!(
                "needs a limit below {}",
                brief(far.limit, unit::PERCENT.word)
            )),
            false if !has_zone => judged.needs("needs a duty that names the zone of this circuit"),
            _ => judged,
        }
    });
    if let Some(slip) = slip.filter(|_| !judged.fails()) {
        return Some(judged.observed(slip).graded(Grade::Review));
    }
    let told = hint(inside).filter(|_| broken && judged.against.is_some());
    Some(told.into_iter().fold(judged, Finding::remark))
}

/// What restrains a zone is of the size of the current on load, or of the source, that was read beside it. Far more is
/// primary current, or of another unit.
fn slip(
    j: &Judging<'_>,
    stability: &Stability,
    row: &StabilityRow,
    balance: &Balance,
) -> Option<Phrase> {
    let most = threshold("restrain-most")?.limit;
    let own = j.derived.load.ratios.iter().filter(|one| {
        let load = j.case.visit.tests.get(one.test).and_then(Test::load);
        let load = load.filter(|load| stability.is_driven_as(load));
        let there = load.and_then(|load| load.rows.get(one.row));
        let same =
            |there: &LoadRow| there.phase.value() == row.phase.value() || row.phase.is_missing();
        Some(one.pair.core) == row.core && there.is_some_and(same)
    });
    let load = own
        .filter_map(|one| one.share)
        .map(|share| share.si)
        .reduce(f64::max);
    // Where no load is beside it, no load is several times the rated one.
    let times = balance.share?.si / load.unwrap_or(100.0).max(1.0);
    (times > most).then(|| match load {
        Some(_) => "the restraining current is far above the load of this core: primary current, or a slip of the unit?".into(),
        None => "the restraining current is far above rated current: primary current, or a slip of the unit?".into(),
    })
}

/// What operates in a smaller unit than what restrains, and so little of it that no zone balances so well.
fn too_quiet(row: &StabilityRow, balance: &Balance) -> Option<Phrase> {
    let least = threshold("operate-least")?.limit;
    let (operate, restrain) = (row.operate.value()?, row.restrain.value()?);
    let scale = |read: &Quantity| read.si / read.number;
    let is_smaller = scale(operate) < scale(restrain) / 2.0;
    let told = "the operating current is far below what any zone balances to, and in a smaller unit than the restraining one: a slip of the unit?";
    let spill = balance.spill.si.abs();
    (is_smaller && spill > 0.0 && spill < least).then(|| told.into())
}

/// All that restrains operates where the current ends inside, less what a stable zone may show.
fn from_inside(limit: f64, cited: &Cited) -> Against {
    Against {
        magnitude: true,
        ..Against::at_least(100.0 - limit, cited)
    }
}

fn hint(inside: bool) -> Option<Phrase> {
    let said = match inside {
        true => "the zone would not trip: a current is turned round, or does not arrive",
        false => {
            "the currents do not balance: one is turned round, does not arrive, or has another ratio"
        }
    };
    Some(said.into())
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{BROKEN, Bench, PLATE, table, visit};
    use crate::record::criteria::{Criteria, Service};

    const BOUND: &str = "not shown: needs a value, not a bound";

    fn test(keys: &str, row: &str) -> String {
        format!(
            "[stability]\nzone: T1\n{keys}core | at | phase | operate/A | restrain/A | remark\n1S | F87 | L1 | {row}\n"
        )
    }

    fn zone(keys: &str, row: &str) -> Bench {
        let duty = "[duty 1S since 2020-01-01]\nzone: T1\n";
        Bench::of(&visit(&format!("{PLATE}{duty}"), &test(keys, row)))
    }

    /// Own arithmetic: 0.01/0.40 = 2.5 %; 0.40 A is 40 % of 1 A, 0.04 A is 4 % and tells nothing.
    #[test]
    fn a_stable_zone_shows_little() {
        let through = |row: &str| zone("limit: 5 %\n", row);
        table(
            "stability",
            through,
            &[
                ("0.01 | 0.40 | -", "pass"),
                ("0.10 | 0.40 | -", "fail"),
                ("-0.40 | 0.40 | -", "fail"),
                ("0.40 | 0.40 | -", "fail"),
                (
                    "0.001 | 0.04 | -",
                    "not shown: needs more current: 5 % of rated at least",
                ),
                ("0.01 | - | -", "not shown: needs the restraining current"),
                ("- | - | -", ""),
                // Of next to nothing a relay shows a bound.
                ("<0.01 | 0.40 | -", "pass"),
                ("<0.03 | 0.40 | -", BOUND),
                (">0.01 | 0.40 | -", BOUND),
                (">0.03 | 0.40 | -", "not met"),
                ("<-0.01 | 0.40 | -", BOUND),
                ("0.01 | <0.40 | -", BOUND),
                // What operates is much, though what restrains is little.
                ("0.39 | 0.006 | -", "fail"),
                ("0.01 | 0.40 | -\nwhat is this # broken", BROKEN),
            ],
        );
        let without = |row: &str| zone("", row);
        table(
            "stability",
            without,
            &[
                ("0.01 | 0.40 | -", "not decided: no limit is stated for it"),
                ("0.80 | 0.40 | -", "fail"),
                ("<0.01 | 0.40 | -", "not decided: no limit is stated for it"),
                (">0.30 | 0.40 | -", "not met"),
            ],
        );
    }

    /// Own arithmetic: 0.010 mA of 0.84 A are 0.0012 %; 8.4 mA are 1 %, 0.1 mA are 0.012 %.
    #[test]
    fn a_zone_that_is_too_quiet_is_a_slip_of_the_unit() {
        let of = |fault: &str, row: &str| {
            let duty = "[duty 1S since 2020-01-01]\nzone: T1\n";
            let rows =
                format!("core | at | phase | operate/mA | restrain/A\n1S | F87 | L1 | {row}\n");
            let text = format!("[stability]\nzone: T1\n{fault}limit: 5 %\n{rows}");
            Bench::of(&visit(&format!("{PLATE}{duty}"), &text))
        };
        let through = |row: &str| of("", row);
        table(
            "stability",
            through,
            &[
                ("0.010 | 0.840", "review"),
                ("-0.010 | 0.840", "review"),
                ("8.4 | 0.840", "pass"),
                ("0.1 | 0.840", "pass"),
                ("0.000 | 0.840", "pass"),
                ("84 | 0.840", "fail"),
            ],
        );
        through("0.010 | 0.840").holds("stability", &["a slip of the unit?"]);
        // Inside a zone next to nothing is no slip, but a zone that would not trip.
        assert_eq!(
            of("fault: in-zone\n", "0.010 | 0.840").told("stability"),
            "fail"
        );
        // In one unit it is what the relay shows.
        assert_eq!(
            zone("limit: 5 %\n", "0.00001 | 0.840 | -").told("stability"),
            "pass"
        );
    }

    #[test]
    fn a_fault_inside_must_not_be_quiet() {
        let inside = |row: &str| zone("fault: in-zone\nlimit: 5 %\n", row);
        table(
            "stability",
            inside,
            &[
                ("0.80 | 0.40 | -", "pass"),
                ("0.40 | 0.40 | -", "pass"),
                ("0.36 | 0.40 | -", "fail"),
                ("0.01 | 0.40 | -", "fail"),
                ("-0.80 | 0.40 | -", "pass"),
                ("<0.01 | 0.40 | -", "not met"),
                (">0.40 | 0.40 | -", "pass"),
            ],
        );
        let said = [
            "of the zone, T1, fault in the zone, F87, L1",
            "would not trip",
        ];
        inside("0.01 | 0.40 | -").holds("stability", &said);
        let without = |row: &str| zone("fault: in-zone\n", row);
        table(
            "stability",
            without,
            &[
                ("0.40 | 0.40 | -", "not decided: no limit is stated for it"),
                ("0.01 | 0.40 | -", "fail"),
            ],
        );
    }

    #[test]
    fn the_limit_of_the_job_holds_where_the_section_has_none() {
        let by = |limit: &str| {
            let service = Service {
                operate: Some(limit.parse().unwrap()),
                ..Service::default()
            };
            let criteria = Criteria {
                service,
                ..Criteria::default()
            };
            let rows = "core | at | phase | operate/A | restrain/A\n1S | F87 | L1 | 0.02 | 0.40\n";
            let duty = "[duty 1S since 2020-01-01]\nzone: T1\n";
            let plate = format!("{PLATE}{duty}");
            Bench::by(criteria, &visit(&plate, &format!("[stability]\n{rows}")))
        };
        table("stability", by, &[("10", "pass"), ("2", "fail")]);
    }

    /// Own arithmetic: 0.42 A are 42 % of 1 A; 252 A of it are six hundred times as much. Without a load ten times the
    /// rated 1 A are too much.
    #[test]
    fn what_restrains_is_of_the_size_of_the_load() {
        let load = "[load]\nprimary current: 252 A\ncore | at | phase | current/A\n1S | F87 | L1 | 0.420\n\n";
        let duty = "[duty 1S since 2020-01-01]\nzone: T1\n";
        let told = |load: &str, row: &str| {
            let text = format!("{load}{}", test("limit: 5 %\n", row));
            Bench::of(&visit(&format!("{PLATE}{duty}"), &text)).told("stability")
        };
        assert_eq!(told(load, "0.010 | 0.84 | -"), "pass");
        assert_eq!(told(load, "0.42 | 252 | -"), "review");
        assert_eq!(told("", "0.42 | 252 | -"), "review");
        assert_eq!(told("", "0.01 | 9.9 | -"), "pass");
        // All of it operates, and the load is small: this zone trips.
        let small = load.replace("252 A", "24 A").replace("0.420", "0.040");
        assert_eq!(told(&small, "0.84 | 0.84 | -"), "fail");
        // A source drove the zone, and the network the load beside it.
        let by_source = |row: &str| format!("method: primary injection\n{row}");
        let text = format!(
            "{small}{}",
            test(&by_source("limit: 5 %\n"), "0.01 | 0.84 | -")
        );
        let injected = Bench::of(&visit(&format!("{PLATE}{duty}"), &text));
        assert_eq!(injected.told("stability"), "pass");
        assert_eq!(told(&small, "0.01 | 0.84 | -"), "review");
        // What restrains too much makes a fault inside look quiet.
        let inside = "fault: in-zone\nlimit: 5 %\n";
        let text = format!("{load}{}", test(inside, "0.42 | 252 | -"));
        let inside = Bench::of(&visit(&format!("{PLATE}{duty}"), &text));
        assert_eq!(inside.told("stability"), "review");
    }

    /// 0 of 1, both to one ampere: 0 ± 58 % is no answer to a limit of 5 %; with 0.000 of 1.000 it is.
    #[test]
    fn digits_that_cannot_tell_the_limit_show_nothing() {
        table(
            "stability",
            |row| zone("limit: 5 %\n", row),
            &[
                (
                    "0 | 1 | -",
                    "not decided: the uncertainty is larger than the limit",
                ),
                ("0.000 | 1.000 | -", "pass"),
                ("2 | 1 | -", "fail"),
            ],
        );
    }

    #[test]
    fn a_limit_that_nothing_is_beyond_is_none() {
        let by = |limit: &str| zone(limit, "0.10 | 0.40 | -").told("stability");
        let needs = "not shown: needs a limit below 50 %";
        assert_eq!(by("limit: 49 %\n"), "pass");
        assert_eq!(by("limit: 60 %\n"), needs);
        assert_eq!(by("limit: 100 %\n"), needs);
        // Past what any balanced zone shows no stated limit helps.
        let out = zone("limit: 60 %\n", "0.22 | 0.40 | -");
        assert_eq!(out.told("stability"), "fail");
        let inside = "fault: in-zone\nlimit: 60 %\n";
        assert_eq!(zone(inside, "0.17 | 0.40 | -").told("stability"), "fail");
        let inside = "fault: in-zone\nlimit: 100 %\n";
        assert_eq!(zone(inside, "0.01 | 0.40 | -").told("stability"), "fail");
    }

    #[test]
    fn what_no_duty_names_a_zone_of_is_shown_by_nothing() {
        let told = |row: &str| Bench::visit(&test("limit: 5 %\n", row)).told("stability");
        let needs = "not shown: needs a duty that names the zone of this circuit";
        assert_eq!(told("0.01 | 0.40 | -"), needs);
        assert_eq!(told("0.40 | 0.40 | -"), "fail");
    }
}
