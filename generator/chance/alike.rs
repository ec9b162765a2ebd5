//! How much two forms of a bank have in common.

/// The chance that two forms, drawn independently, share at least `least` questions. `pools` holds, for each row of the blueprint, how
/// many questions there are and how many a form takes of them.
///
/// In each row the number shared is hypergeometric: of the n questions k lie in the first form, and the second takes k of the n. Rows are
/// drawn independently of each other, so their numbers add up by convolution.
pub fn shared_at_least(pools: &[(usize, usize)], least: usize) -> f64 {
    let mut sums = vec![1.0];
    for (there, taken) in pools {
        let row = hypergeometric(*there, *taken);
        let mut next = vec![0.0; sums.len() + taken];
        for (sum, chance) in sums.iter().enumerate() {
            for (shared, of) in row.iter().enumerate() {
                next[sum + shared] += chance * of;
            }
        }
        sums = next;
    }
    sums.iter().skip(least).sum()
}

/// The chance of each number from 0 to `taken` of questions in both of two draws of `taken` out of `there`:
/// C(k, s)·C(n − k, k − s) / C(n, k).
///
/// Built up from one question to the next, so that no binomial coefficient grows beyond what a double holds.
fn hypergeometric(there: usize, taken: usize) -> Vec<f64> {
    let mut chances = vec![0.0; taken + 1];
    chances[0] = 1.0;
    // The second form takes its questions one by one; `drawn` of them are taken, `shared` of those lie in the first form.
    for drawn in 0..taken {
        for shared in (0..=drawn).rev() {
            let chance = std::mem::take(&mut chances[shared]);
            let hit = ratio(taken - shared, there - drawn);
            chances[shared + 1] += chance * hit;
            chances[shared] += chance * (1.0 - hit);
        }
    }
    chances
}

#[expect(clippy::cast_precision_loss, reason = "banks hold far fewer than 2^52 questions")]
fn ratio(of: usize, all: usize) -> f64 {
    of as f64 / all.max(1) as f64
}
