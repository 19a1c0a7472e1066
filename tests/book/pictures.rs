//! The pictures of the book: charts of its records, connection sketches, the decision rule. Each is
//! held to its file like a page.

use super::chart;
use super::compiled::{Compiled, of_chapter};
use super::sketch::{At, Sketch};
use super::{file, same};
use kneemark::chart::STYLE;
use kneemark::judge::decision::{Requirement, Word, decide};
use kneemark::record::criteria::DecisionRule;
use std::fmt::Write as _;

/// Holds a picture to its file. A browser shows nothing of a drawing with an attribute given twice or a tag
/// left open.
fn picture(name: &str, svg: &str) {
    let mut open = Vec::new();
    for tag in svg
        .split('<')
        .skip(1)
        .filter_map(|rest| rest.split('>').next())
    {
        let word = tag.split([' ', '/']).find(|word| !word.is_empty()).unwrap();
        let mut attributes: Vec<&str> = tag
            .split("=\"")
            .filter_map(|part| part.rsplit([' ', '"']).next())
            .collect();
        attributes.pop();
        let count = attributes.len();
        attributes.sort_unstable();
        attributes.dedup();
        assert_eq!(
            attributes.len(),
            count,
            "{name}: an attribute twice in {tag}"
        );
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(word), "{name}");
        } else if !tag.ends_with('/') {
            open.push(word);
        }
    }
    assert!(open.is_empty(), "{name}: {open:?} left open");
    same(&format!("images/{name}.svg"), svg);
}

#[test]
fn the_charts_are_those_of_the_reports() {
    for (name, chapter, kind) in [
        ("excitation", "tests/excitation.md", "excitation-1"),
        ("residual", "tests/demagnetisation.md", "excitation-1"),
        ("limit", "tests/protection.md", "excitation-1"),
        ("ratio-error", "tests/metering.md", "ratio-error-1"),
        ("phase", "tests/metering.md", "phase-1"),
        ("waveform", "tests/duty.md", "wave-1"),
    ] {
        picture(name, &chart::of_report(&of_chapter(chapter, 0), kind, name));
    }
    let burden = of_chapter("tests/burden.md", 0);
    picture("factor", &chart::least_factor(&burden, "factor"));
}

#[test]
fn the_sketches_are_drawn() {
    let insulation = Sketch::new(
        "Insulation resistance of one core",
        "The tester stands between core 1S, its terminals tied, and earth. The primary and the other core are earthed.",
    );
    let insulation = insulation
        .core("1S", &["1S1", "1S2"])
        .core("2S", &["2S1", "2S2"])
        .primary(["P1", "P2"]);
    let insulation = insulation
        .at("2S2", At::Earth)
        .at("P1", At::Earth)
        .at("P2", At::Earth);
    picture(
        "insulation",
        &insulation
            .short("1S1", "1S2")
            .short("2S1", "2S2")
            .tester("1S2", "tester")
            .svg(),
    );
    let resistance = Sketch::new(
        "Winding resistance with four wires",
        "The source drives the whole winding 1S1-1S3; the voltmeter is clipped inside the source's clips; the tap is open.",
    );
    let resistance = resistance
        .core("1S", &["1S1", "1S2", "1S3"])
        .primary(["P1", "P2"])
        .at("1S2", At::Open("open"));
    let resistance = resistance.at("P1", At::Open("open")).at("P2", At::Earth);
    picture(
        "resistance",
        &resistance
            .link("1S1", "1S3", 1, "voltmeter")
            .link("1S1", "1S3", 2, "source")
            .svg(),
    );
    let kick = Sketch::new(
        "Polarity by battery",
        "The battery's plus touches P1; the meter's plus is on the lower secondary terminal.",
    );
    let kick = kick
        .core("1S", &["1S1", "1S2"])
        .core("2S", &["2S1", "2S2"])
        .primary(["P1", "P2"])
        .short("2S1", "2S2");
    picture(
        "kick",
        &kick
            .link("P1", "P2", 1, "battery")
            .link("1S1", "1S2", 1, "meter")
            .at("2S2", At::Earth)
            .svg(),
    );
    let ratio = Sketch::new(
        "Ratio by voltage on five terminals",
        "The source drives X1-X5; one voltmeter reads X1-X5, then each section, the other the primary. X2 to X4 are open.",
    );
    let mut ratio = ratio
        .core("X", &["X1", "X2", "X3", "X4", "X5"])
        .primary(["H1", "H2"])
        .at("H2", At::Earth);
    for mark in ["X2", "X3", "X4"] {
        ratio = ratio.at(mark, At::Open("open"));
    }
    let ratio = ratio
        .link("X1", "X5", 1, "voltmeter")
        .link("X1", "X5", 2, "source")
        .link("H1", "H2", 1, "voltmeter");
    picture("ratio", &ratio.svg());
    let burden = Sketch::new(
        "Burden of the circuit, CT off",
        "Source and voltmeter stand at the terminals of the outgoing circuit.",
    );
    let burden = burden
        .terminals(["1S1", "1S2"])
        .link("1S1", "1S2", -1, "circuit");
    let burden = burden
        .link("1S1", "1S2", 1, "source")
        .link("1S1", "1S2", 2, "voltmeter");
    picture("burden", &burden.svg());
}

/// The four words along a value that rises through an upper limit, as the program decides them.
#[test]
fn the_decision_rule_is_drawn_as_decided() {
    let word = |value: f64| match decide(
        value,
        Some(10.0),
        &Requirement::at_most(100.0),
        DecisionRule::GuardBand { factor: 1.0 },
        false,
    ) {
        Ok(word) => word,
        Err(why) => panic!("{why:?}"),
    };
    let x = |value: f64| (800.0 + (value - 75.0) * 240.0).round();
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"curve\" viewBox=\"0 0 13600 3400\" width=\"136mm\" height=\"34mm\" role=\"img\" \
         font-family=\"sans-serif\" font-size=\"300\" fill=\"currentColor\"><title>Guard band and four words</title>\
         <desc>Along a value that rises through an upper limit T: pass, conditional pass, conditional fail, fail.</desc>\
         <style>{STYLE}</style>\n"
    );
    let (mut from, mut bands) = (75.0, Vec::new());
    for n in 751..=1250 {
        let value = f64::from(n) / 10.0;
        if n == 1250 || word(value + 0.05) != word(from + 0.05) {
            bands.push((from, value, word(from + 0.05)));
            from = value;
        }
    }
    assert_eq!(bands.len(), 4, "{bands:?}");
    for (n, (from, to, word)) in bands.iter().enumerate() {
        let (a, b) = (x(*from), x(*to));
        let opacity = [".06", ".14", ".26", ".4"][n];
        let _ = writeln!(
            out,
            "<rect x=\"{a}\" y=\"900\" width=\"{}\" height=\"900\" fill-opacity=\"{opacity}\"/>",
            b - a
        );
        let _ = writeln!(
            out,
            "<text x=\"{}\" y=\"1450\" text-anchor=\"middle\">{}</text>",
            (a + b) / 2.0,
            short(*word)
        );
    }
    for (value, name) in [(90.0, "T − w"), (100.0, "T"), (110.0, "T + w")] {
        let at = x(value);
        let _ = writeln!(
            out,
            "<path fill=\"none\" stroke=\"currentColor\" stroke-width=\"32\" d=\"M{at} 700V2000\"/>"
        );
        let _ = writeln!(
            out,
            "<text x=\"{at}\" y=\"2450\" text-anchor=\"middle\">{name}</text>"
        );
    }
    out.push_str("<text x=\"6800\" y=\"3100\" text-anchor=\"middle\">value, upper limit T; w = guard × U</text></svg>\n");
    picture("decision", &out);
}

fn short(word: Word) -> &'static str {
    word.text()
}

/// The indented record of the README compiles, and its curve is the picture beside it.
#[test]
fn the_curve_of_the_readme_is_that_of_its_record() {
    let readme = std::fs::read_to_string(file("README.md")).unwrap();
    let lines = readme
        .lines()
        .skip_while(|line| *line != "    format: 1")
        .take_while(|line| line.starts_with("    "));
    let record: String = lines.map(|line| format!("{}\n", &line[4..])).collect();
    let compiled = Compiled::new(&record, None);
    assert!(compiled.unit().record.cores.len() == 1 && compiled.of_rule("knee-iec").len() == 1);
    same(
        "curve.svg",
        &chart::of_report(&compiled, "excitation-1", "readme"),
    );
    assert!(readme.contains("](book/src/curve.svg)"));
}
