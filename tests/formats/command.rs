//! What holds of every format when the program is run.

use assert_cmd::Command;

pub const FORMATS: [&str; 6] = ["human", "short", "json", "sarif", "junit", "github"];

pub fn check(arguments: &[&str]) -> Command {
    let mut command = Command::cargo_bin("kneemark").expect("the program");
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    command.arg("check").args(arguments);
    command
}

#[test]
fn the_exit_code_is_that_of_the_run_not_of_its_format() {
    for (arguments, code) in [
        (&["records/skerrow/k03/k03-l1.ctr"][..], 0),
        (&["records/skerrow/h08/h08-l1.ctr"], 1),
        (&["records/skerrow/h08/h08-l3.ctr"], 0),
        (
            &["records/skerrow/h08/h08-l3.ctr", "--fail-on", "review"],
            1,
        ),
        (&["records/skerrow/aux/q4-l3.ctr", "--fail-on", "open"], 1),
        (&["tests/corpus/cell-missing.ctr"], 2),
        (&["tests/corpus/there-is-none.ctr"], 2),
        (&["grammar"], 2),
    ] {
        for format in FORMATS {
            let output = check(arguments)
                .args(["--format", format])
                .output()
                .expect("it ran");
            assert_eq!(output.status.code(), Some(code), "{arguments:?} {format}");
        }
    }
}

/// Written record by record, the run's text is that of the whole job.
#[test]
fn what_is_written_bit_by_bit_is_whole() {
    for (format, ending) in [
        ("sarif", "  ]\n}\n"),
        ("junit", "</testsuites>\n"),
        ("json", "]\n}\n"),
    ] {
        let output = check(&["--format", format, "records", "tests/corpus"])
            .output()
            .expect("it ran");
        let text = String::from_utf8(output.stdout).expect("text");
        assert!(text.ends_with(ending), "{format}");
        match format {
            "junit" => assert!(roxmltree::Document::parse(&text).is_ok()),
            _ => assert!(
                serde_json::from_str::<serde_json::Value>(&text).is_ok(),
                "{format}"
            ),
        }
    }
}

#[test]
fn what_is_piped_has_no_colour() {
    for format in FORMATS {
        let mut command = check(&["--format", format, "records/skerrow/h08", "tests/corpus"]);
        command
            .env_remove("NO_COLOR")
            .env("TERM", "xterm-256color")
            .env("CLICOLOR_FORCE", "1");
        let output = command.output().expect("it ran");
        assert!(
            output.stdout.len() > 1000 && !output.stdout.contains(&0x1b),
            "{format}"
        );
    }
}
