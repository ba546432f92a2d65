//! `schema`: the JSON Schema of route and shop files, made from the types that read them.

use std::io::Write;

use super::{Ending, Failure};
use crate::document::schema;
use crate::route::RouteFile;
use crate::shop::ShopFile;
use clap::{Args, ValueEnum};

/// Print the JSON Schema of route or shop files
///
/// An editor that knows the schema completes keys and marks mistakes as you type.
/// Save it beside your files and name it in their "$schema" key:
///
///   benchway schema route > route.schema.json
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct SchemaArguments {
    /// File format to describe
    #[arg(value_enum)]
    of: SchemaFile,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum SchemaFile {
    Route,
    Shop,
}

impl SchemaArguments {
    pub(super) fn run(&self, out: &mut dyn Write) -> Result<Ending, Failure> {
        let schema = match self.of {
            SchemaFile::Route => schema::<RouteFile>(),
            SchemaFile::Shop => schema::<ShopFile>(),
        };
        writeln!(out, "{:#}", schema.as_value())?;
        Ok(Ending::Fine)
    }
}
