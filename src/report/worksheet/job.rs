//! One unit made ready for its sheet: cores worked out, primary named, what the job asks.

use super::drawing::{End, Picture, Primary, Secondary, Terminal};
use super::plate::CoreSheet;
use super::say;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::standards;
use crate::standards::Family;

/// A unit with what every step needs of it.
pub struct Job<'a> {
    pub record: &'a Record,
    pub cores: Vec<CoreSheet<'a>>,
    pub criteria: &'a Criteria,
    /// Temperature of the winding that values are told for, °C.
    pub celsius: f64,
    pub purpose: &'a str,
}

impl<'a> Job<'a> {
    /// Works out every core.
    pub fn new(record: &'a Record, criteria: &'a Criteria, celsius: f64, purpose: &'a str) -> Self {
        let cores = (0..record.cores.len())
            .filter_map(|index| CoreSheet::new(record, index, criteria))
            .collect();
        Self {
            record,
            cores,
            criteria,
            celsius,
            purpose,
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
        let sections = numbered
            .map(|at| {
                core.winding
                    .turns(at, at + 1)
                    .map(say::turns)
                    .unwrap_or_default()
            })
            .collect();
        let name = short(&core.core.name, 12);
        let turns = core
            .winding
            .full()
            .map(|turns| format!(", {} turns", say::turns(turns)))
            .unwrap_or_default();
        Picture {
            description: String::new(),
            title,
            primary_marks: (first.to_owned(), second.to_owned()),
            primary: Primary::Ends(End::Open, End::Earthed),
            core: format!("core {name}{turns}"),
            terminals: core
                .core
                .marks
                .iter()
                .map(|mark| Terminal {
                    mark: short(mark, 8),
                    open: None,
                })
                .collect(),
            sections,
            driven: (usize::from(from), usize::from(to)),
            secondary,
            others: self
                .others(core)
                .iter()
                .take(6)
                .map(|line| short(line, 18))
                .collect(),
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
    pub fn open_text(&self, core: &CoreSheet<'_>, volts: Option<f64>) -> String {
        let open = core.open(core.full());
        if open.is_empty() {
            return "none".to_owned();
        }
        let minus = core.mark(core.full().1);
        let one = |at: &u8| match volts
            .and_then(|volts| core.winding.against_minus(core.full(), volts, *at))
        {
            Some(reach) => format!("{} {} against {minus}", core.mark(*at), say::volts(reach)),
            None => format!("{} (voltage unknown)", core.mark(*at)),
        };
        let driven = volts
            .map(|volts| format!("at {} driven: ", say::volts(volts)))
            .unwrap_or_default();
        format!(
            "{driven}{}. Insulate; never short",
            open.iter().map(one).collect::<Vec<_>>().join("; ")
        )
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
