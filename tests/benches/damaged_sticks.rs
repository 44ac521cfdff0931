//! What readers of FAT deliver of the same damaged volumes: this project's, a crate, and two programs, in one run.
//!
//! `cargo bench --bench damaged_sticks`; with a number behind `--`, so many volumes of each kind instead of all; with the word
//! `working`, the seeds that a reader may be developed with; with `working` and `show`, what went wrong with each.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, clippy::print_stderr)]
#![allow(clippy::indexing_slicing, dead_code)]

#[path = "../support/mod.rs"]
mod support;

use std::io::{Seek, SeekFrom, Write};

use support::asked::Asked;
use support::fat_image::{EVERY_KIND, kind_name};
use support::judges;
use support::memory::{Patched, read_all};
use support::mutation::base::Base;
use support::mutation::readers::{self, Delivered, OUTSIDE};
use support::mutation::score::Score;
use support::mutation::{EACH_KIND, SCORING_SEEDS, bases, run};

/// The seeds a reader may be developed with.
const WORKING_SEEDS: u64 = 1_000_000;

fn main() {
    let asked = Asked::by(std::env::args().skip(1), EACH_KIND);
    // Readers that fail do so loudly; what is counted is enough.
    std::panic::set_hook(Box::new(|_| {}));
    println!(
        "{} damaged volumes of each kind; intact files delivered intact; files handed over wrong without a word",
        asked.count
    );
    scored("counterfoil", asked, |_, medium| readers::counterfoil(medium));
    scored("fatfs (crate)", asked, |base, medium| readers::crate_fatfs(medium, base.geometry.start as u64));
    for program in OUTSIDE {
        if judges::present(program.name) {
            scored(program.name, asked, |base, medium| {
                let mut image = tempfile::NamedTempFile::new().unwrap();
                written(&mut image, medium);
                program.read(image.path(), base.geometry.start as u64)
            });
        }
    }
}

fn scored(name: &str, asked: Asked, read: impl Fn(&Base, &Patched<'_>) -> Delivered) {
    for kind in EVERY_KIND {
        let mut score = Score::default();
        run(&mut score, kind, &bases(kind), asked.seeds(WORKING_SEEDS, SCORING_SEEDS).start, asked.count, &read);
        println!(
            "{name:14} {:5}: intact {} of {} (by single links {} of {}), wrong without a word {}, stopped {}, {} ms",
            kind_name(kind),
            score.intact,
            score.intact.of,
            score.by_link,
            score.by_link.of,
            score.wrong,
            score.stopped,
            score.took.as_millis(),
        );
        if asked.show {
            println!("{}", score.grouped(2));
        }
    }
}

/// The medium as a file with holes where it has only zeros.
fn written(image: &mut tempfile::NamedTempFile, medium: &Patched<'_>) {
    let bytes = read_all(medium);
    for (index, block) in bytes.chunks(4096).enumerate() {
        if block.iter().any(|byte| *byte != 0) {
            image.seek(SeekFrom::Start(index as u64 * 4096)).unwrap();
            image.write_all(block).unwrap();
        }
    }
    image.as_file().set_len(bytes.len() as u64).unwrap();
}
