//! The command line: one file per command.

/// Runs the command line and returns the exit code.
pub fn main() -> std::process::ExitCode {
    std::process::ExitCode::SUCCESS
}
