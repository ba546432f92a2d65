//! The door: hands the arguments to the library and its verdict to the shell.
//! Knows nothing of the trade.

use std::io::{self, Write};
use std::process::ExitCode;

use benchway::cli::{Arguments, run};
use benchway::prose::visible_lines;
use clap::Parser;

fn main() -> ExitCode {
    // Not locked: the thread that puts a killed terminal back writes there too.
    let mut out = io::BufWriter::new(io::stdout());
    let arguments = Arguments::try_parse().unwrap_or_else(|why| why_not_understood(&why));
    let ending = run(arguments, &mut out);
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
            let _ = writeln!(io::stderr(), "{}", failure.shown());
            ExitCode::from(2)
        }
    }
}

/// Says why the arguments are not understood, or prints the help that was asked for. Colours
/// are left out where an argument holds signs that would act on the terminal.
fn why_not_understood(why: &clap::Error) -> ! {
    let plain = why.render().to_string();
    let shown = visible_lines(&plain);
    if shown == plain {
        why.exit();
    }
    // With nowhere left to say it, the exit code still tells.
    let _ = write!(io::stderr(), "{shown}");
    std::process::exit(why.exit_code())
}
