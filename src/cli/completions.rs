//! `completions`: completion scripts for shells.

use std::io::Write;

use clap::{Args, CommandFactory};
use clap_complete::Shell;

use super::{Arguments, Ending, Failure};

/// Print a completion script for a shell
///
/// Save the output where your shell looks for completions, for example:
///
///   benchway completions bash > ~/.local/share/bash-completion/completions/benchway
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct CompletionsArguments {
    /// Shell to complete for
    #[arg(value_enum)]
    shell: Shell,
}

impl CompletionsArguments {
    pub(super) fn run(&self, out: &mut dyn Write) -> Result<Ending, Failure> {
        // The generator panics when writing fails, which a buffer never does.
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut Arguments::command(), "benchway", &mut script);
        out.write_all(&script)?;
        Ok(Ending::Fine)
    }
}
