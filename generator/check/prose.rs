//! Every piece of prose that stands in YAML, so that what holds for prose is checked in one place.

use crate::model::{Caution, Course, Machine, Question, Step, Text, TypedBlock};
use crate::source::FileId;

/// A piece of prose.
#[derive(Debug, Clone, Copy)]
pub struct Piece<'a> {
    pub file: FileId,
    pub text: &'a Text,
    /// Lists and headings may stand in it.
    pub blocks: bool,
    /// The lesson whose page it is printed on, if it is on one.
    pub lesson: Option<&'a str>,
}

/// All prose of a machine: its glossary, and what stories, drills and charts say of it.
fn machine_texts(machine: &Machine) -> impl Iterator<Item = &Text> {
    let parts = machine
        .parts
        .values()
        .flat_map(|part| [Some(&part.says), part.hurts.as_ref()]);
    let reasons = machine.at_once.values();
    let at_once = reasons.flat_map(|reason| [Some(&reason.when), Some(&reason.says)]);
    let places = machine.places.values().map(|place| Some(&place.says));
    let hazards = machine
        .hazards
        .values()
        .flat_map(|one| [Some(&one.harm), one.source.as_ref()]);
    let acts = machine.actions.values().map(|action| Some(&action.says));
    let happenings = machine.reactions.values().chain(machine.others.values());
    let rules = machine
        .rules
        .values()
        .flat_map(|rule| [rule.says.as_ref(), Some(&rule.source)]);
    let tells = machine.tells.values().flat_map(|clauses| clauses.values().map(Some));
    let views = machine
        .views
        .values()
        .flat_map(|view| [Some(&view.says), view.otherwise.as_ref()]);
    let spots = machine.spots.values().map(|spot| Some(&spot.says));
    let cycles = machine.cycles.values().flat_map(|cycle| {
        let reasons = cycle.never_together.iter().map(|apart| Some(&apart.because));
        std::iter::once(cycle.says.as_ref()).chain(reasons)
    });
    parts
        .chain(machine.signs.values().map(Some))
        .chain(at_once)
        .chain(places)
        .chain(hazards)
        .chain(acts)
        .chain(happenings.map(|one| Some(&one.says)))
        .chain(rules)
        .chain(tells)
        .chain(views)
        .chain(spots)
        .chain(cycles)
        .flatten()
}

/// All of them, in the order of the files.
pub fn pieces(course: &Course) -> Vec<Piece<'_>> {
    let mut pieces = Vec::new();
    if let Some(all) = &course.competencies {
        pieces.extend(all.value.0.values().map(|one| inline(all.file, &one.says, None)));
    }
    if let Some(all) = &course.glossary {
        pieces.extend(all.value.0.values().map(|term| inline(all.file, &term.says, None)));
    }
    for machine in &course.machines {
        pieces.extend(machine_texts(&machine.value).map(|text| inline(machine.file, text, None)));
    }
    for drill in &course.drills {
        pieces.push(inline(drill.file, &drill.value.report, None));
    }
    for lesson in &course.lessons {
        for block in &lesson.value.body.blocks {
            // A staging has a page of its own, without the lesson's headings.
            let page = match block.block {
                TypedBlock::Staging(_) => None,
                _ => Some(lesson.id.as_str()),
            };
            pieces.extend(
                block_texts(&block.block)
                    .into_iter()
                    .map(|text| inline(lesson.file, text, page)),
            );
        }
    }
    for bank in &course.banks {
        for question in bank.value.questions.values() {
            pieces.extend(
                question_texts(question)
                    .into_iter()
                    .map(|text| inline(bank.file, text, None)),
            );
        }
    }
    for scenario in &course.scenarios {
        for scene in scenario.value.scenes.values() {
            pieces.push(Piece {
                file: scenario.file,
                text: &scene.says,
                blocks: true,
                lesson: None,
            });
            for choice in scene.choices.values() {
                let harm = choice.hurts.as_ref().map(|harm| &harm.harm);
                let texts = [Some(&choice.says), Some(&choice.because), harm];
                pieces.extend(
                    texts
                        .into_iter()
                        .flatten()
                        .map(|text| inline(scenario.file, text, None)),
                );
            }
        }
    }
    pieces
}

fn inline<'a>(file: FileId, text: &'a Text, lesson: Option<&'a str>) -> Piece<'a> {
    Piece {
        file,
        text,
        blocks: false,
        lesson,
    }
}

fn question_texts(question: &Question) -> Vec<&Text> {
    let mut texts = vec![&question.stem, &question.because];
    texts.extend(question.answer.columns().into_iter().flatten());
    texts
}

/// The texts of a typed block, as they are read.
pub fn block_texts(block: &TypedBlock) -> Vec<&Text> {
    match block {
        TypedBlock::Caution(caution) => caution_texts(caution).to_vec(),
        TypedBlock::Procedure(procedure) => step_texts(&procedure.steps).collect(),
        TypedBlock::Staging(staging) => {
            let lists = [&staging.tell, &staging.needs, &staging.not_when];
            lists
                .into_iter()
                .flatten()
                .chain(staging.cautions.iter().flat_map(caution_texts))
                .chain(step_texts(&staging.steps))
                .chain(step_texts(&staging.undo))
                .collect()
        }
        TypedBlock::Ask(ask) => question_texts(&ask.question),
        TypedBlock::WalkAway(walk_away) => walk_away.when.iter().collect(),
        TypedBlock::Cycle(chart) => chart.caption.iter().collect(),
        TypedBlock::Drawing(shown) => vec![&shown.caption],
        TypedBlock::Unread => Vec::new(),
    }
}

fn caution_texts(caution: &Caution) -> [&Text; 3] {
    [&caution.hazard, &caution.harm, &caution.avoid]
}

fn step_texts(steps: &[Step]) -> impl Iterator<Item = &Text> {
    steps
        .iter()
        .flat_map(|step| [Some(&step.says), step.because.as_ref()])
        .flatten()
}
