//! FAT volumes damaged by seed, of which it is known beforehand what is left, and the scoring of readers on them.

pub mod base;
pub mod damage;
pub mod geometry;
pub mod readers;
pub mod score;
pub mod tree;
pub mod truth;

use base::Base;
use damage::Damage;
use fatfs::FatType;

use super::memory::Patched;
use readers::Delivered;
use score::Score;

/// The seeds a reader is scored with; readers are developed with others, and no case of these is looked at.
pub const SCORING_SEEDS: u64 = 7_000_000;

/// How many damaged volumes of each kind make up a run.
pub const EACH_KIND: u64 = 500;

/// The two media of a kind: the volume alone, and in a partition.
pub fn bases(kind: FatType) -> [Base; 2] {
    [Base::new(kind, false), Base::new(kind, true)]
}

/// The seed of the `number`-th volume of a kind.
pub const fn seed(first: u64, kind: FatType, number: u64) -> u64 {
    let kind = match kind {
        FatType::Fat12 => 12,
        FatType::Fat16 => 16,
        FatType::Fat32 => 32,
    };
    first + kind * 10_000 + number
}

/// Which of the two media a seed damages.
pub fn base_of(bases: &[Base; 2], seed: u64) -> &Base {
    &bases[(seed % 2) as usize]
}

/// Lets a reader read `count` damaged volumes of a kind, from the seed `first` on.
pub fn run(
    score: &mut Score,
    kind: FatType,
    bases: &[Base; 2],
    first: u64,
    count: u64,
    read: impl Fn(&Base, &Patched<'_>) -> Delivered,
) {
    for number in 0..count {
        let seed = seed(first, kind, number);
        let base = base_of(bases, seed);
        let damage = Damage::seeded(base, seed);
        let medium = damage.over(base);
        score.add(base, seed, &damage, || read(base, &medium));
    }
}
