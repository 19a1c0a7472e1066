//! Values: words that are allowed, units behind numbers, what plate and instruments name.

use super::super::spot::Spot;
use super::{Begun, Item, ItemKind};
use crate::ground::unit::{self, Dimension};
use crate::job::Compiled;
use crate::record::body::Table;
use crate::record::core::Core;
use crate::record::schema::{Key, Kind, Section};
use crate::record::table::{Separator, may_hold_blanks};
use crate::trade::Purpose;

/// The value of a key.
pub(super) fn of_key(
    spot: &Spot<'_>,
    schema: &'static Section,
    key: &'static Key,
    begun: Begun<'_>,
) -> Vec<Item> {
    match (schema.name, key.word) {
        (_, "instrument" | "reference") => instruments(spot.ct, begun),
        ("visit", "purpose") => choice(Purpose::WORDS, begun),
        ("visit", "job") => {
            let jobs = spot
                .ct
                .setting
                .jobs
                .iter()
                .flat_map(|jobs| jobs.named.keys());
            jobs.map(|name| begun.item(ItemKind::Word, name, "a job of pack.toml"))
                .collect()
        }
        _ => of_kind(spot.ct, key.kind, begun),
    }
}

/// The cell of a row that a place stands in.
pub(super) fn of_cell(spot: &Spot<'_>, table: &Table, begun: Begun<'_>) -> Vec<Item> {
    let heading = spot.ct.source.slice(table.heading);
    let first = table.columns.first().copied().flatten();
    // Only the first column may hold blanks: until a reading stands behind them, they are of it.
    let mut words = begun.text.split([' ', '\t']).skip(1);
    let is_reading = |word: &str| {
        word.chars()
            .all(|c| c.is_ascii_digit() || "<>.-".contains(c))
    };
    let reads = words.any(|word| !word.is_empty() && is_reading(word));
    if Separator::of(heading) == Separator::Blanks && may_hold_blanks(first) && !reads {
        let kind = first.map(|column| column.kind);
        return kind.map_or(Vec::new(), |kind| of_kind(spot.ct, kind, begun));
    }
    let is_barred = heading.contains('|') || begun.text.starts_with('|');
    let by_tab = heading.contains('\t');
    let cut = |c: char| match (is_barred, by_tab) {
        (true, _) => c == '|',
        (false, true) => c == '\t',
        (false, false) => matches!(c, ' ' | '\t'),
    };
    let bare = begun.text.strip_prefix('|').unwrap_or(begun.text);
    let front = begun.text.len() - bare.len();
    let cells = bare
        .split(cut)
        .filter(|cell| is_barred || by_tab || !cell.is_empty());
    let is_between = bare.is_empty() || bare.ends_with(cut);
    let count = cells.count();
    let index = match is_between && !is_barred && !by_tab {
        true => count,
        false => count.saturating_sub(1),
    };
    let from = front + bare.rfind(cut).map_or(0, |at| at + 1);
    let column = table.columns.get(index).copied().flatten();
    let kind = column.map(|column| column.kind);
    let kind = kind.filter(|kind| !matches!(kind, Kind::Quantity(_) | Kind::Either(..)));
    kind.map_or(Vec::new(), |kind| of_kind(spot.ct, kind, begun.from(from)))
}

fn of_kind(ct: &Compiled, kind: Kind, begun: Begun<'_>) -> Vec<Item> {
    match kind {
        Kind::Choice(words) => choice(words, begun),
        Kind::Pair => pairs(ct, begun),
        Kind::Core => cores(ct, begun),
        Kind::Between => groups(ct, begun),
        Kind::Burden => match behind_number(begun) {
            Some(unit) => [Dimension::ApparentPower, Dimension::Resistance]
                .into_iter()
                .flat_map(|of| units_of(of, unit))
                .collect(),
            None => Vec::new(),
        },
        Kind::QuantityAt(value, at) => match begun.text.rfind(" at ") {
            Some(end) => {
                behind_number(begun.from(end + 4)).map_or(Vec::new(), |unit| units_of(at, unit))
            }
            None => behind_number(begun).map_or(Vec::new(), |unit| units_of(value, unit)),
        },
        Kind::Quantity(_) | Kind::Either(..) => {
            behind_number(begun).map_or(Vec::new(), |unit| units(kind, unit))
        }
        Kind::Text
        | Kind::Number
        | Kind::Count
        | Kind::Terminals
        | Kind::Ratio
        | Kind::Class
        | Kind::Moment => Vec::new(),
    }
}

/// What stands behind a number, as far as it is begun: a unit, one may think.
fn behind_number(begun: Begun<'_>) -> Option<Begun<'_>> {
    let signs = ['+', '-', '>', '<', '≥', '≤', ' '];
    let front = begun.text.len() - begun.text.trim_start_matches(signs).len();
    let number = begun.from(front);
    let is_of = |c: char| c.is_ascii_digit() || c == '.';
    let length = number.text.find(|c| !is_of(c)).unwrap_or(number.text.len());
    let unit = number.from(length);
    (length > 0 && !unit.text.contains([' ', '\t'])).then_some(unit)
}

/// The units of a kind of value.
pub(super) fn units(kind: Kind, begun: Begun<'_>) -> Vec<Item> {
    match kind {
        Kind::Quantity(of) => units_of(of, begun),
        Kind::Either(one, other) => {
            let all = [one, other].into_iter();
            all.flat_map(|of| units_of(of, begun)).collect()
        }
        _ => Vec::new(),
    }
}

/// The usual units first, then the others by their one spelling.
fn units_of(of: Dimension, begun: Begun<'_>) -> Vec<Item> {
    let mut words: Vec<&str> = of.examples().split(", ").collect();
    for known in unit::all().iter().filter(|known| known.dimension == of) {
        if !words.contains(&known.canonical.as_str()) {
            words.push(&known.canonical);
        }
    }
    let words = words.into_iter();
    words
        .map(|word| begun.item(ItemKind::Unit, word, of.name()))
        .collect()
}

fn choice(words: &[&str], begun: Begun<'_>) -> Vec<Item> {
    let words = words.iter();
    words
        .map(|word| begun.item(ItemKind::Word, *word, ""))
        .collect()
}

/// The pairs of terminals that the plate has: of each core the whole winding, then its taps.
pub(super) fn pairs(ct: &Compiled, begun: Begun<'_>) -> Vec<Item> {
    let of = |core: &Core| {
        let full = (0, core.last_mark());
        let taps = core.taps.iter().map(|tap| (tap.from, tap.to));
        let taps = taps.filter(|tap| *tap != full);
        let doc = format!("core {}", core.name);
        let item = |(from, to)| begun.item(ItemKind::Winding, core.pair_text(from, to), &*doc);
        std::iter::once(full)
            .chain(taps)
            .map(item)
            .collect::<Vec<_>>()
    };
    ct.record.cores.iter().flat_map(of).collect()
}

pub(super) fn cores(ct: &Compiled, begun: Begun<'_>) -> Vec<Item> {
    let cores = ct.record.cores.iter();
    cores
        .map(|core| begun.item(ItemKind::Winding, &*core.name, "core"))
        .collect()
}

/// What insulation is measured between.
fn groups(ct: &Compiled, begun: Begun<'_>) -> Vec<Item> {
    let cores = ct.record.cores.iter();
    let cores = cores.map(|core| format!("{} to primary, cores and earth", core.name));
    let all = std::iter::once("primary to cores and earth".to_owned()).chain(cores);
    all.map(|group| begun.item(ItemKind::Winding, group, ""))
        .collect()
}

fn instruments(ct: &Compiled, begun: Begun<'_>) -> Vec<Item> {
    let known = ct.setting.instruments.iter().flat_map(|known| &known.items);
    known
        .map(|one| begun.item(ItemKind::Instrument, &*one.id, &*one.what))
        .collect()
}
