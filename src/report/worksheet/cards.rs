//! The cards of the tests: how the leads are laid, the drawing, and the tables to write into, on one piece
//! of paper each.

use super::blanks::{self, blank, other_pairs};
use super::connect::{self, Row, tables};
use super::job::Job;
use super::merged::{alike, as_one};
use super::plan::{Setup, Step};
use super::plate::CoreSheet;
use super::{pictures, say, stop};
use crate::document::{Block, Figure, Table, joined};
use crate::standards::threshold;
use std::collections::BTreeSet;

/// What a sheet is made for: one unit, or a set; of one core alone, where it is named.
#[derive(Clone, Copy)]
pub struct Wanted<'s, 'a> {
    pub jobs: &'s [Job<'a>],
    pub only: Option<&'s str>,
}

/// A core of a unit.
type Of<'s, 'a> = (&'s Job<'a>, &'s CoreSheet<'a>);

impl<'s, 'a> Wanted<'s, 'a> {
    /// The cores on which a step is due, as far as they are wanted, unit by unit.
    pub fn due(self, step: Step) -> Vec<Of<'s, 'a>> {
        let of = |job: &'s Job<'a>| job.due(step).into_iter().map(move |core| (job, core));
        let mut due: Vec<Of<'s, 'a>> = self.jobs.iter().flat_map(of).collect();
        due.retain(|(_, core)| self.only.is_none_or(|name| core.core.name == name));
        due
    }

    /// The units on whose primary a step is due; a sheet of one core leaves it out.
    pub fn due_on_primary(self, step: Step) -> Vec<&'s Job<'a>> {
        let all = self.jobs.iter().filter(|_| self.only.is_none());
        all.filter(|job| job.due_on_primary(step)).collect()
    }

    /// Why no tester is put to a primary that may be somebody else's, unit by unit.
    fn doubted(self) -> Vec<String> {
        let all = self.jobs.iter().filter(|job| {
            self.only.is_none()
                && job.is_primary_unknown()
                && job.programme.asks(Step::Insulation, None)
        });
        let told = all.map(|job| {
            let unit = Some(self.unit(job)).filter(|unit| !unit.is_empty());
            let unit = say::told(unit, |unit| format!("{unit}: "));
            format!(
                "{unit}No insulation test of the primary: the record does not say that the primary is the unit's own, and a cable or busbar \
                 through a window is somebody else's. Write into [ct] \"passes: 1\" or \"primary: cable\" for a window, \"primary turns: 1\" for a primary of its own."
            )
        });
        told.collect()
    }

    pub fn is_set(self) -> bool {
        self.jobs.len() > 1
    }

    /// What a unit is called in a table, its phase where that is enough; nothing where there is one.
    pub fn unit(self, job: &Job<'_>) -> String {
        if !self.is_set() {
            return String::new();
        }
        let same = |other: &&Job<'_>| other.phase() == job.phase();
        match job.phase() {
            Some(phase) if self.jobs.iter().filter(same).count() == 1 => phase.clone(),
            _ => job.label(),
        }
    }

    /// What a core is called in a table of all cores.
    pub fn core(self, job: &Job<'_>, core: &CoreSheet<'_>) -> String {
        let unit = Some(self.unit(job)).filter(|unit| !unit.is_empty());
        joined([unit, Some(core.core.name.clone())], ", ")
    }

    /// A heading whose first column names cores, as it stands above those of all units.
    pub fn by_core(self, heading: &str) -> String {
        let unit = if self.is_set() { "unit, " } else { "" };
        format!("{unit}{heading}")
    }
}

/// Every test of a setup that is due; nothing where none is.
pub fn setup(wanted: Wanted<'_, '_>, setup: Setup) -> Vec<Block> {
    let steps = setup.steps().iter().copied();
    let is_due =
        |step: &Step| !wanted.due(*step).is_empty() || !wanted.due_on_primary(*step).is_empty();
    let steps: Vec<Step> = steps.filter(is_due).collect();
    if steps.is_empty() {
        return Vec::new();
    }
    let cautions: BTreeSet<&str> = steps.iter().map(|step| step.caution()).collect();
    let cautions = joined(cautions.into_iter().map(|one| Some(one.to_owned())), " ");
    let mut blocks = vec![
        Block::heading(2, title(&steps)),
        Block::Caution(cautions.into()),
    ];
    for step in &steps {
        blocks.extend(primary_cards(wanted, *step));
        if *step == Step::Insulation {
            let unknown = wanted.doubted().into_iter();
            blocks.extend(unknown.map(|text| Block::Caution(text.into())));
        }
    }
    if setup.is_shared() {
        for step in &steps {
            blocks.extend(shared_card(wanted, setup, *step));
        }
    } else {
        blocks.extend(core_cards(wanted, setup, &steps));
    }
    if steps.contains(&Step::Excitation) {
        let text = "A curve that ends below the point marked \"limit\" shows neither that the class is met nor that it is not. Only a core with an instrument security factor (FS) may reach the current asked for before that point, which shows it. Write down where the source ended.";
        blocks.push(Block::paragraph(text));
    }
    let sources: BTreeSet<String> = steps
        .iter()
        .flat_map(|step| sources(wanted, *step))
        .collect();
    if !sources.is_empty() {
        let lines = joined(sources.into_iter().map(Some), "; ");
        blocks.push(Block::paragraph(format!(
            "Sources of the expected values: {lines}."
        )));
    }
    blocks
}

/// `Winding resistance, demagnetisation, excitation`
pub fn title(steps: &[Step]) -> String {
    let lower = |name: &str| {
        let mut letters = name.chars();
        let first = letters
            .next()
            .map(|letter| letter.to_lowercase().to_string());
        first.unwrap_or_default() + letters.as_str()
    };
    let names = steps.iter().enumerate();
    let names = names.map(|(at, step)| {
        Some(if at == 0 {
            step.name().to_owned()
        } else {
            lower(step.name())
        })
    });
    joined(names, ", ")
}

/// Drawing and facts beside each other, what differs below them, then what is written down.
fn card(
    heading: Option<String>,
    (caption, rows): (&str, &[(String, Row)]),
    figure: Option<Figure>,
    rest: Vec<Block>,
) -> Block {
    let (facts, grids) = tables(caption, rows);
    let mut card: Vec<Block> = heading
        .map(|text| Block::heading(3, text))
        .into_iter()
        .collect();
    card.push(match figure {
        Some(figure) => Block::columns(figure, facts),
        None => Block::Table(facts),
    });
    card.extend(grids.into_iter().map(Block::Table));
    card.extend(rest);
    Block::Group("card", card)
}

/// A step on the primary: once for all units that are connected alike.
fn primary_cards(wanted: Wanted<'_, '_>, step: Step) -> Vec<Block> {
    let due = wanted.due_on_primary(step).into_iter();
    let due = due.map(|job| (connect::primary(job, step), job));
    let one = |(rows, jobs): (Vec<(String, Row)>, Vec<&Job<'_>>)| {
        let job = *jobs.first()?;
        let table = blanks::primary(job, step)?;
        let caption = format!("{}, primary", step.name());
        let figure = (step == Step::Insulation)
            .then(|| pictures::of_primary(job, &caption, &rows))
            .flatten();
        let named = jobs.iter().map(|job| (wanted.unit(job), table.clone()));
        let rest = vec![Block::Table(as_one("unit", named.collect()))];
        Some(card(None, (&caption, &rows), figure, rest))
    };
    alike(due).into_iter().filter_map(one).collect()
}

/// A step on all cores, told beside each other.
fn shared_card(wanted: Wanted<'_, '_>, setup: Setup, step: Step) -> Option<Block> {
    let due = wanted.due(step);
    let (job, core) = *due.first()?;
    let told = due.iter().filter_map(|(job, core)| {
        let row = connect::row(job, core, step)?;
        Some(((core.core.name.clone(), row), wanted.unit(job)))
    });
    let told = alike(told);
    let differ = |name: &String| told.iter().filter(|((other, _), _)| other == name).count() > 1;
    let rows = told.iter().map(|((name, row), units)| {
        let units = units.iter().map(|unit| Some(unit.clone()));
        let whose = differ(name).then(|| joined(units, ", "));
        (joined([Some(name.clone()), whose], ", "), row.clone())
    });
    let rows: Vec<(String, Row)> = rows.collect();
    let caption = match &rows[..] {
        [(name, _)] => format!("{}, core {name}", step.name()),
        _ => format!("{}, each core in turn", step.name()),
    };
    let mut figure = pictures::of_core(job, core, setup, &caption, &rows);
    figure = figure.filter(|_| step != Step::Withstand);
    if let (Some(figure), false) = (&mut figure, rows.len() == 1 || setup == Setup::Burden) {
        figure.picture.caption += &format!(" Drawn for core {}.", core.core.name);
    }
    let tables = due.iter().flat_map(|(job, core)| {
        let tables = blank(job, core, step).into_iter();
        tables.map(|table| (wanted.unit(job), table))
    });
    let rest = vec![Block::Table(as_one("unit", tables.collect()))];
    Some(card(None, (&caption, &rows), figure, rest))
}

/// The steps of a setup core by core; units that are connected alike stand on one card.
fn core_cards(wanted: Wanted<'_, '_>, setup: Setup, steps: &[Step]) -> Vec<Block> {
    let mut due: Vec<Of<'_, '_>> = Vec::new();
    for one in steps.iter().flat_map(|step| wanted.due(*step)) {
        let is_one =
            |(job, core): &Of<'_, '_>| std::ptr::eq(*job, one.0) && core.index == one.1.index;
        if !due.iter().any(is_one) {
            due.push(one);
        }
    }
    let told = due.into_iter().map(|(job, core)| {
        let own = steps.iter().filter(|step| job.asks(**step, core));
        let rows = own.filter_map(|step| Some((*step, connect::row(job, core, *step)?)));
        (
            (core.core.name.clone(), rows.collect::<Vec<_>>()),
            (job, core),
        )
    });
    // Cores of one name stand together, whatever the unit.
    let by_name = alike(told.map(|((name, rows), of)| (name, (rows, of))));
    let mut blocks = Vec::new();
    for (name, all) in by_name {
        let groups = alike(all);
        let are_unlike = groups.len() > 1;
        for (rows, units) in groups {
            let whose = units.iter().map(|(job, _)| Some(job.label()));
            let whose = are_unlike.then(|| joined(whose, ", "));
            let name = joined([Some(name.clone()), whose], ", ");
            blocks.extend(core_card(wanted, setup, (&name, &rows), &units));
        }
    }
    blocks
}

fn core_card(
    wanted: Wanted<'_, '_>,
    setup: Setup,
    (name, rows): (&str, &[(Step, Row)]),
    units: &[Of<'_, '_>],
) -> Vec<Block> {
    let Some((job, core)) = units.first().copied() else {
        return Vec::new();
    };
    let steps: Vec<Step> = rows.iter().map(|(step, _)| *step).collect();
    let rows = rows.iter();
    let rows: Vec<(String, Row)> = rows
        .map(|(step, row)| (step.name().to_owned(), row.clone()))
        .collect();
    let caption = format!("{}, core {name}", title(&steps));
    let figure = pictures::of_core(job, core, setup, &caption, &rows);
    let mut rest = Vec::new();
    if steps.contains(&Step::Excitation) {
        rest.extend(stop::lower(job, core).map(Block::paragraph));
        rest.extend(stop::by_hand(job, core).map(Block::paragraph));
    }
    for step in &steps {
        let all = units
            .iter()
            .map(|(job, core)| (wanted.unit(job), blank(job, core, *step)));
        let all: Vec<(String, Vec<Table>)> = all.collect();
        let most = all
            .iter()
            .map(|(_, tables)| tables.len())
            .max()
            .unwrap_or(0);
        for at in 0..most {
            let of = |(unit, tables): &(String, Vec<Table>)| {
                Some((unit.clone(), tables.get(at)?.clone()))
            };
            let table = as_one("unit", all.iter().filter_map(of).collect());
            rest.push(Block::Table(table));
        }
    }
    let heading = format!("Core {name}: {}", core.summary());
    let mut blocks = vec![card(Some(heading), (&caption, &rows), figure, rest)];
    if steps.contains(&Step::Excitation) {
        let pairs = other_pairs(job, core).map(Block::Table);
        blocks.extend(pairs.map(|table| Block::Group("card", vec![table])));
    }
    blocks
}

/// What the kick is called.
pub const KICK: &str = "Polarity by d.c. kick (battery) test";

/// The cores that a battery is put to.
pub fn kicked<'s, 'a>(wanted: Wanted<'s, 'a>) -> impl Iterator<Item = Of<'s, 'a>> {
    let due = wanted.due(Step::Ratio).into_iter();
    due.filter(|(job, core)| job.is_kicked(core))
}

/// Demagnetisation behind all that may have magnetised a core; while every link is open still.
pub fn last_demagnetisation(wanted: Wanted<'_, '_>) -> Vec<Block> {
    let due = wanted.due(Step::Demagnetisation);
    if due.is_empty() {
        return Vec::new();
    }
    let tables = due.iter().map(|(job, core)| {
        let table = blanks::demagnetisation(core, "as left");
        (wanted.unit(job), table)
    });
    let tables = as_one("unit", tables.collect());
    let text = "Behind every direct current and every trip of the source, and before a link is closed, a short taken off or a trip unblocked: \
                connected and started as told for the core under demagnetisation above.";
    vec![
        Block::heading(2, "Demagnetisation, as left"),
        Block::Caution(Step::Demagnetisation.caution().into()),
        Block::Group("card", vec![Block::paragraph(text), Block::Table(tables)]),
    ]
}

/// Polarity by kick: once for all units that are connected alike.
pub fn kick(wanted: Wanted<'_, '_>) -> Vec<Block> {
    let due = kicked(wanted);
    let mut units: Vec<(&Job<'_>, Vec<&CoreSheet<'_>>)> = Vec::new();
    for (job, core) in due {
        match units
            .iter_mut()
            .find(|(known, _)| std::ptr::eq(*known, job))
        {
            Some((_, cores)) => cores.push(core),
            None => units.push((job, vec![core])),
        }
    }
    let told = units.into_iter();
    let told = told.filter_map(|(job, cores)| Some((connect::kick(job, &cores)?, (job, cores))));
    let one = |(row, units): (Row, Vec<(&Job<'_>, Vec<&CoreSheet<'_>>)>)| {
        let (job, cores) = units.first()?;
        let caption = KICK;
        let rows = [(caption.to_owned(), row)];
        let figure = pictures::kick(job, cores.first()?, caption, &rows);
        let tables = units
            .iter()
            .map(|(job, cores)| (wanted.unit(job), blanks::polarity(job, cores)));
        let rest = vec![Block::Table(as_one("unit", tables.collect()))];
        Some(card(None, (caption, &rows), Some(figure), rest))
    };
    let cards: Vec<Block> = alike(told).into_iter().filter_map(one).collect();
    if cards.is_empty() {
        return cards;
    }
    let heading = format!("{KICK}, where the ratio test shows no phase");
    std::iter::once(Block::heading(2, heading))
        .chain(cards)
        .collect()
}

/// Where the expected values of a step come from: the clause, as the plate's standard has it.
fn sources(wanted: Wanted<'_, '_>, step: Step) -> Vec<String> {
    let due = wanted.due(step);
    let source = |(job, core): &Of<'_, '_>| match step {
        Step::Resistance => core.metal.map(|row| {
            let k = say::plain(row.k);
            format!("temperature constant {k} \u{b0}C")
        }),
        Step::Ratio => core.turns_tolerance(job.criteria).map(|(_, whose)| whose),
        Step::Excitation => stop::excitation_source(core),
        Step::RatioByCurrent => {
            let currents = stop::currents(core);
            currents.into_iter().next().map(|first| first.source)
        }
        Step::Burden => stop::burden_source(core),
        Step::Withstand => stop::withstand(job, false).map(|(_, source)| source),
        Step::InterTurn => threshold("iec-inter-turn").and_then(|row| core.clause(&row.cited)),
        Step::Insulation
        | Step::PartialDischarge
        | Step::DissipationFactor
        | Step::PrimaryResistance
        | Step::Demagnetisation
        | Step::Remanence
        | Step::Continuity
        | Step::SingleEarth
        | Step::TestLinks
        | Step::RatioSetting
        | Step::Injection
        | Step::Load
        | Step::Stability => None,
    };
    let of_primary = wanted.due_on_primary(step).into_iter();
    let of_primary = of_primary.filter(|_| step == Step::Withstand);
    let of_primary = of_primary.flat_map(|job| {
        let sections = job
            .are_sections_due()
            .then(|| stop::withstand_sections(job));
        let both = [stop::withstand(job, true), sections.flatten()];
        both.into_iter().flatten().map(|(_, source)| source)
    });
    due.iter().filter_map(source).chain(of_primary).collect()
}
