//! The check of a stick's structure reads what tells where files lie, once, and nothing of their content.

use counterfoil::stick::FileBytes;
use counterfoil::volume::{FileState, survey};

use crate::support::counted::{Counted, bytes};
use crate::support::large_fat32::{Shape, build};

/// The first sectors, and the places where other file systems would have theirs.
const BEGINNINGS: u64 = 64 << 10;

const MOST_READS: usize = 1_000;

#[test]
fn a_season_of_files_is_found_by_the_tables_and_folders_alone() {
    for (size_bytes, cluster_bytes) in [(1 << 30, 4 << 10), (4 << 30, 32 << 10)] {
        let shape = Shape { size_bytes, cluster_bytes, folders: 100, files_in_each: 20, large_file_bytes: 20_000_000 };
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("stick.img");
        let built = build(&path, shape);
        let medium = Counted::new(FileBytes::open(&path).unwrap());
        let seen = survey(&medium, "stick");
        let files = &seen.volumes[0].files;
        assert_eq!(files.iter().filter(|file| file.state == FileState::Live && file.whole).count(), 2_001);
        assert_eq!(seen.findings, []);

        let (reads, structure) = (medium.reads(), built.structure_bytes());
        let most = structure + structure / 10 + BEGINNINGS;
        assert!(bytes(&reads) <= most, "{} bytes were read, {most} are plenty", bytes(&reads));
        assert!(reads.len() <= MOST_READS, "{} reads", reads.len());
        let content: Vec<_> = reads.iter().filter(|read| built.holds_content(read)).collect();
        assert!(content.is_empty(), "the content of files was read: {content:?}");
    }
}
