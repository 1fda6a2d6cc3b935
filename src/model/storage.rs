//! How much water a bed holds at each level.

use crate::hydraulics::circular::full_area;
use crate::hydraulics::vessel::VesselShape;
use crate::model::Bed;
use crate::numerics::in_order::InOrder;
use crate::numerics::root::newton;
use std::f64::consts::FRAC_PI_4;

/// Movable water in a bed against its level.
///
/// Media holds its drainable void; above it, and inside the guard's column, the
/// void is 1. Inside a guard the walls of standpipe and bell displace water,
/// their interiors hold it at bed level; without a guard they displace nothing.
/// The film that stays on the grains never moves and is not counted.
#[derive(Debug, Clone)]
pub struct BedStorage {
    shape: VesselShape,
    prismatic: bool,
    floor: f64,
    zones: Vec<Zone>,
}

/// A stretch of height in which the volume is
/// `volume + share (S(h) - S(bottom)) + column (h - bottom)`.
#[derive(Debug, Clone, Copy)]
struct Zone {
    bottom: f64,
    volume: f64,
    share: f64,
    column: f64,
    shape_volume: f64,
    /// Area at its bottom; of the whole zone when the shape has straight walls `[m2]`.
    area: f64,
}

impl BedStorage {
    /// Storage of `bed`.
    pub fn new(bed: &Bed) -> Self {
        let (pipe, bell) = (&bed.siphon.standpipe, &bed.siphon.bell);
        // As a level comes in: a bed filled to its lip then stands on the edge, to the bit.
        let lip = bed.lip_level() - bed.floor;
        let bell_foot = bell.slots.height;
        let bell_top = lip + bell.clearance;
        let mut edges = vec![0.0, bed.media.depth];
        if bed.guard.is_some() {
            edges.extend([bell_foot, lip, bell_top]);
        }
        edges.order_by(f64::total_cmp);
        edges.dedup();
        let ring = |outer: f64, inner: f64| FRAC_PI_4 * (outer * outer - inner * inner);
        let prismatic = matches!(
            bed.shape,
            VesselShape::Box { .. } | VesselShape::UprightCylinder { .. }
        );
        let mut storage = Self {
            shape: bed.shape.clone(),
            prismatic,
            floor: bed.floor,
            zones: Vec::new(),
        };
        for &bottom in &edges {
            let in_media = bottom < bed.media.depth;
            let share = if in_media { bed.media.void } else { 1.0 };
            let column = bed.guard.as_ref().map_or(0.0, |guard| {
                let open = if in_media {
                    (1.0 - bed.media.void) * full_area(guard.diameter)
                } else {
                    0.0
                };
                let pipe_wall = if bottom < lip {
                    ring(pipe.outside, pipe.bore)
                } else {
                    0.0
                };
                let bell_wall = if bottom >= bell_foot && bottom < bell_top {
                    ring(bell.outside, bell.bore)
                } else {
                    0.0
                };
                open - pipe_wall - bell_wall
            });
            let volume = storage
                .zones
                .last()
                .map_or(0.0, |zone| storage.zone_volume(zone, bottom));
            storage.zones.push(Zone {
                bottom,
                volume,
                share,
                column,
                shape_volume: storage.shape.volume(bottom),
                area: share * storage.shape.area(bottom) + column,
            });
        }
        storage
    }

    fn zone_volume(&self, zone: &Zone, height: f64) -> f64 {
        let rise = height - zone.bottom;
        if self.prismatic {
            zone.volume + zone.area * rise
        } else {
            zone.volume
                + zone.share * (self.shape.volume(height) - zone.shape_volume)
                + zone.column * rise
        }
    }

    /// Movable water `[m3]` at elevation `level` `[m]`; zero at or below the floor.
    pub fn volume(&self, level: f64) -> f64 {
        let height = level - self.floor;
        if height <= 0.0 {
            return 0.0;
        }
        self.zone_volume(self.zone(|zone| zone.bottom < height).1, height)
    }

    /// Free surface that moves `[m2]` at elevation `level` `[m]`.
    #[inline]
    pub fn area(&self, level: f64) -> f64 {
        let height = (level - self.floor).max(0.0);
        let zone = self.zone(|zone| zone.bottom <= height).1;
        if self.prismatic {
            zone.area
        } else {
            self.surface(zone, height)
        }
    }

    fn surface(&self, zone: &Zone, height: f64) -> f64 {
        zone.share * self.shape.area(height) + zone.column
    }

    /// Elevation `[m]` at which the bed holds `volume` `[m3]`; its floor when empty.
    ///
    /// Less than no water stands below the floor as if the walls went on: a time
    /// step that tries past empty, and is then cut back, must not meet a kink there.
    #[inline]
    pub fn level(&self, volume: f64) -> f64 {
        if volume <= 0.0 {
            let area = self.zones[0].area;
            return if area > 0.0 {
                self.floor + volume / area
            } else {
                self.floor
            };
        }
        let (i, zone) = self.zone(|zone| zone.volume < volume);
        if self.prismatic {
            return self.floor + zone.bottom + (volume - zone.volume) / zone.area;
        }
        let high = self
            .zones
            .get(i + 1)
            .map_or(self.shape.depth(), |next| next.bottom);
        self.floor + self.height_in(zone, high, volume)
    }

    /// The highest zone that is `reached`, else the lowest. Zones are two to five:
    /// going through them is quicker than a search by halves.
    #[inline]
    fn zone(&self, reached: impl Fn(&Zone) -> bool) -> (usize, &Zone) {
        let mut found = (0, &self.zones[0]);
        for (i, zone) in self.zones.iter().enumerate().skip(1) {
            if !reached(zone) {
                break;
            }
            found = (i, zone);
        }
        found
    }

    /// Height inside `zone` by Newton's rule held inside a shrinking bracket.
    fn height_in(&self, zone: &Zone, top: f64, volume: f64) -> f64 {
        let middle = 0.5 * (zone.bottom + top);
        // Level and volume must turn into each other to rounding, or the water would not add up.
        let close = |step: f64, height: f64| step <= 1e-14 * (1.0 + height);
        newton((zone.bottom, top), middle, close, |height| {
            (
                self.zone_volume(zone, height) - volume,
                self.surface(zone, height),
            )
        })
    }
}
