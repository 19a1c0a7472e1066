//! The thin binary: hands the arguments to `kneemark::cli` and returns its exit code.
#![warn(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing
)]

/// A record becomes many small texts and lists: the allocator of the system took a fifth of `check`.
/// (Its feature `v2` gives memory back within a hundredth of a second, so that a long job stays small.)
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    kneemark::cli::main()
}
