//! Which pairs of windings a grouped reading speaks for. With n cores n + 1 groups reach every pair:
//! the primary to all else, and each core to all else.

use crate::derive::kinds::insulation::{Group, Node};
use crate::document::{Grade, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules;
use crate::record::due;
use crate::record::kinds::TestKind;
use std::collections::BTreeSet;

fn name(j: &Judging<'_>, node: Node) -> String {
    match node {
        Node::Primary => "primary".to_owned(),
        Node::Earth => "earth".to_owned(),
        Node::Core(core) => j
            .case
            .record
            .cores
            .get(core)
            .map_or_else(|| "?".to_owned(), |core| core.name.clone()),
    }
}

/// The pairs of a group by name: `1S to primary`, `1S to earth`.
pub fn names(j: &Judging<'_>, group: &Group) -> Vec<String> {
    let one = |from: &Node| {
        group
            .to
            .iter()
            .map(|to| format!("{} to {}", name(j, *from), name(j, *to)))
            .collect::<Vec<_>>()
    };
    group.from.iter().flat_map(one).collect()
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
    let omitted = due::omissions(j.case.record, j.case.visit);
    let left_out = |core: usize| {
        omitted
            .iter()
            .any(|(scope, _)| scope.covers(TestKind::Insulation, Some(core), false))
    };
    let cores = (0..j.case.record.cores.len())
        .filter(|core| !left_out(*core))
        .map(Node::Core);
    // A bushing or a cable that serves as primary is not this unit's insulation.
    let own_primary = j
        .case
        .record
        .plate
        .bushing
        .is_missing()
        .then_some(Node::Primary);
    let nodes: Vec<Node> = own_primary
        .into_iter()
        .chain(cores)
        .chain([Node::Earth])
        .collect();
    let mut missing = Vec::new();
    for (index, a) in nodes.iter().enumerate() {
        for b in nodes.iter().skip(index + 1) {
            if !reached.contains(&(*a, *b)) {
                missing.push(format!("{} to {}", name(j, *a), name(j, *b)));
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
