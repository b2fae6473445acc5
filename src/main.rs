//! The program: parse, run, exit status.

use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(fistmele::cli::main(std::env::args_os()))
}
