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

/// A key, what is known, and the placeholder that stands in a comment where nothing is.
type Field<'a> = (&'static str, &'a Option<String>, &'a str);

/// One line for each key.
fn fields(all: &[Field<'_>]) -> String {
    let line = |(key, value, placeholder): &Field<'_>| match value {
        Some(value) => format!("{key}: {value}\n"),
        None => format!("# {key}: {placeholder}\n"),
    };
    all.iter().map(line).collect()
}

/// The text of the record.
#[must_use]
pub fn record_text(unit: &NewUnit) -> String {
    let standard = unit.standard.as_ref();
    let ieee = standard.is_some_and(|standard| standard.contains("C57.13"));
    let (usual_core, standard, frequency) = match ieee {
        true => ("X", "IEEE C57.13-2016", "60 Hz"),
        false => ("1S", "IEC 61869-2:2012", "50 Hz"),
    };
    let id = match unit.id.as_ref().or(unit.serial.as_ref()) {
        Some(id) => id,
        None => "NEW-UNIT                  # maker and serial, not the place: units move",
    };
    let maker = fields(&[
        ("maker", &unit.maker, "as stamped"),
        ("serial", &unit.serial, "as stamped"),
    ]);
    let plate = fields(&[
        ("standard", &unit.standard, standard),
        ("highest voltage", &unit.voltage, "145 kV"),
        ("frequency", &unit.frequency, frequency),
    ]);
    let bare = [NewCore::default()];
    let known = if unit.cores.is_empty() {
        &bare[..]
    } else {
        &unit.cores
    };
    let name = |core: &NewCore| core.name.clone().unwrap_or_else(|| usual_core.to_owned());
    let cores: String = known
        .iter()
        .map(|known| core(known, &name(known), ieee))
        .collect();
    let first = known.first().map(name).unwrap_or_default();
    format!(
        "# One current transformer, one file for its whole life: plate first, then visits, oldest first.\n\
         # Lines that begin with # are comments: take the # away where the plate shows the value.\n\
         format: 1\n\n[ct]\nid: {id}\n{maker}# year: 2026\n{plate}\
         # insulation: oil and paper   # or cast resin, gas, dry\n# primary turns: 1\n{}{cores}\n\
         # [duty {first} since 2026-01-31]    # what the circuit asks of a core\n# required knee: 210 V\n\n\
         # A visit with all its due tests: kneemark new --from THIS-FILE\n",
        place(unit)
    )
}

/// A unit that never moves has its place in `[ct]`; one that does, dated sections.
fn place(unit: &NewUnit) -> String {
    if unit.site.is_none() && unit.bay.is_none() && unit.phase.is_none() {
        return "\n# [place since 2026-01-31]\n# site: Substation\n# bay: H01\n# phase: L1\n# p1 towards: busbar\n".to_owned();
    }
    let known = fields(&[
        ("site", &unit.site, "Substation"),
        ("bay", &unit.bay, "H01"),
        ("phase", &unit.phase, "L1"),
    ]);
    format!(
        "# place; when the unit may move, write these under [place since 2026-01-31] instead\n{known}"
    )
}

fn core(known: &NewCore, name: &str, ieee: bool) -> String {
    let (class, burden, ratio) = match ieee {
        true => ("C800", "B-8", "1200:5"),
        false => ("5P20", "15 VA", "600/1 A"),
    };
    let marks = format!("{name}1 {name}2    # only where they are stamped otherwise");
    let knee = "300 V               # classes PX, X, PS";
    let plate = fields(&[
        ("marks", &known.marks, &marks),
        ("class", &known.class, class),
        ("burden", &known.burden, burden),
        ("ratio", &known.ratio, ratio),
        ("knee emf", &known.knee, knee),
        ("exciting current", &known.exciting, "30 mA at 300 V"),
        ("resistance", &known.resistance, "3.40 ohm at 75 C"),
    ]);
    let taps = match &known.taps {
        Some(taps) => {
            let rows = taps
                .split(',')
                .map(|tap| format!("{}\n", tap.trim_matches(' ')));
            format!("tap  ratio/A\n{}", rows.collect::<String>())
        }
        None => format!(
            "# tap  ratio/A                # one row for each pair on the plate\n# {name}1-{name}2  300/1\n"
        ),
    };
    format!("\n[core {name}]\n# use: protection             # or metering\n{plate}{taps}")
}
