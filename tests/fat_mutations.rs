//! On damaged volumes all that is intact is delivered, and no wrong byte without a word.

use fatfs::FatType;

use crate::support::fat_image::EVERY_KIND;
use crate::support::mutation::score::Score;
use crate::support::mutation::{EACH_KIND, SCORING_SEEDS, bases, readers, run};

/// How this project's reader does on 500 damaged volumes of a kind.
fn scored(kind: FatType, seeds: u64) -> Score {
    let mut score = Score::default();
    run(&mut score, kind, &bases(kind), seeds, EACH_KIND, |_, medium| readers::counterfoil(medium));
    score
}

fn assert_good(score: &Score) {
    let cases = score.grouped(2);
    assert_eq!(score.stopped, 0, "{cases}");
    assert_eq!(score.wrong, 0, "{cases}");
    assert!(score.intact.hundredths() >= 9_800, "{} of intact files\n{cases}", score.intact);
    assert!(score.by_link.hundredths() >= 9_800, "{} of files intact by link\n{cases}", score.by_link);
}

#[test]
fn what_is_intact_on_damaged_volumes_is_delivered() {
    for kind in EVERY_KIND {
        assert_good(&scored(kind, SCORING_SEEDS));
    }
}
