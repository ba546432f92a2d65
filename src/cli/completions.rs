//! `completions`: what a shell needs to finish a half-typed command.
//! Knows nothing of where a shell keeps it.

use std::io::Write;

use clap::{Args, CommandFactory};
use clap_complete::Shell;

use super::{Arguments, Ending, Failure};

/// Print completions for a shell
///
/// Put the output where your shell looks for completions, for example:
///
///   benchway completions bash > ~/.local/share/bash-completion/completions/benchway
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub struct CompletionsArguments {
    /// Which shell
    #[arg(value_enum)]
    shell: Shell,
}

impl CompletionsArguments {
    pub fn run(&self, out: &mut dyn Write) -> Result<Ending, Failure> {
        // The generator panics when it can't write; a buffer always can.
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut Arguments::command(), "benchway", &mut script);
        out.write_all(&script)?;
        Ok(Ending::Fine)
    }
}
