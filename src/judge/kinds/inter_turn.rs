//! Overvoltage between turns: what held and what broke down, and whether rated current or the voltage
//! that the standard asks for was reached, whichever comes first.

use super::withstand::{is_long, outcome, reaches, si};
use crate::document::{Grade, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::WhyNot;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::inter_turn as rules;
use crate::judge::words::brief;
use crate::record::core::Core;
use crate::record::kinds::Test;
use crate::record::kinds::inter_turn::InterTurnRow;
use crate::record::kinds::withstand::Outcome;
use crate::standards::{Family, inter_turn, threshold};
use crate::trade::{Class, Pair};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, body) in j.case.visit.of(Test::inter_turn) {
        out.extend(body.rows.iter().filter_map(|row| {
            let pair = row.on?.value;
            let finding = observed(j, pair, row)?.at(index, pair, vec![row.span]);
            Some(finding.withheld(test.doubtful))
        }));
    }
}

/// What a row says; nothing while all of it waits to be filled in.
fn observed(j: &Judging<'_>, pair: Pair, row: &InterTurnRow) -> Option<Finding> {
    let empty = row.rated.is_missing() && row.peak.is_missing() && row.time.is_missing();
    let finding = outcome(&rules::INTER_TURN, &row.result, empty)?;
    let finding = match row.result.value() {
        Some(Outcome::Held) => held(j, pair, row, finding),
        Some(Outcome::BrokeDown) | None => finding,
    };
    let finding = finding
        .under(si(&row.rated).map(Condition::Percent))
        .under(si(&row.peak).map(Condition::Peak))
        .under(si(&row.time).map(Condition::HeldFor));
    Some(finding)
}

/// Holds what was reached, and for how long, against what has to be.
fn held(j: &Judging<'_>, pair: Pair, row: &InterTurnRow, finding: Finding) -> Finding {
    let plate = &j.case.record.plate;
    let known = j.case.core(pair).zip(threshold("withstand-time"));
    let Some((core, time)) = known else {
        return finding;
    };
    let Some((least, cited)) = inter_turn(plate.family(), rated_knee(j, core, pair)) else {
        // Another family of standards asks for no such test.
        return match plate.family() {
            Family::Ieee => finding,
            Family::Iec | Family::Other => {
                finding.verdict(Verdict::NotDecided(WhyNot::TestVoltageUnknown))
            }
        };
    };
    let rated = extended(core, pair).unwrap_or(100.0);
    let by_peak = si(&row.peak).is_some_and(|peak| reaches(peak, least));
    let by_current = si(&row.rated).is_some_and(|share| reaches(share, rated));
    let verdict = if !core.is_full(pair.ascending()) {
        Verdict::NotShown("needs the whole winding".into())
    } else if (by_peak || by_current) && is_long(&row.time, time) {
        Verdict::Observed(Grade::Pass)
    } else {
        Verdict::NotShown(say!(
            "needs {} of rated current, or {} peak, for {}",
            brief(rated, unit::PERCENT.word),
            brief(least, unit::VOLT.word),
            brief(time.limit, unit::SECOND.word)
        ))
    };
    if by_current && !by_peak {
        let remark = say!(
            "the current was reached before {} peak ({})",
            brief(least, unit::VOLT.word),
            cited.source.clone()
        );
        return finding.verdict(verdict).remark(remark);
    }
    let mut finding = finding.held(Against::at_least(least, cited), verdict);
    finding.unit = unit::VOLT;
    finding
}

/// The rated knee e.m.f. of a class that states one.
fn rated_knee(j: &Judging<'_>, core: &Core, pair: Pair) -> Option<f64> {
    let class = core.class_of(pair.ascending())?;
    let knee = j.case.rated_knee(pair.ascending())?;
    matches!(class, Class::Knee { .. }).then_some(knee.value.si)
}

/// The extended current rating, per cent.
fn extended(core: &Core, pair: Pair) -> Option<f64> {
    let own = core.extended.value().map(|percent| percent.si);
    own.or_else(|| match core.class_of(pair.ascending())? {
        Class::Measuring { extended, .. } => *extended,
        Class::Protection { .. }
        | Class::Knee { .. }
        | Class::Transient(_)
        | Class::IeeeMetering { .. }
        | Class::IeeeRelay { .. }
        | Class::Other(_) => None,
    })
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{Bench, core, table};

    fn of(plate: &str, row: &str) -> Bench {
        let test = "[inter-turn]\non | rated/% | peak/kV | time/s | result";
        let visit = format!("[visit 2026-01-05]\npurpose: factory\n{test}\nS1-S2 | {row}\n");
        Bench::of(&core(plate, &visit))
    }

    #[test]
    fn rated_current_or_the_voltage_whichever_comes_first() {
        let needs = "not shown: needs 100 % of rated current, or 4500 V peak, for 60 s";
        table(
            "inter-turn",
            |row| of("class: 5P20\nburden: 15 VA\nratio: 600/1 A", row),
            &[
                ("100 | 2.1 | 60 | held", "pass"),
                ("100 | - | 60 | held", "pass"),
                ("40 | 4.5 | 60 | held", "pass"),
                ("40 | 2.1 | 60 | held", needs),
                // An upper bound shows no least value.
                ("<100 | - | 60 | held # broken", needs),
                ("40 | <4.5 | 60 | held # broken", needs),
                ("100 | 2.1 | <60 | held # broken", needs),
                // 4.5 under a heading in kV is no slip, 0.0045 is one.
                ("40 | 0.0045 | 60 | held", needs),
                ("- | - | 60 | held", needs),
                ("100 | - | 30 | held", needs),
                ("100 | - | - | held", needs),
                ("40 | 2.1 | 12 | broke-down", "fails"),
                ("100 | 2.1 | 60 | -", "not shown: needs the result"),
                ("- | - | - | -", ""),
            ],
        );
    }

    /// 150 % extended; 10 x 600 V is 6 kV.
    #[test]
    fn extended_current_and_a_high_knee_ask_for_more() {
        let told = |plate: &str, row: &str| of(plate, row).told("inter-turn");
        let extended = "class: 0.5 FS5\nburden: 5 VA\nratio: 300/5 A\nextended: 150 %";
        assert!(told(extended, "100 | - | 60 | held").contains("needs 150 %"));
        assert_eq!(told(extended, "150 | - | 60 | held"), "pass");
        let knee = "class: PX\nratio: 600/1 A\nknee emf: 600 V";
        assert!(told(knee, "40 | 4.5 | 60 | held").contains("6000 V peak"));
        assert_eq!(told(knee, "40 | 6.0 | 60 | held"), "pass");
        assert_eq!(
            told(&knee.replace("600 V", "300 V"), "40 | 4.5 | 60 | held"),
            "pass"
        );
    }
}
