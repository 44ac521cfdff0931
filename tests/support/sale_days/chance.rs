//! Chance by seed: the same seed gives the same day on every machine.

/// SplitMix64 (from memory, after Steele, Lea and Flood 2014); its quality is ample for drawing sale days.
pub struct Chance(u64);

impl Chance {
    pub fn new(seed: u64) -> Self {
        let mut chance = Self(seed ^ 0x5A1E_DA75);
        chance.next();
        chance
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// A number from `low` to `high`, both possible.
    pub fn between(&mut self, low: i64, high: i64) -> i64 {
        let span = u64::try_from((high - low).max(0)).unwrap() + 1;
        low + i64::try_from(self.next() % span).unwrap()
    }

    /// The same for counts and places.
    pub fn index(&mut self, low: usize, high: usize) -> usize {
        usize::try_from(self.between(i64::try_from(low).unwrap(), i64::try_from(high).unwrap())).unwrap()
    }

    /// The same for transaction numbers.
    pub fn number(&mut self, low: u64, high: u64) -> u64 {
        low + self.next() % (high.max(low) - low + 1)
    }

    pub fn percent(&mut self, percent: u64) -> bool {
        self.next() % 100 < percent
    }

    pub fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.index(0, from.len() - 1)]
    }

    /// One of several, each as likely as its weight says.
    pub fn weighted<T: Copy>(&mut self, from: &[(T, u64)]) -> T {
        let sum: u64 = from.iter().map(|(_, weight)| weight).sum();
        let mut left = self.next() % sum;
        for (thing, weight) in from {
            if left < *weight {
                return *thing;
            }
            left -= weight;
        }
        unreachable!("the weights sum up to more than was drawn")
    }
}
