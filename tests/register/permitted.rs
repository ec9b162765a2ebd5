//! Who may enter what, and in which words the rest is refused.

use super::asking::desk;
use super::desk::Desk;
use super::people::{competency, shop};
use pitwright::marking::Evidence;
use pitwright::record::{Thing, Trigger, What};
use serde_json::json;

#[test]
fn each_event_is_refused_to_those_who_may_not_enter_it() {
    let joined = || What::Joined { job: None };
    let assigned = || What::Assigned {
        thing: Thing::Lesson("lockout".to_owned()),
        due: None,
    };
    let released = |id: &str, more| What::Released {
        assessment: Evidence::Bank(id.to_owned()),
        more,
    };
    let withdrawn = || What::Withdrawn {
        competency: competency(),
    };
    let retrain = || What::MustRetrain {
        competency: competency(),
        trigger: Trigger::Job,
    };
    let neither = "is neither a trainer nor a signer of this course; those are TR-1, MG-1, OW-1";
    let mut shop = shop();
    for (who, by, what, due) in [
        ("TM-2", "TM-1", joined(), neither),
        ("TM-1", "TM-2", What::Left, neither),
        ("TM-1", "TM-2", assigned(), neither),
        ("TM-1", "TM-2", withdrawn(), neither),
        ("TM-1", "TM-2", retrain(), neither),
        (
            "TM-1",
            "MG-1",
            released("alone", 1),
            "MG-1 is not a trainer of this course",
        ),
        (
            "TM-1",
            "TR-1",
            released("alone", 0),
            "releasing no tries changes nothing",
        ),
        (
            "TM-1",
            "TR-1",
            released("alonr", 1),
            "there is no bank `alonr`: did you mean alone? The course has alone",
        ),
        ("MG-1", "MG-1", joined(), "nobody enters this for themselves"),
        ("TR-1", "TR-1", withdrawn(), "nobody enters this for themselves"),
        (
            "TM-3",
            "TR-1",
            assigned(),
            "nobody with the code TM-3 is on record; did you mean TM-1?",
        ),
        (
            "TM-1",
            "TR-1",
            What::Assigned {
                thing: Thing::Assessment(Evidence::Scenario("nihgt".to_owned())),
                due: None,
            },
            "there is no scenario `nihgt`: did you mean night? The course has night",
        ),
        (
            "TM-2",
            "TR-1",
            What::Joined {
                job: Some("juggler".to_owned()),
            },
            "there is no job `juggler`; the course has mechanic, desk",
        ),
    ] {
        let before = shop.register.ledger().head.clone();
        let why = shop
            .enter(who, by, what.clone(), "2026-02-01")
            .expect_err("it is refused")
            .to_string();
        assert!(why.contains(due), "{what:?}: {why:?} says {due:?}");
        assert_eq!(shop.register.ledger().head, before, "a refusal writes nothing");
    }
}

#[test]
fn commands_refuse_in_words_that_say_what_to_do() {
    let desk = desk();
    let nothing = desk.json(&["audit"]).1["rows"].clone();
    for (line, due) in [
        ("join TM-3 --by TR-1", "--name"),
        ("join TM-3 --by TR-1 --name=", "a person needs a name"),
        ("join T --by TR-1 --name Cy", "`T` is not a person's code"),
        (
            "join TM-3 --by TR-1 --name Cy --job juggler",
            "there is no job `juggler`; the course has mechanic, desk",
        ),
        (
            "join TM-3 --by TR-1 --name Cy --on 2026-03-02",
            "2026-03-02 is in the future; today is 2026-03-01",
        ),
        (
            "leave TM-9 --by TR-1",
            "nobody with the code TM-9 is on record; did you mean TM-1 or TM-2?",
        ),
        ("leave TM-1 --by TM-2", "TM-2 is neither a trainer nor a signer"),
        ("assign TM-1 --by TR-1", "--lesson"),
        ("assign --by TR-1 --lesson lockout", "required"),
        ("assign TM-1 --by TR-1 --gap --lesson lockout", "cannot be used with"),
        (
            "assign TM-1 --by TR-1 --lesson lokcout",
            "there is no lesson `lokcout`: did you mean lockout? The course has lockout, sweep",
        ),
        (
            "assign TM-1 --by TR-1 --lesson lock-out",
            "there is no lesson `lock-out`: lock-out is a competency; did you mean lockout?",
        ),
        (
            "assign TM-1 --by TR-1 --lesson floor-sweep",
            "there is no lesson `floor-sweep`: did you mean sweep? The course has",
        ),
        (
            "assign TM-1 --by TR-1 --lesson lockout sweep",
            "sweep is a lesson of the course and not a person's code: name several with commas and no space, as in --lesson sweep,ANOTHER",
        ),
        (
            "assign --by TR-1 --lesson lockout TM-8",
            "nobody with the code TM-8 is on record; did you mean TM-1 or TM-2?",
        ),
        (
            "assign TM-1 --by TR-1 --lesson lockout --due 2026-02-28",
            "2026-02-28 is past on 2026-03-01",
        ),
        (
            "assign --job juggler --by TR-1 --gap",
            "there is no job `juggler`; the course has mechanic, desk",
        ),
        ("assign --job desk --by TR-1 --gap", "nobody has the job `desk`"),
        ("assign TR-1 --by MG-1 --gap", "TR-1 has no job that the outline names"),
        (
            "release TM-1 alonr --by TR-1",
            "there is no bank, scenario or drill `alonr`: did you mean alone? The course has alone, night",
        ),
        ("release TM-1 alone --by MG-1", "MG-1 is not a trainer"),
        ("release TM-1 alone --by TR-1 --more 0", "0 is not in 1..=10"),
        (
            "withdraw TM-1 lokc-out --by TR-1 --note x",
            "there is no competency `lokc-out`: did you mean lock-out? The course has lock-out",
        ),
        (
            "withdraw TM-1 lock-out --by TR-1 --note x",
            "TM-1 was never signed off for lock-out by 2026-03-01, so there is nothing to withdraw",
        ),
        (
            "retrain TM-1 lokc-out --because job --by TR-1",
            "there is no competency `lokc-out`: did you mean lock-out?",
        ),
        (
            "retrain TM-1 lock-out lokc-out --because job --by TR-1",
            "there is no competency `lokc-out`: did you mean lock-out?",
        ),
        (
            "retrain TM-1 --because job --by TR-1",
            "there is no competency `TM-1`; the course has lock-out",
        ),
        (
            "retrain lock-out --because job --by TR-1",
            "nobody is named: give codes, or --everyone",
        ),
        (
            "retrain TM-1 lock-out --because luck --by TR-1",
            "those are job, machine, procedure, deviation",
        ),
        (
            "retrain TM-1 lock-out --everyone --because job --by TR-1",
            "--everyone takes no codes",
        ),
        (
            "witness TM-1 lock-out --by TR-1 --real --step 4=met",
            "there is no step 4; the sheet of lock-out (lesson lockout) has 3 steps, 1 to 3\n   1  Tell the desk\n   2  Open the switch\n   3  Hang your own lock",
        ),
        (
            "witness TM-1 lock-out --by TR-1 --real --step 0=met",
            "there is no step 0",
        ),
        (
            "witness TM-1 lock-out --by TR-1 --real --step 1=fine",
            "does not say how a step went",
        ),
        (
            "witness TM-1 lock-out --by TR-1 --real --step 1=met --step 1=not-met",
            "step 1 is named twice",
        ),
        (
            "witness TM-1 lock-out --by TR-1 --real --step 1=met --met",
            "cannot be used with",
        ),
        (
            "witness TM-1 juggling --by TR-1 --real --step 1=met",
            "there is no competency `juggling`",
        ),
        (
            "witness TR-1 lock-out --by TR-1 --real --met",
            "nobody witnesses or signs their own work",
        ),
    ] {
        let (code, out, err) = desk.run(&line.split(' ').collect::<Vec<_>>());
        assert_eq!((code, out.as_str()), (2, ""), "{line}");
        assert!(err.contains(due), "{line}: {due:?} in {err}");
    }
    assert_eq!(desk.json(&["audit"]).1["rows"], nothing, "nothing was written");
}

#[test]
fn steps_decide_how_the_whole_went() {
    let desk = desk();
    for (steps, due) in [
        (&["--step", "1=met"][..], (true, false, json!(["met", "met", "met"]))),
        (
            &["--step", "2=prompted"],
            (false, true, json!(["met", "prompted", "met"])),
        ),
        (
            &["--step", "2=prompted", "--step", "3=not-met"],
            (false, false, json!(["met", "prompted", "not-met"])),
        ),
    ] {
        let line = Desk::watching("lock-out", &["--real", "--another"]);
        let (code, told) = desk.json(&[&line, steps].concat());
        assert_eq!(code, 0, "{told:#}");
        let (result, x) = (&told["entered"]["result"], "https://pitwright.example/xapi/");
        let found = (
            result["success"] == json!(true),
            result["extensions"][format!("{x}prompted")] == json!(true),
            result["extensions"][format!("{x}steps")].clone(),
        );
        assert_eq!(found, due);
    }
}

#[test]
fn a_code_that_is_taken_is_given_to_nobody_else() {
    let desk = desk();
    let rows = || desk.json(&["audit"]).1["rows"].clone();
    let before = rows();
    for extra in [&[][..], &["--on", "2026-01-02"]] {
        let line = ["join", "TM-1", "--by", "TR-1", "--name", "Cy", "--job", "desk"];
        let (code, out, err) = desk.run(&[&line, extra].concat());
        assert_eq!((code, out.as_str()), (2, ""), "{err}");
        for due in ["TM-1 is Ada, and all", "would become the record of Cy", "--same-person"] {
            assert!(err.contains(due), "{due:?} in {err}");
        }
    }
    assert_eq!(rows(), before, "nothing was written");
    let same = ["join", "TM-1", "--by", "TR-1", "--name", "Ada", "--job", "mechanic"];
    assert_eq!(desk.run(&same).0, 0, "under the same name nothing is in doubt");
    let renamed = [
        "join",
        "TM-1",
        "--by",
        "TR-1",
        "--name",
        "Cy",
        "--job",
        "desk",
        "--same-person",
    ];
    let (code, _, err) = desk.run(&renamed);
    assert_eq!(code, 0);
    for due in [
        "TM-1 was here already: name and job are now as given",
        "`pitwright retrain TM-1 COMPETENCY --because job`",
    ] {
        assert!(err.contains(due), "{due:?} in {err}");
    }
    assert_eq!(desk.run(&["leave", "TM-1", "--by", "TR-1"]).0, 0);
    let (_, _, err) = desk.run(&["join", "TM-1", "--by", "TR-1", "--name", "Cy"]);
    assert!(
        err.starts_with("TM-1 left on 2026-03-01: coming back is a change of job assignment"),
        "{err}"
    );
}
