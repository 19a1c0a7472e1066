//! `[core …]`: one core with its winding, its taps and what the plate promises of it.

use super::class::Class;
use super::parse;
use super::plate::origins;
use super::reader::Body;
use super::schema::{Argument, Column, Key, Kind, Section};
use super::value::{At, Burden, Pair, PairName, Ratio};
use super::words;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::nearest::nearest;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::ground::unit::Dimension;
use crate::standards::{Family, Metal};

pub static SCHEMA: Section = Section {
    name: "core",
    also: &[],
    argument: Argument::NewCore,
    keys: &[
        Key::new(
            "use",
            Kind::Choice(&["protection", "metering", "protection and metering", "spare"]),
            "what the core serves",
        ),
        Key::new(
            "marks",
            Kind::Terminals,
            "terminals as stamped, in winding order; by default the core's name and a number",
        ),
        Key::new(
            "class",
            Kind::Class,
            "accuracy class as on the plate: 5P20, 0.5 FS10, PX, TPY, C800, 0.3B-0.5",
        ),
        Key::new(
            "burden",
            Kind::Burden,
            "rated burden: 15 VA, 15 VA at 0.80, 1-10 VA, 5 ohm, B-0.5",
        ),
        Key::new(
            "ratio",
            Kind::Ratio,
            "rated ratio of the full winding: 600/1 A, 1200:5",
        ),
        Key::new(
            "turns",
            Kind::Number,
            "secondary turns of the full winding, where they are not ratio times primary turns",
        ),
        Key::new(
            "resistance",
            Kind::QuantityAt(Dimension::Resistance, Dimension::Temperature),
            "winding resistance of the full winding: 3.40 ohm at 75 C",
        ),
        Key::new(
            "conductor",
            Kind::Choice(&["copper", "aluminium"]),
            "what the winding is made of; copper unless written",
        ),
        Key::new(
            "knee emf",
            Kind::Quantity(Dimension::Voltage),
            "rated knee point e.m.f. Ek (PX, PXR, X, PS)",
        )
        .or(&["knee voltage"]),
        Key::repeated(
            "exciting current",
            Kind::QuantityAt(Dimension::Current, Dimension::Voltage),
            "upper limit of the exciting current: 30 mA at 1000 V",
        ),
        Key::new(
            "extended",
            Kind::Quantity(Dimension::Percent),
            "extended current rating of a measuring class: 150 %",
        ),
        Key::new(
            "rating factor",
            Kind::Number,
            "IEEE continuous thermal rating factor RF",
        ),
        Key::new(
            "kssc",
            Kind::Number,
            "rated symmetrical short-circuit current factor (TP classes)",
        ),
        Key::new(
            "ktd",
            Kind::Number,
            "rated transient dimensioning factor (TP classes)",
        ),
        Key::new(
            "primary time constant",
            Kind::Quantity(Dimension::Time),
            "specified primary time constant Tp",
        ),
        Key::new(
            "duty cycle",
            Kind::Choice(&["C-O", "C-O-C-O"]),
            "specified duty cycle",
        ),
        Key::new(
            "accuracy time",
            Kind::Quantity(Dimension::Time),
            "time to the accuracy limit t'al",
        ),
        Key::new(
            "loop time constant",
            Kind::Quantity(Dimension::Time),
            "secondary loop time constant Ts",
        ),
        Key::new(
            "turns compensation",
            Kind::Number,
            "turns taken off on purpose by the maker",
        ),
        Key::new(
            "like",
            Kind::Text,
            "the id of a unit with the same plate, read and confirmed",
        ),
    ],
    columns: &[
        Column::new("tap", Kind::Pair, "pair of terminals"),
        Column::new("ratio", Kind::Ratio, "rated ratio of the tap"),
        Column::new(
            "class",
            Kind::Class,
            "class of the tap, where the plate gives one",
        ),
        Column::new("burden", Kind::Burden, "rated burden of the tap"),
        Column::positive(
            "knee",
            Kind::Quantity(Dimension::Voltage),
            "rated knee point e.m.f. of the tap",
        ),
        Column::positive(
            "exciting",
            Kind::Quantity(Dimension::Current),
            "upper limit of the exciting current at the knee",
        ),
        Column::positive(
            "resistance",
            Kind::Quantity(Dimension::Resistance),
            "upper limit of the winding resistance at 75 °C",
        )
        .never(&["Mohm", "Gohm"]),
    ],
    doc: "one core: winding, taps, what the plate promises",
};

/// More terminals than any winding has, and more taps than there are pairs of them.
const MOST_MARKS: usize = 20;
const MOST_TAPS: usize = MOST_MARKS * (MOST_MARKS - 1) / 2;

/// A declared pair of terminals.
#[derive(Clone, Debug)]
pub struct Tap {
    pub from: u8,
    pub to: u8,
    pub ratio: Given<Ratio>,
    pub class: Given<Class>,
    pub burden: Given<Burden>,
    pub knee: Given<Quantity>,
    pub exciting: Given<Quantity>,
    pub resistance: Given<Quantity>,
    pub span: Span,
}

/// What a plate of a TP class adds.
#[derive(Clone, Debug, Default)]
pub struct TransientPlate {
    pub kssc: Given<f64>,
    pub ktd: Given<f64>,
    pub primary_time_constant: Given<Quantity>,
    pub duty_cycle: Given<&'static str>,
    pub accuracy_time: Given<Quantity>,
    pub loop_time_constant: Given<Quantity>,
}

/// One core.
#[derive(Clone, Debug)]
pub struct Core {
    pub name: String,
    pub purpose: Given<&'static str>,
    pub class: Given<Class>,
    pub burden: Given<Burden>,
    pub ratio: Given<Ratio>,
    /// Terminals in winding order; at least two.
    pub marks: Vec<String>,
    pub marks_declared: bool,
    pub taps: Vec<Tap>,
    pub turns: Given<f64>,
    pub resistance: Given<At>,
    pub conductor: Given<&'static str>,
    pub knee: Given<Quantity>,
    pub exciting: Vec<Located<At>>,
    pub extended: Given<Quantity>,
    pub rating_factor: Given<f64>,
    pub transient: TransientPlate,
    pub turns_compensation: Given<f64>,
    /// The unit whose plate this core shares.
    pub like: Given<String>,
    pub notes: Vec<Located<String>>,
    pub origins: Vec<(&'static str, &'static str)>,
    pub span: Span,
    pub doubtful: Option<Span>,
}

impl Core {
    /// Takes what a `[core]` section says.
    pub fn read(name: &str, body: &Body, family: Family, found: &mut Vec<Diagnostic>) -> Self {
        let (mut marks, marks_declared) = marks(name, body, family);
        if marks.len() > MOST_MARKS {
            let span = body
                .field("marks")
                .map_or(body.open, |field| field.text.span);
            found.push(words::too_many("terminals", MOST_MARKS, span));
            marks.truncate(MOST_MARKS);
        }
        let mut core = Self {
            name: name.to_owned(),
            purpose: body.choice("use"),
            class: body.class("class"),
            burden: body.burden("burden"),
            ratio: body.ratio("ratio"),
            marks,
            marks_declared,
            taps: Vec::new(),
            turns: body.number("turns"),
            resistance: body.at("resistance"),
            conductor: body.choice("conductor"),
            knee: body.quantity("knee emf"),
            exciting: exciting(body),
            extended: body.quantity("extended"),
            rating_factor: body.number("rating factor"),
            transient: TransientPlate {
                kssc: body.number("kssc"),
                ktd: body.number("ktd"),
                primary_time_constant: body.quantity("primary time constant"),
                duty_cycle: body.choice("duty cycle"),
                accuracy_time: body.quantity("accuracy time"),
                loop_time_constant: body.quantity("loop time constant"),
            },
            turns_compensation: body.number("turns compensation"),
            like: body.text("like"),
            notes: body.notes.clone(),
            origins: origins(body),
            span: body.open,
            doubtful: body.doubtful,
        };
        core.read_taps(body, found);
        core
    }

    fn read_taps(&mut self, body: &Body, found: &mut Vec<Diagnostic>) {
        for cells in body.tables.iter().flat_map(super::reader::Table::cells) {
            if self.taps.len() == MOST_TAPS {
                found.push(words::too_many("taps", MOST_TAPS, cells.row.span));
                break;
            }
            let Some(name) = cells.pair("tap").get().cloned() else {
                continue;
            };
            let Some((from, to)) = self.positions(&name, found) else {
                continue;
            };
            self.taps.push(Tap {
                from,
                to,
                ratio: cells.ratio("ratio"),
                class: cells.class("class"),
                burden: cells.burden("burden"),
                knee: cells.quantity("knee"),
                exciting: cells.quantity("exciting"),
                resistance: cells.quantity("resistance"),
                span: cells.row.span,
            });
        }
        let full = (0, self.last_mark());
        let declared = self.taps.iter().any(|tap| (tap.from, tap.to) == full);
        if let (false, Some(ratio)) = (declared, self.ratio.get()) {
            self.taps.push(Tap {
                from: full.0,
                to: full.1,
                ratio: Given::Written(*ratio),
                class: Given::Missing,
                burden: Given::Missing,
                knee: Given::Missing,
                exciting: Given::Missing,
                resistance: Given::Missing,
                span: ratio.span,
            });
        }
    }

    fn positions(&self, name: &Located<PairName>, found: &mut Vec<Diagnostic>) -> Option<(u8, u8)> {
        let position = |mark: &str| {
            self.marks
                .iter()
                .position(|known| known == mark)
                .and_then(|at| u8::try_from(at).ok())
        };
        match (position(&name.value.from), position(&name.value.to)) {
            (Some(from), Some(to)) if from < to => Some((from, to)),
            (Some(_), Some(_)) => {
                let text = format!("{}-{}", name.value.from, name.value.to);
                found.push(
                    words::pair(&text, name.span)
                        .help("write a tap from the lower to the higher terminal"),
                );
                None
            }
            (from, _) => {
                let unknown = if from.is_none() {
                    &name.value.from
                } else {
                    &name.value.to
                };
                found.push(terminal_unknown(
                    unknown,
                    name.span,
                    self.marks.iter().map(String::as_str),
                ));
                None
            }
        }
    }

    /// Position of the last terminal.
    pub fn last_mark(&self) -> u8 {
        u8::try_from(self.marks.len().saturating_sub(1)).unwrap_or(u8::MAX)
    }

    /// Whether the pair is the whole winding.
    pub fn is_full(&self, pair: Pair) -> bool {
        pair.from == 0 && pair.to == self.last_mark()
    }

    /// `1S1-1S3`.
    pub fn pair_text(&self, from: u8, to: u8) -> String {
        let mark = |at: u8| self.marks.get(usize::from(at)).map_or("?", String::as_str);
        format!("{}-{}", mark(from), mark(to))
    }

    /// The declared tap of exactly this pair.
    pub fn tap(&self, from: u8, to: u8) -> Option<&Tap> {
        self.taps
            .iter()
            .find(|tap| (tap.from, tap.to) == (from, to))
    }

    /// The declared full winding.
    pub fn full_tap(&self) -> Option<&Tap> {
        self.tap(0, self.last_mark())
    }

    /// What the winding is made of; copper unless the plate says otherwise.
    pub fn metal(&self) -> Metal {
        match self.conductor.value() {
            Some(&"aluminium") => Metal::Aluminium,
            _ => Metal::Copper,
        }
    }

    /// The rated ratio of the full winding.
    pub fn full_ratio(&self) -> Option<Ratio> {
        self.full_tap()
            .and_then(|tap| tap.ratio.value().copied())
            .or_else(|| self.ratio.value().copied())
    }

    /// Rated secondary current in ampere.
    pub fn rated_secondary(&self) -> Option<f64> {
        let tapped = self
            .taps
            .iter()
            .find_map(|tap| tap.ratio.value())
            .map(|ratio| ratio.secondary);
        self.full_ratio().map(|ratio| ratio.secondary).or(tapped)
    }

    /// Nominal ratio (primary over secondary current) between two terminals, from the declared taps by
    /// sums and differences; `None` when the plate does not fix it.
    pub fn nominal_ratio(&self, from: u8, to: u8) -> Option<f64> {
        let potential = self.potentials(from);
        potential.get(usize::from(to)).copied().flatten()
    }

    /// Ratio-turns of every terminal against `from`, as far as the taps connect them.
    fn potentials(&self, from: u8) -> Vec<Option<f64>> {
        let mut known: Vec<Option<f64>> = vec![None; self.marks.len()];
        if let Some(start) = known.get_mut(usize::from(from)) {
            *start = Some(0.0);
        }
        // Each pass settles at least one more terminal, or nothing more can be settled.
        for _ in 0..self.marks.len() {
            for tap in &self.taps {
                let Some(ratio) = tap.ratio.value() else {
                    continue;
                };
                let (low, high) = (usize::from(tap.from), usize::from(tap.to));
                let (a, b) = (
                    known.get(low).copied().flatten(),
                    known.get(high).copied().flatten(),
                );
                let (at, value) = match (a, b) {
                    (Some(a), None) => (high, a + ratio.value()),
                    (None, Some(b)) => (low, b - ratio.value()),
                    _ => continue,
                };
                if let Some(slot) = known.get_mut(at) {
                    *slot = Some(value);
                }
            }
        }
        known
    }

    /// The class that holds for a pair: the tap's own, or the core's for the full winding.
    pub fn class_of(&self, pair: Pair) -> Option<&Class> {
        let own = self
            .tap(pair.from, pair.to)
            .and_then(|tap| tap.class.value());
        own.or_else(|| self.class.value().filter(|_| self.is_full(pair)))
    }

    /// Taps whose ratios do not add up with the others.
    pub fn taps_that_disagree(&self) -> Vec<&Tap> {
        let sum = |tap: &&Tap| {
            let others = Self {
                taps: self
                    .taps
                    .iter()
                    .filter(|other| other.span != tap.span)
                    .cloned()
                    .collect(),
                ..self.clone()
            };
            others.nominal_ratio(tap.from, tap.to)
        };
        let off = |tap: &&Tap| match (tap.ratio.value(), sum(tap)) {
            (Some(ratio), Some(sum)) => (ratio.value() - sum).abs() > 1e-6 * sum.abs().max(1.0),
            _ => false,
        };
        self.taps.iter().filter(off).collect()
    }
}

fn exciting(body: &Body) -> Vec<Located<At>> {
    let pick = |field: &super::reader::Field| match &field.value {
        Given::Written(Located {
            value: super::value::Datum::At(at),
            span,
        }) => Some(Located::new(*at, *span)),
        _ => None,
    };
    body.fields_of("exciting current")
        .filter_map(pick)
        .collect()
}

/// The terminals in winding order: as stamped, else those of the tap table, else two.
fn marks(name: &str, body: &Body, family: Family) -> (Vec<String>, bool) {
    if let Some(declared) = body.terminals("marks").value() {
        let marks: Vec<String> = declared.iter().map(|mark| mark.value.clone()).collect();
        if marks.len() >= 2 {
            return (marks, true);
        }
    }
    let mut highest = if family == Family::Ieee && body.tables.is_empty() {
        2
    } else {
        0
    };
    for cells in body.tables.iter().flat_map(super::reader::Table::cells) {
        if let Some(pair) = cells.pair("tap").value() {
            let number = |mark: &str| {
                mark.strip_prefix(name)
                    .and_then(|n| n.parse::<u8>().ok())
                    .filter(|n| *n <= 20)
            };
            highest = [number(&pair.from), number(&pair.to), Some(highest)]
                .into_iter()
                .flatten()
                .max()
                .unwrap_or(highest);
        }
    }
    (
        (1..=highest.max(2)).map(|n| format!("{name}{n}")).collect(),
        false,
    )
}

/// Looks a pair up among all cores.
pub fn resolve(
    cores: &[Core],
    name: &PairName,
    span: Span,
    found: &mut Vec<Diagnostic>,
) -> Option<Pair> {
    let place = |mark: &str| {
        cores.iter().enumerate().find_map(|(core, known)| {
            known
                .marks
                .iter()
                .position(|m| m == mark)
                .and_then(|at| u8::try_from(at).ok())
                .map(|at| (core, at))
        })
    };
    let (from, to) = (place(&name.from), place(&name.to));
    match (from, to) {
        (Some((core, from)), Some((other, to))) if core == other && from != to => {
            Some(Pair { core, from, to })
        }
        (Some(_), Some(_)) => {
            found.push(pair_cores(
                &format!("{}-{}", name.from, name.to),
                span,
                name.from == name.to,
            ));
            None
        }
        _ => {
            let unknown = if from.is_none() { &name.from } else { &name.to };
            let marks = cores
                .iter()
                .flat_map(|core| core.marks.iter().map(String::as_str));
            found.push(terminal_unknown(unknown, span, marks));
            None
        }
    }
}

/// Looks a core up by its name.
pub fn core_index(cores: &[Core], name: &str) -> Option<usize> {
    cores.iter().position(|core| core.name == name)
}

/// "No core has this name", with the nearest one.
pub fn core_unknown(name: &str, span: Span, cores: &[Core]) -> Diagnostic {
    let names: Vec<&str> = cores.iter().map(|core| core.name.as_str()).collect();
    let found = Diagnostic::new(
        Code::CoreUnknown,
        span,
        format!("there is no core `{name}`"),
    )
    .label("unknown core");
    match nearest(name, names.iter().copied()) {
        Some(near) => found.help(format!("did you mean {near}?")).mend(
            format!("write {near}"),
            span,
            near,
            false,
        ),
        None if names.is_empty() => found.help("the record has no [core] section"),
        None => found.help(format!("cores of this record: {}", words::list(names))),
    }
}

fn terminal_unknown<'a>(
    mark: &str,
    span: Span,
    known: impl Iterator<Item = &'a str>,
) -> Diagnostic {
    let known: Vec<&str> = known.collect();
    let found = Diagnostic::new(
        Code::TerminalUnknown,
        span,
        format!("no core has a terminal `{mark}`"),
    )
    .label("unknown terminal");
    let list = format!(
        "terminals of this record: {}; other stamped marks are declared with `marks:` in [core]",
        words::list(known.iter().copied())
    );
    match nearest(mark, known.iter().copied()) {
        Some(near) if known.len() > 8 => found.help(format!("did you mean {near}?")),
        _ => found.help(list),
    }
}

fn pair_cores(text: &str, span: Span, same: bool) -> Diagnostic {
    let title = if same {
        format!("`{text}` names one terminal twice")
    } else {
        format!("the terminals of `{text}` belong to two cores")
    };
    Diagnostic::new(Code::PairCores, span, title)
        .label("not one winding")
        .help("write two terminals of one core, such as 1S1-1S2")
}

/// Reads a pair out of a section's argument.
pub fn argument_pair(
    text: &str,
    span: Span,
    cores: &[Core],
    found: &mut Vec<Diagnostic>,
) -> Option<Located<Pair>> {
    match parse::pair(parse::Piece::new(text, span.range().start)) {
        Ok(name) => resolve(cores, &name, span, found).map(|pair| Located::new(pair, span)),
        Err(diagnostic) => {
            found.push(diagnostic);
            None
        }
    }
}
