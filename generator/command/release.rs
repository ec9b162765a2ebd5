//! `pitwright release`: a trainer allows more tries at an assessment.

use super::entry::{Answerable, Desk, Wanted, enter_one};
use super::opening::failed;
use super::{Outcome, Voice};
use crate::marking::{Evidence, Marking};
use crate::record::{What, code};
use crate::register::NotEntered;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The code of the person.
    person: String,
    /// The id of the bank, scenario or drill; bank:ID, scenario:ID or drill:ID where several have it.
    assessment: String,
    /// How many more.
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=10))]
    more: u32,
    #[command(flatten)]
    answerable: Answerable,
}

/// Enters the release, and says how many tries are left.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = (|| {
        let who = code(&args.person).map_err(|why| why.to_string())?;
        let desk = Desk::open(&args.answerable)?;
        let assessment = assessment(&args.assessment, desk.marking()?)?;
        Ok::<_, String>((who, desk, assessment))
    })();
    match ready {
        Ok((who, desk, assessment)) => {
            let what = What::Released {
                assessment,
                more: args.more,
            };
            enter_one(desk, Wanted::of(who, what), voice)
        }
        Err(why) => failed(voice, why),
    }
}

/// The assessment that a word names.
fn assessment(word: &str, marking: &Marking) -> Result<Evidence, String> {
    let all = marking.assessments();
    let names = |one: &Evidence| match word.split_once(':') {
        Some((sort, id)) => one.sort() == sort && one.id() == id,
        None => one.id() == word,
    };
    let found: Vec<&Evidence> = all
        .iter()
        .map(|known| &known.evidence)
        .filter(|one| names(one))
        .collect();
    match found.as_slice() {
        [one] => Ok((*one).clone()),
        [] => Err(NotEntered::nothing(&Evidence::SORTS, word, marking).to_string()),
        several => {
            let sorts: Vec<&str> = several.iter().map(|one| one.sort()).collect();
            let written: Vec<String> = sorts.iter().map(|sort| format!("{sort}:{word}")).collect();
            Err(format!(
                "`{word}` is a {}: write {}",
                sorts.join(" and a "),
                written.join(" or ")
            ))
        }
    }
}
