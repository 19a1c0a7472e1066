//! `[ct]`: the unit and its rating plate.

use super::body::Body;
use super::schema::{Section, section};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::trade::{Family, Insulation, InsulationKind, PlateStandard, Ratio, ratio};

pub static SCHEMA: Section = section! {
    "ct", None, "the unit and its rating plate";
    keys {
        "id": Text "the unit's own identification (maker and serial), not its place";
        "maker": Text "maker's name as stamped";
        "type": Text "maker's type designation";
        "serial": Text "serial number";
        "year": Number "year of manufacture";
        "standard": Text "standard on the plate, with its edition: IEC 61869-2:2012";
        "highest voltage": Voltage "highest voltage for equipment Um";
        "frequency": Frequency "rated frequency";
        "insulation": Choice(Insulation)
            "main insulation; chooses the temperature law of insulation resistance";
        "primary turns": Number "turns of the primary winding; the plate's ratio includes them";
        "primary links": Text
            "ratio for each position of the primary links: series 300/1, parallel 600/1";
        "primary": Text
            "what serves as primary when the unit has none of its own: bushing H2 of T1";
        "passes": Number
            "times the primary cable passes the window; the plate's ratio is for one pass";
        "Ith": Current "rated short-time thermal current";
        "Idyn": Current "rated dynamic current (peak)";
        "BIL": Voltage "basic impulse level (crest)";
        "site": Text "site, when the unit never moves; else [place since …]";
        "bay": Text "bay or panel";
        "phase": Text "phase";
        "unit": Text "the tank that holds this CT and another transformer";
        "photo": Text "file name of a photo of plate or terminal box" repeat;
    }
    columns {}
};

/// The rating plate of the unit as a whole.
#[derive(Clone, Debug)]
pub struct Plate {
    pub id: Given<String>,
    pub maker: Given<String>,
    pub kind: Given<String>,
    pub serial: Given<String>,
    pub year: Given<f64>,
    pub standard: Given<PlateStandard>,
    pub highest_voltage: Given<Quantity>,
    pub frequency: Given<Quantity>,
    pub insulation: Given<Insulation>,
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
        let standard = match body.get::<String>("standard") {
            Given::Written(text) => {
                Given::Written(Located::new(PlateStandard::read(&text.value), text.span))
            }
            Given::Missing => Given::Missing,
            Given::Unreadable(span) => Given::Unreadable(span),
        };
        Self {
            id: body.get("id"),
            maker: body.get("maker"),
            kind: body.get("type"),
            serial: body.get("serial"),
            year: body.get("year"),
            standard,
            highest_voltage: body.get("highest voltage"),
            frequency: body.get("frequency"),
            insulation: body.get("insulation"),
            primary_turns: body.get("primary turns"),
            passes: body.get("passes"),
            links: links(body),
            bushing: body.get("primary"),
            ith: body.get("Ith"),
            idyn: body.get("Idyn"),
            bil: body.get("BIL"),
            unit: body.get("unit"),
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

    /// What insulates the primary, as far as it is known.
    pub fn insulation_kind(&self) -> InsulationKind {
        let kind = self.insulation.value().map(|insulation| insulation.kind());
        kind.unwrap_or(InsulationKind::Unknown)
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
        let (name, text) = part.trim_matches(' ').rsplit_once(' ')?;
        Some((name.to_owned(), ratio::ratio(text).ok()?))
    };
    let parts = field.text.value.split(',').filter_map(entry);
    parts
        .map(|link| Located::new(link, field.text.span))
        .collect()
}

/// The keys of a plate section that name another origin than the plate.
pub fn origins(body: &Body) -> Vec<(&'static str, &'static str)> {
    let named = body
        .fields
        .iter()
        .filter_map(|field| Some((field.key.word, field.origin?)));
    named.filter(|(_, origin)| *origin != "plate").collect()
}
