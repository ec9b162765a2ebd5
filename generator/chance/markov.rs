//! Absorbing Markov chains, solved exactly (to rounding) block by block.
//!
//! Source: C. M. Grinstead, J. L. Snell, "Introduction to Probability", chapter 11.2. There N = (I − Q)^-1 is computed whole;
//! here the strongly connected parts are solved one after another in reverse order, which gives the same numbers and
//! leaves only the loops to elimination.

/// A chain: for each state, where it leads and how likely. A state without successors is absorbing.
#[derive(Debug, Clone, Default)]
pub struct Chain {
    successors: Vec<Vec<(usize, f64)>>,
}

/// Some state can never reach an absorbing one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoExit {
    /// Such a state.
    pub state: usize,
}

/// What becomes of a walk from each state.
#[derive(Debug, Clone, PartialEq)]
pub struct Absorption {
    /// The chance of being absorbed in one of the wanted states.
    pub chance: Vec<f64>,
    /// The mean number of steps until absorption.
    pub steps: Vec<f64>,
}

impl Chain {
    /// A chain of `states` states without steps.
    pub fn new(states: usize) -> Self {
        Self {
            successors: vec![Vec::new(); states],
        }
    }

    pub fn len(&self) -> usize {
        self.successors.len()
    }

    pub fn is_empty(&self) -> bool {
        self.successors.is_empty()
    }

    /// Adds a state without steps and gives its index.
    pub fn add(&mut self) -> usize {
        self.successors.push(Vec::new());
        self.successors.len() - 1
    }

    /// Adds a step. The chances of all steps of one state must add up to 1. States that do not exist yet are made.
    pub fn step(&mut self, from: usize, to: usize, chance: f64) {
        let needed = from.max(to) + 1;
        if self.successors.len() < needed {
            self.successors.resize(needed, Vec::new());
        }
        self.successors[from].push((to, chance));
    }

    /// The chance of absorption in a state for which `wanted` holds, and the mean number of steps, from every state.
    ///
    /// # Errors
    /// [`NoExit`] if some state cannot reach an absorbing one.
    pub fn absorb(&self, wanted: impl Fn(usize) -> bool) -> Result<Absorption, NoExit> {
        let mut result = Absorption {
            chance: vec![0.0; self.len()],
            steps: vec![0.0; self.len()],
        };
        // Tarjan gives the parts in reverse topological order: all that a part leads to is solved before it.
        for part in self.parts() {
            if let [only] = part.as_slice()
                && self.successors[*only].is_empty()
            {
                result.chance[*only] = if wanted(*only) { 1.0 } else { 0.0 };
                continue;
            }
            self.solve(&part, &mut result)?;
        }
        Ok(result)
    }

    /// Solves x = Qx + r for one strongly connected part by elimination with partial pivoting, for chance and steps at once.
    fn solve(&self, part: &[usize], result: &mut Absorption) -> Result<(), NoExit> {
        let n = part.len();
        let mut place = std::collections::HashMap::new();
        for (row, state) in part.iter().enumerate() {
            place.insert(*state, row);
        }
        let mut rows = vec![vec![0.0; n + 2]; n];
        let mut leaves = false;
        for (row, state) in part.iter().enumerate() {
            rows[row][row] = 1.0;
            rows[row][n + 1] = 1.0;
            for (to, chance) in &self.successors[*state] {
                match place.get(to) {
                    Some(column) => rows[row][*column] -= chance,
                    None => {
                        leaves = true;
                        rows[row][n] += chance * result.chance[*to];
                        rows[row][n + 1] += chance * result.steps[*to];
                    }
                }
            }
        }
        if !leaves {
            return Err(NoExit { state: part[0] });
        }
        for column in 0..n {
            let pivot = (column..n)
                .max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()))
                .unwrap_or(column);
            rows.swap(column, pivot);
            let (above, below) = rows.split_at_mut(column + 1);
            let top = &above[column];
            for row in below {
                let factor = row[column] / top[column];
                if factor != 0.0 {
                    for (value, subtract) in row.iter_mut().zip(top).skip(column) {
                        *value -= factor * subtract;
                    }
                }
            }
        }
        for row in (0..n).rev() {
            for target in [n, n + 1] {
                let known: f64 = (row + 1..n)
                    .map(|column| rows[row][column] * rows[column][target])
                    .sum();
                rows[row][target] = (rows[row][target] - known) / rows[row][row];
            }
        }
        for (row, state) in part.iter().enumerate() {
            result.chance[*state] = rows[row][n].clamp(0.0, 1.0);
            result.steps[*state] = rows[row][n + 1];
        }
        Ok(())
    }

    /// The strongly connected parts, each after all those it leads to.
    ///
    /// Source: R. E. Tarjan, "Depth-first search and linear graph algorithms", SIAM J. Comput. 1(2), 1972; written without
    /// recursion, so that a long scenario cannot exhaust the stack.
    fn parts(&self) -> Vec<Vec<usize>> {
        const UNSEEN: usize = usize::MAX;
        let n = self.len();
        let (mut index, mut low) = (vec![UNSEEN; n], vec![0; n]);
        let (mut stacked, mut stack, mut parts, mut next) = (vec![false; n], Vec::new(), Vec::new(), 0);
        for root in 0..n {
            if index[root] != UNSEEN {
                continue;
            }
            let mut walk = vec![(root, 0)];
            while let Some((state, edge)) = walk.pop() {
                if edge == 0 {
                    index[state] = next;
                    low[state] = next;
                    next += 1;
                    stack.push(state);
                    stacked[state] = true;
                }
                if let Some((to, _)) = self.successors[state].get(edge) {
                    walk.push((state, edge + 1));
                    if index[*to] == UNSEEN {
                        walk.push((*to, 0));
                    } else if stacked[*to] {
                        low[state] = low[state].min(index[*to]);
                    }
                    continue;
                }
                if low[state] == index[state] {
                    let mut part = Vec::new();
                    while let Some(member) = stack.pop() {
                        stacked[member] = false;
                        part.push(member);
                        if member == state {
                            break;
                        }
                    }
                    part.sort_unstable();
                    parts.push(part);
                }
                if let Some((parent, _)) = walk.last() {
                    low[*parent] = low[*parent].min(low[state]);
                }
            }
        }
        parts
    }
}
