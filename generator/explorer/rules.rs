//! How far the orders are kept that the law or the centre fixes.

use super::machine::{Machine, Rule};

/// For each rule 16 bits: the place that is due (4) and what of it is done (8).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Progress(u128);

impl Progress {
    fn of(self, rule: usize) -> (usize, u8) {
        let bits = (self.0 >> (16 * rule)) as u16;
        (usize::from(bits >> 8), (bits & 0xFF) as u8)
    }

    fn with(self, rule: usize, place: usize, done: u8) -> Self {
        let bits = ((place as u128) << 8) | u128::from(done);
        Self((self.0 & !(0xFFFF << (16 * rule))) | (bits << (16 * rule)))
    }

    /// Whether the whole order of a rule has been done.
    pub fn complete(self, rule: usize, of: &Rule) -> bool {
        self.of(rule).0 >= of.order.len()
    }

    /// The actions that a rule still waits for first.
    pub fn due(self, rule: usize, of: &Rule) -> Vec<&str> {
        let (place, done) = self.of(rule);
        of.order
            .get(place)
            .map(|names| {
                names
                    .iter()
                    .enumerate()
                    .filter(|(index, _)| (done >> index) & 1 == 0)
                    .map(|(_, name)| name.as_str())
                    .collect()
            })
            .unwrap_or_default()
    }

    /// After an act of this name. The orders are done as subsequences: what else is done in between does not matter.
    pub fn after(mut self, machine: &Machine, act: &str) -> Self {
        for (index, rule) in machine.rules.iter().enumerate() {
            if rule.again_after.iter().any(|name| name == act) {
                self = self.with(index, 0, 0);
                continue;
            }
            let (place, done) = self.of(index);
            let Some(names) = rule.order.get(place) else {
                continue;
            };
            if let Some(at) = names.iter().position(|name| name == act) {
                let done = done | (1 << at);
                let whole = done.count_ones() as usize == names.len();
                self = if whole {
                    self.with(index, place + 1, 0)
                } else {
                    self.with(index, place, done)
                };
            }
        }
        self
    }
}
