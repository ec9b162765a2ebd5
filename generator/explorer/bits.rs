//! Sets of small numbers, as bits of a few words.

/// How many numbers a set can hold.
pub const MOST: usize = 512;

const WORDS: usize = MOST / 64;

/// A set of numbers below [`MOST`].
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Set([u64; WORDS]);

impl Set {
    pub fn has(&self, number: usize) -> bool {
        (self.0[number / 64] >> (number % 64)) & 1 == 1
    }

    pub fn put(&mut self, number: usize) {
        self.0[number / 64] |= 1 << (number % 64);
    }

    pub fn of(number: usize) -> Self {
        let mut set = Self::default();
        set.put(number);
        set
    }

    pub fn count(&self) -> usize {
        self.0.iter().map(|word| word.count_ones() as usize).sum()
    }

    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|word| *word == 0)
    }

    fn zip(&self, other: &Self, with: impl Fn(u64, u64) -> u64) -> Self {
        let mut set = *self;
        for (word, other) in set.0.iter_mut().zip(other.0) {
            *word = with(*word, other);
        }
        set
    }

    /// What is in both.
    pub fn and(&self, other: &Self) -> Self {
        self.zip(other, |one, other| one & other)
    }

    /// What is in either.
    pub fn or(&self, other: &Self) -> Self {
        self.zip(other, |one, other| one | other)
    }

    /// What is not in the other.
    pub fn without(&self, other: &Self) -> Self {
        self.zip(other, |one, other| one & !other)
    }

    /// Adds what is in the other. What was not there before.
    pub fn add(&mut self, other: &Self) -> Self {
        let fresh = other.without(self);
        *self = self.or(other);
        fresh
    }

    /// The numbers, rising.
    pub fn each(self) -> impl Iterator<Item = usize> {
        self.0.into_iter().enumerate().flat_map(|(at, word)| {
            let mut left = word;
            std::iter::from_fn(move || {
                let bit = left.checked_ilog2().map(|_| left.trailing_zeros() as usize)?;
                left &= left - 1;
                Some(at * 64 + bit)
            })
        })
    }
}
