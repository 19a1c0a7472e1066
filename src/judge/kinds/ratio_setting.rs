//! The ratio that a relay or meter is set to, against that of the tap in service.

use super::in_service::{is_one_device, is_same, written};
use super::text;
use crate::document::{Grade, Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules::ratio_setting as rules;
use crate::record::kinds::Test;
use crate::record::kinds::ratio_setting::RatioSettingRow;
use crate::trade::{Pair, Ratio};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, settings) in j.case.visit.of(Test::ratio_setting) {
        let found = settings.rows.iter().filter_map(|row| one(j, index, row));
        out.extend(found.map(|finding| finding.withheld(test.doubtful)));
    }
}

fn one(j: &Judging<'_>, section: usize, row: &RatioSettingRow) -> Option<Finding> {
    let core = row.core?;
    let placed = |finding: Finding| {
        let placed = finding.within(section, Some(core), row.span).headline();
        placed.of_row(&row.at, &row.remark)
    };
    let open = |needs: Phrase| {
        let finding = Finding::observation(&rules::RATIO_SETTING, Phrase::default(), Grade::Open);
        placed(finding.needs(needs))
    };
    let Some(set) = row.ratio.value() else {
        // A row that waits to be filled in says nothing.
        let waits = row.ratio.is_unreadable() || text(&row.remark).is_empty();
        return (!waits).then(|| open("needs the ratio that it is set to".into()));
    };
    let (pair, nominal) = match j.serving(core) {
        Ok(serving) => serving,
        Err(needs) => return Some(open(needs)),
    };
    let (observed, grade) = compared(j, *set, (pair, nominal));
    let (observed, grade) = match shown_with(j, row, *set).filter(|_| grade == Grade::Pass) {
        Some(other) => (
            say!("{}; injection was shown with {}", observed, written(other)),
            Grade::Review,
        ),
        None => (observed, grade),
    };
    Some(placed(Finding::observation(
        &rules::RATIO_SETTING,
        observed,
        grade,
    )))
}

/// The ratio decides; of one that is right by another rated current, a person sees whether the input fits.
fn compared(j: &Judging<'_>, set: Ratio, (pair, nominal): (Pair, f64)) -> (Phrase, Grade) {
    let name = Phrase::terminals(j.case.record.pair_text(pair));
    let rated = j.case.rated_secondary(pair);
    let has = j.rated(pair, nominal);
    let is_sum = j
        .case
        .core(pair)
        .is_some_and(|core| !core.inputs.is_empty());
    let said = match j.case.feeder() {
        _ if is_sum => say!(
            "{}, and {} behind the main CTs of its inputs has {} overall",
            written(set),
            name,
            has
        ),
        None => say!("{}, and {} in service has {}", written(set), name, has),
        Some(feeder) => {
            let behind = feeder.text();
            say!(
                "{}, and {} behind {} has {} overall",
                written(set),
                name,
                behind,
                has
            )
        }
    };
    if !is_same(set.value(), nominal) {
        return match alone(j, pair, set.value()) {
            Some(whose) => (say!("{}: that of the {} alone", said, whose), Grade::Fails),
            None => (said, Grade::Fails),
        };
    }
    let names_input = !set.is_to_one();
    let other_input = names_input && rated.is_some_and(|rated| !is_same(set.secondary, rated));
    match other_input {
        true => (say!("{}: another rated current", said), Grade::Review),
        false => (said, Grade::Pass),
    }
}

/// The other ratio that the same device showed an injected current with.
fn shown_with(j: &Judging<'_>, row: &RatioSettingRow, set: Ratio) -> Option<Ratio> {
    let injected = j.case.visit.of(Test::injection);
    let rows = injected.flat_map(|(_, _, injection)| &injection.rows);
    let own = rows.filter(|shown| is_one_device((shown.core, &shown.at), (row.core, &row.at)));
    let last = own.filter_map(|shown| shown.ratio.value()).last()?;
    Some(*last).filter(|last| !is_same(last.value(), set.value()))
}

/// Which of two CTs one behind the other has a ratio by itself.
fn alone(j: &Judging<'_>, pair: Pair, set: f64) -> Option<&'static str> {
    let main = j.case.feeder()?.main.as_ref().ok()?;
    let (_, of_main) = main.serving(j.case.visit.date.value).ok()?;
    let (_, own) = j.case.serving_alone(pair.core).ok()?;
    let all = [("main CT", of_main), ("interposing CT", own)];
    let mut all = all.into_iter().filter(|(_, ratio)| is_same(set, *ratio));
    all.next().map(|(whose, _)| whose)
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{BROKEN, Bench, PLATE, table};

    const DUTY: &str = "[duty 2S since 2020-01-01]\ntap in service: 2S1-2S2\n";

    fn set(before: &str, rows: &str) -> Bench {
        Bench::of(&format!(
            "{PLATE}{before}\n[visit 2026-02-05]\npurpose: before energising\n\n[ratio-setting]\n\
             core | at | ratio | remark\n{rows}\n"
        ))
    }

    #[test]
    fn it_is_the_ratio_of_the_tap_in_service() {
        table(
            "ratio-setting",
            |row| set(DUTY, row),
            &[
                ("1S | F21 | 600/1 | -", "pass"),
                ("1S | F21 | 300/1 | -", "fails"),
                // 600/1 is the whole of 2S; its first half is in service.
                ("2S | F87 | 600/1 | -", "fails"),
                ("2S | F87 | 300/1 | -", "pass"),
                ("2S | F87 | 1500/5 | -", "review"),
                ("2S | F87 | - | -", ""),
                (
                    "2S | F87 | - | no way in",
                    "not shown: needs the ratio that it is set to",
                ),
                ("# broken\nwhat is this\n\n2S | F87 | 300/1 | -", BROKEN),
            ],
        );
        set(DUTY, "2S | F87 | 600/1 | -").holds(
            "ratio-setting",
            &["F87: 600/1, and 2S1-2S2 in service has 300/1"],
        );
        assert_eq!(
            set("", "2S | F87 | 300/1 | -").told("ratio-setting"),
            "not shown: needs the tap in service"
        );
    }

    /// 240:1 is the number that 1200/5 is, and names no input; 240/1 names one of 1 A.
    #[test]
    fn a_ratio_to_one_names_no_rated_current() {
        let five = PLATE.replace("600/1 A", "1200:5");
        let told = |row: &str| {
            Bench::of(&format!(
                "{five}\n[visit 2026-02-05]\npurpose: before energising\n\n[ratio-setting]\ncore | at | ratio\n1S | F21 | {row}\n"
            ))
            .told("ratio-setting")
        };
        assert_eq!(told("1200:5"), "pass");
        assert_eq!(told("240:1"), "pass");
        assert_eq!(told("240/1"), "review");
        assert_eq!(told("240:1 A"), "review");
        assert_eq!(told("1200:1"), "fails");
        assert_eq!(told("1000:1"), "fails");
    }

    #[test]
    fn the_tap_as_an_earlier_visit_left_it_serves_until_a_later_duty() {
        let left = "[visit 2026-01-05]\npurpose: commissioning\n\n[restored]\ncore | in service\n2S | 2S1-2S3\n";
        let row = "2S | F87 | 600/1 | -";
        assert_eq!(
            set(&format!("{DUTY}{left}"), row).told("ratio-setting"),
            "pass"
        );
        let later = DUTY.replace("2020-01-01", "2026-02-01");
        assert_eq!(
            set(&format!("{later}{left}"), row).told("ratio-setting"),
            "fails"
        );
    }

    #[test]
    fn links_as_left_and_passes_as_last_laid_make_the_ratio_in_service() {
        let links = PLATE.replace(
            "frequency: 50 Hz\n",
            "frequency: 50 Hz\nprimary links: series 300/1, parallel 600/1\n",
        );
        let before = |line: &str, rest: &str| {
            format!("\n[visit 2026-01-05]\npurpose: commissioning\n{line}{rest}")
        };
        let restored = "\n[restored]\nprimary links: series\nchecked by: E. Lund\n";
        let found = "\n[state]\nprimary links: series\n";
        let of = |plate: &str, before: &str, row: &str| {
            Bench::of(&format!(
                "{plate}{before}\n[visit 2026-02-05]\npurpose: before energising\n\n[ratio-setting]\n\
                 core | at | ratio\n1S | F21 | {row}\n"
            ))
            .told("ratio-setting")
        };
        for (before, set, told) in [
            (
                before("primary links: parallel\n", restored),
                "300/1",
                "pass",
            ),
            (
                before("primary links: parallel\n", restored),
                "600/1",
                "fails",
            ),
            (before("", found), "300/1", "pass"),
            (before("primary links: parallel\n", found), "600/1", "pass"),
        ] {
            assert_eq!(of(&links, &before, set), told, "{before} {set}");
        }
        // 600/1 with two passes is 300/1, by the plate or by an earlier visit.
        let twice = PLATE.replace("frequency: 50 Hz\n", "frequency: 50 Hz\npasses: 2\n");
        assert_eq!(of(&twice, "", "300/1"), "pass");
        assert_eq!(of(PLATE, &before("passes: 2\n", ""), "300/1"), "pass");
        assert_eq!(of(PLATE, &before("passes: 2\n", ""), "600/1"), "fails");
        assert_eq!(of(PLATE, "", "600/1"), "pass");
    }

    #[test]
    fn primary_links_that_nobody_wrote_down_leave_the_ratio_open() {
        let links = PLATE.replace(
            "frequency: 50 Hz\n",
            "frequency: 50 Hz\nprimary links: series 300/1, parallel 600/1\n",
        );
        let of = |position: &str| {
            Bench::of(&format!(
                "{links}\n[visit 2026-02-05]\npurpose: before energising\n{position}\n[ratio-setting]\n\
                 core | at | ratio\n1S | F21 | 300/1\n"
            ))
        };
        table(
            "ratio-setting",
            of,
            &[
                ("", "not shown: needs the position of the primary links"),
                ("primary links: series\n", "pass"),
                ("primary links: parallel\n", "fails"),
            ],
        );
    }
}
