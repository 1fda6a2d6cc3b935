//! Figures worked out on paper.

use crate::fixes::{find, judge};
use crate::support::{self, LITRE_PER_MINUTE};
use approx::assert_relative_eq;
use ebbwright::assessment::{CheckId, Status, Verdict};
use ebbwright::siphon::{Extreme, SiphonLaw};
use ebbwright::units::UnitSystem::Metric;

/// 26.6 mm bore: A = 5.557e-4 m2, sqrt(g D) = 0.51075 m/s.
/// Start 0.30, 0.45, 0.60 x A sqrt(g D) = 5.1, 7.7, 10.2 L/min;
/// run-on with little fall j0 A = 0.23 x A = 7.7 L/min at the low end.
#[test]
fn the_window_of_a_26_mm_siphon_with_little_fall_has_no_sure_part() {
    let system = support::one_bed(9.0, 0.3);
    let assessment = judge(&system, Metric);
    let bed = &assessment.beds[0];
    let litres = |flow: f64| flow / LITRE_PER_MINUTE;
    assert_relative_eq!(litres(bed.start_flow.low), 5.109, max_relative = 1e-3);
    assert_relative_eq!(litres(bed.start_flow.nominal), 7.663, max_relative = 1e-3);
    assert_relative_eq!(litres(bed.start_flow.high), 10.218, max_relative = 1e-3);
    assert_relative_eq!(litres(bed.run_on_flow.low), 7.669, max_relative = 1e-3);
    assert_eq!(bed.will_start, Verdict::Uncertain);
    assert_eq!(bed.will_break, Verdict::Uncertain);
    let said: Vec<_> = assessment
        .notes
        .iter()
        .filter(|n| n.contains("beyond doubt"))
        .collect();
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(
        said[0].contains("10.2 L/min") && said[0].contains("7.7 L/min"),
        "{said:?}"
    );
    assert!(said[0].contains("lower the siphon's outlet"), "{said:?}");
    assert!(said[0].contains("from 0.700 m to 0.58"), "{said:?}");
}

/// Bed 1.2 m x 1.0 m, void 0.40, slots' crown 25 mm, lip 225 mm, 4 L/min.
/// Head that passes 4 L/min over the lip with Cw 1.66:
/// (6.6667e-5 / (1.66 pi 0.0266))^(2/3) = 6.135 mm; slots of 18 cm2 with Cd 0.55 take
/// (0.06734 m/s)^2 / 2g = 0.231 mm and the annulus of 39.02 cm2 1.197 (0.01709 m/s)^2 / 2g
/// = 0.018 mm, so from crown to highest water 0.48 m2 x 0.206384 m = 99.064 L. Pipes: trunk 2 m x 26.6 mm 1.1114 L,
/// crown 78 mm x 25 mm 0.1195 L, drain 0.825 m 0.4585 L. Sump 0.96 m2 from 0.40 m.
#[test]
fn sump_bounds_of_one_bed_come_out_as_on_paper() {
    let bounds = judge(&support::one_bed(4.0, 0.5), Metric).sump;
    let litres = |level: f64| 960.0 * level;
    assert_relative_eq!(
        litres(bounds.low),
        384.0 - 99.064 - 1.1114 - 0.578,
        epsilon = 2e-3
    );
    assert_relative_eq!(litres(bounds.high), 384.0 + 1.1114, epsilon = 2e-3);
    assert_relative_eq!(
        litres(bounds.dead_siphons),
        384.0 - 99.064 - 1.1114,
        epsilon = 2e-3
    );
}

/// A bed begun with 60 mm over its crown gives 0.48 m2 x 0.060 m = 28.8 L to the sump.
#[test]
fn a_bed_begun_wet_raises_the_high_bound() {
    let mut system = support::one_bed(9.0, 0.5);
    system.beds[0].start_depth = Some(1.085 - system.beds[0].floor);
    system.pump.check_valve = true;
    let bounds = judge(&system, Metric).sump;
    assert_relative_eq!(960.0 * bounds.high, 384.0 + 28.8, epsilon = 1e-6);
}

/// A bed that begins at its break level begins above the slots' crown by the dip
/// of the surface there. With a free outlet it comes back to that very level;
/// an outlet that the sump can drown takes the dip away, and its water comes too.
#[test]
fn a_dip_counts_only_where_the_sump_can_drown_the_outlet() {
    let system = |outlet: f64| {
        let mut system = support::one_bed(9.0, 0.5);
        system.beds[0].siphon.drain.outlet = outlet;
        system
    };
    let free = judge(&system(0.42), Metric).sump.high;
    assert_relative_eq!(960.0 * free, 384.0 + 1.1114, epsilon = 2e-3);
    let drowned = system(0.4005);
    let law = SiphonLaw::extreme(
        &drowned.beds[0],
        &drowned.water,
        &drowned.coefficients,
        Extreme::MostDischarge,
    );
    let dip = law.break_level(0.4005) - 1.025;
    assert!(dip > 0.005);
    let high = judge(&drowned, Metric).sump.high;
    assert_relative_eq!(960.0 * high, 384.0 + 1.1114 + 480.0 * dip, epsilon = 2e-3);
}

/// An inlet that ends 10 mm above the floor lets the bed run back to there,
/// 15 mm under the crown: 0.48 m2 x 0.015 m = 7.2 L more. A check valve stops it.
#[test]
fn an_inlet_below_the_crown_counts_unless_a_check_valve_holds_it() {
    let mut system = support::pumped_beds(1);
    system.duration = ebbwright::model::Duration::Fixed(3600.0);
    let ebbwright::model::Inlet::Piped(branch) = &mut system.beds[0].inlet else {
        panic!()
    };
    branch.level = 1.010;
    system.beds[0].start_depth = Some(1.025 - system.beds[0].floor);
    let open = judge(&system, Metric).sump.high;
    system.pump.check_valve = true;
    let held = judge(&system, Metric).sump.high;
    let pipes = std::f64::consts::FRAC_PI_4 * (2.0 * 0.0266_f64.powi(2) + 0.8 * 0.0158_f64.powi(2));
    assert_relative_eq!(0.96 * (open - held), 0.0072 + pipes, epsilon = 1e-9);
}

/// 1 m2 x 0.3 m of gravel, 2650 kg/m3 at void 0.40, wet to 50 mm below its
/// surface: 477 kg + 100 kg, the 580 kg and 5.7 kN/m2 of the design.
#[test]
fn a_wet_gravel_bed_weighs_what_the_design_says() {
    let assessment = judge(&support::one_bed(11.0, 0.5), Metric);
    let check = find(&assessment, CheckId::FloorLoad, "north");
    assert_relative_eq!(check.value, 5.7e3, max_relative = 0.03);
    assert_eq!(check.status, Status::Pass);
    assert!(check.first_fix.is_empty());
}

/// Standing head of 9 L/min over a 26.6 mm lip: as a weir with Cw 1.66
/// (1.5e-4 / 0.138721)^(2/3) = 10.53 mm, drowned with Cd 0.55
/// (1.5e-4 / (0.55 x 5.557e-4))^2 / 2g = 12.28 mm; slots of 18 cm2 (1.5e-4 / (0.55 x
/// 18e-4))^2 / 2g = 1.17 mm, annulus 0.09 mm; rim 125 mm above the lip.
#[test]
fn freeboard_under_the_rim_is_the_rest_of_the_wall() {
    let assessment = judge(&support::one_bed(9.0, 0.5), Metric);
    let check = find(&assessment, CheckId::Rim, "north");
    assert_relative_eq!(check.value, 0.125 - 0.01228 - 0.00126, epsilon = 2e-5);
}

/// 0.48 m2 of water to the media surface, 1.2 m2 above it, 75 mm and 50 mm:
/// from the lip 96 L, at 9 L/min 10 min 40 s; the peak takes some of it.
#[test]
fn a_blocked_pipe_is_given_its_time() {
    let assessment = judge(&support::one_bed(9.0, 0.5), Metric);
    let check = find(&assessment, CheckId::Rim, "north");
    let after = check.because.split("spills after ").nth(1).unwrap();
    assert!(after.starts_with("10 min"), "{after}");
}

/// ANSI/HI 9.8 form S = D + 0.574 Q / D^1.5 (inch, US gal/min): 26.6 mm and
/// 9 L/min give 1.047 + 0.574 x 2.378 / 1.072 = 2.321 in = 59 mm.
#[test]
fn submergence_is_advice_with_its_figure() {
    let assessment = judge(&support::one_bed(9.0, 0.5), Metric);
    let said = assessment
        .notes
        .iter()
        .find(|n| n.contains("submergence"))
        .unwrap();
    assert!(said.contains("59 mm"), "{said}");
    assert!(said.starts_with("For information"), "{said}");
}
