//! What is done behind a guard, under a lockout: nobody may do more of it than of the lockout itself.

use super::{Competence, May, Standing};
use crate::marking::Marking;

/// Holds every competency that works under a lockout to the standing of that lockout: what it allows is at most what the lockout
/// allows, and nothing is signed before the lockout is. Who has left may do nothing in any case.
pub(super) fn hold(competencies: &mut [&mut Competence], marking: &Marking) {
    let allowed: Vec<(String, May, Standing)> = competencies
        .iter()
        .map(|one| (one.id.clone(), one.may, one.standing))
        .collect();
    for one in competencies.iter_mut() {
        let Some(known) = marking.competency(&one.id) else {
            continue;
        };
        for lockout in marking.lockouts_under(known) {
            let Some((id, may, standing)) = allowed.iter().find(|(id, ..)| *id == lockout.id) else {
                continue;
            };
            if *may == May::Alone {
                continue;
            }
            if *may < one.may {
                one.may = *may;
                one.reasons.push(format!("it is done under {id}, which is {standing}"));
            }
            if one.standing == Standing::Signed || one.standing == Standing::ReadyToSign || one.renewable {
                one.missing
                    .push(format!("be signed off for {id}, under which it is done"));
                one.waits_for.push(id.clone());
            }
        }
    }
}
