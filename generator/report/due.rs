//! What falls due, of whom and when: one list, told on a page, in a table and in a calendar.

use crate::standing::{MachineInspections, Person, Progress};
use jiff::civil::Date;

/// Something that falls due or has lapsed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    pub kind: Kind,
    /// The last good day, or the first bad one: see [`Kind`]. None where something was asked for without a day.
    pub date: Option<Date>,
    /// The code of the person; none for a machine.
    pub person: Option<String>,
    pub name: Option<String>,
    /// The id of the competency, assignment's thing or machine.
    pub id: String,
    /// What the competency says, the title of what was assigned or of the machine.
    pub what: String,
    /// In a few words, how it stands.
    pub state: String,
    /// The day is over.
    pub over: bool,
    /// A name that stays the same from one report to the next.
    pub key: String,
}

/// What kind of thing falls due.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A signature that holds. The date is the first day on which it does not.
    Lapses,
    /// A signature no longer holds, or retraining fell due after it; who was never signed has nothing that lapses. The date is the day since when it is known.
    Retrain,
    /// An assignment that is not done. The date is its last day.
    Assigned,
    /// A machine's periodic inspection. The date is its last day.
    Inspection,
}

impl Kind {
    pub fn word(self) -> &'static str {
        match self {
            Self::Lapses => "lapses",
            Self::Retrain => "retrain",
            Self::Assigned => "assigned",
            Self::Inspection => "inspection",
        }
    }
}

/// Everything, by date; what has no date last.
pub fn due(people: &[&Person], machines: &[MachineInspections]) -> Vec<Due> {
    let mut all: Vec<Due> = people.iter().flat_map(|person| of_person(person)).collect();
    all.extend(machines.iter().map(|machine| Due {
        kind: Kind::Inspection,
        date: Some(machine.next_due),
        person: None,
        name: None,
        id: machine.machine.clone(),
        what: machine.title.clone(),
        state: match machine.last() {
            Some(last) => format!("last inspected on {} by {}", last.date, last.by),
            None => "never inspected".to_owned(),
        },
        over: machine.overdue,
        key: format!("inspection-{}", machine.machine),
    }));
    all.sort_by(|a, b| {
        (a.date.is_none(), a.date, a.kind, &a.person, &a.key).cmp(&(
            b.date.is_none(),
            b.date,
            b.kind,
            &b.person,
            &b.key,
        ))
    });
    all
}

fn of_person(person: &Person) -> Vec<Due> {
    let blank = |kind: Kind, date: Option<Date>, id: &str, what: &str, key: String| Due {
        kind,
        date,
        person: Some(person.person.clone()),
        name: person.name.clone(),
        id: id.to_owned(),
        what: what.to_owned(),
        state: String::new(),
        over: false,
        key,
    };
    let mut all = Vec::new();
    for one in &person.competencies {
        if let Some(lapses) = one.lapses {
            let key = format!("lapses-{}-{}", person.person, one.id);
            let state = if one.renewable { "can be signed again" } else { "holds" };
            all.push(Due {
                state: state.to_owned(),
                ..blank(Kind::Lapses, Some(lapses), &one.id, &one.says, key)
            });
        } else if one.is_to_be_renewed() {
            let key = format!("retrain-{}-{}", person.person, one.id);
            all.push(Due {
                state: one.standing.to_string(),
                over: true,
                ..blank(Kind::Retrain, one.retrain_since, &one.id, &one.says, key)
            });
        }
    }
    for assignment in person.assignments.iter().filter(|one| one.state != Progress::Done) {
        let key = format!("assigned-{}", assignment.id);
        all.push(Due {
            state: format!("assigned on {} by {}", assignment.on, assignment.by),
            over: assignment.state == Progress::Overdue,
            ..blank(
                Kind::Assigned,
                assignment.due,
                &assignment.thing.to_string(),
                &assignment.title,
                key,
            )
        });
    }
    all
}
