//! Where a name is declared: terminals and cores on the plate, an instrument in instruments.toml, the unit of a `like:`
//! in its own record.

use super::spot::Spot;
use crate::ground::span::Span;
use crate::job::Compiled;
use crate::record::core::Core;
use crate::record::schema::{Column, Kind};
use crate::syntax::Class;
use crate::trade::PairName;

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Declared {
    /// A line of the same record.
    Here(Span),
    /// A place of the instruments.toml that holds for the record.
    Instrument(Span),
    /// The record of another CT.
    Record { id: String },
}

/// What a place names, and where that is declared.
pub fn declared(ct: &Compiled, at: u32) -> Option<(Span, Declared)> {
    let spot = Spot::at(ct, at)?;
    let here = |span: Span| span.start <= at && at <= span.end;
    if let Some(opened) = spot.opens() {
        let span = Some(opened.argument).filter(|span| here(*span))?;
        let word = ct.source.slice(span).split([' ', '\t']).next()?;
        let (span, _) = span.split_at(word.len());
        return Some((span, Declared::Here(on_plate(ct, word)?)));
    }
    if let Class::Field { key, value } = spot.class() {
        let key = spot.schema()?.key(ct.source.slice(key))?;
        let text = ct.source.slice(value);
        if !here(value) {
            return None;
        }
        let declared = match (key.word, key.kind) {
            ("instrument" | "reference", _) => {
                let known = ct.setting.instruments.as_ref()?.find(text)?;
                Declared::Instrument(known.span)
            }
            ("like", _) => Declared::Record {
                id: text.to_owned(),
            },
            (_, Kind::Pair | Kind::Core) => Declared::Here(on_plate(ct, text)?),
            _ => return None,
        };
        return Some((value, declared));
    }
    let span = spot.word()?;
    let names = |column: &Column| {
        matches!(column.kind, Kind::Pair | Kind::Core | Kind::Between)
            || PAIRS_AS_TEXT.contains(&column.word)
    };
    let column = spot.column()?;
    let line = names(column).then(|| on_plate(ct, ct.source.slice(span)))??;
    Some((span, Declared::Here(line)))
}

/// Columns whose text is a pair, where it is none of the words that say there is none.
const PAIRS_AS_TEXT: &[&str] = &["in service"];

/// Where the plate has a pair or a core: the row of the tap, the line of the core.
fn on_plate(ct: &Compiled, name: &str) -> Option<Span> {
    let cores = &ct.record.cores;
    let by_name = cores.iter().find(|core| core.name == name);
    let pair = name.split_once('-').map(|(from, to)| PairName {
        from: from.to_owned(),
        to: to.to_owned(),
    });
    by_name.map(|core| core.span).or_else(|| {
        let pair = pair?;
        let has = |core: &&Core| {
            [&pair.from, &pair.to]
                .iter()
                .all(|end| core.marks.contains(end))
        };
        let core = cores.iter().find(has)?;
        let place = |end: &String| core.marks.iter().position(|mark| mark == end);
        let ends = [place(&pair.from)?, place(&pair.to)?].map(|place| u8::try_from(place).ok());
        let [from, to] = ends;
        let tap = core.tap(from?, to?);
        Some(tap.map_or(core.span, |tap| tap.span))
    })
}
