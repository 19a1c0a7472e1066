//! `[ct]`: the unit and its rating plate.

use super::reader::Body;
use super::schema::{Argument, Key, Kind, Section};
use super::value::Ratio;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::ground::unit::Dimension;
use crate::standards::{Family, InsulationKind};

pub static SCHEMA: Section = Section {
    name: "ct",
    also: &[],
    argument: Argument::None,
    keys: &[
        Key::new(
            "id",
            Kind::Text,
            "the unit's own identification (maker and serial), not its place",
        ),
        Key::new("maker", Kind::Text, "maker's name as stamped"),
        Key::new("type", Kind::Text, "maker's type designation"),
        Key::new("serial", Kind::Text, "serial number"),
        Key::new("year", Kind::Number, "year of manufacture"),
        Key::new(
            "standard",
            Kind::Text,
            "standard on the plate, with its edition: IEC 61869-2:2012",
        ),
        Key::new(
            "highest voltage",
            Kind::Quantity(Dimension::Voltage),
            "highest voltage for equipment Um",
        ),
        Key::new(
            "frequency",
            Kind::Quantity(Dimension::Frequency),
            "rated frequency",
        ),
        Key::new(
            "insulation",
            Kind::Choice(&["oil and paper", "cast resin", "gas", "dry", "unknown"]),
            "main insulation; chooses the temperature law of insulation resistance",
        ),
        Key::new(
            "primary turns",
            Kind::Number,
            "turns of the primary winding; the plate's ratio includes them",
        ),
        Key::new(
            "primary links",
            Kind::Text,
            "ratio for each position of the primary links: series 300/1, parallel 600/1",
        ),
        Key::new(
            "primary",
            Kind::Text,
            "what serves as primary when the unit has none of its own: bushing H2 of T1",
        ),
        Key::new(
            "passes",
            Kind::Number,
            "times the primary cable passes the window; the plate's ratio is for one pass",
        ),
        Key::new(
            "Ith",
            Kind::Quantity(Dimension::Current),
            "rated short-time thermal current",
        ),
        Key::new(
            "Idyn",
            Kind::Quantity(Dimension::Current),
            "rated dynamic current (peak)",
        ),
        Key::new(
            "BIL",
            Kind::Quantity(Dimension::Voltage),
            "basic impulse level (crest)",
        ),
        Key::new(
            "site",
            Kind::Text,
            "site, when the unit never moves; else [place since …]",
        ),
        Key::new("bay", Kind::Text, "bay or panel"),
        Key::new("phase", Kind::Text, "phase"),
        Key::new(
            "unit",
            Kind::Text,
            "the tank that holds this CT and another transformer",
        ),
        Key::repeated(
            "photo",
            Kind::Text,
            "file name of a photo of plate or terminal box",
        ),
    ],
    columns: &[],
    doc: "the unit and its rating plate",
};

/// A standard as named on the plate.
#[derive(Clone, Debug)]
pub struct Standard {
    pub text: String,
    pub family: Family,
    /// Whether its limits are in the tables of `judge`.
    pub known: bool,
    pub edition: Option<u16>,
}

impl Standard {
    /// Reads `IEC 61869-2:2012`, `IEEE C57.13-2008`.
    pub fn read(text: &str) -> Self {
        let compact = text.trim_matches(' ');
        let iec = compact.starts_with("IEC 61869-2") || compact.starts_with("EN 61869-2");
        let ieee = [
            "IEEE C57.13",
            "ANSI C57.13",
            "ANSI/IEEE C57.13",
            "IEEE Std C57.13",
        ]
        .iter()
        .any(|name| compact.starts_with(name));
        let year = compact.get(compact.len().saturating_sub(4)..).unwrap_or("");
        let parted = compact
            .get(..compact.len().saturating_sub(4))
            .is_some_and(|front| front.ends_with([':', '-']));
        let edition = year
            .parse()
            .ok()
            .filter(|year: &u16| parted && (1900..2200).contains(year));
        let family = if iec || compact.starts_with("IEC") {
            Family::Iec
        } else if ieee {
            Family::Ieee
        } else {
            Family::Other
        };
        Self {
            text: compact.to_owned(),
            family,
            known: iec || ieee,
            edition,
        }
    }
}

/// The rating plate of the unit as a whole.
#[derive(Clone, Debug)]
pub struct Plate {
    pub id: Given<String>,
    pub maker: Given<String>,
    pub kind: Given<String>,
    pub serial: Given<String>,
    pub year: Given<f64>,
    pub standard: Given<Standard>,
    pub highest_voltage: Given<Quantity>,
    pub frequency: Given<Quantity>,
    pub insulation: Given<&'static str>,
    pub primary_turns: Given<f64>,
    pub passes: Given<f64>,
    /// Positions of the primary links with the full winding's ratio in each.
    pub links: Vec<Located<(String, Ratio)>>,
    pub bushing: Given<String>,
    pub ith: Given<Quantity>,
    pub idyn: Given<Quantity>,
    pub bil: Given<Quantity>,
    pub unit: Given<String>,
    pub photos: Vec<Located<String>>,
    pub notes: Vec<Located<String>>,
    /// Keys whose value does not come from the plate, with where it comes from.
    pub origins: Vec<(&'static str, &'static str)>,
    pub span: Span,
    pub doubtful: Option<Span>,
}

impl Plate {
    /// Takes what `[ct]` says.
    pub fn read(body: &Body) -> Self {
        let text = |word: &str| body.text(word);
        let standard = match body.text("standard") {
            Given::Written(text) => {
                Given::Written(Located::new(Standard::read(&text.value), text.span))
            }
            Given::Missing => Given::Missing,
            Given::Unreadable(span) => Given::Unreadable(span),
        };
        Self {
            id: text("id"),
            maker: text("maker"),
            kind: text("type"),
            serial: text("serial"),
            year: body.number("year"),
            standard,
            highest_voltage: body.quantity("highest voltage"),
            frequency: body.quantity("frequency"),
            insulation: body.choice("insulation"),
            primary_turns: body.number("primary turns"),
            passes: body.number("passes"),
            links: links(body),
            bushing: text("primary"),
            ith: body.quantity("Ith"),
            idyn: body.quantity("Idyn"),
            bil: body.quantity("BIL"),
            unit: text("unit"),
            photos: body
                .fields_of("photo")
                .map(|field| field.text.clone())
                .collect(),
            notes: body.notes.clone(),
            origins: origins(body),
            span: body.open,
            doubtful: body.doubtful,
        }
    }

    /// The unit's id, or a dash.
    pub fn id_text(&self) -> &str {
        self.id.value().map_or("-", String::as_str)
    }

    /// The family of the plate's standard.
    pub fn family(&self) -> Family {
        self.standard
            .value()
            .map_or(Family::Other, |standard| standard.family)
    }

    pub fn insulation_kind(&self) -> InsulationKind {
        match self.insulation.value() {
            Some(&"oil and paper") => InsulationKind::Oil,
            Some(&("cast resin" | "dry")) => InsulationKind::Solid,
            Some(&"gas") => InsulationKind::Gas,
            _ => InsulationKind::Unknown,
        }
    }

    /// Rated frequency in hertz, if stated and possible.
    pub fn rated_frequency(&self) -> Option<f64> {
        self.frequency
            .value()
            .map(|frequency| frequency.si)
            .filter(|hz| *hz > 0.0)
    }
}

fn links(body: &Body) -> Vec<Located<(String, Ratio)>> {
    let Some(field) = body.field("primary links") else {
        return Vec::new();
    };
    let entry = |part: &str| {
        let (name, ratio) = part.trim_matches(' ').rsplit_once(' ')?;
        Some((name.to_owned(), super::value::ratio(ratio).ok()?))
    };
    let parts = field.text.value.split(',').filter_map(entry);
    parts
        .map(|link| Located::new(link, field.text.span))
        .collect()
}

/// The keys of a plate section that name another origin than the plate.
pub fn origins(body: &Body) -> Vec<(&'static str, &'static str)> {
    body.fields
        .iter()
        .filter_map(|field| {
            field
                .origin
                .filter(|origin| *origin != "plate")
                .map(|origin| (field.key.word, origin))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn standards_with_their_editions() {
        let iec = Standard::read("IEC 61869-2:2012");
        assert!(iec.known && iec.family == Family::Iec && iec.edition == Some(2012));
        let ieee = Standard::read("IEEE C57.13-2008");
        assert!(ieee.known && ieee.family == Family::Ieee && ieee.edition == Some(2008));
        let old = Standard::read("BS 3938:1973");
        assert!(!old.known && old.family == Family::Other);
    }
}
