//! Water that comes back when the pump stops and no check valve holds it.
//!
//! Two parts: the supply pipes empty themselves into the sump (drain-back),
//! and an inlet that ends under water draws its vessel down (back-siphon).
//! Both are volumes, whatever time they take. Elevations `[m]` from one datum.

use super::pipe_run::PipeRun;

/// A straight piece of the supply, full while the pump runs.
///
/// Belongs to the list only if its water can run back to the sump: a piece
/// that falls from the manifold to its outlet empties into the vessel instead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SupplyPiece {
    /// Water held when full `[m3]`.
    pub volume: f64,
    /// Elevation of one end `[m]`.
    pub from: f64,
    /// Elevation of the other end `[m]`.
    pub to: f64,
}

impl SupplyPiece {
    /// A piece of pipe between two elevations `[m]`, evenly sloped along its length.
    ///
    /// Valid for pieces without a bend upward in between; cut a longer run at its bends.
    pub fn of_pipe(pipe: &PipeRun, from: f64, to: f64) -> SupplyPiece {
        SupplyPiece {
            volume: pipe.volume(),
            from,
            to,
        }
    }

    /// Part of its water above an elevation `[m]`, from 0 to its volume `[m3]`.
    ///
    /// A level piece counts in full unless it lies under that elevation. Valid for any elevation.
    pub fn volume_above(&self, level: f64) -> f64 {
        let (low, high) = (self.from.min(self.to), self.from.max(self.to));
        if level <= low {
            self.volume
        } else if level >= high {
            0.0
        } else {
            self.volume * (high - level) / (high - low)
        }
    }
}

/// Water that runs back from the supply into the sump `[m3]` when the pump
/// stops with the sump at `sump_level` `[m]` and no check valve.
///
/// Everything above the sump's level: air enters at the outlets and the pieces
/// empty through the pump. The sump rises meanwhile, which keeps a little
/// back; so this is never too little. Valid for supplies whose pieces all fall
/// towards the sump; water held in a sag stays there.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::back_siphon::{SupplyPiece, drain_back};
/// use ebbwright::hydraulics::pipe_run::PipeRun;
/// let pipe = PipeRun { bore: 0.0266, length: 3.0, roughness: 1.5e-6, k: 0.0 };
/// // 1.2 m of riser from 0.05 m up, then 1.8 m nearly level at 1.25 m.
/// let riser = SupplyPiece::of_pipe(&PipeRun { length: 1.2, ..pipe }, 0.05, 1.25);
/// let manifold = SupplyPiece::of_pipe(&PipeRun { length: 1.8, ..pipe }, 1.25, 1.26);
/// let back = drain_back(&[riser, manifold], 0.35);
/// assert!((back * 1000.0 - 1.50).abs() < 0.01); // L
/// ```
pub fn drain_back(pieces: &[SupplyPiece], sump_level: f64) -> f64 {
    pieces.iter().map(|p| p.volume_above(sump_level)).sum()
}

/// Inlet of a vessel that the pump feeds. Elevations `[m]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VesselInlet {
    /// Lower end of the inlet pipe, where water leaves it.
    pub end: f64,
    /// Hole drilled in the pipe to let air in; `None` without one. It must
    /// be big enough to pass more air than the siphon carries away, and stay clean.
    pub anti_siphon_hole: Option<f64>,
}

impl VesselInlet {
    /// Level `[m]` to which a stopped pump siphons a vessel that stands at
    /// `level` `[m]`, into a sump at `sump_level` `[m]`.
    ///
    /// The highest of inlet end, anti-siphon hole and sump; `level` itself
    /// when the vessel stands no higher than that. The sump is taken at rest: it
    /// rises meanwhile, so this is never too high. Range: no check
    /// valve, and a supply that was full.
    ///
    /// # Example
    /// ```
    /// use ebbwright::hydraulics::back_siphon::VesselInlet;
    /// let inlet = VesselInlet { end: 0.40, anti_siphon_hole: Some(0.85) };
    /// assert_eq!(inlet.siphoned_to(0.90, 0.30), 0.85);
    /// let plain = VesselInlet { anti_siphon_hole: None, ..inlet };
    /// assert_eq!(plain.siphoned_to(0.90, 0.30), 0.40);
    /// assert_eq!(plain.siphoned_to(0.35, 0.30), 0.35); // inlet in the air
    /// ```
    pub fn siphoned_to(&self, level: f64, sump_level: f64) -> f64 {
        let held = self
            .anti_siphon_hole
            .map_or(self.end, |hole| hole.max(self.end));
        held.max(sump_level).min(level)
    }

    /// Water siphoned out of a vessel `[m3]` that stands at `level` `[m]`, into a
    /// sump at `sump_level` `[m]`; `volume_at` gives the vessel's movable water
    /// `[m3]` at an elevation `[m]`.
    ///
    /// Range as for [`siphoned_to`](Self::siphoned_to); never too little.
    ///
    /// # Example
    /// ```
    /// use ebbwright::hydraulics::{back_siphon::VesselInlet, vessel::VesselShape};
    /// let tank = VesselShape::UprightCylinder { diameter: 0.9, depth: 0.7 };
    /// let floor = 0.30;
    /// let inlet = VesselInlet { end: 0.40, anti_siphon_hole: None };
    /// let lost = inlet.back_siphoned(0.90, 0.20, |z| tank.volume(z - floor));
    /// assert!((lost * 1000.0 - 318.1).abs() < 0.1); // L: 0.636 m2 x 0.50 m
    /// ```
    pub fn back_siphoned(
        &self,
        level: f64,
        sump_level: f64,
        volume_at: impl Fn(f64) -> f64,
    ) -> f64 {
        volume_at(level) - volume_at(self.siphoned_to(level, sump_level))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RISER: SupplyPiece = SupplyPiece {
        volume: 1e-3,
        from: 0.1,
        to: 1.1,
    };

    #[test]
    fn a_piece_gives_back_what_is_above_the_sump() {
        assert_eq!(RISER.volume_above(0.0), 1e-3);
        assert_eq!(RISER.volume_above(0.1), 1e-3);
        assert!((RISER.volume_above(0.35) - 0.75e-3).abs() < 1e-18);
        assert_eq!(RISER.volume_above(1.1), 0.0);
        assert_eq!(RISER.volume_above(2.0), 0.0);
        let upside_down = SupplyPiece {
            from: RISER.to,
            to: RISER.from,
            ..RISER
        };
        assert_eq!(upside_down.volume_above(0.35), RISER.volume_above(0.35));
        let level = SupplyPiece {
            volume: 2e-3,
            from: 0.5,
            to: 0.5,
        };
        assert_eq!(level.volume_above(0.5), 2e-3);
        assert_eq!(level.volume_above(0.5 + 1e-9), 0.0);
    }

    #[test]
    fn drain_back_adds_the_pieces_and_falls_as_the_sump_rises() {
        let level = SupplyPiece {
            volume: 2e-3,
            from: 1.1,
            to: 1.1,
        };
        assert_eq!(drain_back(&[], 0.0), 0.0);
        let mut last = f64::INFINITY;
        for i in 0..=12 {
            let sump = 0.1 * f64::from(i);
            let back = drain_back(&[RISER, level], sump);
            assert_eq!(back, RISER.volume_above(sump) + level.volume_above(sump));
            assert!(back <= last);
            last = back;
        }
        assert_eq!(last, 0.0);
    }

    #[test]
    fn the_highest_of_end_hole_and_sump_stops_the_siphon() {
        let inlet = |end: f64, hole: Option<f64>| VesselInlet {
            end,
            anti_siphon_hole: hole,
        };
        assert_eq!(inlet(0.4, None).siphoned_to(0.9, 0.3), 0.4);
        assert_eq!(inlet(0.4, Some(0.8)).siphoned_to(0.9, 0.3), 0.8);
        // A hole below the inlet's own end changes nothing.
        assert_eq!(inlet(0.4, Some(0.2)).siphoned_to(0.9, 0.3), 0.4);
        // A sump above the inlet's end levels out with the vessel.
        assert_eq!(inlet(0.4, None).siphoned_to(0.9, 0.6), 0.6);
        // A hole in the air already lets the air in.
        assert_eq!(inlet(0.4, Some(0.95)).siphoned_to(0.9, 0.3), 0.9);
        assert_eq!(inlet(1.0, None).siphoned_to(0.9, 0.3), 0.9);
        assert_eq!(inlet(0.4, None).siphoned_to(0.9, 1.2), 0.9);
    }

    #[test]
    fn what_is_siphoned_is_what_the_vessel_loses() {
        let inlet = VesselInlet {
            end: 0.4,
            anti_siphon_hole: Some(0.6),
        };
        // A vessel whose area grows with height.
        let volume = |z: f64| z * z;
        let lost = inlet.back_siphoned(0.9, 0.3, volume);
        assert!((lost - (0.81 - 0.36)).abs() < 1e-15);
        assert_eq!(inlet.back_siphoned(0.5, 0.3, volume), 0.0);
    }
}
