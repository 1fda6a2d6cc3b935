//! What must not change the answer.

use crate::cases;
use crate::systems::{any_system, raise};
use ebbwright::model::{Duration, System};
use ebbwright::simulation::{EventKind, Run, Sampling, simulate};
use proptest::prelude::*;

fn close(a: f64, b: f64, tolerance: f64) -> bool {
    (a - b).abs() <= tolerance * (1.0 + a.abs().max(b.abs()))
}

/// Kinds and times of the first events.
fn first_events(run: &Run, count: usize) -> Vec<(f64, EventKind)> {
    run.events
        .iter()
        .take(count)
        .map(|e| (e.time, e.kind))
        .collect()
}

fn renamed(kind: EventKind, to: impl Fn(usize) -> usize) -> EventKind {
    use EventKind as K;
    match kind {
        K::LipReached(i) => K::LipReached(to(i)),
        K::LipLeft(i) => K::LipLeft(to(i)),
        K::PrimingBegan(i) => K::PrimingBegan(to(i)),
        K::PrimingLost(i) => K::PrimingLost(to(i)),
        K::FullBoreBegan(i) => K::FullBoreBegan(to(i)),
        K::Broke(i) => K::Broke(to(i)),
        K::RunOnBegan(i) => K::RunOnBegan(to(i)),
        K::BedOverflowBegan(i) => K::BedOverflowBegan(to(i)),
        K::BedOverflowEnded(i) => K::BedOverflowEnded(to(i)),
        K::InletCovered(i) => K::InletCovered(to(i)),
        K::InletUncovered(i) => K::InletUncovered(to(i)),
        other => other,
    }
}

proptest! {
    #![proptest_config(cases(32))]

    #[test]
    fn the_order_of_beds_changes_only_their_names(system in any_system(2..5)) {
        let n = system.beds.len();
        let mut turned = system.clone();
        turned.beds.reverse();
        if let (Ok(a), Ok(b)) = (simulate(&system, Sampling::None), simulate(&turned, Sampling::None)) {
            // Simultaneous events follow file order, so compare each bed's own sequence.
            for i in 0..n {
                let of = |run: &Run, bed: usize| -> Vec<(f64, EventKind)> {
                    first_events(run, 400)
                        .into_iter()
                        .filter(|(_, kind)| renamed(*kind, |_| 0) != *kind || renamed(*kind, |k| k + 1) != *kind)
                        .filter(|(_, kind)| renamed(*kind, |_| bed) == *kind)
                        .map(|(t, kind)| (t, renamed(kind, |_| 0)))
                        .take(12)
                        .collect()
                };
                let (one, other) = (of(&a, i), of(&b, n - 1 - i));
                for ((ta, ka), (tb, kb)) in one.iter().zip(&other) {
                    prop_assert_eq!(ka, kb);
                    prop_assert!(close(*ta, *tb, 1e-5), "{} {}", ta, tb);
                }
            }
        }
    }

    #[test]
    fn raising_the_whole_room_changes_nothing(system in any_system(1..4), shift in 0.1_f64..2.0) {
        let mut raised: System = system.clone();
        raised.beds.iter_mut().for_each(|bed| raise(bed, shift));
        raised.sump.floor += shift;
        raised.sump.start_level += shift;
        raised.sump.overflow_level += shift;
        raised.pump.intake_level += shift;
        if let Some(line) = &mut raised.drain_line {
            line.outlet += shift;
        }
        if let (Ok(a), Ok(b)) = (simulate(&system, Sampling::None), simulate(&raised, Sampling::None)) {
            for ((ta, ka), (tb, kb)) in first_events(&a, 30).iter().zip(&first_events(&b, 30)) {
                prop_assert_eq!(ka, kb);
                prop_assert!(close(*ta, *tb, 1e-5), "{} {}", ta, tb);
            }
        }
    }

    #[test]
    fn starting_later_in_the_cycle_continues_the_same_run(system in any_system(1..2)) {
        let whole = match simulate(&system, Sampling::Every(60.0)) {
            Ok(run) => run,
            Err(_) => return Ok(()),
        };
        let breaks: Vec<f64> = whole
            .events
            .iter()
            .filter(|e| e.kind == EventKind::Broke(0))
            .map(|e| e.time)
            .collect();
        let Some(&cut) = breaks.get(1) else { return Ok(()) };
        // The sample just after the break carries the state there.
        let k = whole.recording.time.iter().rposition(|&t| t == cut).unwrap();
        let mut rest = system.clone();
        rest.beds[0].start_depth = Some(whole.recording.beds[0].level[k] - rest.beds[0].floor);
        rest.sump.start_level = whole.recording.sump_level[k];
        rest.duration = Duration::Fixed(6.0 * 3600.0 - cut);
        let run = simulate(&rest, Sampling::None).unwrap();
        let later: Vec<f64> = run
            .events
            .iter()
            .filter(|e| e.kind == EventKind::Broke(0))
            .map(|e| e.time + cut)
            .collect();
        for (a, b) in breaks[2..].iter().zip(&later) {
            prop_assert!(close(*a, *b, 1e-5), "{a} {b}");
        }
    }
}
