//! No byte of a stick, however wrong, stops the program or keeps it busy.

use std::panic::{AssertUnwindSafe, catch_unwind};

use counterfoil::stick::ByteSource;
use counterfoil::volume::{FileState, Survey, survey};
use fatfs::FatType;

use crate::support::fat_image::{FatImage, export, in_partition};
use crate::support::findings::assert_complete;
use crate::support::memory::{Numbers, Patched, sha256};

/// A survey asks for each byte of a medium a few times at most: its structures, the folders, what an ordinary computer shows.
const MOST_TIMES: u64 = 8;
/// Structures are read in blocks, also where they end early.
const BLOCKS: u64 = 1 << 20;

/// Surveys, reads every byte that was found, and holds what must be true of any survey.
fn assert_harmless(medium: &Patched, what: &str) -> Survey {
    let seen = catch_unwind(AssertUnwindSafe(|| {
        let seen = survey(medium, "stick");
        let most = medium.size() * MOST_TIMES + BLOCKS;
        assert!(medium.asked_for() <= most, "{} bytes were read, {most} are plenty", medium.asked_for());
        for file in seen.volumes.iter().flat_map(|volume| &volume.files) {
            let bytes = file.over(medium);
            assert!(bytes.size() <= file.size_bytes);
            let mut block = vec![0; usize::try_from(bytes.size().min(1 << 20)).unwrap()];
            bytes.read_at(0, &mut block).unwrap();
            if file.whole {
                assert_eq!(bytes.size(), file.size_bytes);
            }
            for extent in file.extents.iter().chain(&file.beyond_size) {
                assert!(extent.medium_offset + extent.length <= medium.size());
            }
        }
        assert_complete(&seen.findings);
        seen
    }));
    seen.unwrap_or_else(|_| panic!("{what}"))
}

/// A volume with a little of everything.
fn rich(kind: FatType) -> FatImage {
    let mut image = FatImage::with_exports(kind);
    image.write("A long name of a file that goes.csv", &export(60));
    image.delete("A long name of a file that goes.csv");
    image.write("2025/Spring sale at the yard.csv", &export(15));
    image
}

#[test]
fn an_image_cut_anywhere_is_read_as_far_as_it_goes() {
    for kind in [FatType::Fat12, FatType::Fat16] {
        let image = rich(kind);
        let disk = in_partition(&image.bytes, 0x06);
        let used = image.cluster(30);
        for size in (0..used).step_by(331).chain([1, 511, 513, used]) {
            assert_harmless(&Patched::cut(&image.bytes, size), &format!("{kind:?} cut at {size}"));
            assert_harmless(&Patched::cut(&disk, size + 63 * 512), &format!("{kind:?} in a partition cut at {size}"));
        }
    }
}

#[test]
fn random_bytes_in_the_structures_do_no_harm() {
    let mut numbers = Numbers(0x5EED_0FA1_1DA7_5EED);
    for kind in [FatType::Fat12, FatType::Fat16] {
        let image = rich(kind);
        let before = sha256(&image.bytes);
        let places =
            [(0, 64), (image.table(0), 96), (image.table(1), 96), (image.root(), 768), (image.cluster(2), 9_000)];
        for case in 0..400 {
            let mut medium = Patched::whole(&image.bytes);
            for _ in 0..=numbers.below(6) {
                let (start, length) = places[numbers.below(places.len())];
                medium.change(start + numbers.below(length), numbers.next() as u8);
            }
            assert_harmless(&medium, &format!("{kind:?} case {case}"));
        }
        assert_eq!(sha256(&image.bytes), before);
    }
}

/// The copy of the boot sector, the root's own chain and wide cluster numbers are of FAT32 alone.
#[test]
fn random_bytes_in_a_fat32_volume_do_no_harm() {
    let mut numbers = Numbers(0x0032_5EED_0FA1_1DA7);
    let image = rich(FatType::Fat32);
    let places = [(0, 90), (6 * 512, 90), (image.table(0), 160), (image.table(1), 160), (image.root(), 6_000)];
    for case in 0..60 {
        let mut medium = Patched::whole(&image.bytes);
        for _ in 0..=numbers.below(4) {
            let (start, length) = places[numbers.below(places.len())];
            medium.change(start + numbers.below(length), numbers.next() as u8);
        }
        assert_harmless(&medium, &format!("case {case}"));
    }
}

#[test]
fn noise_is_no_volume() {
    let mut numbers = Numbers(77);
    for size in [0_usize, 1, 511, 512, 4096, 100_000] {
        let noise: Vec<u8> = (0..size).map(|_| numbers.next() as u8).collect();
        let seen = assert_harmless(&Patched::whole(&noise), "noise");
        assert!(seen.volumes.iter().all(|volume| volume.files.is_empty()));
    }
}

/// Thousands of entries that all begin the same long chain cost no more than a bounded walk.
#[test]
fn many_files_in_one_chain_are_cut_short() {
    let mut image = FatImage::blank(FatType::Fat16);
    image.write("LONG.BIN", &vec![7; 1_500_000]);
    let entry = image.entry(b"LONG    BIN");
    let entry: Vec<u8> = image.bytes[entry..entry + 32].to_vec();
    image.write("MANY/A.CSV", b"x");
    // The folder is made to run through the last clusters, filled with copies of the entry.
    let folder = image.first_cluster(b"MANY       ");
    let first = 3_000;
    let rest = image.cluster(folder) + 64..image.cluster(folder) + 512;
    image.bytes[rest].chunks_exact_mut(32).for_each(|slot| slot.copy_from_slice(&entry));
    for cluster in first..4_000 {
        image.link_both(cluster, cluster as u32 + 1);
        let at = image.cluster(cluster);
        for slot in image.bytes[at..at + 512].chunks_exact_mut(32) {
            slot.copy_from_slice(&entry);
        }
    }
    let end = image.end();
    image.link_both(4_000, end);
    image.link_both(folder, first as u32);
    let seen = assert_harmless(&Patched::whole(&image.bytes), "many files");
    assert!(seen.volumes[0].files.len() > 15_000);
    let cut = |file: &&counterfoil::volume::StoredFile| file.state == FileState::Live && !file.whole;
    assert!(seen.volumes[0].files.iter().filter(cut).count() > 10_000);
    assert!(seen.findings.len() < 500, "findings are bounded");
    assert!(seen.not_checked.iter().any(|line| line.what.contains("further damaged files")));
}

/// A long name before the entry that leads to the folder above, damaged so that it no longer reads "..": a reader that
/// goes by it walks round in a circle.
#[test]
fn a_disguised_way_up_is_not_taken() {
    let mut image = FatImage::as_fatfs_leaves(FatType::Fat12);
    let up = image.entry(b"..         ");
    assert_eq!(image.bytes[up - 32 + 11], 0x0F, "fatfs writes a long name there");
    image.bytes[up - 32 + 5] = b'x';
    let start = image.first_cluster(b"TX0001  CSV");
    image.link_both(start, 0);
    let seen = assert_harmless(&Patched::whole(&image.bytes), "disguised");
    let shown = seen.findings[0].evidence.iter().any(|evidence| evidence.what == "an ordinary computer shows");
    assert!(shown, "the other reader was asked");
}

/// A root directory full of deleted entries that all claim four gigabytes of free space costs no more than one of them.
#[test]
fn deleted_entries_over_one_free_stretch_do_no_harm() {
    let mut image = FatImage::with_exports(FatType::Fat16);
    let entry = image.entry(b"TX0001  CSV");
    let mut deleted = image.bytes[entry..entry + 32].to_vec();
    deleted[0] = 0xE5;
    deleted[26..28].copy_from_slice(&120_u16.to_le_bytes());
    deleted[28..32].copy_from_slice(&u32::MAX.to_le_bytes());
    let used = image.bytes[image.root()..].chunks(32).take_while(|entry| entry[0] != 0).count();
    let (first, end) = (image.root() + 32 * used, image.cluster(2));
    for slot in (first..end).step_by(32) {
        image.bytes[slot..slot + 32].copy_from_slice(&deleted);
    }
    let seen = assert_harmless(&Patched::whole(&image.bytes), "a root full of deleted entries");
    let deleted = seen.volumes[0].files.iter().filter(|file| file.state == FileState::Deleted);
    assert!(deleted.clone().count() > 40);
    assert!(deleted.clone().all(|file| !file.whole && file.bytes_had() < image.bytes.len() as u64));
}

/// At fifty places of a long file the second table takes another cluster and comes back: there are dozens of ways of equal
/// length, and no more of them is read than is worth while.
#[test]
fn a_file_with_dozens_of_ways_is_not_compared_for_ever() {
    let mut image = FatImage::blank(FatType::Fat16);
    image.write("LONG.CSV", &export(30_000));
    let first = image.first_cluster(b"LONG    CSV");
    for number in 0..50 {
        let (place, spare) = (first + 20 * number, 4_000 + number);
        image.link(1, place, spare as u32);
        image.link_both(spare, place as u32 + 2);
    }
    let seen = assert_harmless(&Patched::whole(&image.bytes), "dozens of ways");
    assert!(seen.findings.iter().any(|finding| finding.code == "fat-copies-differ"));
}
