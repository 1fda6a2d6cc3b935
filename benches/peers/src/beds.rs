//! Steady beds as ordinary differential equations with events, by the formulas of
//! `scipy_compare.py`: a box fills to its lip, spills while its siphon primes, empties at full
//! bore and breaks.
//!
//! Ebbwright's own period of the same beds agrees with what these give at 1e-13; the run says by
//! how much.

use std::f64::consts::PI;

const G: f64 = 9.806_65;
/// Cubic metres per second in one litre per minute.
const LITRE_PER_MINUTE: f64 = 1e-3 / 60.0;
pub const AREA: f64 = 1.2 * 1.0 * 0.40;
pub const BORE: f64 = 0.0266;
const LIP: f64 = 0.225;
const CROWN: f64 = 0.025;
const BELL_BORE: f64 = 0.078;
const CLEARANCE: f64 = 0.025;
const SLOT_AREA: f64 = 6.0 * 0.012 * 0.025;
const WEIR: f64 = 1.80;
const ORIFICE: f64 = 0.60;
const FROUDE: f64 = 0.45;
const CARRY: f64 = 0.15;
const DIP: f64 = 0.5;
const LOSS: f64 = 1.0 + 3.0;
/// Head that slots and annulus take before the lip over the square of the flow `[s2/m5]`:
/// ebbwright's `SiphonLaw::lost_before_lip` at 1 m3/s for this bell.
const BEFORE_LIP: f64 = 47_721.240_638_746_305;
const PIPE: f64 = PI / 4.0 * BORE * BORE;
/// Time simulated `[s]`.
pub const DAY: f64 = 86_400.0;

/// What a bed does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    Fills,
    Spills,
    /// Ends by the clock, not by a level.
    Primes,
    Empties,
}

/// One bed: its inflow `[m3/s]`, the level of its outlet under its floor `[m]`, and the levels that
/// follow `[m]`.
#[derive(Debug, Clone, Copy)]
pub struct Bed {
    pub inflow: f64,
    pub drop: f64,
    start: f64,
    /// Time from the start flow to full bore `[s]`.
    pub priming: f64,
    breaks: f64,
}

impl Bed {
    pub fn new(litres_per_minute: f64, drop: f64) -> Self {
        let start_flow = FROUDE * PIPE * (G * BORE).sqrt();
        let mut bed = Self {
            inflow: litres_per_minute * LITRE_PER_MINUTE,
            drop,
            start: root(|h| lip(h) - start_flow, LIP, LIP + 0.1),
            priming: PI / 4.0 * BELL_BORE * BELL_BORE * CLEARANCE / (CARRY * start_flow),
            breaks: 0.0,
        };
        let slots = |h: f64| DIP * (bed.full(h) / SLOT_AREA).powi(2) / (2.0 * G);
        bed.breaks = root(|h| h - CROWN - slots(h), 0.0, LIP);
        bed
    }

    fn full(&self, level: f64) -> f64 {
        PIPE * (2.0 * G * (level + self.drop).max(0.0) / LOSS).sqrt()
    }

    /// Rate of the level `[m/s]`.
    pub fn rate(&self, mode: Mode, level: f64) -> f64 {
        let out = match mode {
            Mode::Fills => 0.0,
            Mode::Spills | Mode::Primes => lip(level),
            Mode::Empties => self.full(level),
        };
        (self.inflow - out) / AREA
    }

    /// Positive until the event that ends `mode`.
    pub fn watch(&self, mode: Mode, level: f64) -> f64 {
        match mode {
            Mode::Fills => LIP - level,
            Mode::Spills => self.start - level,
            Mode::Primes => 1.0,
            Mode::Empties => level - self.breaks,
        }
    }
}

/// Flow over the lip `[m3/s]`: as over a weir with what is lost before it taken off, or into a
/// drowned mouth, whichever is less.
fn lip(level: f64) -> f64 {
    let head = level - LIP;
    if head <= 0.0 {
        return 0.0;
    }
    let over = WEIR * PI * BORE;
    let bend = BEFORE_LIP * over * over;
    // Head in the bell, h + bend h^3 = head, by Newton from above.
    let mut h = head;
    for _ in 0..40 {
        let step = (h + bend * h.powi(3) - head) / (1.0 + 3.0 * bend * h * h);
        h -= step;
        if step.abs() <= 1e-8 * h {
            break;
        }
    }
    let mouth = ORIFICE * PIPE * (2.0 * G).sqrt();
    let drowned = (head / (BEFORE_LIP + 1.0 / (mouth * mouth))).sqrt();
    (over * h * h.sqrt()).min(drowned)
}

/// Bisection to the last digit.
fn root(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    let sign = f(low).signum();
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if f(middle).signum() == sign {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// The beds of one run, with what each does.
#[derive(Debug, Clone, Copy)]
pub struct Beds<const N: usize> {
    pub beds: [Bed; N],
    pub modes: [Mode; N],
}

impl<const N: usize> Beds<N> {
    pub fn new(of: [(f64, f64); N]) -> Self {
        Self {
            beds: of.map(|(inflow, drop)| Bed::new(inflow, drop)),
            modes: [Mode::Fills; N],
        }
    }

    pub fn rates(&self, levels: &[f64], rates: &mut [f64]) {
        for (i, rate) in rates.iter_mut().enumerate() {
            *rate = self.beds[i].rate(self.modes[i], levels[i]);
        }
    }

    pub fn watches(&self, levels: &[f64], watches: &mut [f64]) {
        for (i, watch) in watches.iter_mut().enumerate() {
            *watch = self.beds[i].watch(self.modes[i], levels[i]);
        }
    }

    /// The least of all watches.
    pub fn next(&self, levels: &[f64]) -> f64 {
        (0..N)
            .map(|i| self.beds[i].watch(self.modes[i], levels[i]))
            .fold(f64::INFINITY, f64::min)
    }
}

/// How a solver left a smooth stretch.
pub struct Left<const N: usize> {
    pub t: f64,
    pub levels: [f64; N],
}

/// A day of `beds`: when each broke.
///
/// `stretch` integrates from a time and levels until a watch falls to zero or the time given last.
pub fn day<const N: usize>(
    mut beds: Beds<N>,
    stretch: &mut impl FnMut(&Beds<N>, f64, [f64; N], f64) -> Left<N>,
) -> [Vec<f64>; N] {
    let mut breaks = std::array::from_fn(|_| Vec::new());
    let mut primed = [f64::INFINITY; N];
    let (mut t, mut levels) = (0.0, [0.0; N]);
    while t < DAY {
        let until = primed.iter().fold(DAY, |a: f64, b| a.min(*b));
        // Two clocks may run out together.
        if until > t {
            let left = stretch(&beds, t, levels, until);
            (t, levels) = (left.t, left.levels);
        }
        for i in 0..N {
            let mode = beds.modes[i];
            // Solvers end beside the zero, within their own rounding.
            let over = match mode {
                Mode::Primes => t >= primed[i],
                _ => beds.beds[i].watch(mode, levels[i]) <= 1e-9,
            };
            if !over {
                continue;
            }
            beds.modes[i] = match mode {
                Mode::Fills => Mode::Spills,
                Mode::Spills => {
                    primed[i] = t + beds.beds[i].priming;
                    Mode::Primes
                }
                Mode::Primes => {
                    primed[i] = f64::INFINITY;
                    Mode::Empties
                }
                Mode::Empties => {
                    breaks[i].push(t);
                    Mode::Fills
                }
            };
        }
    }
    breaks
}
