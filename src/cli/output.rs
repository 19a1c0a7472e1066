//! Printing: to a pipe that may be closed, to a terminal that may know colour.
#![allow(
    clippy::disallowed_methods,
    reason = "whether the terminal wants colour is told by its environment"
)]

use super::draw::Style;
use std::io::{IsTerminal as _, Write as _};

/// Prints to standard output; a reader that has gone is not an error.
pub fn print(text: &str) {
    let _ = std::io::stdout().lock().write_all(text.as_bytes());
}

/// Prints a complaint on one line to standard error.
pub fn complain(message: &str) {
    let _ = writeln!(
        std::io::stderr().lock(),
        "kneemark: {}",
        super::draw::one_line(message)
    );
}

/// Prints drawn diagnostics to standard error, where standard output is for a record.
pub fn explain(drawn: &str) {
    let _ = std::io::stderr().lock().write_all(drawn.as_bytes());
}

/// How diagnostics are drawn: colour on a terminal that has not refused it, ASCII where the locale
/// does not know UTF-8 or output is piped.
pub fn style() -> Style {
    let set = |name: &str| std::env::var(name).is_ok_and(|value| !value.is_empty());
    if !std::io::stdout().is_terminal() || std::env::var("TERM").is_ok_and(|term| term == "dumb") {
        return Style::Plain;
    }
    if set("NO_COLOR") {
        Style::Unicode
    } else {
        Style::Colour
    }
}
