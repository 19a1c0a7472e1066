//! Sheets into the text of records.

use super::core::{Class, Core};
use super::sheet::{Kind, Section, Sheet};
use super::unit::{Primary, Stamped, Unit};
use super::winding::Conductor;
use crate::demo::write::{piped, table};

pub fn record(sheet: &Sheet) -> String {
    let mut text = plate(sheet);
    for visit in &sheet.visits {
        text += &format!("\n[visit {}]\npurpose: {}\n", visit.date, visit.purpose);
        for (key, value) in &visit.fields {
            text += &format!("{key}: {value}\n");
        }
        for one in &visit.sections {
            text += &section(one);
        }
        for line in &visit.not_done {
            text += &format!("\n{line}\n");
        }
    }
    text
}

fn plate(sheet: &Sheet) -> String {
    let unit = &sheet.plate;
    let mut text = format!(
        "# Invented.\nformat: 1\n\n[ct]\nid: {}\nmaker: Invented Works\nserial: {}\nyear: 2019\nstandard: {}\nhighest voltage: {} kV\nfrequency: {} Hz\ninsulation: {}\nprimary turns: {}\n",
        sheet.id,
        sheet.id.trim_start_matches("INV-"),
        unit.standard(),
        unit.highest,
        unit.stated_hertz,
        unit.primary.kind.word(),
        unit.primary_turns,
    );
    let full = unit.stamped.first().and_then(|core| core.ratios.last());
    let (full, rated) = (full.map_or(0.0, |ratio| ratio.1), unit.cores[0].rated);
    match unit.connects {
        Primary::Plain => {}
        Primary::Links => {
            let (series, parallel) = (short(full / 2.0), short(full));
            text +=
                &format!("primary links: series {series}/{rated}, parallel {parallel}/{rated}\n");
        }
        Primary::Passes(passes) => text += &format!("passes: {passes}\n"),
    }
    text += &format!(
        "\n[place since 2019-06-01]\nsite: Invented\nbay: B1\nphase: {}\np1 towards: busbar\n",
        sheet.phase
    );
    for (one, stamped) in unit.cores.iter().zip(&unit.stamped) {
        text += &core(unit, one, stamped);
    }
    text
}

fn core(unit: &Unit, core: &Core, stamped: &Stamped) -> String {
    let service = if core.class.measures() {
        "metering"
    } else {
        "protection"
    };
    let mut text = format!(
        "\n[core {}]\nmarks: {}\nuse: {service}\nclass: {}\n",
        core.name,
        core.marks.join(" "),
        core.class.word()
    );
    if !matches!(core.class, Class::Px | Class::C(_)) && !unit.american {
        text += &format!("burden: {} VA\n", core.burden.0);
    }
    if core.conductor == Conductor::Aluminium {
        text += "conductor: aluminium\n";
    }
    let full = stamped.ratios.last().map_or(0.0, |ratio| ratio.1);
    if let Some(knee) = stamped.knee {
        text += &format!("knee emf: {} V\n", short(knee));
        if let Some(exciting) = stamped.exciting {
            text += &format!(
                "exciting current: {} mA at {} V\n",
                short(exciting * 1e3),
                short(knee)
            );
        }
    }
    if let Some(ohms) = stamped.resistance {
        text += &format!("resistance: {} ohm at 75 C\n", short(ohms));
    }
    let ratio = |primary: f64| format!("{}/{}", short(primary), core.rated);
    if stamped.ratios.len() == 1 {
        return text + &format!("ratio: {} A\n", ratio(full));
    }
    let rows: Vec<Vec<String>> = stamped
        .ratios
        .iter()
        .map(|(pair, primary)| vec![core.word(*pair), ratio(*primary)])
        .collect();
    text + &table(&["tap", "ratio/A"], &rows)
}

/// A number without zeros at its end.
fn short(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn section(one: &Section) -> String {
    let name = match one.kind {
        Kind::State => "state",
        Kind::SelfCheck => "self-check",
        Kind::Insulation => "insulation",
        Kind::Polarity => "polarity",
        Kind::Resistance => "resistance",
        Kind::Demagnetisation => "demagnetisation",
        Kind::Excitation => "excitation",
        Kind::Ratio | Kind::ByCurrent => "ratio",
        Kind::Burden => "burden",
        Kind::Restored => "restored",
    };
    let on = if one.on.is_empty() {
        String::new()
    } else {
        format!(" {}", one.on)
    };
    let mut text = format!("\n[{name}{on}]\n");
    for (key, value, unit) in &one.fields {
        text += &format!("{key}: {}{unit}\n", value.text());
    }
    let rows: Vec<Vec<String>> = one
        .rows
        .iter()
        .map(|row| {
            row.cells
                .iter()
                .map(|cell| cell.text().to_owned())
                .collect()
        })
        .collect();
    // Cells of words may hold blanks.
    let body = match (one.kind, rows.is_empty()) {
        (_, true) => String::new(),
        (Kind::State | Kind::Restored | Kind::Polarity, _) => piped(&one.head, &rows),
        _ => table(&one.head, &rows),
    };
    text + &body
}
