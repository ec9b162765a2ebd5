//! `pitwright assign`: people are asked to study, pass or reach something.

use super::entry::{Answerable, Desk, Wanted, enter_all};
use super::opening::{date, failed};
use super::{Outcome, Voice};
use crate::marking::{Evidence, Marking};
use crate::record::{What, code};
use crate::register::{NotEntered, sorts_of};
use crate::standing::{Person, Progress, Standing, Task};
use jiff::civil::Date;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("who").required(true).args(["people", "job"]))]
#[command(group = clap::ArgGroup::new("what").required(true).multiple(true).args(["lesson", "bank", "scenario", "drill", "competency", "gap"]))]
pub struct Args {
    /// The codes of the people.
    people: Vec<String>,
    /// Everybody who has this job.
    #[arg(long, value_name = "ID")]
    job: Option<String>,
    /// Lessons to read; several with commas, or the option once for each.
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    lesson: Vec<String>,
    /// Banks to pass, likewise.
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    bank: Vec<String>,
    /// Scenarios to pass, likewise.
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    scenario: Vec<String>,
    /// Drills to pass, likewise.
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    drill: Vec<String>,
    /// Competencies to be signed off for, likewise.
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    competency: Vec<String>,
    /// Whatever lessons and assessments each person's job still asks for.
    #[arg(long, conflicts_with_all = ["lesson", "bank", "scenario", "drill", "competency"])]
    gap: bool,
    /// The last day for it.
    #[arg(long, value_name = "DATE", value_parser = date)]
    due: Option<Date>,
    #[command(flatten)]
    answerable: Answerable,
}

/// Assigns what is not assigned and open already.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = (|| {
        let desk = Desk::open(&args.answerable)?;
        if let Some(due) = args.due.filter(|due| *due < desk.day.date) {
            return Err(format!("{due} is past on {}: give a later --due", desk.day.date));
        }
        let mut plan = Plan::default();
        for (who, person) in args.people(&desk)? {
            let tasks = args.tasks(&who, person.as_ref(), desk.marking()?, &mut plan.skipped)?;
            plan.add(&who, person.as_ref(), tasks, args.due);
        }
        Ok::<_, String>((desk, plan))
    })();
    match ready {
        Ok((desk, plan)) => enter_all(desk, &plan.wanted, &plan.skipped, voice),
        Err(why) => failed(voice, why),
    }
}

/// What is to be assigned, and what is not and why.
#[derive(Default)]
struct Plan {
    wanted: Vec<Wanted>,
    skipped: Vec<String>,
}

impl Plan {
    fn add(&mut self, who: &str, person: Option<&Person>, tasks: Vec<Task>, due: Option<Date>) {
        for task in tasks {
            let open = person.and_then(|person| {
                person
                    .assignments
                    .iter()
                    .find(|known| known.thing == task && known.state != Progress::Done)
            });
            match open {
                Some(known) => self.skipped.push(format!(
                    "{who} has {task} to do already{}",
                    known.due.map_or(String::new(), |due| format!(", due {due}"))
                )),
                None => self.wanted.push(Wanted::of(
                    who,
                    What::Assigned {
                        thing: task.thing(),
                        due,
                    },
                )),
            }
        }
    }
}

/// Refuses the id of a thing where a person's code is due: a second id after an option has a space before it.
fn no_thing(typed: &str, marking: &Marking) -> Result<(), String> {
    match sorts_of(typed, marking).first() {
        None => Ok(()),
        Some(sort) => Err(format!(
            "{typed} is a {sort} of the course and not a person's code: name several with commas and no space, as in --{sort} {typed},ANOTHER"
        )),
    }
}

impl Args {
    /// The people meant, each once; none where nothing is on record of one, which entering will say.
    fn people(&self, desk: &Desk) -> Result<Vec<(String, Option<Person>)>, String> {
        let Some(job) = &self.job else {
            let mut codes = Vec::new();
            let marking = desk.marking()?;
            for typed in &self.people {
                no_thing(typed, marking)?;
                let code = code(typed).map_err(|why| why.to_string())?;
                if !codes.contains(&code) {
                    codes.push(code);
                }
            }
            return codes
                .into_iter()
                .map(|code| {
                    let person = desk.person(&code)?;
                    Ok((code, person))
                })
                .collect();
        };
        let marking = desk.marking()?;
        if marking.jobs.iter().all(|known| known.id != *job) {
            return Err(NotEntered::nothing(&["job"], job, marking).to_string());
        }
        let mut people = desk.people()?;
        people.retain(|person| person.job.as_ref() == Some(job));
        if people.is_empty() {
            return Err(format!(
                "nobody has the job `{job}`: `pitwright join CODE --job {job}` gives it to somebody"
            ));
        }
        Ok(people
            .into_iter()
            .map(|person| (person.person.clone(), Some(person)))
            .collect())
    }

    /// What one person is to do, each thing once.
    fn tasks(
        &self,
        who: &str,
        person: Option<&Person>,
        marking: &Marking,
        skipped: &mut Vec<String>,
    ) -> Result<Vec<Task>, String> {
        let mut tasks: Vec<Task> = Vec::new();
        if self.gap {
            let job = person.and_then(|person| person.job.as_ref());
            let job = marking.jobs.iter().find(|known| Some(&known.id) == job).ok_or_else(|| {
                format!("{who} has no job that the outline names, so there is no gap to see: `pitwright join {who} --job ID` gives one")
            })?;
            let needed = job.competencies.iter().filter_map(|id| person?.competence(id));
            for competence in needed.filter(|known| known.standing != Standing::Signed) {
                tasks.extend(competence.lacks.iter().cloned());
            }
            if tasks.is_empty() {
                skipped.push(format!(
                    "{who} lacks no lesson and no assessment for the job {}",
                    job.id
                ));
            }
        } else {
            tasks.extend(self.lesson.iter().cloned().map(Task::Lesson));
            let banks = self.bank.iter().cloned().map(Evidence::Bank);
            let scenarios = self.scenario.iter().cloned().map(Evidence::Scenario);
            let drills = self.drill.iter().cloned().map(Evidence::Drill);
            tasks.extend(banks.chain(scenarios).chain(drills).map(Task::Assessment));
            tasks.extend(self.competency.iter().cloned().map(Task::Competency));
        }
        let mut seen = std::collections::BTreeSet::new();
        tasks.retain(|task| seen.insert(task.clone()));
        Ok(tasks)
    }
}
