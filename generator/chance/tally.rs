//! How many of several things come about.

/// The chance that at least `least` of several independent things come about, each with its own chance: the upper tail of the Poisson binomial
/// distribution (S. D. Poisson, "Recherches sur la probabilité des jugements", 1837; the source is named from memory), by convolution. With equal
/// chances it is the binomial.
pub fn at_least(chances: &[f64], least: usize) -> f64 {
    // `sums[k]`: the chance that k of those looked at so far came about.
    let mut sums = vec![1.0];
    for chance in chances {
        let mut next = vec![0.0; sums.len() + 1];
        for (number, of) in sums.iter().enumerate() {
            next[number] += of * (1.0 - chance);
            next[number + 1] += of * chance;
        }
        sums = next;
    }
    sums.iter().skip(least).sum()
}
