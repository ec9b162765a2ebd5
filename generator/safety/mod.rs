//! Machines, drills and procedures → what was proven of them, or what is wrong with them.

mod codes;
mod guards;
mod memory;
mod models;
mod reactions;
mod sequences;
mod told;
mod ways;

use crate::diagnostic::Finding;
use crate::explore::{self, Blind, Class, Flaw, Graph, Hazards, Manner, World, replay};
use crate::model::Course;
use crate::source::{At, FileId};
use models::Written;
pub use models::{Model, Stop};
use rayon::prelude::*;
pub use sequences::{Asked, asked};

pub use codes::codes;
pub use guards::{Guarded, guarded};
pub use memory::Memory;
pub use models::models;
pub use sequences::Order;
pub use ways::{MOST_COUNTED, Ways, ways};

/// What was shown of a course's machines.
#[derive(Debug, Default)]
pub struct Proofs {
    pub drills: Vec<DrillProof>,
    pub procedures: Vec<ProcedureProof>,
    /// Sequencings that a machine marks.
    pub orders: Vec<Order>,
}

/// What was shown of a drill.
#[derive(Debug, Clone)]
pub struct DrillProof {
    pub id: String,
    pub machine: String,
    pub starts: usize,
    /// All that can be known in it, by safe acts.
    pub situations: usize,
    /// Seconds within which the best plan surely ends in a pass.
    pub par: Option<u32>,
    /// For each start the acts that par takes, with others still.
    pub ways: Vec<Vec<usize>>,
    /// Dead ends; none unless the drill says why.
    pub traps: usize,
}

/// What was shown of a procedure.
#[derive(Debug, Clone)]
pub struct ProcedureProof {
    pub lesson: String,
    /// Which of the lesson's procedures.
    pub place: usize,
    pub title: String,
    pub drill: String,
    pub starts: usize,
    /// Pairs of step and situation that were looked at.
    pub pairs: usize,
    pub skips: Vec<Change>,
    pub swaps: Vec<Change>,
}

/// What leaving a step out comes to, or doing it one place too late.
#[derive(Debug, Clone)]
pub struct Change {
    /// The step's number on the page.
    pub step: usize,
    /// The machine's words for the act.
    pub act: String,
    /// The act, and its step's number, that is then done before it; none where it is left out.
    pub before: Option<(usize, String)>,
    /// How it goes wrong; none where it makes no difference.
    pub class: Option<Class>,
    /// What then happens, one sentence a line.
    pub story: Vec<String>,
    /// The step says why it is there, or which paragraph asks for it.
    pub has_reason: bool,
    /// The paragraphs of 29 CFR 1910.147 that the step fulfils: a standard step of safety.
    pub law: Vec<String>,
}

impl Change {
    /// How it goes wrong, as a key of the wording.
    pub fn word(&self) -> &'static str {
        match self.class {
            Some(Class::Hurts) => "hurts",
            Some(Class::BreaksRule) => "rule",
            Some(Class::HarmsMachine) => "machine",
            Some(Class::Stuck) => "stuck",
            Some(Class::NotCured) => "not_cured",
            Some(Class::HandedOver) => "handed",
            Some(Class::NotKnown) => "unknown",
            Some(Class::Endless) => "endless",
            None => "nothing",
        }
    }
}

impl Proofs {
    /// The orders of a question that a machine marks.
    pub fn order(&self, file: FileId, question: &str) -> Option<&Order> {
        self.orders
            .iter()
            .find(|order| order.file == file && order.question == question)
    }

    /// The proof of one of a lesson's procedures.
    pub fn of(&self, lesson: &str, place: usize) -> Option<&ProcedureProof> {
        self.procedures
            .iter()
            .find(|proof| proof.lesson == lesson && proof.place == place)
    }
}

/// All that one drill showed.
#[derive(Debug, Clone)]
struct Shown {
    drill: Option<DrillProof>,
    procedures: Vec<ProcedureProof>,
    findings: Vec<Finding>,
    met: Hazards,
    /// For each act of the machine, whether it was offered.
    offered: Vec<bool>,
}

/// Explores every drill and replays every procedure; a drill about which nothing changed since `memory` saw it is not gone over again.
pub fn prove(models: &[Model], asked: &[Asked], memory: &Memory, findings: &mut Vec<Finding>) -> Proofs {
    let mut proofs = Proofs::default();
    for one in asked {
        proofs.orders.extend(sequences::order(one, models, findings));
    }
    let shown: Vec<Vec<Shown>> = models
        .par_iter()
        .map(|model| {
            let stops = model.drills.par_iter();
            stops
                .map(|stop| memory.recall(model, stop, || explored(model, stop)))
                .collect()
        })
        .collect();
    memory.settle();
    for (model, shown) in models.iter().zip(shown) {
        let whole = shown.iter().all(|one| one.drill.is_some());
        let mut met = 0;
        let mut offered = vec![false; model.machine.actions.len()];
        for one in shown {
            met |= one.met;
            for (all, own) in offered.iter_mut().zip(one.offered) {
                *all |= own;
            }
            proofs.drills.extend(one.drill);
            proofs.procedures.extend(one.procedures);
            findings.extend(one.findings);
        }
        // A drill that was not gone over could meet anything.
        if whole && !model.drills.is_empty() {
            idle(model, met, &offered, findings);
        }
    }
    proofs
}

/// What is wrong with the procedures of one lesson, without going over its drills where that is not needed: only whether
/// handing over was right needs it. For whoever looks at one lesson at a time.
pub fn refused(course: &Course, lesson: &str) -> Vec<Finding> {
    let mut findings = Vec::new();
    for model in &models(course, &mut findings) {
        for stop in &model.drills {
            for written in stop.written.iter().filter(|written| written.lesson.id == lesson) {
                let world = World::new(&model.machine);
                match first_failure(&world, stop, written) {
                    Ok(failure) => findings.extend(failure.map(|failure| told::failure(model, written, &failure))),
                    Err(why) => findings.push(stopped(model, stop, why)),
                }
            }
        }
    }
    findings
}

fn first_failure<'w>(
    world: &'w World<'w>,
    stop: &'w Stop,
    written: &Written,
) -> Result<Option<explore::Failure>, explore::Stop> {
    let quick = replay(world, &stop.drill, None, &written.procedure, Manner::Proof)?;
    match quick.failure {
        // Without the drill gone over, every handing over looks wrong.
        Some(failure) if failure.class >= Class::HandedOver => {
            let graph = Graph::of(world, &stop.drill)?;
            Ok(replay(world, &stop.drill, Some(&graph), &written.procedure, Manner::Proof)?.failure)
        }
        failure => Ok(failure),
    }
}

/// The chance that acting at random passes, for every drill of a course in which nothing was found, by id. It takes longer
/// than all proofs together, so it is worked out only where it is asked for.
pub fn blind(course: &Course) -> Vec<(String, Blind)> {
    let models = models(course, &mut Vec::new());
    let stops: Vec<(&Model, &Stop)> = models
        .iter()
        .flat_map(|model| model.drills.iter().map(move |stop| (model, stop)))
        .collect();
    stops
        .par_iter()
        .filter_map(|(model, stop)| {
            let world = World::new(&model.machine);
            // What stops the explorer is a finding, and then nobody asks.
            let mut graph = Graph::of(&world, &stop.drill).ok()?;
            let blind = explore::blind(&world, &stop.drill, &mut graph).ok()?;
            Some((stop.source.id.clone(), blind))
        })
        .collect()
}

/// What no drill uses.
fn idle(model: &Model, met: Hazards, offered: &[bool], findings: &mut Vec<Finding>) {
    for (index, (id, _)) in model.source.value.hazards.iter().enumerate() {
        if (met >> index) & 1 == 0 {
            findings.push(Finding::new(
                &codes::HAZARD_NEVER_MET,
                model.source.span(id),
                format!("no drill of this machine can meet the hazard `{id}`"),
                "write a drill in which it can be met, or mend its condition",
            ));
        }
    }
    for (id, _) in model.source.value.actions.iter() {
        if !model.machine.instances(&id.value).any(|act| offered[act]) {
            findings.push(Finding::new(
                &codes::NEVER_POSSIBLE,
                model.source.span(id),
                format!("in no drill of this machine can `{id}` be done"),
                "mend its `needs`, or write the drill in which it is wanted",
            ));
        }
    }
}

fn explored(model: &Model, stop: &Stop) -> Shown {
    let mut shown = Shown {
        drill: None,
        procedures: Vec::new(),
        findings: Vec::new(),
        met: 0,
        offered: vec![false; model.machine.actions.len()],
    };
    let world = World::new(&model.machine);
    if let Err(why) = go_over(&world, model, stop, &mut shown) {
        shown.drill = None;
        shown.findings.push(stopped(model, stop, why));
    }
    shown
}

fn go_over<'w>(world: &'w World<'w>, model: &Model, stop: &'w Stop, shown: &mut Shown) -> Result<(), explore::Stop> {
    let source = &stop.source.value;
    for start in &stop.drill.starts {
        if let Some(story) = world.unsafe_start(*start)? {
            shown.findings.push(
                Finding::new(
                    &codes::START_UNSAFE,
                    stop.source.span(&source.start),
                    "somebody can be hurt at a start of this drill before anything is done",
                    "let the drill begin with everybody outside and nothing about to strike them",
                )
                .told(model.machine.words(&story)),
            );
            return Ok(());
        }
    }
    let graph = Graph::of(world, &stop.drill)?;
    shown.met = graph.danger | graph.harm;
    shown.offered = graph.offered();
    reactions::order(world, model, &graph, &mut shown.findings)?;
    let traps = graph.traps().count();
    if let (Some(trap), None) = (graph.traps().next(), &source.dead_ends) {
        let states = explore::undisturbed(graph.situation(trap)).take(3);
        let words: Vec<String> = states
            .map(|state| format!("It can be so: {}.", model.machine.differs(state)))
            .collect();
        shown.findings.push(
            Finding::new(
                &codes::TRAP,
                stop.source.span(&source.cured),
                format!("safe acts lead to {traps} dead ends; the story shows one"),
                "give the machine the act that leads on, or the drill its `handed-over`; if it is meant, say why in `dead-ends`",
            )
            .told(words),
        );
    }
    if let (Some((node, curable)), Some(handed)) = (graph.misjudged(), &source.handed_over) {
        let states = explore::undisturbed(graph.situation(node)).take(3);
        shown.findings.push(
            Finding::new(
                &codes::HAND_OVER_RIGHT,
                stop.source.span(source.beyond.as_ref().unwrap_or(handed)),
                if curable {
                    "handing over would count here, and it can still be cured"
                } else {
                    "handing over would not count here, and nothing safe can cure it any more"
                },
                "say in `beyond` what makes this stop somebody else's; the story shows where it was misjudged",
            )
            .told(
                states
                    .map(|state| format!("It can be so: {}.", model.machine.differs(state)))
                    .collect(),
            ),
        );
    }
    for written in &stop.written {
        if let Some(proof) = replayed(world, model, stop, &graph, written, &mut shown.findings)? {
            shown.procedures.push(proof);
        }
    }
    shown.drill = Some(DrillProof {
        id: stop.source.id.clone(),
        machine: model.source.id.clone(),
        starts: stop.drill.starts.len(),
        situations: graph.situations(),
        par: graph.par(),
        ways: explore::par_ways(world, &stop.drill, &graph)?,
        traps,
    });
    Ok(())
}

/// Replays a procedure, and each of its changes if it holds.
fn replayed(
    world: &World,
    model: &Model,
    stop: &Stop,
    graph: &Graph,
    written: &Written,
    findings: &mut Vec<Finding>,
) -> Result<Option<ProcedureProof>, explore::Stop> {
    let whole = replay(world, &stop.drill, Some(graph), &written.procedure, Manner::Proof)?;
    if let Some(failure) = &whole.failure {
        findings.push(told::failure(model, written, failure));
        return Ok(None);
    }
    let change = |change: &explore::Change| told::change(model, written, change);
    Ok(Some(ProcedureProof {
        lesson: written.lesson.id.clone(),
        place: written.place,
        title: written.source.title.value.clone(),
        drill: stop.source.id.clone(),
        starts: stop.drill.starts.len(),
        pairs: whole.pairs,
        skips: explore::skips(world, &stop.drill, graph, &written.procedure)?
            .iter()
            .map(change)
            .collect(),
        swaps: explore::swaps(world, &stop.drill, graph, &written.procedure)?
            .iter()
            .map(change)
            .collect(),
    }))
}

/// Why a drill was not gone over to its end.
fn stopped(model: &Model, stop: &Stop, why: explore::Stop) -> Finding {
    let machine = &model.source.value;
    let place = |what: explore::What| -> Option<&At<String>> {
        match what {
            explore::What::Act(index) => machine.actions.key(&model.machine.actions[index].id),
            explore::What::Reaction(index) => machine.reactions.key(&model.machine.reactions[index].id),
            explore::What::Other(index) => machine.others.key(&model.machine.others[index].id),
        }
    };
    match why {
        explore::Stop::Budget => Finding::new(
            &codes::TOO_MANY_SITUATIONS,
            stop.source.span(&stop.source.value.title),
            format!(
                "this drill has more to go over than {} states, or its rules can be half kept in more than {} ways",
                explore::BUDGET,
                explore::MOST_KEEPING
            ),
            "name in `holds` what the stop does not touch, use fewer values, or put rules together",
        ),
        explore::Stop::Flaw(Flaw::Loop { from }) => {
            let first = machine.reactions.keys().next();
            let span = first.map_or(stop.source.span(&stop.source.value.title), |id| model.source.span(id));
            Finding::new(
                &codes::REACTION_LOOP,
                span,
                "the machine's reactions set each other off without end",
                "let each reaction change what its own `when` asks for",
            )
            .told(reactions::circle(model, from))
        }
        explore::Stop::Flaw(Flaw::Range { what, out }) => {
            let span = place(what).map_or(stop.source.span(&stop.source.value.title), |id| model.source.span(id));
            let variable = model
                .machine
                .variables
                .get(out.variable)
                .map_or(String::new(), |known| known.says());
            Finding::new(
                &codes::EFFECT_OUT_OF_RANGE,
                span,
                format!(
                    "this counts {variable} past its range in the drill `{}`",
                    stop.source.id
                ),
                "widen the range in `state`, or say in `needs` or `when` until when it can be counted",
            )
        }
    }
}
