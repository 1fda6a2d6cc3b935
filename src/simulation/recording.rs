//! What happened, moment by moment.

use crate::simulation::{EventKind, SiphonMode};

/// How densely a run is recorded. Events are always recorded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sampling {
    /// Only the statistics; no series.
    None,
    /// Series at step ends, at events and at least this often `[s]`.
    Every(f64),
    /// The same (in steps longer than 16 times that, 16 times a step), less every row that
    /// lies within 0.2 mm and 0.5 % of the largest flow so far of the straight lines between
    /// the rows kept; beyond four million numbers rows are kept a [`spacing`](Recording::spacing)
    /// apart.
    Thinned(f64),
}

/// Series of a run, all vectors of equal length but those of parts that are not
/// there; empty with [`Sampling::None`].
///
/// At an event two samples carry the same time: before and after it.
#[derive(Debug, Clone, Default)]
pub struct Recording {
    /// Rows are at least this far apart `[s]`: zero unless a thinned recording grew too large.
    pub spacing: f64,
    /// Time `[s]`, not falling.
    pub time: Vec<f64>,
    /// One per bed, in file order.
    pub beds: Vec<BedSeries>,
    /// Sump level, elevation `[m]`.
    pub sump_level: Vec<f64>,
    /// Fish tank's level, elevation `[m]`; empty without a tank.
    pub tank_level: Vec<f64>,
    /// Flow into the fish tank `[m3/s]`, negative where it runs back; empty without a tank.
    pub tank_inflow: Vec<f64>,
    /// Flow over the fish tank's overflow `[m3/s]`; empty without a tank.
    pub tank_outflow: Vec<f64>,
    /// Flow that leaves the pump `[m3/s]`.
    pub pump_flow: Vec<f64>,
    /// Head the pump works against `[m]`.
    pub pump_head: Vec<f64>,
    /// Flow at the lower end of the drain line `[m3/s]`.
    pub line_flow: Vec<f64>,
    /// Depth over diameter where the line is fullest `[-]`; 1 when pressurised.
    pub line_fill: Vec<f64>,
}

/// Series of one bed.
#[derive(Debug, Clone, Default)]
pub struct BedSeries {
    /// Water level in the bed, elevation `[m]`.
    pub level: Vec<f64>,
    /// Water level in its guard, which the siphon sees, elevation `[m]`; the bed's level
    /// where no grain size is given.
    pub guard_level: Vec<f64>,
    /// Flow into the bed `[m3/s]`, negative where it runs back through its inlet.
    pub inflow: Vec<f64>,
    /// Flow through its siphon `[m3/s]`.
    pub siphon_flow: Vec<f64>,
    /// What its siphon does.
    pub mode: Vec<SiphonMode>,
}

/// One located event.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Event {
    /// When `[s]`.
    pub time: f64,
    /// What.
    pub kind: EventKind,
}
