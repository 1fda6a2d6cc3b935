//! The shared drain line settled with its siphons.

use crate::support::{bed, system};
use ebbwright::hydraulics::circular::{capacity, normal_depth};
use ebbwright::hydraulics::friction::darcy_friction_factor;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::model::{Bed, DrainLine, DrainTarget, Duration, Inlet, System};
use ebbwright::network::drain_line::DrainLineLaw;
use ebbwright::simulation::{Sampling, simulate};

fn on_line(count: usize, bore: f64) -> System {
    let beds: Vec<Bed> = (0..count)
        .map(|i| {
            let mut bed = bed(
                &format!("bed {i}"),
                1.0,
                0.35,
                Inlet::Share(1.0 / count as f64),
            );
            bed.siphon.drain.into = DrainTarget::Line { at: 1.0 + i as f64 };
            bed
        })
        .collect();
    let n = count as f64;
    let mut system = system(beds, 1.8e-4 * n, Duration::Fixed(4.0 * 3600.0));
    system.sump.shape = ebbwright::hydraulics::vessel::VesselShape::Box {
        length: 1.2 * n,
        width: 0.8,
        depth: 0.6,
    };
    system.drain_line = Some(DrainLine {
        run: PipeRun {
            bore,
            length: 1.0 + n,
            roughness: 1.5e-6,
            k: 0.0,
        },
        slope: 0.02,
        outlet: 0.56,
        vented: true,
    });
    system
}

// Uniform flow: a line well under capacity stands at Manning's normal depth.
#[test]
fn a_line_part_full_stands_at_normal_depth() {
    let system = on_line(1, 0.0525);
    let law = DrainLineLaw::new(&system, 0.0095).unwrap();
    let mut grades = [0.0];
    let q = 5e-4;
    assert!(q < 0.8 * law.capacity());
    let state = law.grades(&[q], 0.2, &mut grades);
    let depth = normal_depth(0.0525, 0.02, 0.0095, q);
    assert!((grades[0] - (0.56 + 0.02 + depth)).abs() < 1e-12);
    assert!(!state.surcharged());
    assert!((state.fill - depth / 0.0525).abs() < 1e-12);
}

// Darcy-Weisbach: an overloaded line's grade climbs from the outlet's centre.
#[test]
fn an_overloaded_line_follows_the_darcy_grade() {
    let system = on_line(1, 0.0266);
    let law = DrainLineLaw::new(&system, 0.0095).unwrap();
    let q = 3.0 * law.capacity();
    let mut grades = [0.0];
    let state = law.grades(&[q], 0.2, &mut grades);
    let area = std::f64::consts::FRAC_PI_4 * 0.0266_f64.powi(2);
    let v = q / area;
    let nu = system.water.kinematic_viscosity();
    let f = darcy_friction_factor(v * 0.0266 / nu, 1.5e-6 / 0.0266);
    let exact = 0.56 + 0.0133 + f / 0.0266 * v * v / (2.0 * 9.80665) * 1.0;
    assert!((grades[0] - exact).abs() < 1e-12);
    assert!(state.surcharged() && state.fill == 1.0);
}

// A sump above the outlet drowns the line: its level carries up.
#[test]
fn a_drowned_line_shows_the_sumps_level() {
    let system = on_line(2, 0.0525);
    let law = DrainLineLaw::new(&system, 0.0095).unwrap();
    let mut grades = [0.0; 2];
    let _ = law.grades(&[0.0, 0.0], 0.75, &mut grades);
    assert_eq!(grades, [0.75, 0.75]);
}

// Flows and tails agree with each other after settling, for several siphons on
// a line too small for them.
#[test]
fn settled_flows_and_tails_agree() {
    let system = on_line(4, 0.0409);
    let law = DrainLineLaw::new(&system, 0.0095).unwrap();
    let outlets = [0.65; 4];
    let demand = |i: usize, tail: f64| {
        let head: f64 = 1.0 + 0.05 * i as f64 - tail;
        1.3e-3 * head.max(0.0).sqrt()
    };
    let (mut flows, mut tails) = ([0.0; 4], [0.0; 4]);
    let state = law.settle(0.3, &outlets, &demand, &mut flows, &mut tails);
    assert!(state.surcharged(), "the case must be a hard one");
    let mut grades = [0.0; 4];
    let _ = law.grades(&flows, 0.3, &mut grades);
    for i in 0..4 {
        assert!((tails[i] - grades[i].max(outlets[i])).abs() < 1e-12);
        assert!(
            (flows[i] - demand(i, tails[i])).abs() < 1e-12,
            "bed {i}: {flows:?}"
        );
        assert!(
            flows[i] < demand(i, outlets[i]),
            "the line holds bed {i} back"
        );
    }
}

// A line too small holds the siphons back: with four beds in step the drain takes
// longer than through a roomy one, and the line reports its surcharge.
#[test]
fn a_line_too_small_holds_the_siphons_back() {
    let small = simulate(&on_line(4, 0.0409), Sampling::None).unwrap();
    let roomy = simulate(&on_line(4, 0.1023), Sampling::None).unwrap();
    let (tight, free) = (small.line.unwrap(), roomy.line.unwrap());
    assert!(
        tight.surcharged > 0.0 && tight.peak_fill == 1.0,
        "{tight:?}"
    );
    assert_eq!(free.surcharged, 0.0);
    assert!((free.capacity - capacity(0.1023, 0.02, 0.0095)).abs() < 1e-12);
    let drain = |run: &ebbwright::simulation::Run| run.beds[3].cycles.first().map(|c| c.drain);
    assert!(
        drain(&small) > drain(&roomy),
        "{:?} {:?}",
        drain(&small),
        drain(&roomy)
    );
}
