//! Arguments in, exit code out; nothing else.

use std::process::ExitCode;

/// Records are many short texts, and the database keeps many small things of its own.
#[cfg(target_os = "linux")]
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    dimity::cli::main()
}
