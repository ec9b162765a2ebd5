//! Wilson and Clopper–Pearson intervals against SciPy and statsmodels.

use pitwright::score::{clopper_pearson, wilson};

/// (right, tried, low, high) at 95 %. `scipy.stats.binomtest(…).proportion_ci(method="wilson")` of SciPy 1.17.1 and
/// `statsmodels.stats.proportion.proportion_confint(method="wilson")` of 0.15.0 both give these. The first four are cases of
/// table I of R. G. Newcombe, Statistics in Medicine 17, 1998 (which cases they are is from memory).
const PUBLISHED: [(u32, u32, f64, f64); 7] = [
    (81, 263, 0.255_289, 0.366_210),
    (15, 148, 0.062_386, 0.160_487),
    (0, 20, 0.0, 0.161_125),
    (1, 29, 0.006_113, 0.171_755),
    (8, 10, 0.490_162, 0.943_318),
    (10, 10, 0.722_467, 1.0),
    (45, 50, 0.786_398, 0.956_524),
];

#[test]
fn wilson_intervals_are_the_published_ones() {
    for (right, tried, low, high) in PUBLISHED {
        let found = wilson(right, tried);
        assert!(
            (found.low - low).abs() < 1e-6 && (found.high - high).abs() < 1e-6,
            "{right} of {tried}: {found:?}, published {low} to {high}"
        );
    }
}

#[test]
fn nothing_tried_says_nothing() {
    for found in [wilson(0, 0), clopper_pearson(0, 0)] {
        assert_eq!(
            (found.low.to_bits(), found.high.to_bits()),
            (0f64.to_bits(), 1f64.to_bits())
        );
    }
}

/// (right, tried, low, high) at 95 %. `scipy.stats.binomtest(…).proportion_ci(method="exact")` of SciPy 1.17.1 and
/// `statsmodels.stats.proportion.proportion_confint(method="beta")` of 0.15.0 both give these.
const EXACT: [(u32, u32, f64, f64); 6] = [
    (81, 263, 0.252_737, 0.367_622),
    (15, 148, 0.057_844, 0.161_650),
    (0, 20, 0.0, 0.168_433),
    (1, 29, 0.000_873, 0.177_644),
    (8, 10, 0.443_905, 0.974_789),
    (10, 10, 0.691_503, 1.0),
];

#[test]
fn clopper_pearson_intervals_are_the_published_ones() {
    for (right, tried, low, high) in EXACT {
        let found = clopper_pearson(right, tried);
        assert!(
            (found.low - low).abs() < 1e-6 && (found.high - high).abs() < 1e-6,
            "{right} of {tried}: {found:?}, published {low} to {high}"
        );
    }
}

/// Closed form: with none of n right the upper bound is 1 − 0.025^(1/n); with all of them right, the mirror of it.
#[test]
fn with_none_or_all_right_the_exact_bound_has_a_closed_form() {
    for tried in [1u32, 2, 7, 59, 400, 5000] {
        let bound = 1.0 - 0.025f64.powf(1.0 / f64::from(tried));
        let (none, all) = (clopper_pearson(0, tried), clopper_pearson(tried, tried));
        assert!((none.high - bound).abs() < 1e-9, "{tried}: {none:?}, {bound}");
        assert!((all.low - (1.0 - bound)).abs() < 1e-9, "{tried}: {all:?}, {bound}");
    }
}
