//! `--format json`: every diagnostic and every finding, with values, uncertainty, limit, verdict,
//! workings and source lines. Numbers are in the unit beside them; texts are as shown elsewhere.

use super::{Seen, Wire};
use crate::compare::{Change, Drift, Reached, history};
use crate::derive::history::By;
use crate::derive::kinds::ratio::Burdened;
use crate::derive::outcome::{Outcome, Side};
use crate::derive::workings::{Origin, StepId, Workings};
use crate::document::{Grade, Phrase};
use crate::ground::calm::steers;
use crate::ground::date::Moment;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::ground::span::{Given, Span};
use crate::job::{Basis, Compiled, Diagnosed, Job};
use crate::judge::VisitAssessment;
use crate::judge::condition::Condition;
use crate::judge::finding::{Because, Finding, Unit};
use crate::judge::requirement::{Claims, Shown};
use crate::judge::rules::Whose;
use crate::judge::verdict::{coverage_factor, expanded};
use crate::judge::words;
use crate::record::visit::Visit;
use serde::Serialize;
use serde_json::json;
use serde_json::ser::{Formatter, PrettyFormatter, Serializer};
use std::io;

/// Version of this format; changes when a field changes its meaning or goes.
pub const VERSION: u32 = 3;

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct RecordOut {
    file: String,
    sha256: String,
    /// Everything that its findings rest on, with the SHA-256 of its bytes.
    basis: Basis,
    id: Option<String>,
    /// Whether every line of it is understood.
    readable: bool,
    diagnostics: Vec<DiagnosticOut>,
    /// Of transformer and circuit, as a whole and by core.
    verdicts: Vec<VerdictOut>,
    /// Everything that is required, with what was shown of it.
    requirements: Vec<RequirementOut>,
    findings: Vec<FindingOut>,
    /// Why readings are as they are, the latest visit first and its surest cause first.
    causes: Vec<CauseOut>,
    /// Who made the visits, and under which papers.
    visits: Vec<VisitOut>,
    /// Points that visits raised, open ones and closed ones.
    points: Vec<PointOut>,
    /// The files of its visits.
    attachments: Vec<AttachmentOut>,
    /// Who signed for its visits; no verdict rests on it.
    sign_offs: Vec<SignOffOut>,
    steps: Vec<StepOut>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct PointOut {
    /// Its number as written: `A1`. One that was closed may come again.
    number: String,
    what: String,
    owner: Option<String>,
    /// As written; see `due` for the day.
    until: Option<String>,
    /// The day, year-month-day; none where what is written is no day.
    due: Option<String>,
    /// The visit that raised it.
    opened: String,
    /// The visit that closed it, and its remark.
    closed: Option<String>,
    remark: Option<String>,
    /// Whether it was open past its day at the last visit.
    late: bool,
    at: At,
}

/// People and papers of a visit, as written; what is not written is null.
#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct VisitOut {
    visit: String,
    purpose: Option<String>,
    tested_by: Option<String>,
    reviewed_by: Option<String>,
    witnessed_by: Option<String>,
    authorised_by: Option<String>,
    /// All who worked on the day.
    crew: Option<String>,
    /// Number of the permit to work on the dead primary.
    permit: Option<String>,
    /// Year-month-day, with hours:minutes where they are written.
    permit_until: Option<String>,
    /// When the permit was handed back, in the same form.
    permit_returned: Option<String>,
    outage: Option<String>,
    procedure: Option<String>,
    /// What was done otherwise than the procedure says.
    deviations: Vec<String>,
    weather: Option<String>,
    /// The set of test leads.
    leads: Option<String>,
    /// Number of the certificate or report that the readings come from.
    certificate: Option<String>,
    /// Where the unit stood on the day.
    position: Option<String>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct AttachmentOut {
    visit: String,
    /// As written, seen from the folder of the record.
    file: String,
    shows: Option<String>,
    /// The SHA-256 that is written.
    sha256: Option<String>,
    /// The SHA-256 of the file that lies there.
    found: Option<String>,
    /// as written, no sum written, changed, missing, not readable, hidden, outside
    state: &'static str,
    at: At,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct SignOffOut {
    visit: String,
    /// What is signed: as found, as left, visit.
    stage: Option<&'static str>,
    signed_by: Option<String>,
    /// For whom, or in which role.
    r#for: Option<String>,
    /// Year-month-day; none where what is written is no day.
    date: Option<String>,
    at: At,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct CauseOut {
    /// From 1 within its visit.
    rank: usize,
    visit: String,
    /// Name of its rule.
    cause: &'static str,
    core: Option<String>,
    pair: Option<String>,
    #[cfg_attr(test, schemars(extend("enum" = Grade::ALL.map(Grade::word))))]
    grade: &'static str,
    says: String,
    /// To one against the next likeliest, or where there is none against nothing being wrong.
    odds: f64,
    /// Name of the rule of the next likeliest.
    next: Option<&'static str>,
    r#for: Vec<String>,
    against: Vec<String>,
    decide: Option<String>,
    /// Whether no later visit answered it.
    stands: bool,
    /// Names of the rules whose findings it explains.
    explains: Vec<&'static str>,
    at: Vec<At>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct VerdictOut {
    #[cfg_attr(test, schemars(extend("enum" = tests::owners())))]
    whose: &'static str,
    /// None for the unit as a whole.
    core: Option<String>,
    /// pass, nothing asked, incomplete, open, fails
    #[cfg_attr(test, schemars(extend("enum" = tests::overall())))]
    verdict: &'static str,
    due: usize,
    met: usize,
    says: String,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct RequirementOut {
    requirement: &'static str,
    what: String,
    #[cfg_attr(test, schemars(extend("enum" = tests::owners())))]
    whose: &'static str,
    core: Option<String>,
    pair: Option<String>,
    /// Whether the visit asks for it.
    due: bool,
    /// met, met conditionally, measured, not met, not decided, withheld, not shown, not tested
    standing: &'static str,
    why: Option<String>,
    /// What would show it.
    needs: &'static str,
    /// The earlier visit that showed it.
    visit: Option<String>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct At {
    file: String,
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
    text: String,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct DiagnosticOut {
    name: &'static str,
    #[cfg_attr(test, schemars(extend("enum" = ["error", "warning"])))]
    severity: &'static str,
    title: String,
    label: String,
    help: Option<String>,
    at: At,
    mends: Vec<MendOut>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct MendOut {
    what: String,
    safe: bool,
    edits: Vec<EditOut>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct EditOut {
    at: At,
    text: String,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct FindingOut {
    rule: &'static str,
    visit: String,
    test: &'static str,
    core: Option<String>,
    pair: Option<String>,
    #[cfg_attr(test, schemars(extend("enum" = tests::owners())))]
    whose: &'static str,
    what: String,
    /// Each with its `kind` and its numbers, whose names say their units.
    conditions: Vec<serde_json::Value>,
    /// known, at-least, at-most, not-reached, nothing
    found: &'static str,
    value: Option<f64>,
    unit: &'static str,
    /// Expanded uncertainty, same unit; null when it is not known.
    expanded_uncertainty: Option<f64>,
    coverage_factor: f64,
    shown: String,
    limit: Option<LimitOut>,
    verdict: String,
    /// fails, review, open, pass, info
    #[cfg_attr(test, schemars(extend("enum" = Grade::ALL.map(Grade::word))))]
    grade: &'static str,
    /// Whether no later visit has answered it.
    stands: bool,
    /// The visit that answers one that is open, for review or fails; left out of those that stand.
    #[serde(skip_serializing_if = "Option::is_none")]
    answered_by: Option<String>,
    remarks: Vec<String>,
    next: Option<String>,
    at: Vec<At>,
    /// Number of the step in `steps` that gave the value.
    step: Option<u32>,
    /// What changed since the maker's certificate and since the last visit that has the same value; left out
    /// where none has.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    changes: Vec<ChangeOut>,
    /// The line through three occasions or more; left out where its slope is not beyond its uncertainty.
    #[serde(skip_serializing_if = "Option::is_none")]
    drift: Option<DriftOut>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct ChangeOut {
    since: String,
    /// Whether that visit is the maker's.
    certificate: bool,
    /// difference (in `unit`), percent, times (how many times the earlier value)
    by: &'static str,
    /// known, at-least, at-most
    found: &'static str,
    value: Option<f64>,
    /// The ends of its expanded uncertainty; null when it is not known.
    lower: Option<f64>,
    upper: Option<f64>,
    unit: &'static str,
    /// Whether it is beyond its uncertainty; null when this is not known, so that nothing is called a change.
    shown: Option<bool>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct DriftOut {
    visits: Vec<String>,
    /// difference: `unit` a year; times: how many times the value of the year before
    by: &'static str,
    value: Option<f64>,
    lower: Option<f64>,
    upper: Option<f64>,
    unit: &'static str,
    /// When a straight line would meet the limit; null where it leads away from it, or beyond thirty years.
    limit: Option<ReachedOut>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct ReachedOut {
    year: i32,
    from: i32,
    to: i32,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct LimitOut {
    lower: Option<f64>,
    upper: Option<f64>,
    magnitude: bool,
    id: String,
    source: String,
    provenance: String,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct StepOut {
    step: u32,
    what: String,
    /// reading, plate, constant, given, formula, curve
    origin: &'static str,
    si: f64,
    unit: &'static str,
    formula: Option<String>,
    source: Option<String>,
    at: Option<At>,
    inputs: Vec<InputOut>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct InputOut {
    step: u32,
    sensitivity: f64,
}

/// Everything of a whole job, as one JSON document with a line end.
pub fn document(job: &Job) -> String {
    super::document::<List>(job, Grade::Fails)
}

/// Parts of a list, one behind the other.
#[derive(Default)]
pub struct List {
    begun: bool,
}

impl List {
    /// The text of a part as it stands behind those before it; of nothing nothing.
    pub fn next(&mut self, part: String) -> String {
        if part.is_empty() {
            return part;
        }
        let comma = if self.begun { "," } else { "" };
        self.begun = true;
        format!("{comma}{part}")
    }
}

impl Wire for List {
    type Made = String;

    fn begin() -> String {
        format!("{{\n  \"version\": {VERSION},\n  \"records\": [")
    }

    fn make(seen: &Seen<'_>) -> String {
        let sisters = seen.sisters.iter().copied();
        part(&record_out(seen.one, seen.claims, sisters), 4)
    }

    fn next(&mut self, made: String) -> String {
        Self::next(self, made)
    }

    /// With diagnostics of files that are no records.
    fn end(self, others: &[Diagnosed]) -> String {
        let others = others.iter().flat_map(|told| {
            let all = told.diagnostics.iter();
            all.map(|one| diagnostic(&told.source, one))
        });
        let others = pretty(&others.collect::<Vec<_>>());
        format!(
            "\n  ],\n  \"others\": {}\n}}\n",
            indented(&others, 2).trim_start()
        )
    }
}

/// One record, with the ids and sums of its sisters.
pub fn record<'a>(
    unit: &Compiled,
    sisters: impl Iterator<Item = (Option<&'a str>, &'a str)>,
) -> String {
    part(&record_out(unit, &unit.claims(), sisters), 4)
}

/// A part of a list, on lines of its own that are set in by so many spaces.
pub(super) fn part(value: &impl Serialize, by: usize) -> String {
    format!("\n{}", indented(&pretty(value), by))
}

pub(super) fn pretty(value: &impl Serialize) -> String {
    let mut text = Vec::new();
    let formatter = Rounded(PrettyFormatter::new());
    let mut out = Serializer::with_formatter(&mut text, formatter);
    // Plain data: strings, numbers that are finite, lists. Serialising it cannot fail.
    let written = value.serialize(&mut out);
    debug_assert!(written.is_ok(), "plain data");
    String::from_utf8(text).unwrap_or_default()
}

/// Lines set in by so many spaces. A line end within a string is escaped, so that none is cut.
pub(super) fn indented(text: &str, by: usize) -> String {
    let lines = text.lines().map(|line| format!("{:by$}{line}", ""));
    lines.collect::<Vec<_>>().join("\n")
}

/// Pretty, and each number as the shortest decimal of its twelve significant digits: no reading supports
/// more, and arithmetic leaves dust in the digits behind them.
struct Rounded(PrettyFormatter<'static>);

macro_rules! as_pretty {
    ($($name:ident($($more:ident: $kind:ty),*);)*) => {
        $(fn $name<W: ?Sized + io::Write>(&mut self, out: &mut W, $($more: $kind),*) -> io::Result<()> {
            self.0.$name(out, $($more),*)
        })*
    };
}

impl Formatter for Rounded {
    fn write_f64<W: ?Sized + io::Write>(&mut self, out: &mut W, value: f64) -> io::Result<()> {
        self.0.write_f64(out, digits(value))
    }

    /// Also what JSON lets stand as it is and a terminal would obey.
    fn write_string_fragment<W: ?Sized + io::Write>(
        &mut self,
        out: &mut W,
        text: &str,
    ) -> io::Result<()> {
        let mut rest = text;
        while let Some(at) = rest.find(steers) {
            let (before, behind) = rest.split_at(at);
            self.0.write_string_fragment(out, before)?;
            let mut behind = behind.chars();
            if let Some(c) = behind.next() {
                // All of them are of the first plane.
                write!(out, "\\u{:04x}", u32::from(c))?;
            }
            rest = behind.as_str();
        }
        self.0.write_string_fragment(out, rest)
    }

    as_pretty! {
        begin_array();
        end_array();
        begin_array_value(first: bool);
        end_array_value();
        begin_object();
        end_object();
        begin_object_key(first: bool);
        begin_object_value();
        end_object_value();
    }
}

/// Rounded to twelve significant digits.
fn digits(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}

fn record_out<'a>(
    unit: &Compiled,
    claims: &Claims<'_>,
    sisters: impl Iterator<Item = (Option<&'a str>, &'a str)>,
) -> RecordOut {
    let visits = unit.assessment.visits.iter().enumerate();
    RecordOut {
        file: unit.source.name.clone(),
        sha256: unit.source.sha256.clone(),
        basis: Basis::of(unit, sisters.map(|(id, sum)| (id.unwrap_or("-"), sum))),
        id: unit.record.plate.id.value().cloned(),
        readable: unit.is_complete(),
        diagnostics: unit
            .diagnostics
            .iter()
            .map(|d| diagnostic(&unit.source, d))
            .collect(),
        verdicts: verdicts(unit, claims),
        requirements: claims
            .shown
            .iter()
            .map(|one| requirement(unit, claims, one))
            .collect(),
        findings: visits
            .flat_map(|(index, visit)| {
                let all = visit.findings.iter();
                all.map(move |one| finding(unit, claims, index, one))
            })
            .collect(),
        causes: causes(unit, claims),
        visits: visits_out(unit),
        points: points(unit),
        attachments: attachments(unit),
        sign_offs: sign_offs(unit),
        steps: steps(unit),
    }
}

fn attachments(unit: &Compiled) -> Vec<AttachmentOut> {
    let visits = unit.record.visits.iter();
    let rows = visits.flat_map(|visit| visit.attachments.iter().map(move |row| (visit, row)));
    let all = rows.filter_map(|(visit, row)| {
        let mut attached = unit.attached.iter();
        let one = attached.find(|one| one.row.span == row.span)?;
        Some(AttachmentOut {
            visit: visit.name(),
            file: one.file().to_owned(),
            shows: row.shows.value().cloned(),
            sha256: row.sum(),
            found: one.sum().map(str::to_owned),
            state: one.state(),
            at: at(&unit.source, row.span),
        })
    });
    all.collect()
}

fn sign_offs(unit: &Compiled) -> Vec<SignOffOut> {
    let visits = unit.record.visits.iter();
    let rows = visits.flat_map(|visit| visit.sign_offs.iter().map(move |row| (visit, row)));
    let all = rows.map(|(visit, row)| SignOffOut {
        visit: visit.name(),
        stage: row.covers.value().map(|covers| covers.word()),
        signed_by: row.by.value().cloned(),
        r#for: row.whom.value().cloned(),
        date: row.date.map(|date| date.value.to_string()),
        at: at(&unit.source, row.span),
    });
    all.collect()
}

fn visits_out(unit: &Compiled) -> Vec<VisitOut> {
    let text = |given: &Given<String>| given.value().cloned();
    let moment = |given: &Given<Moment>| given.value().map(Moment::to_string);
    let own = unit.record.visits.iter().filter(|visit| !visit.as_found());
    let all = own.map(|visit| VisitOut {
        visit: visit.name(),
        purpose: text(&visit.purpose),
        tested_by: text(&visit.tested_by),
        reviewed_by: text(&visit.reviewed_by),
        witnessed_by: text(&visit.witnessed_by),
        authorised_by: text(&visit.authorised_by),
        crew: text(&visit.crew),
        permit: text(&visit.permit),
        permit_until: moment(&visit.permit_until),
        permit_returned: moment(&visit.permit_returned),
        outage: text(&visit.outage),
        procedure: text(&visit.procedure),
        deviations: visit
            .deviations
            .iter()
            .map(|one| one.value.clone())
            .collect(),
        weather: text(&visit.weather),
        leads: text(&visit.leads),
        certificate: text(&visit.certificate),
        position: unit
            .record
            .place_on(visit.date.value)
            .and_then(|place| text(&place.position)),
    });
    all.collect()
}

fn points(unit: &Compiled) -> Vec<PointOut> {
    let on = unit.record.last_day();
    let stated = |text: &str| (!text.is_empty()).then(|| text.to_owned());
    let points = unit.record.points();
    let all = points.iter().map(|point| PointOut {
        number: point.label.to_owned(),
        what: point.what.to_owned(),
        owner: stated(point.by),
        until: stated(point.until),
        due: point.due().map(|day| day.to_string()),
        opened: point.raised.name(),
        closed: point.closed.map(|(_, visit, _)| visit.name()),
        remark: point.closed.and_then(|(.., remark)| stated(remark)),
        late: on.is_some_and(|on| point.is_late(on)),
        at: at(&unit.source, point.span),
    });
    all.collect()
}

fn causes(unit: &Compiled, claims: &Claims<'_>) -> Vec<CauseOut> {
    let visits = unit.assessment.visits.iter().enumerate().rev();
    let of_visit = |(index, visit): (usize, &VisitAssessment)| {
        let all = visit.findings.iter();
        let mut named: Vec<(&Finding, &Because)> = all
            .filter_map(|one| Some((one, one.because.as_deref()?)))
            .collect();
        named.sort_by(|one, other| other.1.gain.total_cmp(&one.1.gain));
        let made = named.into_iter().enumerate().map(|(rank, (one, because))| {
            let all = |all: &[Phrase]| -> Vec<String> {
                all.iter().map(|phrase| unit.plain(phrase)).collect()
            };
            let explained = visit.findings.iter().filter(|other| one.explains(other));
            CauseOut {
                rank: rank + 1,
                visit: name_of_visit(unit, index),
                cause: one.rule.id,
                core: core_name(unit, one.core),
                pair: one.pair.map(|pair| unit.record.pair_text(pair)),
                grade: one.grade().word(),
                says: unit.sentence(one),
                odds: digits(because.odds()),
                next: because.next.map(|(rule, _)| rule.id),
                r#for: all(&because.speaks_for),
                against: all(&because.speaks_against),
                decide: because.decide.as_ref().map(|decide| unit.plain(decide)),
                stands: claims.stands(index, one),
                explains: explained.map(|one| one.rule.id).collect(),
                at: one
                    .points_at
                    .iter()
                    .map(|span| at(&unit.source, *span))
                    .collect(),
            }
        });
        made.collect::<Vec<_>>()
    };
    visits.flat_map(of_visit).collect()
}

fn name_of_visit(unit: &Compiled, index: usize) -> String {
    let visit = unit.record.visits.get(index);
    visit.map(Visit::name).unwrap_or_default()
}

fn core_name(unit: &Compiled, core: Option<usize>) -> Option<String> {
    Some(unit.record.cores.get(core?)?.name.clone())
}

fn verdicts(unit: &Compiled, claims: &Claims<'_>) -> Vec<VerdictOut> {
    let cores = (0..unit.record.cores.len()).map(Some);
    let subjects = std::iter::once(None).chain(cores);
    let of = |core: Option<usize>| {
        let owners = [Whose::Transformer, Whose::Circuit].into_iter();
        owners.filter_map(move |whose| {
            let sum = claims.sum(whose, core)?;
            Some(VerdictOut {
                whose: whose.word(),
                core: core_name(unit, core),
                verdict: sum.overall.word(),
                due: sum.due,
                met: sum.met,
                says: unit.plain(&sum.phrase()),
            })
        })
    };
    subjects.flat_map(of).collect()
}

fn requirement(unit: &Compiled, claims: &Claims<'_>, one: &Shown<'_>) -> RequirementOut {
    let required = &one.required;
    let visit = one.earlier.and_then(|visit| unit.record.visits.get(visit));
    RequirementOut {
        requirement: required.requirement.id,
        what: unit.plain(&claims.name(one)),
        whose: required.requirement.whose.word(),
        core: core_name(unit, required.core),
        pair: required.pair.map(|pair| unit.record.pair_text(pair)),
        due: required.due,
        standing: one.standing.word(),
        why: one.standing.why().map(|why| unit.plain(&why)),
        needs: required.requirement.needs,
        visit: visit.map(Visit::name),
    }
}

fn at(source: &Source, span: Span) -> At {
    let (start, end) = (source.line_column(span.start), source.line_column(span.end));
    At {
        file: source.name.clone(),
        line: start.line,
        column: start.column,
        end_line: end.line,
        end_column: end.column,
        text: source.slice(span).to_owned(),
    }
}

fn diagnostic(source: &Source, diagnostic: &Diagnostic) -> DiagnosticOut {
    let mend = |mend: &crate::ground::diagnostic::Mend| MendOut {
        what: mend.what.clone(),
        safe: mend.safe,
        edits: mend
            .edits
            .iter()
            .map(|(span, text)| EditOut {
                at: at(source, *span),
                text: text.clone(),
            })
            .collect(),
    };
    DiagnosticOut {
        name: diagnostic.code.name(),
        severity: diagnostic.severity().word(),
        title: diagnostic.title.clone(),
        label: diagnostic.label.clone(),
        help: diagnostic.help.clone(),
        at: at(source, diagnostic.span),
        mends: diagnostic.mends.iter().map(mend).collect(),
    }
}

fn finding(unit: &Compiled, claims: &Claims<'_>, visit: usize, finding: &Finding) -> FindingOut {
    let (w, criteria) = (&unit.assessment.workings, &unit.setting.criteria);
    let core = finding.core.and_then(|core| unit.record.cores.get(core));
    let plain = |phrase: &Phrase| unit.plain(phrase);
    let value = finding.value();
    let name = |at: usize| name_of_visit(unit, at);
    let past = history(&unit.record, &unit.assessment, criteria, visit, finding);
    let certificate = past.factory.iter().map(|past| (true, past));
    let changes = certificate.chain(past.last.iter().map(|past| (false, past)));
    let scaled = |si: f64| Some(si * finding.unit.per_si).filter(|x| x.is_finite());
    FindingOut {
        rule: finding.rule.id,
        visit: name_of_visit(unit, visit),
        test: finding.rule.kind.name(),
        core: core.map(|core| core.name.clone()),
        pair: finding.pair.map(|pair| unit.record.pair_text(pair)),
        whose: finding.rule.whose.word(),
        what: plain(&words::what(finding)),
        conditions: finding.conditions.iter().map(condition).collect(),
        found: found(finding.found),
        value: value.and_then(|value| scaled(value.si)),
        unit: finding.unit.word,
        expanded_uncertainty: value
            .and_then(|value| expanded(w, value, criteria))
            .and_then(|u| scaled(u).map(f64::abs)),
        coverage_factor: value.map_or(criteria.k, |value| {
            coverage_factor(criteria, &w.uncertainty(value))
        }),
        shown: plain(&words::found(w, criteria, finding)),
        limit: finding.against.as_ref().map(|against| LimitOut {
            lower: against.requirement.lower.and_then(scaled),
            upper: against.requirement.upper.and_then(scaled),
            magnitude: against.magnitude,
            id: against.cited.id.clone(),
            source: against.cited.source.clone(),
            provenance: criteria.how_known(&against.cited),
        }),
        verdict: plain(&words::reasoned(&finding.verdict)),
        grade: finding.grade().word(),
        stands: claims.stands(visit, finding),
        answered_by: claims.answered_by(visit, finding).map(name),
        remarks: finding.remarks.iter().map(&plain).collect(),
        next: finding.action().as_ref().map(&plain),
        at: finding
            .points_at
            .iter()
            .map(|span| at(&unit.source, *span))
            .collect(),
        step: value.map(|value| value.step.0),
        changes: changes
            .filter_map(|(certificate, past)| {
                let change = past.change.as_ref()?;
                Some(change_out(
                    change,
                    finding.unit,
                    name(past.visit),
                    certificate,
                ))
            })
            .collect(),
        drift: past.drift.as_ref().map(|drift| {
            let all = drift.readings.iter().map(|(at, _)| name(*at));
            drift_out(drift, finding.unit, all.collect())
        }),
    }
}

/// A size by its measure with both ends of its uncertainty, as numbers that are finite.
fn sized(by: By, unit: Unit, size: f64, u: Option<f64>) -> [Option<f64>; 3] {
    let told = |size: f64| match by {
        By::Times => libm::exp(size),
        By::Difference => size * unit.per_si,
        By::Percent => size,
    };
    let finite = |x: f64| Some(told(x)).filter(|x| x.is_finite());
    let end = |way: f64| u.and_then(|u| finite(size + way * u));
    [finite(size), end(-1.0), end(1.0)]
}

fn change_out(change: &Change, unit: Unit, since: String, certificate: bool) -> ChangeOut {
    let [value, lower, upper] = sized(change.by, unit, change.size, change.u);
    ChangeOut {
        since,
        certificate,
        by: match change.by {
            By::Difference => "difference",
            By::Percent => "percent",
            By::Times => "times",
        },
        found: match change.side {
            Side::Known => "known",
            Side::AtLeast => "at-least",
            Side::AtMost => "at-most",
        },
        value,
        lower,
        upper,
        unit: match change.by {
            By::Difference => unit.word,
            By::Percent => "%",
            By::Times => "",
        },
        shown: change.is_shown(),
    }
}

fn drift_out(drift: &Drift, unit: Unit, visits: Vec<String>) -> DriftOut {
    // A line is laid through the values themselves, or through their logarithms.
    let (by, word, of) = match drift.by {
        By::Times => ("times", "", By::Times),
        By::Difference | By::Percent => ("difference", unit.word, By::Difference),
    };
    let [value, lower, upper] = sized(of, unit, drift.line.slope, Some(drift.u));
    DriftOut {
        visits,
        by,
        value,
        lower,
        upper,
        unit: word,
        limit: drift
            .limit
            .map(|Reached { year, from, to }| ReachedOut { year, from, to }),
    }
}

fn condition(condition: &Condition) -> serde_json::Value {
    match condition {
        Condition::Percent(share) => json!({"kind": "current", "percent_of_rated": share}),
        Condition::Multiple(times) => json!({"kind": "current", "times_rated": times}),
        Condition::Voltage(volt) => json!({"kind": "voltage", "volt": volt}),
        Condition::Peak(volt) => json!({"kind": "peak-voltage", "volt": volt}),
        Condition::CorrectedTo(celsius) => json!({"kind": "corrected-to", "celsius": celsius}),
        Condition::ScaledByTurns => json!({"kind": "scaled-by-turns"}),
        Condition::ErrorOf(percent) => json!({"kind": "composite-error", "percent": percent}),
        Condition::Impedance(ohm, factor) => {
            json!({"kind": "impedance", "ohm": ohm, "power_factor": factor})
        }
        Condition::Burden(burdened) => burden("burden", burdened),
        Condition::BurdenOfMain(burdened) => burden("burden-of-main", burdened),
        Condition::Class(name) => json!({"kind": "class", "name": name}),
        Condition::Method(name) => json!({"kind": "method", "name": name}),
        Condition::Interval(to, from) => {
            json!({"kind": "interval", "from_second": from, "to_second": to})
        }
        Condition::Between(windings) => json!({"kind": "between", "name": windings}),
        Condition::Sections(pairs) => json!({"kind": "sections", "pairs": pairs}),
        Condition::Against(visit) => json!({"kind": "against", "visit": visit}),
        Condition::Loop(path) => json!({"kind": "loop", "name": path.name()}),
        Condition::InTimesOf(quantity) => json!({"kind": "in-times-of", "name": quantity}),
        Condition::Counted(how) => json!({"kind": "counted", "name": how}),
        Condition::HeldFor(second) => json!({"kind": "held-for", "second": second}),
        Condition::Item(name) => json!({"kind": "item", "name": name}),
        Condition::Phase(phase) => json!({"kind": "phase", "name": phase.name()}),
    }
}

fn burden(kind: &str, burden: &Burdened) -> serde_json::Value {
    let of = |is: &str, va: Option<f64>, factor: Option<f64>| json!({"kind": kind, "is": is, "va": va, "power_factor": factor});
    match burden {
        Burdened::Stated { va, power_factor } => of("stated", Some(*va), *power_factor),
        Burdened::Designated(name) => json!({"kind": kind, "is": "designated", "name": name}),
        Burdened::Connected { va, power_factor } => of("connected", *va, *power_factor),
        Burdened::Shorted => of("shorted", None, None),
        Burdened::Unknown => of("not-stated", None, None),
    }
}

fn found(found: Option<Outcome>) -> &'static str {
    match found {
        Some(Outcome::Known(_)) => "known",
        Some(Outcome::AtLeast(_)) => "at-least",
        Some(Outcome::AtMost(_)) => "at-most",
        Some(Outcome::NotReached { .. }) => "not-reached",
        Some(Outcome::Lacking(_)) | None => "nothing",
    }
}

/// The steps that the findings' values rest on, each once, in order of computation.
fn steps(unit: &Compiled) -> Vec<StepOut> {
    let w = &unit.assessment.workings;
    let values = unit.findings().filter_map(|finding| finding.value());
    let mut ids: Vec<StepId> = values.flat_map(|value| w.trace(value)).collect();
    ids.sort_unstable();
    ids.dedup();
    ids.into_iter().filter_map(|id| step(unit, w, id)).collect()
}

fn step(unit: &Compiled, w: &Workings, id: StepId) -> Option<StepOut> {
    let step = w.step_at(id)?;
    let (origin, formula, source, span) = match &step.origin {
        Origin::Reading { span } => ("reading", None, None, Some(*span)),
        Origin::Plate { span } => ("plate", None, None, Some(*span)),
        Origin::Given { span } => ("given", None, None, Some(*span)),
        Origin::Constant { source } => ("constant", None, Some(source.to_string()), None),
        Origin::Row(cited) => ("constant", None, Some(cited.line()), None),
        Origin::Formula(formula) => (
            "formula",
            Some(formula.text.to_owned()),
            Some(formula.source.to_owned()),
            None,
        ),
        Origin::Curve { text, source } => (
            "curve",
            Some(text.to_string()),
            Some((*source).to_owned()),
            None,
        ),
    };
    Some(StepOut {
        step: id.0,
        what: step.what.to_string(),
        origin,
        si: step.value,
        unit: step.unit,
        formula,
        source,
        at: span.map(|span| at(&unit.source, span)),
        inputs: w
            .inputs_of(id)
            .map(|(input, sensitivity)| InputOut {
                step: input.0,
                sensitivity,
            })
            .collect(),
    })
}

#[cfg(test)]
#[allow(
    clippy::disallowed_methods,
    reason = "the schema is a file of the repository"
)]
mod tests {
    use super::{DiagnosticOut, RecordOut, VERSION, digits};
    use crate::judge::requirement::Overall;
    use crate::judge::rules::Whose;
    use schemars::JsonSchema;
    use schemars::generate::SchemaSettings;

    pub(super) fn owners() -> [&'static str; 3] {
        [Whose::Transformer, Whose::Circuit, Whose::Measurement].map(Whose::word)
    }

    pub(super) fn overall() -> Vec<&'static str> {
        Overall::ALL.iter().map(|one| one.word()).collect()
    }

    /// What is told of the records of a job. Fields may be added without a new version.
    #[derive(JsonSchema)]
    #[allow(
        dead_code,
        reason = "it is written in pieces, and stands here for its schema"
    )]
    struct Document {
        #[schemars(extend("const" = VERSION))]
        version: u32,
        records: Vec<RecordOut>,
        /// Of files that are no records.
        others: Vec<DiagnosticOut>,
    }

    /// The schema in the repository is that of the types: `SCHEMA_REFRESH=1` writes it.
    #[test]
    fn the_schema_is_that_of_the_types() {
        let settings = SchemaSettings::draft2020_12().for_serialize();
        let schema = settings.into_generator().into_root_schema_for::<Document>();
        let text = serde_json::to_string_pretty(&schema).expect("a schema") + "\n";
        let path = format!(
            "{}/grammar/check.v{VERSION}.schema.json",
            env!("CARGO_MANIFEST_DIR")
        );
        if std::env::var("SCHEMA_REFRESH").is_ok() {
            std::fs::write(&path, &text).expect("it is written");
        }
        let kept = std::fs::read_to_string(&path).expect("the schema");
        assert!(
            kept == text,
            "{path} is not the schema of the types: SCHEMA_REFRESH=1"
        );
    }

    #[test]
    fn numbers_lose_the_dust_of_arithmetic_and_nothing_else() {
        assert_eq!(0.1 + 0.2, 0.300_000_000_000_000_04);
        assert_eq!(digits(0.1 + 0.2), 0.3);
        assert_eq!(digits(30.000_000_000_000_004), 30.0);
        assert_eq!(digits(1.234_567_890_12e-9), 1.234_567_890_12e-9);
        assert_eq!(digits(-0.0), 0.0);
        assert_eq!(digits(1e300), 1e300);
    }
}
