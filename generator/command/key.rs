//! `pitwright key`: the key pair with which a signer or trainer signs.

use super::key_file::KeyFile;
use super::opening::failed;
use super::{Outcome, Voice};
use crate::record::code;
use serde_json::json;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The code of whoever will sign with it.
    person: String,
    /// Make nothing: print the public key of the key file that is there.
    #[arg(long)]
    show: bool,
    #[command(flatten)]
    key: KeyFile,
}

/// Makes a key pair, or shows the public key of one. The secret key never leaves its file.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let done = code(&args.person).map_err(|why| why.to_string()).and_then(|who| {
        if args.show {
            Ok((args.key.unlock(&who)?, args.key.place(&who)?, who))
        } else {
            let (key, place) = args.key.make(&who)?;
            Ok((key, place, who))
        }
    });
    let (key, place, who) = match done {
        Ok(done) => done,
        Err(why) => return failed(voice, why),
    };
    let public = key.public().multikey();
    if voice.json {
        voice.say_json(&json!({ "person": who, "key": public, "file": place }));
        return Outcome::Clean;
    }
    voice.say(format!("key: {public}"));
    if !args.show {
        voice.tell(format!(
            "The secret key is in {}, locked with the passphrase. Back the file up; nobody can open it without the passphrase, {who} included.",
            place.display()
        ));
    }
    voice.tell(format!(
        "Before {who} signs, or writes a slip, the course has to know it. In this order:"
    ));
    for line in [
        format!(
            "  1. Put the line above among the fields of {who} under `roles` in lessons/outline.yml (key: under name:, as far in)."
        ),
        "  2. Run `pitwright compile`.".to_owned(),
        "  3. Run `pitwright gather`: the register takes the new course in.".to_owned(),
        "  4. Hand the course out anew (out/course.html or out/course.zip): a phone with the old one refuses the slip."
            .to_owned(),
    ] {
        voice.tell(line);
    }
    Outcome::Clean
}
