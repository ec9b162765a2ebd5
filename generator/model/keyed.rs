//! A mapping that remembers its order and where each key stands.

use crate::source::At;
use serde::de::{MapAccess, Visitor};
use serde::{Deserialize, Deserializer};
use std::fmt;
use std::marker::PhantomData;

/// Keys with their places and values, in the order of the file. The reader refuses duplicate keys.
#[derive(Debug, Clone, PartialEq)]
pub struct Keyed<V>(Vec<(At<String>, V)>);

impl<V> Default for Keyed<V> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<V> Keyed<V> {
    pub fn iter(&self) -> impl Iterator<Item = (&At<String>, &V)> {
        self.0.iter().map(|(key, value)| (key, value))
    }

    pub fn keys(&self) -> impl Iterator<Item = &At<String>> {
        self.0.iter().map(|(key, _)| key)
    }

    pub fn values(&self) -> impl Iterator<Item = &V> {
        self.0.iter().map(|(_, value)| value)
    }

    pub fn get(&self, key: &str) -> Option<&V> {
        self.0.iter().find(|(at, _)| at.value == key).map(|(_, value)| value)
    }

    pub fn key(&self, key: &str) -> Option<&At<String>> {
        self.keys().find(|at| at.value == key)
    }

    pub fn len(&self) -> usize {
        self.0.len()
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The same keys with other values.
    pub fn map<U>(self, mut change: impl FnMut(&At<String>, V) -> U) -> Keyed<U> {
        Keyed(
            self.0
                .into_iter()
                .map(|(key, value)| {
                    let value = change(&key, value);
                    (key, value)
                })
                .collect(),
        )
    }

    /// Keys and values in the order given.
    pub fn from_pairs(pairs: Vec<(At<String>, V)>) -> Self {
        Self(pairs)
    }
}

impl<'de, V: Deserialize<'de>> Deserialize<'de> for Keyed<V> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Pairs<V>(PhantomData<V>);
        impl<'de, V: Deserialize<'de>> Visitor<'de> for Pairs<V> {
            type Value = Keyed<V>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a mapping")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut access: A) -> Result<Self::Value, A::Error> {
                let mut pairs = Vec::new();
                while let Some(key) = access.next_key()? {
                    pairs.push((key, access.next_value()?));
                }
                Ok(Keyed(pairs))
            }
        }
        deserializer.deserialize_map(Pairs(PhantomData))
    }
}
