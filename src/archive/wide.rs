//! The wide table: one row for each core, by the tap in service: its plate, what was last found, where it stands.

use super::columns::table;
use super::head::{Head, OnCore, some, text};
use crate::derive::outcome::Outcome;
use crate::document::Grade;
use crate::ground::span::Given;
use crate::job::Compiled;
use crate::judge::condition::Condition;
use crate::judge::finding::Finding;
use crate::judge::requirement::Claims;
use crate::judge::rules::{Rule, Whose, burden, duty, excitation, ratio, resistance};
use crate::judge::standing::Told;
use crate::record::core::Core;
use crate::trade::{Burden, Pair};

table! {
    /// One core.
    CoreRow, "cores", "a row for each core: plate, last values of the tap in service, last verdict, open points";
    site_now: Text "site where the unit stands now; Parquet is parted by it";
    unit: Text "the unit's own identification";
    asset: Text "the owner's number of the unit";
    mrid: Text "the unit's master resource identifier in a grid model";
    bay: Text "bay or panel where it stands now";
    phase: Text "phase where it stands now";
    match_set: Text "the set of CTs that must match it";
    maker: Text "maker";
    model: Text "maker's type designation";
    serial: Text "serial number";
    year: Whole "year of manufacture";
    standard: Text "standard on the plate";
    highest_voltage: Number "highest voltage for equipment Um, V";
    rated_frequency: Number "rated frequency, Hz";
    core: Text "name of the core";
    serves: Text "what the core serves";
    pair: Text "the pair in service after the last visit; the whole winding where no tap is known to be";
    in_service: Flag "whether the pair is known to be in service";
    ratio: Text "rated ratio of the pair";
    class: Text "class of the pair";
    rated_burden: Number "rated burden of the pair, VA, where the plate gives it as VA";
    rated_knee: Number "rated knee point e.m.f. of the pair, V";
    last_visit: Text "the last visit";
    last_day: Day "its day";
    last_purpose: Text "its purpose, as written";
    knee_iec: Number "knee, 10 % more voltage and 50 % more current, V";
    knee_45: Number "knee, 45° tangent, V";
    knee_30: Number "knee, 30° tangent, V";
    resistance_75: Number "winding resistance at 75 °C, ohm";
    turns_ratio_error: Number "error of the turns ratio, per cent";
    connected_burden: Number "connected burden, VA: of the loops of one phase, out and back, at the last visit that has one; the greatest";
    duty_emf: Number "e.m.f. that the fault level of the duty asks for, V";
    transformer: Text "verdict of the transformer on this core: pass, nothing asked, incomplete, open, fails";
    transformer_due: Whole "requirements that the last visit asks of it";
    transformer_met: Whole "how many of them are met";
    circuit: Text "verdict of the circuit on this core";
    circuit_due: Whole "requirements that the last visit asks of it";
    circuit_met: Whole "how many of them are met";
    unit_transformer: Text "verdict of the transformer as a whole";
    unit_circuit: Text "verdict of its circuits as a whole";
    failing: Whole "findings on this core that stand and fail";
    for_review: Whole "findings on this core that stand and are for review";
    open_points: Text "open points of the unit: label, what, who, until, parted by `; ` and ended by line ends";
    open_point_count: Whole "how many of them";
    readable: Flag "whether every line of the record is understood; nothing passes without";
    record_sha256: Text "SHA-256 of the record";
    criteria_sha256: Text "SHA-256 of criteria.toml, where there is one";
    limits_sha256: Text "SHA-256 of the tables of limits";
    file: Text "the record's file";
}

pub(super) fn rows(one: &Compiled, claims: &Claims<'_>, head: &Head) -> Vec<CoreRow> {
    let cores = one.record.cores.iter().enumerate();
    let unit = unit(one, claims, head);
    cores
        .map(|(index, core)| row(one, claims, (index, core), unit.clone()))
        .collect()
}

/// What the rows of a record share.
fn unit(one: &Compiled, claims: &Claims<'_>, head: &Head) -> CoreRow {
    let (plate, place) = (&one.record.plate, one.record.place());
    let last = one.record.visits.last();
    let points = one.record.points();
    let open = points.iter().filter(|point| point.closed.is_none());
    let open: Vec<String> = open
        .map(|point| [point.label, point.what, point.by, point.until].join("; "))
        .collect();
    let overall = |whose| {
        claims
            .tally(whose, None)
            .map(|tally| tally.overall.word().into())
    };
    CoreRow {
        site_now: head.site_now.clone(),
        unit: head.unit.clone(),
        asset: head.asset.clone(),
        mrid: head.mrid.clone(),
        bay: place.and_then(|place| text(&place.bay)),
        phase: place.and_then(|place| text(&place.phase)),
        match_set: place.and_then(|place| text(&place.set)),
        maker: text(&plate.maker),
        model: text(&plate.kind),
        serial: text(&plate.serial),
        year: plate.year.value().map(|year| *year as i64),
        standard: plate
            .standard
            .get()
            .and_then(|standard| some(one.source.slice(standard.span))),
        highest_voltage: plate.highest_voltage.value().map(|voltage| voltage.si),
        rated_frequency: plate.rated_frequency(),
        last_visit: last.map(|visit| visit.name().into()),
        last_day: last.map(|visit| visit.date.value),
        last_purpose: last.and_then(|visit| text(&visit.purpose)),
        unit_transformer: overall(Whose::Transformer),
        unit_circuit: overall(Whose::Circuit),
        open_points: some(&open.join("\n")),
        open_point_count: i64::try_from(open.len()).ok(),
        readable: Some(one.is_complete()),
        record_sha256: head.record_sha256.clone(),
        criteria_sha256: head.criteria_sha256.clone(),
        limits_sha256: head.limits_sha256.clone(),
        file: head.file.clone(),
        ..CoreRow::default()
    }
}

fn row(
    one: &Compiled,
    claims: &Claims<'_>,
    (index, core): (usize, &Core),
    unit: CoreRow,
) -> CoreRow {
    let visits = one.record.visits.iter().collect::<Vec<_>>();
    let service = one.record.pair_after(index, &visits);
    let service = service.map(Pair::ascending);
    let pair = service.unwrap_or(Pair {
        core: index,
        from: 0,
        to: core.last_mark(),
    });
    let on = OnCore::of(one, Some(index), Some(pair));
    let last = |rule, fits: fn(&Finding) -> bool| {
        known(of(claims, rule, pair, fits).max_by_key(|told| told.visit)?)
    };
    let any = |_: &Finding| true;
    let tally = |whose| claims.tally(whose, Some(index));
    let (of_unit, of_circuit) = (tally(Whose::Transformer), tally(Whose::Circuit));
    let count = |count: usize| i64::try_from(count).ok();
    let graded = |grade: Grade| {
        let all = claims.counted();
        count(
            all.filter(|told| told.core == Some(index) && told.grade() == grade)
                .count(),
        )
    };
    CoreRow {
        core: on.core,
        pair: on.pair,
        ratio: on.ratio,
        class: on.class,
        serves: core.service.value().map(|serves| serves.to_string().into()),
        in_service: Some(service.is_some()),
        rated_burden: rated_burden(core, pair),
        rated_knee: rated_knee(core, pair),
        knee_iec: last(&excitation::KNEE_IEC, any),
        knee_45: last(&excitation::KNEE_45, any),
        knee_30: last(&excitation::KNEE_30, any),
        resistance_75: last(&resistance::WINDING_RESISTANCE, is_at_75),
        turns_ratio_error: last(&ratio::TURNS_RATIO, any),
        connected_burden: connected_burden(claims, pair),
        duty_emf: last(&duty::DUTY_EMF, any),
        transformer: of_unit.map(|tally| tally.overall.word().into()),
        transformer_due: of_unit.and_then(|tally| count(tally.due)),
        transformer_met: of_unit.and_then(|tally| count(tally.met)),
        circuit: of_circuit.map(|tally| tally.overall.word().into()),
        circuit_due: of_circuit.and_then(|tally| count(tally.due)),
        circuit_met: of_circuit.and_then(|tally| count(tally.met)),
        failing: graded(Grade::Fails),
        for_review: graded(Grade::Review),
        ..unit
    }
}

/// What stands of a pair by a rule, under the conditions of a column.
fn of<'c>(
    claims: &'c Claims<'_>,
    rule: &'c Rule,
    pair: Pair,
    fits: fn(&Finding) -> bool,
) -> impl Iterator<Item = &'c Told<'c>> {
    let own = move |told: &&Told<'_>| {
        let finding: &Finding = told;
        finding.rule == rule && finding.pair.map(Pair::ascending) == Some(pair) && fits(finding)
    };
    claims.told().filter(own)
}

/// A value that is known on both sides.
fn known(told: &Told<'_>) -> Option<f64> {
    match told.found? {
        Outcome::Known(value) => Some(value.si),
        _ => None,
    }
}

fn is_at_75(finding: &Finding) -> bool {
    finding.conditions.contains(&Condition::CorrectedTo(75.0))
}

/// The greatest of the last visit: each of its loops is a burden that the core has to serve.
fn connected_burden(claims: &Claims<'_>, pair: Pair) -> Option<f64> {
    let all = || of(claims, &burden::CIRCUIT_BURDEN, pair, is_of_one_phase);
    let last = all().map(|told| told.visit).max()?;
    let of_it = all().filter(|told| told.visit == last);
    // A burden in ohm has no place in a column of VA.
    let in_va = of_it.filter(|told| told.unit.word == "VA");
    in_va.filter_map(known).max_by(f64::total_cmp)
}

/// Whether the loop is one that a rated burden speaks of; one that is not stated is taken as such.
fn is_of_one_phase(finding: &Finding) -> bool {
    !finding
        .conditions
        .iter()
        .any(|one| matches!(one, Condition::Loop(path) if !path.is_of_one_phase()))
}

fn rated_burden(core: &Core, pair: Pair) -> Option<f64> {
    let own = core.tap(pair.from, pair.to).map(|tap| &tap.burden);
    let own = own.and_then(Given::value);
    match own.or_else(|| core.burden.value().filter(|_| core.is_full(pair)))? {
        Burden::Power { va, .. } | Burden::Range { va, .. } => Some(va.si),
        Burden::Impedance { .. } | Burden::Designation(_) | Burden::Connected | Burden::Shorted => {
            None
        }
    }
}

fn rated_knee(core: &Core, pair: Pair) -> Option<f64> {
    let own = core.tap(pair.from, pair.to).map(|tap| &tap.knee);
    let own = own.and_then(Given::value);
    let knee = own.or_else(|| core.knee.value().filter(|_| core.is_full(pair)))?;
    Some(knee.si)
}
