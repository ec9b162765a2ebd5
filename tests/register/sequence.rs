//! Invented lives: acts one after another, written down twice, as statements for the fold under test and as plain facts
//! for the naive one.

use super::acts::{Act, Fact, Happened, STEPS, Seen, Taught, Tried, Variant, Way};
use super::drilled::{DRILL, by_the_book, then};
use super::made::{Device, End, HOME, SEEDS, day, entry, right, wrong};
use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use pitwright::marking::Evidence;
use pitwright::record::{Event, Inspection, Occasion, Statement, StepSeen, Thing, Trigger, What, Witnessing};
use pitwright::standing::{Competence, Markings, Person, person};
use serde_json::{Value, json};
use std::collections::{BTreeMap, HashMap};

/// The one whose life it is.
pub const WHO: &str = "TM-1";
pub const COMPETENCY: &str = "lock-out";

/// Devices for every course that was needed so far: making one is dear.
#[derive(Default)]
pub struct Room {
    devices: HashMap<Variant, Device>,
}

/// A life as it goes on.
pub struct Life<'r> {
    room: &'r mut Room,
    pub clock: Timestamp,
    now: Variant,
    before: Variant,
    pub statements: Vec<Statement>,
    pub markings: Markings,
    pub facts: Vec<Fact>,
    entered: u64,
    /// What can be voided: the statement's id, and the place of its fact.
    voidable: Vec<(String, usize)>,
}

impl<'r> Life<'r> {
    /// One that begins on a day, with the first course in use since the day before.
    pub fn new(room: &'r mut Room, begins: &str) -> Self {
        let clock = day(begins).end() - SignedDuration::from_hours(16);
        let mut life = Self {
            room,
            clock,
            now: Variant::FIRST,
            before: Variant::FIRST,
            statements: Vec::new(),
            markings: Markings::default(),
            facts: Vec::new(),
            entered: 0,
            voidable: Vec::new(),
        };
        life.comes_into_force(Variant::FIRST, clock - SignedDuration::from_hours(24));
        life
    }

    fn device(&mut self, variant: Variant) -> &mut Device {
        let clock = self.clock;
        let device = self
            .room
            .devices
            .entry(variant)
            .or_insert_with(|| Device::new(WHO, &variant.course(), "2026-01-01T00:00:00Z"));
        device.clock = clock;
        device
    }

    fn comes_into_force(&mut self, variant: Variant, at: Timestamp) {
        let device = self.device(variant);
        let (hash, marking) = (device.hash.clone(), device.marking.clone());
        self.markings.known.insert(hash.clone(), marking);
        self.markings.in_force.push((at, hash));
        self.happened(at, Happened::Course(variant));
        self.now = variant;
    }

    fn happened(&mut self, at: Timestamp, what: Happened) {
        let voided = None;
        self.facts.push(Fact { at, what, voided });
    }

    /// The day on which it stands.
    pub fn today(&self) -> Date {
        self.clock.to_zoned_datetime(TimeZone::UTC).date()
    }

    /// Lets time go by.
    pub fn wait(&mut self, hours: i64) {
        self.clock += SignedDuration::from_hours(hours);
    }

    /// Does it, and moves the clock past it.
    pub fn act(&mut self, act: Act) {
        let copy = |old: bool| if old { self.before } else { self.now };
        match act {
            Act::Open => {
                let value = self.device(self.now).says("experienced", "lesson/lockout");
                let at = self.read_in(&[value]);
                self.happened(at[0], Happened::Opened);
            }
            Act::Read { old } => {
                let variant = copy(old);
                let value = self.device(variant).read("lockout");
                let at = self.read_in(&[value]);
                let edition = variant.lesson;
                self.happened(at[0], Happened::Read { edition });
            }
            Act::Try { at, way, old } => self.tries(at, way, copy(old)),
            Act::Raise(taught) => {
                self.before = self.now;
                self.clock += SignedDuration::from_mins(1);
                self.comes_into_force(self.now.raised(taught), self.clock);
            }
            Act::Hold(holds) => {
                self.before = self.now;
                self.clock += SignedDuration::from_mins(1);
                self.comes_into_force(Variant { holds, ..self.now }, self.clock);
            }
            entered => self.enters(entered),
        }
    }

    fn read_in(&mut self, values: &[Value]) -> Vec<Timestamp> {
        let from = self.statements.len();
        let read = values
            .iter()
            .map(|value| Statement::read(value).expect("a device makes statements"));
        self.statements.extend(read);
        let times: Vec<Timestamp> = self.statements[from..].iter().map(|one| one.timestamp).collect();
        self.clock = self.clock.max(times.last().copied().unwrap_or(self.clock));
        times
    }

    fn tries(&mut self, at: Taught, way: Way, variant: Variant) {
        let end = match way {
            Way::Pass | Way::Fail => End::Closed,
            Way::Left(_) => End::Left(1),
            Way::Open => End::Open(1),
        };
        let answers = if way == Way::Fail { wrong } else { right };
        let device = self.device(variant);
        let mut values = match (at, end) {
            (Taught::Scenario, End::Closed) if way == Way::Fail => device.scenario(&["run", "lock"], end),
            (Taught::Scenario, End::Closed) => device.scenario(&["tell", "lock"], end),
            (Taught::Scenario, _) => device.scenario(&["tell"], end),
            (Taught::Drill, _) if way == Way::Fail => device.drill(SEEDS[0], then(0, "go-in"), end),
            (Taught::Drill, _) => device.drill(SEEDS[0], by_the_book, end),
            _ => device.bank(SEEDS[0], answers, end),
        };
        if let (Way::Left(hours), Some(closing)) = (way, values.last_mut()) {
            let at: Timestamp = closing["timestamp"]
                .as_str()
                .and_then(|text| text.parse().ok())
                .expect("a device stamps");
            closing["timestamp"] = json!(pitwright::record::stamp(at + SignedDuration::from_hours(hours)));
        }
        let clock = self.clock;
        let times = self.read_in(&values);
        // The closing of an attempt that was left comes later, and holds nothing else up.
        if let Way::Left(_) = way {
            self.clock = clock + SignedDuration::from_mins(10);
        }
        let closed = (way != Way::Open).then(|| times[times.len() - 1]);
        let last_act = times[times.len() - if closed.is_some() { 2 } else { 1 }];
        self.happened(
            times[0],
            Happened::Tried(Tried {
                at,
                edition: variant.edition(at),
                closed,
                last_act,
                passed: way == Way::Pass,
                left: matches!(way, Way::Left(_)),
            }),
        );
    }

    fn enters(&mut self, act: Act) {
        self.clock += SignedDuration::from_mins(1);
        self.entered += 1;
        let competency = COMPETENCY.to_owned();
        let assessment = |at| match at {
            Taught::Scenario => Evidence::Scenario("night".to_owned()),
            Taught::Drill => Evidence::Drill(DRILL.to_owned()),
            _ => Evidence::Bank("alone".to_owned()),
        };
        let (by, what, happened) = match act {
            Act::Watch { seen, real, by_trainer } => (
                if by_trainer { "TR-1" } else { "MG-1" },
                What::Witnessed(Witnessing {
                    competency,
                    met: seen == Seen::Met,
                    prompted: seen == Seen::Prompted,
                    real,
                    out_of_turn: false,
                    steps: Vec::new(),
                }),
                Happened::Watched {
                    seen,
                    real,
                    by_trainer,
                    lesson: self.now.lesson,
                    unseen: 0,
                    out_of_turn: false,
                },
            ),
            Act::Partly { real, unseen } => (
                "TR-1",
                What::Witnessed(Witnessing {
                    competency,
                    met: true,
                    prompted: false,
                    real,
                    out_of_turn: false,
                    steps: steps(unseen),
                }),
                Happened::Watched {
                    seen: Seen::Met,
                    real,
                    by_trainer: true,
                    lesson: self.now.lesson,
                    unseen,
                    out_of_turn: false,
                },
            ),
            Act::OutOfTurn { seen } => (
                "TR-1",
                What::Witnessed(Witnessing {
                    competency,
                    met: seen == Seen::Met,
                    prompted: seen == Seen::Prompted,
                    real: true,
                    out_of_turn: true,
                    steps: Vec::new(),
                }),
                Happened::Watched {
                    seen,
                    real: true,
                    by_trainer: true,
                    lesson: self.now.lesson,
                    unseen: 0,
                    out_of_turn: true,
                },
            ),
            Act::Void => {
                let Some((entry, place)) = self.voidable.pop() else {
                    return;
                };
                self.facts[place].voided = Some(self.clock);
                ("MG-1", What::Voided { entry }, Happened::Nothing)
            }
            Act::Sign { by_manager } => (
                if by_manager { "MG-1" } else { "OW-1" },
                What::SignedOff {
                    competency,
                    proof: None,
                },
                Happened::Signed {
                    by_manager,
                    course: self.now,
                },
            ),
            Act::Withdraw => ("TR-1", What::Withdrawn { competency }, Happened::Withdrawn),
            Act::Retrain => {
                let trigger = Trigger::ALL[self.entered as usize % 4];
                ("MG-1", What::MustRetrain { competency, trigger }, Happened::Retraining)
            }
            Act::Join => ("TR-1", What::Joined { job: None }, Happened::Joined),
            Act::Leave => ("TR-1", What::Left, Happened::Left),
            Act::Release { at, more } => (
                "TR-1",
                What::Released {
                    assessment: assessment(at),
                    more,
                },
                Happened::Released {
                    at,
                    edition: self.now.edition(at),
                    more,
                },
            ),
            Act::Assign => {
                let thing = Thing::Lesson("lockout".to_owned());
                ("TR-1", What::Assigned { thing, due: None }, Happened::Nothing)
            }
            Act::Inspect => (
                WHO,
                What::Inspected(Inspection {
                    machine: "marrow".to_owned(),
                    included: vec!["TM-2".to_owned()],
                    clean: true,
                }),
                Happened::Nothing,
            ),
            Act::GiveSlip => {
                let last = self.clock.to_zoned_datetime(TimeZone::UTC).date();
                let alone = BTreeMap::from([(COMPETENCY.to_owned(), last)]);
                ("TR-1", What::GivenSlip { alone }, Happened::Nothing)
            }
            _ => ("TR-1", What::Erased { digests: Vec::new() }, Happened::Nothing),
        };
        let id = format!("00000000-0000-4000-8000-{:012x}", self.entered);
        let (at, device) = (self.clock, self.device(self.now));
        let (marking, hash) = (device.marking.clone(), device.hash.clone());
        let occasion = Occasion {
            id: &id,
            at,
            marking: &marking,
            hash: &hash,
            person: WHO,
        };
        let event = Event {
            by: by.to_owned(),
            what,
            details: None,
        };
        if event.what.not_voidable().is_none() {
            self.voidable.push((id.clone(), self.facts.len()));
        }
        self.statements.push(entry(&occasion, &event));
        self.happened(at, happened);
    }

    /// Reads and passes everything, a few minutes each.
    pub fn studies(&mut self) {
        self.act(Act::Read { old: false });
        for at in Taught::ASSESSED {
            self.act(Act::Try {
                at,
                way: Way::Pass,
                old: false,
            });
        }
    }

    /// Is watched often enough.
    pub fn performs(&mut self) {
        for real in [true, false] {
            self.act(Act::Watch {
                seen: Seen::Met,
                real,
                by_trainer: true,
            });
        }
    }

    /// What the fold under test says of the person on a day.
    pub fn person(&self, on: &str) -> Person {
        person(WHO, &self.statements, &self.markings, &BTreeMap::new(), &day(on)).expect("a course is in force")
    }

    /// What it says of the competency.
    pub fn says(&self, on: &str) -> Competence {
        self.person(on)
            .competence(COMPETENCY)
            .expect("the course has it")
            .clone()
    }
}

/// How each step went, where all that came up were met.
fn steps(unseen: u8) -> Vec<StepSeen> {
    let numbers = 0..STEPS.len();
    let seen = |bit: usize| match unseen >> bit & 1 {
        0 => StepSeen::Met,
        _ => StepSeen::NotSeen,
    };
    numbers.map(seen).collect()
}

/// The home of all that is told here is the test's course.
#[test]
fn a_life_is_written_down_on_the_invented_course() {
    let mut room = Room::default();
    let mut life = Life::new(&mut room, "2026-02-01");
    life.studies();
    assert!(life.statements.iter().all(|one| one.home == HOME && one.person == WHO));
    assert_eq!(life.facts.len(), 5, "the course and four deeds");
}
