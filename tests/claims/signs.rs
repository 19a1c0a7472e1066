//! A plate, a duty or a condition that cannot be is told, and nothing passes by it.

use kneemark::document::Grade;
use kneemark::ground::diagnostic::Code;
use kneemark::ground::seam::Memory;
use kneemark::judge::rules::Whose;
use std::path::PathBuf;

#[test]
fn what_can_only_be_positive_is_told_where_it_is_not() {
    let demo = crate::demo::files();
    let sound = demo["skerrow/h07/h07-l1.ctr"].clone();
    let sums = |text: &str| {
        let files = Memory::default();
        files.put("skerrow/a.ctr", text);
        for name in ["instruments.toml", "criteria.toml"] {
            files.put(name, demo[name].as_str());
        }
        files.put("pack.toml", "records = [\"skerrow/*.ctr\"]\n");
        let job = kneemark::compile(&files, &[PathBuf::from("skerrow")]);
        let one = &job.records[0];
        let told = one.errors().any(|told| told.code == Code::ReadingSign);
        let claims = one.claims();
        let passes = [Whose::Transformer, Whose::Circuit].map(|whose| {
            let sum = claims.sum(whose, None).expect("a verdict");
            sum.grade() == Some(Grade::Pass)
        });
        (told, passes)
    };
    assert_eq!(sums(&sound), (false, [true, true]));
    for (line, number) in [
        ("highest voltage: 145 kV", "145"),
        ("frequency: 50 Hz", "50"),
        ("primary turns: 1", "1"),
        ("burden: 15 VA ", "15"),
        ("resistance: 3.40 ohm", "3.40"),
        ("knee emf: 300 V", "300"),
        ("exciting current: 30 mA", "30"),
        ("fault current: 25 kA", "25"),
        ("x/r: 14", "14"),
        ("burden: 1.10 ohm", "1.10"),
        ("required knee: 210 V", "210"),
        ("humidity: 61 %", "61"),
    ] {
        assert!(sound.contains(line), "{line}");
        let wrong = line.replacen(number, &format!("-{number}"), 1);
        let (told, passes) = sums(&sound.replacen(line, &wrong, 1));
        assert!(
            told && passes.contains(&false),
            "{wrong}: {told} {passes:?}"
        );
    }
    for line in [
        "knee emf: 300 V",
        "required knee: 210 V",
        "frequency: 50 Hz",
    ] {
        let zero = line.replace(|c: char| c.is_ascii_digit(), "0");
        let (told, _) = sums(&sound.replacen(line, &zero, 1));
        assert!(told, "{zero}");
    }
    let cold = sound.replacen("ambient: 14.5 C", "ambient: -14.5 C", 1);
    assert!(!sums(&cold).0);
}
