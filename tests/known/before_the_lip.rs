//! What slots and annulus take while the pipe is not full. Worked by hand; the orifice
//! and annulus laws are those of the running siphon.

use approx::assert_relative_eq;
use ebbwright::hydraulics::weir::{lip_flow, standing_head};
use ebbwright::model::{Bed, DrainLosses, Duration, Inlet};
use ebbwright::simulation::{Regime, Sampling, simulate};
use ebbwright::siphon::SiphonLaw;

use crate::support::{self, LITRE_PER_MINUTE};

/// The usual bed with slots of `square_centimetres` in all.
fn bed_with_slots(square_centimetres: f64) -> Bed {
    let mut bed = support::bed("north", 1.0, 0.6, Inlet::Share(1.0));
    let slots = &mut bed.siphon.bell.slots;
    slots.width = square_centimetres * 1e-4 / (f64::from(slots.count) * slots.height);
    bed
}

fn law(bed: &Bed) -> SiphonLaw {
    let system = support::one_bed(9.3, 0.6);
    SiphonLaw::new(bed, &system.water, &system.coefficients.nominal())
}

/// 9.3 L/min through 17.6, 6, 3 and 1.7 cm2 with Cd 0.60: 1.1, 9.5, 37.8 and 117.7 mm.
/// Annulus of 78 mm round 33.4 mm, 39.02 cm2: 0.0397 m/s and so 0.0804 mm, friction
/// 64/1453 (Re of the usual start, 7.66 L/min) over 200 mm of 44.6 mm: 0.197 times that.
#[test]
fn a_bed_stands_higher_than_its_bell_by_what_slots_and_annulus_take() {
    let flow = 9.3 * LITRE_PER_MINUTE;
    for (square_centimetres, millimetres) in [(17.6, 1.1), (6.0, 9.5), (3.0, 37.8), (1.7, 117.7)] {
        let law = law(&bed_with_slots(square_centimetres));
        let bare = standing_head(0.0266, 0.0266, flow, 1.80, 0.60);
        let more = (law.standing_head(flow) - bare) * 1000.0;
        assert!(
            (more - millimetres - 0.096).abs() < 0.06,
            "{square_centimetres}: {more}"
        );
        assert_relative_eq!(
            more,
            law.lost_before_lip(flow) * 1000.0,
            max_relative = 1e-9
        );
        let annulus = (law.lost_before_lip(flow) - law.lost_in_slots(flow)) * 1000.0;
        assert_relative_eq!(annulus, 0.0963, epsilon = 2e-4);
    }
}

#[test]
fn lip_flow_and_standing_head_are_inverse_on_both_branches() {
    for square_centimetres in [0.3, 1.7, 6.0, 17.6, 60.0] {
        let law = law(&bed_with_slots(square_centimetres));
        let mut last = 0.0;
        for k in 1..=3000 {
            let head = 1e-4 * f64::from(k);
            let flow = law.lip_flow(law.lip() + 0.02 + head, 0.02);
            assert!(flow > last);
            last = flow;
            assert_relative_eq!(law.standing_head(flow), head, max_relative = 1e-12);
        }
        let drowns = law.drowning_level(0.02);
        let [weir, mouth] = [false, true].map(|drowned| law.lip_flow_on(drowned, drowns, 0.02));
        assert_relative_eq!(weir, mouth, max_relative = 1e-12);
        assert!(
            law.lip_flow_on(false, drowns - 1e-3, 0.02)
                < law.lip_flow_on(true, drowns - 1e-3, 0.02)
        );
    }
}

#[test]
fn slots_without_end_leave_the_bare_lip() {
    let mut bed = bed_with_slots(1e6);
    bed.siphon.bell.bore = 10.0;
    let law = law(&bed);
    for head in [0.001, 0.010, 0.030, 0.1] {
        let bare = lip_flow(0.0266, 0.0266, head, 1.80, 0.60);
        assert_relative_eq!(
            law.lip_flow(law.lip() + head, 0.0),
            bare,
            max_relative = 1e-6
        );
    }
}

/// A measured total loss tells nothing about where it sits; slots are seen with a rule.
#[test]
fn slots_resist_the_lip_flow_of_a_siphon_with_a_measured_total_loss_too() {
    let mut bed = bed_with_slots(3.0);
    let computed = law(&bed).start_level(0.0);
    bed.siphon.drain.losses = DrainLosses::Total { k: 6.0 };
    assert_eq!(law(&bed).start_level(0.0), computed);
}

/// 7 L/min is below the start flow of 7.66 L/min. Weir: (1.1667e-4 / (1.80 pi 0.0266))^(2/3)
/// = 8.44 mm; slots of 3 cm2: (1.1667e-4 / (0.60 x 3e-4))^2 / 2g = 21.42 mm; annulus 0.055 mm.
#[test]
fn a_dribbling_bed_stands_as_high_as_slots_and_lip_ask() {
    let mut system = support::one_bed(7.0, 0.6);
    system.beds[0] = bed_with_slots(3.0);
    system.duration = Duration::Fixed(12.0 * 3600.0);
    let run = simulate(&system, Sampling::None).unwrap();
    assert_eq!(run.beds[0].regime, Regime::Dribbles);
    let over = (run.beds[0].first_peak_level - 1.225) * 1000.0;
    assert_relative_eq!(over, 8.44 + 21.42 + 0.055, epsilon = 0.02);
}

/// Start level over the lip at 7.66 L/min = 1.2772e-4 m3/s: weir 8.97 mm; slots of
/// 1.9 cm2 63.97 mm; annulus 0.065 mm.
#[test]
fn a_siphon_with_small_slots_starts_only_from_where_its_bell_has_the_head() {
    let law = law(&bed_with_slots(1.9));
    let over = (law.start_level(0.0) - law.lip()) * 1000.0;
    assert_relative_eq!(over, 8.97 + 63.97 + 0.065, epsilon = 0.03);
    let mut system = support::one_bed(9.3, 0.6);
    system.beds[0] = bed_with_slots(1.9);
    let run = simulate(&system, Sampling::None).unwrap();
    assert!(run.beds[0].peak_level >= law.start_level(0.0));
}
