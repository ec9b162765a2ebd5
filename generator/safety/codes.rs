//! What can be wrong with a machine as it moves, with a drill, and with a procedure replayed on it.

use crate::diagnostic::Code;
use crate::explore::Class;

pub static PROCEDURE_HURTS: Code = Code {
    name: "procedure-hurts",
    title: "a procedure in which somebody can be hurt",
    explanation: "The steps were replayed on the machine's model from every start of the drill, whatever others do meanwhile, and at the step shown somebody can be hurt. \
        The story says from which start, what happens, and to whom. A step is unsafe even if the harm needs somebody else's act, or a plate that is wrong only sometimes: that day \
        comes. Most often a step is missing before it, or stands too late. If the model is wrong, mend the model, not the step.",
};

pub static PROCEDURE_BREAKS_RULE: Code = Code {
    name: "procedure-breaks-rule",
    title: "a procedure that breaks a rule of the law or the centre",
    explanation: "A rule of the machine fixes which acts come before this one, and in which order; they count again after each act in `again-after`. The replay came to the step \
        shown without them. Put the missing act before it.",
};

pub static PROCEDURE_HARMS_MACHINE: Code = Code {
    name: "procedure-harms-machine",
    title: "a procedure that damages the machine",
    explanation: "At the step shown, the act or what the machine then does by itself meets a hazard to the machine. The story says how.",
};

pub static PROCEDURE_STUCK: Code = Code {
    name: "procedure-stuck",
    title: "a step that cannot be done by then",
    explanation: "From the start shown, what the step needs is not there when the step comes: nothing happens, and the trainee stands before the machine with a page that does not fit. \
        Give the step an `if`, put it elsewhere, or mend what the action `needs`.",
};

pub static PROCEDURE_NOT_CURED: Code = Code {
    name: "procedure-not-cured",
    title: "a procedure after which the stop is not cured",
    explanation: "From the start shown the steps run to their end, and what the drill calls `cured` does not hold. A step is missing, or the drill asks for more than the procedure gives.",
};

pub static PROCEDURE_HANDS_OVER: Code = Code {
    name: "procedure-hands-over",
    title: "a procedure that hands over what could have been cured",
    explanation: "The steps end handed over to somebody else, while some run of safe acts could still end cured. Handing over is right where no safe act can cure the stop; elsewhere \
        it takes a lane out of play for nothing. Let the `if` of that branch ask for what shows that it cannot be cured.",
};

pub static HAND_OVER_RIGHT: Code = Code {
    name: "hand-over-right",
    title: "a drill that misjudges where handing over is right",
    explanation: "Handing over counts as ending well only where nothing safe can still end cured. The drill says by `beyond` when that is, as far as the trainee can know it (without `beyond`: \
        wherever it can be handed over), and the model was gone over to see whether that is so. Ask in `beyond` for what makes the stop somebody else's: a plate that is wrong, a fault inside.",
};

pub static PROCEDURE_NOT_KNOWN: Code = Code {
    name: "procedure-not-known",
    title: "a step that depends on what cannot be known by then",
    explanation: "The `if` or `while` of a step must be equally true in all states that what was seen so far allows. Here it is not: the trainee would have to guess. \
        Ask for something that is seen, or put a look or a try-out before it.",
};

pub static PROCEDURE_ENDLESS: Code = Code {
    name: "procedure-endless",
    title: "a step that is repeated without end",
    explanation: "The `while` of the step stays true however often the step is done. Ask for something that the step changes.",
};

pub static INSIDE_WITHOUT_ACT: Code = Code {
    name: "inside-without-act",
    title: "a step past a guard that no proof covers",
    explanation: "The procedure is proven on a drill, and this step goes inside the machine, but it has no `do`: the replay knows nothing of it. Hands inside are what the proof is for. \
        Name the machine's action, and add one to the machine if there is none.",
};

pub static NOT_PROVEN: Code = Code {
    name: "not-proven",
    title: "a hands-on procedure without a proof",
    explanation: "The lesson sends hands into a machine that has a model, and its procedure names no drill in `clears`. It would be the one page that nobody has replayed. \
        Write a drill for the stop, name it, and give the steps their `do`.",
};

pub static MACHINE_ELSEWHERE: Code = Code {
    name: "machine-elsewhere",
    title: "a procedure proven on another machine",
    explanation: "The lesson is about one machine and its procedure clears a drill of another. What is safe on one is not safe on the other.",
};

pub static MACHINE_WITHOUT_STATE: Code = Code {
    name: "machine-without-state",
    title: "a drill on a machine that cannot move",
    explanation: "The drill names a machine that lists parts and signs and has no `state`, so there is nothing to go over, and a procedure that clears the drill would be proven of nothing. \
        Give the machine a `state`, or name the machine that was meant.",
};

pub static START_UNSAFE: Code = Code {
    name: "start-unsafe",
    title: "a start at which somebody can be hurt before anything is done",
    explanation: "From this start somebody is in danger as things stand, or as soon as others act. No drill can begin so: whoever is called meets it from outside. \
        If a second person may walk in at any time, every start is unsafe: let them go in only when asked.",
};

pub static TRAP: Code = Code {
    name: "trap",
    title: "a dead end: safe acts lead to where no plan ends well",
    explanation: "Doing only what is safe, one can come to where no plan of safe acts surely ends cured or rightly handed over. Most often the machine lacks an act (taking a lock off, \
        calling somebody), or the drill lacks `handed-over`. If the dead end is meant, say why in the drill's `dead-ends`.",
};

pub static TOO_MANY_SITUATIONS: Code = Code {
    name: "too-many-situations",
    title: "a drill with more to go over than the budget allows",
    explanation: "The explorer goes over all that can happen and all that can be known of it, up to a stated number of states. This drill has more. Name in `holds` what the stop does not touch, \
        use fewer values, or let values go back to rest when they stop mattering.",
};

pub static REACTION_LOOP: Code = Code {
    name: "reaction-loop",
    title: "reactions that set each other off without end",
    explanation: "What the machine does by itself must come to rest. From the state in the story it never does. Most often a reaction does not change what its own `when` asks for.",
};

pub static EFFECT_OUT_OF_RANGE: Code = Code {
    name: "effect-out-of-range",
    title: "a count that leaves its range",
    explanation: "An effect adds to a number past the values that `state` lists. Widen the range, or let `needs` or `when` say when it can still be counted.",
};

pub static REACTION_ORDER: Code = Code {
    name: "reaction-order",
    title: "two reactions whose order makes a difference",
    explanation: "Two reactions apply at once, and the machine comes to rest elsewhere, or hurts somebody, if the second goes first. A real machine does not read the file from the top. \
        Say in their `when` which one goes first, or model what decides between them.",
};

pub static NEVER_POSSIBLE: Code = Code {
    name: "never-possible",
    title: "an action that can never be taken",
    explanation: "In no situation of any drill of this machine can the action be done: most often a misspelt value in its `needs`, or a drill is missing. Mend it, or take the action out.",
};

pub static HAZARD_NEVER_MET: Code = Code {
    name: "hazard-never-met",
    title: "a hazard that no drill can meet",
    explanation: "No act offered in any drill of this machine can meet the hazard, so nobody practises it and a mistake in its `when` goes unseen. Write a drill in which it can be met, or mend its condition.",
};

pub static NO_RIGHT_ORDER: Code = Code {
    name: "no-right-order",
    title: "a sequencing that no order answers",
    explanation: "The machine's model marks this question, and no order of its steps is right: one that is safe, keeps the rules and ends cured. Most often a step is missing, or \
        should stand in `before`; or the drill's `cured` asks for more than these steps give.",
};

/// All of them, for the registry.
pub fn codes() -> Vec<&'static Code> {
    vec![
        &PROCEDURE_HURTS,
        &PROCEDURE_BREAKS_RULE,
        &PROCEDURE_HARMS_MACHINE,
        &PROCEDURE_STUCK,
        &PROCEDURE_NOT_CURED,
        &PROCEDURE_HANDS_OVER,
        &HAND_OVER_RIGHT,
        &PROCEDURE_NOT_KNOWN,
        &PROCEDURE_ENDLESS,
        &INSIDE_WITHOUT_ACT,
        &NOT_PROVEN,
        &MACHINE_ELSEWHERE,
        &MACHINE_WITHOUT_STATE,
        &START_UNSAFE,
        &TRAP,
        &TOO_MANY_SITUATIONS,
        &REACTION_LOOP,
        &EFFECT_OUT_OF_RANGE,
        &REACTION_ORDER,
        &NEVER_POSSIBLE,
        &HAZARD_NEVER_MET,
        &NO_RIGHT_ORDER,
    ]
}

/// The code for a way in which a procedure goes wrong.
pub fn of(class: Class) -> &'static Code {
    match class {
        Class::Hurts => &PROCEDURE_HURTS,
        Class::BreaksRule => &PROCEDURE_BREAKS_RULE,
        Class::HarmsMachine => &PROCEDURE_HARMS_MACHINE,
        Class::Stuck => &PROCEDURE_STUCK,
        Class::NotCured => &PROCEDURE_NOT_CURED,
        Class::HandedOver => &PROCEDURE_HANDS_OVER,
        Class::NotKnown => &PROCEDURE_NOT_KNOWN,
        Class::Endless => &PROCEDURE_ENDLESS,
    }
}
