//! Siphons and gravel with their tables, for runs of systems that differ elsewhere.

use crate::hydraulics::vessel::VesselShape;
use crate::hydraulics::water::Water;
use crate::model::{Bed, CoefficientValues, Guard, Media, Siphon};
use crate::simulation::gravel::Gravel;
use crate::siphon::SiphonLaw;
use std::collections::VecDeque;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// Beds that are remembered: those of a row of a map with all its corners.
const REMEMBERED: usize = 512;

/// The way out of beds, worked out by one run and there for the next: a study that changes a
/// pump, an inlet or another bed finds it again. Runs are the same with it and without, on any
/// number of threads.
#[derive(Default)]
pub struct SharedTables {
    /// Used last in front.
    kept: Mutex<VecDeque<(Key, Arc<WayOut>)>>,
}

impl std::fmt::Debug for SharedTables {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("SharedTables").finish_non_exhaustive()
    }
}

/// Everything that the way out of a bed follows from.
#[derive(Debug, Clone, PartialEq)]
struct Key {
    siphon: Siphon,
    values: CoefficientValues,
    water: Water,
    /// Error that one step may make, which the tables follow `[-]`.
    relative: f64,
    levels: [f64; 2],
    shape: VesselShape,
    media: Media,
    guard: Option<Guard>,
}

impl Key {
    fn new(bed: &Bed, water: &Water, values: &CoefficientValues, relative: f64) -> Self {
        Self {
            siphon: bed.siphon.clone(),
            values: values.clone(),
            water: *water,
            relative,
            levels: [bed.floor, bed.rim_height],
            shape: bed.shape.clone(),
            media: bed.media.clone(),
            guard: bed.guard.clone(),
        }
    }
}

/// The way of the water out of one bed.
pub(super) struct WayOut {
    /// The siphon before it has tables.
    pub(super) law: SiphonLaw,
    relative: f64,
    /// Draining freely, and where a line can hold it back.
    tabulated: [OnceLock<Tabulated>; 2],
}

/// The same with its tables.
#[derive(Clone)]
pub(super) struct Tabulated {
    pub(super) law: SiphonLaw,
    /// `None` where no grain size is given.
    pub(super) gravel: Option<Arc<Gravel>>,
}

impl WayOut {
    pub(super) fn new(bed: &Bed, water: &Water, values: &CoefficientValues, relative: f64) -> Self {
        Self {
            law: SiphonLaw::new(bed, water, values),
            relative,
            tabulated: [OnceLock::new(), OnceLock::new()],
        }
    }

    /// With tables; `bed` and `water` are those it was made of, `reached`: a line can hold it back.
    pub(super) fn tabulated(&self, bed: &Bed, water: &Water, reached: bool) -> &Tabulated {
        self.tabulated[usize::from(reached)].get_or_init(|| {
            let law = self.law.clone().tabulated(bed, self.relative, reached);
            let gravel = Gravel::new(bed, water, &law, self.relative).map(Arc::new);
            Tabulated { law, gravel }
        })
    }
}

impl SharedTables {
    /// The way out of `bed`, as it was worked out before if it was.
    pub(super) fn way_out(
        &self,
        bed: &Bed,
        water: &Water,
        values: &CoefficientValues,
        relative: f64,
    ) -> Arc<WayOut> {
        let key = Key::new(bed, water, values, relative);
        // What a thread that failed has left is whole: entries are only put in and moved.
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let found = kept.iter().position(|(known, _)| *known == key);
        let entry = found.and_then(|at| kept.remove(at)).unwrap_or_else(|| {
            let made = WayOut::new(bed, water, values, relative);
            (key, Arc::new(made))
        });
        let way = Arc::clone(&entry.1);
        kept.push_front(entry);
        kept.truncate(REMEMBERED);
        way
    }
}
