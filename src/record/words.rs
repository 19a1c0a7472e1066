//! The texts of the diagnostics that reading a record can give: found, expected, how to mend it.

use super::FORMAT;
use super::kinds::Test;
use super::schema::{Argument, Column, Kind, Section, Stage};
use crate::ground::date::{self, Date, Moment};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::nearest::nearest;
use crate::ground::number::{self, NumberFault, character_name};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Located, Span};
use crate::ground::unit::{Dimension, UnitWord};
use crate::trade::RatioFault;

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

fn list_by<'a>(mark: &str, words: impl Iterator<Item = &'a str>) -> String {
    words.collect::<Vec<_>>().join(mark)
}

fn one_unit_of(dimension: Dimension) -> String {
    one_of(dimension.examples().split(", "))
}

fn usual_unit(dimension: Dimension) -> &'static str {
    dimension.examples().split(',').next().unwrap_or("")
}

/// Diagnostics of one shape: the code with the place and perhaps other places, what is worked out
/// first, then title, label and help.
macro_rules! told {
    ($(
        $(#[$meta:meta])*
        $name:ident($($arg:ident: $type:ty),*) = $code:ident($at:ident $(, $other:ident $mark:literal)*)
            $(where { $($local:tt = $value:expr;)* })?
            $title:literal, $label:literal, $help:literal;
    )*) => {$(
        $(#[$meta])*
        pub fn $name($($arg: $type),*) -> Diagnostic {
            $($(let $local = $value;)*)?
            Code::$code
                .at($at, format!($title))
                .label(format!($label))
                $(.other($other, $mark))*
                .help(format!($help))
        }
    )*};
}

// The file and its sections.
told! {
    format_newer(number: u32, span: Span) = FormatNewer(span)
        "the record is in format {number}, this program reads up to {FORMAT}",
        "newer than this program",
        "use a newer kneemark; the record is read as far as this one can";
    format_unreadable(text: &str, span: Span) = NumberUnreadable(span)
        "`{text}` is not a format number",
        "expected a whole number",
        "write `format: {FORMAT}`";
    section_misplaced(name: &str, span: Span) = SectionMisplaced(span)
        "[{name}] appears too late in the file",
        "sections above already need it",
        "the order is format, [ct], [place since …], [core …], [duty … since …], then the visits";
    section_duplicate(name: &str, again: Span, first: Span) = SectionDuplicate(again, first "first here")
        "[{name}] appears twice",
        "again here",
        "one file holds one CT; join the two sections";
    plate_missing(top: Span) = SectionMissing(top)
        "the record has no [ct] section",
        "expected [ct] near the top",
        "write [ct] with at least `id:` below the `format:` line";
    core_duplicate(name: &str, again: Span, first: Span) = CoreDuplicate(again, first "first here")
        "there are two cores `{name}`",
        "again here",
        "give each core the name that its terminals begin with";
    visit_duplicate(day: Date, again: Span, first: Span) = VisitDuplicate(again, first "first here")
        "there are two visits {day}",
        "again here",
        "give a second visit on one day a letter: [visit 2026-03-14 b]";
    visit_order(newer: Date, span: Span, above: Span) = VisitOrder(span, above "the newer one")
        "this visit is older than the one above it, {newer}",
        "older",
        "write the oldest visit first; check the year, or move the visit up";
    visit_foreign(said: &str, core: &str, span: Span, plate: Span) = VisitForeign(span, plate "what the plate states")
        "an earlier visit reads {said} on core {core}, and its readings are not those of this plate",
        "another CT's?",
        "compare id and serial number with the sheet of that day: a visit of another CT belongs into its own file; where it is this one, check the plate's value, and what was mended since";
    test_before_visit(span: Span) = TestBeforeVisit(span)
        "this section comes before any visit",
        "when was this?",
        "write [visit 2026-03-14] above it; tests, attachments and signatures belong to the visit above";
    test_duplicate(name: &str, again: Span, first: Span) = TestDuplicate(again, first "first here")
        "this visit has the same {name} test twice",
        "again here",
        "mark a repeated test with `stage: retest`; write different methods, burdens, frequencies or, of a ratio, positions of the primary links (`links: series`) as keys";
    /// More of something than one CT can have; the rest is skipped.
    too_many(what: &str, most: usize, span: Span) = TooLong(span)
        "there are more than {most} {what}",
        "the rest is not read",
        "one file holds one CT; check that this is a record, or split it";
}

// Points and papers of a visit.
told! {
    permit_runs(name: &str, load: Span, until: Span) = PermitRuns(load, until "the permit ends here")
        "a current on load is read while {name} still runs",
        "the primary is energised",
        "the permit to work on the dead primary is handed back before the primary is energised: check both days and times; write when it was handed back: `permit returned: 2026-03-14 15:10`; local rules decide";
    permit_order(name: &str, load: Span, end: Span) = PermitRuns(load, end "ends on this day")
        "a current on load is read on the day that {name} ends, and nothing shows which came first",
        "the primary is energised",
        "the permit to work on the dead primary is handed back before the primary is energised: write both times: `permit returned: 2026-03-14 15:10` at the visit, `taken: 2026-03-14 17:05` in this section; local rules decide";
    /// The end that a permit states hands nothing back.
    permit_unreturned(name: &str, load: Span, until: Span) = PermitRuns(load, until "the permit ends here")
        "a current on load is read after the end of {name}, and nothing says that it was handed back",
        "the primary is energised",
        "the permit to work on the dead primary is handed back before the primary is energised, whatever end it states: write when: `permit returned: 2026-03-14 15:10`; local rules decide";
    permit_endless(name: &str, load: Span, permit: Span) = PermitRuns(load, permit "nothing says when it ended")
        "a current on load is read, and {name} is not shown to have ended",
        "the primary is energised",
        "the permit to work on the dead primary is handed back before the primary is energised: write when: `permit returned: 2026-03-14 15:10`; local rules decide";
    permit_returned_late(name: &str, load: Span, returned: Span) = PermitRuns(load, returned "handed back later")
        "a current on load is read before {name} is handed back",
        "the primary is energised",
        "the permit to work on the dead primary is handed back before the primary is energised: check both days and times; local rules decide";
    permit_over(name: &str, day: &Located<Date>, end: Span) = PermitOver(end, visit "the visit")
        where { (day, visit) = (day.value, day.span); }
        "{name} had ended before the visit of {day}",
        "ended here",
        "check both days; where the permit was extended or another one held, write that one; local rules decide";
    taken_off(taken: &Located<Moment>, day: &Located<Date>) = TakenOff(at, visit "the visit")
        where { (when, at) = (taken.value.day, taken.span); (day, visit) = (day.value, day.span); }
        "taken on {when}, which does not fit the visit of {day}",
        "before the visit, or long after it",
        "check the year first; a reading of another time belongs to a visit of its own";
    time_unreadable(text: &str, span: Span) = TimeUnreadable(span)
        "`{text}` is not a time of day",
        "expected hours and minutes",
        "write day and time like 2026-03-14 16:30; the day alone is enough";
    point_early(label: &str, span: Span, raised: Span) = PointEarly(span, raised "raised here, at a later visit")
        "point {label} is closed by a visit before the one that raises it",
        "closed too early",
        "check number and date of both visits; nothing is closed by this line";
    point_unknown(label: &str, span: Span, known: &[&str]) = PointUnknown(span)
        where {
            write = match known.is_empty() {
                true => format!("what was found and mended on one day is written as both: `action: {label} …`, `closed: {label} …`"),
                false => format!("the record has {}", list(known.iter().copied())),
            };
        }
        "no visit has raised a point {label}",
        "closes nothing",
        "check the number: {write}";
    point_done(label: &str, span: Span, first: Span) = PointUnknown(span, first "closed here")
        "point {label} is not open when this line closes it",
        "closes nothing",
        "check the number; keep the line that closed it";
    point_twice(label: &str, again: Span, first: Span) = PointTwice(again, first "still open")
        "point {label} is open, and its number is given to something else",
        "other words under one number",
        "give the new point a number of its own; to tell the old one again, with another owner or day, keep its words";
    point_unnumbered(span: Span, meant: &str) = PointForm(span)
        "this point has no number",
        "closed by no line",
        "write number and what; who; day: `{meant}`";
    point_unparted(label: &str, span: Span, meant: &str) = PointForm(span)
        "a day stands among the words of point {label}, and no `;` parts it from them",
        "without owner and day",
        "write number and what; who; day: `{meant}`";
    point_day(label: &str, until: &str, span: Span) = PointDay(span)
        where { meant = date::meant(until).first().map_or_else(|| "2026-06-01".to_owned(), Date::to_string); }
        "point {label} is due by `{until}`, which is no day",
        "not sorted by day, never told to be late",
        "write what; who; day: `{label} …; S. Hollen; {meant}`";
}

// Keys, headings and rows.
told! {
    key_duplicate(word: &str, span: Span, first: Span) = KeyDuplicate(span, first "first here")
        "`{word}` appears twice in this section",
        "again here",
        "keep one of them; to record a later correction, write `amended: …` under the line";
    key_missing(word: &str, at: Span, section: &str, example: &str) = KeyMissing(at)
        "[{section}] needs `{word}:`",
        "no `{word}` here",
        "add a line such as `{word}: {example}`";
    purpose_missing(was: &str, visit: Span, before: Span) = PurposeMissing(visit, before "the purpose of an earlier visit")
        "this visit has no purpose, and an earlier one was made for {was}: what that asked for is asked no more",
        "asks for nothing",
        "write what it was made for; `purpose: retest` carries the earlier visit on";
    value_empty(word: &str, span: Span) = ValueEmpty(span)
        "`{word}:` has no value",
        "nothing follows the colon",
        "write the value, or delete the line; a test that was not done: `not done …: why`";
    stray(span: Span, lines: usize, section: Option<&str>) = StrayLine(span)
        where {
            title = match lines {
                1 => "this line is not understood".to_owned(),
                n => format!("these {n} lines are not understood"),
            };
            label = section.map_or_else(
                || "not read".to_owned(),
                |name| format!("[{name}] is shown, but not judged"),
            );
        }
        "{title}",
        "{label}",
        "write `key: value`, a table's heading or row, or a comment after #; a remark goes in `note:`";
    column_duplicate(word: &str, span: Span) = ColumnDuplicate(span)
        "the column `{word}` appears twice",
        "again here",
        "delete one of them";
    column_missing(words: &str, span: Span, section: &str) = ColumnMissing(span)
        "the table of [{section}] needs a column `{words}`",
        "no column `{words}`",
        "add the column; write - for a reading that was not taken";
    column_unitless(word: &str, span: Span, dimension: Dimension) = HeadingUnits(span)
        where { unit = usual_unit(dimension); }
        "the column `{word}` needs a unit",
        "expected quantity/unit",
        "write for example {word}/{unit}";
    column_in_parts(span: Span, word: &str, example: &str) = HeadingUnits(span)
        "the column `{word}` is in per cent",
        "this column is not read",
        "write `{word}/%`, and the readings in per cent: {example}";
    column_with_unit(word: &str, span: Span) = UnitDimension(span)
        "the column `{word}` has no unit",
        "no unit expected",
        "write only `{word}`";
    cell_missing(word: &str, span: Span) = CellMissing(span)
        "this row has no reading of `{word}`, which the test needs",
        "no reading",
        "write the reading, or delete the row and say why in a `note:`";
    rows_waiting(span: Span, count: usize, section: &str) = RowsWaiting(span)
        where {
            (rows, label) = match count {
                1 => (format!("1 row of [{section}] has"), "nothing but -"),
                n => (format!("{n} rows of [{section}] have"), "the first of them"),
            };
        }
        "{rows} no readings yet",
        "{label}",
        "write the readings, or delete the rows and say why: `not done …: why`";
    keys_waiting(span: Span, section: &str) = RowsWaiting(span)
        "[{section}] has no readings yet",
        "nothing but -",
        "write the readings, or delete the section and say why: `not done …: why`";
    table_empty(span: Span) = TableEmpty(span)
        "this table has a heading but no rows",
        "no row follows",
        "write the readings, or delete the heading and write `not done …: why`";
    amendment_unreadable(span: Span) = AsideUnreadable(span)
        "this amendment cannot be read",
        "not understood",
        "write `amended: voltage was 1.121; transcription; R. Anvik 2026-03-15` under the row or field that it corrects";
    amendment_same(what: &str, was: &str, span: Span) = AmendmentSame(span)
        "the amendment says that {what} was {was}, and it still is",
        "old and new value are equal",
        "write the corrected value in the line above and the old one here";
}

// Values.
told! {
    unit_missing(text: &str, span: Span, dimension: Dimension) = UnitMissing(span)
        where { name = dimension.name(); article = article(name); units = one_unit_of(dimension); }
        "`{text}` has no unit",
        "{article} {name}, but in what unit?",
        "write the unit after the number: {units}";
    unit_dimension(word: &str, span: Span, expected: Dimension, other: Dimension, of: &str) = UnitDimension(span)
        where {
            (name, found) = (expected.name(), other.name());
            (article, units) = (article(name), one_unit_of(expected));
        }
        "`{word}` is a unit of {found}; `{of}` is {article} {name}",
        "expected a unit of {name}",
        "write {units}";
    count(text: &str, span: Span, of: &str) = NumberUnreadable(span)
        "`{of}` is {text}, but it is counted",
        "no whole number",
        "write how many there are: 0, 1, 2; what was not counted is -";
    bound_here(text: &str, span: Span, of: &str) = BoundHere(span)
        "`{text}` is a bound, but `{of}` needs a value",
        "only one side is known",
        "write the value that was read, or - if there was none";
    bound_in_curve(span: Span, of: &str) = BoundHere(span)
        "this is a bound, but `{of}` needs a value",
        "only one side is known",
        "a point of a curve needs both values; delete the row and say in a `note:` where the source ended";
    not_positive(text: &str, span: Span, of: &str) = ReadingSign(span)
        where {
            help = if text.starts_with('-') {
                "write the reading without its sign, or - if there was none; a reversed polarity belongs in [polarity] or `phase`"
            } else {
                "write what was read, or - if there was none; a row of zeros shows nothing: delete it"
            };
        }
        "`{of}` is {text}, but it can only be positive",
        "zero or negative",
        "{help}";
    key_sign(text: &str, span: Span, of: &str) = ReadingSign(span)
        where {
            what = if text.starts_with('-') { "negative" } else { "zero" };
        }
        "`{of}` is {text}, and cannot be {what}",
        "{what}",
        "write what the plate or the instrument shows; a value that is not known is -";
    /// `145 kV kV`.
    unit_twice(unit: &str, span: Span) = UnitUnknown(span)
        "the unit `{unit}` is written twice",
        "once more",
        "write it once";
    burden(text: &str, span: Span) = BurdenUnreadable(span)
        "`{text}` is not a burden",
        "expected a burden",
        "write it like 15 VA, 15 VA at 0.80, 1-10 VA, 2.5 ohm, B-0.5, connected or shorted";
    power_factor(text: &str, span: Span) = BurdenUnreadable(span)
        "`{text}` is not a power factor",
        "a power factor lies between 0 and 1",
        "write it like 15 VA at 0.80";
    at_missing(text: &str, span: Span, dimension: Dimension) = UnitMissing(span)
        where {
            (name, unit) = (dimension.name(), usual_unit(dimension));
            example = if dimension == Dimension::Temperature { "75" } else { "…" };
        }
        "`{text}` does not say at what {name}",
        "at what {name}?",
        "write the {name} after it: `{text} at {example} {unit}`";
    pair(text: &str, span: Span) = PairUnreadable(span)
        "`{text}` is not a pair of terminals",
        "expected two terminals",
        "write two terminals with a plain hyphen between them, such as 1S1-1S2";
    /// A row that names no pair, in a section that names none either.
    pair_missing(row: Span, section: &str) = PairUnreadable(row)
        "the terminals of this reading are not stated",
        "which pair?",
        "add a column `on`, or name the pair in the section's head: [{section} 1S1-1S2]";
    group(text: &str, span: Span) = GroupUnreadable(span)
        "`{text}` does not say what was measured between",
        "expected `… to …`",
        "write core names, primary, cores or earth: `1S to primary, cores and earth`";
}

// The record as a whole.
told! {
    standard_unlike(text: &str, span: Span) = StandardUnknown(span)
        "the limits of `{text}` are not known",
        "kept as text",
        "values are computed and shown; judged is only what the plate, the duty or the job states itself, such as the knee of class X";
    class_unlike(text: &str, span: Span) = ClassUnknown(span)
        "the class `{text}` is not in the tables",
        "kept as text: no limit, no verdict",
        "check the spelling (5P20, 0.5 FS10, PX, TPY, C800, 0.3B-0.5); leave old classes as they are";
    security_stray(factor: &str, span: Span) = ClassUnknown(span)
        "{factor} is an instrument security factor, which belongs to a measuring class",
        "no limit, no verdict by this class",
        "write the class without it; if the plate gives a measuring class beside it, declare a core or a tap of that class";
    leads_disagree(stated: &str, by_section: &str, span: Span, section: Span) = LeadsDisagree(span, section "section given here")
        "the leads have {stated}, and by their section of copper {by_section}",
        "another lead than that of this section",
        "keep the one that is known of this cable; the other one is left out";
    links_unreadable(text: &str, span: Span) = RatioUnreadable(span)
        "`{text}` is no position of the primary links with its ratio",
        "name and ratio",
        "write the name of each position and its ratio, with commas between: series 300/1 A, parallel 600/1 A";
    links_disagree(core: &str, primary: f64, span: Span, links: Span) = LinksDisagree(span, links "the positions")
        "core {core} has a primary current of {primary} A, and no position of the primary links has",
        "in which position?",
        "write the ratio of each core in one of the positions, the same for all cores; or add the position that is missing";
    links_part_a_turn(turns: f64, full: f64, there: &str, position: &str, primary: f64, span: Span, links: Span) = LinksDisagree(span, links "the positions")
        "with primary turns of {turns} at {full} A the primary would have {there} turns in {position}, at {primary} A",
        "at which primary current?",
        "a primary has whole turns: write those that it has at the ratio of the cores, and check the current of each position";
    taps_disagree(core: &str, taps: &str, span: Span) = TapsDisagree(span)
        "the ratios of core {core} do not add up",
        "{taps} disagree",
        "the ratio between two terminals is the sum of the sections between them; check each tap";
    ratio_disagrees(core: &str, whole: &str, tap: &str, span: Span, full: Span) = TapsDisagree(span, full "its whole winding in the table")
        "core {core} has a ratio of {whole}, and its whole winding one of {tap} in the table of its taps",
        "not that of the whole winding",
        "the ratio of a core is that of its whole winding; keep the one that stands on the plate";
    taps_outgrow(tap: &str, ratio: &str, wider: &str, full: &str, span: Span) = TapsDisagree(span)
        "the tap {tap} has {ratio}, and {wider}, of which it is a part, {full}",
        "not below the ratio of the whole",
        "a part of a winding has fewer turns than the whole: check both ratios, and the order of the terminals";
    resistance_of_plate(written: &str, turns: &str, less: bool, meant: &str, span: Span) = ReadingImplausible(span)
        where {
            (times, than) = if less { ("a thousandth of it", "more") } else { ("1000 times it", "less") };
        }
        "a winding resistance of {written} for {turns} turns is far {than} than a winding has",
        "exactly 1000 times: unit?",
        "check the unit on the plate: {times}, {meant}, would be usual; windings have 0.25 to 200 mohm a turn (common practice, no source)";
    terminal_style(core: &str, first: &str, all: &str, span: Span) = TerminalStyle(span)
        "core {core} has terminals in the style of the other standard",
        "{first} under this standard?",
        "if they are stamped like this, write `marks: {all}`";
    plate_value_missing(core: &str, span: Span, key: &str, example: &str, why: &str) = PlateValueMissing(span)
        "core {core} has no `{key}`, which {why}",
        "no `{key}` on the plate",
        "add `{key}: {example}`; if it is not from the plate, add ` from drawing` after it";
    tap_not_declared(pair: &str, span: Span, secondary: f64, core: &str) = TapNotDeclared(span)
        "the plate gives no ratio for {pair}",
        "turns unknown",
        "add a row `{pair}  …/{secondary}` to the tap table of core {core}";
    primary_loop(shorted: bool, ends: Span, test: Span) = PrimaryLoop(ends, test "excited here")
        where {
            how = if shorted { "shorted" } else { "earthed at both ends" };
            way = if shorted { "its short" } else { "the earth grid" };
            whose = if shorted { "a short turns" } else { "two earths turn" };
            mend = if shorted { "take the short off" } else { "lift one earth" };
        }
        "the primary is {how} while a core is excited",
        "a closed loop through {way}",
        "{whose} the primary into a shorted turn, so that every core looks shorted; {mend} under the site's permit and safety rules, and repeat";
    order_after_dc(core: &str, test: Span, before: Span) = OrderAfterDc(test, before "direct current here")
        "core {core} is excited after a d.c. test without demagnetisation in between",
        "residual magnetism raises the low end of this curve",
        "demagnetise in between and write [demagnetisation] there; the order in the file is the order of work";
    order_after_trip(core: &str, test: Span, before: Span) = OrderAfterDc(test, before "cut off at voltage here")
        "core {core} is excited after a run that was cut off at voltage, without demagnetisation in between",
        "residual magnetism raises the low end of this curve",
        "demagnetise in between and write [demagnetisation] there; the order in the file is the order of work";
    current_implausible(written: &str, rated: f64, times: f64, span: Span) = ReadingImplausible(span)
        "an exciting current of {written} on a core of {rated} A rated secondary current",
        "{times:.0} times rated",
        "check the unit in the heading: mA instead of A? Until then the curve is shown, not judged";
    current_too_small(written: &str, volts: &str, turns: f64, span: Span) = ReadingImplausible(span)
        "an exciting current of {written} at {volts} on a winding of {turns:.0} turns: no iron magnetises so easily",
        "A instead of mA?",
        "check the unit in the heading; until then the curve is shown, not judged";
    curve_exchanged(written: &str, volts: &str, turns: f64, span: Span) = ReadingImplausible(span)
        "an exciting current of {written} at {volts} on a winding of {turns:.0} turns, and a current that rises more slowly than the voltage: no iron does so",
        "voltage and current exchanged?",
        "check the heading: with its two columns exchanged the curve is one of iron; until then the curve is shown, not judged";
    current_by_drop(written: &str, volts: &str, drop: f64, span: Span, ohm: Span) = ReadingImplausible(span, ohm "the resistance")
        "an exciting current of {written} at {volts}, where the winding resistance alone would take {drop:.0} V",
        "cannot be",
        "check unit and decimal point of the curve, then of the resistance; until then the curve is shown, not judged";
    burden_implausible(written: &str, rated: f64, times: f64, span: Span) = ReadingImplausible(span)
        "a current of {written} through the burden of a core of {rated} A rated secondary current",
        "{times:.0} times rated",
        "check the unit in the heading: mA instead of A? Until then the row is not used";
    injection_implausible(written: &str, rated: f64, times: f64, span: Span) = ReadingImplausible(span)
        "a current of {written} fed into the circuit of a core of {rated} A rated secondary current",
        "{times:.0} times rated",
        "check the unit in the heading: mA instead of A? If it was fed, have relay and meter checked: their inputs may be burnt; until then the row is not used";
    resistance_implausible(written: &str, plate: &str, times: &str, span: Span, stated: Span) = ReadingImplausible(span, stated "the plate's value")
        where { slip = if times.contains("00") { "unit" } else { "decimal point" }; }
        "a winding resistance of {written} where the plate states {plate}",
        "{times} times: {slip}?",
        "check unit and decimal point here and on the plate; until then the reading is not used";
    resistance_of_turns(written: &str, turns: f64, less: bool, meant: &str, span: Span) = ReadingImplausible(span)
        where {
            (times, than) = if less { ("a thousandth of it", "more") } else { ("1000 times it", "less") };
        }
        "a winding resistance of {written} for {turns:.0} turns is far {than} than a winding has",
        "exactly 1000 times: unit?",
        "check the unit: {times}, {meant}, would be usual; windings have 0.25 to 200 mohm a turn (common practice, no source); until then the reading is not used";
    resistance_exchanged(ohm: &str, meant: &str, span: Span) = ReadingImplausible(span)
        "a winding resistance of {ohm} by this row, and of {meant} the other way round",
        "voltage and current exchanged?",
        "if it was read so, write them the other way round; until then the reading is not used";
    ratio_implausible(written: &str, times: &str, span: Span, other: Span) = ReadingImplausible(span, other "read with it")
        "{written} is {times} what the plate's ratio lets expect",
        "exactly 1000 times: unit?",
        "check the unit of this cell; until then the row is not used";
    voltage_for_time(volts: &str, seconds: &str, span: Span, time: Span) = ReadingImplausible(span, time "the time")
        "an insulation test at {volts} V for {seconds} s",
        "time and voltage exchanged?",
        "if {seconds} V were on it for {volts} s, write them so; until then both are not used";
    volts_for_kilovolts(read: &Quantity, span: Span) = ReadingImplausible(span)
        where {
            written = read.written();
            meant = other_unit(read, "kV", "V");
            (slip, mend) = match &meant {
                Some(meant) => ("V instead of kV?", format!("if {meant} were meant, write them in the unit of the heading")),
                None => ("decimal point?", "check the decimal point, then the unit".to_owned()),
            };
        }
        "a test voltage of {written}: no winding of this kind is made for it",
        "{slip}",
        "{mend}; until then the reading is not used";
    voltage_beyond(read: &Quantity, made_for: f64, span: Span) = ReadingImplausible(span)
        where {
            written = read.written();
            (kilovolts, times) = (made_for / 1e3, read.si / made_for);
        }
        "a test voltage of {written} on a winding that is made for {kilovolts} kV",
        "{times:.0} times: decimal point?",
        "check decimal point and unit, and the plate; if it was on it, have the insulation judged before the unit is used; until then the reading is not used";
    factor_for_percent(written: &str, meant: f64, span: Span) = ReadingImplausible(span)
        "a dissipation factor of {written} %: no insulation of a transformer has so little",
        "a fraction?",
        "a fraction of {written} is {meant} %: write that; until then the reading is not used";
    kilovolts_for_volts(read: &Quantity, span: Span) = ReadingImplausible(span)
        where {
            written = read.written();
            meant = other_unit(read, "V", "kV");
            (slip, mend) = match &meant {
                Some(meant) => ("kV instead of V?", format!("if {meant} were meant, write the column or the cell in kV")),
                None => ("decimal point?", "check the decimal point, then the unit".to_owned()),
            };
        }
        "a test voltage of {written}: no test of this kind is made with so little",
        "{slip}",
        "{mend}; until then the reading is not used";
    volts_of_plate(of: &str, read: &Quantity, span: Span) = ReadingImplausible(span)
        where {
            written = read.written();
            meant = other_unit(read, "V", "kV");
            (slip, mend) = match &meant {
                Some(meant) => ("kV instead of V?", format!("check the plate; if it shows {meant}, write that")),
                None => ("decimal point?", "check the decimal point against the plate".to_owned()),
            };
        }
        "`{of}` is {written}: no unit is made for so little",
        "{slip}",
        "{mend}; until then the value is not used";
    primary_resistance_of_plate(written: &str, span: Span) = ReadingImplausible(span)
        "a primary resistance of {written}: no primary has so much",
        "mohm or ohm?",
        "check the unit on the plate: a primary that is a winding has far less than 1000 ohm (own convention); until then the value is not used";
    primary_by_secondary(ohm: &str, usual: &str, meant: &str, span: Span) = ReadingImplausible(span)
        "a primary resistance of {ohm}, where about {usual} goes with the winding resistance of the secondary and the ratio",
        "1000 times off: unit?",
        "check the unit: {meant} would be usual, since both windings have about as much copper (common practice, no source); until then the reading is not used";
    temperature_implausible(written: &str, span: Span) = ReadingImplausible(span)
        "a temperature of {written} at a test: nothing that is tested is so hot",
        "decimal point?",
        "check the decimal point; until then nothing is corrected from it";
    capacitance_implausible(written: &str, span: Span) = ReadingImplausible(span)
        "a capacitance of {written}: no insulation of a transformer has so much",
        "another unit?",
        "check the unit in the heading: capacitances here are some tens to thousands of pF; until then the reading is not used";
    half_turn_in_minutes(written: &str, span: Span) = ReadingImplausible(span)
        "a phase of {written} in a ratio by voltage is three degrees",
        "180 degrees?",
        "write the column as phase/deg: 180 for half a turn, 3 where that was read; until then the reading is not used";
    remanence_for_percent(written: &str, meant: f64, span: Span) = ReadingImplausible(span)
        "a remanence factor of {written} %: no core that keeps some has so little",
        "a fraction?",
        "a fraction of {written} is {meant} %: write that; until then the reading is not used";
    loop_constants_differ(time: (&str, Span), henry: (&str, Span), seconds: f64) = ReadingImplausible(at, other "the inductance")
        where { ((written, at), (inductance, other)) = (time, henry); }
        "a loop time constant of {written}, where {inductance} over winding and rated burden makes {seconds:.2} s",
        "decimal point or unit?",
        "check both, and the plate's resistance and burden; until then neither is used";
    winding_off_ambient(written: &str, ambient: &str, span: Span, air: Span) = ReadingImplausible(span, air "the air")
        "a temperature of {written} where the air has {ambient}",
        "not that of the air",
        "check both; a winding that has rested all day has the temperature of the air, and every resistance is corrected from the one that stands here";
    wires(text: f64, span: Span) = WordUnknown(span)
        "`wires` cannot be {text}",
        "2 or 4",
        "write 4 where the leads are not in the reading, 2 where they are; other bridges are named in a `note:`";
    cells_swapped(volts: &str, amps: &str, span: Span) = CellsSwapped(span)
        "voltage and current of this row, {amps} and {volts}, fit the rows beside it only the other way round",
        "swapped?",
        "write {volts} under voltage and {amps} under current, if that was read";
    plus_on(text: &str, ends: &str, span: Span) = WordUnknown(span)
        "`plus on` cannot be `{text}`",
        "not a terminal of the primary",
        "write {ends}: the primary terminal that the battery's plus was touched to; the meter's plus is on the lower secondary terminal";
    zeros(span: Span) = ReadingSign(span)
        "every reading of this row is zero or negative",
        "shows nothing",
        "delete the row, or write what was read";
    loop_phases(text: &str, span: Span) = WordUnknown(span)
        "`loop` cannot be `{text}`",
        "the phases, and not the kind of loop",
        "write phase-phase, and {text} in a column `phases`";
    heading_thousand(of: &str, written: &str, meant: &str, times: &str, span: Span) = UnitImplausible(span)
        "in {written} the {of} of these rows is about {times} times what the plate's ratio lets expect",
        "exactly {times} times: unit?",
        "write {meant}, if that is the unit of what was read; until then the section is shown, not judged";
    decimal_slip(of: &str, written: &str, before: &str, behind: &str, meant: &str, span: Span) = DecimalSlip(span)
        "this {of}, {written}, fits {before}{behind} only with its decimal point moved",
        "{meant}?",
        "write {meant}, if that was read; a point that cannot be right is left out, with the reason in a `note:`";
    instruments_missing(span: Span) = InstrumentsMissing(span)
        "there is no instruments.toml for this record",
        "calibration and uncertainty unknown",
        "write an instruments.toml beside the records, or above them down from the folder of pack.toml or of the repository; without it measuring classes get no verdict";
    instrument_missing(test: Span) = InstrumentMissing(test)
        "the instrument of these readings is not stated",
        "no `instrument:` here or in the visit",
        "write `instrument: …` in [visit] or in this section";
    calibration_expired(id: &str, day: &Located<Date>, span: Span, valid: &str) = CalibrationExpired(span, on "the day")
        where { (day, on) = (day.value, day.span); }
        "the calibration of {id} was not valid on {day}",
        "valid {valid}",
        "enter the newer certificate in instruments.toml, or have the instrument checked; the report shows the lapse";
    reading_of_another_unit(written: &str, span: Span, id: &str, of: &str, range: &str) = ReadingRange(span)
        "{written} is far outside the range of {id} for {of}",
        "a thousandth of it is within the range, {range}: unit?",
        "check the unit of this reading, or name the instrument that took it: `instrument: …` in this section";
    reading_range(written: &str, span: Span, id: &str, of: &str, range: &str) = ReadingRange(span)
        "{written} is outside the range of {id} for {of}",
        "{id} measures {of} {range}",
        "check the reading and its unit, or name the instrument that took it: `instrument: …` in this section";
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
    if word == "time" && section.key("taken").is_some() {
        return found.help("write the time behind the day: `taken: 2026-03-14 17:05`");
    }
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

/// `between` stands between the key and its value, at `gap`: a colon without an ordinary blank, another mark
/// in its place, or blanks alone.
pub fn colon_missing(key: &str, key_span: Span, between: &str, gap: Span) -> Diagnostic {
    let found = |title: String| {
        Code::ColonMissing
            .at(key_span, title)
            .label("read as this key")
    };
    let mark = between.trim_matches([' ', '\t']).chars().next();
    if let Some(':') = mark {
        let what = if between == ":" { "a" } else { "an ordinary" };
        found(format!("`{key}:` needs {what} space after the colon"))
            .help(format!("write {what} space after the colon"))
            .mend("add it", gap, ": ", true)
    } else if let Some(mark) = mark {
        found(format!(
            "`{key}` is a key, but `{mark}` stands in place of its colon"
        ))
        .help("write a colon and a space after the key")
        .mend("write a colon", gap, ": ", true)
    } else {
        found(format!("`{key}` is a key, but its colon is missing"))
            .help("write a colon and a space after the key")
            .mend("add it", key_span.after(), ":", true)
    }
}

pub fn heading_units(span: Span, text: &str, section: &'static Section) -> Diagnostic {
    let mut meant = section.columns_in(text);
    if meant.is_empty() {
        meant = section.columns.iter().collect();
    }
    if !meant
        .iter()
        .any(|column| matches!(column.kind, Kind::Quantity(_) | Kind::Ratio))
    {
        let bars = list_by(" | ", meant.iter().map(|column| column.word));
        return Code::HeadingUnits
            .at(span, "the cells of this heading are not parted")
            .label("expected | between the words")
            .help(format!(
                "this table holds words: part the cells with |, in heading and rows, for example `{bars}`; until then the rows below are not read"
            ));
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
        Kind::Ratio => format!("{}/A", column.word),
        _ => column.word.to_owned(),
    }
}

pub fn heading_missing(span: Span, section: &Section) -> Diagnostic {
    if section.columns.is_empty() {
        return Code::HeadingMissing
            .at(span, format!("[{}] has no table", section.name))
            .label("no table is expected here")
            .help("readings belong in a test section such as [excitation 1S1-1S2]");
    }
    let names = one_of(section.columns.iter().map(|column| column.word));
    let united = |column: &Column| matches!(column.kind, Kind::Quantity(_));
    let missing = Code::HeadingMissing.at(span, "these rows have no heading");
    if !section.columns.iter().any(united) {
        let bars = list_by(" | ", section.columns.iter().map(|column| column.word));
        return missing.label("what are these words?").help(format!(
            "write a heading above the first row, and | between all cells, such as `{bars}`; columns that are not needed are left out"
        ));
    }
    missing.label("what are these numbers?").help(format!(
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

/// A power factor where a dissipation factor is asked for.
pub fn column_power_factor(span: Span) -> Diagnostic {
    Code::ColumnUnknown
        .at(span, "a power factor is no dissipation factor")
        .label("this column is not read")
        .help("write tan delta as `factor/%`: below 5 % a power factor is that within an eighth of a per cent of its value, above it cos phi/sqrt(1 - cos phi^2); say in a `note:` what was read")
}

/// `current [A]`.
pub fn column_in_brackets(span: Span, meant: &str) -> Diagnostic {
    Code::HeadingForm
        .at(span, "this column is not written as quantity/unit")
        .label("this column is not read")
        .instead(span, meant, true)
}

/// A time of day without its day.
pub fn time_alone(text: &str, span: Span) -> Diagnostic {
    Code::DateUnreadable
        .at(span, format!("`{text}` is a time without its day"))
        .label("on which day?")
        .help(format!("write day and time: 2026-03-14 {text}"))
}

/// Several cells of one heading that are not understood, each with its own reason; `meant` is the heading
/// that was, with the changes that make it.
pub fn heading_cells(
    span: Span,
    each: &[Diagnostic],
    meant: Option<(String, Vec<(Span, String)>)>,
) -> Diagnostic {
    let code = each.first().map_or(Code::HeadingForm, |told| told.code);
    let mut reasons: Vec<&str> = each.iter().map(|told| told.title.as_str()).collect();
    reasons.dedup();
    let (count, reasons) = (each.len(), reasons.join("; "));
    let title = format!("{count} cells of this heading are not understood: {reasons}");
    let found = code.at(span, title).label("their cells are not read");
    let Some((meant, edits)) = meant else {
        let mut helps: Vec<&str> = Vec::new();
        for help in each.iter().filter_map(|told| told.help.as_deref()) {
            if !helps.contains(&help) {
                helps.push(help);
            }
        }
        return found.help(helps.join("; "));
    };
    let mut found = found
        .help(format!("write `{meant}`, if that is meant"))
        .mend(format!("write {meant}"), span, "", false);
    for mend in &mut found.mends {
        mend.edits.clone_from(&edits);
    }
    found
}

/// Cells that name their unit once more, which the heading has already; told once for a table.
///
/// `unit` is the one of all of them, where there is one.
pub fn cells_united(unit: Option<&str>, rows: usize, units: &[Span]) -> Diagnostic {
    let first = units.first().copied().unwrap_or_default();
    let of = match rows {
        1 => "this row has".to_owned(),
        count => format!("{count} rows of this table have"),
    };
    let units_of = unit.map_or("a unit".to_owned(), |unit| format!("the unit `{unit}`"));
    let mut told = Code::CellCount
        .at(
            first,
            format!("{of} {units_of} behind the number, which stands in the heading already"),
        )
        .label("read as if it stood in the heading alone")
        .help("write the number alone")
        .mend("take the units away", first, "", true);
    for mend in &mut told.mends {
        mend.edits = units.iter().map(|unit| (*unit, String::new())).collect();
    }
    told
}

/// Decimal commas of one table, told once with all that is to be changed; everything else as it was.
pub fn commas_together(told: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let is_comma = |told: &Diagnostic| told.code == Code::DecimalComma && told.mends.len() == 1;
    let count = told.iter().filter(|told| is_comma(told)).count();
    if count < 2 {
        return told;
    }
    let edits = told
        .iter()
        .filter(|told| is_comma(told))
        .flat_map(|told| &told.mends);
    let edits: Vec<(Span, String)> = edits.flat_map(|mend| mend.edits.clone()).collect();
    let (mut commas, mut kept): (Vec<Diagnostic>, Vec<Diagnostic>) =
        told.into_iter().partition(is_comma);
    commas.truncate(1);
    for first in &mut commas {
        let numbers = if count == 2 {
            "1 more number".to_owned()
        } else {
            format!("{} more numbers", count - 1)
        };
        first.title = format!(
            "{}, and so {} {numbers} of this table",
            first.title,
            if count == 2 { "has" } else { "have" }
        );
        first.help = Some("write decimal points in all of them".to_owned());
        for mend in &mut first.mends {
            mend.what = "write points".to_owned();
            mend.edits.clone_from(&edits);
        }
    }
    commas.append(&mut kept);
    commas
}

/// A line that begins with a blank that an editor put in, so that nothing in it is found.
pub fn blank_before(found: char, span: Span) -> Diagnostic {
    let title = format!("this line begins with {}", character_name(found));
    Code::EditorCharacter
        .at(span, title)
        .label("inserted by an editor?")
        .help("delete it; until then the line is not read")
        .mend("delete it", span, "", true)
}

/// What a text of the plate may be a slip of.
fn instead_of(told: Diagnostic, span: Span, near: Option<String>) -> Diagnostic {
    match near {
        Some(near) => told.did_you_mean(span, &near, false),
        None => told,
    }
}

/// A standard without tables; perhaps a slip of one that has them.
pub fn standard_unknown(text: &str, span: Span, near: Option<String>) -> Diagnostic {
    instead_of(standard_unlike(text, span), span, near)
}

/// A class without limits; perhaps a slip of one that has them.
pub fn class_unknown(text: &str, span: Span, near: Option<String>) -> Diagnostic {
    instead_of(class_unlike(text, span), span, near)
}

/// `3.40 ohm @ 75 C`: the word between the two is another one.
pub fn at_word(text: &str, span: Span, meant: &str) -> Diagnostic {
    Code::UnitMissing
        .at(span, format!("`{text}` has no `at` between its two values"))
        .label("expected `… at …`")
        .instead(span, meant, true)
}

/// `18.0 +/- 1 C`.
pub fn half_width(text: &str, span: Span, meant: &str) -> Diagnostic {
    Code::NumberUnreadable
        .at(span, format!("the half-width in `{text}` has another sign"))
        .label("expected +-")
        .instead(span, meant, true)
}

/// Rows whose cells are parted by `;` or `,`; told once for a table, at the first of them.
pub fn cells_parted(mark: char, rows: &[Span], marks: &[Span]) -> Diagnostic {
    let first = rows.first().copied().unwrap_or_default();
    let of = match rows.len() {
        1 => "this row".to_owned(),
        count => format!("these {count} rows"),
    };
    let mut told = Code::CellCount
        .at(first, format!("the cells of {of} are parted by `{mark}`"))
        .label("read as if blanks parted them")
        .help(format!(
            "write blanks, tabs or | between cells, as in the heading, and no `{mark}`"
        ))
        .mend("write blanks", first, "", true);
    for mend in &mut told.mends {
        mend.edits = marks.iter().map(|mark| (*mark, " ".to_owned())).collect();
    }
    told
}

/// Keys of another section, one after the other: its opening line is lost.
pub fn section_lost(words: &[&str], span: Span, here: &str, other: &Section) -> Diagnostic {
    let name = other.name;
    let example = match other.argument {
        Argument::Visit => " 2026-03-14",
        Argument::Since => " since 2026-03-10",
        Argument::NewCore => " 1S",
        Argument::CoreSince => " 1S since 2026-03-10",
        Argument::None | Argument::OfVisit | Argument::Pair => "",
    };
    Code::KeyUnknown
        .at(span, format!("these {} lines belong to [{name}], not to [{here}]", words.len()))
        .label(format!("is the line [{name}{example}] lost?"))
        .help(format!(
            "write [{name}{example}] above them ({}); until then nothing from here to the next such line is judged",
            list(words.iter().copied())
        ))
}

/// `text` is the row: a comment in it that is none is told as the cause.
pub fn cell_count(
    text: &str,
    span: Span,
    found: usize,
    expected: usize,
    heading: Span,
) -> Diagnostic {
    let cells = |n: usize| format!("{n} cell{}", if n == 1 { "" } else { "s" });
    let title = format!(
        "this row has {}, its heading has {}",
        cells(found),
        cells(expected)
    );
    let told = Code::CellCount
        .at(span, title)
        .label(format!("expected {}", cells(expected)))
        .other(heading, "the heading");
    match text.find(" #") {
        Some(at) => {
            let hash = Span::new(span.range().start + at + 1, span.range().start + at + 2);
            told.help("a comment has a space on both sides of its #")
                .mend("write a space", hash, "# ", true)
        }
        None => told.help("write - for a reading that was not taken; if a cell contains spaces, put | between all cells"),
    }
}

/// Rows of one table, of which none has the cells of its heading: told once, of the heading; everything else
/// as it was.
pub fn counts_together(told: Vec<Diagnostic>, heading: Span) -> Vec<Diagnostic> {
    // One that says what to change in its row is a slip of that row.
    let is_count = |told: &Diagnostic| told.code == Code::CellCount && told.mends.is_empty();
    let count = told.iter().filter(|told| is_count(told)).count();
    if count < 2 {
        return told;
    }
    let (counts, mut kept): (Vec<Diagnostic>, Vec<Diagnostic>) =
        told.into_iter().partition(is_count);
    let first = counts.into_iter().next();
    kept.extend(first.map(|first| {
        let row = first.span;
        let title = format!("none of the {count} rows of this table has the cells of its heading: {}", first.title);
        Code::CellCount
            .at(heading, title)
            .label("the heading of these rows")
            .other(row, "the first of them")
            .help("give the heading a column for each cell of a row, or write - for a reading that was not taken; if a cell contains spaces, put | between all cells")
    }));
    kept
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
        NumberFault::Thousands { meant } => {
            unreadable(format!("`{text}` has marks between its thousands"))
                .label("expected digits and a decimal point")
                .instead(span, meant, false)
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
        NumberFault::NotANumber if counted(text).is_some() => {
            unreadable(format!("`{text}` is a word"))
                .label("expected digits")
                .instead(span, &counted(text).unwrap_or_default(), true)
        }
        NumberFault::NotANumber => unreadable(format!("`{text}` is not a number"))
            .label("expected a number")
            .help("write digits with a decimal point, such as 100.3; write - for a reading that was not taken"),
        NumberFault::TooLarge => {
            unreadable(format!("`{text}` is larger than any measured value"))
                .label("too large")
                .help("check the exponent")
        }
        NumberFault::TooSmall => {
            unreadable(format!("`{text}` is smaller than any measured value"))
                .label("too small")
                .help("check the exponent; write 0 for nothing at all")
        }
    }
}

/// `four` as `4`.
fn counted(text: &str) -> Option<String> {
    let words = "one two three four five six seven eight nine ten";
    let at = words
        .split(' ')
        .position(|word| word.eq_ignore_ascii_case(text))?;
    Some((at + 1).to_string())
}

/// `> 200` as `>200`.
fn without_spaces(text: &str) -> Option<String> {
    let joined = text.replace([' ', '\t'], "");
    (joined != text && number::read(&joined).is_ok()).then_some(joined)
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

/// `Mohm (a million ohm)`: with its size, where another one differs by the case of a letter alone.
fn sized(unit: &UnitWord) -> String {
    let word = unit.word.as_str();
    let prefix = word.chars().next().filter(|_| word.chars().count() > 1);
    let size = match prefix {
        Some('T') => "million million",
        Some('G') => "thousand million",
        Some('M') => "a million",
        Some('k') => "a thousand",
        Some('m') => "a thousandth",
        Some('u' | 'µ' | 'μ') => "a millionth",
        Some('n') => "a thousand-millionth",
        _ => return word.to_owned(),
    };
    format!("{word} ({size})")
}

pub fn unit_case(word: &str, span: Span, readings: &[&'static UnitWord]) -> Diagnostic {
    // The one that differs in fewest letters comes first.
    let off = |unit: &&UnitWord| {
        let pairs = unit.word.chars().zip(word.chars());
        pairs.filter(|(known, written)| known != written).count()
    };
    let mut readings = readings.to_vec();
    readings.sort_by_key(off);
    let names: Vec<&str> = readings.iter().map(|unit| unit.word.as_str()).collect();
    let sized: Vec<String> = readings.iter().map(|unit| sized(unit)).collect();
    let found = Code::UnitCase
        .at(span, format!("`{word}` has the wrong upper/lower case"))
        .label("case matters in units")
        .help(match names.as_slice() {
            [one] => format!("write {one}"),
            _ => format!("write {}", one_of(sized.iter().map(String::as_str))),
        });
    names.iter().fold(found, |found, name| {
        found.mend(format!("write {name}"), span, *name, names.len() == 1)
    })
}

/// `safe` where nothing of weight hangs on which of its words it is.
pub fn word_unknown(
    word: &str,
    span: Span,
    choices: &[&'static str],
    (of, safe): (&str, bool),
) -> Diagnostic {
    let found = Code::WordUnknown
        .at(span, format!("`{of}` cannot be `{word}`"))
        .label("not one of its words");
    match nearest(word, choices.iter().copied()) {
        Some(near) => found.did_you_mean(span, near, safe),
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
    let told = Code::DateUnreadable
        .at(span, format!("`{text}` is not a date"))
        .label("expected year-month-day");
    let days: Vec<String> = date::meant(text).iter().map(Date::to_string).collect();
    match days.as_slice() {
        [] => told.help("write dates like 2026-03-14"),
        [only] => told.instead(span, only, true),
        _ => days.iter().fold(
            told.help(format!("write {}", one_of(days.iter().map(String::as_str)))),
            |told, day| told.mend(format!("write {day}"), span, day, false),
        ),
    }
}

/// What is wrong with the day of a visit takes the whole visit with it.
pub fn visit_hidden(told: Diagnostic) -> Diagnostic {
    let help = told.help.clone().unwrap_or_default();
    told.help(format!(
        "{help}; until then nothing of this visit is judged"
    ))
}

pub fn ratio(text: &str, span: Span, fault: RatioFault) -> Diagnostic {
    match fault {
        RatioFault::Zero => Code::RatioZero
            .at(span, format!("the ratio `{text}` has a zero in it"))
            .label("no current transformer has this ratio")
            .help("write rated primary and secondary current, such as 600/1 A or 1200:5"),
        RatioFault::Reversed => Code::RatioUnreadable
            .at(
                span,
                format!("the ratio `{text}` has its secondary current first"),
            )
            .label("the primary current comes first")
            .help("write rated primary, then rated secondary current, such as 600/1 A or 1200:5"),
        RatioFault::Form => Code::RatioUnreadable
            .at(span, format!("`{text}` is not a ratio"))
            .label("expected rated primary/secondary current")
            .help("write it like 600/1 A or 1200:5"),
    }
}

/// An input that the plate does not have.
pub fn input_unknown<'a>(
    name: &str,
    span: Span,
    known: impl Iterator<Item = &'a str>,
) -> Diagnostic {
    let known: Vec<&str> = known.collect();
    let told = Code::InputUnknown
        .at(span, format!("there is no input `{name}`"))
        .label("unknown input");
    match known.is_empty() {
        true => told.help("this CT has one primary; a summation CT has its inputs in the ratio of its core: ratio: 5+5/1 A"),
        false => told.help(format!(
            "inputs of this record: {}; or `all` where they were in series",
            list(known)
        )),
    }
}

/// So many rows of inputs, and so many currents in the ratio.
pub fn inputs_differ((rows, currents): (usize, usize), ratio: Span, row: Span) -> Diagnostic {
    Code::InputsDiffer
        .at(
            row,
            format!("the table has {rows} inputs, and the ratio adds up {currents}"),
        )
        .label("first input")
        .other(ratio, "the ratio")
        .help("give each input one row, in the order of the ratio's currents")
}

/// A position of the primary links that the plate does not have.
pub fn links_unknown(name: &str, span: Span, plate: Span, known: &[&str]) -> Diagnostic {
    let told = Code::WordUnknown
        .at(span, format!("the plate has no links position `{name}`"))
        .label("unknown position")
        .other(plate, "the positions");
    match nearest(name, known.iter().copied()) {
        Some(near) => told.did_you_mean(span, near, false),
        None => told.help(format!("write {}", one_of(known.iter().copied()))),
    }
}

/// What stands behind `fed by:` and is no core.
pub fn feeder_unreadable(text: &str, span: Span) -> Diagnostic {
    Code::FeederUnreadable
        .at(span, format!("`{text}` is not a core of a main CT"))
        .label("expected id and core")
        .help("write the id of the main CT and its core, as in its own record: fed by: BRW-26-00207 1S")
}

/// Of a summation CT several cores feed the inputs.
pub fn feeder_of_inputs(span: Span, ratio: Span) -> Diagnostic {
    Code::FeederUnreadable
        .at(span, "a summation CT is fed by a core at each input, and `fed by` names one")
        .label("one core for all inputs")
        .other(ratio, "the inputs")
        .help("leave `fed by` out; the table of inputs in [ct] takes the ratio of the main CT of each")
}

/// `deg C`.
pub fn unit_parted(word: &str, span: Span, meant: &str) -> Diagnostic {
    Code::UnitUnknown
        .at(span, format!("the unit `{word}` is written in two words"))
        .label("one word")
        .instead(span, meant, true)
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

/// `mark` is what parts the cells, where nothing may: it does so in the rows as well.
pub fn heading_form(span: Span, meant: &str, mark: Option<char>) -> Diagnostic {
    let rows =
        mark.map(|mark| format!("; in the rows, too, blanks part the cells, and no `{mark}`"));
    Code::HeadingForm
        .at(span, "this heading is not written as quantity/unit")
        .label("read as a heading")
        .help(format!("write `{meant}`{}", rows.unwrap_or_default()))
        .mend(format!("write {meant}"), span, meant, true)
}

pub fn editor_character(found: char, meant: &str, span: Span) -> Diagnostic {
    let title = format!("{} in place of a plain character", character_name(found));
    Code::EditorCharacter
        .at(span, title)
        .label("inserted by an editor?")
        .help(format!("write `{meant}`"))
        .mend(format!("write {meant}"), span, meant, true)
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

// Papers of a visit.
told! {
    sum_unreadable(count: usize, span: Span) = SumUnreadable(span)
        "this is no SHA-256: {count} characters, where 64 hexadecimal digits belong",
        "expected 64 digits, 0-9 and a-f",
        "write what `sha256sum FILE` prints, or `-`; then the program tells the sum";
    attachment_nameless(span: Span) = AttachmentMissing(span)
        "this row of attachments names no file",
        "no file",
        "write the file's name, or delete the row";
    attachment_outside(span: Span) = AttachmentOutside(span)
        "this attached file does not lie in the folder of the record, or below",
        "not looked at",
        "put the file there, and write its path from the folder of the record, with forward slashes and without `..`";
    attachment_hidden(span: Span) = AttachmentOutside(span)
        "a part of the path of this attached file begins with a dot",
        "hidden, and not looked at",
        "what is hidden belongs to programs: put the file beside the record, under a name that does not begin with a dot";
    attachment_backslash(span: Span, meant: &str) = AttachmentOutside(span)
        "the parts of this path are parted by `\\`",
        "not looked at",
        "write `{meant}`: forward slashes part the folders, wherever the record is read";
    attachment_twice(again: Span, first: Span) = AttachmentTwice(again, first "first here")
        "this attached file is named twice with different sums",
        "again here",
        "one file has one sum: give the second picture a name of its own";
    sign_off_incomplete(word: &str, span: Span) = SignOffIncomplete(span)
        "this signature has no `{word}`",
        "not stated",
        "write what was signed, who signed, and when; or delete the row";
    sign_off_early(signed: Date, visit: Date, at: Span, of: Span) = SignOffEarly(at, of "the visit")
        "signed on {signed}, before the visit of {visit}",
        "before the visit",
        "nobody signs for what is to come: check both days";
    sign_off_stage(stage: &str, at: Span, visit: Span) = SignOffStage(at, visit "the visit")
        "no test of this visit says `stage: {stage}`",
        "covers nothing",
        "write `visit` to sign for all of it, or `stage: {stage}` in the tests that are meant";
    /// `what` is "was taken" or "was amended".
    after_signature(name: &str, what: &str, on: &Located<Date>, signed: &Located<Date>) = AfterSignOff(at, by "signed here")
        where { (when, at) = (on.value, on.span); (day, by) = (signed.value, signed.span); }
        "this {name} {what} on {when}, after the signature of {day} that covers it",
        "after the sign-off",
        "nobody has signed for it as it is now: have it signed again, or check both days";
    after_sign_off(name: &str, test: Span, signed: Span) = AfterSignOff(test, signed "signed here")
        "this {name} stands below the signature that covers it",
        "after the sign-off",
        "the order of the file is the order of the work: have it signed again below, or put the lines in their order";
}

// The order of the work.
told! {
    row_again(test: &Test, at: &str, again: Span, first: Span) = RowAgain(again, first "first here")
        where {
            name = test.kind.name();
            is_link = test.test_links().is_some();
            (of, what, read) = match is_link {
                true => (format!("of one core and link, {at}"), "link", "moved"),
                false => (format!("of one core at {at}"), "place", "read"),
            };
            // What is left already is tested again.
            stage = match test.stage.value() {
                Some(Stage::AsLeft | Stage::Retest) => "retest",
                Some(Stage::AsFound) | None => "as left",
            };
        }
        "[{name}] has two rows {of}",
        "again here",
        "correct the core or the {what} of one of them; where it was {read} again, write it in a section of its own with `stage: {stage}`";
    opened_live(name: &str, test: Span, load: Span) = PrimaryLive(test, load "current of the primary, read here")
        "[{name}] opens the circuit or lifts its earth, and the primary carries load by the record",
        "the primary is live",
        "an open secondary under primary current can kill: the primary is dead, isolated and earthed first. The order of the file is the order of the work: put it above the load, or into a visit of its own with its `outage:` or `permit:`; what was done otherwise, and why, is a `deviation:` of the visit";
    load_early(name: &str, test: Span, purpose: Span) = PrimaryLive(test, purpose "before it is energised")
        "[{name}] is read with the current of the network, at a visit before energising",
        "the primary is live",
        "nobody works on the circuits of a live primary: write the reading into a visit with `purpose: after energising`, or `method: primary injection` where a source drove the current";
}

/// A reading written in one unit, as it would be in another; nothing where it was written in none of the two.
fn other_unit(read: &Quantity, written: &str, meant: &str) -> Option<String> {
    let is_it = read.unit.canonical == written;
    is_it.then(|| format!("{} {meant}", read.written_number()))
}

/// What was found stands behind what was left.
pub fn stage_order(name: &str, found: Span, left: Span) -> Diagnostic {
    Code::StageOrder
        .at(found, format!("this {name} as found stands below the one as left"))
        .label("found")
        .other(left, "left")
        .help("put them in the order of the work, or exchange the words of `stage:`: the last reading is the one that counts")
}
