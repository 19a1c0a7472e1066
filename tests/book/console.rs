//! What is printed in a `console` block is what the commands print: each chapter's blocks are run in a
//! fresh folder, in order, as they stand. A file that a chapter says to write is written before.
#![allow(
    clippy::disallowed_methods,
    reason = "these tests run commands in a folder, as a reader would"
)]

use super::{chapters, file, page, refresh};
use kneemark::cli::examples;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

/// Runs a line in the shell, with this build's `kneemark` first on the path.
fn run(folder: &Path, line: &str) -> Output {
    let program = Path::new(env!("CARGO_BIN_EXE_kneemark"));
    let own = program.parent().unwrap().display();
    let path = std::env::var("PATH").unwrap_or_default();
    Command::new("sh")
        .args(["-c", line])
        .current_dir(folder)
        .env("PATH", format!("{own}:{path}"))
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

fn printed(output: &Output) -> String {
    let all = [output.stdout.as_slice(), output.stderr.as_slice()].concat();
    String::from_utf8(all).unwrap()
}

/// The chapter with its console blocks as they come out, and how many commands it has.
fn replayed(text: &str) -> (String, usize) {
    let folder = tempfile::tempdir().unwrap();
    let mut out = String::new();
    let mut commands = 0;
    let mut lines = text.lines().peekable();
    // The file that the last line of prose says to write the next block into.
    let mut into: Option<String> = None;
    while let Some(line) = lines.next() {
        out += &format!("{line}\n");
        let Some(info) = line.strip_prefix("```") else {
            let named = line
                .strip_suffix("`:")
                .and_then(|line| line.rsplit_once("into `"));
            into = named.map(|(_, name)| name.to_owned()).or(into);
            continue;
        };
        let block: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
        if info == "console" {
            for line in block.iter().filter_map(|line| line.strip_prefix("$ ")) {
                let printed = printed(&run(folder.path(), line));
                out += &format!("$ {line}\n{printed}");
                if printed.ends_with("\n\n") {
                    out.pop();
                }
                commands += 1;
            }
        } else {
            if let Some(name) = into.take() {
                fs::write(folder.path().join(name), format!("{}\n", block.join("\n"))).unwrap();
            }
            out += &block
                .iter()
                .map(|line| format!("{line}\n"))
                .collect::<String>();
        }
        out += "```\n";
    }
    (out, commands)
}

#[test]
fn console_blocks_print_what_stands_there() {
    let mut seen = 0;
    for chapter in chapters() {
        let text = fs::read_to_string(&chapter).unwrap();
        if !text.contains("```console\n") {
            continue;
        }
        let (now, commands) = replayed(&text);
        seen += commands;
        if now == text {
            continue;
        }
        assert!(
            refresh(),
            "{}: BOOK_REFRESH=1 cargo test book\n{now}",
            chapter.display()
        );
        fs::write(&chapter, now).unwrap();
    }
    assert!(seen >= 8, "{seen}");
}

/// Every example that `--help` shows runs, in a folder that holds what it names.
#[test]
fn examples_of_the_help_texts_run() {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| {
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    };
    let tutorial = fs::read_to_string(page("first-record.md")).unwrap();
    let blocks = super::blocks(&tutorial);
    let record = &blocks
        .iter()
        .find(|block| block.info == "ctr")
        .unwrap()
        .text;
    put("first.ctr", record);
    for other in ["h07-l2", "h07-l3"] {
        let text = record.replace("BRW-26-00042", &other.to_uppercase());
        put(&format!("{other}.ctr"), &text);
    }
    put("records/a.ctr", &record.replace("26-00042", "26-00043"));
    let job = fs::read_to_string(file("records/pack.toml")).unwrap();
    let records = job.lines().find(|line| line.starts_with("records"));
    let job = records.map_or(job.clone(), |line| {
        job.replace(line, "records = [\"*.ctr\"]")
    });
    put("records/pack.toml", &job);
    let all = [
        examples::NEW,
        examples::CHECK,
        examples::REPORT,
        examples::VERIFY,
        examples::WORKSHEET,
        examples::PACK,
        examples::EXPLAIN,
        examples::DIFF,
        examples::FMT,
    ];
    let mut seen = 0;
    for text in all {
        let (_, examples) = text.split_once("Examples:\n").unwrap();
        let mut count = 0;
        // A printed page needs a browser, which the browser tests have; a redirection needs a shell.
        for line in examples
            .replace("\\\n", " ")
            .lines()
            .filter(|line| !line.contains("--pdf") && !line.contains(" < "))
        {
            let done = run(folder.path(), line.trim());
            assert!(
                matches!(done.status.code(), Some(0 | 1)),
                "{line}: {:?}\n{}",
                done.status,
                printed(&done)
            );
            count += 1;
        }
        assert!(count >= 1, "{text}");
        seen += count;
    }
    assert!(seen >= 14, "{seen}");
}
