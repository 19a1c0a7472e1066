//! The changes that diagnostics know.

use crate::ground::diagnostic::{Diagnostic, Mend};
use crate::ground::span::Span;

#[derive(Clone, Copy, Debug)]
pub struct Fix<'a> {
    pub told: &'a Diagnostic,
    pub mend: &'a Mend,
}

/// Those of the diagnostics that stand in a range, the safe ones first.
pub fn fixes(all: &[Diagnostic], range: Span) -> Vec<Fix<'_>> {
    let touches = |span: Span| span.start <= range.end && range.start <= span.end;
    let here = all.iter().filter(|told| touches(told.span));
    let fixes = here.flat_map(|told| told.mends.iter().map(move |mend| Fix { told, mend }));
    let mut fixes: Vec<Fix<'_>> = fixes.collect();
    fixes.sort_by_key(|fix| !fix.mend.safe);
    fixes
}
