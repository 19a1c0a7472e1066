//! A new record with what is known of the plate, and comments for the rest.

use crate::record::core_line::CoreLine;

/// What is known of a unit; every text goes into the record as it is.
#[derive(Clone, Debug, Default)]
pub struct NewUnit {
    /// Keys of `[ct]` with their values.
    pub values: Vec<(&'static str, String)>,
    pub cores: Vec<CoreLine>,
}

/// A key, and the placeholder that stands in a comment where its value is not known.
type Field<'a> = (&'static str, &'a str);

fn value<'v>(values: &'v [(&'static str, String)], key: &str) -> Option<&'v str> {
    let mut known = values.iter().filter(|(known, _)| *known == key);
    known.next().map(|(_, value)| value.as_str())
}

/// One line for each key, more where it may repeat.
fn fields(values: &[(&'static str, String)], all: &[Field<'_>]) -> String {
    let line = |(key, placeholder): &Field<'_>| {
        let known = values.iter().filter(|(known, _)| known == key);
        let known: String = known
            .map(|(_, value)| format!("{key}: {value}\n"))
            .collect();
        if known.is_empty() {
            format!("# {key}: {placeholder}\n")
        } else {
            known
        }
    };
    all.iter().map(line).collect()
}

impl NewUnit {
    /// Whether its standard is of the IEEE family.
    #[must_use]
    pub fn is_ieee(&self) -> bool {
        value(&self.values, "standard").is_some_and(|standard| standard.contains("C57.13"))
    }
}

/// The text of the record.
#[must_use]
pub fn record_text(unit: &NewUnit) -> String {
    let ieee = unit.is_ieee();
    let (usual_core, standard, frequency) = match ieee {
        true => ("X", "IEEE C57.13-2016", "60 Hz"),
        false => ("1S", "IEC 61869-2:2012", "50 Hz"),
    };
    let known = |key: &str| value(&unit.values, key);
    let id = known("id").or(known("serial"));
    let id =
        id.unwrap_or("NEW-UNIT                  # maker and serial, not the place: units move");
    let maker = fields(
        &unit.values,
        &[("maker", "as stamped"), ("serial", "as stamped")],
    );
    let plate = fields(
        &unit.values,
        &[
            ("standard", standard),
            ("highest voltage", "145 kV"),
            ("frequency", frequency),
        ],
    );
    let bare = [CoreLine {
        name: usual_core.to_owned(),
        ..CoreLine::default()
    }];
    let known = match unit.cores.as_slice() {
        [] => &bare[..],
        some => some,
    };
    let cores: String = known.iter().map(|known| core(known, ieee)).collect();
    let first = known.first().map_or(usual_core, |core| core.name.as_str());
    format!(
        "# One current transformer, one file for its whole life: plate first, then visits, oldest first.\n\
         # Lines that begin with # are comments: take the # away where the plate shows the value.\n\
         format: 1\n\n[ct]\nid: {id}\n{maker}# year: 2026\n{plate}\
         # insulation: oil and paper   # or cast resin, gas, dry\n# primary turns: 1\n{}{cores}\n\
         # [duty {first} since 2026-01-31]    # what the circuit asks of a core\n# required knee: 210 V\n\n\
         # A visit with all its due tests: kneemark new --from THIS-FILE --append\n",
        place(unit)
    )
}

/// A unit that never moves has its place in `[ct]`; one that does, dated sections.
fn place(unit: &NewUnit) -> String {
    const KEYS: &[Field<'_>] = &[("site", "Substation"), ("bay", "H01"), ("phase", "L1")];
    if KEYS
        .iter()
        .all(|(key, _)| value(&unit.values, key).is_none())
    {
        return "\n# [place since 2026-01-31]\n# site: Substation\n# bay: H01\n# phase: L1\n# p1 towards: busbar\n".to_owned();
    }
    let known = fields(&unit.values, KEYS);
    format!(
        "# place; when the unit may move, write these under [place since 2026-01-31] instead\n{known}"
    )
}

fn core(known: &CoreLine, ieee: bool) -> String {
    let name = &known.name;
    let (class, burden, ratio) = match ieee {
        true => ("C800", "B-8", "1200:5"),
        false => ("5P20", "15 VA", "600/1 A"),
    };
    let marks = format!("{name}1 {name}2    # only where they are stamped otherwise");
    let usual = [
        ("use", "protection             # or metering"),
        ("marks", &marks),
        ("class", class),
        ("burden", burden),
        ("ratio", ratio),
        ("knee emf", "300 V               # classes PX, X, PS"),
        ("exciting current", "30 mA at 300 V"),
        ("resistance", "3.40 ohm at 75 C"),
    ];
    let plate = fields(&known.values, &usual);
    let others = known.values.iter();
    let others = others.filter(|(key, _)| usual.iter().all(|(usual, _)| usual != key));
    let others: String = others
        .map(|(key, value)| format!("{key}: {value}\n"))
        .collect();
    let taps = if known.taps.is_empty() {
        format!(
            "# tap  ratio/A                # one row for each pair on the plate\n# {name}1-{name}2  300/1\n"
        )
    } else {
        let rows = known.taps.iter();
        let rows: String = rows
            .map(|(pair, ratio)| format!("{pair}  {}\n", ratio.trim_end_matches([' ', 'A'])))
            .collect();
        format!("tap  ratio/A\n{rows}")
    };
    format!("\n[core {name}]\n{plate}{others}{taps}")
}
