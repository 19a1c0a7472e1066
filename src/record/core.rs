//! `[core …]`: one core with its winding, its taps and what the plate promises of it.

use super::body::{Body, Cells};
use super::inputs::Input;
use super::parse;
use super::schema::section;
use super::value::{At, choices};
use super::words;
use crate::ground::calm::calm;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::nearest::nearest;
use crate::ground::span::{Given, Located, Span};
use crate::trade::{Class, Metal, Pair, PairName, PrimaryMarks, Ratio, Service};
use strum::VariantArray;

section! {
    "core", NewCore, "one core: winding, taps, what the plate promises";
    /// One core.
    Core::without_taps(body: &Body, name: &str, marks: (Vec<String>, bool)) {
        service "use": Choice(Service) "what the core serves";
        "marks": Terminals
            "terminals as stamped, in winding order; by default the core's name and a number";
        class: Class "accuracy class as on the plate: 5P20, 0.5 FS10, PX, TPY, C800, 0.3B-0.5";
        burden: Burden "rated burden: 15 VA, 15 VA at 0.80, 1-10 VA, 5 ohm, B-0.5";
        ratio: Ratio
            "rated ratio of the full winding: 600/1 A, 1200:5; of a summation CT 5+5+5/1 A";
        turns: Number
            "secondary turns of the full winding, where they are not ratio times primary turns" positive;
        resistance: At(Resistance, Temperature)
            "winding resistance of the full winding: 3.40 ohm at 75 C" positive;
        conductor: Choice(Metal) "what the winding is made of; copper unless written";
        knee "knee emf": Voltage
            "rated knee point e.m.f. Ek (PX, PXR, X, PS)" positive or(&["knee voltage"]);
        "exciting current": At(Current, Voltage)
            "upper limit of the exciting current: 30 mA at 1000 V" positive repeat;
        extended: Percent "extended current rating of a measuring class: 150 %";
        rating_factor "rating factor": Number "IEEE continuous thermal rating factor RF" positive;
        kssc: Number "rated symmetrical short-circuit current factor (TP classes)" positive;
        ktd: Number "rated transient dimensioning factor (TP classes)" positive;
        primary_time_constant "primary time constant": Time "specified primary time constant Tp" positive;
        duty_cycle "duty cycle": Choice(DutyCycle) "specified duty cycle";
        accuracy_time "accuracy time": Time "time to the accuracy limit t'al" positive;
        first_duration "first duration": Time "C-O-C-O: duration t' of the first fault" positive;
        dead_time "dead time": Time "C-O-C-O: fault repetition time tfr";
        second_accuracy_time "second accuracy time": Time
            "C-O-C-O: time to the accuracy limit of the second fault, t''al" positive;
        loop_time_constant "loop time constant": Time "secondary loop time constant Ts" positive;
        low_leakage "low leakage": Text
            "what proves the low leakage reactance where the primary has several turns: type test certificate TC-118";
        turns_compensation "turns compensation": Number "turns taken off on purpose by the maker" signed;
        like: Text "the id of a unit with the same plate, read and confirmed";
    } + {
        name: String = name.to_owned();
        /// Terminals in winding order; at least two.
        marks: Vec<String> = marks.0;
        marks_declared: bool = marks.1;
        taps: Vec<Tap> = Vec::new();
        /// Of a summation CT the primary windings that add up; of any other none.
        inputs: Vec<Input> = Vec::new();
        exciting: Vec<Located<At>> = body.all("exciting current");
        notes: Vec<Located<String>> = body.notes.clone();
        origins: Vec<(&'static str, &'static str)> = body.origins();
        span: Span = body.open;
        doubtful: Option<Span> = body.doubtful;
    }
    /// A declared pair of terminals.
    #[derive(Default)]
    Tap::read(cells: Cells<'_>, from: u8, to: u8) {
        "tap": Pair "pair of terminals";
        ratio: Ratio "rated ratio of the tap";
        class: Class "class of the tap, where the plate gives one";
        burden: Burden "rated burden of the tap";
        knee: Voltage "rated knee point e.m.f. of the tap" positive;
        exciting: Current "upper limit of the exciting current at the knee" positive;
        resistance: Resistance
            "upper limit of the winding resistance at 75 °C" positive never(&["Mohm", "Gohm"]);
    } + {
        from: u8 = from;
        to: u8 = to;
        span: Span = cells.row.span;
    }
}

/// More terminals than any winding has, and the number of pairs of them.
const MOST_MARKS: usize = 20;
const MOST_TAPS: usize = 190;

choices! {
    /// The duty cycle that a plate of a TP class states.
    pub enum DutyCycle {
        #[strum(serialize = "C-O")]
        Single,
        #[strum(serialize = "C-O-C-O")]
        Double,
    }
}

impl Core {
    /// Takes what a `[core]` section says.
    pub fn read(name: &str, body: &Body, found: &mut Vec<Diagnostic>) -> Self {
        let name = &plain(name);
        let (mut marks, declared) = marks(name, body);
        if marks.len() > MOST_MARKS {
            let field = body.field("marks");
            let span = field.map_or(body.open, |field| field.text.span);
            found.push(words::too_many("terminals", MOST_MARKS, span));
            marks.truncate(MOST_MARKS);
        }
        let mut core = Self::without_taps(body, name, (marks, declared));
        core.read_taps(body, found);
        core
    }

    fn read_taps(&mut self, body: &Body, found: &mut Vec<Diagnostic>) {
        for cells in body.cells() {
            if self.taps.len() == MOST_TAPS {
                found.push(words::too_many("taps", MOST_TAPS, cells.row.span));
                break;
            }
            let Some(name) = cells.get::<PairName>("tap").get().cloned() else {
                continue;
            };
            let Some((from, to)) = self.positions(&name, found) else {
                continue;
            };
            self.taps.push(Tap::read(cells, from, to));
        }
        let full = (0, self.last_mark());
        let declared = self.taps.iter().any(|tap| (tap.from, tap.to) == full);
        if let (false, Some(ratio)) = (declared, self.ratio.get()) {
            self.taps.push(Tap {
                from: full.0,
                to: full.1,
                ratio: Given::Written(*ratio),
                span: ratio.span,
                ..Tap::default()
            });
        }
    }

    /// Where a terminal is in winding order.
    pub fn position(&self, mark: &str) -> Option<u8> {
        let at = self.marks.iter().position(|known| known == mark)?;
        u8::try_from(at).ok()
    }

    fn positions(&self, name: &Located<PairName>, found: &mut Vec<Diagnostic>) -> Option<(u8, u8)> {
        let Located {
            value: PairName { from, to },
            span,
        } = name;
        match (self.position(from), self.position(to)) {
            (Some(low), Some(high)) if low < high => return Some((low, high)),
            (Some(_), Some(_)) => found.push(
                words::pair(&format!("{from}-{to}"), *span)
                    .help("write a tap from its lower to its higher terminal"),
            ),
            (low, _) => {
                found.push(terminal_unknown(
                    &name.value,
                    low.is_none(),
                    *span,
                    std::slice::from_ref(self),
                ));
            }
        }
        None
    }

    /// Whether it serves nothing, by the plate.
    pub fn is_spare(&self) -> bool {
        self.service.value() == Some(&Service::Spare)
    }

    /// What the winding is made of: copper unless written.
    pub fn metal(&self) -> Metal {
        self.conductor.value().copied().unwrap_or(Metal::Copper)
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

    /// The same of a pair: its own, else that of the core.
    pub fn secondary_of(&self, pair: Pair) -> Option<f64> {
        let own = self.tap(pair.from, pair.to);
        let own = own.and_then(|tap| tap.ratio.value());
        own.map(|ratio| ratio.secondary)
            .or_else(|| self.rated_secondary())
    }

    /// Nominal ratio (primary over secondary current) between two terminals, from the declared taps by
    /// sums and differences; `None` when the plate does not fix it.
    pub fn nominal_ratio(&self, from: u8, to: u8) -> Option<f64> {
        self.ratio_by(from, to, |_| true)
    }

    /// The same by some of the taps: ratio-turns of every terminal against `from`, as far as they
    /// connect them.
    fn ratio_by(&self, from: u8, to: u8, counts: impl Fn(&Tap) -> bool) -> Option<f64> {
        let mut known: Vec<Option<f64>> = vec![None; self.marks.len()];
        *known.get_mut(usize::from(from))? = Some(0.0);
        // Each pass settles at least one more terminal, or nothing more can be settled.
        for _ in 0..self.marks.len() {
            for tap in self.taps.iter().filter(|tap| counts(tap)) {
                let Some(ratio) = tap.ratio.value().map(|ratio| ratio.value()) else {
                    continue;
                };
                let (low, high) = (usize::from(tap.from), usize::from(tap.to));
                let at = |mark: usize| known.get(mark).copied().flatten();
                let (mark, value) = match (at(low), at(high)) {
                    (Some(below), None) => (high, below + ratio),
                    (None, Some(above)) => (low, above - ratio),
                    _ => continue,
                };
                if let Some(slot) = known.get_mut(mark) {
                    *slot = Some(value);
                }
            }
        }
        known.get(usize::from(to)).copied().flatten()
    }

    /// The class that holds for a pair: the tap's own, or the core's for the full winding.
    pub fn class_of(&self, pair: Pair) -> Option<&Class> {
        let own = self
            .tap(pair.from, pair.to)
            .and_then(|tap| tap.class.value());
        own.or_else(|| self.class.value().filter(|_| self.is_full(pair)))
    }

    /// Taps whose ratio is not below that of a wider one, each with the widest such.
    pub fn taps_that_outgrow(&self) -> Vec<(&Tap, &Tap)> {
        let ratio = |tap: &Tap| tap.ratio.value().map(|ratio| ratio.value());
        let wider = |tap: &Tap, other: &&Tap| {
            let within = other.from <= tap.from && tap.to <= other.to;
            let less = other.to - other.from > tap.to - tap.from;
            within
                && less
                && ratio(tap)
                    .zip(ratio(other))
                    .is_some_and(|(part, whole)| part >= whole)
        };
        let outgrows = |tap| {
            let wider = self.taps.iter().filter(|other| wider(tap, other));
            Some((tap, wider.max_by_key(|other| other.to - other.from)?))
        };
        self.taps.iter().filter_map(outgrows).collect()
    }

    /// Taps whose ratios do not add up with the others.
    pub fn taps_that_disagree(&self) -> Vec<&Tap> {
        let off = |tap: &&Tap| {
            let others = |other: &Tap| other.span != tap.span;
            match (tap.ratio.value(), self.ratio_by(tap.from, tap.to, others)) {
                (Some(ratio), Some(sum)) => (ratio.value() - sum).abs() > 1e-6 * sum.abs().max(1.0),
                _ => false,
            }
        };
        self.taps.iter().filter(off).collect()
    }
}

/// More taps than this no winding has all pairs of; what does not add up in them is told as that alone.
const MOST_SUMMED: usize = 45;

impl Core {
    /// The one tap whose ratio does not add up with the others while all of these do, and what they ask for in its
    /// place.
    pub fn odd_tap(&self) -> Option<(&Tap, f64)> {
        let disagree = self.taps_that_disagree();
        if disagree.is_empty() || self.taps.len() > MOST_SUMMED {
            return None;
        }
        let mut odd = disagree.into_iter().filter_map(|tap| {
            let mut rest = self.clone();
            rest.taps.retain(|one| one.span != tap.span);
            let sum = rest.ratio_by(tap.from, tap.to, |_| true)?;
            rest.taps_that_disagree().is_empty().then_some((tap, sum))
        });
        let only = odd.next()?;
        (odd.next().is_none() && only.1 > 0.0).then_some(only)
    }
}

/// A name without what turns the direction of writing: it is printed where a person copies it from.
fn plain(name: &str) -> String {
    calm(name).into_owned()
}

/// The terminals in winding order: as stamped, else those of the tap table, else two.
fn marks(name: &str, body: &Body) -> (Vec<String>, bool) {
    let declared = body.get::<Vec<Located<String>>>("marks");
    if let Some(declared) = declared.value().filter(|declared| declared.len() >= 2) {
        return (
            declared.iter().map(|mark| plain(&mark.value)).collect(),
            true,
        );
    }
    let number = |mark: String| {
        let number = mark.strip_prefix(name)?.parse::<u8>().ok();
        number.filter(|n| usize::from(*n) <= MOST_MARKS)
    };
    let taps = body
        .cells()
        .filter_map(|cells| Some(cells.get::<PairName>("tap").get()?.value.clone()));
    let numbers = taps.flat_map(|tap| [tap.from, tap.to]).filter_map(number);
    let highest = numbers.max().unwrap_or(2).max(2);
    ((1..=highest).map(|n| format!("{name}{n}")).collect(), false)
}

/// Looks a pair up among all cores.
pub fn resolve(
    cores: &[Core],
    name: &PairName,
    span: Span,
    found: &mut Vec<Diagnostic>,
) -> Option<Pair> {
    let place = |mark: &str| {
        let mut known = cores.iter().enumerate();
        known.find_map(|(core, known)| Some((core, known.position(mark)?)))
    };
    match (place(&name.from), place(&name.to)) {
        (Some((core, from)), Some((other, to))) if core == other && from != to => {
            return Some(Pair { core, from, to });
        }
        (Some(_), Some(_)) => found.push(pair_cores(name, span)),
        (from, _) => {
            found.push(terminal_unknown(name, from.is_none(), span, cores));
        }
    }
    None
}

/// Looks a core up by its name.
pub fn core_index(cores: &[Core], name: &str) -> Option<usize> {
    cores.iter().position(|core| core.name == name)
}

/// "No core has this name", with the nearest one.
pub fn core_unknown(name: &str, span: Span, cores: &[Core]) -> Diagnostic {
    let names = || cores.iter().map(|core| core.name.as_str());
    let found = Code::CoreUnknown
        .at(span, format!("there is no core `{name}`"))
        .label("unknown core");
    match nearest(name, names()) {
        Some(near) => found.did_you_mean(span, near, false),
        None if cores.is_empty() => found.help("the record has no [core] section"),
        None => found.help(format!("cores of this record: {}", words::list(names()))),
    }
}

/// `first`: it is the first terminal of the pair that is not known.
fn terminal_unknown(pair: &PairName, first: bool, span: Span, cores: &[Core]) -> Diagnostic {
    let mark = if first { &pair.from } else { &pair.to };
    let known = cores
        .iter()
        .flat_map(|core| core.marks.iter().map(String::as_str));
    let known: Vec<&str> = known.collect();
    let found = Code::TerminalUnknown
        .at(span, format!("no core has a terminal `{mark}`"))
        .label("unknown terminal");
    let primary = PrimaryMarks::VARIANTS
        .iter()
        .flat_map(|marks| [marks.ends().0, marks.ends().1]);
    let primary: Vec<&str> = primary.collect();
    let alike = |mark: &str| {
        let mut known = known.iter().chain(&primary).copied();
        known.find(|known| known.eq_ignore_ascii_case(mark))
    };
    if let (Some(from), Some(to)) = (alike(&pair.from), alike(&pair.to)) {
        return found.did_you_mean(span, &format!("{from}-{to}"), true);
    }
    match nearest(mark, known.iter().copied()) {
        Some(near) if known.len() > 8 => found.help(format!("did you mean `{near}`?")),
        _ => found.help(format!(
            "terminals of this record: {}; declare other stamped marks with `marks:` in [core]",
            words::list(known)
        )),
    }
}

fn pair_cores(name: &PairName, span: Span) -> Diagnostic {
    let PairName { from, to } = name;
    let title = if from == to {
        format!("`{from}-{to}` names one terminal twice")
    } else {
        format!("the terminals of `{from}-{to}` belong to two cores")
    };
    Code::PairCores
        .at(span, title)
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
    let name = parse::pair(parse::Piece::new(text, span.range().start));
    let name = name.map_err(|told| found.push(told)).ok()?;
    resolve(cores, &name, span, found).map(|pair| Located::new(pair, span))
}
