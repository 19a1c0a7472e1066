//! What the templates of the cover get: finished texts, nothing to compute. Empty texts are "not
//! stated". The names of the fields are the names in the templates.

use serde::Serialize;

/// The cover and all its lists.
#[derive(Debug, Default, Serialize)]
pub struct Cover {
    pub title: String,
    pub number: String,
    pub revision: String,
    pub issued: String,
    pub history: Vec<RevisionView>,
    pub client: PartyView,
    pub contractor: PartyView,
    /// `data:image/svg+xml;base64,…`; empty without one.
    pub logo: String,
    pub job: String,
    pub site: String,
    pub methods: Vec<String>,
    pub received: String,
    pub sampling: String,
    pub authorised: String,
    pub role: String,
    /// Days of the visits: `2026-09-14 to 2026-10-22`.
    pub tested: String,
    /// People of the visits: role, then names.
    pub people: Vec<NamesView>,
    /// How many CTs came to what.
    pub counts: Vec<CountView>,
    /// How many circuits came to what.
    pub circuits: Vec<CountView>,
    pub groups: Vec<GroupView>,
    pub columns: Vec<String>,
    pub broken: Vec<BrokenView>,
    pub defects: Vec<DefectView>,
    pub points: Vec<PointView>,
    pub untested: Vec<UntestedView>,
    pub instruments: Vec<InstrumentView>,
    /// The job's decision rules; more than one when folders differ.
    pub rules: Vec<String>,
    pub items: Vec<ItemView>,
    /// How many items are not stated.
    pub not_stated: usize,
    pub only_these: &'static str,
    pub in_full: &'static str,
    pub no_clearance: &'static str,
    pub end: &'static str,
    /// Last line of the Markdown file, by which the program knows its own.
    pub mark: &'static str,
    /// `index` or `pack`: what the links lead to.
    pub whole: bool,
}

#[derive(Debug, Default, Serialize)]
pub struct PartyView {
    pub name: String,
    pub address: String,
    pub contact: String,
}

#[derive(Debug, Serialize)]
pub struct RevisionView {
    pub name: String,
    pub date: String,
    pub what: String,
}

#[derive(Debug, Serialize)]
pub struct NamesView {
    pub role: &'static str,
    pub names: String,
}

#[derive(Debug, Serialize)]
pub struct CountView {
    pub count: usize,
    pub word: &'static str,
    pub mark: &'static str,
    pub grade: &'static str,
}

/// CTs under one heading.
#[derive(Debug, Serialize)]
pub struct GroupView {
    pub name: String,
    /// For links: `group-3`.
    pub anchor: String,
    pub cts: Vec<CtView>,
}

#[derive(Debug, Serialize)]
pub struct CtView {
    pub name: String,
    pub position: String,
    pub slug: String,
    /// Where the HTML of the report is, seen from the page.
    pub link: String,
    /// Where the Markdown is.
    pub link_md: String,
    pub plate: String,
    pub visits: String,
    pub complete: bool,
    pub ct: CellView,
    pub circuit: CellView,
    /// Tests of the unit as a whole.
    pub unit: Vec<UnitView>,
    pub rows: Vec<RowView>,
}

#[derive(Debug, Serialize)]
pub struct UnitView {
    pub test: String,
    pub cell: CellView,
}

#[derive(Debug, Serialize)]
pub struct RowView {
    pub core: String,
    pub plate: String,
    pub tap: String,
    pub cells: Vec<CellView>,
    pub circuit: CellView,
}

#[derive(Clone, Debug, Default, Serialize)]
pub struct CellView {
    pub mark: &'static str,
    pub word: String,
    pub text: String,
    /// `good`, `doubt`, `bad`, `open`, `plain`, `none`.
    pub grade: &'static str,
}

/// A record that is not complete.
#[derive(Debug, Serialize)]
pub struct BrokenView {
    pub name: String,
    pub link: String,
    pub link_md: String,
    pub file: String,
    /// `line 12: …`
    pub errors: Vec<String>,
    /// Errors beyond those listed.
    pub more: usize,
}

#[derive(Debug, Serialize)]
pub struct DefectView {
    pub number: usize,
    pub severity: &'static str,
    pub mark: &'static str,
    pub grade: &'static str,
    pub ct: String,
    pub place: String,
    pub core: String,
    pub test: &'static str,
    pub whose: &'static str,
    pub link: String,
    pub link_md: String,
    pub sentences: Vec<String>,
    pub more: usize,
    pub next: Vec<String>,
    pub points: Vec<PointView>,
}

#[derive(Clone, Debug, Serialize)]
pub struct PointView {
    pub ct: String,
    pub link: String,
    pub link_md: String,
    pub label: String,
    pub what: String,
    pub by: String,
    pub until: String,
    pub raised: String,
}

#[derive(Debug, Serialize)]
pub struct UntestedView {
    pub scope: String,
    pub why: String,
    pub count: usize,
    pub cts: String,
}

#[derive(Debug, Serialize)]
pub struct InstrumentView {
    pub id: String,
    pub what: String,
    pub maker: String,
    pub serial: String,
    pub certificate: String,
    pub calibrated: String,
    pub due: String,
    pub used: String,
    pub units: usize,
    pub state: String,
    pub grade: &'static str,
    pub mark: &'static str,
}

#[derive(Debug, Serialize)]
pub struct ItemView {
    pub clause: &'static str,
    pub asks: &'static str,
    /// `stated`, `not stated`, `does not apply`.
    pub state: &'static str,
    pub text: String,
    pub missing: bool,
    pub where_it_matters: bool,
}
