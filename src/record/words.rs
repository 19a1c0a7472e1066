//! The texts of the diagnostics that reading a record can give: found, expected, how to mend it.

use super::schema::{Column, Section};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::nearest::nearest;
use crate::ground::number::{NumberFault, character_name};
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

pub fn section_unknown(name: &str, span: Span) -> Diagnostic {
    let names: Vec<&str> = super::schema::sections()
        .map(|section| section.name)
        .collect();
    let found = Diagnostic::new(
        Code::SectionUnknown,
        span,
        format!("there is no section [{name}]"),
    )
    .label("its lines are not read");
    match nearest(name, names.iter().copied()) {
        Some(near) => found.help(format!("did you mean [{near}]?")).mend(
            format!("write {near}"),
            span,
            near,
            true,
        ),
        None => found.help(format!("sections are {}", list(names))),
    }
}

pub fn key_unknown(word: &str, span: Span, section: &Section) -> Diagnostic {
    let found = Diagnostic::new(
        Code::KeyUnknown,
        span,
        format!("[{}] has no key `{word}`", section.name),
    )
    .label("unknown key");
    let elsewhere = super::schema::sections().find(|other| other.key(word).is_some());
    match nearest(
        word,
        section
            .all_keys()
            .flat_map(|key| std::iter::once(key.word).chain(key.also.iter().copied())),
    ) {
        Some(near) => found.help(format!("did you mean `{near}`?")).mend(
            format!("write {near}"),
            span,
            near,
            true,
        ),
        None => match elsewhere {
            Some(other) => found.help(format!(
                "`{word}` is a key of [{}]; free text goes into `note:`",
                other.name
            )),
            None => found.help(format!(
                "it knows {}; free text goes into `note:`",
                one_of(section.all_keys().map(|key| key.word))
            )),
        },
    }
}

pub fn key_duplicate(word: &str, span: Span, first: Span) -> Diagnostic {
    Diagnostic::new(
        Code::KeyDuplicate,
        span,
        format!("`{word}` stands twice in this section"),
    )
    .label("again here")
    .other(first, "first here")
    .help("keep one of them; what was corrected later is written as `amended: …` under the line")
}

pub fn key_missing(word: &str, at: Span, section: &str, example: &str) -> Diagnostic {
    Diagnostic::new(Code::KeyMissing, at, format!("[{section}] needs `{word}:`"))
        .label(format!("no `{word}` here"))
        .help(format!("add a line such as `{word}: {example}`"))
}

pub fn value_empty(word: &str, span: Span) -> Diagnostic {
    Diagnostic::new(Code::ValueEmpty, span, format!("`{word}:` has no value"))
        .label("nothing stands behind the colon")
        .help(
            "write the value, or take the line out; what was not done is written `not done …: why`",
        )
}

pub fn colon_missing(key: &str, key_span: Span, blank: bool) -> Diagnostic {
    let (title, help, text) = if blank {
        (
            format!("`{key}:` needs a blank behind its colon"),
            "write a blank after the colon",
            ": ",
        )
    } else {
        (
            format!("`{key}` is a key, but its colon is missing"),
            "write a colon and a blank after the key",
            ":",
        )
    };
    let at = if blank {
        Span {
            start: key_span.end,
            end: key_span.end + 1,
        }
    } else {
        key_span.after()
    };
    Diagnostic::new(Code::ColonMissing, key_span, title)
        .label("read as this key")
        .help(help)
        .mend("add it", at, text, true)
}

pub fn stray(span: Span, lines: usize, section: Option<&str>) -> Diagnostic {
    let what = if lines == 1 {
        "this line is not understood".to_owned()
    } else {
        format!("these {lines} lines are not understood")
    };
    let label = match section {
        Some(name) => format!("[{name}] is shown, but not judged"),
        None => "not read".to_owned(),
    };
    Diagnostic::new(Code::StrayLine, span, what)
        .label(label)
        .help("a line is a `key: value`, a table's heading or row, or a comment after #; a remark stands behind `note:`")
}

pub fn heading_units(span: Span, text: &str, section: &'static Section) -> Diagnostic {
    let written: Vec<&Column> = text
        .split([' ', '\t', '|'])
        .filter_map(|word| section.column(word))
        .collect();
    let meant = if written.is_empty() {
        section.columns.iter().collect()
    } else {
        written
    };
    let example = meant
        .into_iter()
        .map(column_example)
        .collect::<Vec<_>>()
        .join("  ");
    Diagnostic::new(Code::HeadingUnits, span, "this heading names no units")
        .label("expected quantity/unit for each column")
        .help(format!("write each column as quantity/unit, for instance `{example}`; the rows below are not read without it"))
}

fn column_example(column: &Column) -> String {
    use super::schema::Kind;
    match column.kind {
        Kind::Quantity(dimension) => {
            format!(
                "{}/{}",
                column.word,
                dimension.examples().split(',').next().unwrap_or("")
            )
        }
        _ => column.word.to_owned(),
    }
}

pub fn heading_form(span: Span, meant: &str) -> Diagnostic {
    Diagnostic::new(
        Code::HeadingForm,
        span,
        "this heading is written in another form than quantity/unit",
    )
    .label("read as a heading")
    .help(format!("write `{meant}`"))
    .mend(format!("write {meant}"), span, meant, true)
}

pub fn heading_missing(span: Span, section: &Section) -> Diagnostic {
    let names = one_of(section.columns.iter().map(|column| column.word));
    let help = if section.columns.is_empty() {
        format!(
            "[{}] has no table; readings belong into a test section such as [excitation 1S1-1S2]",
            section.name
        )
    } else {
        format!("write a heading above the first row, with columns such as {names}")
    };
    Diagnostic::new(
        Code::HeadingMissing,
        span,
        "rows stand here without a heading",
    )
    .label("what are these numbers?")
    .help(help)
}

pub fn column_unknown(word: &str, span: Span, section: &Section) -> Diagnostic {
    let found = Diagnostic::new(
        Code::ColumnUnknown,
        span,
        format!("the table of [{}] has no column `{word}`", section.name),
    )
    .label("this column is not read");
    match nearest(word, section.columns.iter().map(|column| column.word)) {
        Some(near) => {
            let at = Span {
                start: span.start,
                end: span.start + u32::try_from(word.len()).unwrap_or(0),
            };
            found.help(format!("did you mean `{near}`?")).mend(
                format!("write {near}"),
                at,
                near,
                true,
            )
        }
        None => found.help(format!(
            "it knows {}",
            one_of(section.columns.iter().map(|column| column.word))
        )),
    }
}

pub fn column_duplicate(word: &str, span: Span) -> Diagnostic {
    Diagnostic::new(
        Code::ColumnDuplicate,
        span,
        format!("the column `{word}` stands twice"),
    )
    .label("again here")
    .help("take one of them out")
}

pub fn column_missing(words: &str, span: Span, section: &str) -> Diagnostic {
    Diagnostic::new(
        Code::ColumnMissing,
        span,
        format!("the table of [{section}] needs a column `{words}`"),
    )
    .label(format!("no column `{words}`"))
    .help("add the column; a reading that was not taken is written -")
}

pub fn column_unitless(word: &str, span: Span, dimension: Dimension) -> Diagnostic {
    let unit = dimension.examples().split(',').next().unwrap_or("");
    Diagnostic::new(
        Code::HeadingUnits,
        span,
        format!("the column `{word}` names no unit"),
    )
    .label("expected quantity/unit")
    .help(format!("write for instance {word}/{unit}"))
}

pub fn column_with_unit(word: &str, span: Span) -> Diagnostic {
    Diagnostic::new(
        Code::UnitDimension,
        span,
        format!("the column `{word}` takes no unit"),
    )
    .label("a unit stands here")
    .help(format!("write only `{word}`"))
}

pub fn cell_count(span: Span, found: usize, expected: usize, heading: Span) -> Diagnostic {
    let cells = |n: usize| {
        if n == 1 {
            "1 cell".to_owned()
        } else {
            format!("{n} cells")
        }
    };
    Diagnostic::new(Code::CellCount, span, format!("this row has {}, its heading has {}", cells(found), cells(expected)))
        .label(format!("{} expected", cells(expected)))
        .other(heading, "the heading")
        .help("write - for a reading that was not taken; a cell with blanks in it needs | between all cells")
}

pub fn cell_missing(word: &str, span: Span) -> Diagnostic {
    Diagnostic::new(
        Code::CellMissing,
        span,
        format!("`{word}` was not read in this row, but the test needs it"),
    )
    .label("no reading")
    .help("write the reading, or take the row out and say why in a `note:`")
}

pub fn rows_waiting(span: Span, count: usize, section: &str) -> Diagnostic {
    let rows = if count == 1 {
        "1 row holds".to_owned()
    } else {
        format!("{count} rows hold")
    };
    Diagnostic::new(
        Code::RowsWaiting,
        span,
        format!("{rows} no reading yet in this [{section}]"),
    )
    .label(if count == 1 {
        "nothing but -"
    } else {
        "the first of them"
    })
    .help("write the readings, or take the rows out and say why: `not done …: why`")
}

pub fn table_empty(span: Span) -> Diagnostic {
    Diagnostic::new(
        Code::TableEmpty,
        span,
        "this table has a heading and no rows",
    )
    .label("no row follows")
    .help("write the readings, or take the heading out and write `not done …: why`")
}

/// What is wrong with a number, told for the place where it stands.
pub fn number(text: &str, span: Span, fault: &NumberFault) -> Diagnostic {
    match fault {
        NumberFault::Comma { only: Some(meant) } => {
            Diagnostic::new(Code::DecimalComma, span, format!("`{text}` is written with a decimal comma"))
                .label("expected a decimal point")
                .help(format!("write {meant}"))
                .mend(format!("write {meant}"), span, meant, true)
        }
        NumberFault::Comma { only: None } => {
            let point = text.replace(',', ".");
            let none = text.replace(',', "");
            Diagnostic::new(Code::DecimalComma, span, format!("`{text}` can be read in two ways"))
                .label(format!("{point} or {none}?"))
                .help(format!("write {point} if the comma is a decimal comma, {none} if it parts thousands"))
                .mend(format!("write {point}"), span, point.clone(), false)
                .mend(format!("write {none}"), span, none.clone(), false)
        }
        NumberFault::EditorCharacter { found, meant } => editor_character(*found, meant, span),
        NumberFault::LookAlike { found, meant } => {
            Diagnostic::new(Code::NumberUnreadable, span, format!("`{text}` is not a number: it holds the letter {found}"))
                .label("a letter among digits")
                .help(format!("write {meant}, if that is what was read"))
                .mend(format!("write {meant}"), span, meant, false)
        }
        NumberFault::BoundForm if read_without_blanks(text).is_some() => {
            let meant = read_without_blanks(text).unwrap_or_default();
            Diagnostic::new(Code::NumberUnreadable, span, format!("`{text}` has a blank behind its sign"))
                .label("a blank too many")
                .help(format!("write {meant}"))
                .mend(format!("write {meant}"), span, meant.clone(), true)
        }
        NumberFault::BoundForm => Diagnostic::new(Code::NumberUnreadable, span, format!("`{text}` is no reading"))
            .label("expected a number, a bound such as >200, or -")
            .help("over range is written > and the end of the range, without a blank: >200; no reading is written -"),
        NumberFault::NotANumber => Diagnostic::new(Code::NumberUnreadable, span, format!("`{text}` is not a number"))
            .label("expected a number")
            .help("write digits with a decimal point, such as 100.3; a reading that was not taken is written -"),
        NumberFault::TooLarge => {
            Diagnostic::new(Code::NumberUnreadable, span, format!("`{text}` is beyond any number that can be measured"))
                .label("too large")
                .help("check the exponent")
        }
    }
}

/// `> 200` as `>200`.
fn read_without_blanks(text: &str) -> Option<String> {
    let joined: String = text.chars().filter(|c| !matches!(c, ' ' | '\t')).collect();
    (joined != text && crate::ground::number::read(&joined).is_ok()).then_some(joined)
}

pub fn editor_character(found: char, meant: &str, span: Span) -> Diagnostic {
    Diagnostic::new(
        Code::EditorCharacter,
        span,
        format!(
            "{} stands where a plain character belongs",
            character_name(found)
        ),
    )
    .label("put in by an editor?")
    .help(format!("write `{meant}`"))
    .mend(format!("write {meant}"), span, meant, true)
}

pub fn unit_missing(text: &str, span: Span, dimension: Dimension) -> Diagnostic {
    let name = dimension.name();
    Diagnostic::new(Code::UnitMissing, span, format!("`{text}` has no unit"))
        .label(format!("{} {name}, but in what?", article(name)))
        .help(format!(
            "write the unit behind the number: {}",
            one_unit_of(dimension)
        ))
}

pub fn unit_unknown(
    word: &str,
    span: Span,
    dimension: Dimension,
    near: Option<&str>,
) -> Diagnostic {
    let found = Diagnostic::new(
        Code::UnitUnknown,
        span,
        format!("`{word}` is no unit of {}", dimension.name()),
    )
    .label("unknown unit");
    match near {
        Some(near) => found.help(format!("did you mean {near}?")).mend(
            format!("write {near}"),
            span,
            near,
            false,
        ),
        None => found.help(format!("write {}", one_unit_of(dimension))),
    }
}

pub fn unit_case(word: &str, span: Span, readings: &[&'static UnitWord]) -> Diagnostic {
    let names: Vec<&str> = readings.iter().map(|unit| unit.word.as_str()).collect();
    let mut found = Diagnostic::new(
        Code::UnitCase,
        span,
        format!("`{word}` mixes up capital and small letters"),
    )
    .label("case counts in units")
    .help(format!("write {}", one_of(names.iter().copied())));
    for name in &names {
        found = found.mend(format!("write {name}"), span, *name, names.len() == 1);
    }
    found
}

pub fn unit_dimension(
    word: &str,
    span: Span,
    expected: Dimension,
    other: Dimension,
    of: &str,
) -> Diagnostic {
    let (name, found) = (expected.name(), other.name());
    Diagnostic::new(
        Code::UnitDimension,
        span,
        format!(
            "`{word}` is a unit of {found}; `{of}` is {} {name}",
            article(name)
        ),
    )
    .label(format!("expected a unit of {name}"))
    .help(format!("write {}", one_unit_of(expected)))
}

pub fn unit_implausible(word: &str, span: Span, of: &str, meant: &str) -> Diagnostic {
    Diagnostic::new(
        Code::UnitImplausible,
        span,
        format!("`{of}` cannot be meant in {word}"),
    )
    .label("capital and small letter mixed up?")
    .help(format!(
        "write {meant}, if that is what the instrument showed"
    ))
    .mend(format!("write {meant}"), span, meant, false)
}

pub fn bound_here(text: &str, span: Span, of: &str) -> Diagnostic {
    Diagnostic::new(
        Code::BoundHere,
        span,
        format!("`{text}` is a bound, but `{of}` needs a value"),
    )
    .label("only one side is known")
    .help("write the value that was read, or - if there was none")
}

pub fn word_unknown(word: &str, span: Span, choices: &[&'static str], of: &str) -> Diagnostic {
    let found = Diagnostic::new(
        Code::WordUnknown,
        span,
        format!("`{of}` cannot be `{word}`"),
    )
    .label("not one of its words");
    match nearest(word, choices.iter().copied()) {
        Some(near) => found.help(format!("did you mean `{near}`?")).mend(
            format!("write {near}"),
            span,
            near,
            true,
        ),
        None => found.help(format!("write {}", one_of(choices.iter().copied()))),
    }
}

pub fn date(text: &str, span: Span, impossible: bool) -> Diagnostic {
    if impossible {
        Diagnostic::new(
            Code::DateImpossible,
            span,
            format!("the day {text} does not exist"),
        )
        .label("no such day")
        .help("check day and month; dates are written year-month-day")
    } else {
        Diagnostic::new(
            Code::DateUnreadable,
            span,
            format!("`{text}` is not a date"),
        )
        .label("expected year-month-day")
        .help("write dates like 2026-03-14")
    }
}

pub fn ratio(text: &str, span: Span, zero: bool) -> Diagnostic {
    if zero {
        Diagnostic::new(
            Code::RatioZero,
            span,
            format!("the ratio `{text}` holds a zero"),
        )
        .label("no current transformer has this ratio")
        .help("write rated primary and secondary current, such as 600/1 A or 1200:5")
    } else {
        Diagnostic::new(
            Code::RatioUnreadable,
            span,
            format!("`{text}` is not a ratio"),
        )
        .label("expected rated primary/secondary current")
        .help("write it like 600/1 A or 1200:5")
    }
}

pub fn burden(text: &str, span: Span) -> Diagnostic {
    Diagnostic::new(
        Code::BurdenUnreadable,
        span,
        format!("`{text}` is not a burden"),
    )
    .label("expected a burden")
    .help("write it like 15 VA, 15 VA at 0.80, 1-10 VA, 2.5 ohm, B-0.5, connected or shorted")
}

pub fn power_factor(text: &str, span: Span) -> Diagnostic {
    Diagnostic::new(
        Code::BurdenUnreadable,
        span,
        format!("`{text}` is not a power factor"),
    )
    .label("a power factor lies between 0 and 1")
    .help("write it like 15 VA at 0.80")
}

pub fn at_missing(text: &str, span: Span, dimension: Dimension) -> Diagnostic {
    let name = dimension.name();
    let unit = dimension.examples().split(',').next().unwrap_or("");
    let example = if dimension == Dimension::Temperature {
        "75"
    } else {
        "…"
    };
    Diagnostic::new(
        Code::UnitMissing,
        span,
        format!("`{text}` does not say at what {name}"),
    )
    .label(format!("at what {name}?"))
    .help(format!(
        "write the {name} behind it: `{text} at {example} {unit}`"
    ))
}

pub fn pair(text: &str, span: Span) -> Diagnostic {
    Diagnostic::new(
        Code::PairUnreadable,
        span,
        format!("`{text}` is not a pair of terminals"),
    )
    .label("expected two terminals")
    .help("write two terminals with a plain hyphen between them, such as 1S1-1S2")
}

pub fn group(text: &str, span: Span) -> Diagnostic {
    Diagnostic::new(
        Code::GroupUnreadable,
        span,
        format!("`{text}` does not say what was measured between"),
    )
    .label("expected `… to …`")
    .help("write core names, primary, cores or earth: `1S to primary, cores and earth`")
}

/// More of something than one CT can have; the rest is passed over.
pub fn too_many(what: &str, most: usize, span: Span) -> Diagnostic {
    Diagnostic::new(
        Code::TooLong,
        span,
        format!("there are more than {most} {what}"),
    )
    .label("the rest is not read")
    .help("one file holds one CT; check that this is a record, or split it")
}

pub fn aside(span: Span, amended: bool) -> Diagnostic {
    let (title, help) = if amended {
        (
            "this amendment cannot be read",
            "write `amended: voltage was 1.121; transcription; R. Anvik 2026-03-15` under the row or field it speaks of",
        )
    } else {
        (
            "this `not done` line cannot be read",
            "write what was not done and why: `not done excitation 2S: not asked for`, `not done all but insulation: …`",
        )
    };
    Diagnostic::new(Code::AsideUnreadable, span, title)
        .label("not understood")
        .help(help)
}

pub fn argument(name: &str, text: &str, span: Span, example: &str) -> Diagnostic {
    let title = if text.is_empty() {
        format!("[{name}] says too little")
    } else {
        format!("`{text}` cannot stand in [{name} …]")
    };
    Diagnostic::new(Code::ArgumentWrong, span, title)
        .label("not understood")
        .help(format!("write it like [{name}{example}]"))
}
