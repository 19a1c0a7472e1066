//! A hypothesis about a visit: a cause with what it would make of the evidence, and the scorer that holds all of
//! them against each other, "nothing wrong" and "something else" among them.

use super::evidence::{Evidence, Family, Item, Of};
use crate::document::{Grade, Phrase};
use crate::ground::span::Span;
use crate::judge::finding::Resting;
use crate::judge::rules::{Rule, Whose, excitation};
use crate::trade::Pair;

/// Where a cause sits.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Seat {
    pub section: Option<usize>,
    pub core: Option<usize>,
    pub pair: Option<Pair>,
    pub at: Vec<Span>,
}

impl Seat {
    /// Where an item was read.
    pub fn of(item: &Item) -> Self {
        Self {
            section: Some(item.section),
            core: Some(item.pair.core),
            pair: Some(item.pair),
            at: item.at.clone(),
        }
    }

    /// The same place, where the cause is one of the unit as a whole.
    pub fn of_the_unit(self) -> Self {
        let (core, pair) = (None, None);
        Self { core, pair, ..self }
    }
}

/// A cause that may be behind the evidence.
#[derive(Clone, Debug)]
pub(super) struct Hypothesis {
    pub rule: &'static Rule,
    pub grade: Grade,
    pub seat: Seat,
    /// By families of items: what it adds to ln of each of them.
    pub shifts: Vec<(usize, Vec<f64>)>,
    /// By curves: half the misfit that is left.
    pub curves: Vec<(usize, f64)>,
    /// What else speaks for it, in natural logarithms: words of the record, readings that no family holds.
    pub besides: f64,
    /// How rare it is, and what its free numbers cost.
    pub price: f64,
    pub observed: Phrase,
    pub remarks: Vec<Phrase>,
    /// What alone rests on it, where that is less than on others of its rule.
    pub of: Option<Resting>,
    /// The reading that would decide between it and the next.
    pub decide: Option<Phrase>,
}

/// Prices, in natural logarithms. Conventions of this project: faults of measuring are far more common than faults
/// of a transformer, and each free number has to earn its place.
pub(super) mod price {
    pub const OF_A_KNOWN_SIZE: f64 = 1.0;
    pub const OF_A_FREE_SIZE: f64 = 2.0;
    pub const OF_A_LIST: f64 = 2.5;
    pub const OF_THE_TRANSFORMER: f64 = 2.5;
}

/// That it is something else than all that is known, which would fit any readings; and that it is so for each
/// further family and curve that it would have to fit.
pub(super) const SOMETHING_ELSE: f64 = 14.0;
const FURTHER: f64 = 10.0;
/// A cause is named where it is so much likelier than that nothing is wrong: e to the power of 4, 50 to 1.
pub(super) const NAMED: f64 = 4.0;
/// Causes nearer to each other than 3 to 1 are a tie.
pub(super) const TIE: f64 = 1.1;

/// What is less likely than a thousandth is not told.
const WORTH_TELLING: f64 = 6.9;

/// A cause that is named, with what stands next to it.
pub(super) struct Best {
    pub named: Hypothesis,
    /// How much likelier it is than that nothing is wrong, in natural logarithms.
    pub gain: f64,
    /// The next likeliest cause and by how much the first leads, in natural logarithms.
    pub next: Option<(&'static Rule, f64)>,
}

impl Hypothesis {
    pub fn new(rule: &'static Rule, seat: Seat, observed: impl Into<Phrase>) -> Self {
        Self {
            rule,
            grade: Grade::Review,
            seat,
            shifts: Vec::new(),
            curves: Vec::new(),
            besides: 0.0,
            price: price::OF_A_LIST,
            observed: observed.into(),
            remarks: Vec::new(),
            of: None,
            decide: None,
        }
    }

    pub fn price(mut self, price: f64) -> Self {
        self.price = price;
        self
    }

    pub fn besides(mut self, besides: f64) -> Self {
        self.besides += besides;
        self
    }

    pub fn shift(mut self, family: usize, shift: Vec<f64>) -> Self {
        self.shifts.push((family, shift));
        self
    }

    /// What it adds to each item of a quantity, families that it leaves alone left out.
    pub fn moves(mut self, evidence: &Evidence<'_>, of: Of, by: impl Fn(&Item) -> f64) -> Self {
        for (at, family) in evidence.families_of(of) {
            let shift: Vec<f64> = family.items.iter().map(&by).collect();
            if shift.iter().any(|shift| *shift != 0.0) {
                self.shifts.push((at, shift));
            }
        }
        self
    }

    /// The same of a family; of one that is held against a visit on site only where it explains anything of it.
    pub fn shift_where_it_helps(self, at: usize, family: &Family, shift: Vec<f64>) -> Self {
        match family.is_of_a_visit() && !family.is_helped_by(&shift) {
            true => self,
            false => self.shift(at, shift),
        }
    }

    pub fn curve(mut self, curve: usize, left: f64) -> Self {
        self.curves.push((curve, left));
        self
    }

    pub fn remark(mut self, remark: impl Into<Phrase>) -> Self {
        self.remarks.push(remark.into());
        self
    }

    pub fn decide(mut self, decide: impl Into<Phrase>) -> Self {
        self.decide = Some(decide.into());
        self
    }

    pub fn graded(mut self, grade: Grade) -> Self {
        self.grade = grade;
        self
    }

    /// Whether it speaks of an item that it moves: with a row of a table put right, those beside it lie right too.
    pub fn tells_of(&self, of: Of, item: &Item) -> bool {
        let of_rows = matches!(of, Of::ErrorRow | Of::PhaseRow);
        !of_rows || item.at.iter().any(|at| self.seat.at.contains(at))
    }

    /// What each part of the evidence that it speaks of costs: while nothing is wrong, and by it.
    fn costs(&self, evidence: &Evidence<'_>) -> Vec<(f64, f64)> {
        let families = self.shifts.iter().filter_map(|(at, shift)| {
            let family = evidence.families.get(*at)?;
            Some((family.cost(&[]), family.cost(shift)))
        });
        let curves = self.curves.iter();
        let curves =
            curves.filter_map(|(at, left)| Some((evidence.curves.get(*at)?.same(), *left)));
        families.chain(curves).collect()
    }

    /// How unlikely what it speaks of is by it, in natural logarithms.
    pub fn left(&self, evidence: &Evidence<'_>) -> f64 {
        self.costs(evidence).iter().map(|(_, after)| after).sum()
    }

    /// What a few items cost by themselves that it leaves alone in families of which it explains more: they may be off by
    /// another cause.
    fn besides_it(&self, evidence: &Evidence<'_>) -> f64 {
        let each = self.shifts.iter().filter_map(|(at, shift)| {
            let family = evidence.families.get(*at)?;
            let (left, alone) = family.left_alone(shift);
            let moved = shift.iter().filter(|shift| **shift != 0.0).count();
            (family.is_helped_by(shift) && moved > alone).then_some(left)
        });
        each.sum()
    }

    /// How much likelier it is than that nothing is wrong, and than that something else is behind all that it
    /// explains. In natural logarithms.
    fn gains(&self, evidence: &Evidence<'_>) -> (f64, f64) {
        let costs = self.costs(evidence);
        let gain: f64 = costs.iter().map(|(before, after)| before - after).sum();
        let explained = costs.iter().filter(|(before, after)| after < before);
        let (count, left) = explained.fold((0, 0.0), |(count, left), (_, after)| {
            (count + 1, left + after)
        });
        let left = left - self.besides_it(evidence);
        let else_ = SOMETHING_ELSE + FURTHER * (f64::from(count) - 1.0).max(0.0);
        let own = self.besides - self.price;
        (gain + own, else_ - left + own)
    }

    /// Whether two speak of the same evidence.
    fn meets(&self, other: &Self) -> bool {
        let moved = |one: &Self, family: usize, at: usize| {
            let of = one.shifts.iter().filter(|(of, _)| *of == family);
            of.filter_map(|(_, shift)| shift.get(at))
                .any(|shift| *shift != 0.0)
        };
        let families = self.shifts.iter().any(|(family, shift)| {
            (0..shift.len()).any(|at| moved(self, *family, at) && moved(other, *family, at))
        });
        let curves = self.curves.iter();
        let mut curves = curves.filter(|(at, _)| other.curves.iter().any(|(own, _)| own == at));
        families || curves.next().is_some() || self.seat == other.seat
    }
}

/// Defects that a fault of measuring may look like which withholds as much as they do.
static LOOKED_LIKE: &[&Rule] = &[&excitation::SHORTED_TURN_SUSPECTED, &excitation::KNEE_LOWER];

/// Whether a cause is one of measuring beside a defect that it looks like, or no fault beside one.
fn accuses_less(one: &Hypothesis, other: &Hypothesis) -> bool {
    let of_measuring = one.rule.whose == Whose::Measurement && LOOKED_LIKE.contains(&other.rule);
    let is_none = |one: &Hypothesis| one.grade < Grade::Review;
    // A voltmeter whose factor fits is no accident; a frequency may be any.
    let free = other.rule == &excitation::SOURCE_FREQUENCY;
    of_measuring && !is_none(other) || is_none(one) && free
}

/// The likeliest of some causes, where it explains far more than that nothing is wrong and is likelier than
/// something else.
pub(super) fn best(all: Vec<Hypothesis>, evidence: &Evidence<'_>) -> Option<Best> {
    let scored = all.into_iter().map(|one| (one.gains(evidence), one));
    let mut scored: Vec<((f64, f64), Hypothesis)> =
        scored.filter(|((gain, _), _)| gain.is_finite()).collect();
    scored.sort_by(|((one, _), _), ((other, _), _)| other.total_cmp(one));
    let mut scored = scored.into_iter();
    let qualifies =
        |(gain, over): (f64, f64), one: &Hypothesis| gain >= evidence.least(one) && over >= 0.0;
    let ((gain, _), first) = scored.find(|(gains, one)| qualifies(*gains, one))?;
    let mut others = scored.filter(|(_, one)| one.rule != first.rule && one.meets(&first));
    let next = others
        .next()
        .map(|(gains, one)| (gain - gains.0, qualifies(gains, &one), one));
    // No defect stands first while a fault of measuring explains as much, and no fault while what is none does.
    let (named, gain, next) = match next {
        Some((lead, true, other)) if lead < TIE && accuses_less(&other, &first) => {
            (other, gain - lead, Some((first.rule, lead)))
        }
        next => {
            let next = next.map(|(lead, _, other)| (other.rule, lead));
            (first, gain, next)
        }
    };
    Some(Best {
        next: next.filter(|(_, lead)| *lead < WORTH_TELLING),
        gain,
        named,
    })
}
