//! Energy of the pump and its cost, against sums on paper.

use crate::support::{LITRE_PER_MINUTE, one_bed, pumped_beds};
use ebbwright::model::*;
use ebbwright::simulation::{Sampling, simulate};

fn day(system: &System) -> f64 {
    let run = simulate(system, Sampling::None).unwrap();
    run.pump.energy_kwh_day.unwrap()
}

// By hand: 38 W for 24 h are 0.912 kWh. On 15 min of every hour it is a quarter,
// 0.228 kWh; a pump that stops at noon takes half of a day's energy.
#[test]
fn energy_from_a_plates_watts_is_watts_times_the_time_it_ran() {
    let mut system = one_bed(9.0, 0.5);
    system.duration = Duration::Fixed(24.0 * 3600.0);
    system.pump.power = Some(Power::Watts(38.0));
    assert!((day(&system) - 0.912).abs() < 1e-9);

    system.pump.schedule = Some(Schedule {
        on: 900.0,
        off: 2700.0,
    });
    assert!((day(&system) - 0.228).abs() < 1e-9);

    system.pump.schedule = None;
    system.incidents = vec![Incident {
        at: IncidentTime::At(12.0 * 3600.0),
        what: Disturbance::PumpStops,
    }];
    assert!((day(&system) - 0.456).abs() < 1e-9);
}

// By hand, with density 998.2 kg/m3 (Kell 1975 as tabled, from memory) and g = 9.80665 m/s2:
// 20 L/min against the mean head of the run, at a quarter from wire to water, for a day:
// rho g Q H / eta. For H = 1.20 m that is 998.2 x 9.80665 x 3.333e-4 x 1.20 / 0.25 = 15.66 W,
// 0.3759 kWh.
#[test]
fn energy_from_an_efficiency_is_the_waters_work_over_it() {
    let on_paper = |flow: f64, head: f64| 998.2 * 9.806_65 * flow * head / 0.25 * 24.0 / 1000.0;
    assert!((on_paper(20.0 * LITRE_PER_MINUTE, 1.20) - 0.3759).abs() < 1e-4);

    let mut system = pumped_beds(1);
    system.duration = Duration::Fixed(6.0 * 3600.0);
    system.pump.power = Some(Power::Efficiency(0.25));
    let run = simulate(&system, Sampling::None).unwrap();
    let head = run.pump.head.unwrap();
    let found = run.pump.energy_kwh_day.unwrap();
    let expected = on_paper(run.pump.flow.mean, head.mean);
    assert!((found / expected - 1.0).abs() < 1e-4, "{found} {expected}");
    // And between what the lowest and the highest head would take.
    let (least, most) = (
        on_paper(run.pump.flow.min, head.min),
        on_paper(run.pump.flow.max, head.max),
    );
    assert!((least..=most).contains(&found));
}
