//! A generator of our own: the same files on every machine and in every version.

/// SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number
/// generators", 2014).
pub struct Dice(u64);

impl Dice {
    /// The dice of file `number` of a series.
    pub fn new(seed: u64, number: u64) -> Self {
        let mut dice = Self(seed ^ number.wrapping_mul(0xd134_2543_de82_ef95));
        dice.0 = dice.next();
        dice
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number from 0 to below `sides`, which is at least 1.
    pub fn roll(&mut self, sides: usize) -> usize {
        (self.next() % sides as u64) as usize
    }

    pub fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.roll(of.len())]
    }

    /// A number from 0 to below 1.
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn chance(&mut self, of: f64) -> bool {
        self.share() < of
    }

    /// From `low` to `high`; every ratio as likely where both are positive.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        let share = self.share();
        if low > 0.0 && high / low > 20.0 {
            (low.ln() + share * (high / low).ln())
                .exp()
                .clamp(low, high)
        } else {
            low + share * (high - low)
        }
    }
}
