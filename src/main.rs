//! The thin binary: hands the arguments to `kneemark::cli` and returns its exit code.
#![warn(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing
)]

/// Everything here is many small texts and lists, made on several threads: the allocator is felt.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    kneemark::cli::main()
}
