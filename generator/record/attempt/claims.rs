//! What a record claims, held against what marking gives.

use super::super::seal::seal as seal_of;
use super::super::statement::{Claim, Closing};
use super::{Marked, Ordered};
use crate::marking::FULL;

/// Numbers that differ by less are the same number, written by another program.
const SAME: f64 = 1e-9;

/// Whether the closing's seal is the one that the attempt's other statements make.
pub(super) fn seal(ordered: &Ordered, closing: &Closing) -> bool {
    let parts = std::iter::once(ordered.begun).chain(ordered.answers.iter().copied());
    seal_of(parts.map(|part| part.body.as_str())) == closing.seal
}

/// Every way in which an answer's claim differs from what it earned.
pub(in crate::record) fn answer(question: &str, response: &str, claim: &Claim, earned: u32) -> Vec<String> {
    let mut misfits = Vec::new();
    let due = f64::from(earned) / f64::from(FULL);
    if let Some(claimed) = claim.scaled
        && (claimed - due).abs() > SAME
    {
        misfits.push(format!(
            "question {question}: the record claims {}, the response `{response}` earns {}",
            share(claimed),
            share(due)
        ));
    }
    if let Some(claimed) = claim.success
        && claimed != (earned == FULL)
    {
        let word = |right| if right { "right" } else { "wrong" };
        misfits.push(format!(
            "question {question}: the record claims that the response `{response}` is {}, it is {}",
            word(claimed),
            word(!claimed)
        ));
    }
    misfits
}

fn share(scaled: f64) -> String {
    if scaled == 1.0 {
        "full marks".to_owned()
    } else if scaled == 0.0 {
        "none".to_owned()
    } else {
        format!("{} of full marks", round(scaled))
    }
}

fn round(number: f64) -> f64 {
    (number * 1e6).round() / 1e6
}

/// Every way in which a closing's claim differs from the attempt's marks.
pub(super) fn closing(closing: &Closing, marked: &Marked) -> Vec<String> {
    let mut misfits = Vec::new();
    let passed = marked.passed && !closing.left;
    let word = |passed| if passed { "passed" } else { "failed" };
    if closing.passed != passed || closing.success.is_some_and(|claimed| claimed != passed) {
        misfits.push(if closing.left {
            "the record claims a pass for an attempt that was left".to_owned()
        } else if closing.passed == passed {
            format!(
                "the record claims both a pass and a fail; the marks say {}",
                word(passed)
            )
        } else {
            format!(
                "the record claims {}, the answers earn {}",
                word(closing.passed),
                word(passed)
            )
        });
    }
    if closing.completion.is_some_and(|claimed| claimed == closing.left) {
        misfits.push("the record claims that the attempt was both finished and left".to_owned());
    }
    let (raw, max) = marked.marks.raw_and_max();
    let scaled = (max > 0.0).then(|| raw / max);
    for (what, claimed, due) in [
        ("a score of", closing.raw, Some(raw)),
        ("a highest score of", closing.max, Some(max)),
        ("a share of", closing.scaled, scaled),
    ] {
        if let (Some(claimed), Some(due)) = (claimed, due)
            && (claimed - due).abs() > SAME
        {
            misfits.push(format!(
                "the result claims {what} {}, the answers give {}",
                round(claimed),
                round(due)
            ));
        }
    }
    misfits
}
