//! Random facts as sensible people have them. All are invented.

use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::numerics::split_mix::SplitMix64;
use ebbwright::study::draft::{Facts, PumpFact, SumpFact, TankFact};
use ebbwright::units::UnitSystem;

struct Draw(SplitMix64);

impl Draw {
    fn even(&mut self, low: f64, high: f64) -> f64 {
        let unit = (self.0.next_bits() >> 11) as f64 / (1_u64 << 53) as f64;
        low + unit * (high - low)
    }

    fn chance(&mut self, share: f64) -> bool {
        self.even(0.0, 1.0) < share
    }

    /// In whole steps.
    fn stepped(&mut self, low: f64, high: f64, step: f64) -> f64 {
        (self.even(low, high) / step).round() * step
    }
}

/// Facts of a person: each known or not, none of them at odds with another by more than a
/// sensible person would have it.
pub fn drawn(seed: u64) -> Facts {
    let mut draw = Draw(SplitMix64::new(seed.wrapping_mul(0x9e37_79b9)));
    let us = draw.chance(0.5);
    let (units, inch) = if us {
        (UnitSystem::Us, 0.0254)
    } else {
        (UnitSystem::Metric, 0.01)
    };
    let beds = draw
        .chance(0.7)
        .then(|| draw.stepped(0.6, 4.4, 1.0) as usize);
    let step = if us { 4.0 * inch } else { 10.0 * inch };
    let bed = draw.chance(0.7).then(|| {
        [
            draw.stepped(0.8, 2.4, step),
            draw.stepped(0.5, 1.2, step),
            draw.stepped(0.23, 0.40, if us { inch } else { 0.02 }),
        ]
    });
    let ceiling = draw
        .chance(0.7)
        .then(|| draw.stepped(2.1, 3.0, if us { 3.0 * inch } else { 0.05 }));
    let sump = draw.chance(0.8).then(|| sump(&mut draw));
    let area = bed.map_or(0.72, |[length, width, _]| length * width);
    let count = beds.unwrap_or(2) as f64;
    let pump = draw.chance(0.7).then(|| pump(&mut draw, count * area, us));
    Facts {
        units,
        beds,
        bed,
        room: None,
        ceiling,
        sump,
        vessels: None,
        pump,
        tank: None,
    }
}

/// The same person with fish, and with a pump for them too.
pub fn drawn_with_fish(seed: u64) -> Facts {
    let mut draw = Draw(SplitMix64::new(seed.wrapping_mul(0x51_7cc1_b727)));
    let facts = drawn(seed);
    let volume = draw.stepped(0.1, 0.6, 0.05);
    let vessel = match draw.even(0.0, 4.0) as u32 {
        0 => SumpFact::UprightDrum,
        1 => SumpFact::Shape(VesselShape::Box {
            length: draw.stepped(0.8, 1.4, 0.1),
            width: draw.stepped(0.5, 0.8, 0.1),
            depth: draw.stepped(0.4, 0.6, 0.05),
        }),
        _ => SumpFact::Volume(volume),
    };
    let high = draw.stepped(0.6, 0.9, 0.05);
    let stand = draw.chance(0.3).then_some(high);
    let tank = TankFact { vessel, stand };
    // What the fish want, at a third of the lift.
    let fish = 1.4 * tank.shape().full_volume() / 3600.0;
    let pump = facts.pump.map(|pump| match pump {
        PumpFact::Box {
            open_flow,
            shut_off_head,
        } => PumpFact::Box {
            open_flow: open_flow + 1.3 * fish,
            shut_off_head,
        },
        PumpFact::At { flow, head } => PumpFact::At {
            flow: flow + fish,
            head,
        },
        PumpFact::Measured(flow) => PumpFact::Measured(flow + fish),
    });
    Facts {
        pump,
        tank: Some(tank),
        ..facts
    }
}

fn sump(draw: &mut Draw) -> SumpFact {
    match draw.even(0.0, 6.0) as u32 {
        0 | 1 => SumpFact::LyingDrum,
        2 => SumpFact::UprightDrum,
        3 => SumpFact::Tote,
        4 => SumpFact::Volume(draw.stepped(0.15, 0.6, 0.05)),
        _ => SumpFact::Shape(VesselShape::Box {
            length: draw.stepped(0.9, 1.8, 0.1),
            width: draw.stepped(0.6, 1.0, 0.1),
            depth: draw.stepped(0.4, 0.6, 0.05),
        }),
    }
}

/// A pump of the size that such beds are sold with, for an area of beds `[m2]`.
fn pump(draw: &mut Draw, area: f64, us: bool) -> PumpFact {
    let flow = draw.even(700.0, 2500.0) * area.max(0.6);
    let lift = draw.even(2.2, 4.0);
    let (flow, lift) = if us {
        let gallon = 3.785_411_784;
        (
            (flow / gallon / 50.0).ceil() * 50.0 * gallon,
            (lift / 0.3048).round() * 0.3048,
        )
    } else {
        ((flow / 100.0).ceil() * 100.0, (lift * 10.0).round() / 10.0)
    };
    let flow = flow / 3.6e6;
    match draw.even(0.0, 10.0) as u32 {
        0 => PumpFact::Measured(0.4 * flow),
        1 => PumpFact::At {
            flow: 0.6 * flow,
            head: 0.6 * lift,
        },
        _ => PumpFact::Box {
            open_flow: flow,
            shut_off_head: lift,
        },
    }
}
