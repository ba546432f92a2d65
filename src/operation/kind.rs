//! A kind of operation: its word in a route, how it is read and described.

use std::fmt;

use schemars::{Schema, SchemaGenerator};

use super::advice::RowFault;
use super::keys::Keys;
use super::question::Operation;
use super::reader::KeyReader;

/// A kind of operation. There is one constant of each; other rooms hold a
/// reference to it, print it and ask it.
pub struct OperationKind {
    name: &'static str,
    about: &'static str,
    pub(super) read: Read,
    pub(super) schema: fn(&mut SchemaGenerator) -> Schema,
    pub(super) examples: &'static [&'static str],
    advice: fn(RowFault) -> &'static str,
}

/// How a kind takes its keys from a route; `None` where it reports a problem.
pub(super) type Read = fn(&mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>>;

impl OperationKind {
    /// A kind with these keys. The examples together show every key, and each
    /// is an operation as a route writes it, without number and part.
    pub(super) const fn of<K: Keys>(
        name: &'static str,
        about: &'static str,
        read: Read,
        examples: &'static [&'static str],
    ) -> OperationKind {
        let schema = SchemaGenerator::subschema_for::<K::Written>;
        OperationKind { name, about, read, schema, examples, advice: RowFault::at_a_stop }
    }

    /// The same kind, with advice of its own.
    pub(super) const fn advising(self, advice: fn(RowFault) -> &'static str) -> OperationKind {
        OperationKind { advice, ..self }
    }

    /// The word a route writes after `do`. It is for people and files: ask the
    /// operation rather than compare it.
    pub fn name(&self) -> &'static str {
        self.name
    }

    /// What the kind does, in one sentence.
    pub fn about(&self) -> &'static str {
        self.about
    }

    /// Reads an operation of this kind; `None` where a problem was reported.
    pub fn read(&self, reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
        (self.read)(reader)
    }

    /// The JSON schema of the kind's own keys, without those every kind has.
    pub fn schema(&self, generator: &mut SchemaGenerator) -> Schema {
        (self.schema)(generator)
    }

    /// Where to look when a row of pieces shows this.
    pub fn advice(&self, fault: RowFault) -> &'static str {
        (self.advice)(fault)
    }
}

impl fmt::Debug for OperationKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name)
    }
}

impl fmt::Display for OperationKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name)
    }
}

impl PartialEq for OperationKind {
    fn eq(&self, other: &OperationKind) -> bool {
        self.name == other.name
    }
}

impl Eq for OperationKind {}
