//! Arguments → exit code.

use clap::Parser;
use std::process::ExitCode;

fn main() -> ExitCode {
    // clap itself exits with 2 on wrong usage and with 0 after --help.
    let arguments = pitwright::command::Arguments::parse();
    ExitCode::from(pitwright::command::run(arguments).code())
}
