//! Current on load: as read, and against the primary current where another measurement gave it. An
//! angle whose reference is not stated shows nothing.

use crate::derive::kinds::load::OnLoad;
use crate::document::{self, Grade, Phrase, say};
use crate::ground::quantity::Quantity;
use crate::judge::assess::Judging;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::load as rules;
use crate::judge::words::{cite, quantity, rounded};
use crate::record::kinds::Test;
use crate::record::kinds::load::LoadRow;
use crate::standards::threshold;

/// Shows all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, load) in j.case.visit.of(Test::load) {
        let primary = load.primary_current.value();
        out.extend(load.rows.iter().filter_map(|row| {
            let mut finding = observed(row)?.within(index, row.core, row.span);
            if let Some(primary) = primary {
                finding = finding.remark(say!("primary current {}", as_written(primary)));
            }
            Some(finding.withheld(test.doubtful))
        }));
        let of_test = j.derived.load.iter().filter(|one| one.test == index);
        for one in of_test {
            let row = load.rows.get(one.row);
            let finding = row.and_then(|row| against_primary(j, one, row));
            out.extend(finding.map(|finding| finding.withheld(test.doubtful)));
        }
    }
}

/// What a tap, a ratio or a second path makes of a current is far more than a clamp meter errs.
fn against_primary(j: &Judging<'_>, one: &OnLoad, row: &LoadRow) -> Option<Finding> {
    let (least, near, far) = (
        threshold("load-least")?,
        threshold("load-differs")?,
        threshold("load-fails")?,
    );
    let expected = quantity(one.expected.si, 3, unit::AMPERE);
    let finding = Finding::new(&rules::LOAD_RATIO, one.deviation, unit::PERCENT)
        .at(one.test, one.pair, one.readings.clone())
        .of_row(&row.at, &row.remark)
        .remark(say!("{} by the rated ratio", expected));
    let deviation = one.deviation.si.abs();
    if one.share.is_none_or(|share| share.si < least.limit) {
        let share = document::Quantity::new(rounded(least.limit, 2), "%");
        return Some(finding.remark(say!(
            "below {} of rated current meters and core err too much to tell ({})",
            share,
            cite(&least.cited)
        )));
    }
    let against = |row: &crate::standards::Threshold| Against::within(row.limit, &row.cited);
    Some(if deviation > far.limit {
        finding.headline().against(j, against(far))
    } else if deviation > near.limit {
        finding.beyond(against(near))
    } else {
        finding.against(j, against(near))
    })
}

fn observed(row: &LoadRow) -> Option<Finding> {
    let current = as_written(row.current.value()?);
    let observed = match row.angle.value() {
        Some(angle) => say!("{} at {}", current, as_written(angle)),
        None => Phrase::from(current),
    };
    let finding = Finding::observation(&rules::LOAD_CURRENT, observed, Grade::Info);
    Some(finding.of_row(&row.at, &row.remark))
}

fn as_written(quantity: &Quantity) -> document::Quantity {
    document::Quantity::new(quantity.written_number(), &quantity.unit.word)
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::Bench;

    #[test]
    fn a_current_on_load_is_shown_as_read() {
        let rows =
            "core | at | current/A | angle/deg\n1S | X1:3 | 0.250 | 182\n2S | X2:3 | - | -\n";
        let bench = Bench::visit(&format!("[load]\nprimary current: 300 A\n{rows}"));
        let said = "1S: secondary current on load, X1:3: 0.250 A at 182 deg; primary current 300 A";
        assert_eq!(bench.says("load-current"), said);
        assert_eq!(bench.told("load-current"), "info");
    }

    /// 300 A on 600/1 is 0.5 A: half of it is a wrong tap or ratio, a few per cent a meter.
    #[test]
    fn it_is_held_against_the_primary_current() {
        let of = |row: &str| {
            let (primary, secondary) = row.split_once(' ').unwrap();
            let rows = format!("core | at | current/A\n1S | X1:3 | {secondary}\n");
            Bench::visit(&format!("[load]\nprimary current: {primary} A\n{rows}"))
        };
        crate::judge::kinds::bench::table(
            "load-ratio",
            of,
            &[
                ("300 0.250", "fail"),
                ("300 1.000", "fail"),
                ("300 0.499", "pass"),
                ("300 0.430", "review"),
                // Too little current to tell.
                ("12 0.010", "no limit"),
            ],
        );
        of("300 0.250").holds("load-ratio", &["-50.0", "0.500 A by the rated ratio"]);
    }
}
