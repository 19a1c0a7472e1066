//! The thin binary: hands the arguments to `kneemark::cli` and returns its exit code.
#![warn(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing
)]

fn main() -> std::process::ExitCode {
    kneemark::cli::main()
}
