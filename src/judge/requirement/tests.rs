use super::shown::excuses;
use super::*;
use crate::judge::rules::{self, Whose};
use crate::trade::Purpose;

#[test]
fn names_are_told_once() {
    let mut names: Vec<&str> = ALL.iter().map(|one| one.id).collect();
    names.sort_unstable();
    let all = names.len();
    names.dedup();
    assert_eq!(names.len(), all);
}

/// A rule that holds a value of transformer or circuit against a limit of the class or the relay is
/// evidence for a requirement, so that no class can pass without it.
#[test]
fn a_limit_of_the_class_belongs_to_a_requirement() {
    let counted = |rule: &rules::Rule| ALL.iter().any(|one| one.evidence.contains(&rule));
    for rule in [
        &rules::protection::COMPOSITE_ERROR,
        &rules::protection::SECURITY_FACTOR,
        &rules::protection::EXCITING_AT_CLASS,
        &rules::protection::PEAK_EXCITING_CURRENT,
        &rules::protection::EXCITING_CURRENT,
        &rules::protection::KNEE_EMF,
        &rules::protection::REMANENCE_FACTOR,
        &rules::protection::LOOP_TIME_CONSTANT,
        &rules::ratio::CLASS_SHOWN,
        &rules::ratio::TURNS_RATIO,
        &rules::resistance::WINDING_RESISTANCE,
        &rules::burden::CIRCUIT_BURDEN,
        &rules::duty::REQUIRED_KNEE,
        &rules::duty::REQUIRED_FACTOR,
        &rules::continuity::LOOP_CONTINUITY,
        &rules::single_earth::SINGLE_EARTH,
        &rules::test_links::TEST_LINK,
        &rules::restored::CIRCUIT_AS_LEFT,
        &rules::restored::CIRCUIT_EARTHS,
    ] {
        assert!(counted(rule), "{}", rule.id);
    }
}

#[test]
fn the_order_of_verdicts_is_from_good_to_bad() {
    assert!(Overall::ALL.is_sorted());
    assert!(Overall::Pass < Overall::Unasked && Overall::Unasked < Overall::Incomplete);
    assert!(Overall::Incomplete < Overall::Open && Overall::Open < Overall::Fails);
}

#[test]
fn a_measurement_asks_for_nothing_of_its_own() {
    assert!(ALL.iter().all(|one| one.whose != Whose::Measurement));
    assert!(ALL.iter().all(|one| !one.due.contains(&Purpose::Retest)));
}

/// What a `not done` line may name is what the list prints, and belongs to the same test.
#[test]
fn each_may_be_named_where_it_is_not_done() {
    let mut named = crate::record::named::REQUIRED.to_vec();
    let mut all: Vec<_> = ALL.iter().map(|one| (one.title, one.kind)).collect();
    named.sort_unstable_by_key(|(title, _)| *title);
    all.sort_unstable_by_key(|(title, _)| *title);
    assert_eq!(named, all);
}

/// One requirement that is not done excuses no other of its test, and one position of the links no other.
#[test]
fn a_name_excuses_that_requirement_alone() {
    use crate::judge::kinds::bench::Bench;
    let plate = "format: 1\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nprimary turns: 1\nprimary links: series 300/1, parallel 600/1\n\
        [core 1S]\nclass: 5P20\nburden: 15 VA\nratio: 600/1 A\n[visit 2026-03-14]\npurpose: factory\n";
    let excused = |line: &str| {
        let bench = Bench::of(&format!("{plate}{line}\n"));
        let claims = Claims::of(&bench.record, &bench.assessment, &[0], Unread::Nothing);
        let own = claims.shown.iter();
        let own = own.filter(|one| matches!(&one.standing, Standing::NotTested(_)));
        own.map(|one| one.title().to_string()).collect::<Vec<_>>()
    };
    let why = "source was away";
    let named = "composite error at the accuracy limit";
    for line in [
        format!("{named} of 1S"),
        format!("{named} (class 5P20) of 1S"),
    ] {
        let excused = excused(&format!("not done {line}: {why}"));
        assert_eq!(excused, [format!("{named} (class 5P20)")], "{line}");
    }
    for line in [
        "ratio with the links in series",
        "ratio in links position series of 1S",
    ] {
        assert_eq!(
            excused(&format!("not done {line}: {why}")),
            ["ratio in links position series"],
            "{line}"
        );
    }
}

/// The name that is printed of a requirement names it alone, wherever it is asked for.
#[test]
fn a_printed_name_reads_back() {
    use crate::ground::seam::Disk;
    use crate::ground::span::{Located, Span};
    use crate::record::occasion::occasions;
    use crate::record::scope::Scope;
    use crate::record::value::Omission;
    let job = crate::compile(
        &Disk,
        &["records", "tests/kinds", "tests/claims"].map(Into::into),
    );
    let (mut names, mut wrong) = (0, Vec::new());
    for one in &job.records {
        for visits in occasions(&one.record) {
            let claims = Claims::within(&one.record, &one.assessment, &visits);
            let printed = |shown: &Shown<'_>| claims.name(shown).to_string();
            for shown in &claims.shown {
                let name = printed(shown);
                let omission = Omission {
                    scope: Located::new(name.clone(), Span::new(0, 0)),
                    why: "source was away".to_owned(),
                    span: Span::new(0, 0),
                };
                let scope = Scope::read(&omission, &one.record, None);
                let read = claims.shown.iter();
                let read = read.filter(|other| excuses(&one.record, &scope, &other.required));
                let read: Vec<String> = read.map(printed).collect();
                names += 1;
                if !scope.unknown.is_empty() || read != [name.clone()] {
                    wrong.push(format!("{}: {name}: {read:?}", one.path.display()));
                }
            }
        }
    }
    assert!(names > 1000, "{names} names");
    assert!(
        wrong.is_empty(),
        "{} of {names}: {}",
        wrong.len(),
        wrong.join("\n")
    );
}

/// Several subjects under one title, a name that breaks its lines, and those of the unit.
#[test]
fn a_name_of_several_subjects_excuses_these() {
    use crate::judge::kinds::bench::Bench;
    let plate = "format: 1\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nprimary turns: 1\nprimary links: series 300/1, parallel 600/1\n\
        [core 1S]\nclass: 5P20\nburden: 15 VA\nratio: 600/1 A\n[core 2S]\nclass: PX\nknee emf: 300 V\n\
        exciting current: 30 mA at 300 V\nexciting current: 10 mA at 150 V\n\
        tap ratio/A\n2S1-2S3 600/1\n2S1-2S2 300/1\n[visit 2026-03-14]\npurpose: factory, commissioning\n";
    let excused = |line: &str| {
        let bench = Bench::of(&format!("{plate}not done {line}: source was away\n"));
        let claims = Claims::of(&bench.record, &bench.assessment, &[0], Unread::Nothing);
        let own = claims.shown.iter();
        let own = own.filter(|one| matches!(&one.standing, Standing::NotTested(_)));
        own.map(|one| claims.name(one).to_string())
            .collect::<Vec<_>>()
    };
    let primary = "insulation resistance of the primary";
    for (line, expected) in [
        ("insulation of the primary", vec![primary]),
        (primary, vec![primary]),
        (
            "insulation resistance of the primary and 2S",
            vec![primary, "insulation resistance of 2S"],
        ),
        (
            "exciting\u{a0}current  at 150\u{a0}V of 2S",
            vec!["exciting current at 150 V of 2S"],
        ),
        ("turns ratio of 2S", vec!["turns ratio of 2S"]),
        ("ratio of 2S1-2S2", vec!["ratio of 2S1-2S2"]),
        ("ratio of 1S", vec!["ratio of 1S"]),
        ("polarity (1S)", vec!["polarity of 1S"]),
        ("ratio 2S1-2S2", vec!["ratio of 2S1-2S2"]),
    ] {
        assert_eq!(excused(line), expected, "{line}");
    }
    // Nothing of that name is required of it: it speaks of the test.
    assert!(excused("ratio of 2S").contains(&"turns ratio of 2S".to_owned()));
}
