//! Lessons: front matter, what the Markdown holds, and the typed blocks in it.

use super::{Id, Keyed, Question, Text, Tree};
use crate::source::{At, Span};
use serde::Deserialize;
use std::ops::Range;

/// A lesson file.
#[derive(Debug, Clone)]
pub struct Lesson {
    pub front: FrontMatter,
    pub body: Body,
}

/// What stands between the two `---` lines at the top of a lesson.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct FrontMatter {
    pub title: At<String>,
    pub kind: At<Kind>,
    #[serde(default)]
    pub machine: Option<Id>,
    /// Raised by the author when what is taught changes.
    pub edition: At<u32>,
    #[serde(default)]
    pub competencies: Vec<Id>,
    /// Lessons to know first.
    #[serde(default)]
    pub after: Vec<Id>,
    /// Hands enter the machine.
    #[serde(default)]
    pub hands_on: bool,
    /// For a stop: what can be seen of it, and how often.
    #[serde(default)]
    pub signs: Keyed<At<Shows>>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    Cycle,
    Lockout,
    Stop,
    Upkeep,
    Orientation,
    Emergency,
}

impl Kind {
    pub fn word(self) -> &'static str {
        match self {
            Self::Cycle => "cycle",
            Self::Lockout => "lockout",
            Self::Stop => "stop",
            Self::Upkeep => "upkeep",
            Self::Orientation => "orientation",
            Self::Emergency => "emergency",
        }
    }
}

/// How often a sign shows when the stop is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Shows {
    Always,
    Often,
    Sometimes,
    Never,
}

impl Shows {
    pub fn word(self) -> &'static str {
        match self {
            Self::Always => "always",
            Self::Often => "often",
            Self::Sometimes => "sometimes",
            Self::Never => "never",
        }
    }
}

/// The Markdown of a lesson, as far as the checks need it. The text itself stays in the source.
#[derive(Debug, Clone, Default)]
pub struct Body {
    /// The bytes of the file that hold the Markdown, after the front matter.
    pub range: Range<usize>,
    pub headings: Vec<Heading>,
    pub links: Vec<Link>,
    /// Raw HTML, which is refused.
    pub html: Vec<Span>,
    pub blocks: Vec<Block>,
    /// Words of prose outside typed blocks, for the reading time.
    pub words: usize,
}

#[derive(Debug, Clone)]
pub struct Heading {
    /// 1 to 6.
    pub level: u8,
    pub id: String,
    pub text: String,
    pub span: Span,
}

/// A link or a picture.
#[derive(Debug, Clone)]
pub struct Link {
    pub to: String,
    /// The words of the link, or the text alternative of the picture.
    pub words: String,
    pub span: Span,
    pub picture: bool,
}

/// A typed block and where its fence stands.
#[derive(Debug, Clone)]
pub struct Block {
    pub span: Span,
    pub block: TypedBlock,
}

/// What a fence with a known info string holds. `Unread` keeps the place of a block that has its finding already.
#[derive(Debug, Clone)]
pub enum TypedBlock {
    Caution(Caution),
    Procedure(Procedure),
    Ask(Ask),
    WalkAway(WalkAway),
    Staging(Staging),
    Cycle(Chart),
    Unread,
}

/// A hazard, what it does to a person, and how to avoid it.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Caution {
    pub id: Id,
    pub signal: At<Signal>,
    pub hazard: Text,
    pub harm: Text,
    pub avoid: Text,
}

/// Signal words by severity.
///
/// Source: ANSI Z535.4-2007, 4.14, as quoted by a sign vendor: danger will, warning could, result in death or serious injury;
/// caution could result in minor or moderate injury; notice is not about injury and bears no alert symbol.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Signal {
    Danger,
    Warning,
    Caution,
    Notice,
}

impl Signal {
    pub fn word(self) -> &'static str {
        match self {
            Self::Danger => "danger",
            Self::Warning => "warning",
            Self::Caution => "caution",
            Self::Notice => "notice",
        }
    }

    /// Whether the safety alert symbol stands before the word.
    pub fn alert(self) -> bool {
        self != Self::Notice
    }
}

/// The steps that clear a stop or make a machine safe.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Procedure {
    pub title: At<String>,
    /// The drill whose every start it must survive.
    #[serde(default)]
    pub clears: Option<Id>,
    pub steps: Vec<Step>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Step {
    /// The page's words. Where they are left out, loading puts the machine's own words for the acts there.
    #[serde(default = "no_words")]
    pub says: Text,
    /// An action of the machine, or several one after another.
    #[serde(default, rename = "do")]
    pub acts: Option<At<Tree>>,
    /// Done only if this is so: a condition that is known by then.
    #[serde(default, rename = "if")]
    pub only: Option<At<Tree>>,
    /// Done again and again while this is so.
    #[serde(default, rename = "while")]
    pub repeat: Option<At<Tree>>,
    /// The procedure ends with this step.
    #[serde(default)]
    pub ends: bool,
    /// Why.
    #[serde(default)]
    pub because: Option<Text>,
    /// Cautions of this lesson, printed before the step.
    #[serde(default)]
    pub cautions: Vec<Id>,
    /// Paragraphs of 29 CFR 1910.147 that the step fulfils.
    #[serde(default)]
    pub law: Vec<At<String>>,
    /// Hands or body go past a guard.
    #[serde(default)]
    pub inside: bool,
    /// Staged for practice, this step does not come up or is only told: whoever watches marks it as not seen.
    #[serde(default)]
    pub not_staged: bool,
}

fn no_words() -> Text {
    At::new(String::new(), 0..0)
}

/// A practice question.
#[derive(Debug, Clone)]
pub struct Ask {
    pub id: Id,
    pub question: Question,
}

/// When to stop, and whom to call.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct WalkAway {
    pub when: Vec<Text>,
    /// A key of the centre's `call`.
    pub call: Id,
}

/// How a trainer sets a stop up for practice, and how it is taken back. It is for trainers: no reader of the lesson studies it.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Staging {
    /// Who must know of it.
    pub tell: Vec<Text>,
    /// What to have ready.
    pub needs: Vec<Text>,
    /// When not to stage.
    pub not_when: Vec<Text>,
    /// Cautions that only staging needs; its steps may name those of the lesson too.
    #[serde(default)]
    pub cautions: Vec<Caution>,
    /// How the stop is set up.
    pub steps: Vec<Step>,
    /// How it is taken back, so that nothing is left inside and nobody finds it.
    pub undo: Vec<Step>,
}

/// The timing chart of a cycle of the lesson's machine.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Chart {
    pub cycle: Id,
    /// What to look for in it.
    #[serde(default)]
    pub caption: Option<Text>,
}

impl Block {
    /// Cautions that the block brings along for its own steps.
    pub fn own_cautions(&self) -> &[Caution] {
        match &self.block {
            TypedBlock::Staging(staging) => &staging.cautions,
            _ => &[],
        }
    }
}

impl Lesson {
    /// Whether a block could not be read, so that what this lesson has is not known in full.
    pub fn has_unread(&self) -> bool {
        let mut blocks = self.body.blocks.iter();
        blocks.any(|block| matches!(block.block, TypedBlock::Unread))
    }

    /// Whether following the page means locking a machine out: hands go in, or a step isolates it (29 CFR 1910.147(d)(3)).
    pub fn locks_out(&self) -> bool {
        let isolates = |step: &Step| step.law.iter().any(|law| law.value == "(d)(3)");
        self.front.hands_on || self.procedures().any(|(_, one)| one.steps.iter().any(isolates))
    }

    pub fn cautions(&self) -> impl Iterator<Item = &Caution> {
        self.body.blocks.iter().filter_map(|block| match &block.block {
            TypedBlock::Caution(caution) => Some(caution),
            _ => None,
        })
    }

    pub fn procedures(&self) -> impl Iterator<Item = (&Block, &Procedure)> {
        self.body.blocks.iter().filter_map(|block| match &block.block {
            TypedBlock::Procedure(procedure) => Some((block, procedure)),
            _ => None,
        })
    }

    pub fn asks(&self) -> impl Iterator<Item = &Ask> {
        self.body.blocks.iter().filter_map(|block| match &block.block {
            TypedBlock::Ask(ask) => Some(ask),
            _ => None,
        })
    }

    pub fn walk_aways(&self) -> impl Iterator<Item = &WalkAway> {
        self.body.blocks.iter().filter_map(|block| match &block.block {
            TypedBlock::WalkAway(walk_away) => Some(walk_away),
            _ => None,
        })
    }

    pub fn charts(&self) -> impl Iterator<Item = &Chart> {
        self.body.blocks.iter().filter_map(|block| match &block.block {
            TypedBlock::Cycle(chart) => Some(chart),
            _ => None,
        })
    }

    pub fn stagings(&self) -> impl Iterator<Item = (&Block, &Staging)> {
        self.body.blocks.iter().filter_map(|block| match &block.block {
            TypedBlock::Staging(staging) => Some((block, staging)),
            _ => None,
        })
    }

    /// Every list of steps that somebody works through, with the block that it stands in: what holds for steps holds
    /// for all of them.
    pub fn step_lists(&self) -> impl Iterator<Item = (&Block, &[Step])> {
        self.body.blocks.iter().flat_map(|block| {
            let lists: [&[Step]; 2] = match &block.block {
                TypedBlock::Procedure(procedure) => [&procedure.steps, &[]],
                TypedBlock::Staging(staging) => [&staging.steps, &staging.undo],
                _ => [&[], &[]],
            };
            lists
                .into_iter()
                .filter(|steps| !steps.is_empty())
                .map(move |steps| (block, steps))
        })
    }
}
