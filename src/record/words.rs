//! The texts of the diagnostics that reading a record can give: found, expected, how to mend it.

use super::schema::{Column, Kind, Section};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::nearest::nearest;
use crate::ground::number::{self, NumberFault, character_name};
use crate::ground::span::Span;
use crate::ground::unit::{Dimension, UnitWord};

fn article(name: &str) -> &'static str {
    if name.starts_with(['a', 'e', 'i', 'o', 'u']) {
        "an"
    } else {
        "a"
    }
}

/// A list for people: `a, b or c`.
pub fn one_of<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    let words: Vec<&str> = words.into_iter().collect();
    match words.split_last() {
        Some((last, first)) if !first.is_empty() => format!("{} or {last}", first.join(", ")),
        _ => words.concat(),
    }
}

/// A list that names everything: `a, b, c`.
pub fn list<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    words.into_iter().collect::<Vec<_>>().join(", ")
}

fn one_unit_of(dimension: Dimension) -> String {
    one_of(dimension.examples().split(", "))
}

fn usual_unit(dimension: Dimension) -> &'static str {
    dimension.examples().split(',').next().unwrap_or("")
}

/// `elsewhere` is another section that has this key.
pub fn key_unknown(
    word: &str,
    span: Span,
    section: &Section,
    elsewhere: Option<&Section>,
) -> Diagnostic {
    let spellings = |key: &'static super::schema::Key| {
        std::iter::once(key.word).chain(key.also.iter().copied())
    };
    let found = Code::KeyUnknown
        .at(span, format!("[{}] has no key `{word}`", section.name))
        .label("unknown key in this section");
    if let Some(near) = nearest(word, section.all_keys().flat_map(spellings)) {
        return found.did_you_mean(span, near, true);
    }
    let known = match elsewhere {
        Some(other) => format!("`{word}` is a key of [{}]", other.name),
        None => {
            let words = section.all_keys().map(|key| key.word);
            format!("expected {}", one_of(words))
        }
    };
    found.help(format!("{known}; free text goes in `note:`"))
}

pub fn key_duplicate(word: &str, span: Span, first: Span) -> Diagnostic {
    Code::KeyDuplicate
        .at(span, format!("`{word}` appears twice in this section"))
        .label("again here")
        .other(first, "first here")
        .help("keep one of them; to record a later correction, write `amended: …` under the line")
}

pub fn key_missing(word: &str, at: Span, section: &str, example: &str) -> Diagnostic {
    Code::KeyMissing
        .at(at, format!("[{section}] needs `{word}:`"))
        .label(format!("no `{word}` here"))
        .help(format!("add a line such as `{word}: {example}`"))
}

pub fn value_empty(word: &str, span: Span) -> Diagnostic {
    Code::ValueEmpty
        .at(span, format!("`{word}:` has no value"))
        .label("nothing follows the colon")
        .help("write the value, or delete the line; a test that was not done: `not done …: why`")
}

/// `space`: the colon is there, the space after it is not.
pub fn colon_missing(key: &str, key_span: Span, space: bool) -> Diagnostic {
    let found = |title: String| {
        Code::ColonMissing
            .at(key_span, title)
            .label("read as this key")
    };
    if space {
        let colon = Span::new(key_span.range().end, key_span.range().end + 1);
        found(format!("`{key}:` needs a space after the colon"))
            .help("write a space after the colon")
            .mend("add it", colon, ": ", true)
    } else {
        found(format!("`{key}` is a key, but its colon is missing"))
            .help("write a colon and a space after the key")
            .mend("add it", key_span.after(), ":", true)
    }
}

pub fn stray(span: Span, lines: usize, section: Option<&str>) -> Diagnostic {
    let title = match lines {
        1 => "this line is not understood".to_owned(),
        n => format!("these {n} lines are not understood"),
    };
    let label = section.map_or_else(
        || "not read".to_owned(),
        |name| format!("[{name}] is shown, but not judged"),
    );
    Code::StrayLine.at(span, title).label(label).help(
        "write `key: value`, a table's heading or row, or a comment after #; a remark goes in `note:`",
    )
}

pub fn heading_units(span: Span, text: &str, section: &'static Section) -> Diagnostic {
    let words = text.split([' ', '\t', '|']);
    let mut meant: Vec<&Column> = words.filter_map(|word| section.column(word)).collect();
    if meant.is_empty() {
        meant = section.columns.iter().collect();
    }
    let example: Vec<String> = meant.into_iter().map(column_example).collect();
    Code::HeadingUnits
        .at(span, "this heading has no units")
        .label("expected quantity/unit for each column")
        .help(format!(
            "write each column as quantity/unit, for example `{}`; without units the rows below are not read",
            example.join("  ")
        ))
}

fn column_example(column: &Column) -> String {
    match column.kind {
        Kind::Quantity(dimension) => format!("{}/{}", column.word, usual_unit(dimension)),
        _ => column.word.to_owned(),
    }
}

pub fn heading_form(span: Span, meant: &str) -> Diagnostic {
    Code::HeadingForm
        .at(span, "this heading is not written as quantity/unit")
        .label("read as a heading")
        .help(format!("write `{meant}`"))
        .mend(format!("write {meant}"), span, meant, true)
}

pub fn heading_missing(span: Span, section: &Section) -> Diagnostic {
    if section.columns.is_empty() {
        return Code::HeadingMissing
            .at(span, format!("[{}] has no table", section.name))
            .label("no table is expected here")
            .help("readings belong in a test section such as [excitation 1S1-1S2]");
    }
    let names = one_of(section.columns.iter().map(|column| column.word));
    Code::HeadingMissing
        .at(span, "these rows have no heading")
        .label("what are these numbers?")
        .help(format!(
            "write a heading above the first row, with columns such as {names}"
        ))
}

pub fn column_unknown(word: &str, span: Span, section: &Section) -> Diagnostic {
    let found = Code::ColumnUnknown
        .at(
            span,
            format!("the table of [{}] has no column `{word}`", section.name),
        )
        .label("this column is not read");
    let names = || section.columns.iter().map(|column| column.word);
    match nearest(word, names()) {
        Some(near) => {
            let start = span.range().start;
            found.did_you_mean(Span::new(start, start + word.len()), near, true)
        }
        None => found.help(format!("expected {}", one_of(names()))),
    }
}

pub fn column_duplicate(word: &str, span: Span) -> Diagnostic {
    Code::ColumnDuplicate
        .at(span, format!("the column `{word}` appears twice"))
        .label("again here")
        .help("delete one of them")
}

pub fn column_missing(words: &str, span: Span, section: &str) -> Diagnostic {
    Code::ColumnMissing
        .at(
            span,
            format!("the table of [{section}] needs a column `{words}`"),
        )
        .label(format!("no column `{words}`"))
        .help("add the column; write - for a reading that was not taken")
}

pub fn column_unitless(word: &str, span: Span, dimension: Dimension) -> Diagnostic {
    Code::HeadingUnits
        .at(span, format!("the column `{word}` needs a unit"))
        .label("expected quantity/unit")
        .help(format!(
            "write for example {word}/{}",
            usual_unit(dimension)
        ))
}

pub fn column_with_unit(word: &str, span: Span) -> Diagnostic {
    Code::UnitDimension
        .at(span, format!("the column `{word}` has no unit"))
        .label("no unit expected")
        .help(format!("write only `{word}`"))
}

pub fn cell_count(span: Span, found: usize, expected: usize, heading: Span) -> Diagnostic {
    let cells = |n: usize| format!("{n} cell{}", if n == 1 { "" } else { "s" });
    let title = format!(
        "this row has {}, its heading has {}",
        cells(found),
        cells(expected)
    );
    Code::CellCount
        .at(span, title)
        .label(format!("expected {}", cells(expected)))
        .other(heading, "the heading")
        .help("write - for a reading that was not taken; if a cell contains spaces, put | between all cells")
}

pub fn cell_missing(word: &str, span: Span) -> Diagnostic {
    Code::CellMissing
        .at(
            span,
            format!("this row has no reading of `{word}`, which the test needs"),
        )
        .label("no reading")
        .help("write the reading, or delete the row and say why in a `note:`")
}

pub fn rows_waiting(span: Span, count: usize, section: &str) -> Diagnostic {
    let (rows, label) = match count {
        1 => ("1 row of [%] has".to_owned(), "nothing but -"),
        n => (format!("{n} rows of [%] have"), "the first of them"),
    };
    Code::RowsWaiting
        .at(
            span,
            format!("{} no readings yet", rows.replace('%', section)),
        )
        .label(label)
        .help("write the readings, or delete the rows and say why: `not done …: why`")
}

pub fn table_empty(span: Span) -> Diagnostic {
    Code::TableEmpty
        .at(span, "this table has a heading but no rows")
        .label("no row follows")
        .help("write the readings, or delete the heading and write `not done …: why`")
}

/// What is wrong with a number, said for the place where it is written.
pub fn number(text: &str, span: Span, fault: &NumberFault) -> Diagnostic {
    let unreadable = |title: String| Code::NumberUnreadable.at(span, title);
    match fault {
        NumberFault::Comma { only: Some(meant) } => Code::DecimalComma
            .at(span, format!("`{text}` has a decimal comma"))
            .label("expected a decimal point")
            .instead(span, meant, true),
        NumberFault::Comma { only: None } => {
            let (point, none) = (text.replace(',', "."), text.replace(',', ""));
            let (first, second) = (format!("write {point}"), format!("write {none}"));
            Code::DecimalComma
                .at(span, format!("`{text}` can be read in two ways"))
                .label(format!("{point} or {none}?"))
                .help(format!(
                    "{first} if the comma is a decimal comma, {none} if it separates thousands"
                ))
                .mend(first, span, point, false)
                .mend(second, span, none, false)
        }
        NumberFault::EditorCharacter { found, meant } => editor_character(*found, meant, span),
        NumberFault::LookAlike { found, meant } => {
            unreadable(format!("`{text}` is not a number: it contains the letter {found}"))
                .label("a letter among digits")
                .help(format!("write {meant}, if that is what was read"))
                .mend(format!("write {meant}"), span, meant, false)
        }
        NumberFault::BoundForm => match without_spaces(text) {
            Some(meant) => unreadable(format!("`{text}` has a space after its sign"))
                .label("one space too many")
                .instead(span, &meant, true),
            None => unreadable(format!("`{text}` is not a reading"))
                .label("expected a number, a bound such as >200, or -")
                .help("write over range as > and the end of the range, without a space: >200; write - for no reading"),
        },
        NumberFault::NotANumber => unreadable(format!("`{text}` is not a number"))
            .label("expected a number")
            .help("write digits with a decimal point, such as 100.3; write - for a reading that was not taken"),
        NumberFault::TooLarge => {
            unreadable(format!("`{text}` is larger than any measured value"))
                .label("too large")
                .help("check the exponent")
        }
    }
}

/// `> 200` as `>200`.
fn without_spaces(text: &str) -> Option<String> {
    let joined = text.replace([' ', '\t'], "");
    (joined != text && number::read(&joined).is_ok()).then_some(joined)
}

pub fn editor_character(found: char, meant: &str, span: Span) -> Diagnostic {
    let title = format!("{} in place of a plain character", character_name(found));
    Code::EditorCharacter
        .at(span, title)
        .label("inserted by an editor?")
        .help(format!("write `{meant}`"))
        .mend(format!("write {meant}"), span, meant, true)
}

pub fn unit_missing(text: &str, span: Span, dimension: Dimension) -> Diagnostic {
    let name = dimension.name();
    Code::UnitMissing
        .at(span, format!("`{text}` has no unit"))
        .label(format!("{} {name}, but in what unit?", article(name)))
        .help(format!(
            "write the unit after the number: {}",
            one_unit_of(dimension)
        ))
}

pub fn unit_unknown(
    word: &str,
    span: Span,
    dimension: Dimension,
    near: Option<&str>,
) -> Diagnostic {
    let found = Code::UnitUnknown
        .at(
            span,
            format!("`{word}` is not a unit of {}", dimension.name()),
        )
        .label("unknown unit");
    match near {
        Some(near) => found.did_you_mean(span, near, false),
        None => found.help(format!("write {}", one_unit_of(dimension))),
    }
}

pub fn unit_case(word: &str, span: Span, readings: &[&'static UnitWord]) -> Diagnostic {
    let names: Vec<&str> = readings.iter().map(|unit| unit.word.as_str()).collect();
    let found = Code::UnitCase
        .at(span, format!("`{word}` has the wrong upper/lower case"))
        .label("case matters in units")
        .help(format!("write {}", one_of(names.iter().copied())));
    names.iter().fold(found, |found, name| {
        found.mend(format!("write {name}"), span, *name, names.len() == 1)
    })
}

pub fn unit_dimension(
    word: &str,
    span: Span,
    expected: Dimension,
    other: Dimension,
    of: &str,
) -> Diagnostic {
    let (name, found) = (expected.name(), other.name());
    let title = format!(
        "`{word}` is a unit of {found}; `{of}` is {} {name}",
        article(name)
    );
    Code::UnitDimension
        .at(span, title)
        .label(format!("expected a unit of {name}"))
        .help(format!("write {}", one_unit_of(expected)))
}

pub fn unit_implausible(word: &str, span: Span, of: &str, meant: &str) -> Diagnostic {
    Code::UnitImplausible
        .at(span, format!("`{of}` in {word} is implausible here"))
        .label("wrong upper/lower case?")
        .help(format!(
            "write {meant}, if that is what the instrument showed"
        ))
        .mend(format!("write {meant}"), span, meant, false)
}

pub fn bound_here(text: &str, span: Span, of: &str) -> Diagnostic {
    Code::BoundHere
        .at(
            span,
            format!("`{text}` is a bound, but `{of}` needs a value"),
        )
        .label("only one side is known")
        .help("write the value that was read, or - if there was none")
}

pub fn word_unknown(word: &str, span: Span, choices: &[&'static str], of: &str) -> Diagnostic {
    let found = Code::WordUnknown
        .at(span, format!("`{of}` cannot be `{word}`"))
        .label("not one of its words");
    match nearest(word, choices.iter().copied()) {
        Some(near) => found.did_you_mean(span, near, true),
        None => found.help(format!("write {}", one_of(choices.iter().copied()))),
    }
}

pub fn date(text: &str, span: Span, impossible: bool) -> Diagnostic {
    if impossible {
        return Code::DateImpossible
            .at(span, format!("there is no day {text}"))
            .label("no such day")
            .help("check day and month; the order is year-month-day");
    }
    Code::DateUnreadable
        .at(span, format!("`{text}` is not a date"))
        .label("expected year-month-day")
        .help("write dates like 2026-03-14")
}

pub fn ratio(text: &str, span: Span, zero: bool) -> Diagnostic {
    if zero {
        return Code::RatioZero
            .at(span, format!("the ratio `{text}` has a zero in it"))
            .label("no current transformer has this ratio")
            .help("write rated primary and secondary current, such as 600/1 A or 1200:5");
    }
    Code::RatioUnreadable
        .at(span, format!("`{text}` is not a ratio"))
        .label("expected rated primary/secondary current")
        .help("write it like 600/1 A or 1200:5")
}

pub fn burden(text: &str, span: Span) -> Diagnostic {
    Code::BurdenUnreadable
        .at(span, format!("`{text}` is not a burden"))
        .label("expected a burden")
        .help("write it like 15 VA, 15 VA at 0.80, 1-10 VA, 2.5 ohm, B-0.5, connected or shorted")
}

pub fn power_factor(text: &str, span: Span) -> Diagnostic {
    Code::BurdenUnreadable
        .at(span, format!("`{text}` is not a power factor"))
        .label("a power factor lies between 0 and 1")
        .help("write it like 15 VA at 0.80")
}

pub fn at_missing(text: &str, span: Span, dimension: Dimension) -> Diagnostic {
    let (name, unit) = (dimension.name(), usual_unit(dimension));
    let example = if dimension == Dimension::Temperature {
        "75"
    } else {
        "…"
    };
    Code::UnitMissing
        .at(span, format!("`{text}` does not say at what {name}"))
        .label(format!("at what {name}?"))
        .help(format!(
            "write the {name} after it: `{text} at {example} {unit}`"
        ))
}

pub fn pair(text: &str, span: Span) -> Diagnostic {
    Code::PairUnreadable
        .at(span, format!("`{text}` is not a pair of terminals"))
        .label("expected two terminals")
        .help("write two terminals with a plain hyphen between them, such as 1S1-1S2")
}

/// A row that names no pair, in a section that names none either.
pub fn pair_missing(row: Span) -> Diagnostic {
    Code::PairUnreadable
        .at(row, "the terminals of this reading are not stated")
        .label("which pair?")
        .help("add a column `on`, or name the pair in the section's head: [resistance 1S1-1S2]")
}

pub fn group(text: &str, span: Span) -> Diagnostic {
    Code::GroupUnreadable
        .at(
            span,
            format!("`{text}` does not say what was measured between"),
        )
        .label("expected `… to …`")
        .help("write core names, primary, cores or earth: `1S to primary, cores and earth`")
}

/// More of something than one CT can have; the rest is skipped.
pub fn too_many(what: &str, most: usize, span: Span) -> Diagnostic {
    Code::TooLong
        .at(span, format!("there are more than {most} {what}"))
        .label("the rest is not read")
        .help("one file holds one CT; check that this is a record, or split it")
}

pub fn amendment_unreadable(span: Span) -> Diagnostic {
    Code::AsideUnreadable
        .at(span, "this amendment cannot be read")
        .label("not understood")
        .help("write `amended: voltage was 1.121; transcription; R. Anvik 2026-03-15` under the row or field that it corrects")
}

pub fn omission_unreadable(span: Span, title: impl Into<String>) -> Diagnostic {
    Code::AsideUnreadable.at(span, title).label("not understood").help(
        "write what was not done and why: `not done excitation 2S: not asked for`, `not done all but insulation: …`",
    )
}

/// What is written beside a section's name; `example` shows what is expected there.
pub fn argument(name: &str, text: &str, span: Span, example: &str) -> Diagnostic {
    let needs = match name {
        "core" => "a name",
        "duty" => "a core and a date",
        _ => "a date",
    };
    let title = if text.is_empty() {
        format!("[{name}] needs {needs}")
    } else if example.is_empty() {
        format!("[{name}] is written alone, without `{text}`")
    } else {
        format!("`{text}` is not {needs} for [{name}]")
    };
    Code::ArgumentWrong
        .at(span, title)
        .label("not understood")
        .help(format!("write it like [{name}{example}]"))
}
