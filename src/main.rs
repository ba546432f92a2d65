//! The door: hands the arguments to the library and its verdict to the shell.
//! Knows nothing of the trade.

use std::io::{self, Write};
use std::process::ExitCode;

use benchway::cli::{Arguments, run};
use clap::Parser;

fn main() -> ExitCode {
    // Not locked: the thread that puts a killed terminal back writes there too.
    let mut out = io::BufWriter::new(io::stdout());
    let ending = run(Arguments::parse(), &mut out);
    // What was printed before a failure belongs above it.
    let ending = match out.flush() {
        Err(error) => ending.and(Err(error.into())),
        Ok(()) => ending,
    };
    match ending {
        Ok(ending) => ExitCode::from(ending.code()),
        Err(failure) if failure.is_broken_pipe() => ExitCode::SUCCESS,
        Err(failure) => {
            // With nowhere left to say it, the exit code still tells.
            let _ = writeln!(io::stderr(), "{failure}");
            ExitCode::from(2)
        }
    }
}
