//! Completions and pages for man(1): every command is in them.

use assert_cmd::Command;

const COMMANDS: [&str; 12] = [
    "check",
    "pack",
    "verify",
    "report",
    "new",
    "diff",
    "fmt",
    "explain",
    "export",
    "worksheet",
    "completions",
    "man",
];

fn printed(arguments: &[&str]) -> (i32, String) {
    let mut command = Command::cargo_bin("kneemark").expect("built");
    let output = command.args(arguments).output().expect("run");
    let text = String::from_utf8(output.stdout).expect("text");
    (output.status.code().expect("ended"), text)
}

#[test]
fn every_shell_knows_every_command() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let (code, text) = printed(&["completions", shell]);
        assert_eq!(code, 0);
        for command in COMMANDS {
            assert!(text.contains(command), "{shell} {command}");
        }
        assert!(text.contains("fail-on"), "{shell}");
    }
    assert_eq!(printed(&["completions", "tcl"]).0, 64);
}

#[test]
fn every_command_has_a_page() {
    let (code, whole) = printed(&["man"]);
    assert_eq!(code, 0);
    for command in COMMANDS {
        assert!(
            whole.contains(&format!("kneemark\\-{command}(1)")),
            "{command}"
        );
        let (code, page) = printed(&["man", command]);
        assert_eq!(code, 0, "{command}");
        assert!(
            page.contains(&format!(".TH kneemark-{command} 1")),
            "{page}"
        );
        assert!(page.contains(".SH SYNOPSIS"), "{command}");
    }
    assert!(printed(&["man", "check"]).1.contains("fail\\-on"));
    assert_eq!(printed(&["man", "nope"]), (64, String::new()));
}
