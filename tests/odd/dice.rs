//! The dice that a random system is drawn with. Each decision has a die of its own, and
//! nought always means the plain choice: a failing throw is made small by laying its
//! dice to nought one after another.

/// Dice for what a system has once.
const SYSTEM: usize = 96;
/// Dice for one bed.
const BED: usize = 56;
/// Most beds of a system.
pub const MOST_BEDS: usize = 6;
/// All dice of a throw.
pub const COUNT: usize = SYSTEM + MOST_BEDS * BED;

/// The dice of one part, taken one by one.
pub struct Dice<'t> {
    left: std::slice::Iter<'t, f64>,
}

impl<'t> Dice<'t> {
    pub fn of_system(throw: &'t [f64]) -> Self {
        Self {
            left: throw[..SYSTEM].iter(),
        }
    }

    pub fn of_bed(throw: &'t [f64], bed: usize) -> Self {
        let first = SYSTEM + bed * BED;
        Self {
            left: throw[first..first + BED].iter(),
        }
    }

    /// A number from 0 to below 1.
    fn next(&mut self) -> f64 {
        *self.left.next().expect("more decisions than dice")
    }

    /// From `low` to `high`, every value as likely; plain is `usual`.
    pub fn even(&mut self, usual: f64, low: f64, high: f64) -> f64 {
        let turned = (usual - low) / (high - low) + self.next();
        low + (high - low) * (turned - turned.floor())
    }

    /// From `low` to `high`, every ratio as likely; plain is `usual`.
    pub fn ratio(&mut self, usual: f64, low: f64, high: f64) -> f64 {
        self.even(usual.ln(), low.ln(), high.ln()).exp()
    }

    /// True with this chance; plain is false.
    pub fn chance(&mut self, of: f64) -> bool {
        self.next() >= 1.0 - of
    }

    /// One of `count`; plain is the first.
    pub fn one_of(&mut self, count: usize) -> usize {
        ((self.next() * count as f64) as usize).min(count - 1)
    }
}

/// The throw with as many dice laid to nought as `fails` allows, in at most `trials`.
pub fn plainer(mut throw: Vec<f64>, trials: usize, fails: impl Fn(&[f64]) -> bool) -> Vec<f64> {
    let mut left = trials;
    let mut size = COUNT / 4;
    while size > 0 && left > 0 {
        for first in (0..COUNT).step_by(size) {
            let piece = first..(first + size).min(COUNT);
            if left == 0 || throw[piece.clone()].iter().all(|&die| die == 0.0) {
                continue;
            }
            left -= 1;
            let before = throw[piece.clone()].to_vec();
            throw[piece.clone()].fill(0.0);
            if !fails(&throw) {
                throw[piece].copy_from_slice(&before);
            }
        }
        size /= 2;
    }
    throw
}
