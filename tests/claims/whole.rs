//! A pass needs every proof: without one of its tests, a point or an end of its class nothing passes.

use super::{closing, records, said};
use kneemark::ground::seam::Memory;
use std::path::Path;

const WHOLE: &str = "tests/claims/whole";

fn word(name: &str, text: &str) -> &'static str {
    let files = Memory::default();
    let instruments = std::fs::read_to_string(format!("{WHOLE}/instruments.toml"));
    files.put("instruments.toml", instruments.expect("the instruments"));
    files.put(name, text);
    let job = kneemark::compile(&files, &[name.into()]);
    let id = text.lines().find_map(|line| line.strip_prefix("id: "));
    closing(&said(&job), id.unwrap_or("-"), "transformer")
}

/// What may be left out, and why; by record, `` for all.
const REDUNDANT: &[(&str, &str, &str)] = &[
    ("", "polarity", "the phase of the ratio shows it"),
    (
        "",
        "demagnetisation",
        "not asked of a maker's test: the curve would show what was left on the core",
    ),
    ("extended", "ratio", BY_CURRENT),
    ("measuring", "ratio", BY_CURRENT),
    ("special", "ratio", BY_CURRENT),
    ("ieee-metering", "ratio", BY_CURRENT),
    ("pr", "ratio", BY_CURRENT),
    ("tpx", "ratio", BY_CURRENT),
    ("tpy", "ratio", BY_CURRENT),
    ("tpz", "ratio", BY_CURRENT),
    ("post", "ratio", BY_CURRENT),
    ("p", "ratio: S1-S3", BY_CURRENT),
    ("ieee-c", "ratio: X1-X5", BY_CURRENT),
    (
        "extended",
        "ratio by current: 120",
        "its limits hold up to the extended current, which was read",
    ),
    (
        "ieee-c",
        "ratio by current: phase",
        "the class limits the ratio error only",
    ),
    (
        "ieee-metering",
        "resistance",
        "the class promises nothing by it",
    ),
    (
        "ieee-metering",
        "excitation",
        "the class promises nothing by it",
    ),
    ("pxr", "remanence", "a type test, asked at no visit"),
];

const BY_CURRENT: &str = "the ratio of this pair is shown by current as well";

fn is_redundant(name: &str, what: &str) -> bool {
    let is = |one: &(&str, &str, &str)| (one.0.is_empty() || one.0 == name) && one.1 == what;
    REDUNDANT.iter().any(is)
}

/// A record of less, and what is left out of it.
struct Less {
    what: String,
    text: String,
    /// Part of a proof, not a reading beside others.
    is_proof: bool,
}

/// The record without each of its test sections, without each row of a reading, and each run by current
/// without its phase or at another power factor.
fn without(text: &str) -> Vec<Less> {
    let lines: Vec<&str> = text.lines().collect();
    let visit = lines.iter().position(|line| line.starts_with("[visit"));
    let starts: Vec<usize> = lines
        .iter()
        .enumerate()
        .filter(|(at, line)| Some(*at) > visit && line.starts_with('['))
        .map(|(at, _)| at)
        .collect();
    let mut found = Vec::new();
    for (index, from) in starts.iter().enumerate() {
        let to = starts.get(index + 1).copied().unwrap_or(lines.len());
        let section = &lines[*from..to];
        let by_current = section.contains(&"method: current");
        let kind = lines[*from].trim_matches(['[', ']']);
        let kind = kind.split(' ').next().unwrap_or_default();
        let name = format!("{kind}{}", if by_current { " by current" } else { "" });
        // A whole text in which these lines stand for the section.
        let instead = |kept: Vec<String>| {
            let before = lines[..*from].iter().map(|line| line.to_string());
            let after = lines[to..].iter().map(|line| line.to_string());
            let all = before.chain(kept).chain(after);
            all.map(|line| format!("{line}\n")).collect::<String>()
        };
        let mut add = |what: String, kept: Vec<String>, is_proof| {
            found.push(Less {
                what,
                text: instead(kept),
                is_proof,
            });
        };
        add(name.clone(), Vec::new(), true);
        let heading = section.iter().position(|line| {
            let starts = ["between", "on ", "rated/%", "input", "voltage/kV"];
            line.contains("/V ") || starts.iter().any(|start| line.starts_with(start))
        });
        let is_row = |at: usize| Some(at) > heading && heading.is_some() && !section[at].is_empty();
        let by_tap = kind == "ratio" && heading.is_some_and(|at| section[at].starts_with("on "));
        let each = |change: &dyn Fn(usize, &str) -> Option<String>| {
            let lines = section.iter().enumerate();
            lines.filter_map(|(at, line)| change(at, line)).collect()
        };
        for row in (0..section.len()).filter(|at| is_row(*at)) {
            let rest = each(&|at, line| (at != row).then(|| line.to_string()));
            let what = section[row].split_whitespace().next().unwrap_or_default();
            let voltage = ["withstand", "inter-turn", "partial-discharge"].contains(&kind);
            let is_proof = by_current || by_tap || voltage;
            add(format!("{name}: {what}"), rest, is_proof);
        }
        if !by_current {
            continue;
        }
        let less = each(&|at, line| {
            let cells: Vec<&str> = line.split_whitespace().collect();
            let is_cells = is_row(at) || Some(at) == heading;
            Some(match cells.as_slice() {
                [before @ .., _] if is_cells && before.len() > 1 => before.join("  "),
                _ => line.to_string(),
            })
        });
        add(format!("{name}: phase"), less, true);
        let other = each(&|_, line| {
            let burden = line.strip_prefix("burden: ").map(|_| match line {
                "burden: B-2" => "burden: 50 VA at 0.90".to_owned(),
                "burden: B-0.5" => "burden: 12.5 VA at 0.50".to_owned(),
                line if line.ends_with(" ohm") => format!("{line} at 0.80"),
                line if line.ends_with("0.80") => line.replace("0.80", "1.00"),
                line => line.replace("1.00", "0.80"),
            });
            Some(burden.unwrap_or_else(|| line.to_owned()))
        });
        add(format!("{name}: its power factor"), other, true);
    }
    found
}

#[test]
fn what_proves_everything_passes_and_nothing_less_does() {
    let (mut all, mut out) = (Vec::new(), String::new());
    records(Path::new(WHOLE), &mut all);
    for path in all {
        let name = path
            .file_stem()
            .and_then(|name| name.to_str())
            .expect("a name");
        let text = std::fs::read_to_string(&path).expect("a record");
        let file = format!("{name}.ctr");
        let whole = word(&file, &text);
        if whole != "pass" {
            out.push_str(&format!("{name}: {whole}\n"));
        }
        for less in without(&text) {
            let word = word(&file, &less.text);
            assert!(word != "nothing", "{name} without {}", less.what);
            let passes = less.is_proof && word == "pass";
            if passes != (less.is_proof && is_redundant(name, &less.what)) {
                out.push_str(&format!("{name} without {}: {word}\n", less.what));
            }
        }
    }
    assert!(out.is_empty(), "{out}");
}
