//! On damaged volumes all that is intact is delivered, and no wrong byte without a word.

use fatfs::FatType;

use crate::support::fat_image::EVERY_KIND;
use crate::support::judges::{present, run as run_judge};
use crate::support::memory::Patched;
use crate::support::mutation::base::Base;
use crate::support::mutation::readers::{Delivered, OUTSIDE};
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

/// Before any damage every reader delivers every file, so that what is scored later is the damage and not the volume.
#[test]
fn every_reader_delivers_the_undamaged_volumes() {
    for kind in EVERY_KIND {
        for base in &bases(kind) {
            let medium = Patched::whole(&base.bytes);
            assert_all_there(base, &readers::counterfoil(&medium), "counterfoil");
            assert_all_there(base, &readers::crate_fatfs(&medium, base.geometry.start as u64), "fatfs");
            let image = tempfile::NamedTempFile::new().unwrap();
            std::fs::write(image.path(), &base.bytes).unwrap();
            for program in OUTSIDE.iter().filter(|program| present(program.name)) {
                assert_all_there(base, &program.read(image.path(), base.geometry.start as u64), program.name);
            }
            std::fs::write(image.path(), &base.bytes[base.geometry.start..]).unwrap();
            if present("fsck.fat") {
                run_judge("fsck.fat", &["-n", image.path().to_str().unwrap()]);
            }
        }
    }
}

fn assert_all_there(base: &Base, delivered: &Delivered, reader: &str) {
    assert_eq!(delivered.stopped, None, "{reader}");
    // One of them copies no files of 0 bytes.
    let wanted = base.files().filter(|file| reader != "tsk_recover" || !base.nodes[*file].content.is_empty());
    for file in wanted {
        let (path, content) = (base.path(file), &base.nodes[file].content);
        let found = delivered.files.iter().find(|delivered| delivered.path == path);
        assert!(
            found.is_some_and(|found| found.bytes == *content),
            "{reader} does not deliver {path} of {}",
            base.name
        );
    }
}
