//! The worked lines of the chapters.
//!
//! A block `ctr` is a record; a block `toml criteria` before it holds its criteria. Behind a record
//! stand blocks about it: `finding RULE [N]` its sentences or the N-th, `remarks RULE` what stands beside them,
//! `budget RULE` the uncertainty budget of the first value, `told CODE` its diagnostics of one code, `history RULE`
//! what its report says of the drift and of the change since the last visit.
//! A block `formula NAME` is a formula as the program states it, and needs no record.
//! These are written by a refresh. A block `by-hand RULE [N]` is arithmetic: each line is an expression,
//! an equals sign and the number that a person got; every line must be right to its last digit, and the
//! last one must be the value of the N-th finding (from 1) in its own unit, or with `U` for N its expanded
//! uncertainty; with `since` the multiple of the last visit's insulation, with `drift` that of the year before.

use super::compiled::Compiled;
use super::{Block, blocks, chapters, refresh};
use crate::formulas::evaluate;
use kneemark::derive::formulas;
use kneemark::judge::words;
use std::fmt::Write as _;

#[test]
fn the_worked_lines_are_recomputed() {
    let (mut worked, mut by_hand) = (0, 0);
    for path in chapters() {
        let markdown = std::fs::read_to_string(&path).unwrap();
        let (mut record, mut criteria): (Option<Compiled>, Option<String>) = (None, None);
        let mut fresh = Vec::new();
        for block in blocks(&markdown) {
            let at = format!("{}: {}", path.display(), block.info);
            match block.info.clone().as_str() {
                "toml criteria" => criteria = Some(block.text.clone()),
                "ctr" => record = Some(Compiled::new(&block.text, criteria.as_deref())),
                info => {
                    let Some((kind, rest)) = info.split_once(' ') else {
                        continue;
                    };
                    if kind == "formula" {
                        let now = formula(rest);
                        fresh.push((block, now, at));
                        continue;
                    }
                    if !["finding", "remarks", "budget", "told", "history", "by-hand"]
                        .contains(&kind)
                    {
                        continue;
                    }
                    let compiled = record
                        .as_ref()
                        .unwrap_or_else(|| panic!("{at}: no record before"));
                    if kind == "by-hand" {
                        check(compiled, &block, rest, &at);
                        by_hand += 1;
                    } else {
                        fresh.push((block, now(compiled, kind, rest), at));
                        worked += 1;
                    }
                }
            }
        }
        hold(&path, &markdown, &fresh);
    }
    assert!(
        worked >= 8 && by_hand >= 10,
        "{worked} worked lines, {by_hand} by hand"
    );
}

/// Holds the blocks to what they should be, or writes them; blocks come in the order of the file.
fn hold(path: &std::path::Path, markdown: &str, fresh: &[(Block, String, String)]) {
    let (mut text, mut rest) = (String::new(), markdown);
    for (block, now, at) in fresh {
        assert!(
            refresh() || block.text == *now,
            "{at} is stale: BOOK_REFRESH=1 cargo test book\n{now}"
        );
        let fence = format!("```{}\n{}```", block.info, block.text);
        let (before, after) = rest.split_once(&fence).unwrap();
        let _ = write!(text, "{before}```{}\n{now}```", block.info);
        rest = after;
    }
    text.push_str(rest);
    if text != markdown {
        std::fs::write(path, text).unwrap();
    }
}

fn now(compiled: &Compiled, kind: &str, rule: &str) -> String {
    match kind {
        "finding" => sentences(compiled, rule),
        "remarks" => remarks(compiled, rule),
        "budget" => budget(compiled, rule),
        "history" => compiled.history_told(rule),
        _ => told(compiled, rule),
    }
}

fn sentences(compiled: &Compiled, rule: &str) -> String {
    let (rule, n) = rule.split_once(' ').map_or((rule, None), |(rule, n)| {
        (rule, Some(n.parse::<usize>().unwrap()))
    });
    let all = compiled.of_rule(rule).into_iter().enumerate();
    let wanted = all.filter(|(at, _)| n.is_none_or(|n| n == at + 1));
    wanted
        .map(|(_, finding)| format!("{}\n", compiled.sentence(finding)))
        .collect()
}

/// A formula with its symbols and its source.
fn formula(name: &str) -> String {
    let all = formulas::all();
    let about = all
        .iter()
        .map(|formula| formula.about())
        .find(|about| about.name == name)
        .unwrap_or_else(|| panic!("no formula {name}"));
    let mut text = format!("{}{}\n", about.text, unit(about.unit, " in "));
    for symbol in about.symbols {
        let _ = writeln!(
            text,
            "  {}: {}{}",
            symbol.name,
            symbol.what,
            unit(symbol.unit, ", ")
        );
    }
    let _ = writeln!(text, "  source: {}", about.source);
    text
}

fn unit(word: &str, before: &str) -> String {
    if word.is_empty() || word == "1" {
        String::new()
    } else {
        format!("{before}{word}")
    }
}

/// Remarks and next steps of a rule's findings, each once.
fn remarks(compiled: &Compiled, rule: &str) -> String {
    let mut lines: Vec<String> = Vec::new();
    for finding in compiled.of_rule(rule) {
        let next = finding.action().map(|next| format!("next: {next}"));
        for line in finding.remarks.iter().map(ToString::to_string).chain(next) {
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    assert!(!lines.is_empty(), "nothing stands beside {rule}");
    lines.iter().map(|line| format!("{line}\n")).collect()
}

/// The budget of the first value of a rule: what each component adds, the sum in squares, U.
fn budget(compiled: &Compiled, rule: &str) -> String {
    let finding = compiled.of_rule(rule)[0];
    let value = finding.value().unwrap();
    let unit = compiled.unit();
    let w = &unit.assessment.workings;
    let known = w.uncertainty(value);
    assert!(known.known, "{rule} has no uncertainty");
    let mut text = String::new();
    let (per_si, word) = (finding.unit.per_si, finding.unit.word);
    for row in w.budget(value) {
        let name = words::component(&row.component).plain(|_| 0);
        let _ = writeln!(text, "{:+.6} {word}   {name}", row.contribution * per_si);
    }
    let (u, k) = (known.u * per_si, unit.setting.criteria.k);
    let _ = writeln!(
        text,
        "root of the sum of squares: u = {u:.6} {word}; U = {k} u = {:.6} {word}",
        k * u
    );
    text
}

fn told(compiled: &Compiled, code: &str) -> String {
    let all = compiled
        .unit()
        .diagnostics
        .iter()
        .filter(|told| told.code.name() == code);
    let text: String = all
        .map(|told| format!("{}: {}\n", told.code.severity().word(), told.title))
        .collect();
    assert!(
        !text.is_empty(),
        "no diagnostic {code}; there are {:?}",
        compiled.unit().diagnostics
    );
    text
}

/// A printed number and half a unit of its last digit.
fn printed(text: &str) -> (f64, f64) {
    let number = text.split(' ').next().unwrap();
    let digits = number.split_once('.').map_or(0, |(_, after)| after.len());
    (
        number
            .parse()
            .unwrap_or_else(|_| panic!("{number} is no number")),
        0.5 * 10f64.powi(-i32::try_from(digits).unwrap()),
    )
}

/// Arithmetic by hand: right in itself, and equal to what the program found.
fn check(compiled: &Compiled, block: &Block, rule: &str, at: &str) {
    let (rule, n) = rule.split_once(' ').unwrap_or((rule, "1"));
    let mut last = None;
    for line in block.text.lines() {
        let (expression, number) = line
            .rsplit_once(" = ")
            .unwrap_or_else(|| panic!("{at}: no equals sign in {line}"));
        let got =
            evaluate(expression, &[], &[]).unwrap_or_else(|error| panic!("{at}: {line}: {error}"));
        let (number, half) = printed(number);
        assert!(
            (got - number).abs() <= half * 1.000_001,
            "{at}: {line}: it is {got}"
        );
        last = Some((number, half));
    }
    let (number, half) = last.unwrap_or_else(|| panic!("{at}: empty"));
    let index = n.parse::<usize>().map_or(0, |n| n - 1);
    let finding = compiled.of_rule(rule)[index];
    let value = finding.value().unwrap_or_else(|| panic!("{at}: no value"));
    let found = match n {
        "U" => compiled.expanded(value) * finding.unit.per_si,
        "since" => {
            let past = compiled.history(rule).last.expect("an earlier visit");
            past.change.expect("a change").size.exp()
        }
        "drift" => compiled
            .history(rule)
            .drift
            .expect("a drift")
            .line
            .slope
            .exp(),
        _ => value.si * finding.unit.per_si,
    };
    assert!(
        (found - number).abs() <= half * 1.000_001,
        "{at}: by hand {number}, by the program {found}"
    );
}

#[test]
fn arithmetic_by_hand_is_held_to_its_last_digit() {
    assert_eq!(printed("3.40 ohm"), (3.4, 0.005));
    assert_eq!(printed("12"), (12.0, 0.5));
    let got = evaluate("1.3870/0.5000*(75 + 234.5)/(18.5 + 234.5)", &[], &[]).unwrap();
    assert!((got - 3.3935).abs() < 5e-5, "{got}");
}
