//! `[ct]`: the unit and its rating plate.

use super::body::{Body, Cells};
use super::schema::section;
use crate::ground::span::{Given, Located, Span};
use crate::standards::Cited;
use crate::trade::{
    Family, Insulation, InsulationKind, Neutral, PlateStandard, PrimaryMarks, Ratio, ratio,
};

section! {
    "ct", None, "the unit and its rating plate";
    /// The rating plate of the unit as a whole.
    Plate::read(body: &Body) {
        id: Text "the unit's own identification (maker and serial), not its place";
        maker: Text "maker's name as stamped";
        kind "type": Text "maker's type designation";
        serial: Text "serial number";
        asset: Text "the owner's number of the unit in a register of assets";
        mrid: Text
            "the unit's master resource identifier in a grid model, a UUID; mRID is its name in IEC 61970" or(&["mRID"]);
        year: Count "year of manufacture" positive;
        "standard": Text "standard on the plate, with its edition: IEC 61869-2:2012";
        highest_voltage "highest voltage": Voltage "highest voltage for equipment Um" positive;
        frequency: Frequency "rated frequency" positive;
        insulation: Choice(Insulation)
            "main insulation; chooses the temperature law of insulation resistance";
        neutral: Choice(Neutral)
            "neutral of the system that the unit is made for: earthed or isolated; chooses the voltage of the partial discharge test";
        primary_turns "primary turns": Count
            "turns of the primary winding; the plate's ratio includes them" positive;
        primary_resistance "primary resistance": At(Resistance, Temperature)
            "upper limit of the resistance of a primary that is a winding: 0.045 ohm at 75 C" positive;
        marks "primary marks": Choice(PrimaryMarks)
            "terminals of the primary as stamped; P1 P2 unless written, under IEEE H1 H2, beside a secondary k-l K L";
        "primary links": Text
            "ratio for each position of the primary links: series 300/1, parallel 600/1";
        bushing "primary": Text
            "what serves as primary when the unit has none of its own: bushing H2 of T1";
        passes: Count
            "times the primary cable passes the window; the plate's ratio is for one pass" positive;
        ith "Ith": Current "rated short-time thermal current" positive;
        idyn "Idyn": Current "rated dynamic current (peak)" positive;
        bil "BIL": Voltage "basic impulse level (crest)" positive;
        "site": Text "site, when the unit never moves; else [place since …]";
        "bay": Text "bay or panel";
        "phase": Text "phase";
        "fed by": Text
            "of an interposing CT that never moves, the core of the main CT that feeds its primary: id and core, BRW-26-00207 1S";
        unit: Text "the tank that holds this CT and another transformer";
    } + {
        standard: Given<PlateStandard> = body.get("standard");
        /// Positions of the primary links with the full winding's ratio in each.
        links: Vec<Located<(String, Ratio)>> = links(body).filter_map(Result::ok).collect();
        /// What stands there and is no position with its ratio.
        links_unread: Vec<Located<String>> = links(body).filter_map(Result::err).collect();
        /// Rows of the inputs of a summation CT, in order.
        inputs: Vec<InputRow> = body.cells().map(InputRow::read).collect();
        notes: Vec<Located<String>> = body.notes.clone();
        /// Keys whose value does not come from the plate, with where it comes from.
        origins: Vec<(&'static str, &'static str)> = body.origins();
        span: Span = body.open;
        doubtful: Option<Span> = body.doubtful;
    }
    /// An input of a summation CT as stamped.
    InputRow::read(cells: Cells<'_>) {
        name "input": Text
            "terminals of an input of a summation CT, in order; 1P1-1P2, 2P1-2P2, … without a table";
        main: Ratio
            "ratio of the main CT that the input is made for, where the inputs have other turns for it";
    } + {
        span: Span = cells.row.span;
    }
}

impl Plate {
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

    /// A row of the tables as the plate's standard has it, `None` where it is not known to carry it; the
    /// row itself where the plate names no standard.
    pub fn cite(&self, row: &Cited) -> Option<Cited> {
        match self.standard.value() {
            Some(standard) => standard.tables.cite(row),
            None => Some(row.clone()),
        }
    }

    /// What insulates the primary, as far as it is known.
    pub fn insulation_kind(&self) -> InsulationKind {
        let kind = self.insulation.value().map(|insulation| insulation.kind());
        kind.unwrap_or(InsulationKind::Unknown)
    }

    /// How the neutral of its system is earthed; isolated unless the plate says otherwise, which asks
    /// for the higher test voltage.
    pub fn neutral(&self) -> Neutral {
        self.neutral.value().copied().unwrap_or(Neutral::Isolated)
    }

    /// Whether the primary may be part of the unit: no bushing, and no cable that passes a window.
    pub fn may_have_own_primary(&self) -> bool {
        self.bushing.is_missing() && self.passes.is_missing()
    }

    /// Rated frequency in hertz, if stated and possible.
    pub fn rated_frequency(&self) -> Option<f64> {
        self.frequency
            .value()
            .map(|frequency| frequency.si)
            .filter(|hz| *hz > 0.0)
    }
}

/// Each position with its ratio, or what is none.
fn links(body: &Body) -> impl Iterator<Item = Result<Located<(String, Ratio)>, Located<String>>> {
    let entry = |part: &str| {
        let (name, text) = part.rsplit_once(' ')?;
        Some((name.to_owned(), ratio::ratio(text).ok()?))
    };
    let fields = body.field("primary links").into_iter();
    fields.flat_map(move |field| {
        let parts = field.text.value.split(',').map(str::trim);
        parts.map(move |part| match entry(part) {
            Some(link) => Ok(Located::new(link, field.text.span)),
            None => Err(Located::new(part.to_owned(), field.text.span)),
        })
    })
}
