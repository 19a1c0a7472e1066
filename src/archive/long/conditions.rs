//! What a value was read under, as columns: of a section what its keys say, of a finding its conditions.

use super::Quantity;
use crate::archive::head::some;
use crate::derive::case::Case;
use crate::derive::kinds::ratio::Burdened;
use crate::document::Phrase;
use crate::job::Compiled;
use crate::judge::condition::Condition;
use crate::judge::finding::Finding;
use crate::judge::rules::{Rule, duty, excitation};
use crate::record::kinds::Test;
use crate::record::schema::Stage;

/// What a section says of all its readings.
pub(super) fn of_section(row: &mut Quantity, case: &Case<'_>, test: &Test) {
    row.test = some(test.kind.name());
    let stage = test.stage.value().map(|stage| match stage {
        Stage::AsFound => "as found",
        Stage::AsLeft => "as left",
        Stage::Retest => "retest",
    });
    row.stage = stage.map(Into::into);
    row.temperature = case.temperature(test).map(|reading| reading.value.si);
    // Tests by direct current know no such key.
    let alternates = test.kind.schema().key("frequency").is_some();
    let rated = case.record.plate.rated_frequency().filter(|_| alternates);
    row.frequency = frequency(test).or(rated);
}

/// The frequency of the source, as the section says it.
fn frequency(test: &Test) -> Option<f64> {
    let of_ratio = test.ratio().map(|body| &body.frequency);
    let of_excitation = test.excitation().map(|body| &body.frequency);
    let of_burden = test.burden().map(|body| &body.frequency);
    let of_demagnetisation = test.demagnetisation().map(|body| &body.frequency);
    let given = of_ratio.or(of_excitation).or(of_burden);
    let given = given.or(of_demagnetisation)?;
    given.value().map(|frequency| frequency.si)
}

/// What a finding holds under.
pub(super) fn of_finding(row: &mut Quantity, one: &Compiled, visit: usize, finding: &Finding) {
    let mut subjects = Vec::new();
    for condition in &finding.conditions {
        match condition {
            Condition::Percent(percent) => row.percent = Some(*percent),
            Condition::Multiple(times) => row.percent = Some(100.0 * times),
            Condition::CorrectedTo(celsius) => row.temperature = Some(*celsius),
            Condition::Burden(
                Burdened::Stated { .. } | Burdened::Connected { .. } | Burdened::Shorted,
            ) => (row.burden, row.power_factor) = burden(condition),
            Condition::Impedance(_, factor) => row.power_factor = *factor,
            Condition::Between(name) | Condition::Item(name) => subjects.push(name.clone()),
            Condition::Phase(phase) => subjects.push(phase.name().to_owned()),
            Condition::Loop(path) => subjects.push(path.name().to_owned()),
            Condition::Sections(_) => subjects.push(one.plain(&condition.phrase())),
            Condition::Voltage(_)
            | Condition::Peak(_)
            | Condition::ScaledByTurns
            | Condition::ErrorOf(_)
            | Condition::Burden(_)
            | Condition::BurdenOfMain(_)
            | Condition::Class(_)
            | Condition::Method(_)
            | Condition::Interval(..)
            | Condition::Against(_)
            | Condition::InTimesOf(_)
            | Condition::Counted(_)
            | Condition::HeldFor(_) => {}
        }
    }
    row.subject = some(&subjects.join(", "));
    row.knee_rule = knee_rule(one, visit, finding).map(Into::into);
    let all = finding.conditions.iter().map(Condition::phrase);
    row.conditions = some(&one.plain(&Phrase::join(all, "; ")));
}

fn burden(condition: &Condition) -> (Option<f64>, Option<f64>) {
    match condition {
        Condition::Burden(Burdened::Stated { va, power_factor }) => (Some(*va), *power_factor),
        Condition::Burden(Burdened::Connected { va, power_factor }) => (*va, *power_factor),
        Condition::Burden(Burdened::Shorted) => (Some(0.0), None),
        _ => (None, None),
    }
}

/// Which knee a value is, in the words of `[duty]`; of a required knee the one that its duty names.
fn knee_rule(one: &Compiled, visit: usize, finding: &Finding) -> Option<&'static str> {
    const KNEES: [(&Rule, &str); 3] = [
        (&excitation::KNEE_IEC, "10/50"),
        (&excitation::KNEE_45, "45 deg"),
        (&excitation::KNEE_30, "30 deg"),
    ];
    if let Some((_, word)) = KNEES.iter().find(|(rule, _)| *rule == finding.rule) {
        return Some(word);
    }
    if finding.rule != &duty::REQUIRED_KNEE {
        return None;
    }
    let day = one.record.visits.get(visit)?.date.value;
    let duty = one.record.duty_on(finding.core?, day)?;
    duty.knee_rule.value().map(|rule| (*rule).into())
}
