//! The wrong paper for a CT: another's readings, or a plate that is typed wrong.

use super::super::dice::Dice;
use super::super::job::Case;
use super::super::sheet::{Kind, Sheet};
use super::{Seat, tested};

/// Two CTs of a bay have each other's certificates, or each other's readings of the last visit.
/// Severity: how unlike their exciting currents are.
pub fn records_exchanged(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    if case.records.len() < 2 || case.records[0].benches.len() < 2 {
        return None;
    }
    let (one, other) = (0, 1 + dice.below(case.records.len() - 1));
    let certificate = case.records[0].benches[0].purpose == "factory" && dice.chance(0.5);
    let visit = if certificate {
        0
    } else {
        case.records[0].benches.len() - 1
    };
    let weak = |case: &Case, record: usize| {
        case.records[record].benches[visit].body.cores[0]
            .ring
            .iron
            .weak
    };
    let unlike = (weak(case, one) / weak(case, other)).ln().abs();
    case.slips.push(Box::new(move |sheets: &mut [Sheet]| {
        let (low, high) = sheets.split_at_mut(other);
        std::mem::swap(
            &mut low[one].visits[visit].sections,
            &mut high[0].visits[visit].sections,
        );
    }));
    Seat::at(one, None, unlike)
}

/// A table is copied from a sister to the last digit.
pub fn copied_table(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let kind = dice.pick(&[
        Kind::Excitation,
        Kind::Resistance,
        Kind::Insulation,
        Kind::Ratio,
        Kind::Burden,
    ]);
    let (record, _) = tested(case, dice, kind)?;
    let from = (0..case.records.len()).find(|from| *from != record)?;
    case.slips.push(Box::new(move |sheets: &mut [Sheet]| {
        let visit = sheets[from]
            .visits
            .last()
            .map(|visit| visit.sections.clone())
            .unwrap_or_default();
        for section in sheets[record].last(kind) {
            if let Some(same) = visit
                .iter()
                .find(|one| one.kind == kind && one.on == section.on)
            {
                section.rows.clone_from(&same.rows);
            }
        }
    }));
    // Two readings never agree to the last digit in a whole table.
    Seat::at(record, None, 1.0)?.on_paper(true)
}

/// A value of the plate with one wrong digit, or another standard ratio. Severity: by how much.
pub fn plate_value(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let what = dice.below(3);
    let kind = [Kind::Ratio, Kind::Resistance, Kind::Excitation][what];
    let (record, core) = tested(case, dice, kind)?;
    let stamped = &mut case.records[record].plate.stamped[core];
    let slot = match what {
        0 => stamped.ratios.last_mut().map(|ratio| &mut ratio.1),
        1 => stamped.resistance.as_mut(),
        _ => stamped.knee.as_mut(),
    }?;
    let before = *slot;
    // The plate's other taps would contradict a wrong full ratio by themselves; the reader tells that.
    if what == 0 && dice.chance(0.5) {
        *slot = before * dice.pick(&[0.5, 2.0, 0.8, 1.25]);
    } else {
        *slot = other_digit(before, dice)?;
    }
    let severity = (*slot / before).ln().abs();
    // A ratio is known to parts of a per cent; a plate's resistance stands a few per cent above what is
    // found, a knee a third below it, as this generator stamps them.
    let seen = match what {
        0 => severity > 0.005,
        1 => *slot < before / 1.1 || *slot > before * 1.15,
        _ => *slot > before * 1.5 || *slot < before / 1.5,
    };
    Seat::at(record, core, severity)?.on_paper(seen)
}

fn other_digit(value: f64, dice: &mut Dice) -> Option<f64> {
    let text = format!("{value:.2}");
    let places: Vec<usize> = text
        .char_indices()
        .filter(|(_, c)| ('1'..='9').contains(c))
        .map(|(at, _)| at)
        .collect();
    let place = *places.first()?;
    let place = if dice.chance(0.5) {
        place
    } else {
        dice.pick(&places)
    };
    let digit = char::from(b'1' + dice.below(9) as u8);
    let new: String = text
        .char_indices()
        .map(|(at, c)| if at == place { digit } else { c })
        .collect();
    let new: f64 = new.parse().ok()?;
    (new > 0.0 && (new - value).abs() > 1e-9).then_some(new)
}

/// The plate's frequency typed as that of another continent.
pub fn plate_frequency(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let record = dice.below(case.records.len());
    let plate = &mut case.records[record].plate;
    plate.stated_hertz = 110.0 - plate.stated_hertz;
    // Seen beside a sister's plate.
    let sisters = case.records.len() > 1;
    Seat::at(record, None, 1.0)?.on_paper(sisters)
}
