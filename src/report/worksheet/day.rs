//! What kind of a day a sheet is for: tests of the CT, of its circuits with the primary dead, or readings
//! with the primary live. What is done first, what stays off and what is put back differ.

use super::cards::Wanted;
use super::cautions;
use super::job::Job;
use super::plan::Step;
use crate::trade::{Purpose, Purposes};
use strum::VariantArray;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Day {
    /// Leads are laid to the CT.
    Tests,
    /// The same at the maker's: no circuit hangs on the CT, and no network.
    AtMaker,
    /// The circuits alone, the primary dead.
    Circuits,
    /// The network's current flows: nothing is parted.
    Live,
}

impl Step {
    fn day(self) -> Day {
        match self {
            Self::Load | Self::Stability => Day::Live,
            Self::Continuity
            | Self::SingleEarth
            | Self::TestLinks
            | Self::RatioSetting
            | Self::Injection => Day::Circuits,
            Self::Insulation
            | Self::Withstand
            | Self::InterTurn
            | Self::PartialDischarge
            | Self::DissipationFactor
            | Self::PrimaryResistance
            | Self::Resistance
            | Self::Demagnetisation
            | Self::Excitation
            | Self::Remanence
            | Self::Ratio
            | Self::RatioByCurrent
            | Self::Burden => Day::Tests,
        }
    }
}

impl Day {
    /// Of a sheet: the day on which most is parted. One that asks for nothing is a day of tests.
    pub fn of(wanted: Wanted<'_, '_>) -> Self {
        let is_due = |step| !wanted.due(step).is_empty() || !wanted.due_on_primary(step).is_empty();
        let mut jobs = wanted.jobs.iter();
        Self::by(is_due, !wanted.jobs.is_empty() && jobs.all(is_at_maker))
    }

    /// Of one unit.
    pub fn of_unit(job: &Job<'_>) -> Self {
        let is_due = |step| !job.due(step).is_empty() || job.due_on_primary(step);
        Self::by(is_due, is_at_maker(job))
    }

    /// Whether leads are laid to the CT, wherever it is.
    pub fn is_of_tests(self) -> bool {
        matches!(self, Self::Tests | Self::AtMaker)
    }

    fn by(is_due: impl Fn(Step) -> bool, at_maker: bool) -> Self {
        let all = Step::VARIANTS.iter().copied().filter(|step| is_due(*step));
        let days: Vec<Self> = all.map(Step::day).collect();
        match () {
            () if days.contains(&Self::Tests) || days.is_empty() => match at_maker {
                true => Self::AtMaker,
                false => Self::Tests,
            },
            () if days.contains(&Self::Circuits) => Self::Circuits,
            () => Self::Live,
        }
    }

    /// What stands on page one.
    pub fn cautions(self) -> &'static [&'static str] {
        match self {
            Self::Tests => cautions::OF_TESTS,
            Self::AtMaker => cautions::AT_MAKER,
            Self::Circuits => cautions::OF_CIRCUITS,
            Self::Live => cautions::LIVE,
        }
    }

    /// What comes before the tests in the order of work, parted by ` | `.
    pub fn first(self) -> &'static str {
        match self {
            Self::Tests => {
                "The instrument: its earth, its check on itself, its leads | \
                 Trips blocked of every relay that the circuits feed, or a summation they belong to; control room told; only then short, earth, part at the links | \
                 Rating plate compared; inspection; state as found"
            }
            Self::AtMaker => {
                "The instrument: its earth, its check on itself, its leads | \
                 Barrier round the test floor closed, two persons; secondaries of all cores free, shorted only as each test says | \
                 Rating plate compared; inspection; state as it came"
            }
            Self::Circuits => {
                "The primary dead, isolated and earthed, and so it stays; the instrument: its earth, its check on itself, its leads | \
                 Trips blocked of every relay that the circuits feed, or a summation they belong to; control room told; only then is a link moved | \
                 Rating plate compared; state as found"
            }
            Self::Live => {
                "Whoever answers for the plant says which protection stays in service meanwhile, and which trip may be blocked for the reading; control room told | \
                 Device, terminal and phase of each reading found on the drawing before anything is touched; the instrument's check on itself"
            }
        }
    }

    /// What comes last.
    pub fn last(self) -> &'static str {
        match self {
            Self::Tests => {
                "Restore, and only now: leads off, earths counted, shorts off and links closed, trips unblocked last; second signature"
            }
            Self::AtMaker => {
                "And only now: leads off, every secondary shorted, or as the order has it for the way; links of the primary as ordered; second signature"
            }
            Self::Circuits => {
                "Restore, and only now: leads off, the lifted earth back and counted, test links as they are to serve, trips unblocked last; second signature"
            }
            Self::Live => {
                "Test plugs and clamps off, covers on; every trip that was blocked back in service; second signature"
            }
        }
    }
}

/// What stands between the restoration and a reading with the primary live, where a day has both: the end of the permit,
/// and, once it is settled what protects meanwhile, the energising.
pub const HANDED_BACK: &str = "Permit on the dead primary handed back, day and time written down";
pub const ENERGISED: &str =
    "Only now, and by who decides that, never by this sheet: the primary energised";

/// Of a visit that has a purpose on site as well, the cautions of the site hold.
fn is_at_maker(job: &Job<'_>) -> bool {
    let mut all = Purposes::read(job.purpose).iter();
    all.all(|purpose| purpose == Purpose::Factory)
}
