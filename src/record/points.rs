//! Points that a visit raises (`action:`) and a later one closes (`closed:`).

use super::Record;
use super::visit::{Action, Visit};

/// A point; it travels with the record until it is closed.
#[derive(Clone, Copy, Debug)]
pub struct Point<'a> {
    pub action: &'a Action,
    /// The visit that raised it.
    pub raised: &'a Visit,
    /// Index of the visit that closed it, that visit, and its remark.
    pub closed: Option<(usize, &'a Visit, &'a str)>,
}

impl Record {
    /// All points in the order that they were raised. A label that is closed and raised again later is a
    /// new point; what closes a label closes the last one that is open.
    pub fn points(&self) -> Vec<Point<'_>> {
        let mut points: Vec<Point<'_>> = Vec::new();
        for (at, visit) in self.visits.iter().enumerate() {
            for closed in &visit.closed {
                let (label, remark) = &closed.value;
                let is_open =
                    |one: &&mut Point<'_>| one.closed.is_none() && one.action.label == *label;
                if let Some(point) = points.iter_mut().rev().find(is_open) {
                    point.closed = Some((at, visit, remark));
                }
            }
            points.extend(visit.actions.iter().map(|action| Point {
                action,
                raised: visit,
                closed: None,
            }));
        }
        points
    }
}
