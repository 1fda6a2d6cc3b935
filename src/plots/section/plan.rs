//! Where everything goes: the scale, the rows, the middle of each vessel.

use crate::model::{Bed, DrainTarget, Inlet, System, Tank, TankFeed};
use crate::numerics::in_order::InOrder;
use crate::numerics::root::{Until, greatest_bearable};

use super::super::page::count;
use super::vessel::side_width;
use super::{GROUND, Paper, View};

/// Tallest rows, one on the page, two, and more `[px]`.
const TALLEST: [f64; 3] = [600.0, 430.0, 340.0];
/// Air above the highest part `[m]` and over it `[px]`.
const HEADROOM: f64 = 0.08;
const HEADROOM_PX: f64 = 6.0;

/// Most that the feed pipe is drawn above its lowest place, over that place's height.
const LIFT: f64 = 0.4;

/// Where a bed stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    pub(super) bed: usize,
    pub(super) row: usize,
    /// Middle and width of the vessel `[px]`.
    pub(super) centre: f64,
    pub(super) width: f64,
}

impl Place {
    pub(super) fn left(&self) -> f64 {
        self.centre - 0.5 * self.width
    }

    pub(super) fn right(&self) -> f64 {
        self.centre + 0.5 * self.width
    }

    /// Where the inlet comes down `[px]`.
    pub(super) fn inlet_x(&self) -> f64 {
        self.centre - 0.32 * self.width
    }
}

/// Where the sump stands, in the first row: the vessel nearest to the beds, which has the pump, and those
/// joined to it on its left `[px]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SumpPlace {
    pub(super) centre: f64,
    pub(super) width: f64,
    /// Vessels drawn.
    count: usize,
}

impl SumpPlace {
    pub(super) fn left(&self) -> f64 {
        self.farthest() - 0.5 * self.width
    }

    /// Middle of the vessel farthest from the beds.
    pub(super) fn farthest(&self) -> f64 {
        self.centre - (self.width + JOINT) * count(self.count - 1)
    }

    /// Middle of every vessel, from the right to the left.
    pub(super) fn centres(&self) -> impl Iterator<Item = f64> + use<> {
        let Self { centre, width, .. } = *self;
        (0..self.count).map(move |k| centre - (width + JOINT) * count(k))
    }
}

/// Vessels that are joined stand so far apart `[px]`.
const JOINT: f64 = 12.0;
/// Most of them that are drawn: the caption tells how many there are.
const MOST_DRAWN: u32 = 4;

/// How many vessels of the sump are drawn.
fn drawn(system: &System) -> usize {
    (1..=system.sump.count.clamp(1, MOST_DRAWN)).count()
}

/// The layout of a section.
#[derive(Debug, Clone)]
pub(super) struct Plan {
    /// Pixels in a metre.
    pub(super) scale: f64,
    /// Beds of each row, from left to right; the sump is left of the first row.
    pub(super) rows: Vec<Vec<Place>>,
    pub(super) sump: SumpPlace,
    /// Elevation of the pipe that feeds the beds `[m]`; drawn, not known.
    pub(super) manifold: f64,
    /// Lowest and highest elevation drawn `[m]`.
    span: (f64, f64),
    /// What it is laid out on.
    pub(super) paper: Paper,
}

impl Plan {
    /// The view of each row of beds from `top` `[px]` on, and where they end.
    pub(super) fn views(&self, top: f64) -> (Vec<View>, f64) {
        let row_height = self.height() + GROUND;
        let view = |row| {
            let row_top = top + count(row) * row_height;
            View {
                scale: self.scale,
                zero: row_top + self.above_zero(),
                top: row_top,
                bottom: row_top + self.height(),
            }
        };
        let rows = self.rows.len();
        (
            (0..rows).map(view).collect(),
            top + count(rows) * row_height,
        )
    }

    /// Lays out `system` with label columns of the given widths: of the sump, of
    /// each bed, `labels` high `[px]`.
    pub(super) fn new(system: &System, paper: Paper, columns: (f64, f64), labels: f64) -> Self {
        let lowest_feed = lowest_feed(system);
        let sump_top = system.sump.top();
        let tank_top = system
            .tank
            .as_ref()
            .map_or(0.0, |tank| tank_top(tank) + OVER_INLET);
        let highest = system
            .ceiling
            .unwrap_or((1.0 + LIFT) * lowest_feed)
            .max(lowest_feed)
            .max(sump_top)
            .max(tank_top);
        let span = (system.sump.floor.min(0.0), highest + HEADROOM);
        let height = span.1 - span.0;

        let mut order: Vec<usize> = (0..system.beds.len()).collect();
        order.order_by(|&a, &b| distance(system, a).total_cmp(&distance(system, b)));
        let widths: Vec<f64> = order
            .iter()
            .map(|&i| side_width(&system.beds[i].shape))
            .collect();
        let sump_width = side_width(&system.sump.shape);
        let packing = Packing {
            sump: sump_width,
            vessels: drawn(system),
            beds: &widths,
            columns,
            paper,
        };

        let best = |rows: usize| {
            let tallest = TALLEST[rows.clamp(1, TALLEST.len()) - 1];
            packing.largest_scale(rows, tallest / height)
        };
        let most_rows = order.len() + 1;
        let scale = (1..=most_rows)
            .map(best)
            .find(|scale| scale * height >= paper.low)
            .unwrap_or_else(|| best(most_rows));

        // The real height of the feed pipe is not known: between beds it leaves
        // room for the labels of the bed before.
        let manifold = if system.beds.len() > 1 {
            let under_ceiling = system.ceiling.map_or(f64::INFINITY, |z| z - HEADROOM);
            let wanted = highest_line(system) + labels / scale;
            wanted
                .min((1.0 + LIFT) * lowest_feed)
                .min(under_ceiling)
                .max(lowest_feed)
        } else {
            lowest_feed
        };

        let sump_left = paper.left() + paper.inset + columns.0;
        let sump_px = scale * sump_width;
        let joined = packing.sump_px(scale);
        let mut rows: Vec<Vec<Place>> = Vec::new();
        let mut next = 0;
        for (row, members) in packing.rows(scale).into_iter().enumerate() {
            let mut x = if row == 0 {
                sump_left + joined + paper.gap
            } else {
                paper.left() + paper.incoming
            };
            let mut places = Vec::new();
            for _ in 0..members {
                let width = scale * widths[next];
                places.push(Place {
                    bed: order[next],
                    row,
                    centre: x + 0.5 * width,
                    width,
                });
                x += width + columns.1 + paper.bed_gap;
                next += 1;
            }
            rows.push(places);
        }
        Self {
            scale,
            rows,
            sump: SumpPlace {
                centre: sump_left + joined - 0.5 * sump_px,
                width: sump_px,
                count: packing.vessels,
            },
            manifold,
            span,
            paper,
        }
    }

    /// Height of a row without the ground under it `[px]`.
    pub(super) fn height(&self) -> f64 {
        self.scale * (self.span.1 - self.span.0) + HEADROOM_PX
    }

    /// Elevation zero below the upper edge of a row `[px]`.
    pub(super) fn above_zero(&self) -> f64 {
        self.scale * self.span.1 + HEADROOM_PX
    }

    /// All beds, row by row.
    pub(super) fn places(&self) -> impl Iterator<Item = &Place> + Clone {
        self.rows.iter().flatten()
    }
}

/// What has to fit.
struct Packing<'a> {
    /// Width of one vessel of the sump `[m]`.
    sump: f64,
    /// Its vessels.
    vessels: usize,
    /// Widths of the beds in the order drawn `[m]`.
    beds: &'a [f64],
    /// Widths of the label columns of the sump and of each bed `[px]`.
    columns: (f64, f64),
    paper: Paper,
}

impl Packing<'_> {
    /// Width of all vessels of the sump at a scale `[px]`.
    fn sump_px(&self, scale: f64) -> f64 {
        scale * self.sump * count(self.vessels) + JOINT * count(self.vessels - 1)
    }

    /// Beds in each row at a scale. The first row may hold the sump alone.
    fn rows(&self, scale: f64) -> Vec<usize> {
        let paper = self.paper;
        let room = paper.right() - paper.left();
        let mut used = paper.inset + self.columns.0 + self.sump_px(scale) + paper.gap;
        let mut rows = vec![0];
        for width in self.beds {
            let needs = scale * width + self.columns.1;
            let full = used + needs > room;
            let index = rows.len() - 1;
            if full && (index == 0 || rows[index] > 0) {
                rows.push(1);
                used = paper.incoming + needs + paper.bed_gap;
            } else {
                rows[index] += 1;
                used += needs + paper.bed_gap;
            }
        }
        rows
    }

    /// Largest scale at which all fits into so many rows [px/m].
    fn largest_scale(&self, rows: usize, most: f64) -> f64 {
        let paper = self.paper;
        let room = paper.right() - paper.left();
        let widest = self.beds.iter().copied().fold(0.0, f64::max);
        let fits = |scale: f64| {
            self.rows(scale).len() <= rows
                && paper.inset + self.columns.0 + self.sump_px(scale) <= room
                && paper.incoming + scale * widest + self.columns.1 <= room
        };
        if fits(most) {
            return most;
        }
        greatest_bearable(0.0, most, Until::Halvings(60), fits)
    }
}

/// Order along the page: by distance from the outlet of the drain line.
fn distance(system: &System, bed: usize) -> f64 {
    match system.beds[bed].siphon.drain.into {
        DrainTarget::Line { at } => at,
        DrainTarget::Sump => count(bed) * 1e-9,
    }
}

/// Lowest elevation of a feed pipe that every inlet hangs from `[m]`.
fn lowest_feed(system: &System) -> f64 {
    let over = |bed: &Bed| {
        let inlet = match &bed.inlet {
            Inlet::Piped(branch) => branch.level,
            Inlet::Share(_) | Inlet::Measured(_) => bed.rim_level(),
        };
        inlet.max(bed.rim_level())
    };
    system.beds.iter().map(over).fold(0.0, f64::max) + 0.14
}

/// Crown of the drain line where it is highest, else the highest outlet `[m]`.
fn highest_line(system: &System) -> f64 {
    let passes = |bed: &Bed| match (&bed.siphon.drain.into, &system.drain_line) {
        (DrainTarget::Line { at }, Some(line)) => line.invert(*at) + line.run.bore,
        _ => bed.siphon.drain.outlet,
    };
    system.beds.iter().map(passes).fold(0.0, f64::max)
}

/// Length of pipe shown over an inlet `[m]`.
pub(super) const OVER_INLET: f64 = 0.12;

/// Highest elevation that a tank and its inlet need `[m]`.
pub(super) fn tank_top(tank: &Tank) -> f64 {
    let rim = tank.top();
    match &tank.fed_by {
        TankFeed::PumpBranch(branch) => rim.max(branch.level),
        TankFeed::WholePump => rim,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_never_run_over_the_page() {
        let beds = [1.0, 1.2, 0.6, 2.4, 1.0];
        let packing = Packing {
            sump: 0.572,
            vessels: 1,
            beds: &beds,
            columns: (170.0, 180.0),
            paper: Paper::PAGE,
        };
        for rows in 1..=6 {
            let scale = packing.largest_scale(rows, 260.0);
            let members = packing.rows(scale);
            assert_eq!(members.iter().sum::<usize>(), beds.len());
            assert!(members.len() <= rows || scale < 1e-6, "{rows}: {members:?}");
        }
    }
}
