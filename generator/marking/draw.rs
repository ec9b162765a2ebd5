//! Which questions a form asks, in which order, from the attempt's seed.

use super::{BadSeed, Bank, Kind, Question, Xoshiro128};

/// One question of a form, as it was put.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked<'a> {
    pub question: &'a Question,
    /// The options' ids in the order shown; empty where the kind has none.
    pub options: Vec<&'a str>,
}

/// The form that a seed draws from a bank.
///
/// For each row of the blueprint in order, that competency's questions are shuffled and the first so many taken; then
/// the whole form is shuffled; then each question's options, in the order of the form.
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
            let mut options: Vec<&str> = match &question.kind {
                Kind::Choice { options, .. } => options.iter().map(String::as_str).collect(),
                Kind::Numeric { .. } => Vec::new(),
            };
            random.shuffle(&mut options);
            Asked { question, options }
        })
        .collect())
}
