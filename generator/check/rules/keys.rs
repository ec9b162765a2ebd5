//! Public keys in the outline: each is one, and each stands for one person.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::model::{Course, Text};
use crate::proof::PublicKey;
use crate::source::Span;
use std::collections::HashMap;

pub static BAD_KEY: Code = Code {
    name: "bad-key",
    title: "a key is no public key",
    explanation: "`key` is the public half of the key with which somebody signs: Ed25519, written as a Multikey that begins with z6Mk. `pitwright key CODE` makes a pair \
        and prints this half; `pitwright key CODE --show` prints it again. Copy it whole. The other half stays in its file and never goes into a course.",
};

pub static SHARED_KEY: Code = Code {
    name: "shared-key",
    title: "one key stands for two people, or two keys for one",
    explanation: "Whoever holds a key signs with it, so a key that stands for two people shows of neither that they signed. Let each make their own with `pitwright key CODE`. \
        Somebody who is both trainer and signer has one key, the same in both places.",
};

pub const RULE: Rule = Rule {
    codes: &[&BAD_KEY, &SHARED_KEY],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    let Some(outline) = &course.outline else {
        return;
    };
    let roles = &outline.value.roles;
    let trainers = roles.trainers.iter().map(|(code, trainer)| (code, &trainer.key));
    let signers = roles.signers.iter().map(|(code, signer)| (code, &signer.key));
    let keys = trainers
        .chain(signers)
        .filter_map(|(code, key)| Some((code.value.as_str(), key.as_ref()?)));
    let mut by_key: HashMap<&str, (&str, Span)> = HashMap::new();
    let mut by_code: HashMap<&str, (&str, Span)> = HashMap::new();
    for (code, key) in keys {
        let span = outline.span(key);
        if let Err(why) = PublicKey::from_multikey(&key.value) {
            findings.push(bad(code, key, span, why));
            continue;
        }
        let (owner, first) = *by_key.entry(&key.value).or_insert((code, span));
        if owner != code {
            findings.push(
                Finding::new(
                    &SHARED_KEY,
                    span,
                    format!("the key of {code} is the key of {owner} too"),
                    format!("make one for {code} alone: `pitwright key {code}`"),
                )
                .also(first, format!("the key of {owner}")),
            );
        }
        let (other, first) = *by_code.entry(code).or_insert((&key.value, span));
        if other != key.value {
            findings.push(
                Finding::new(
                    &SHARED_KEY,
                    span,
                    format!("{code} has a second key here"),
                    "write the same key in both places",
                )
                .also(first, "the first one"),
            );
        }
    }
}

fn bad(code: &str, key: &Text, span: Span, why: crate::proof::NotAKey) -> Finding {
    // Somebody's secret, pasted by mistake, is not to be repeated on a screen.
    let shown = key.value.chars().take(8).collect::<String>();
    Finding::new(
        &BAD_KEY,
        span,
        format!("`{shown}…` is no public key: {why}"),
        format!("print it again with `pitwright key {code} --show`, and copy it whole"),
    )
}
