//! Printing: to a pipe that may be closed, to a terminal that may know colour.
#![allow(
    clippy::disallowed_methods,
    reason = "whether the terminal wants colour is told by its environment"
)]

use super::draw::Style;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::job::Outcome;
use std::io::{ErrorKind, IsTerminal as _, Write as _};
use std::sync::OnceLock;

/// Why something that was printed did not arrive.
static LOST: OnceLock<String> = OnceLock::new();

/// Prints to standard output. A reader that has gone is not an error; a full disk is, see [`ended`].
pub fn print(text: &str) {
    put(text.as_bytes());
}

fn put(bytes: &[u8]) {
    let mut out = std::io::stdout().lock();
    // Each text at once: it is told where the reader is, also when what follows takes long.
    let put = out.write_all(bytes).and_then(|()| out.flush());
    if let Err(error) = put
        && error.kind() != ErrorKind::BrokenPipe
    {
        let _ = LOST.set(error.to_string());
    }
}

/// Passes bytes on as they are: a record, for the program that asked for it.
pub fn pass_on(bytes: &[u8]) {
    put(bytes);
}

/// Whether all that was printed arrived; complains where it did not.
pub fn ended() -> bool {
    if let Some(why) = LOST.get() {
        complain(&format!("standard output cannot be written: {why}"));
    }
    LOST.get().is_none()
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

/// Tells on standard error what is wrong with a text, where standard output is for something else.
pub fn tell(source: &Source, diagnostics: &[Diagnostic]) -> Outcome {
    explain(&super::draw::human(source, diagnostics, style()));
    match diagnostics.iter().any(Diagnostic::is_error) {
        true => Outcome::Broken,
        false => Outcome::Clean,
    }
}

/// Tells stages of long work on standard error: on a terminal one line that changes, else a line each.
pub struct Progress(bool);

impl Progress {
    pub fn begun() -> Self {
        Self(std::io::stderr().is_terminal())
    }

    /// The stage that begins.
    pub fn tell(&mut self, stage: &str) {
        let stage = super::draw::one_line(stage);
        let mut err = std::io::stderr().lock();
        let _ = match self.0 {
            true => write!(err, "\r\x1b[2K{stage} \u{2026}"),
            false => writeln!(err, "{stage}"),
        };
        let _ = err.flush();
    }
}

impl Drop for Progress {
    /// Leaves no stage standing behind the work.
    fn drop(&mut self) {
        if self.0 {
            let _ = write!(std::io::stderr().lock(), "\r\x1b[2K");
        }
    }
}

/// How diagnostics are drawn.
pub fn style() -> Style {
    styled(std::io::stdout().is_terminal(), |name| {
        std::env::var(name).ok()
    })
}

/// Colour on a terminal that has not refused it, ASCII where output is piped or the terminal is a dumb one.
fn styled(is_terminal: bool, variable: impl Fn(&str) -> Option<String>) -> Style {
    if !is_terminal || variable("TERM").as_deref() == Some("dumb") {
        return Style::Plain;
    }
    // Whatever it says, as long as it says something.
    match variable("NO_COLOR").is_some_and(|value| !value.is_empty()) {
        true => Style::Unicode,
        false => Style::Colour,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colour_is_for_a_terminal_that_has_not_refused_it() {
        let of = |is_terminal, set: &'static str| {
            let set = move |name: &str| {
                let (known, value) = set.split_once('=')?;
                (known == name).then(|| value.to_owned())
            };
            styled(is_terminal, set)
        };
        assert_eq!(of(true, ""), Style::Colour);
        assert_eq!(of(true, "NO_COLOR="), Style::Colour);
        assert_eq!(of(true, "NO_COLOR=0"), Style::Unicode);
        assert_eq!(of(true, "TERM=dumb"), Style::Plain);
        assert_eq!(of(false, ""), Style::Plain);
        assert_eq!(of(false, "CLICOLOR_FORCE=1"), Style::Plain);
    }
}
