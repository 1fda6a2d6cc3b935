//! What a run and its assessment came to, one line for each part.

use ebbwright::assessment::{Adviser, assess, sump_volumes};
use ebbwright::scenario;
use ebbwright::simulation::{BedOutcome, EventKind, Run, Sampling, resolve_worst, simulate};
use ebbwright::units::UnitSystem;
use std::collections::BTreeMap;
use std::fmt::{Debug, Write as _};

/// Every figure of the system in this text; `None` where it is no valid scenario.
pub fn of(text: &str) -> Option<String> {
    let system = scenario::parse(text, "pinned.toml").ok()?.system;
    let (system, placed) = match resolve_worst(&system) {
        Ok(found) => found,
        Err(error) => return Some(format!("worst {error:?}\n")),
    };
    let run = match simulate(&system, Sampling::None) {
        Ok(run) => run,
        Err(error) => return Some(format!("error {error:?}\n")),
    };
    let mut page = String::new();
    if !placed.is_empty() {
        line(&mut page, "incidents", &system.incidents);
    }
    of_run(&mut page, &run);
    let found = assess(&system, &run);
    line(&mut page, "verdict", &found.verdict);
    for bed in &found.beds {
        line(&mut page, "judged", bed);
    }
    line(&mut page, "bounds", &found.sump);
    line(&mut page, "volumes", &sump_volumes(&system, &run));
    line(&mut page, "notes", &found.notes);
    line(&mut page, "cautions", &found.cautions);
    line(&mut page, "garden", &found.garden);
    let adviser = Adviser::new(&system, &run, UnitSystem::Metric);
    for check in &found.checks {
        let of = (check.id, check.subject, check.status);
        line(
            &mut page,
            "check",
            &(of, check.value, check.limit, &check.why),
        );
        for fix in adviser.fixes(check) {
            line(&mut page, "  fix", &(fix.changes, fix.aim, fix.hints));
        }
    }
    for bed in 0..system.beds.len() {
        line(&mut page, "opens", &(bed, adviser.opens_window(bed)));
    }
    Some(page)
}

/// The run; of cycles only the first and last, of events how many of each kind and the last.
fn of_run(page: &mut String, run: &Run) {
    line(page, "run", &(run.duration, run.ended, run.water_at_start));
    for bed in &run.beds {
        let ends = [bed.cycles.first(), bed.cycles.last()];
        let kept = BedOutcome {
            cycles: ends.into_iter().flatten().copied().collect(),
            regimes: bed.regimes.iter().take(3).copied().collect(),
            ..bed.clone()
        };
        line(page, "bed", &kept);
    }
    line(page, "sump", &run.sump);
    line(page, "pump", &run.pump);
    line(page, "line", &run.line);
    line(page, "tank", &run.tank);
    line(page, "float valve", &run.top_off);
    line(page, "supply", &run.supply);
    line(page, "after incidents", &run.incidents);
    line(page, "meetings", &(run.meetings, run.coincidences.first()));
    let mut kinds = BTreeMap::<String, (usize, f64)>::new();
    for event in &run.events {
        let kind: EventKind = event.kind;
        let of_it = kinds.entry(format!("{kind:?}")).or_default();
        *of_it = (of_it.0 + 1, event.time);
    }
    for (kind, of_it) in kinds {
        line(page, "event", &format_args!("{kind} {of_it:?}"));
    }
}

fn line(page: &mut String, what: &str, value: &dyn Debug) {
    let _ = writeln!(
        page,
        "{what} {}",
        crate::lines::short(&format!("{value:?}"))
    );
}
