//! The program: parse, run, exit status.

use std::process::ExitCode;

/// Status of a fault of the program.
const FAULT: u8 = 3;

fn main() -> ExitCode {
    // A panic is a fault of the program; the runtime has said on standard error where it was.
    let status = std::panic::catch_unwind(|| fistmele::cli::main(std::env::args_os()));
    ExitCode::from(status.unwrap_or(FAULT))
}
