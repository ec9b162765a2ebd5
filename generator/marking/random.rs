//! The generator behind every form: xoshiro128**, 32 bits wide so that a browser can run it too.
//!
//! Source: D. Blackman, S. Vigna, "Scrambled linear pseudorandom number generators", ACM Trans. Math. Softw. 47(4), 2021.
//! Shuffling: R. Durstenfeld, "Algorithm 235: Random permutation", Commun. ACM 7(7), 1964.

use std::fmt;

/// The generator's four words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Xoshiro128([u32; 4]);

/// A seed must be 32 hexadecimal digits, not all zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BadSeed;

impl fmt::Display for BadSeed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the seed is not 32 hexadecimal digits, or is all zero")
    }
}

impl std::error::Error for BadSeed {}

impl Xoshiro128 {
    /// A generator whose state is the seed's four big-endian words.
    ///
    /// # Errors
    /// [`BadSeed`].
    pub fn from_hex(seed: &str) -> Result<Self, BadSeed> {
        if seed.len() != 32 || !seed.bytes().all(|byte| byte.is_ascii_hexdigit()) {
            return Err(BadSeed);
        }
        let mut words = [0; 4];
        for (index, word) in words.iter_mut().enumerate() {
            *word = u32::from_str_radix(&seed[index * 8..index * 8 + 8], 16).map_err(|_| BadSeed)?;
        }
        if words == [0; 4] {
            return Err(BadSeed);
        }
        Ok(Self(words))
    }

    /// The next word.
    pub fn next_word(&mut self) -> u32 {
        let s = &mut self.0;
        let result = s[1].wrapping_mul(5).rotate_left(7).wrapping_mul(9);
        let t = s[1] << 9;
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= t;
        s[3] = s[3].rotate_left(11);
        result
    }

    /// A whole number below `bound`, each equally likely: words past the last whole multiple of `bound` are drawn again.
    /// A `bound` of 0 gives 0.
    pub fn below(&mut self, bound: u32) -> u32 {
        if bound == 0 {
            return 0;
        }
        let whole = (1u64 << 32) / u64::from(bound) * u64::from(bound);
        loop {
            let word = self.next_word();
            if u64::from(word) < whole {
                return word % bound;
            }
        }
    }

    /// Shuffles in place.
    pub fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            // A form has far fewer than 2^32 items; a longer slice would only be shuffled less well.
            let bound = u32::try_from(last + 1).unwrap_or(u32::MAX);
            items.swap(last, self.below(bound) as usize);
        }
    }
}
