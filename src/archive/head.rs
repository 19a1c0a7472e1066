//! What all rows of a record, and of a visit, have in common.

use super::columns::Text;
use super::long::Quantity;
use crate::ground::span::Given;
use crate::job::{Compiled, limits_sum};
use crate::record::visit::Visit;
use crate::trade::{Pair, Purpose, Ratio};

/// What stands in all rows of a record.
pub(super) struct Head {
    pub site_now: Option<Text>,
    pub unit: Option<Text>,
    pub asset: Option<Text>,
    pub mrid: Option<Text>,
    pub record_sha256: Option<Text>,
    pub criteria_sha256: Option<Text>,
    pub limits_sha256: Option<Text>,
    pub file: Option<Text>,
}

/// What was written of a text.
pub(super) fn text(given: &Given<String>) -> Option<Text> {
    given.value().map(|text| text.as_str().into())
}

/// A text that says something.
pub(super) fn some(text: &str) -> Option<Text> {
    (!text.is_empty()).then(|| text.into())
}

impl Head {
    pub fn of(one: &Compiled) -> Self {
        let plate = &one.record.plate;
        Self {
            site_now: one.record.place().and_then(|place| text(&place.site)),
            unit: text(&plate.id),
            asset: text(&plate.asset),
            mrid: text(&plate.mrid),
            record_sha256: some(&one.source.sha256),
            criteria_sha256: some(&one.setting.criteria.sha256),
            limits_sha256: some(limits_sum()),
            file: some(&one.source.name),
        }
    }

    /// A row that says no more than whose it is, and at which visit.
    pub fn row(&self, one: &Compiled, visit: Option<&Visit>) -> Quantity {
        let place = match visit {
            Some(visit) => one.record.place_on(visit.date.value),
            None => None,
        };
        let purpose = visit.map(Visit::purpose);
        let purpose = purpose.filter(|purpose| *purpose != Purpose::Other);
        Quantity {
            site_now: self.site_now.clone(),
            unit: self.unit.clone(),
            asset: self.asset.clone(),
            mrid: self.mrid.clone(),
            site: place.and_then(|place| text(&place.site)),
            bay: place.and_then(|place| text(&place.bay)),
            phase: place.and_then(|place| text(&place.phase)),
            visit: visit.map(|visit| visit.name().into()),
            day: visit.map(|visit| visit.date.value),
            purpose: purpose.map(|purpose| purpose.to_string().into()),
            record_sha256: self.record_sha256.clone(),
            criteria_sha256: self.criteria_sha256.clone(),
            limits_sha256: self.limits_sha256.clone(),
            file: self.file.clone(),
            ..Quantity::default()
        }
    }
}

/// Names of core and pair, rated ratio and class of the pair.
pub(super) struct OnCore {
    pub core: Option<Text>,
    pub pair: Option<Text>,
    pub ratio: Option<Text>,
    pub class: Option<Text>,
}

impl OnCore {
    pub fn of(one: &Compiled, core: Option<usize>, pair: Option<Pair>) -> Self {
        let known = core.or(pair.map(|pair| pair.core));
        let known = known.and_then(|core| one.record.cores.get(core));
        let both = known.zip(pair.map(Pair::ascending));
        let ratio = both.and_then(|(core, pair)| {
            let declared = core.tap(pair.from, pair.to);
            let declared = declared.and_then(|tap| tap.ratio.value().copied());
            declared.or_else(|| {
                let secondary = core.rated_secondary()?;
                let primary = core.nominal_ratio(pair.from, pair.to)? * secondary;
                Some(Ratio::of(primary, secondary))
            })
        });
        let class = both.and_then(|(core, pair)| core.class_of(pair));
        Self {
            core: known.map(|core| core.name.as_str().into()),
            pair: pair.map(|pair| one.record.pair_text(pair).into()),
            ratio: ratio.map(|ratio| ratio.text().into()),
            class: class.map(|class| class.text().into()),
        }
    }

    pub fn put(&self, row: &mut Quantity) {
        row.core = self.core.clone();
        row.pair = self.pair.clone();
        row.ratio = self.ratio.clone();
        row.class = self.class.clone();
    }
}
