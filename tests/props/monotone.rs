//! More of one thing never means less of another.

use crate::cases;
use crate::systems::{any_bed, any_system};
use ebbwright::model::{Bed, Duration, PumpSource, System};
use ebbwright::simulation::{EventKind, Run, Sampling, simulate};
use ebbwright::siphon::SiphonLaw;
use proptest::prelude::*;

/// Time from the first break to the next lip contact of bed 0 [s]; none where slots
/// so small that they dip to the lip break the siphon there.
fn first_fill(run: &Run) -> Option<f64> {
    let broke = run
        .events
        .iter()
        .find(|e| e.kind == EventKind::Broke(0))?
        .time;
    run.events
        .iter()
        .find(|e| e.kind == EventKind::LipReached(0) && e.time >= broke)
        .map(|e| e.time - broke)
}

/// The system with room enough that pump and sump never interfere.
fn roomy(mut system: System) -> System {
    system.sump.shape = ebbwright::hydraulics::vessel::VesselShape::Box {
        length: 6.0,
        width: 4.0,
        depth: 0.6,
    };
    system.sump.start_level = 0.25;
    system.drain_line = None;
    for bed in &mut system.beds {
        bed.siphon.drain.into = ebbwright::model::DrainTarget::Sump;
    }
    system.duration = Duration::Fixed(12.0 * 3600.0);
    system
}

fn full_flow(bed: &Bed, head: f64, system: &System) -> f64 {
    SiphonLaw::new(bed, &system.water, &system.coefficients.nominal()).full_flow(head)
}

proptest! {
    #![proptest_config(cases(40))]

    #[test]
    fn a_taller_standpipe_never_shortens_the_fill(system in any_system(1..2), extra in 0.002_f64..0.02) {
        let short = roomy(system);
        let mut tall = short.clone();
        tall.beds[0].siphon.standpipe.lip_height += extra;
        let fills = [&short, &tall].map(|s| {
            simulate(s, Sampling::None).ok().as_ref().and_then(first_fill)
        });
        if let [Some(short), Some(tall)] = fills {
            prop_assert!(tall >= short - 1e-6, "{tall} {short}");
        }
    }

    #[test]
    fn more_inflow_never_lengthens_the_fill(system in any_system(1..2), more in 1.01_f64..1.5) {
        let less = roomy(system);
        let mut much = less.clone();
        if let PumpSource::Steady(flow) = &mut much.pump.source {
            *flow *= more;
        }
        let fills = [&less, &much].map(|s| {
            simulate(s, Sampling::None).ok().as_ref().and_then(first_fill)
        });
        if let [Some(less), Some(much)] = fills {
            prop_assert!(much <= less + 1e-6, "{much} {less}");
        }
    }

    #[test]
    fn a_bigger_bore_never_lowers_full_bore_flow(
        bed in any_bed(), wider in 1.0_f64..1.15, head in 0.05_f64..1.0,
    ) {
        let system = crate::support::one_bed(9.0, 0.5);
        let mut big = bed.clone();
        big.siphon.standpipe.bore *= wider;
        // The wall stays as thick and the annulus as open, so only the bore changes.
        let growth = big.siphon.standpipe.bore - bed.siphon.standpipe.bore;
        big.siphon.standpipe.outside += growth;
        big.siphon.bell.bore += 2.0 * growth;
        big.siphon.bell.clearance *= wider;
        prop_assert!(full_flow(&big, head, &system) >= full_flow(&bed, head, &system) * (1.0 - 1e-9));
    }

    #[test]
    fn full_bore_flow_rises_with_head_and_the_table_agrees_with_the_solution(bed in any_bed()) {
        let system = crate::support::one_bed(9.0, 0.5);
        let solved = SiphonLaw::new(&bed, &system.water, &system.coefficients.nominal());
        let law = solved.clone().tabulated(&bed, 1e-7, true);
        let mut last = 0.0;
        for k in 1..=200 {
            let head = 0.006 * f64::from(k);
            let flow = law.full_flow(head);
            prop_assert!(flow > last);
            let exact = solved.full_flow(head);
            prop_assert!((flow / exact - 1.0).abs() < 1e-6, "{flow} {exact} at {head}");
            last = flow;
        }
    }

    #[test]
    fn zero_inflow_never_starts_a_siphon(system in any_system(1..4)) {
        let mut still = system;
        still.pump.source = PumpSource::Steady(0.0);
        let run = simulate(&still, Sampling::None).unwrap();
        prop_assert!(run.events.iter().all(|e| !matches!(e.kind, EventKind::PrimingBegan(_))));
    }
}
