//! Which states were seen: a bit for each that there could be, or a table of those that there are.

use super::super::machine::Machine;
use super::super::word::State;
use super::moves::{Group, Led, Word};

/// Rows that never move, so that growing never takes twice the room.
pub(super) struct Rows<T> {
    blocks: Vec<Vec<T>>,
    len: usize,
}

const BLOCK: u32 = 14;

impl<T: Copy> Rows<T> {
    pub fn new() -> Self {
        Self {
            blocks: Vec::new(),
            len: 0,
        }
    }

    pub fn len(&self) -> usize {
        self.len
    }

    #[inline]
    pub fn push(&mut self, row: T) {
        if self.len >> BLOCK == self.blocks.len() {
            self.blocks.push(Vec::with_capacity(1 << BLOCK));
        }
        self.blocks[self.len >> BLOCK].push(row);
        self.len += 1;
    }

    #[inline]
    pub fn get(&self, at: usize) -> T {
        self.blocks[at >> BLOCK][at & ((1 << BLOCK) - 1)]
    }

    pub fn each(&self) -> impl Iterator<Item = T> {
        self.blocks.iter().flatten().copied()
    }
}

/// The states that were met, in the order in which they were.
pub(super) struct Met<W> {
    pub states: Rows<W>,
    /// For each, the index of the one that it was first met from.
    pub from: Rows<u32>,
}

impl<W: Copy> Met<W> {
    #[inline]
    fn push<P>(&mut self, led: &Led<W, P>) {
        self.states.push(led.word);
        self.from.push(led.from);
    }
}

/// Which states were seen.
pub(super) trait Seen<W> {
    /// Where a state is looked for.
    type Place: Copy;
    fn place(&self, word: W) -> Self::Place;
    /// The place of a state whose number differs by this.
    fn moved(&self, place: Self::Place, by: i64) -> Self::Place;
    /// Adds those that were not seen before, each once and in order, to those that were met.
    fn fresh(&mut self, led: &[Led<W, Self::Place>], met: &mut Met<W>);
}

/// States are numbered in all the ways in which the variables' values go together, and each has a bit.
pub(super) struct Dense {
    bits: Vec<u64>,
    /// For each group of variables, where it lies and what each of its values adds to a state's number.
    adds: Vec<(u32, usize, Vec<u32>)>,
}

/// More states than this have no bit each. They would take 16 MB.
const MOST_BITS: u64 = 1 << 27;

impl Dense {
    /// None if there could be too many states.
    pub fn of(machine: &Machine) -> Option<Self> {
        let mut many: u64 = 1;
        let mut adds = Vec::new();
        for group in Group::of(machine) {
            let mut sums = vec![0u64; group.mask + 1];
            for (shift, mask, values) in &group.variables {
                for (value, sum) in sums.iter_mut().enumerate() {
                    *sum += ((value >> shift) & mask) as u64 * many;
                }
                many = many.checked_mul(*values).filter(|many| *many <= MOST_BITS)?;
            }
            // Values that no variable has are never asked for.
            let sums = sums.into_iter().map(|sum| u32::try_from(sum).unwrap_or(0)).collect();
            adds.push((group.shift, group.mask, sums));
        }
        let words = usize::try_from(many.div_ceil(64)).ok()?;
        Some(Self {
            bits: vec![0; words],
            adds,
        })
    }

    /// A state's number.
    #[inline]
    pub fn number(&self, state: impl Word) -> u32 {
        self.adds
            .iter()
            .map(|(shift, mask, sums)| sums[state.part(*shift, *mask)])
            .sum()
    }

    pub fn number_of(&self, state: State) -> i64 {
        i64::from(self.number(state))
    }
}

impl<W: Word> Seen<W> for Dense {
    type Place = u32;

    #[inline]
    fn place(&self, word: W) -> u32 {
        self.number(word)
    }

    #[inline]
    fn moved(&self, place: u32, by: i64) -> u32 {
        // Both numbers are below MOST_BITS.
        (i64::from(place) + by) as u32
    }

    #[inline]
    fn fresh(&mut self, led: &[Led<W, u32>], met: &mut Met<W>) {
        for one in led {
            let number = one.place as usize;
            let (word, bit) = (&mut self.bits[number / 64], 1 << (number % 64));
            if *word & bit == 0 {
                *word |= bit;
                met.push(one);
            }
        }
    }
}

/// An open-addressing table of the states' indices, each with a few bits of its state's hash.
pub(super) struct Hashed {
    /// 0 for a free slot.
    slots: Vec<u32>,
    /// How far a hash is moved down to a slot.
    down: u32,
    /// Of each state that is looked for, what its first slot holds.
    first: Vec<u32>,
    /// Of each, whether that is the state itself.
    known: Vec<bool>,
}

/// The index takes so many bits of a slot.
const INDEX: u32 = 26;

/// No more states than this are kept, with room for all that one more state leads to.
pub(super) const MOST_HASHED: usize = (1 << INDEX) - (1 << 20);

impl Hashed {
    pub fn new() -> Self {
        Self {
            slots: vec![0; 1 << 10],
            down: 64 - 10,
            first: Vec::new(),
            known: Vec::new(),
        }
    }

    /// The slot from the top of a hash, the tag from below: they say different things.
    #[inline]
    fn home(&self, mixed: u64) -> (usize, u32) {
        ((mixed >> self.down) as usize, ((mixed as u32) >> 8) << INDEX)
    }

    /// Twice the room. The states themselves say where they belong.
    fn grow<W: Word>(&mut self, states: &Rows<W>) {
        let many = self.slots.len() * 2;
        self.slots = Vec::new();
        self.slots = vec![0; many];
        self.down -= 1;
        for (index, word) in states.each().enumerate() {
            let (mut slot, tag) = self.home(word.mix());
            while self.slots[slot] != 0 {
                slot = (slot + 1) & (many - 1);
            }
            self.slots[slot] = tag | (index as u32 + 1);
        }
    }
}

impl<W: Word> Seen<W> for Hashed {
    type Place = u64;

    #[inline]
    fn place(&self, word: W) -> u64 {
        word.mix()
    }

    /// Hashed states have no numbers; nothing asks.
    fn moved(&self, place: u64, _: i64) -> u64 {
        place
    }

    #[inline]
    fn fresh(&mut self, led: &[Led<W, u64>], met: &mut Met<W>) {
        // At most three of four slots are taken.
        while (met.states.len() + led.len()) * 4 > self.slots.len() * 3 {
            self.grow(&met.states);
        }
        // Most were seen before, and lie in their first slot. What the memory is asked for there does not hang on what it
        // answered before, so that it is fetched side by side.
        let mut first = std::mem::take(&mut self.first);
        let mut known = std::mem::take(&mut self.known);
        first.clear();
        known.clear();
        first.extend(led.iter().map(|one| self.slots[self.home(one.place).0]));
        known.extend(led.iter().zip(&first).map(|(one, kept)| {
            let same = *kept != 0 && kept & !MASK == self.home(one.place).1;
            let index = if same { (kept & MASK) as usize - 1 } else { 0 };
            same && met.states.get(index) == one.word
        }));
        let last = self.slots.len() - 1;
        for (one, _) in led.iter().zip(&known).filter(|(_, known)| !**known) {
            let (mut slot, tag) = self.home(one.place);
            loop {
                let kept = self.slots[slot];
                if kept == 0 {
                    self.slots[slot] = tag | (met.states.len() as u32 + 1);
                    met.push(one);
                    break;
                }
                if kept & !MASK == tag && met.states.get((kept & MASK) as usize - 1) == one.word {
                    break;
                }
                slot = (slot + 1) & last;
            }
        }
        (self.first, self.known) = (first, known);
    }
}

const MASK: u32 = (1 << INDEX) - 1;
