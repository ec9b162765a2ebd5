//! Course → what can be found: pages, and the pieces of each.

use super::plain::{Ink, plain};
use crate::check::Checked;
use crate::glossary;
use crate::load::markdown::{BLOCKS, options};
use crate::model::{Course, Filed, Heading, Kind, Lesson, Procedure, Shows, Text, TypedBlock};
use crate::source::Sources;
use pulldown_cmark::{CodeBlockKind, Event, Parser, Tag, TagEnd};
use rayon::prelude::*;

/// A lesson, or an entry of the glossary.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Its address within the course.
    pub to: String,
    pub title: String,
    /// Other ways to write the title.
    pub also: Vec<String>,
    /// A lesson's kind; none for an entry of the glossary.
    pub kind: Option<Kind>,
    /// Hands enter the machine.
    pub hands_on: bool,
    /// What can be seen of a stop, and how often. What never shows with it is left out.
    pub signs: Vec<(String, Shows)>,
    pub pieces: Vec<Piece>,
}

/// A part of a page that is found by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    pub sort: Sort,
    /// What stands over it; empty before a lesson's first heading.
    pub heading: String,
    /// The id of what it stands under on the page; empty for the page's top.
    pub anchor: String,
    /// Paragraph by paragraph. A row of a table is one, with the column's name before each cell.
    pub passages: Vec<String>,
    /// As `passages`, in which each column is named once.
    pub indexed: String,
}

/// What a piece is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sort {
    /// What stands under one heading.
    Section,
    /// The signs of a stop.
    Signs,
    /// The steps of a procedure, each a passage: which of them is meant shows when the texts are there.
    Procedure,
    /// An entry of the glossary.
    Entry,
}

/// All pages in the order of the outline, and after them those of the glossary.
pub fn pages(checked: &Checked, sources: &Sources, signs_title: &str) -> Vec<Page> {
    let course = checked.course();
    let outline = course.outline.iter().flat_map(|outline| &outline.value.modules);
    let order: Vec<&Filed<Lesson>> = outline
        .flat_map(|module| module.lessons.iter().filter_map(|id| course.lesson(id)))
        .collect();
    let mut pages: Vec<Page> = order
        .par_iter()
        .map(|lesson| of_lesson(course, lesson, sources, signs_title))
        .collect();
    pages.extend(glossary::entries(course).iter().map(|entry| of_entry(course, entry)));
    pages
}

fn of_entry(course: &Course, entry: &glossary::Entry<'_>) -> Page {
    let texts = std::iter::once(entry.says).chain(entry.hurts);
    let passages: Vec<String> = texts.map(|text| plain(text, course)).collect();
    Page {
        to: format!("glossary.html#{}", entry.anchor),
        title: entry.name.clone(),
        also: entry.also.iter().map(|form| (*form).to_owned()).collect(),
        kind: None,
        hands_on: false,
        signs: Vec::new(),
        pieces: vec![Piece {
            sort: Sort::Entry,
            heading: String::new(),
            anchor: String::new(),
            indexed: passages.join("\n"),
            passages,
        }],
    }
}

fn of_lesson(course: &Course, lesson: &Filed<Lesson>, sources: &Sources, signs_title: &str) -> Page {
    let front = &lesson.value.front;
    let machine = front.machine.as_ref().and_then(|id| course.machine(id));
    let signs: Vec<(String, Shows)> = front
        .signs
        .iter()
        .filter(|(_, shows)| shows.value != Shows::Never)
        .filter_map(|(id, shows)| Some((plain(machine?.value.signs.get(id)?, course), shows.value)))
        .collect();
    let mut pieces = Reader::new(course, lesson).read(sources.text(lesson.file));
    if !signs.is_empty() {
        let passages: Vec<String> = signs.iter().map(|(says, _)| says.clone()).collect();
        pieces.push(Piece {
            sort: Sort::Signs,
            heading: signs_title.to_owned(),
            anchor: "signs-title".to_owned(),
            // The page has them as signs already.
            indexed: String::new(),
            passages,
        });
    }
    Page {
        to: format!("lesson/{}.html", lesson.id),
        title: front.title.value.clone(),
        also: Vec::new(),
        kind: Some(front.kind.value),
        hands_on: front.hands_on,
        signs,
        pieces,
    }
}

/// Goes through a lesson's Markdown as its page does. Practice questions and stagings are left out: the first would be answered
/// in passing, the second are for trainers.
struct Reader<'a> {
    course: &'a Course,
    lesson: &'a Lesson,
    pieces: Vec<Piece>,
    ink: Ink<'a>,
    /// The names of the present table's columns, and the cells of its present row.
    columns: Vec<String>,
    cells: Vec<String>,
}

impl<'a> Reader<'a> {
    fn new(course: &'a Course, lesson: &'a Filed<Lesson>) -> Self {
        Self {
            course,
            lesson: &lesson.value,
            pieces: vec![section(String::new(), String::new())],
            ink: Ink::new(course),
            columns: Vec::new(),
            cells: Vec::new(),
        }
    }

    fn read(mut self, text: &str) -> Vec<Piece> {
        let mut blocks = self.lesson.body.blocks.iter();
        let mut headings = self.lesson.body.headings.iter();
        let mut steps = Vec::new();
        let mut events = Parser::new_ext(&text[self.lesson.body.range.clone()], options());
        while let Some(event) = events.next() {
            match &event {
                Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))) if is_block(info) => {
                    for inner in events.by_ref() {
                        if matches!(inner, Event::End(TagEnd::CodeBlock)) {
                            break;
                        }
                    }
                    if let Some(block) = blocks.next() {
                        self.block(&block.block, &mut steps);
                    }
                }
                Event::End(TagEnd::Heading(_)) => {
                    self.ink.lift();
                    if let Some(Heading { id, text, .. }) = headings.next() {
                        // A section is whole before the steps that stand in it.
                        self.pieces.append(&mut steps);
                        self.pieces.push(section(text.clone(), id.clone()));
                    }
                }
                Event::End(TagEnd::TableCell) => {
                    let cell = self.ink.lift();
                    self.cells.push(cell);
                }
                Event::End(TagEnd::TableHead) => self.columns = std::mem::take(&mut self.cells),
                Event::End(TagEnd::TableRow) => self.row(),
                Event::End(TagEnd::Paragraph | TagEnd::Item | TagEnd::CodeBlock) => {
                    self.ink.take(&event);
                    let passage = self.ink.lift();
                    self.passage(passage);
                }
                _ => self.ink.take(&event),
            }
        }
        self.pieces.append(&mut steps);
        // A heading over nothing but steps says less than their own title.
        self.pieces
            .retain(|piece| !piece.passages.is_empty() || !piece.anchor.is_empty());
        self.pieces
    }

    fn passage(&mut self, passage: String) {
        let shown = passage.clone();
        self.passage_as(passage, shown);
    }

    /// A passage that is looked for by other words than it is shown with.
    fn passage_as(&mut self, indexed: String, shown: String) {
        if let Some(piece) = self.section().filter(|_| !shown.is_empty()) {
            piece.indexed.push_str(&indexed);
            piece.indexed.push('\n');
            piece.passages.push(shown);
        }
    }

    fn section(&mut self) -> Option<&mut Piece> {
        self.pieces.last_mut()
    }

    fn row(&mut self) {
        let cells = std::mem::take(&mut self.cells);
        let named: Vec<String> = cells
            .iter()
            .enumerate()
            .filter(|(_, cell)| !cell.is_empty())
            .map(
                |(at, cell)| match self.columns.get(at).filter(|name| !name.is_empty()) {
                    Some(name) => format!("{name}: {cell}"),
                    None => cell.clone(),
                },
            )
            .collect();
        self.passage_as(cells.join("\n"), named.join(" · "));
    }

    fn block(&mut self, block: &TypedBlock, steps: &mut Vec<Piece>) {
        let of = |texts: &[&Text]| -> String {
            let texts: Vec<String> = texts.iter().map(|text| plain(text, self.course)).collect();
            texts.join(" ")
        };
        match block {
            TypedBlock::Caution(caution) => {
                let text = of(&[&caution.hazard]) + ". " + &of(&[&caution.harm, &caution.avoid]);
                self.passage(text);
            }
            TypedBlock::WalkAway(walk_away) => {
                let texts: Vec<String> = walk_away.when.iter().map(|text| of(&[text])).collect();
                texts.into_iter().for_each(|text| self.passage(text));
            }
            TypedBlock::Cycle(chart) => {
                let text = chart.caption.as_ref().map(|caption| of(&[caption]));
                self.passage(text.unwrap_or_default());
            }
            TypedBlock::Drawing(shown) => self.passage(of(&[&shown.caption])),
            TypedBlock::Procedure(procedure) => self.procedure(procedure, steps),
            TypedBlock::Ask(_) | TypedBlock::Staging(_) | TypedBlock::Unread => {}
        }
    }

    /// The steps of a procedure. None leads past what stands before the first of them: they are found, and the page begins at its top.
    fn procedure(&mut self, procedure: &Procedure, steps: &mut Vec<Piece>) {
        if let Some(section) = self.section() {
            // Under this heading one would come in below the cautions too.
            section.anchor.clear();
        }
        let says = procedure.steps.iter().map(|step| {
            let texts = std::iter::once(&step.says).chain(&step.because);
            let texts: Vec<String> = texts.map(|text| plain(text, self.course)).collect();
            texts.join(" ")
        });
        let passages: Vec<String> = says.collect();
        steps.push(Piece {
            sort: Sort::Procedure,
            heading: procedure.title.value.clone(),
            anchor: String::new(),
            indexed: passages.join("\n"),
            passages,
        });
    }
}

fn section(heading: String, anchor: String) -> Piece {
    Piece {
        sort: Sort::Section,
        heading,
        anchor,
        passages: Vec::new(),
        indexed: String::new(),
    }
}

fn is_block(info: &str) -> bool {
    info.split_whitespace()
        .next()
        .is_some_and(|word| BLOCKS.contains(&word))
}
