//! What stands before the causes: what is wrong as it is described or read, and what costs least to
//! find out.

use crate::answer::why::cure::{as_built, as_described, fix};
use crate::answer::why::data::misfed_part;
use crate::answer::why::words::{check, likeliest, ranked};
use crate::answer::why::{WhyReport, alike, keys};
use crate::answer::{Text, said};
use crate::simulation::Regime;
use crate::study::why::{Cause, Doubtful, Outcome, Step, Symptom};

/// That there is too little water as described: before that is mended no cause can be told.
fn runs_dry(answer: &WhyReport) -> Option<Text> {
    let found = answer.diagnosis;
    if !found.runs_dry() {
        return None;
    }
    let at = answer.top().part(keys::DRY_PART.name);
    let bed = found.question.bed;
    let water = at.figure(&keys::DRY_WATER, answer.system.sump.start_level);
    let never = found.promised.beds[bed].regime == Regime::NeverFills;
    let lip = match never {
        true => format!(
            " before the water reaches the lip of \"{}\"",
            answer.bed_name(bed)
        ),
        false => String::new(),
    };
    let after = match found.contradicts_itself() {
        true => apart(answer),
        false => as_built(answer)
            .is_none_or(|(_, own)| own.remedy.is_none())
            .then(|| {
                " Mend that first, with more water or a larger sump; before that no cause can be told."
                    .into()
            }),
    };
    Some(said!(
        "As described, with the sump filled to {}, it runs dry and the pump draws air{}.{}",
        water,
        lip,
        after
    ))
}

/// That what is seen cannot be with as little water as described, and what tells which is wrong.
fn apart(answer: &WhyReport) -> Option<Text> {
    let found = answer.diagnosis;
    let seen = match found.question.symptom? {
        Symptom::Dribbles => "Water that trickles over a lip".to_owned(),
        other => format!("What you see ({})", other.words()),
    };
    let no = |cause| answer.check_of(cause) == Some(false);
    let open = [Cause::TooMuchWater, Cause::LessVoid];
    let open = open.into_iter().find(|cause| !no(*cause));
    let tells = match open {
        None => said!(
            "Both were looked at: measure the sump and the bed again before anything is changed."
        ),
        // What it found stands behind this.
        Some(cause) if answer.check_of(cause).is_some() => Text::default(),
        Some(cause) => {
            let suspects = found.suspects.iter();
            let place = suspects.map(|one| one.outcome);
            let place = place.enumerate().find(|one| one.1 == Outcome::Cause(cause));
            let at = place.map_or_else(|| answer.top(), |(k, _)| answer.at(k));
            said!(
                "This tells: {}",
                check(answer, &at, cause, cause.entry().check)
            )
        }
    };
    Some(said!(
        " {} does not go together with that: more stands in the sump than described, or the gravel holds \
         less. {}",
        seen,
        tells
    ))
}

/// That with the flow that was read the siphon cannot start, or cannot break.
fn misfed(answer: &WhyReport) -> Option<Text> {
    let found = answer.diagnosis.misfed?;
    let at = answer.top().part(misfed_part(found.fails));
    let bed = answer.bed_name(answer.diagnosis.question.bed);
    let read = match found.fails {
        Doubtful::Start => said!(
            "A bucket reads {} under the inlet of \"{}\". That is too little for its siphon, which starts \
             somewhere between {} and {}: ",
            at.figure(&keys::STARVED_INFLOW, found.inflow),
            bed,
            at.figure(&keys::STARVED_LOW, found.edge.low),
            at.figure(&keys::STARVED_HIGH, found.edge.high)
        ),
        Doubtful::Break => said!(
            "A bucket reads {} under the inlet of \"{}\". That is too much for its siphon, which is sure to \
             stop up to {} and no longer stops above {} (at the latest {}): ",
            at.figure(&keys::OVERFED_INFLOW, found.inflow),
            bed,
            at.figure(&keys::OVERFED_LOW, found.edge.low),
            at.figure(&keys::OVERFED_USUAL, found.edge.nominal),
            at.figure(&keys::OVERFED_HIGH, found.edge.high)
        ),
    };
    let does = match found.fails {
        Doubtful::Start => "holds that back",
        Doubtful::Break => "lets more through",
    };
    let planned = match found.as_described {
        true => "nothing has to be broken for it.".into(),
        false => said!(
            "as described it would get {}, so what {} is what to look for.",
            as_described(answer),
            does
        ),
    };
    Some(read.and(planned))
}

/// What is wrong as it is described or read, before any cause: it explains what is complained of.
fn plain_finding(answer: &WhyReport) -> Option<Text> {
    let wrong: Vec<Text> = [runs_dry(answer), misfed(answer)]
        .into_iter()
        .flatten()
        .collect();
    if wrong.is_empty() {
        return None;
    }
    let wrong = Text::joined(wrong, " ");
    // What as little flow as described explains needs another design, else what holds it back is sought.
    let built = answer.diagnosis.misfed.is_none_or(|one| one.as_described);
    let does = as_built(answer).filter(|(_, own)| {
        let can = own.remedy.is_some() || own.aim.is_some();
        built && can && answer.diagnosis.explains_itself()
    });
    let after = match answer.diagnosis.runs_dry() {
        true if answer.has_found() => Text::default(),
        true => " Before that no cause can be told.".into(),
        false => match likeliest(answer).filter(|_| !answer.has_found()) {
            Some(one) => said!(
                " The causes below come on top of it; if it stays as it is, {}",
                one
            ),
            None => " The causes below come on top of it, if it stays as it is.".into(),
        },
    };
    Some(match does {
        Some((k, own)) => said!(
            "{} What to do: {}.{}",
            wrong,
            fix(&answer.at(k), answer, own),
            after
        ),
        None => wrong,
    })
}

/// What comes first, before what else it may be.
pub(super) fn headline(answer: &WhyReport) -> Text {
    if let Some(wrong) = plain_finding(answer) {
        let built = answer.diagnosis.misfed.is_none_or(|one| one.as_described);
        return match !answer.has_found() && built {
            true => wrong,
            false => said!("{} {}", wrong, ranked(answer)),
        };
    }
    let first = answer.diagnosis.suspects.first();
    let designed = first
        .is_some_and(|one| one.outcome == Outcome::AsBuilt && one.share > answer.diagnosis.other);
    // What is done about the design is an inflow to set already.
    let before = doubt(answer).or_else(|| described(answer));
    // Where a check has found it, nothing else is tried first.
    let text = match before.filter(|_| !designed && !answer.has_found()) {
        Some(before) => said!("{} If it stays as it is: {}", before, ranked(answer)),
        None => ranked(answer),
    };
    match alike::beside(answer) {
        Some(beside) => said!("{} {}", text, beside),
        None => text,
    }
}

/// That the bed does not cycle as it is described, where an inflow mends that.
fn described(answer: &WhyReport) -> Option<Text> {
    let found = answer.diagnosis;
    let mut suspects = found.suspects.iter().enumerate();
    let (k, own) = suspects.find(|(_, one)| one.outcome == Outcome::AsBuilt)?;
    let steps = &own.remedy.as_ref()?.steps;
    let sets = matches!(steps.as_slice(), [Step::SetInflow { .. }]) && !found.promised_to_cycle();
    sets.then(|| {
        said!(
            "Nothing has to be broken for it: as it is described the bed does not cycle. That costs least \
             to find out: {}, and watch two cycles.",
            fix(&answer.at(k), answer, own)
        )
    })
}

/// That the bands alone may bring up what is complained of, and the flow that would show it.
fn doubt(answer: &WhyReport) -> Option<Text> {
    let (doubt, at) = (answer.diagnosis.doubt?, answer.top().part("doubt"));
    let flow = |key, value| at.figure(key, value);
    let (may, certain) = match doubt.what {
        Doubtful::Break => ("run on", "breaks for certain only below"),
        Doubtful::Start => ("only dribble", "starts for certain only above"),
    };
    let how = match doubt.what {
        Doubtful::Break => "turn the valve down",
        Doubtful::Start => "open its valve or shut those of other beds",
    };
    // A flow that is sure to do the one is tried, unless none is sure to do both.
    let unsure = match doubt.what {
        Doubtful::Break => doubt.to_try > doubt.certain,
        Doubtful::Start => doubt.to_try < doubt.certain,
    };
    let best = match unsure {
        true => " (none is sure both to start and to stop it; this is the likeliest to do both)",
        false => "",
    };
    Some(said!(
        "Nothing may be broken: at {} this siphon may {}, since it {} {}. That costs least to find out: {} \
         until a bucket under the inlet reads {}{}, and watch two cycles.",
        flow(&keys::DOUBT_INFLOW, doubt.inflow),
        may,
        certain,
        flow(&keys::DOUBT_CERTAIN, doubt.certain),
        how,
        flow(&keys::DOUBT_TO_TRY, doubt.to_try),
        best
    ))
}
