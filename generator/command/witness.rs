//! `pitwright witness`: a trainer watched somebody do it.

use super::entry::{Answerable, Desk, Wanted, enter_read_back, stands};
use super::opening::failed;
use super::{Outcome, Voice};
use crate::marking::{Competency, Marking, Sheet};
use crate::record::{Deed, Statement, StepSeen, What, Witnessing, code, entry_name};
use crate::register::NotEntered;
use crate::standing::{Competence, May, Person, voids};
use serde_json::{Value, json};
use std::collections::BTreeSet;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("how").required(true).args(["met", "not_met", "prompted", "step"]))]
#[command(group = clap::ArgGroup::new("setting").required(true).args(["real", "staged"]))]
pub struct Args {
    /// The code of the person who was watched.
    person: String,
    /// The id of the competency.
    competency: String,
    /// Done as it should be, without help: every step, but those that the sheet marks as not coming up when staged.
    #[arg(long)]
    met: bool,
    /// Not done as it should be.
    #[arg(long)]
    not_met: bool,
    /// Done, but with a hint on the way.
    #[arg(long)]
    prompted: bool,
    /// How steps of the sheet went: met, prompted, not-met or not-seen (it did not come up, or was only told). Several at once as 4,7-9=not-seen. Steps not named
    /// were met, as with --met; the whole follows.
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
    /// It is another one of the same day, and went the same way.
    #[arg(long)]
    another: bool,
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
        let seen = seen(args, desk.marking()?)?;
        let like = if args.another { None } else { same(&desk, &who, &seen)? };
        Ok::<_, String>((who, desk, seen, like))
    })();
    let (who, desk, seen, like) = match ready {
        Ok(ready) => ready,
        Err(why) => return failed(voice, why),
    };
    if let Some(id) = like {
        return already(&who, &seen, &id, &desk, voice);
    }
    let wanted = Wanted::of(who, What::Witnessed(seen.clone()));
    enter_read_back(desk, wanted, voice, |statement, desk, voice| {
        read_back(statement, &seen, desk, voice);
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

/// The same performance, entered before: same day, same trainer, same result, same note.
fn same(desk: &Desk, who: &str, seen: &Witnessing) -> Result<Option<String>, String> {
    let statements = desk.register.statements().map_err(|why| why.to_string())?;
    let details = desk.register.details().map_err(|why| why.to_string())?;
    let own = statements.iter().filter(|statement| statement.person == who);
    let voids = voids(own.clone());
    let note = desk.note().map(str::trim);
    let found =
        own.filter(|one| desk.day.date_of(one.timestamp) == desk.day.date && !voids.contains_key(one.id.as_str()));
    let found = found.filter(|statement| match &statement.deed {
        Deed::Entered(event) => {
            let kept = event.details.as_ref().and_then(|digest| details.get(digest));
            let noted = kept.and_then(|details| details.note.as_deref()).map(str::trim);
            event.by == desk.by && noted == note && matches!(&event.what, What::Witnessed(before) if before == seen)
        }
        _ => false,
    });
    Ok(found.last().map(|statement| statement.id.clone()))
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
        let words: Vec<String> = StepSeen::ALL.iter().map(|how| format!("3={}", how.word())).collect();
        format!("`{text}` does not say how a step went: write {}", words.join(", "))
    })
}

/// How every step of the competency's sheet went.
fn steps(named: &[Marked], competency: &str, sheet: &Sheet, staged: bool) -> Result<Vec<StepSeen>, String> {
    let mut steps: Vec<StepSeen> = (1..)
        .zip(&sheet.steps)
        .map(|(number, _)| match staged && sheet.not_staged.contains(&number) {
            true => StepSeen::NotSeen,
            false => StepSeen::Met,
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
                let listed = sheet.steps.iter().zip(1..);
                let listed: Vec<String> = listed.map(|(says, number)| format!("  {number:>2}  {says}")).collect();
                return Err(format!(
                    "there is no step {number}; the sheet of {competency} (lesson {}) has {}\n{}",
                    sheet.lesson,
                    match listed.len() {
                        1 => "1 step".to_owned(),
                        many => format!("{many} steps, 1 to {many}"),
                    },
                    listed.join("\n")
                ));
            }
        }
    }
    if steps.iter().all(|step| *step == StepSeen::NotSeen) {
        return Err("none of the steps was seen, so there is nothing to enter".to_owned());
    }
    Ok(steps)
}

/// Says what was written, what it counts as, and what is still missing.
fn read_back(statement: &Statement, seen: &Witnessing, desk: &Desk, voice: &mut Voice) {
    let person = desk.person(&statement.person).ok().flatten();
    let competence = person.as_ref().and_then(|person| person.competence(&seen.competency));
    let marking = desk.marking().ok();
    let known = marking.and_then(|marking| marking.competency(&seen.competency));
    let counts = competence
        .zip(known)
        .map(|(competence, known)| counts(statement, competence, known));
    let warnings = match (&person, marking, known) {
        (Some(person), Some(marking), Some(known)) => warnings(person, marking, known, seen),
        _ => Vec::new(),
    };
    if voice.json {
        let body: Value = serde_json::from_str(&statement.body).unwrap_or(Value::Null);
        let counts = counts.map(|(counts, says)| json!({ "counts": counts, "says": says }));
        voice.say_json(&json!({ "entered": body, "standing": competence, "counts": counts, "warnings": warnings }));
        return;
    }
    let name = person.as_ref().and_then(|person| person.name.as_deref());
    let who = name.map_or_else(
        || statement.person.clone(),
        |name| format!("{} ({name})", statement.person),
    );
    voice.say(format!(
        "Entered {}: {who} {}, on {}.",
        statement.id,
        statement.about(),
        desk.day.date
    ));
    if let Some(known) = known {
        voice.say(format!("  “{}”", known.says));
        steps_back(seen, known, voice);
    }
    if let Some((_, says)) = counts {
        voice.say(format!("  {says}"));
    }
    if let Some(competence) = competence {
        stands(competence, voice);
    }
    for warning in warnings {
        voice.tell(format!("warning: {warning}"));
    }
}

/// Each step that was not simply met, in its own words.
fn steps_back(seen: &Witnessing, known: &Competency, voice: &mut Voice) {
    let Some(sheet) = known.sheet.as_ref().filter(|_| !seen.steps.is_empty()) else {
        return;
    };
    voice.say(format!(
        "  steps met: {} of {}",
        seen.steps_that(StepSeen::Met).len(),
        seen.steps.len()
    ));
    for (number, (how, says)) in (1..).zip(seen.steps.iter().zip(&sheet.steps)) {
        if *how != StepSeen::Met {
            voice.say(format!("  {number:>2} {}: {says}", how.word()));
        }
    }
}

/// Whether it counts, and as which one of how many, or why not.
fn counts(statement: &Statement, competence: &Competence, known: &Competency) -> (bool, String) {
    let due = known.witnessed;
    let found = competence.watchings.iter().find(|one| one.id == statement.id);
    if found.is_none_or(|one| !one.counts) {
        let why = found.map_or("", |one| one.says.as_str());
        return (false, format!("counts for nothing: {why}"));
    }
    // Which one it is in the order of time: a day may be entered late.
    let before = competence.watchings.iter().take_while(|one| one.id != statement.id);
    let number = before.filter(|one| one.counts).count() + 1;
    let real = match due.real {
        0 => String::new(),
        real => format!("; on real calls {} of {real}", competence.watched.real),
    };
    (true, format!("counts as {number} of {}{real}", due.times))
}

/// What whoever stands beside should know, though it hinders nothing.
fn warnings(person: &Person, marking: &Marking, known: &Competency, seen: &Witnessing) -> Vec<String> {
    let who = &person.person;
    let mut warnings = Vec::new();
    let may = |id: &str| person.competence(id).map(|competence| competence.may);
    if !seen.real && may(&known.id) == Some(May::Nothing) {
        warnings.push(format!(
            "{who} may not do {} at all yet, not even accompanied: what is to be read and passed comes before anything is staged",
            known.id
        ));
    }
    for lockout in marking.lockouts_under(known) {
        let shown = person.competence(&lockout.id);
        if shown.is_some_and(|shown| shown.may != May::Alone && shown.watched.met == 0) {
            warnings.push(format!(
                "before {who} works behind a guard, the staging sheet wants them to have locked out a sound pair with the trainer beside them: no watching of {} counts yet",
                lockout.id
            ));
        }
    }
    warnings
}
