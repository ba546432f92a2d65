//! The keys of a kind, written once: the struct a kind declares here is what a
//! route writes, what its schema says, and what the kind works with.
//!
//! [`keys!`] makes one generic struct. `Crosscut<FormulaText>` is what serde
//! and the schema see; `Crosscut` alone, which is `Crosscut<Keyed>`, has every
//! formula parsed. Rejected: a second struct a kind, which repeats each key
//! three more times, and a derive macro, which needs a crate of its own.

use schemars::JsonSchema;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::feature::FeatureName;
use super::question::{Formulas, Operation};
use super::reader::{FormulaText, KeyReader, Keyed};
use crate::measure::{Length, Unit};

/// Keys as a kind works with them, and how they come from a route.
pub(super) trait Keys: Formulas + Sized {
    /// The same keys as a route writes them.
    type Written: DeserializeOwned + JsonSchema;

    /// Parses every formula; each that is wrong is reported at its key.
    fn parse(written: Self::Written, reader: &mut KeyReader<'_, '_>) -> Option<Self>;
}

/// Reads a kind that has nothing to check beyond its keys.
pub(super) fn read<K>(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>>
where
    K: Keys + Operation + 'static,
{
    read_if::<K>(reader, |_, _| true)
}

/// Reads a kind whose keys must also agree with one another: `sound` reports
/// what does not.
pub(super) fn read_if<K>(
    reader: &mut KeyReader<'_, '_>,
    sound: impl FnOnce(&K::Written, &mut KeyReader<'_, '_>) -> bool,
) -> Option<Box<dyn Operation>>
where
    K: Keys + Operation + 'static,
{
    Some(Box::new(keys_if::<K>(reader, sound)?))
}

/// The same for a kind that makes something else of its keys.
pub(super) fn keys_if<K: Keys>(
    reader: &mut KeyReader<'_, '_>,
    sound: impl FnOnce(&K::Written, &mut KeyReader<'_, '_>) -> bool,
) -> Option<K> {
    let written = reader.keys::<K::Written>()?;
    let sound = sound(&written, reader);
    K::parse(written, reader).filter(|_| sound)
}

/// One value under a key: how it is parsed from `W`, which a route writes, and
/// which formulas it holds.
pub(super) trait KeyValue<W>: Sized {
    /// Parses what a route writes under `key`; reports what is wrong.
    fn parse(written: W, key: &'static str, reader: &mut KeyReader<'_, '_>) -> Option<Self>;

    /// Adds the formulas it holds.
    fn hold<'k>(&'k self, all: &mut Vec<&'k Keyed>);
}

/// A value without a formula is what the route writes.
impl<T> KeyValue<T> for T {
    fn parse(written: T, _: &'static str, _: &mut KeyReader<'_, '_>) -> Option<T> {
        Some(written)
    }

    fn hold<'k>(&'k self, _: &mut Vec<&'k Keyed>) {}
}

impl KeyValue<FormulaText> for Keyed {
    fn parse(text: FormulaText, key: &'static str, reader: &mut KeyReader<'_, '_>) -> Option<Self> {
        reader.formula(key, &text)
    }

    fn hold<'k>(&'k self, all: &mut Vec<&'k Keyed>) {
        all.push(self);
    }
}

impl KeyValue<Option<FormulaText>> for Option<Keyed> {
    fn parse(
        text: Option<FormulaText>,
        key: &'static str,
        reader: &mut KeyReader<'_, '_>,
    ) -> Option<Self> {
        text.map_or(Some(None), |text| reader.formula(key, &text).map(Some))
    }

    fn hold<'k>(&'k self, all: &mut Vec<&'k Keyed>) {
        all.extend(self);
    }
}

impl KeyValue<Vec<FormulaText>> for Vec<Keyed> {
    fn parse(
        texts: Vec<FormulaText>,
        key: &'static str,
        reader: &mut KeyReader<'_, '_>,
    ) -> Option<Self> {
        let texts = texts.iter().enumerate();
        texts.map(|(index, text)| reader.formula_in_list(key, index, None, text)).collect()
    }

    fn hold<'k>(&'k self, all: &mut Vec<&'k Keyed>) {
        all.extend(self);
    }
}

/// The name a route gives what an operation makes. The features of it begin
/// with that name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct MadeName(pub Option<String>);

impl MadeName {
    /// The name, or the usual one where the route gives none.
    pub(super) fn or<'m>(&'m self, usual: &'m str) -> &'m str {
        self.0.as_deref().unwrap_or(usual)
    }

    /// A feature with the name in front of it, or alone where the route gives none.
    pub(super) fn prefix(&self, feature: &str) -> FeatureName {
        match &self.0 {
            Some(makes) => FeatureName::of(makes, feature),
            None => FeatureName::new(feature),
        }
    }
}

/// The value a key has when a route leaves it out, as its schema gives it.
pub(super) trait Usual {
    /// As JSON; a length as a formula that reads alike in every unit.
    fn shown(self) -> Value;
}

impl Usual for Length {
    fn shown(self) -> Value {
        super::words(self, Unit::Inch).into()
    }
}

impl Usual for &str {
    fn shown(self) -> Value {
        self.into()
    }
}

macro_rules! usual_numbers {
    ($($number:ty),*) => {$(
        impl Usual for $number {
            fn shown(self) -> Value {
                self.into()
            }
        }
    )*};
}

usual_numbers!(bool, i64, u32, f64);

/// Declares the keys of one kind.
///
/// ```text
/// keys! {
///     Tenon: "tenon", makes {
///         /// Air between tenon and mortise, both cheeks together.
///         clearance: Option<F> = CLEARANCE,
///         /// How far off square.
///         angle: F as degrees,
///     }
/// }
/// ```
///
/// `F` is a formula. A formula gives a length unless `as` names another unit.
/// The value after `=` is what the key is when a route leaves it out; the kind
/// uses the same constant. `makes` adds a field of type [`MadeName`].
/// A key's doc comment is its meaning in the schema and in the description of
/// the kind.
macro_rules! keys {
    (
        $name:ident : $word:literal $(, $makes:ident)? {
            $( $(#[$attribute:meta])* $field:ident : $type:ty $(as $unit:ident)? $(= $usual:expr)? ),*
            $(,)?
        }
    ) => {
        #[derive(Debug, serde::Deserialize, schemars::JsonSchema)]
        #[schemars(rename = $word)]
        struct $name<F = $crate::operation::reader::Keyed> {
            $(
                $(#[$attribute])*
                $(#[schemars(extend("x-unit" = stringify!($unit)))])?
                $(#[schemars(extend("default" = $crate::operation::keys::Usual::shown($usual)))])?
                $field: $type,
            )*
            $(
                #[serde(skip)]
                $makes: $crate::operation::keys::MadeName,
            )?
            #[serde(skip)]
            form: std::marker::PhantomData<F>,
        }

        impl $crate::operation::keys::Keys for $name {
            type Written = $name<$crate::operation::reader::FormulaText>;

            #[allow(unused_variables)]
            fn parse(
                written: Self::Written,
                reader: &mut $crate::operation::reader::KeyReader<'_, '_>,
            ) -> Option<Self> {
                $(
                    let $field = $crate::operation::keys::KeyValue::parse(
                        written.$field,
                        stringify!($field),
                        reader,
                    );
                )*
                Some($name {
                    $($field: $field?,)*
                    $($makes: $crate::operation::keys::MadeName(reader.makes()),)?
                    form: std::marker::PhantomData,
                })
            }
        }

        impl $crate::operation::question::Formulas for $name {
            #[allow(unused_mut, dead_code)]
            fn formulas(&self) -> Vec<&$crate::operation::reader::Keyed> {
                // The types of the keys as a route writes them.
                type F = $crate::operation::reader::FormulaText;
                let mut all = Vec::new();
                $(
                    $crate::operation::keys::KeyValue::<$type>::hold(&self.$field, &mut all);
                )*
                all
            }
        }
    };
}

pub(super) use keys;
