//! What is kept about the drain line while a run goes on.

use crate::model::Band;
use crate::simulation::plant::{Moment, Plant};

/// Moments that are remembered to tell which others bring nothing new.
const REMEMBERED: usize = 32;

/// The greatest flow, depth and grade of the line.
pub(super) struct LineTrack<const B: usize> {
    pub(super) peak: f64,
    pub(super) fill: Band,
    pub(super) fullest: usize,
    pub(super) grade: f64,
    /// The bed that gave most of the greatest flow.
    pub(super) largest: usize,
    /// Siphon flows and tail of moments looked at, none above another in everything.
    looked_at: Vec<([f64; B], f64)>,
}

impl<const B: usize> LineTrack<B> {
    pub(super) fn new() -> Self {
        Self {
            peak: 0.0,
            fill: Band::exact(0.0),
            fullest: 0,
            grade: f64::NEG_INFINITY,
            largest: 0,
            looked_at: Vec::new(),
        }
    }

    /// Whether the line could stand higher than ever with these flows `[m3/s]` and this tail
    /// `[m]`. It rises with all of them: what is nowhere above a moment looked at is not higher.
    pub(super) fn is_news(&self, flows: &[f64; B], tail: f64) -> bool {
        !(self.looked_at.iter()).any(|(seen, seen_tail)| {
            tail <= *seen_tail && flows.iter().zip(seen).all(|(flow, seen)| flow <= seen)
        })
    }

    /// Takes in one moment.
    pub(super) fn see(&mut self, plant: &Plant, now: &Moment<B>) {
        let Some(line) = plant.line_state(now) else {
            return;
        };
        self.remember(now.outflow, plant.line_tail(now));
        if line.flow > self.peak || line.fill > self.fill.nominal {
            if line.fill > self.fill.nominal {
                self.fullest = line.fullest;
            }
            let fill = plant.line_fill(now, line.fill);
            self.fill = Band::new(
                self.fill.low.max(fill.low),
                self.fill.nominal.max(fill.nominal),
                self.fill.high.max(fill.high),
            );
        }
        if line.flow > self.peak {
            self.peak = line.flow;
            self.largest = (0..plant.laws.len())
                .max_by(|&a, &b| now.outflow[a].total_cmp(&now.outflow[b]))
                .unwrap_or(0);
        }
        self.grade = self.grade.max(line.upper_grade);
    }

    /// Looks anew: the line has changed.
    pub(super) fn forget(&mut self) {
        self.looked_at.clear();
    }

    fn remember(&mut self, flows: [f64; B], tail: f64) {
        self.looked_at.retain(|(seen, seen_tail)| {
            *seen_tail > tail || seen.iter().zip(&flows).any(|(seen, flow)| seen > flow)
        });
        if self.looked_at.len() == REMEMBERED {
            self.looked_at.remove(0);
        }
        self.looked_at.push((flows, tail));
    }
}
