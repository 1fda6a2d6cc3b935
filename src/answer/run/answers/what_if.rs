//! What the events of the scenario do, beside the ordinary answers.

use crate::answer::run::keys::{
    WHAT_IF, WHAT_IF_STATUS, WHAT_IF_WORDS, WORSE, WORSE_BECAUSE, WORSE_ID, WORSE_STATUS,
    WORSE_SUBJECT, WORSE_VALUE,
};
use crate::answer::sentence::told_at;
use crate::answer::told::sentence;
use crate::answer::{At, Figure, Piece, Text, said, status_key, status_word};
use crate::assessment::Status;
use crate::report::{Report, because, phrase};
use crate::study::mend::{Disturbed, Judged};

/// One line for all events together: they are one incident.
pub(super) fn row(report: &Report) -> Option<Vec<Text>> {
    let judged: &Judged = report.judged?;
    let (status, words) = told(report, judged, judged.disturbed.as_ref()?);
    let at = At::top(report.units).part(WHAT_IF.name);
    Some(vec![
        said!(
            "{}{}",
            Piece::Status(status, status_word(status)),
            at.word(&WHAT_IF_STATUS, status_key(status)).said("")
        ),
        "What if".into(),
        told_at(&at, &WHAT_IF_WORDS, words),
    ])
}

/// What happens, and how bad it is.
fn told(report: &Report, judged: &Judged, found: &Disturbed) -> (Status, Text) {
    let worse = judged.made_worse();
    let status = worse.iter().map(|check| check.status).max();
    let status = status.unwrap_or(Status::Pass);
    let say = report.say();
    let mut events: Vec<Text> = Vec::new();
    for told in &found.run.incidents {
        let Some(incident) = found.system.incidents.get(told.index) else {
            continue;
        };
        let moment = if found.placed.contains(&told.index) {
            "at the worst moment, "
        } else {
            ""
        };
        events.push(said!(
            "{} ({}{})",
            phrase(&found.system, incident.what),
            moment,
            say.time("moment", told.time)
        ));
    }
    let outcome = if worse.is_empty() {
        "every answer stays as good as without".into()
    } else {
        let why = worse
            .iter()
            .filter(|check| check.status == status)
            .map(|check| because(&found.system, check, report.units));
        Text::joined(why, " ")
    };
    let words = said!("{}: {}", Text::joined(events, ", then "), outcome);
    (status, sentence(words))
}

/// What is worse with the events, for the results.
pub(super) fn worse(report: &Report) -> Vec<Figure> {
    let judged = report.judged;
    let Some((judged, found)) = judged.and_then(|one| Some((one, one.disturbed.as_ref()?))) else {
        return Vec::new();
    };
    let top = At::top(report.units).part(WHAT_IF.name);
    let worse = judged.made_worse().into_iter().enumerate();
    let data = worse.flat_map(|(i, check)| {
        let at = top.item(WORSE.name, i);
        let why = because(&found.system, check, report.units);
        let mut data = vec![
            at.word(&WORSE_ID, check.id.key()),
            at.word(&WORSE_SUBJECT, check.subject.name(&found.system)),
            at.word(&WORSE_STATUS, status_key(check.status)),
            at.figure(&WORSE_VALUE, check.value),
        ];
        data.extend(told_at(&at, &WORSE_BECAUSE, why).figures().cloned());
        data
    });
    data.collect()
}
