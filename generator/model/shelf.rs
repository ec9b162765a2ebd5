//! The files of one sort, in the order of their paths, each found by its id.

use super::Filed;
use std::collections::HashMap;
use std::ops::Deref;

/// A list of files that is also looked up by id. Of two files with one id the first is found.
#[derive(Debug)]
pub struct Shelf<T> {
    files: Vec<Filed<T>>,
    places: HashMap<String, usize>,
}

impl<T> Default for Shelf<T> {
    fn default() -> Self {
        Self {
            files: Vec::new(),
            places: HashMap::new(),
        }
    }
}

impl<T> Shelf<T> {
    pub fn push(&mut self, file: Filed<T>) {
        self.places.entry(file.id.clone()).or_insert(self.files.len());
        self.files.push(file);
    }

    /// All of them, to be changed; their ids stay.
    pub fn iter_mut(&mut self) -> impl Iterator<Item = &mut Filed<T>> {
        self.files.iter_mut()
    }

    pub fn get(&self, id: &str) -> Option<&Filed<T>> {
        self.files.get(self.place(id)?)
    }

    /// Where in the list the file with this id stands.
    pub fn place(&self, id: &str) -> Option<usize> {
        self.places.get(id).copied()
    }
}

impl<T> Deref for Shelf<T> {
    type Target = [Filed<T>];

    fn deref(&self) -> &[Filed<T>] {
        &self.files
    }
}

impl<'a, T> IntoIterator for &'a Shelf<T> {
    type Item = &'a Filed<T>;
    type IntoIter = std::slice::Iter<'a, Filed<T>>;

    fn into_iter(self) -> Self::IntoIter {
        self.files.iter()
    }
}
