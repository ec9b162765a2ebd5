//! Which questions a form asks, in which order, from the attempt's seed.

use super::{BadSeed, Bank, Question, Xoshiro128};

/// One question of a form, as it was put.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked<'a> {
    pub question: &'a Question,
    /// The ids of what is shown, in the order shown: options, the right side of pairs, steps, spots; empty for a number.
    pub shown: Vec<&'a str>,
}

/// The form that a seed draws from a bank.
///
/// For each row of the blueprint in order, that competency's questions are shuffled and the first so many taken; then
/// the whole form is shuffled; then, in the order of the form, what each question shows ([`Kind::shown`](super::Kind::shown)).
///
/// # Errors
/// [`BadSeed`].
pub fn draw<'a>(bank: &'a Bank, seed: &str) -> Result<Vec<Asked<'a>>, BadSeed> {
    let mut random = Xoshiro128::from_hex(seed)?;
    let mut form = Vec::new();
    for row in &bank.draw {
        let mut pool: Vec<&Question> = bank
            .questions
            .iter()
            .filter(|question| question.competency == row.competency)
            .collect();
        random.shuffle(&mut pool);
        form.extend(pool.into_iter().take(row.count as usize));
    }
    random.shuffle(&mut form);
    Ok(form
        .into_iter()
        .map(|question| {
            let mut shown: Vec<&str> = question.kind.shown().iter().map(String::as_str).collect();
            random.shuffle(&mut shown);
            Asked { question, shown }
        })
        .collect())
}
