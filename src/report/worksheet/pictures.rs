//! Which drawing a setup has, dressed with what is connected: terminals as stamped, what they reach.

use super::connect::{Row, describe};
use super::drawing::{self, End, Picture as Drawing, Primary, Secondary, Terminal};
use super::drive::Drive;
use super::job::Job;
use super::plan::{Setup, Step};
use super::plate::CoreSheet;
use super::{say, stop};
use crate::document::{Figure, Picture, Text};

/// The drawing of a setup on a core, for the steps that are due; `None` where words are enough.
pub fn of_core(
    job: &Job<'_>,
    core: &CoreSheet<'_>,
    setup: Setup,
    caption: &str,
    rows: &[(String, Row)],
) -> Option<Figure> {
    let due = |step| job.asks(step, core);
    let volts = core.drive.as_ref().map(Drive::top);
    match setup {
        Setup::InterTurn => Some(drawn(
            job,
            core,
            caption,
            rows,
            Secondary::Meter("V", "peak"),
            |picture| {
                let rated = |amperes| format!("up to {}", say::amperes(amperes));
                picture.primary = Primary::Driven(say::told(core.rated_primary(), rated));
                mark_open(core, None, picture);
            },
        )),
        Setup::Fed | Setup::Links | Setup::OnLoad => None,
        Setup::Burden => Some(burden(core, caption, rows)),
        Setup::Circuit => None,
        Setup::Insulation => Some(drawn(
            job,
            core,
            caption,
            rows,
            Secondary::Tested,
            |picture| {
                if job.foreign_primary().is_none() {
                    picture.primary = Primary::TiedAndEarthed;
                }
            },
        )),
        Setup::Winding => {
            let alternating = due(Step::Demagnetisation) || due(Step::Excitation);
            let direct = due(Step::Resistance).then_some(core.secondary).flatten();
            let direct = direct.map(stop::direct_current);
            if !alternating {
                let source = Secondary::Direct(direct.unwrap_or_default());
                return Some(drawn(job, core, caption, rows, source, |picture| {
                    mark_open(core, None, picture);
                }));
            }
            let source = Secondary::Alternating(stop::source(core));
            let mut figure = drawn(job, core, caption, rows, source, |picture| {
                mark_open(core, volts, picture);
            });
            if due(Step::Resistance) {
                let direct = say::told(direct, |direct| format!(", {direct}"));
                figure.picture.caption += &format!(" For the resistance: direct current{direct}.");
            }
            Some(figure)
        }
        Setup::Ratio => {
            let volts = core.ratio_voltage.map(|(volts, _)| volts);
            let source = Secondary::Alternating(volts.map(say::volts).into_iter().collect());
            Some(drawn(job, core, caption, rows, source, |picture| {
                let reading = say::told(stop::induced_volts(core), say::volts);
                picture.primary = Primary::Sensed(reading);
                mark_open(core, volts, picture);
            }))
        }
        Setup::RatioByCurrent => {
            let source = Secondary::Loop("burden".to_owned());
            Some(drawn(job, core, caption, rows, source, |picture| {
                let rated = |amperes| format!("rated {}", say::amperes(amperes));
                picture.primary = Primary::Driven(say::told(core.rated_primary(), rated));
                mark_open(core, None, picture);
            }))
        }
    }
}

/// The drawing of the insulation test of the primary.
pub fn of_primary(job: &Job<'_>, caption: &str, rows: &[(String, Row)]) -> Option<Figure> {
    let core = job.cores.first()?;
    let tied = Secondary::TiedAndEarthed;
    Some(drawn(job, core, caption, rows, tied, |picture| {
        picture.primary = Primary::Tested;
    }))
}

/// The drawing of a kick.
pub fn kick(job: &Job<'_>, core: &CoreSheet<'_>, caption: &str, rows: &[(String, Row)]) -> Figure {
    let meter = Secondary::Meter("mV", "");
    drawn(job, core, caption, rows, meter, |picture| {
        picture.primary = Primary::Battery;
        mark_open(core, None, picture);
    })
}

fn burden(core: &CoreSheet<'_>, caption: &str, rows: &[(String, Row)]) -> Figure {
    let (plus, minus) = core.full();
    let marks = match (core.core.marks.len(), rows.len()) {
        (2, 1) => (core.mark(plus), core.mark(minus)),
        _ => ("+", "-"),
    };
    let current = say::told(core.secondary, say::amperes);
    let svg = drawing::burden(caption, &describe(rows), marks, &current);
    figure(
        svg,
        "Measure into the circuit; the CT stays parted from it.".to_owned(),
    )
}

/// A drawing of the core, `dress`ed with what is connected to the primary.
fn drawn(
    job: &Job<'_>,
    core: &CoreSheet<'_>,
    caption: &str,
    rows: &[(String, Row)],
    secondary: Secondary,
    dress: impl FnOnce(&mut Drawing),
) -> Figure {
    let mut picture = bare(job, core, caption.to_owned(), secondary);
    picture.description = describe(rows);
    dress(&mut picture);
    let mut legend = "The dot marks the polarity ends.".to_owned();
    if core.core.marks.len() > 2 {
        legend = format!("Figures under the winding: turns. {legend}");
    }
    figure(drawing::draw(&picture), legend)
}

/// A drawing in its place. Plain Markdown says nothing there: the table beside it says the same in
/// words.
fn figure(element: String, caption: String) -> Figure {
    Figure {
        key: "drawing".to_owned(),
        picture: Picture {
            element,
            caption,
            ..Picture::default()
        },
        instead: Text::default(),
    }
}

/// A core with every terminal named and nothing connected to the primary but earth.
fn bare(job: &Job<'_>, core: &CoreSheet<'_>, title: String, secondary: Secondary) -> Drawing {
    let (first, second) = job.primary();
    let (from, to) = core.full();
    // Of one section the turns stand beside the core's name already.
    let numbered = (from..to).filter(|_| to > 1);
    let sections = numbered.map(|at| say::told(core.winding.turns(at, at + 1), say::turns));
    let name = short(&core.core.name, 12);
    let turns = say::told(core.winding.full(), |turns| {
        format!(", {} turns", say::turns(turns))
    });
    let terminal = |mark: &String| Terminal {
        mark: short(mark, 8),
        open: None,
    };
    let others = job.others(core);
    Drawing {
        description: String::new(),
        title,
        primary_marks: (first.to_owned(), second.to_owned()),
        primary: Primary::Ends(End::Open, End::Earthed),
        foreign: job.foreign_primary().is_some(),
        core: format!("core {name}{turns}"),
        terminals: core.core.marks.iter().map(terminal).collect(),
        sections: sections.collect(),
        driven: (usize::from(from), usize::from(to)),
        secondary,
        others: others.iter().take(6).map(|line| short(line, 18)).collect(),
    }
}

/// Writes at the open terminals what they reach while `volts` drive the full winding.
fn mark_open(core: &CoreSheet<'_>, volts: Option<f64>, picture: &mut Drawing) {
    for at in core.open(core.full()) {
        let reach = volts.and_then(|volts| core.winding.against_minus(core.full(), volts, at));
        let lines = std::iter::once("open".to_owned())
            .chain(reach.map(say::volts))
            .collect();
        if let Some(terminal) = picture.terminals.get_mut(usize::from(at)) {
            terminal.open = Some(lines);
        }
    }
}

/// A text that fits into a drawing; the table beside it holds the whole.
fn short(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        text.to_owned()
    } else {
        text.chars().take(most - 1).chain(['\u{2026}']).collect()
    }
}
