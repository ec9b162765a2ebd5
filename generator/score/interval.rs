//! How far a small number of tries can be trusted.

/// Two bounds of a proportion, each from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    pub low: f64,
    pub high: f64,
}

/// The Wilson score interval at 95 % for `right` of `tried`; the whole range where nothing was tried.
///
/// Source: E. B. Wilson, "Probable inference, the law of succession, and statistical inference", JASA 22, 1927;
/// compared with others by R. G. Newcombe, Statistics in Medicine 17, 1998. Shown beside results, never decides one.
pub fn wilson(right: u32, tried: u32) -> Interval {
    /// The 97.5 % point of the normal distribution.
    const Z: f64 = 1.959_963_984_540_054;
    if tried == 0 {
        return Interval { low: 0.0, high: 1.0 };
    }
    let n = f64::from(tried);
    let p = f64::from(right.min(tried)) / n;
    let z2 = Z * Z;
    let middle = (p + z2 / (2.0 * n)) / (1.0 + z2 / n);
    let half = Z * (p * (1.0 - p) / n + z2 / (4.0 * n * n)).sqrt() / (1.0 + z2 / n);
    Interval {
        low: (middle - half).max(0.0),
        high: (middle + half).min(1.0),
    }
}
