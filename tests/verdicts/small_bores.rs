//! Narrow pipes, long primings, small tubs.

use crate::fixes::judge;
use crate::support::{self, LITRE_PER_MINUTE};
use crate::told::Assessment;
use approx::assert_relative_eq;

use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{Band, Coefficient, System};
use ebbwright::siphon::SiphonLaw;
use ebbwright::units::UnitSystem::Metric;

fn narrow(bore: f64) -> System {
    let mut system = support::one_bed(2.0, 0.5);
    let siphon = &mut system.beds[0].siphon;
    siphon.standpipe.bore = bore;
    siphon.standpipe.lip_diameter = bore;
    siphon.standpipe.outside = bore + 0.004;
    siphon.bell.bore = 0.040;
    siphon.bell.outside = 0.045;
    siphon.bell.clearance = 0.010;
    system
}

fn notes_with<'a>(assessment: &'a Assessment, words: &str) -> Vec<&'a String> {
    let notes = assessment.notes.iter();
    notes.filter(|note| note.contains(words)).collect()
}

/// 12 mm: A sqrt(g D) = 1.13097e-4 m2 x 0.34304 m/s = 2.3279 L/min; start Froude numbers
/// 0.30 x 0.798 = 0.2395, 0.45 x 0.798 = 0.3592, 0.29 / 0.34304 = 0.8454.
#[test]
fn surface_tension_and_sealed_leg_widen_the_start_band_of_a_12_mm_siphon() {
    let start = judge(&narrow(0.012), Metric).beds[0].start_flow;
    let litres = |flow: f64| flow / LITRE_PER_MINUTE;
    assert_relative_eq!(litres(start.low), 0.5575, max_relative = 1e-3);
    assert_relative_eq!(litres(start.nominal), 0.8363, max_relative = 1e-3);
    assert_relative_eq!(litres(start.high), 1.9680, max_relative = 1e-3);
}

/// 20 mm: over 16 mm only the high end moves, to 0.29 / 0.44287 = 0.6548.
#[test]
fn only_the_high_end_moves_between_16_and_24_mm() {
    let system = narrow(0.020);
    let froude = judge(&system, Metric).beds[0].start_flow;
    let one = std::f64::consts::FRAC_PI_4 * 0.020 * 0.020 * 0.44287;
    assert_relative_eq!(froude.low / one, 0.30, max_relative = 1e-4);
    assert_relative_eq!(froude.nominal / one, 0.45, max_relative = 1e-4);
    assert_relative_eq!(froude.high / one, 0.6548, max_relative = 1e-4);
}

#[test]
fn a_start_froude_number_of_the_owner_holds_in_a_narrow_bore() {
    let mut system = narrow(0.012);
    let band = Band::new(0.30, 0.45, 0.60);
    system.coefficients.give(Coefficient::StartFroude, band);
    let assessment = judge(&system, Metric);
    let start = assessment.beds[0].start_flow;
    assert_relative_eq!(start.low / start.nominal, 0.30 / 0.45, max_relative = 1e-9);
    assert_relative_eq!(
        start.nominal / LITRE_PER_MINUTE,
        0.45 * 2.3279,
        max_relative = 1e-3
    );
    assert!(notes_with(&assessment, "start Froude number is taken").is_empty());
    let law = SiphonLaw::new(
        &system.beds[0],
        &system.water,
        &system.coefficients.nominal(),
    );
    assert_eq!(law.start_flow(), start.nominal);
}

#[test]
fn a_bore_under_10_mm_is_told_that_the_law_ends() {
    let said = |bore: f64, words: &str| notes_with(&judge(&narrow(bore), Metric), words).len();
    assert_eq!(said(0.008, "the law of the start ends"), 1);
    assert_eq!(said(0.012, "the law of the start ends"), 0);
    assert_eq!(said(0.012, "0.24 to 0.85 instead of 0.30 to 0.60"), 1);
    assert_eq!(said(0.0266, "law of the start"), 0);
}

/// A bell of 78 mm and 60 mm of clearance holds 0.2867 L; 0.15 x 7.663 L/min = 1.149 L/min
/// carries it away in 14.97 s, less a leak of 0.9 L/min in 69 s.
#[test]
fn a_priming_of_more_than_a_minute_is_named_with_its_time() {
    let mut system = support::one_bed(9.0, 0.5);
    system.beds[0].siphon.bell.clearance = 0.060;
    let primes = |system: &System| {
        let assessment = judge(system, Metric);
        notes_with(&assessment, "more than a minute")
            .into_iter()
            .cloned()
            .collect::<Vec<_>>()
    };
    assert!(primes(&system).is_empty());
    system.beds[0].siphon.bell.air_leak = 0.9 * LITRE_PER_MINUTE;
    let said = primes(&system);
    assert_eq!(said.len(), 1);
    assert!(said[0].contains("\"north\" primes for 1 min 9"), "{said:?}");
    assert!(said[0].contains("seal"), "{said:?}");
    system.beds[0].siphon.bell.air_leak = 0.0;
    system.beds[0].siphon.bell.clearance = 0.300;
    let said = primes(&system);
    assert_eq!(said.len(), 1, "{said:?}");
    // 0.300 m take 74.9 s, so a minute is 240 mm.
    assert!(said[0].contains("a cap 240 mm over the lip"), "{said:?}");
}

/// Bell 78 mm round 33.4 mm: annulus 39.02 cm2 x about 0.2 m = 0.78 L and a crown of 0.12 L
/// fall back. A tub of 0.2 x 0.16 m, void 0.40, floods with 0.0128 m2 x 0.21 m = 2.7 L.
#[test]
fn water_falling_back_into_a_small_tub_is_held_against_its_flood() {
    let fall = |length: f64, width: f64, allowed: f64| {
        let mut system = support::one_bed(8.0, 0.5);
        system.beds[0].shape = VesselShape::Box {
            length,
            width,
            depth: 0.35,
        };
        system.thresholds.fall_back = allowed;
        let assessment = judge(&system, Metric);
        notes_with(&assessment, "falls back")[0].clone()
    };
    let small = fall(0.20, 0.16, 0.200);
    assert!(
        small.contains("a tenth of the 2.") && small.contains("drown the slots"),
        "{small}"
    );
    let both = fall(0.20, 0.16, 0.005);
    assert!(both.contains("more than 5 mm and a tenth of the"), "{both}");
    let wide = fall(1.2, 1.0, 0.005);
    assert!(!wide.contains("more than"), "{wide}");
}
