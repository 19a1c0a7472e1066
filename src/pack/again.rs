//! What an earlier build of a pack made and this one would make again: the pages of a kin of CTs stand in the folder
//! already, and what they add to the front was put by. It goes by the bytes of everything that they are made of, and by
//! the program's file, its length, its time and its place on the disk; where a page is not there as it was, all of them
//! are made anew.

use super::build::Planned;
use super::card::Adds;
use super::plan::Spot;
use super::sink::{Placed, Sink};
use crate::ground::seam;
use crate::ground::shelf::Shelf;
use crate::ground::source::Sum;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What is put by of one CT.
#[derive(Serialize, Deserialize)]
struct Kept<A> {
    pages: Vec<Placed>,
    adds: A,
}

/// Earlier builds of a pack.
pub struct Again<'a> {
    planned: &'a Planned<'a>,
    sink: &'a dyn Sink,
    shelf: &'a Shelf,
    /// This very program.
    program: String,
}

impl<'a> Again<'a> {
    /// `None` where nothing is put by, and where a template is at fault, which has to be told page by page.
    pub fn of(planned: &'a Planned<'a>, sink: &'a dyn Sink) -> Option<Self> {
        let shelf = sink.shelf().filter(|_| planned.own.faults.is_empty())?;
        Some(Self {
            planned,
            sink,
            shelf,
            program: seam::program()?,
        })
    }

    fn spot(&self, at: Option<usize>) -> Option<&Arc<Spot>> {
        self.planned.plan.spots.get(at?)
    }

    /// The name of everything that the pages of some CTs of a kin are made of; `at` has their places in the pack.
    fn key(&self, now: &[usize], at: &BTreeMap<usize, usize>) -> Option<String> {
        let mut key = Key::default();
        key.add(&self.program);
        for part in &self.planned.basis.parts {
            key.all([&part.what, &part.name, &part.sum]);
        }
        let (first, survey) = (*now.first()?, &self.planned.survey);
        key.all(&survey.stands_on(first));
        for index in survey.kin(first) {
            let place = at.get(index).copied();
            let turn = now.iter().position(|made| made == index);
            let is_made = turn.is_some();
            key.add(&format!("{turn:?}"));
            // What it is called, and of those that are made what stands before and behind them in the pack.
            let beside = place.filter(|_| is_made);
            let before = beside.and_then(|place| place.checked_sub(1));
            for place in [place, before, beside.map(|place| place + 1)] {
                key.add_spot(self.planned, self.spot(place));
            }
        }
        Some(key.0.text())
    }

    /// What was made of some CTs of a kin before, when all their pages stand again; `names` has those of each.
    pub fn take(
        &self,
        now: &[usize],
        at: &BTreeMap<usize, usize>,
        names: impl Fn(usize) -> Vec<String>,
    ) -> Option<Vec<Adds>> {
        let key = self.key(now, at)?;
        let text = self.shelf.get(&key)?;
        let kept: Vec<Kept<Adds>> = serde_json::from_str(&text).ok()?;
        if kept.len() != now.len() {
            return None;
        }
        let (mut pages, mut all) = (Vec::new(), Vec::new());
        for (mut kept, index) in kept.into_iter().zip(now) {
            let found = self.planned.survey.found.get(*index)?;
            let own = kept.pages.iter().map(|(name, _)| name);
            if !own.eq(&names(*index)) || !kept.adds.is_of(&found.sha256) {
                return None;
            }
            let spot = self.spot(at.get(index).copied())?;
            kept.adds.put_at(spot, found.setting.parts().0);
            pages.append(&mut kept.pages);
            all.push(kept.adds);
        }
        if !self.sink.again(&pages) {
            return None;
        }
        self.shelf.put(&key, &text);
        Some(all)
    }

    /// Puts by what was made of some CTs of a kin.
    pub fn put(&self, now: &[usize], at: &BTreeMap<usize, usize>, made: &[(&[Placed], &Adds)]) {
        // What has to be told each time is made each time.
        let is_quiet = made.iter().all(|(_, adds)| !adds.is_told());
        let Some(key) = self.key(now, at).filter(|_| is_quiet) else {
            return;
        };
        let kept = made.iter().map(|(pages, adds)| Kept {
            pages: pages.to_vec(),
            adds,
        });
        if let Ok(text) = serde_json::to_string(&kept.collect::<Vec<_>>()) {
            self.shelf.put(&key, &text);
        }
    }
}

/// A sum of texts that no other list of texts has.
#[derive(Default)]
struct Key(Sum);

impl Key {
    fn add(&mut self, text: &str) {
        self.0.add(&(text.len() as u64).to_le_bytes());
        self.0.add(text.as_bytes());
    }

    fn all<'t>(&mut self, texts: impl IntoIterator<Item = &'t String>) {
        texts.into_iter().for_each(|text| self.add(text));
    }

    fn add_spot(&mut self, planned: &Planned<'_>, spot: Option<&Arc<Spot>>) {
        let Some(spot) = spot else {
            self.add("none");
            return;
        };
        let bay = spot.bay.and_then(|bay| planned.plan.bays.get(bay));
        let (slug, bay) = bay.map_or(("", ""), |bay| (&bay.slug, &bay.name));
        let own = [&spot.slug, &spot.name, &spot.group, &spot.position];
        self.all(own);
        self.add(slug);
        self.add(bay);
    }
}
