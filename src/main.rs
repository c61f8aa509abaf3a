//! The evencarry daemon.

use std::process::ExitCode;

fn main() -> ExitCode {
    evencarry::cli::run(std::env::args_os())
}
