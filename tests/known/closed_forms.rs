//! Fill, drain, dribble and stall against closed forms.

use crate::support::{LITRE_PER_MINUTE, one_bed, pumped_beds};
use ebbwright::hydraulics::constants::GRAVITY;
use ebbwright::model::{BedStorage, DrainLosses, Duration, Inlet, System};
use ebbwright::simulation::{EventKind, Regime, Run, Sampling, SiphonMode, simulate};
use ebbwright::siphon::SiphonLaw;

/// One bed whose siphon obeys `Q = A sqrt(2 g H / (1 + k))` exactly.
fn pure_bed(litres_per_minute: f64, k: f64) -> System {
    let mut system = one_bed(litres_per_minute, 0.5);
    system.beds[0].siphon.drain.losses = DrainLosses::Total { k };
    system
}

fn law(system: &System) -> SiphonLaw {
    SiphonLaw::new(
        &system.beds[0],
        &system.water,
        &system.coefficients.nominal(),
    )
}

fn time_of(run: &Run, kind: EventKind, nth: usize) -> f64 {
    run.events
        .iter()
        .filter(|event| event.kind == kind)
        .nth(nth)
        .unwrap()
        .time
}

/// Level in the recording at time `t`, which must be a recorded event.
fn level_at(run: &Run, t: f64) -> f64 {
    let k = run
        .recording
        .time
        .iter()
        .position(|&s| s == t)
        .expect("events are recorded");
    run.recording.beds[0].level[k]
}

fn assert_close(found: f64, exact: f64, relative: f64, what: &str) {
    assert!(
        (found / exact - 1.0).abs() <= relative,
        "{what}: {found} against {exact}"
    );
}

// A bed that begins over its lip spills, and one over its inlet holds the inflow back,
// from the first sample on: weir formula, and the flow a moment later.
#[test]
fn the_first_sample_holds_the_flows_that_follow() {
    let mut system = pumped_beds(1);
    system.duration = Duration::Fixed(1.0);
    let bed = &mut system.beds[0];
    let head: f64 = 0.004;
    let lip = bed.lip_level();
    let weir = 1.80 * std::f64::consts::PI * 0.0266 * head.powf(1.5);
    let before = SiphonLaw::new(bed, &system.water, &system.coefficients.nominal());
    bed.start_depth = Some(lip + head + before.lost_before_lip(weir) - bed.floor);
    let Inlet::Piped(branch) = &mut bed.inlet else {
        panic!()
    };
    branch.level = lip - 0.15;
    let run = simulate(&system, Sampling::Every(0.01)).unwrap();
    let series = &run.recording.beds[0];
    assert_eq!(series.mode[0], SiphonMode::Spilling);
    assert_close(series.siphon_flow[0], weir, 1e-6, "over the lip");
    let later = run.recording.time.iter().position(|&t| t > 0.0).unwrap();
    assert_close(series.inflow[0], series.inflow[later], 1e-4, "inflow");
    assert_close(run.recording.pump_flow[0], series.inflow[0], 1e-9, "pump");
}

// Closed form: a constant inflow fills a volume V in V/Q.
#[test]
fn filling_takes_volume_over_flow() {
    for flow in [8.0, 10.0, 14.0] {
        let system = pure_bed(flow, 3.0);
        let run = simulate(&system, Sampling::None).unwrap();
        let storage = BedStorage::new(&system.beds[0]);
        let law = law(&system);
        let volume = storage.volume(law.lip()) - storage.volume(law.break_level(law.outlet()));
        let fill =
            time_of(&run, EventKind::LipReached(0), 1) - time_of(&run, EventKind::Broke(0), 0);
        assert_close(fill, volume / (flow * LITRE_PER_MINUTE), 1e-6, "fill time");
    }
}

// Closed form: dh/dt = (Qi - c sqrt h)/A integrates to
// t = (2A/c^2) [ c (sqrt h1 - sqrt h2) + Qi ln((c sqrt h1 - Qi)/(c sqrt h2 - Qi)) ].
#[test]
fn draining_against_an_inflow_follows_the_logarithmic_law() {
    for (flow, k) in [(8.0, 3.0), (10.0, 1.5), (14.0, 8.0)] {
        let system = pure_bed(flow, k);
        let run = simulate(&system, Sampling::Every(60.0)).unwrap();
        let full = time_of(&run, EventKind::FullBoreBegan(0), 1);
        let broke = time_of(&run, EventKind::Broke(0), 1);
        let outlet = system.beds[0].siphon.drain.outlet;
        let h1 = level_at(&run, full) - outlet;
        let h2 = law(&system).break_level(outlet) - outlet;
        let bore = system.beds[0].siphon.standpipe.bore;
        let pipe = std::f64::consts::FRAC_PI_4 * bore * bore;
        let c = pipe * (2.0 * GRAVITY / (1.0 + k)).sqrt();
        let inflow = flow * LITRE_PER_MINUTE;
        let area = 0.40 * 1.2 * 1.0;
        let ratio = (c * h1.sqrt() - inflow) / (c * h2.sqrt() - inflow);
        let exact = 2.0 * area / (c * c) * (c * (h1.sqrt() - h2.sqrt()) + inflow * ratio.ln());
        assert_close(broke - full, exact, 1e-6, "drain time");
    }
}

// Conservation: what comes in during a cycle is inflow times period.
#[test]
fn water_per_cycle_is_inflow_times_period() {
    for flow in [8.0, 11.0, 15.0] {
        let run = simulate(&pure_bed(flow, 3.0), Sampling::None).unwrap();
        for cycle in &run.beds[0].cycles {
            let exact = flow * LITRE_PER_MINUTE * cycle.period();
            assert_close(cycle.water, exact, 1e-9, "water per cycle");
        }
    }
}

// The weir law inverted: h = (Q / (Cw pi d))^(2/3), with Cw = 1.80; and before it what slots
// of 18 cm2 lose, (Q / (Cd A))^2 / 2g, and the annulus of 39.02 cm2, velocity head and friction
// 64/1453 over 200 mm of 44.6 mm.
#[test]
fn a_dribbling_bed_stands_at_the_weir_head() {
    let system = pure_bed(4.0, 3.0);
    let run = simulate(&system, Sampling::None).unwrap();
    assert_eq!(run.beds[0].regime, Regime::Dribbles);
    let head = (4.0 * LITRE_PER_MINUTE / (1.80 * std::f64::consts::PI * 0.0266)).powf(2.0 / 3.0);
    let velocity_head = |v: f64| v * v / (2.0 * GRAVITY);
    let slots = velocity_head(4.0 * LITRE_PER_MINUTE / (0.60 * 18e-4));
    let annulus = velocity_head(4.0 * LITRE_PER_MINUTE / 39.02e-4) * (1.0 + 64.0 / 1453.0 * 4.484);
    let stands = run.beds[0].peak_level - system.beds[0].lip_level();
    assert_close(stands, head + slots + annulus, 1e-5, "standing head");
}

// Torricelli with losses: the level settles where A sqrt(2 g H / (1 + k)) = Qi.
#[test]
fn a_stalled_siphon_settles_where_it_passes_its_inflow() {
    let (flow, k) = (56.0, 3.0);
    let mut system = pure_bed(flow, k);
    system.duration = Duration::Fixed(24.0 * 3600.0);
    let run = simulate(&system, Sampling::Every(60.0)).unwrap();
    assert_eq!(run.beds[0].regime, Regime::Stalls);
    let bore = system.beds[0].siphon.standpipe.bore;
    let speed = flow * LITRE_PER_MINUTE / (std::f64::consts::FRAC_PI_4 * bore * bore);
    let head = speed * speed * (1.0 + k) / (2.0 * GRAVITY);
    let level = *run.recording.beds[0].level.last().unwrap();
    assert_close(
        level - system.beds[0].siphon.drain.outlet,
        head,
        1e-8,
        "settled head",
    );
}

// Priming lasts V_crown / (beta Q_start): the design's own definition, here as
// the event times must show it.
#[test]
fn priming_lasts_the_time_to_carry_the_caps_air_away() {
    let system = pure_bed(10.0, 3.0);
    let run = simulate(&system, Sampling::None).unwrap();
    let crown = std::f64::consts::FRAC_PI_4 * 0.078_f64.powi(2) * 0.025;
    let bore: f64 = 0.0266;
    let start = 0.45 * std::f64::consts::FRAC_PI_4 * bore * bore * (GRAVITY * bore).sqrt();
    assert_close(
        run.beds[0].cycles[0].prime,
        crown / (0.15 * start),
        1e-9,
        "priming time",
    );
}
