//! A YAML value with the place of every part: for the conditions and effects of a machine, whose keys are its own names.

use crate::source::At;
use serde::de::{MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};
use std::fmt;

use super::Keyed;

/// A value as written. Scalars are kept as text: `on`, `3` and `true` alike.
#[derive(Debug, Clone, PartialEq)]
pub enum Tree {
    Word(String),
    List(Vec<At<Tree>>),
    Map(Keyed<At<Tree>>),
}

impl Tree {
    /// What it is, for a message.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Word(_) => "a single word",
            Self::List(_) => "a list",
            Self::Map(_) => "a mapping",
        }
    }
}

impl<'de> Deserialize<'de> for Tree {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Any;
        impl<'de> Visitor<'de> for Any {
            type Value = Tree;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a word, a list or a mapping")
            }

            fn visit_str<E>(self, text: &str) -> Result<Tree, E> {
                Ok(Tree::Word(text.to_owned()))
            }

            fn visit_bool<E>(self, truth: bool) -> Result<Tree, E> {
                Ok(Tree::Word(truth.to_string()))
            }

            fn visit_i64<E>(self, number: i64) -> Result<Tree, E> {
                Ok(Tree::Word(number.to_string()))
            }

            fn visit_u64<E>(self, number: u64) -> Result<Tree, E> {
                Ok(Tree::Word(number.to_string()))
            }

            fn visit_f64<E>(self, number: f64) -> Result<Tree, E> {
                Ok(Tree::Word(number.to_string()))
            }

            fn visit_unit<E>(self) -> Result<Tree, E> {
                Ok(Tree::Word(String::new()))
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut access: A) -> Result<Tree, A::Error> {
                let mut list = Vec::new();
                while let Some(item) = access.next_element()? {
                    list.push(item);
                }
                Ok(Tree::List(list))
            }

            fn visit_map<A: MapAccess<'de>>(self, mut access: A) -> Result<Tree, A::Error> {
                let mut pairs = Vec::new();
                while let Some(key) = access.next_key()? {
                    pairs.push((key, access.next_value()?));
                }
                Ok(Tree::Map(Keyed::from_pairs(pairs)))
            }
        }
        deserializer.deserialize_any(Any)
    }
}
