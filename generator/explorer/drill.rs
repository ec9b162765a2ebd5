//! A stop put into a machine, ready to be run.

use super::condition::Test;
use super::word::State;

/// A drill on a machine.
#[derive(Debug, Clone)]
pub struct Drill {
    pub id: String,
    /// Every state that the stop can begin in, sorted; each as likely as the others.
    pub starts: Vec<State>,
    pub cured: Test,
    /// Out of service, tagged, and the right person called.
    pub handed_over: Option<Test>,
    /// When the stop is beyond the person, so that handing over is right; none if it is wherever it can be handed over.
    pub beyond: Option<Test>,
    /// Bits that are left alone.
    pub holds: State,
}
