//! Decimal numbers as people write them, held exactly.

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::str::FromStr;

/// A decimal number with at most six decimal places and a magnitude of at most 10^9, held in whole millionths.
///
/// The bounds keep every sum and difference below 2^53, so that the browser, which counts in doubles, gets the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Decimal(i64);

const PLACES: usize = 6;
const MILLION: i64 = 1_000_000;
const MOST: i64 = 1_000_000_000 * MILLION;

/// The text is not a [`Decimal`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NotADecimal;

impl fmt::Display for NotADecimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("not a number written like 12 or 12.5, with at most six decimal places and no more than 1000000000")
    }
}

impl std::error::Error for NotADecimal {}

impl Decimal {
    /// The number in whole millionths, within ±10^15.
    pub const fn millionths(self) -> i64 {
        self.0
    }

    /// A number from whole millionths, unless it is out of range.
    pub const fn from_millionths(millionths: i64) -> Option<Self> {
        if millionths.unsigned_abs() <= MOST.unsigned_abs() {
            Some(Self(millionths))
        } else {
            None
        }
    }

    /// Whether `other` lies within `tolerance` of this number, edges included.
    pub fn within(self, tolerance: Self, other: Self) -> bool {
        (self.0 - other.0).abs() <= tolerance.0
    }
}

impl FromStr for Decimal {
    type Err = NotADecimal;

    /// Reads `-?[0-9]+(\.[0-9]+)?` and nothing else: no exponent, no plus sign, no spaces.
    fn from_str(text: &str) -> Result<Self, NotADecimal> {
        let (negative, digits) = match text.strip_prefix('-') {
            Some(rest) => (true, rest),
            None => (false, text),
        };
        let (whole, fraction) = match digits.split_once('.') {
            Some((_, "")) => return Err(NotADecimal),
            Some((whole, fraction)) => (whole, fraction),
            None => (digits, ""),
        };
        let all_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
        if whole.is_empty() || !all_digits(whole) || !all_digits(fraction) || fraction.len() > PLACES {
            return Err(NotADecimal);
        }
        let whole: i64 = whole.parse().map_err(|_| NotADecimal)?;
        let fraction: i64 = format!("{fraction:0<PLACES$}").parse().map_err(|_| NotADecimal)?;
        let size = whole
            .checked_mul(MILLION)
            .and_then(|millionths| millionths.checked_add(fraction))
            .ok_or(NotADecimal)?;
        Self::from_millionths(if negative { -size } else { size }).ok_or(NotADecimal)
    }
}

impl fmt::Display for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let size = self.0.unsigned_abs();
        let (whole, fraction) = (size / MILLION.unsigned_abs(), size % MILLION.unsigned_abs());
        let fraction = format!("{fraction:06}");
        match fraction.trim_end_matches('0') {
            "" => write!(f, "{sign}{whole}"),
            fraction => write!(f, "{sign}{whole}.{fraction}"),
        }
    }
}

impl Serialize for Decimal {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Decimal {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?
            .parse()
            .map_err(serde::de::Error::custom)
    }
}
