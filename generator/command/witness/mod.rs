//! `pitwright witness`: a trainer watched somebody do it.

mod told;

use super::entry::{Answerable, Desk, Wanted, enter_read_back};
use super::opening::failed;
use super::{Outcome, Voice};
use crate::marking::{Marking, Sheet};
use crate::record::{Deed, StepSeen, What, Witnessing, code, entry_name};
use crate::register::NotEntered;
use crate::standing::voids;
use serde_json::json;
use std::collections::BTreeSet;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("how").required(true).args(["met", "not_met", "prompted", "step"]))]
#[command(group = clap::ArgGroup::new("setting").required(true).args(["real", "staged"]))]
pub struct Args {
    /// The code of the person who was watched.
    person: String,
    /// The id of the competency.
    competency: String,
    /// Done as it should be, without help: every step, but those that the sheet marks as not coming up when staged, and those that
    /// are done only if something shows.
    #[arg(long)]
    met: bool,
    /// Not done as it should be.
    #[arg(long)]
    not_met: bool,
    /// Done, but with a hint on the way.
    #[arg(long)]
    prompted: bool,
    /// How steps of the sheet went: met, prompted, not-met or not-seen (it did not come up, or was only told). Several at once as 4,7-9=not-seen. Steps not named
    /// are as with --met; the whole follows.
    #[arg(long, value_name = "N=HOW", value_parser = marked)]
    step: Vec<Marked>,
    /// On a real call.
    #[arg(long)]
    real: bool,
    /// Staged for the purpose.
    #[arg(long)]
    staged: bool,
    /// On a real call of somebody who might not do it at all; why is its note. It is kept on record and counts for nothing, but one not met still does.
    #[arg(long, conflicts_with = "staged")]
    out_of_turn: bool,
    /// It is another one, though one of that day is on record.
    #[arg(long)]
    another: bool,
    /// The sheet was changed since that day, and the marks are by the numbers of the old one.
    #[arg(long)]
    old_sheet: bool,
    #[command(flatten)]
    answerable: Answerable,
}

/// Steps, by number, and how they went.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Marked {
    numbers: Vec<usize>,
    how: StepSeen,
}

/// Adds one witnessed performance and reads it back, or says why not.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = (|| {
        let who = code(&args.person).map_err(|why| why.to_string())?;
        let desk = Desk::open(&args.answerable)?;
        sheet_held(args, &desk)?;
        let seen = seen(args, desk.marking()?)?;
        let like = if args.another {
            None
        } else {
            of_that_day(&desk, &who, &seen)?
        };
        Ok::<_, String>((who, desk, seen, like))
    })();
    let (who, desk, seen, like) = match ready {
        Ok(ready) => ready,
        Err(why) => return failed(voice, why),
    };
    match like {
        Some(OfThatDay::Same(id)) => return already(&who, &seen, &id, &desk, voice),
        Some(OfThatDay::Other(why)) => return failed(voice, why),
        None => {}
    }
    let wanted = Wanted::of(who, What::Witnessed(seen.clone()));
    enter_read_back(desk, wanted, voice, |statement, desk, voice| {
        told::read_back(statement, &seen, desk, voice);
    })
}

fn already(who: &str, seen: &Witnessing, id: &str, desk: &Desk, voice: &mut Voice) -> Outcome {
    if voice.json {
        voice.say_json(&json!({ "entered": null, "alreadyThere": id }));
        return Outcome::Clean;
    }
    voice.say(format!(
        "Already there: {}, {who} was watched at {} by {} on {}: {seen}. Nothing was entered, and it counts once. Was it another one of that day? Then say --another.",
        entry_name(id),
        seen.competency,
        desk.by,
        desk.day.date
    ));
    Outcome::Clean
}

/// Marks go by numbers, and the numbers by the sheet of the day: whoever enters a day late may hold another one.
fn sheet_held(args: &Args, desk: &Desk) -> Result<(), String> {
    let by_steps = args.met || !args.step.is_empty();
    let sheet = |marking: &Marking| marking.competency(&args.competency)?.sheet.clone();
    let then = sheet(desk.marking()?);
    let now = desk.register.markings().newest().and_then(|(_, newest)| sheet(newest));
    let (Some(then), Some(now)) = (then, now) else {
        return Ok(());
    };
    if args.old_sheet || !by_steps || then.steps == now.steps {
        return Ok(());
    }
    Err(format!(
        "the watch sheet of {} was another one on {}: {}, and the newest has {}. Marks are by the numbers of that day's sheet, which stands below; if yours are, say --old-sheet\n{}",
        args.competency,
        desk.day.date,
        how_many(&then),
        how_many(&now),
        listed(&then)
    ))
}

fn how_many(sheet: &Sheet) -> String {
    match sheet.steps.len() {
        1 => "1 step".to_owned(),
        many => format!("{many} steps"),
    }
}

/// The steps of a sheet, one line each.
fn listed(sheet: &Sheet) -> String {
    let numbered = sheet.steps.iter().zip(1..);
    let lines: Vec<String> = numbered
        .map(|(says, number)| format!("  {number:>2}  {says}"))
        .collect();
    lines.join("\n")
}

/// What is on record of the same competency, day and setting.
enum OfThatDay {
    /// The same in all that is entered: its id.
    Same(String),
    /// Another, or the same with other marks: only whoever watched knows, so it is asked.
    Other(String),
}

/// The last performance of that day that this one may be, entered before.
fn of_that_day(desk: &Desk, who: &str, seen: &Witnessing) -> Result<Option<OfThatDay>, String> {
    let statements = desk.register.statements().map_err(|why| why.to_string())?;
    let details = desk.register.details().map_err(|why| why.to_string())?;
    let own = statements.iter().filter(|statement| statement.person == who);
    let voids = voids(own.clone());
    let note = desk.note().map(str::trim);
    let mut last = None;
    for one in own {
        let Deed::Entered(event) = &one.deed else {
            continue;
        };
        let What::Witnessed(before) = &event.what else {
            continue;
        };
        let alike = before.competency == seen.competency && before.real == seen.real;
        if !alike || desk.day.date_of(one.timestamp) != desk.day.date || voids.contains_key(one.id.as_str()) {
            continue;
        }
        let kept = event.details.as_ref().and_then(|digest| details.get(digest));
        let noted = kept.and_then(|details| details.note.as_deref()).map(str::trim);
        if event.by == desk.by && noted == note && before == seen {
            return Ok(Some(OfThatDay::Same(one.id.clone())));
        }
        last = Some(OfThatDay::Other(format!(
            "{who} was watched at {} on {} already, by {}: {before}. Is this the same one, with other marks? Then void that first: `pitwright void {} --by {} --note WHY`. Is it another one of that day? Then say --another.",
            seen.competency,
            desk.day.date,
            event.by,
            entry_name(&one.id),
            desk.by
        )));
    }
    Ok(last)
}

/// What was watched, as the arguments say it.
fn seen(args: &Args, marking: &Marking) -> Result<Witnessing, String> {
    let id = &args.competency;
    let known = marking
        .competency(id)
        .ok_or_else(|| NotEntered::no_competency(id, marking).to_string())?;
    let steps = match &known.sheet {
        // Of a whole that was not met or prompted, nobody knows which of its steps were.
        Some(sheet) if args.met || !args.step.is_empty() => steps(&args.step, id, sheet, args.staged)?,
        None if !args.step.is_empty() => {
            return Err(format!(
                "{id} has no sheet of steps: say --met, --prompted or --not-met"
            ));
        }
        _ => Vec::new(),
    };
    // Help on the way means that the standard, doing it alone, was not met.
    let (met, prompted) = if steps.is_empty() {
        (args.met, args.prompted)
    } else {
        Witnessing::of_steps(&steps)
    };
    Ok(Witnessing {
        competency: id.clone(),
        met,
        prompted,
        real: args.real,
        out_of_turn: args.out_of_turn,
        steps,
    })
}

/// Reads `3=prompted` and `4,7-9=not-seen`.
fn marked(text: &str) -> Result<Marked, String> {
    let read = |text: &str| {
        let (numbers, how) = text.split_once('=')?;
        let mut all = Vec::new();
        for part in numbers.split(',') {
            let (first, last) = part.split_once('-').unwrap_or((part, part));
            let (first, last): (usize, usize) = (first.trim().parse().ok()?, last.trim().parse().ok()?);
            // No sheet has so many steps; a slip of the finger names a million.
            if last < first || last - first > 999 {
                return None;
            }
            all.extend(first..=last);
        }
        Some(Marked {
            numbers: all,
            how: StepSeen::from_word(how.trim())?,
        })
    };
    read(text).ok_or_else(|| {
        if text.matches('=').count() > 1 {
            return format!(
                "`{text}` says two things: give each a --step of its own, as in --step 3=prompted --step 7-9=not-seen"
            );
        }
        let words: Vec<String> = StepSeen::ALL.iter().map(|how| format!("3={}", how.word())).collect();
        format!("`{text}` does not say how a step went: write {}", words.join(", "))
    })
}

/// How every step of the competency's sheet went.
fn steps(named: &[Marked], competency: &str, sheet: &Sheet, staged: bool) -> Result<Vec<StepSeen>, String> {
    let mut steps: Vec<StepSeen> = (1..)
        .zip(&sheet.steps)
        .map(|(number, _)| {
            let left_out = sheet.conditional.contains(&number) || staged && sheet.not_staged.contains(&number);
            if left_out { StepSeen::NotSeen } else { StepSeen::Met }
        })
        .collect();
    let mut done = BTreeSet::new();
    for (number, how) in named
        .iter()
        .flat_map(|one| one.numbers.iter().map(|number| (*number, one.how)))
    {
        if !done.insert(number) {
            return Err(format!("step {number} is named twice"));
        }
        match number.checked_sub(1).and_then(|index| steps.get_mut(index)) {
            Some(step) => *step = how,
            None => {
                return Err(format!(
                    "there is no step {number}; the sheet of {competency} (lesson {}) has {}, 1 to {}\n{}",
                    sheet.lesson,
                    how_many(sheet),
                    sheet.steps.len(),
                    listed(sheet)
                ));
            }
        }
    }
    if steps.iter().all(|step| *step == StepSeen::NotSeen) {
        return Err("none of the steps was seen, so there is nothing to enter".to_owned());
    }
    Ok(steps)
}
