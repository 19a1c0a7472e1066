//! Which pairs of windings a grouped reading speaks for. With n cores n + 1 groups reach every pair:
//! the primary to all else, and each core to all else.

use crate::derive::kinds::insulation::{Group, Node};
use crate::document::{Grade, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules::insulation as rules;
use crate::record::kinds::TestKind;
use crate::record::scope::omissions;
use std::collections::BTreeSet;

fn name(j: &Judging<'_>, node: Node) -> String {
    match node {
        Node::Primary => "primary".to_owned(),
        Node::Earth => "earth".to_owned(),
        Node::Core(core) => {
            let core = j.case.record.cores.get(core);
            core.map_or_else(|| "?".to_owned(), |core| core.name.clone())
        }
    }
}

fn named(j: &Judging<'_>, a: Node, b: Node) -> String {
    format!("{} to {}", name(j, a), name(j, b))
}

/// The pairs of a group by name: `1S to primary`, `1S to earth`.
pub fn names(j: &Judging<'_>, group: &Group) -> Vec<String> {
    let from = group.from.iter();
    from.flat_map(|from| group.to.iter().map(|to| named(j, *from, *to)))
        .collect()
}

/// Pairs that no reading of the visit reaches, as one finding; none when nothing was measured.
pub fn uncovered(j: &Judging<'_>) -> Option<Finding> {
    let first = j.derived.insulation.first()?;
    let mut reached: BTreeSet<(Node, Node)> = BTreeSet::new();
    for group in &j.derived.insulation {
        for from in &group.from {
            reached.extend(group.to.iter().map(|to| (*from.min(to), *from.max(to))));
        }
    }
    let omitted = omissions(j.case.record, j.case.visit);
    let left_out = |core: Option<usize>| {
        let mut omitted = omitted.iter();
        omitted.any(|(scope, _)| scope.covers(TestKind::Insulation, core, None))
    };
    // A bushing or a cable that serves as primary is not this unit's insulation.
    let own_primary = j.case.record.plate.bushing.is_missing() && !left_out(None);
    let mut nodes: Vec<Node> = own_primary.then_some(Node::Primary).into_iter().collect();
    let cores = 0..j.case.record.cores.len();
    nodes.extend(cores.filter(|core| !left_out(Some(*core))).map(Node::Core));
    nodes.push(Node::Earth);
    let mut missing = Vec::new();
    for (index, a) in nodes.iter().enumerate() {
        for b in nodes.iter().skip(index + 1) {
            if !reached.contains(&(*a, *b)) {
                missing.push(named(j, *a, *b));
            }
        }
    }
    if missing.is_empty() {
        return None;
    }
    let mut finding =
        Finding::observation(&rules::INSULATION_GROUPS, missing.join("; "), Grade::Info);
    finding.section = Some(first.test);
    let section = j.case.visit.tests.get(first.test);
    finding.points_at.extend(section.map(|test| test.span));
    Some(finding.next(say!(
        "{} groups reach every pair: each winding to all others and earth",
        Quantity::new((nodes.len() - 1).to_string(), "")
    )))
}
