//! Lengths that can be worked out by hand.

use ebbwright::model::{Band, Coefficient};

use crate::support::{LITRE_PER_MINUTE, one_bed};
use crate::{WANTED, ask};

/// What slots of 18 cm2 with orifice coefficient `orifice` and the annulus, 39.02 cm2, take
/// of `flow` `[m]`: `(Q / (Cd A))^2 / 2g`, and 1.20 velocity heads with the friction.
fn before_the_lip(flow: f64, orifice: f64) -> f64 {
    let velocity_head = |v: f64| v * v / (2.0 * 9.80665);
    velocity_head(flow / (orifice * 18e-4)) + 1.20 * velocity_head(flow / 39.02e-4)
}

/// With the cap's air gone at once, the water stands the start head over the
/// lip at its peak, so that
/// `length = media - wanted - 5 mm - (Q_start / (Cw pi d))^(2/3)`, less slots and annulus,
/// `Q_start = Fs (pi/4) D^2 sqrt(g D)` (the design's own formulas, by hand).
#[test]
fn without_a_rise_while_priming_the_length_follows_from_the_lip_alone() {
    let (froude, weir) = (0.45_f64, 1.80_f64);
    for flare in [1.0, 1.2] {
        let mut system = one_bed(10.0, 0.6);
        let siphon = &mut system.beds[0].siphon;
        let bore = siphon.standpipe.bore;
        let lip = flare * bore;
        siphon.standpipe.lip_diameter = lip;
        siphon.bell.clearance = 0.5 * bore;
        system.coefficients[Coefficient::PrimingCarry] = Band::exact(1.0);
        let start = froude * 0.25 * std::f64::consts::PI * bore * bore * (9.80665 * bore).sqrt();
        let head = (start / (weir * std::f64::consts::PI * lip)).powf(2.0 / 3.0);
        let by_hand = 0.30 - WANTED - 0.005 - head - before_the_lip(start, 0.60);
        let cuts = ask(&system, WANTED);
        let found = cuts.beds[0].answer.as_ref().unwrap().exact.length;
        assert!(
            (found - by_hand).abs() < 1.5e-4,
            "{flare}: {found} and {by_hand} by hand"
        );
    }
}

/// A bore under 21 mm costs 3 mm more for surface tension.
#[test]
fn what_the_check_takes_off_is_taken_off() {
    for (bore, allowance) in [(0.0209, 0.008), (0.0211, 0.005)] {
        let mut system = one_bed(8.0, 0.6);
        system.beds[0].siphon.standpipe.bore = bore;
        system.beds[0].siphon.standpipe.lip_diameter = bore;
        let cuts = ask(&system, WANTED);
        assert_eq!(cuts.beds[0].allowance, allowance);
        let stand = cuts.beds[0].answer.as_ref().unwrap().exact;
        assert!((0.30 - stand.peak - allowance - stand.dry_layer).abs() < 1e-12);
    }
}

/// Ends of the band by hand: the start head, weir or drowned lip, at both ends
/// of Froude number, lip and slots, nothing rising beside it.
#[test]
fn the_band_is_that_of_the_start_head() {
    let mut system = one_bed(14.0, 0.5);
    let bore = system.beds[0].siphon.standpipe.bore;
    system.beds[0].siphon.bell.clearance = 0.5 * bore;
    system.coefficients[Coefficient::PrimingCarry] = Band::exact(1.0);
    let area = 0.25 * std::f64::consts::PI * bore * bore;
    let head = |froude: f64, weir: f64, orifice: f64, slots: f64| {
        let start = froude * area * (9.80665 * bore).sqrt();
        let drowned = (start / (orifice * area)).powi(2) / (2.0 * 9.80665);
        (start / (weir * std::f64::consts::PI * bore))
            .powf(2.0 / 3.0)
            .max(drowned)
            + before_the_lip(start, slots)
    };
    // Even the highest start flow is under the inflow.
    assert!(0.60 * area * (9.80665 * bore).sqrt() < 14.0 * LITRE_PER_MINUTE);
    let cuts = ask(&system, WANTED);
    let band = cuts.beds[0].answer.as_ref().unwrap().band;
    for (found, by_hand) in [
        (
            band.shortest.unwrap().length,
            0.245 - head(0.60, 1.66, 0.55, 0.55),
        ),
        (band.longest.length, 0.245 - head(0.30, 1.94, 0.65, 0.70)),
    ] {
        assert!(
            (found - by_hand).abs() < 3e-4,
            "{found} and {by_hand} by hand"
        );
    }
}
