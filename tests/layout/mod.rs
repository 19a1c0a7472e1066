//! `kneemark fmt`: what is written stays, how it stands becomes even.

mod command;
mod laws;

use kneemark::ground::source::Source;
use kneemark::layout::{LaidOut, lay_out};

/// A text laid out; all of it could be.
fn even(text: &str) -> String {
    let LaidOut { text, left } = of(text);
    assert!(left.is_empty(), "{left:?} of {text}");
    text
}

fn of(text: &str) -> LaidOut {
    lay_out(&Source::new("t.ctr", text.as_bytes()).0)
}

/// What it becomes, and that it stays so.
fn becomes(before: &str, after: &str) {
    assert_eq!(even(before), after);
    assert_eq!(even(after), after);
}

const PLATE: &str = "format: 1\n[ct]\nid: A1\nstandard: IEC 61869-2:2012\n[core 1S]\nratio: 600/1 A\n[visit 2026-03-14]\n";

/// The lines of a section below a plate, and what they become.
fn lines_become(before: &str, after: &str) {
    becomes(&[PLATE, before].concat(), &[PLATE, after].concat());
}

#[test]
fn fields_and_sections_have_one_blank_where_one_is_meant() {
    becomes(
        "format:   1  \n\n [ct]\nid:\tA1\n  maker:  Brandal  Ring Works \n[ core   1S ]\nratio: 600/1 A\n",
        "format: 1\n\n[ct]\nid: A1\nmaker: Brandal  Ring Works\n[core 1S]\nratio: 600/1 A\n",
    );
}

#[test]
fn units_have_one_spelling_and_digits_stay() {
    lines_become(
        "ambient: 18.50 ± 1 °C\nhumidity: 61%\n[self-check]\nleads: 0.0120Ω\n[resistance 1S1-1S2]\ntemperature: 18.5C\ncurrent/A  voltage/V\n1.000  2.8100\n",
        "ambient: 18.50 ± 1 C\nhumidity: 61 %\n[self-check]\nleads: 0.0120 ohm\n[resistance 1S1-1S2]\ntemperature: 18.5 C\ncurrent/A  voltage/V\n1.000      2.8100\n",
    );
    // Of a time it is the minute, of an angle the minute of arc.
    lines_become(
        "[ratio 1S1-1S2]\nprimary/A  secondary/A  phase/min\n600  1.0012  -3.2\n",
        "[ratio 1S1-1S2]\nprimary/A  secondary/A  phase/arcmin\n600        1.0012       -3.2\n",
    );
    lines_become(
        "[withstand]\nbetween voltage/kV time/min result\nprimary to cores and earth 28 1 held\n",
        "[withstand]\nbetween                     voltage/kV  time/min  result\nprimary to cores and earth  28          1         held\n",
    );
}

#[test]
fn columns_stand_under_each_other_and_decimal_points_too() {
    lines_become(
        "[excitation 1S1-1S2]\nvoltmeter: mean\nvoltage/V current/mA\n25.0 1.31 # the first\n# in between\n\n100.30 2.84\n 300 >7.4\n350.2 -\n1250.1 41.8\n",
        "[excitation 1S1-1S2]\nvoltmeter: mean\nvoltage/V  current/mA\n  25.0      1.31              # the first\n# in between\n\n 100.30     2.84\n 300       >7.4\n 350.2      -\n1250.1     41.8\n",
    );
}

#[test]
fn what_parts_the_cells_stays() {
    lines_become(
        "[excitation 1S1-1S2]\nvoltmeter: mean\n|voltage/V|current/mA|\n|---|---|\n|25.0|1.31|\n|100.3||\n",
        "[excitation 1S1-1S2]\nvoltmeter: mean\n| voltage/V | current/mA |\n|---|---|\n|  25.0     | 1.31       |\n| 100.3     |            |\n",
    );
    lines_become(
        "[excitation 1S1-1S2]\nvoltmeter: mean\nvoltage/V\tcurrent/mA\n 25.0 \t 1.31\n100.3\t\n",
        "[excitation 1S1-1S2]\nvoltmeter: mean\nvoltage/V\tcurrent/mA\n25.0\t1.31\n100.3\t\n",
    );
}

#[test]
fn what_is_not_understood_stays_and_the_rest_is_laid_out() {
    // A cell too many, a strange line, a section of no such name.
    lines_become(
        "[excitation 1S1-1S2]\nvoltmeter: mean\nvoltage/V current/mA\n25.0 1.31\n  100.3   2.84  7\n  the lights   went out\n200.2 4.53\n[exitation 1S1-1S2]\n  anything   goes\nkey:  value\n",
        "[excitation 1S1-1S2]\nvoltmeter: mean\nvoltage/V  current/mA\n 25.0      1.31\n  100.3   2.84  7\n  the lights   went out\n200.2      4.53\n[exitation 1S1-1S2]\n  anything   goes\nkey: value\n",
    );
    // A heading with a word that is no column.
    lines_become(
        "[excitation 1S1-1S2]\nvoltmeter: mean\nvolts/V   current/mA\n25.0    1.31\n",
        "[excitation 1S1-1S2]\nvoltmeter: mean\nvolts/V   current/mA\n25.0    1.31\n",
    );
}

#[test]
fn a_remark_stands_in_its_column_and_a_comment_at_the_margin() {
    becomes(
        "format: 1\n[ct]\nid: A1 # one\n   # a comment # of two marks\nserial: 1234567890-1234567890-1234 # far\n",
        "format: 1\n[ct]\nid: A1                        # one\n# a comment # of two marks\nserial: 1234567890-1234567890-1234  # far\n",
    );
}

#[test]
fn line_ends_stay_and_the_last_line_gets_one() {
    becomes(
        "format:  1\r\n[ct]\r\nid: A1\n",
        "format: 1\r\n[ct]\r\nid: A1\n",
    );
    assert_eq!(
        even("format: 1\n[ct]\nid:  A1"),
        "format: 1\n[ct]\nid: A1\n"
    );
}

#[test]
fn what_cannot_be_read_at_all_stays() {
    for text in ["[ct]\rid:  A1\n", "[ct]\0\n id: A1"] {
        assert_eq!(of(text).text, text);
    }
}

/// A value that is not read keeps its units as they are, and its neighbours are laid out.
#[test]
fn units_of_what_is_not_read_stay() {
    lines_become(
        "ambient:  18.5 °C\n[self-check]\nratio of 1:   1.0000\nleads: 490Ω V\n",
        "ambient: 18.5 C\n[self-check]\nratio of 1: 1.0000\nleads: 490Ω V\n",
    );
}
