//! Resistance of a primary that is a winding, against the plate; and what an interposing CT is to the one that
//! feeds it, for information.

use super::resistance::{no_verdict, remarks, unsettled};
use crate::derive::kinds::overall;
use crate::derive::kinds::primary_resistance::{OnFeeder, Primary};
use crate::derive::workings::Value;
use crate::document::{Grade, Phrase, say};
use crate::ground::date::Date;
use crate::ground::span::Given;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::primary_resistance as rules;
use crate::judge::verdict::{not_judged, plate};
use crate::record::core::Core;
use crate::record::feeder::Feeder;
use crate::standards::{Cited, threshold};
use crate::trade::Burden;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    let derived = j.derived;
    for primary in &derived.primary_resistance {
        let feeder = primary
            .on_feeder
            .map(|burden| on_feeder(j, primary, burden));
        let found = [Some(value(j, primary)), feeder].into_iter().flatten();
        out.extend(found.map(|finding| finding.withheld(primary.doubtful)));
    }
}

fn placed(mut finding: Finding, primary: &Primary) -> Finding {
    finding.section = Some(primary.test);
    finding.points_at.extend(&primary.readings);
    finding.under(primary.links.clone().map(Condition::Item))
}

fn value(j: &Judging<'_>, primary: &Primary) -> Finding {
    let found = primary.at_75.unwrap_or(primary.cold);
    let made = Finding::new(&rules::PRIMARY_RESISTANCE, found, unit::OHM).headline();
    let mut made = match primary.at_75 {
        Some(_) => made.under(Condition::CorrectedTo(75.0)),
        None => made.remark("as it was, not corrected to 75 \u{b0}C"),
    };
    made = placed(made, primary);
    made.remarks.extend(remarks(j, primary));
    if let Some(why) = unsettled(primary) {
        return made.verdict(not_judged(why));
    }
    let Some((limit, span)) = primary.plate else {
        return made;
    };
    if j.case.record.plate.links.len() > 1 {
        let stated = j.number(limit, unit::OHM);
        return made.remark(say!(
            "plate: {} at 75 \u{b0}C; it does not say in which position of the links",
            stated
        ));
    }
    let against = Against::at_most(limit.si, &plate("primary resistance at 75 \u{b0}C"));
    let made = made.against(j, against.stated_at(span));
    match no_verdict(primary) {
        Some(why) => made.verdict(not_judged(why)),
        None => made,
    }
}

/// A burden on the core that feeds it. The leads between the two are not in it, so that by itself it can only be too
/// much.
fn on_feeder(j: &mut Judging<'_>, primary: &Primary, burden: OnFeeder) -> Finding {
    let by = match burden.is_measured {
        true => "with the secondary burden as measured",
        false => "with the rated burden: none was measured",
    };
    let made = begun(j, primary, burden, burden.burden).remark(by);
    let made = made.remark("windings at 75 \u{b0}C; leads to the feeding CT come on top");
    if let Some(why) = unsettled(primary).or_else(|| no_verdict(primary)) {
        return made.verdict(not_judged(why));
    }
    let Some(feeder) = j.case.feeder() else {
        return made;
    };
    match limit(j, feeder) {
        Err(needs) => made.needs(needs),
        Ok(limit) => against_main(j, (made, primary, burden), (feeder, limit)),
    }
}

fn begun(j: &Judging<'_>, primary: &Primary, burden: OnFeeder, value: Value) -> Finding {
    let made = Finding::new(&rules::BURDEN_ON_FEEDER, value, unit::OHM);
    let mut made = placed(made, primary);
    (made.core, made.pair) = (Some(burden.pair.core), Some(burden.pair));
    made.remarks.extend(j.beside());
    made
}

/// By itself it may be too much; in order it is only with all that the main CT was read to carry.
fn against_main(
    j: &mut Judging<'_>,
    (made, primary, burden): (Finding, &Primary, OnFeeder),
    (feeder, limit): (&Feeder, Against),
) -> Finding {
    let itself = match burden.is_measured {
        true => made.clone().against(j, limit.clone()),
        false => made.clone().for_review(j, limit.clone()),
    };
    if itself.fails() {
        return itself;
    }
    let open = |needs: Phrase| Finding {
        against: Some(limit.clone()),
        ..made.clone().needs(needs)
    };
    let main = feeder.text();
    let read = circuit_at_main(j, feeder);
    if let Some((read, day)) = read {
        if burden.is_measured && is_too_little(read, burden.burden) {
            let read = j.number(read, unit::OHM);
            return open(say!(
                "needs the burden of {} measured again with this CT in it: {} as measured there on {} is less than this CT by itself",
                main,
                read,
                day.to_string()
            ));
        }
        let own = j.number(burden.burden, unit::OHM);
        let whole = begun(j, primary, burden, read)
            .against(j, limit.clone())
            .remark(say!(
                "as measured at {} on {}, leads in it",
                main.clone(),
                day.to_string()
            ))
            .remark(say!("this CT by itself, windings at 75 \u{b0}C: {}", own));
        if burden.is_measured || whole.fails() {
            return whole;
        }
    }
    match (burden.is_measured, itself.grade()) {
        (false, Grade::Review) => itself,
        (false, _) => open("needs the burden of the secondary as measured".into()),
        (true, _) => open(say!(
            "needs the burden of {} as measured there: the leads between the two are not in this one",
            main
        )),
    }
}

/// The circuit of one phase as it was last read at the main CT while that fed this one, ohm, and the day.
fn circuit_at_main(j: &mut Judging<'_>, feeder: &Feeder) -> Option<(Value, Date)> {
    let today = j.case.visit.date.value;
    let (pair, _) = feeder.main.as_ref().ok()?.serving(today).ok()?;
    let shown = j.mains.iter().find(|one| one.id == feeder.id)?;
    let record = j.case.record;
    let counts = |day: Date| day <= today && record.was_fed_by(feeder, day);
    let read = shown.loaded_on(pair, counts)?;
    Some((overall::circuit(j.w, read, feeder.span), read.day))
}

/// Whether a circuit cannot have had this burden in it, however cold its windings were.
fn is_too_little(circuit: Value, burden: Value) -> bool {
    threshold("circuit-with-fed-ct")
        .is_some_and(|least| circuit.si < burden.si * least.limit / 100.0)
}

/// The rated burden of the tap in service of the main CT.
fn limit(j: &Judging<'_>, feeder: &Feeder) -> Result<Against, Phrase> {
    let main = feeder.main.as_ref();
    let main = main.map_err(|why| j.main_missing(*why))?;
    let (pair, _) = main
        .serving(j.case.visit.date.value)
        .map_err(|_| say!("needs the tap in service of {}", feeder.text()))?;
    let core = main.record.cores.get(main.core);
    let tap = core.and_then(|core| core.tap(pair.from, pair.to));
    let of_tap = tap
        .map(|tap| &tap.burden)
        .filter(|burden| !burden.is_missing());
    // What the plate has for the full winding says nothing of a tap.
    let whole = core.filter(|core| core.is_full(pair));
    let burden = of_tap.or(whole.map(|core| &core.burden));
    let isr = tap
        .and_then(|tap| tap.ratio.value())
        .map(|ratio| ratio.secondary);
    let isr = isr.or(core.and_then(Core::rated_secondary));
    let ohm = match burden.and_then(Given::value) {
        Some(Burden::Power { va, .. } | Burden::Range { va, .. }) => {
            isr.map(|isr| va.si / (isr * isr))
        }
        Some(Burden::Impedance { ohm, .. }) => Some(ohm.si),
        Some(Burden::Designation(_) | Burden::Connected | Burden::Shorted) | None => None,
    };
    let ohm = ohm.filter(|ohm| ohm.is_finite() && *ohm > 0.0);
    let ohm = ohm.ok_or_else(|| match core.filter(|core| !core.is_full(pair)) {
        Some(core) => say!(
            "needs the rated burden of the tap {} of {} in VA or ohm",
            Phrase::terminals(core.pair_text(pair.from, pair.to)),
            feeder.id.clone()
        ),
        None => say!("needs the rated burden of {} in VA or ohm", feeder.text()),
    })?;
    let what = format!(
        "the rating plate of {}: rated burden of {}",
        feeder.id, feeder.core
    );
    Ok(Against::at_most(
        ohm,
        &Cited::stated("plate-of-main".to_owned(), what),
    ))
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{Bench, visit};

    const PLATE: &str = "format: 1\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 20\n\
        primary resistance: 0.060 ohm at 75 C\n[core S]\nmarks: S1 S2\nclass: 5P10\nburden: 5 VA\nratio: 5/1 A\n\
        resistance: 0.90 ohm at 75 C\n";

    fn of(plate: &str, keys: &str, rows: &str) -> Bench {
        let head = "current/A | voltage/mV";
        Bench::of(&visit(
            plate,
            &format!("[primary-resistance]\n{keys}\n{head}\n{rows}\n"),
        ))
    }

    /// 0.0450 ohm at 20 \u{b0}C is 0.0450 * 309.5/254.5 = 0.0547 ohm at 75 \u{b0}C.
    #[test]
    fn it_is_taken_to_75_and_held_against_the_plate() {
        let keys = "wires: 4\ntemperature: 20.0 +- 0.5 C";
        let good = of(PLATE, keys, "1.000 | 45.00");
        assert!((good.value("primary-resistance") - 0.045 * 309.5 / 254.5).abs() < 1e-9);
        let told =
            |plate: &str, keys: &str, rows: &str| of(plate, keys, rows).told("primary-resistance");
        assert_eq!(told(PLATE, keys, "1.000 | 45.00"), "pass");
        assert_eq!(told(PLATE, keys, "1.000 | 60.00"), "fail");
        assert_eq!(
            told(PLATE, "wires: 4", "1.000 | 45.00"),
            "not judged: the temperature of the winding is not stated"
        );
        assert_eq!(
            told(PLATE, "temperature: 20.0 C", "1.000 | 45.00"),
            "not judged: two or four wires: not stated"
        );
        let bare = PLATE.replace("primary resistance: 0.060 ohm at 75 C\n", "");
        assert_eq!(told(&bare, keys, "1.000 | 60.00"), "no limit");
    }

    #[test]
    fn links_that_can_stand_otherwise_take_the_limit_away() {
        let plate = PLATE.replace(
            "primary turns: 20",
            "primary links: series 5/1, parallel 10/1",
        );
        let keys = "wires: 4\ntemperature: 20.0 C";
        let text = format!(
            "[primary-resistance]\n{keys}\nlinks | current/A | voltage/mV\nseries | 1.000 | 60.00\nparallel | 1.000 | 15.00\n"
        );
        let both = Bench::of(&visit(&plate, &text));
        assert_eq!(both.told("primary-resistance"), "no limit | no limit");
    }

    /// Rp + (Rs + Zb)/n\u{b2}: 0.0547 + (0.90 + 5.0)/25 = 0.291 ohm.
    #[test]
    fn an_interposing_ct_is_a_burden_to_the_one_that_feeds_it() {
        let keys = "wires: 4\ntemperature: 20.0 C";
        let rated = of(PLATE, keys, "1.000 | 45.00");
        let expected = 0.045 * 309.5 / 254.5 + (0.90 + 5.0) / 25.0;
        assert!((rated.value("burden-on-feeding-ct") - expected).abs() < 1e-9);
        rated.holds("burden-on-feeding-ct", &["rated burden"]);
        let one = PLATE.replace("primary turns: 20", "primary turns: 1");
        assert!(
            of(&one, keys, "1.000 | 45.00")
                .all("burden-on-feeding-ct")
                .is_empty()
        );
    }
}
