//! Plan sizes and bores among the inputs that vary, against closed forms.

use std::collections::BTreeSet;

use ebbwright::assessment::CheckId;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{
    Band, Coefficient, DrainLosses, PumpSource, Settler, SettlerKind, System, Tank, TankFeed,
    TankOutlet,
};
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::study::vary::Tolerances;
use ebbwright::study::vary::random::Random;

use crate::{chance, study, support};

/// Nothing varies.
const NONE: Tolerances = Tolerances {
    tape: 0.0,
    bore: 0.0,
    void: 0.0,
    pump: 0.0,
    coefficients: false,
};

/// Margins of one check, draw by draw.
fn margins(found: &Random, id: CheckId) -> Vec<f64> {
    let k = found.checks.iter().position(|check| check.name.id == id);
    found
        .draws
        .iter()
        .map(|draw| draw.outcome.as_ref().unwrap()[k.unwrap()].unwrap().margin)
        .collect()
}

fn mean_and_variance(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares = values.iter().map(|value| (value - mean).powi(2));
    (mean, squares.sum::<f64>() / (n - 1.0))
}

fn input(found: &Random, name: &str) -> usize {
    let mut inputs = found.inputs.iter();
    inputs
        .position(|input| input.name == name)
        .unwrap_or_else(|| panic!("{name} varies"))
}

/// Plan of a narrow, tall bed [m]: there the plan outweighs every other length.
const PLAN: [f64; 2] = [0.15, 0.12];

fn tall_bed() -> System {
    // Between start and run-on.
    let mut system = support::one_bed(8.2, 0.6);
    let bed = &mut system.beds[0];
    let rise = 1.2;
    bed.shape = VesselShape::Box {
        length: PLAN[0],
        width: PLAN[1],
        depth: 0.35 + rise,
    };
    bed.rim_height += rise;
    bed.media.depth += rise;
    bed.siphon.standpipe.lip_height += rise;
    // Priming carries away the cap's air in a time that has nothing to do with the
    // bed's area: little air, carried fast.
    let bell = &mut bed.siphon.bell;
    (bell.bore, bell.outside, bell.clearance) = (0.050, 0.055, 0.012);
    system.coefficients[Coefficient::PrimingCarry] = Band::exact(1.0);
    if let DrainLosses::Computed { length, .. } = &mut bed.siphon.drain.losses {
        *length += rise;
    }
    system.thresholds.period_least = 0.0;
    system
}

/// Water per height goes with the area and every flow with heights alone, so at a
/// steady inflow the period goes with length times width. With both evenly spread
/// over their tolerance t either way
///
/// var(T) / T^2 = (1 + t^2 / 3 L^2) (1 + t^2 / 3 W^2) - 1.
///
/// The other lengths that a tape measures add about 1 % to that variance in this tall
/// bed.
#[test]
fn the_period_scatters_with_length_times_width() {
    let (mut system, draws) = (tall_bed(), 800);
    let run = simulate(&system, Sampling::None).unwrap();
    let cycle = run.beds[0].cycles.last().unwrap();
    let period = cycle.fill + cycle.prime + cycle.drain;
    let tape = 0.003;
    let part = |side: f64| tape * tape / (3.0 * side * side);
    let expected = (1.0 + part(PLAN[0])) * (1.0 + part(PLAN[1])) - 1.0;

    // To first order the sum of two even errors of widths a < b around zero: it
    // exceeds x between b - a and b + a with the chance (a + b - x)^2 / 8ab.
    let (a, b) = (tape / PLAN[0], tape / PLAN[1]);
    let x = 0.02;
    assert!(b - a < x && x < b + a);
    system.thresholds.period_least = period * (1.0 + x);
    let longer = (a + b - x).powi(2) / (8.0 * a * b);

    let tolerances = Tolerances { tape, ..NONE };
    let found = study(&system, &tolerances, draws, 21);
    let values = margins(&found, CheckId::Period);
    let (mean, variance) = mean_and_variance(&values);
    assert!(((mean + system.thresholds.period_least) / period - 1.0).abs() < 0.001);
    let ratio = variance / (period * period) / expected;
    // The sample variance of such a sum scatters by sqrt(1.4 / n), 4.2 % of it.
    assert!((ratio - 1.0).abs() < 0.12, "{ratio}");

    let check = chance(&found, CheckId::Period);
    let passes = check.passes;
    assert!(
        passes.low <= longer && longer <= passes.high,
        "{longer} is not in {passes:?}"
    );
    // Rank correlations scatter by (1 - r^2) / sqrt(n), 0.022. Pearson's are as the errors, a and b over the root of the sum of their squares.
    for (name, size) in [("north: bed length", a), ("north: bed width", b)] {
        let share = size / a.hypot(b);
        let own = check.influence[input(&found, name)];
        assert!((own - share).abs() < 0.07, "{name}: {own}, not {share}");
    }
    let leads = found.leading(check);
    assert_eq!(leads[0].name, "north: bed width");
    assert_eq!(leads[1].name, "north: bed length");
}

/// The start flow is Fs (pi/4) sqrt(g) D^2.5. With D = D0 (1 + u), u evenly spread
/// over b either way, E[(1 + u)^p] = ((1 + b)^(p+1) - (1 - b)^(p+1)) / (2 b (p + 1)).
#[test]
fn the_start_flow_scatters_with_the_bore() {
    let mut system = support::one_bed(12.0, 0.6);
    let bore: f64 = 0.0266;
    let froude = system.coefficients.nominal();
    let froude = froude.get(Coefficient::StartFroude);
    let start = froude * std::f64::consts::FRAC_PI_4 * 9.806_65_f64.sqrt() * bore.powf(2.5);
    let (b, edge) = (0.04, 0.015);
    // Just enough for a bore greater by the share `edge`.
    let inflow = start * (1.0_f64 + edge).powf(2.5);
    system.pump.source = PumpSource::Steady(inflow);
    let tolerances = Tolerances { bore: b, ..NONE };
    let found = study(&system, &tolerances, 400, 22);
    let own = input(&found, "north: standpipe bore");
    let values = margins(&found, CheckId::Starts);
    for (draw, margin) in found.draws.iter().zip(&values) {
        let closed = inflow - start * (1.0 + draw.values[own]).powf(2.5);
        assert!((margin - closed).abs() < 1e-6 * start, "{margin}: {closed}");
    }
    let moment = |p: f64| {
        ((1.0_f64 + b).powf(p + 1.0) - (1.0_f64 - b).powf(p + 1.0)) / (2.0 * b * (p + 1.0))
    };
    let expected = start * start * (moment(5.0) - moment(2.5).powi(2));
    let (mean, variance) = mean_and_variance(&values);
    assert!(((inflow - mean) / (start * moment(2.5)) - 1.0).abs() < 1e-3);
    // One stratified input: its variance is met far better than by independent draws.
    assert!((variance / expected - 1.0).abs() < 0.02);
    let check = chance(&found, CheckId::Starts);
    let starts = (edge + b) / (2.0 * b);
    assert!(check.passes.low <= starts && starts <= check.passes.high);
    assert!((check.passes.share - starts).abs() <= 1.0 / 400.0 + 1e-12);
    assert!(check.influence[own] < -0.999);
}

/// The limits are those of ASTM D1785 Schedule 40 as a secondary copy gives them.
#[test]
fn the_usual_tolerance_of_a_bore_is_that_of_one_inch_pipe() {
    let table = include_str!("../data/04_pipe_sch40_pvc.csv");
    let mut lines = table.lines();
    let head: Vec<&str> = lines.next().unwrap().split(',').collect();
    let column = |name: &str| head.iter().position(|one| *one == name).unwrap();
    let row = lines.find(|line| line.starts_with("1,")).unwrap();
    let row: Vec<&str> = row.split(',').collect();
    let figure = |name: &str| row[column(name)].parse::<f64>().unwrap();
    let least = figure("OD_mm_min") - 2.0 * figure("wall_mm_max");
    let most = figure("OD_mm_max") - 2.0 * figure("wall_mm_min");
    let share = (most - least) / (most + least);
    assert!(
        (Tolerances::default().bore - share).abs() < 0.001,
        "{share}"
    );
}

/// A system with every kind of vessel, each full to where a wrong measure bites: a
/// lying drum as bed and as sump, both used to the very top.
fn drums() -> System {
    let mut system = support::one_bed(12.0, 0.6);
    let bed = &mut system.beds[0];
    bed.shape = VesselShape::LyingCylinder {
        diameter: 0.45,
        length: 1.0,
    };
    bed.rim_height = 0.45;
    bed.media.depth = 0.45;
    bed.start_depth = Some(0.2);
    system.sump.shape = VesselShape::LyingCylinder {
        diameter: 0.58,
        length: 1.2,
    };
    system.sump.overflow_level = 0.58;
    system.sump.start_level = 0.45;
    system.tank = Some(Tank {
        shape: VesselShape::Tapered {
            top_length: 1.0,
            top_width: 0.8,
            bottom_length: 0.9,
            bottom_width: 0.7,
            depth: 0.6,
        },
        floor: 1.8,
        start_level: 2.4,
        overflow_level: 2.4,
        overflow_bore: 0.05,
        fed_by: TankFeed::WholePump,
        overflows_to: TankOutlet::Settler,
    });
    system.settler = Some(Settler {
        kind: SettlerKind::PlainBasin,
        shape: VesselShape::UprightCylinder {
            diameter: 0.4,
            depth: 0.5,
        },
        floor: 1.0,
        overflow_level: 1.5,
        inlet: None,
    });
    system
}

#[test]
fn every_vessel_and_every_pipe_that_carries_water_varies_and_no_other() {
    let names = |system: &System, tolerances: &Tolerances| -> BTreeSet<String> {
        let found = study(system, tolerances, 10, 1);
        found.inputs.into_iter().map(|input| input.name).collect()
    };
    let tape = Tolerances {
        tape: 0.003,
        ..NONE
    };
    let bore = Tolerances { bore: 0.02, ..NONE };
    let plan = names(&drums(), &tape);
    for name in [
        "north: bed diameter",
        "north: bed length",
        "sump diameter",
        "sump length",
        "fish tank top length",
        "fish tank bottom width",
        "settler diameter",
    ] {
        assert!(plan.contains(name), "{name} varies: {plan:?}");
    }
    let own = ["north: standpipe bore", "north: bell bore"];
    let measured = names(&support::one_bed(12.0, 0.6), &bore);
    assert_eq!(measured, own.map(str::to_owned).into());
    let piped = names(&support::pumped_beds(1), &bore);
    let all = [
        "bed 1: standpipe bore",
        "bed 1: bell bore",
        "bed 1: inlet bore",
        "supply pipe bore",
    ];
    assert_eq!(piped, all.map(str::to_owned).into());
}

/// A lying drum measured too wide is less deep than its rim, gravel, overflow or
/// water are high: they come down with it, and every draw has an answer.
#[test]
fn no_draw_makes_a_vessel_that_cannot_be() {
    let mut system = drums();
    // The same pump without a fish tank: its flow goes straight to the bed.
    system.tank = None;
    system.settler = None;
    let tape = Tolerances {
        tape: 0.003,
        ..NONE
    };
    system.sump.start_level = system.sump.overflow_level - 0.001;
    let found = study(&system, &tape, 40, 5);
    let narrower = input(&found, "sump diameter");
    assert!(
        found
            .draws
            .iter()
            .any(|draw| draw.values[narrower] < -0.002)
    );
    assert_eq!(found.unanswered(), (0, None));
    // Tolerances beyond all sense are told, draw by draw, and nothing panics.
    let mut narrow = tall_bed();
    narrow.beds[0].shape = VesselShape::Box {
        length: 0.09,
        width: 0.09,
        depth: 1.55,
    };
    let wide = Tolerances {
        tape: 0.1,
        bore: 0.2,
        ..NONE
    };
    let found = study(&narrow, &wide, 40, 6);
    assert!(found.unanswered().0 > 10);
}

/// Eight voids and eight plans move the sump's level, each a little: they are two or
/// three rows, not twenty.
#[test]
fn many_beds_are_one_row_where_they_pull_together() {
    let found = study(&support::pumped_beds(4), &Tolerances::default(), 150, 4);
    assert!(found.inputs.len() > 50);
    let check = chance(&found, CheckId::PumpCover);
    let leads = found.leading(check);
    let names: BTreeSet<&str> = leads.iter().map(|lead| lead.name.as_str()).collect();
    assert_eq!(names.len(), leads.len(), "{names:?}");
    assert!(leads.iter().any(|lead| lead.inputs.len() > 1), "{leads:?}");
    assert!(leads.len() <= 8, "{leads:?}");
    for lead in &leads {
        assert!(lead.size.abs() > check.noise_of_all && lead.size.abs() <= 1.0);
    }
}
