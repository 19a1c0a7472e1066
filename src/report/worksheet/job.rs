//! One unit made ready for its sheet: cores worked out, primary named, what the job asks.

use super::drawing::{End, Picture, Primary, Secondary, Terminal};
use super::plan::{Programme, Step};
use super::plate::CoreSheet;
use super::{Subject, say};
use crate::document::joined;
use crate::ground::date::Date;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::standards::{self, Family};

/// A unit with what every step needs of it.
pub struct Job<'a> {
    pub record: &'a Record,
    pub cores: Vec<CoreSheet<'a>>,
    pub criteria: &'a Criteria,
    /// Temperature of the winding that values are told for, °C.
    pub celsius: f64,
    pub purpose: &'a str,
    pub programme: Programme,
}

impl<'a> Job<'a> {
    /// Works out every core, and what a visit of this purpose asks for on a day.
    pub fn new(subject: &Subject<'a>, celsius: f64, purpose: &'a str, date: Date) -> Self {
        let (record, criteria) = (subject.record, subject.criteria);
        let cores = (0..record.cores.len())
            .filter_map(|index| CoreSheet::new(record, index, criteria))
            .collect();
        Self {
            record,
            cores,
            criteria,
            celsius,
            purpose,
            programme: Programme::new(subject, purpose, date),
        }
    }

    /// Marks of the primary: P1 and P2, under IEEE H1 and H2.
    pub fn primary(&self) -> (&'static str, &'static str) {
        if self.record.plate.family() == Family::Ieee {
            ("H1", "H2")
        } else {
            ("P1", "P2")
        }
    }

    /// The other cores: name with first and last terminal.
    pub fn others(&self, core: &CoreSheet<'_>) -> Vec<String> {
        let other = self.cores.iter().filter(|other| other.index != core.index);
        other
            .map(|other| format!("{}: {}", other.core.name, other.pair(other.full())))
            .collect()
    }

    /// The other cores in the connection table.
    pub fn others_text(&self, core: &CoreSheet<'_>) -> String {
        match self.others(core).as_slice() {
            [] => "none: the CT has one core".to_owned(),
            some => format!("full winding of {}", some.join("; ")),
        }
    }

    /// Highest voltage that may stand at open terminals, volt, and whose figure it is.
    pub fn cap(&self) -> Option<(f64, String)> {
        if let Some(volts) = self.criteria.open_voltage {
            return Some((volts, "criteria of the job".to_owned()));
        }
        standards::threshold("excitation-cap-error")
            .map(|cap| (cap.limit, cap.cited.source.clone()))
    }

    /// A drawing of a core with every terminal named and nothing connected to the primary but earth.
    pub fn picture(&self, core: &CoreSheet<'_>, title: String, secondary: Secondary) -> Picture {
        let (first, second) = self.primary();
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
        let others = self.others(core);
        Picture {
            description: String::new(),
            title,
            primary_marks: (first.to_owned(), second.to_owned()),
            primary: Primary::Ends(End::Open, End::Earthed),
            core: format!("core {name}{turns}"),
            terminals: core.core.marks.iter().map(terminal).collect(),
            sections: sections.collect(),
            driven: (usize::from(from), usize::from(to)),
            secondary,
            others: others.iter().take(6).map(|line| short(line, 18)).collect(),
        }
    }

    /// Writes at the open terminals what they reach while `volts` drive the full winding.
    pub fn mark_open(&self, core: &CoreSheet<'_>, volts: Option<f64>, picture: &mut Picture) {
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

    /// The open terminals in the connection table, each with its voltage against the minus lead.
    pub fn open_text(&self, core: &CoreSheet<'_>, driven: Driven) -> String {
        let open = core.open(core.full());
        if open.is_empty() {
            return "none".to_owned();
        }
        let volts = match driven {
            Driven::By(volts) => volts,
            Driven::Unheeded => None,
        };
        let minus = core.mark(core.full().1);
        let one = |at: u8| {
            let reach = volts.and_then(|volts| core.winding.against_minus(core.full(), volts, at));
            let reach = match (driven, reach) {
                (Driven::Unheeded, _) => String::new(),
                (_, Some(reach)) => format!(" {} against {minus}", say::volts(reach)),
                (_, None) => " (voltage unknown)".to_owned(),
            };
            Some(format!("{}{reach}", core.mark(at)))
        };
        let driven = say::told(volts, |volts| format!("at {} driven: ", say::volts(volts)));
        let open = joined(open.into_iter().map(one), "; ");
        format!("{driven}{open}. Insulate; never short")
    }

    /// The cores on which a step is due.
    pub fn due(&self, step: Step) -> Vec<&CoreSheet<'a>> {
        let own = self.cores.iter();
        own.filter(|core| self.programme.asks(step, Some(core.index)))
            .collect()
    }

    /// Whether a step is due on the primary.
    pub fn due_on_primary(&self, step: Step) -> bool {
        self.programme.asks(step, None)
    }
}

/// What drives the full winding while its taps stay open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Driven {
    /// So many volts, where they are known.
    By(Option<f64>),
    /// A current, whose voltage at the taps nobody asks for.
    Unheeded,
}

/// A text that fits into a drawing; the table beside it holds the whole.
fn short(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        text.to_owned()
    } else {
        text.chars().take(most - 1).chain(['\u{2026}']).collect()
    }
}
