//! The page of a bay: its CTs side by side, requirement by requirement, and their curves on one chart. This is
//! where who reviews a three-phase set looks first.

use super::card::Ct;
use super::cover::page;
use super::matrix::{Block as Verdicts, Cell as Verdict};
use super::plan::{Bay, Entry};
use crate::document::{
    Block, Cell, Column, Figure, Filling, Grade, NumberStyle, Phrase, Pictures, Row, Table,
    TableStyle, Text, joined, say,
};
use crate::judge::finding::{Unit, unit};
use crate::judge::rules::Whose;
use crate::judge::words::OF_A_BOUND;
use crate::record::core::Core;
use crate::report::rows::{Key, Row as Required, insulation_unit, rows_in};
use crate::report::{NO_CLEARANCE, Overlay, overlaid};
use crate::trade::Class;
use std::borrow::Cow;

/// So many CTs stand side by side; a bay of more has several tables.
const ABREAST: usize = 4;

/// One CT of a bay.
pub struct Phase<'p, 'a> {
    entry: &'p Entry<'a>,
    verdicts: &'p Verdicts,
    /// Its phase; its id where another CT of the bay has the same.
    label: &'a str,
    rows: Cow<'p, [Required]>,
}

impl<'p, 'a> Phase<'p, 'a> {
    /// `insulation`: the unit that the bay's insulation is told in, so that its CTs can be compared.
    fn new(ct: &'p Ct<'a>, of_bay: &[&Ct<'_>], insulation: Unit) -> Self {
        let (entry, spot) = (&ct.entry, ct.entry.spot);
        let same = of_bay.iter().map(|other| other.entry.spot.short());
        let same = same.filter(|other| *other == spot.short());
        let own = insulation_unit(entry.claims());
        Self {
            entry,
            verdicts: &ct.block,
            label: if same.count() > 1 {
                &spot.name
            } else {
                spot.short()
            },
            rows: match own.is_none_or(|own| own == insulation) {
                true => Cow::Borrowed(entry.rows()),
                false => Cow::Owned(rows_in(&entry.subject, insulation)),
            },
        }
    }

    fn row(&self, key: &Key) -> Option<&Required> {
        self.rows.iter().find(|row| row.key == *key)
    }

    /// What makes two CTs alike enough to share a table: names, classes, terminals and ratios of their cores.
    fn kind(&self) -> Vec<String> {
        let kind = |core: &Core| {
            let taps = core.taps.iter().map(|tap| {
                let ratio = tap.ratio.value().map(|ratio| ratio.text());
                format!("{}-{} {}", tap.from, tap.to, ratio.unwrap_or_default())
            });
            let taps: Vec<String> = taps.collect();
            format!("{} {} {}", plate(core), core.marks.len(), taps.join(", "))
        };
        self.entry.record().cores.iter().map(kind).collect()
    }
}

/// The CTs of a bay.
fn phases<'p, 'a>(cts: &[&'p Ct<'a>]) -> Vec<Phase<'p, 'a>> {
    let mut units = cts.iter().map(|ct| insulation_unit(ct.entry.claims()));
    let insulation = match units.any(|own| own == Some(unit::GIGAOHM)) {
        true => unit::GIGAOHM,
        false => unit::MEGOHM,
    };
    let all = cts.iter();
    all.map(|ct| Phase::new(ct, cts, insulation)).collect()
}

/// The parts of the page; `prefix` starts the ids of its charts.
pub fn parts(
    bay: &Bay,
    cts: &[&Ct<'_>],
    pen: NumberStyle,
    prefix: &str,
    pictures: &mut Pictures,
) -> Filling {
    let phases = phases(cts);
    let mut kinds: Vec<(Vec<String>, Vec<&Phase<'_, '_>>)> = Vec::new();
    for phase in &phases {
        let kind = phase.kind();
        match kinds.iter_mut().find(|(known, _)| *known == kind) {
            Some((_, alike)) => alike.push(phase),
            None => kinds.push((kind, vec![phase])),
        }
    }
    let mut compared = Vec::new();
    let mut curves = Vec::new();
    for (number, alike) in kinds.iter().map(|(_, alike)| alike).enumerate() {
        for abreast in alike.chunks(ABREAST) {
            compared.push(Block::Table(side_by_side(abreast, pen)));
        }
        curves.extend(charts(&format!("{prefix}cores-{number}"), alike, pen));
    }
    let verdicts = phases
        .chunks(ABREAST)
        .map(|some| Block::Table(verdicts(some)))
        .chain([Block::paragraph(NO_CLEARANCE)]);
    let mut filling = Filling::default();
    filling.text("title", &bay.name);
    let note = format!(
        "Values with their expanded uncertainty U. {OF_A_BOUND} Green: held against its limit and met. An empty cell: not asked \
         for, and not tested. Farthest off: the value that differs most from the median of the others; that median leaves out \
         those that fail or are in doubt."
    );
    for (name, title, blocks) in [
        ("verdicts", "", verdicts.collect()),
        ("compared", "Side by side", with_note(compared, &note)),
        ("curves", "Curves", grouped(curves)),
    ] {
        let heading = (!title.is_empty() && !blocks.is_empty()).then(|| Block::chapter(title));
        let all: Vec<Block> = heading.into_iter().chain(blocks).collect();
        filling.blocks(name, &all, pictures);
    }
    filling
}

fn with_note(mut blocks: Vec<Block>, note: &str) -> Vec<Block> {
    if !blocks.is_empty() {
        blocks.push(Block::Note(note.into()));
    }
    blocks
}

fn grouped(figures: Vec<Figure>) -> Vec<Block> {
    if figures.is_empty() {
        return Vec::new();
    }
    let figures = figures.into_iter().map(Block::Figure);
    vec![Block::Group("abreast", figures.collect())]
}

/// Who stands where, and what it came to.
fn verdicts(phases: &[Phase<'_, '_>]) -> Table {
    let line = |name: &str, of: &dyn Fn(&Verdicts) -> Cell| {
        let cells = phases.iter().map(|phase| of(phase.verdicts));
        Row::Cells(std::iter::once(name.into()).chain(cells).collect())
    };
    let told = |cell: &Verdict| match cell.grade {
        Some(grade) => Cell::Graded(grade, Text::word(grade, &*cell.word).under(&*cell.text)),
        None if cell.word.is_empty() => Cell::Empty,
        None => Cell::Told((*cell.word).into()),
    };
    Table {
        style: TableStyle::Named("grid abreast stack"),
        columns: heads("CT", phases, &[]),
        rows: vec![
            line("Unit", &|one| {
                page(&format!("../{}", one.spot.path()), one.spot.name.as_str()).into()
            }),
            line("Tested", &|one| one.visits.join(", ").into()),
            line("Transformer", &|one| told(&one.ct)),
            line("Circuit", &|one| told(&one.circuit)),
            line("Measurement", &|one| match &one.measurement {
                Verdict {
                    grade: Some(grade),
                    text,
                    ..
                } if !text.is_empty() => Cell::Graded(*grade, Text::word(*grade, &**text)),
                _ => Cell::Told("no fault of it found".into()),
            }),
        ],
        ..Table::default()
    }
}

/// A column for each CT between one that names the row and some behind.
fn heads(first: &str, phases: &[Phase<'_, '_>], last: &[&str]) -> Vec<Column> {
    let column = |head: Text| Column {
        head,
        ..Column::default()
    };
    let each = phases.iter().map(|phase| link(phase));
    std::iter::once(first.into())
        .chain(each)
        .chain(last.iter().map(|head| Text::from(*head)))
        .map(column)
        .collect()
}

fn link(phase: &Phase<'_, '_>) -> Text {
    page(&format!("../{}", phase.entry.spot.path()), phase.label)
}

fn plate(core: &Core) -> String {
    let parts = [
        Some(core.name.clone()),
        core.class.value().map(Class::text),
        core.full_ratio().map(|ratio| ratio.text()),
    ];
    joined(parts, ", ")
}

/// The requirements of alike CTs, each with what was found on every one of them.
fn side_by_side(phases: &[&Phase<'_, '_>], pen: NumberStyle) -> Table {
    let mut keys: Vec<&Key> = Vec::new();
    for row in phases.iter().flat_map(|phase| phase.rows.iter()) {
        if row.is_told() && !keys.contains(&&row.key) {
            keys.push(&row.key);
        }
    }
    let cores: Vec<&Core> = phases.first().map_or(Vec::new(), |phase| {
        phase.entry.record().cores.iter().collect()
    });
    let place = |key: &Key| {
        let name = key.core.as_ref();
        let at = name.and_then(|name| cores.iter().position(|core| core.name == *name));
        // The unit as a whole stands behind its cores.
        at.unwrap_or(usize::MAX)
    };
    keys.sort_by_key(|key| place(key));
    let mut rows: Vec<Row> = Vec::new();
    let mut group = None;
    for key in keys {
        let of: Vec<Option<&Required>> = phases.iter().map(|phase| phase.row(key)).collect();
        let Some(first) = of.iter().flatten().next() else {
            continue;
        };
        if group != Some(place(key)) {
            group = Some(place(key));
            let named = cores.get(place(key)).map(|core| plate(core));
            let named = named.unwrap_or_else(|| "The unit as a whole".to_owned());
            rows.push(Row::Group(Text::strong(named)));
        }
        let mut cells: Vec<Cell> = vec![name(first, phases, pen).into(), limit(&of, phases, pen)];
        let values = phases.iter().zip(&of);
        let limited = of.iter().flatten().any(|row| !row.limit.is_empty());
        cells
            .extend(values.map(|(phase, row)| {
                row.map_or(Cell::Empty, |row| value(phase, row, limited, pen))
            }));
        cells.push(farthest(phases, &of, pen).into());
        rows.push(Row::Cells(cells));
    }
    let mut columns = vec![Column {
        head: "Required".into(),
        ..Column::default()
    }];
    let each = phases.iter().map(|phase| link(phase));
    let heads = std::iter::once(Text::from("Limit"))
        .chain(each)
        .chain(["Farthest off".into()]);
    columns.extend(heads.map(|head| Column {
        head,
        ..Column::default()
    }));
    Table {
        style: TableStyle::Named("grid abreast stack"),
        columns,
        rows,
        ..Table::default()
    }
    .without_empty_columns()
}

fn say_of(phase: &Phase<'_, '_>, phrase: &Phrase, pen: NumberStyle) -> Text {
    let source = &phase.entry.unit.source;
    pen.phrase(phrase, |span| source.line(span.start))
}

/// `exciting current at 300 V`, with the circuit's marked as such.
fn name(row: &Required, phases: &[&Phase<'_, '_>], pen: NumberStyle) -> Text {
    let Some(phase) = phases.first() else {
        return Text::default();
    };
    let title = match (row.core, row.pair) {
        (Some(_), Some(_)) if is_tap(row, phase) => {
            say!("{}, {}", row.name(), row.subject.clone())
        }
        _ => row.name(),
    };
    let circuit = row.whose == Whose::Circuit && !row.title.to_string().contains("circuit");
    let said = say_of(phase, &title, pen);
    match circuit {
        true => Text::from("circuit: ").join(said),
        false => said,
    }
}

/// Whether a row speaks of another pair than the whole winding.
fn is_tap(row: &Required, phase: &Phase<'_, '_>) -> bool {
    let of = row.pair.and_then(|pair| {
        let core = phase.entry.record().cores.get(pair.core)?;
        Some(!core.is_full(pair))
    });
    of == Some(true)
}

/// The limit; where the CTs have different ones, each once.
fn limit(of: &[Option<&Required>], phases: &[&Phase<'_, '_>], pen: NumberStyle) -> Cell {
    let mut found: Vec<(&Phrase, Text)> = Vec::new();
    for (row, phase) in of.iter().zip(phases) {
        let Some(row) = row.filter(|row| !row.limit.is_empty()) else {
            continue;
        };
        let said = say_of(phase, &row.limit, pen);
        let said = said.under(say_of(phase, &row.source, pen).letters());
        // Of a standard or a client it is one limit, whatever the prefix that suits each value.
        let same = |(source, known): &(&Phrase, Text)| {
            *known == said || **source == row.source && row.stated_at.is_none()
        };
        if !found.iter().any(same) {
            found.push((&row.source, said));
        }
    }
    let found: Vec<Text> = found.into_iter().map(|(_, said)| said).collect();
    let mut found = found.into_iter();
    let Some(first) = found.next() else {
        return Cell::Empty;
    };
    found
        .fold(first, |all, one| all.plain("; ").join(one))
        .into()
}

/// What was found; its word where that is no plain pass, or not what its neighbours are.
fn value(phase: &Phase<'_, '_>, row: &Required, limited: bool, pen: NumberStyle) -> Cell {
    if !row.is_told() {
        return Cell::Empty;
    }
    let found = say_of(phase, &row.found_abreast(), pen);
    if found.is_empty() {
        let why = say_of(phase, &row.why, pen).letters();
        return Cell::Graded(row.grade, Text::word(row.grade, row.word).under(why));
    }
    let why = say_of(phase, &row.why, pen).letters();
    match row.word {
        "met" if why.is_empty() => Cell::Graded(Grade::Pass, found),
        // Beside values that were held against a limit, what was not says so.
        "measured" if !limited && why.is_empty() => Cell::Told(found),
        word => {
            let said = found.plain(" ").join(Text::word(row.grade, word));
            Cell::Graded(row.grade, said.under(why))
        }
    }
}

/// From here on, per cent, a deviation is told as a multiple.
const TIMES: f64 = 200.0;

/// Of the values of a row the one farthest off the others, where a share says something.
fn farthest(phases: &[&Phase<'_, '_>], of: &[Option<&Required>], pen: NumberStyle) -> String {
    let off = |(phase, row): (&&Phase<'_, '_>, &Option<&Required>)| {
        let off = row.as_ref()?.beside.sisters.as_ref()?.off?;
        Some((off, phase.label.to_owned()))
    };
    let all = phases.iter().zip(of).filter_map(off);
    let most = all.max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()));
    let said = most.map(|(off, name)| match off.abs() < 0.05 {
        true => "0.0 %".to_owned(),
        false if off > TIMES => format!("{name}: × {:.0}", 1.0 + off / 100.0),
        false => format!("{name}: {off:+.1} %").replace('-', "−"),
    });
    pen.mark(&said.unwrap_or_default())
}

/// A chart for each core of alike CTs. The curve of one alone stands on its own page.
fn charts(key: &str, phases: &[&Phase<'_, '_>], pen: NumberStyle) -> Vec<Figure> {
    if phases.len() < 2 {
        return Vec::new();
    }
    let cores = phases
        .first()
        .map_or(0, |phase| phase.entry.record().cores.len());
    let chart = |core: usize| {
        let mut overlays: Vec<Overlay<'_>> = Vec::new();
        for phase in phases {
            overlays.push(Overlay {
                label: phase.label,
                record: phase.entry.record(),
                assessment: &phase.entry.unit.assessment,
                visits: &phase.entry.visits,
                core,
            });
        }
        overlaid(&format!("{key}-{core}"), &overlays, pen)
    };
    (0..cores).filter_map(chart).collect()
}
