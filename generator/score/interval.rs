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

/// The Clopper–Pearson interval at 95 % for `right` of `tried`: the bounds at which the binomial tail beyond what was seen
/// has a chance of 2.5 %, so that it never covers too little. The whole range where nothing was tried.
///
/// Source: C. J. Clopper, E. S. Pearson, "The use of confidence or fiducial limits illustrated in the case of the
/// binomial", Biometrika 26, 1934. Shown beside results, never decides one.
pub fn clopper_pearson(right: u32, tried: u32) -> Interval {
    const TAIL: f64 = 0.025;
    let right = right.min(tried);
    // The chance of at least as many as were seen rises with the share, that of at most as many falls.
    let low = if right == 0 {
        0.0
    } else {
        rise(|share| at_least(right, tried, share), TAIL)
    };
    let high = if right == tried {
        1.0
    } else {
        rise(|share| at_least(right + 1, tried, share), 1.0 - TAIL)
    };
    Interval { low, high }
}

/// The chance of `least` or more of `tried`, each with chance `share`, 0 < `share` < 1.
fn at_least(least: u32, tried: u32, share: f64) -> f64 {
    let n = f64::from(tried);
    // Logarithms, since the first terms of a long test are too small for a double.
    let mut term = n * (1.0 - share).ln();
    let mut below = 0.0;
    for count in 0..least {
        below += term.exp();
        let k = f64::from(count);
        term += ((n - k) / (k + 1.0)).ln() + (share / (1.0 - share)).ln();
    }
    1.0 - below
}

/// Where a function that rises over 0 to 1 reaches `value`.
fn rise(chance: impl Fn(f64) -> f64, value: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    // Each turn halves what is left; after 60 it is below the grain of a double near 1.
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if chance(middle) < value {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}
