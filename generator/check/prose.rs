//! Every piece of prose that stands in YAML, so that what holds for prose is checked in one place.

use crate::model::{Answer, Course, Question, Text, TypedBlock};
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

/// All of them, in the order of the files.
pub fn pieces(course: &Course) -> Vec<Piece<'_>> {
    let mut pieces = Vec::new();
    if let Some(all) = &course.competencies {
        pieces.extend(all.value.0.values().map(|one| inline(all.file, &one.says, None)));
    }
    for machine in &course.machines {
        for part in machine.value.parts.values() {
            pieces.extend(
                [Some(&part.says), part.hurts.as_ref()]
                    .into_iter()
                    .flatten()
                    .map(|text| inline(machine.file, text, None)),
            );
        }
        pieces.extend(
            machine
                .value
                .signs
                .values()
                .map(|text| inline(machine.file, text, None)),
        );
    }
    for lesson in &course.lessons {
        for block in &lesson.value.body.blocks {
            pieces.extend(
                block_texts(&block.block)
                    .into_iter()
                    .map(|text| inline(lesson.file, text, Some(&lesson.id))),
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
    if let Answer::Choice { options, .. } = &question.answer {
        texts.extend(options.values());
    }
    texts
}

fn block_texts(block: &TypedBlock) -> Vec<&Text> {
    match block {
        TypedBlock::Caution(caution) => vec![&caution.hazard, &caution.harm, &caution.avoid],
        TypedBlock::Procedure(procedure) => procedure
            .steps
            .iter()
            .flat_map(|step| [Some(&step.says), step.because.as_ref()])
            .flatten()
            .collect(),
        TypedBlock::Ask(ask) => question_texts(&ask.question),
        TypedBlock::WalkAway(walk_away) => walk_away.when.iter().collect(),
        TypedBlock::Unread => Vec::new(),
    }
}
