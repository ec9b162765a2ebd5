//! `pitwright finding`: what a code means.

use super::{Outcome, Voice};
use crate::check;
use crate::diagnostic::Code;
use serde_json::json;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The code to explain; without one, all codes are listed.
    code: Option<String>,
}

/// Explains a code or lists them.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let codes = check::codes();
    let Some(name) = &args.code else {
        if voice.json {
            let list: Vec<_> = codes.iter().map(|code| as_json(code)).collect();
            voice.say_json(&list);
        } else {
            for code in codes {
                voice.say(format!("{:<28} {}", code.name, code.title));
            }
        }
        return Outcome::Clean;
    };
    let Some(code) = codes.iter().find(|code| code.name == name) else {
        let near = crate::load::nearest(name, codes.iter().map(|code| code.name));
        let help = near.map_or("`pitwright finding` lists them all".to_owned(), |near| {
            format!("did you mean `{near}`?")
        });
        voice.tell(format!("no finding has the code `{name}`\n  help: {help}"));
        return Outcome::Failed;
    };
    if voice.json {
        voice.say_json(&as_json(code));
    } else {
        voice.say(format!("{}: {}\n\n{}", code.name, code.title, code.explanation));
    }
    Outcome::Clean
}

fn as_json(code: &Code) -> serde_json::Value {
    json!({ "code": code.name, "title": code.title, "explanation": code.explanation })
}
