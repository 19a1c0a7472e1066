//! A new record with what is known of the plate, and comments for the rest.

/// What is known of a unit; every text goes into the record as it is.
#[derive(Clone, Debug, Default)]
pub struct NewUnit {
    pub id: Option<String>,
    pub maker: Option<String>,
    pub serial: Option<String>,
    pub standard: Option<String>,
    pub voltage: Option<String>,
    pub frequency: Option<String>,
    pub site: Option<String>,
    pub bay: Option<String>,
    pub phase: Option<String>,
    pub cores: Vec<NewCore>,
}

/// What is known of a core.
#[derive(Clone, Debug, Default)]
pub struct NewCore {
    pub name: Option<String>,
    pub marks: Option<String>,
    pub class: Option<String>,
    pub burden: Option<String>,
    pub ratio: Option<String>,
    /// `S1-S2 300/1, S1-S3 600/1`
    pub taps: Option<String>,
    pub knee: Option<String>,
    pub exciting: Option<String>,
    pub resistance: Option<String>,
}

/// `key: value`, or the placeholder in a comment.
fn field(key: &str, value: Option<&String>, placeholder: &str) -> String {
    match value {
        Some(value) => format!("{key}: {value}\n"),
        None => format!("# {key}: {placeholder}\n"),
    }
}

/// The text of the record.
#[must_use]
pub fn record_text(unit: &NewUnit) -> String {
    let ieee = unit
        .standard
        .as_ref()
        .is_some_and(|standard| standard.contains("C57.13"));
    let mut text = "# One current transformer, one file for its whole life: plate first, then visits, oldest first.\n\
                    # Lines that begin with # are comments: take the # away where the plate shows the value.\nformat: 1\n\n[ct]\n"
        .to_owned();
    match unit.id.as_ref().or(unit.serial.as_ref()) {
        Some(id) => text.push_str(&format!("id: {id}\n")),
        None => text.push_str(
            "id: NEW-UNIT                  # maker and serial, not the place: units move\n",
        ),
    }
    text.push_str(&field("maker", unit.maker.as_ref(), "as stamped"));
    text.push_str(&field("serial", unit.serial.as_ref(), "as stamped"));
    text.push_str("# year: 2026\n");
    let standard = if ieee {
        "IEEE C57.13-2016"
    } else {
        "IEC 61869-2:2012"
    };
    text.push_str(&field("standard", unit.standard.as_ref(), standard));
    text.push_str(&field("highest voltage", unit.voltage.as_ref(), "145 kV"));
    text.push_str(&field(
        "frequency",
        unit.frequency.as_ref(),
        if ieee { "60 Hz" } else { "50 Hz" },
    ));
    text.push_str("# insulation: oil and paper   # or cast resin, gas, dry\n# primary turns: 1\n");
    place(unit, &mut text);
    if unit.cores.is_empty() {
        core(&NewCore::default(), ieee, &mut text);
    }
    unit.cores
        .iter()
        .for_each(|known| core(known, ieee, &mut text));
    text.push_str("\n# [duty 1S]                     # what the circuit asks of a core\n# required knee: 210 V\n");
    text.push_str("\n# A visit with all its due tests: kneemark new --from THIS-FILE\n");
    text
}

/// A unit that never moves has its place in `[ct]`; one that does, dated sections.
fn place(unit: &NewUnit, text: &mut String) {
    if unit.site.is_none() && unit.bay.is_none() && unit.phase.is_none() {
        text.push_str("\n# [place since 2026-01-31]\n# site: Substation\n# bay: H01\n# phase: L1\n# p1 towards: busbar\n");
        return;
    }
    text.push_str(
        "# place; when the unit may move, write these under [place since 2026-01-31] instead\n",
    );
    text.push_str(&field("site", unit.site.as_ref(), "Substation"));
    text.push_str(&field("bay", unit.bay.as_ref(), "H01"));
    text.push_str(&field("phase", unit.phase.as_ref(), "L1"));
}

fn core(known: &NewCore, ieee: bool, text: &mut String) {
    let usual = if ieee { "X" } else { "1S" };
    let name = known.name.as_deref().unwrap_or(usual);
    text.push_str(&format!(
        "\n[core {name}]\n# use: protection             # or metering\n"
    ));
    text.push_str(&field(
        "marks",
        known.marks.as_ref(),
        &format!("{name}1 {name}2    # only where they are stamped otherwise"),
    ));
    text.push_str(&field(
        "class",
        known.class.as_ref(),
        if ieee { "C800" } else { "5P20" },
    ));
    text.push_str(&field(
        "burden",
        known.burden.as_ref(),
        if ieee { "B-8" } else { "15 VA" },
    ));
    text.push_str(&field(
        "ratio",
        known.ratio.as_ref(),
        if ieee { "1200:5" } else { "600/1 A" },
    ));
    text.push_str(&field(
        "knee emf",
        known.knee.as_ref(),
        "300 V               # classes PX, X, PS",
    ));
    text.push_str(&field(
        "exciting current",
        known.exciting.as_ref(),
        "30 mA at 300 V",
    ));
    text.push_str(&field(
        "resistance",
        known.resistance.as_ref(),
        "3.40 ohm at 75 C",
    ));
    match &known.taps {
        Some(taps) => {
            text.push_str("tap  ratio/A\n");
            taps.split(',').for_each(|tap| text.push_str(&format!("{}\n", tap.trim_matches(' '))));
        }
        None => text.push_str(&format!("# tap  ratio/A                # one row for each pair on the plate\n# {name}1-{name}2  300/1\n")),
    }
}
