//! One small volume for each kind of damage, and the words it is described with.

use counterfoil::stick::ByteSource;
use counterfoil::volume::{FileState, StoredFile, Survey, ordinary_view, survey};
use fatfs::FatType;

use crate::support::fat_image::{EVERY_KIND, FatImage, export, in_partition, kind_name};
use crate::support::findings::{assert_complete, shown};
use crate::support::memory::{Patched, read_all};

const FIRST: &[u8; 11] = b"TX0001  CSV";
const SECOND: &[u8; 11] = b"TX0002  CSV";

/// The findings on `damage` done to a volume of each of `kinds`; equal texts are shown once.
fn described(kinds: &[FatType], damage: impl Fn(&mut FatImage)) -> String {
    let mut texts: Vec<(String, String)> = Vec::new();
    for kind in kinds {
        let mut image = FatImage::with_exports(*kind);
        damage(&mut image);
        let seen = survey(&Patched::whole(&image.bytes), "stick");
        assert_complete(&seen.findings);
        let text = shown(&seen.findings, &seen.not_checked);
        match texts.iter_mut().find(|(_, other)| *other == text) {
            Some((names, _)) => names.push_str(&format!(", {}", kind_name(*kind))),
            None => texts.push((kind_name(*kind).to_owned(), text)),
        }
    }
    texts.iter().map(|(names, text)| format!("{names}\n{text}")).collect::<Vec<_>>().join("\n")
}

fn file<'a>(seen: &'a Survey, path: &str) -> &'a StoredFile {
    seen.volumes[0].files.iter().find(|file| file.path.as_deref() == Some(path)).unwrap()
}

fn survey_of(image: &FatImage) -> Survey {
    survey(&Patched::whole(&image.bytes), "stick")
}

fn codes(seen: &Survey) -> Vec<&str> {
    seen.findings.iter().map(|finding| finding.code).collect()
}

#[test]
fn chain_loop() {
    let damage = |image: &mut FatImage| {
        let start = image.first_cluster(FIRST);
        image.link_both(start + 1, start as u32);
    };
    insta::assert_snapshot!("chain-loop", described(&EVERY_KIND, damage));
}

/// Each cluster of a looped chain is read once; an ordinary computer shows the first ones again.
#[test]
fn rows_of_a_looped_file_are_read_once() {
    let mut image = FatImage::with_exports(FatType::Fat16);
    let start = image.first_cluster(FIRST);
    image.link_both(start + 1, start as u32);
    let seen = survey_of(&image);
    let medium = Patched::whole(&image.bytes);
    assert_eq!(read_all(&file(&seen, "TX0001.CSV").over(&medium)), export(40)[..1024]);
    let view = ordinary_view(&medium, &seen.volumes[0]).unwrap();
    let theirs = view.iter().find(|file| file.path == "TX0001.CSV").unwrap();
    assert_eq!(theirs.bytes_read, export(40).len() as u64);
}

#[test]
fn chain_cross_linked() {
    let damage = |image: &mut FatImage| {
        let shared = image.first_cluster(SECOND) + 1;
        let start = image.first_cluster(FIRST);
        image.link_both(start, shared as u32);
    };
    insta::assert_snapshot!("chain-cross-linked", described(&EVERY_KIND, damage));
}

#[test]
fn chain_runs_into_a_free_cluster() {
    let damage = |image: &mut FatImage| {
        let start = image.first_cluster(FIRST);
        image.link_both(start + 1, 0);
    };
    insta::assert_snapshot!("chain-broken-free", described(&EVERY_KIND, damage));
}

#[test]
fn chain_runs_into_a_bad_cluster() {
    let damage = |image: &mut FatImage| {
        let start = image.first_cluster(FIRST);
        let bad = image.bad();
        image.link_both(start + 1, bad);
    };
    insta::assert_snapshot!("chain-broken-bad", described(&EVERY_KIND, damage));
}

/// The directory was written before the table: the first cluster is still free.
#[test]
fn chain_begins_in_a_free_cluster() {
    let damage = |image: &mut FatImage| {
        let start = image.first_cluster(SECOND);
        image.link_both(start, 0);
        image.link_both(start + 1, 0);
    };
    insta::assert_snapshot!("chain-broken-start", described(&EVERY_KIND, damage));
}

/// An ordinary reader fails on such a number, so none is asked.
#[test]
fn chain_leads_outside_the_volume() {
    for outside in [1, 0xFF0] {
        let mut image = FatImage::with_exports(FatType::Fat12);
        let start = image.first_cluster(FIRST);
        image.link_both(start, outside);
        let seen = survey_of(&image);
        assert_eq!(codes(&seen), ["chain-broken", "lost-clusters"]);
        assert!(ordinary_view(&Patched::whole(&image.bytes), &seen.volumes[0]).is_err());
    }
    let damage = |image: &mut FatImage| {
        let start = image.first_cluster(FIRST);
        image.link_both(start, 1);
    };
    insta::assert_snapshot!("chain-broken-outside", described(&EVERY_KIND, damage));
}

#[test]
fn first_cluster_outside_the_volume() {
    for start in [0, 1, 0xFFF0] {
        let mut image = FatImage::with_exports(FatType::Fat16);
        let entry = image.entry(FIRST);
        image.bytes[entry + 26..entry + 28].copy_from_slice(&u16::to_le_bytes(start));
        let seen = survey_of(&image);
        assert_eq!(codes(&seen), ["chain-broken", "lost-clusters"]);
        let broken = file(&seen, "TX0001.CSV");
        assert_eq!((broken.bytes_had(), broken.whole), (0, false));
    }
}

/// Only the first table is damaged: the second holds the whole file.
#[test]
fn the_second_table_serves_where_the_first_is_broken() {
    let damage = |image: &mut FatImage| {
        let start = image.first_cluster(FIRST);
        image.link(0, start + 1, 0);
    };
    insta::assert_snapshot!("fat-copies-differ", described(&EVERY_KIND, damage));
    for kind in EVERY_KIND {
        let mut image = FatImage::with_exports(kind);
        damage(&mut image);
        let seen = survey_of(&image);
        let stored = file(&seen, "TX0001.CSV");
        assert!(stored.by_second_table && stored.whole);
        assert_eq!(read_all(&stored.over(&Patched::whole(&image.bytes))), export(40));
    }
}

/// Where only the second table is damaged the first is trusted.
#[test]
fn a_damaged_second_table_takes_nothing_away() {
    let mut image = FatImage::with_exports(FatType::Fat32);
    let start = image.first_cluster(FIRST);
    image.link(1, start + 1, 0);
    let seen = survey_of(&image);
    assert_eq!(codes(&seen), ["fat-copies-differ"]);
    assert!(file(&seen, "TX0001.CSV").whole);
}

#[test]
fn recorded_size_needs_more_clusters() {
    let damage = |image: &mut FatImage| {
        let start = image.first_cluster(FIRST);
        let end = image.end();
        image.link_both(start, end);
    };
    insta::assert_snapshot!("size-disagrees-short", described(&EVERY_KIND, damage));
}

/// Pulled out before the new size was written: the rows stand beyond the recorded end.
#[test]
fn clusters_beyond_the_recorded_size() {
    let damage = |image: &mut FatImage| {
        let entry = image.entry(FIRST);
        image.bytes[entry + 28..entry + 32].copy_from_slice(&500_u32.to_le_bytes());
    };
    insta::assert_snapshot!("size-disagrees-long", described(&EVERY_KIND, damage));
    let mut image = FatImage::with_exports(FatType::Fat32);
    damage(&mut image);
    let seen = survey_of(&image);
    let stored = file(&seen, "TX0001.CSV");
    let medium = Patched::whole(&image.bytes);
    assert_eq!(read_all(&stored.over(&medium)), export(40)[..500]);
    let chain = stored.over_chain(&medium);
    assert_eq!(read_all(&chain)[..export(40).len()], export(40)[..]);
    assert_eq!(chain.size() % 512, 0);
}

#[test]
fn a_folder_of_nonsense() {
    let damage = |image: &mut FatImage| {
        let folder = image.cluster(image.first_cluster(b"OLD        "));
        image.bytes[folder..folder + 512].fill(b'7');
    };
    insta::assert_snapshot!("directory-damaged", described(&EVERY_KIND, damage));
}

#[test]
fn a_folder_that_contains_itself() {
    for kind in EVERY_KIND {
        let mut image = FatImage::with_exports(kind);
        let folder = image.first_cluster(b"OLD        ");
        let inside = image.entry(b"ALONGE~1CSV");
        image.bytes[inside + 11] = 0x10;
        image.bytes[inside + 26..inside + 28].copy_from_slice(&(folder as u16).to_le_bytes());
        // What the entry's own chain held has no file any more.
        assert_eq!(codes(&survey_of(&image)), ["directory-damaged", "lost-clusters"]);
    }
}

#[test]
fn boot_sector_damaged() {
    let damage = |image: &mut FatImage| image.bytes[..64].fill(0);
    insta::assert_snapshot!("boot-sector-damaged-copy", described(&[FatType::Fat32], damage));
    let mut image = FatImage::with_exports(FatType::Fat32);
    damage(&mut image);
    let seen = survey_of(&image);
    assert_eq!(read_all(&file(&seen, "TX0001.CSV").over(&Patched::whole(&image.bytes))), export(40));

    let damage = |image: &mut FatImage| image.bytes[13..16].fill(0);
    insta::assert_snapshot!("boot-sector-damaged-lost", described(&[FatType::Fat12, FatType::Fat16], damage));
}

#[test]
fn volume_left_open() {
    let by_sector = |image: &mut FatImage| {
        let at = if image.kind == FatType::Fat32 { 65 } else { 37 };
        image.bytes[at] |= 1;
    };
    insta::assert_snapshot!("volume-left-open", described(&EVERY_KIND, by_sector));
    for (kind, value) in [(FatType::Fat16, 0x7FFF), (FatType::Fat32, 0x07FF_FFFF)] {
        let mut image = FatImage::with_exports(kind);
        image.link_both(1, value);
        assert_eq!(codes(&survey_of(&image)), ["volume-left-open"]);
    }
}

#[test]
fn volume_exceeds_device() {
    let image = FatImage::with_exports(FatType::Fat16);
    let cut = image.cluster(image.first_cluster(SECOND)) + 100;
    let seen = survey(&Patched::cut(&image.bytes, cut), "stick");
    assert_complete(&seen.findings);
    insta::assert_snapshot!("volume-exceeds-device", shown(&seen.findings, &seen.not_checked));
    assert!(file(&seen, "TX0001.CSV").whole);
    let stored = file(&seen, "TX0002.CSV");
    assert_eq!((stored.bytes_had(), stored.whole), (100, false));

    let disk = in_partition(&image.bytes, 0x06);
    let seen = survey(&Patched::cut(&disk, disk.len() - 512), "stick");
    assert_eq!(codes(&seen), ["volume-exceeds-device"]);
}

#[test]
fn unreadable_sectors() {
    let image = FatImage::with_exports(FatType::Fat16);
    let table = image.table(0) as u64;
    let seen = survey(&Patched::unreadable(&image.bytes, table..table + 1024), "stick");
    assert_complete(&seen.findings);
    insta::assert_snapshot!("unreadable-sectors", shown(&seen.findings, &seen.not_checked));
    assert!(file(&seen, "TX0001.CSV").whole, "the second table serves");
}

#[test]
fn free_count_wrong() {
    let damage = |image: &mut FatImage| image.bytes[512 + 488..512 + 492].copy_from_slice(&7_u32.to_le_bytes());
    insta::assert_snapshot!("free-count-wrong", described(&[FatType::Fat32], damage));
}

#[test]
fn clock_not_set() {
    let damage = |image: &mut FatImage| {
        let entry = image.entry(FIRST);
        image.bytes[entry + 24..entry + 26].copy_from_slice(&[0x21, 0]);
        let entry = image.entry(SECOND);
        image.bytes[entry + 24..entry + 26].copy_from_slice(&[0, 0]);
    };
    insta::assert_snapshot!("clock-not-set", described(&EVERY_KIND, damage));
}

#[test]
fn root_directory_full() {
    let fill = |image: &mut FatImage| {
        let root = image.root();
        for (number, place) in (root..root + 64 * 32).step_by(32).enumerate() {
            if image.bytes[place] == 0 {
                let name = format!("REST{number:02}  CSV ");
                image.bytes[place..place + 12].copy_from_slice(name.as_bytes());
                image.bytes[place + 24..place + 26].copy_from_slice(&[0x67, 0x5A]);
            }
        }
    };
    insta::assert_snapshot!("root-directory-full", described(&[FatType::Fat12, FatType::Fat16], fill));
    // One free place is room for a short name, and for none as long as those that are there.
    let mut image = FatImage::with_exports(FatType::Fat12);
    fill(&mut image);
    let last = image.root() + 63 * 32;
    image.bytes[last] = 0xE5;
    assert_eq!(codes(&survey_of(&image)), ["root-directory-full"]);
    for place in (last - 4 * 32..last).step_by(32) {
        image.bytes[place] = 0xE5;
    }
    assert_eq!(codes(&survey_of(&image)), [""; 0]);
}

/// A writer that met a place it could not use leaves a mark in the table (FAT specification 2005, "Reserved FAT Entries").
#[test]
fn a_mark_of_an_error_is_told() {
    let damage = |image: &mut FatImage| {
        let flags = if image.kind == FatType::Fat16 { 0xBFFF } else { 0x0BFF_FFFF };
        image.link_both(1, flags);
    };
    insta::assert_snapshot!("hard-error-mark", described(&[FatType::Fat16, FatType::Fat32], damage));
}

#[test]
fn export_near_size_limit() {
    let damage = |image: &mut FatImage| {
        let entry = image.entry(FIRST);
        image.bytes[entry + 28..entry + 32].copy_from_slice(&(u32::MAX - 40).to_le_bytes());
    };
    insta::assert_snapshot!("export-near-size-limit", described(&[FatType::Fat16], damage));
}

/// A lost folder that lists the clusters of a sound file takes nothing from it.
#[test]
fn a_file_of_a_lost_folder_takes_no_cluster_from_a_sound_one() {
    for kind in EVERY_KIND {
        let mut image = FatImage::with_exports(kind);
        let taken = image.first_cluster(FIRST) as u16;
        let inside = image.entry(b"ALONGE~1CSV");
        image.bytes[inside + 26..inside + 28].copy_from_slice(&taken.to_le_bytes());
        let entry = image.entry(b"OLD        ");
        image.bytes[entry..entry + 32].fill(0xFF);
        let seen = survey_of(&image);
        let sound = file(&seen, "TX0001.CSV");
        assert!(sound.whole, "{kind:?}");
        assert_eq!(read_all(&sound.over(&Patched::whole(&image.bytes))), export(40));
        assert!(codes(&seen).contains(&"chain-cross-linked"));
    }
}

/// A deleted folder still lists what it held, as long as nothing else was written there.
#[test]
fn files_of_a_deleted_folder_are_found() {
    for kind in EVERY_KIND {
        let mut image = FatImage::with_exports(kind);
        let folder = image.first_cluster(b"OLD        ");
        let file_start = image.first_cluster(b"ALONGE~1CSV");
        let entry = image.entry(b"OLD        ");
        for cluster in [folder, file_start, file_start + 1] {
            image.link_both(cluster, 0);
        }
        // The long name before it goes with it.
        image.bytes[entry - 32] = 0xE5;
        image.bytes[entry] = 0xE5;
        let seen = survey_of(&image);
        let deleted = seen.volumes[0].files.iter().find(|file| file.state == FileState::Deleted).unwrap();
        assert!(deleted.path.as_deref().unwrap().ends_with("/A longer name.csv"));
        assert_eq!(read_all(&deleted.over(&Patched::whole(&image.bytes))), export(20));
        assert_eq!(codes(&seen), [""; 0]);
    }
}

/// Both tables are damaged, each at another place: every link is taken from the one that leads on.
#[test]
fn two_damaged_tables_make_one_whole_file() {
    for kind in EVERY_KIND {
        let mut image = FatImage::with_exports(kind);
        let start = image.first_cluster(FIRST);
        image.link(0, start, 0);
        image.link(1, start + 1, 0);
        let seen = survey_of(&image);
        let stored = file(&seen, "TX0001.CSV");
        assert!(stored.whole && stored.by_second_table);
        assert_eq!(read_all(&stored.over(&Patched::whole(&image.bytes))), export(40));
        assert!(codes(&seen).contains(&"fat-copies-differ"));
    }
}

/// The first table leads on, into the clusters of another file of the same length: the rows tell which one is right.
#[test]
fn the_chain_with_the_longer_good_export_is_taken() {
    for kind in EVERY_KIND {
        let mut image = FatImage::with_exports(kind);
        let start = image.first_cluster(FIRST);
        // Two clusters in no use, in use by the first table alone, with other text in them.
        let free = start + 40;
        image.link(0, start, free as u32);
        image.link(0, free, free as u32 + 1);
        let end = image.end();
        image.link(0, free + 1, end);
        let other = image.cluster(free);
        image.bytes[other..other + 1024].fill(b'x');
        let seen = survey_of(&image);
        let stored = file(&seen, "TX0001.CSV");
        assert_eq!(read_all(&stored.over(&Patched::whole(&image.bytes))), export(40), "{kind:?}");
        assert!(codes(&seen).contains(&"fat-copies-differ"));
    }
}

/// A folder whose own entry was wiped is found by what it holds, and its files with it.
#[test]
fn files_of_a_folder_without_an_entry_are_found() {
    let damage = |image: &mut FatImage| {
        let entry = image.entry(b"OLD        ");
        image.bytes[entry..entry + 32].fill(0xFF);
    };
    insta::assert_snapshot!("lost-folder", described(&EVERY_KIND, damage));
    for kind in EVERY_KIND {
        let mut image = FatImage::with_exports(kind);
        damage(&mut image);
        let seen = survey_of(&image);
        let lost = seen.volumes[0].files.iter().find(|file| file.state == FileState::Lost).unwrap();
        assert!(lost.path.as_deref().unwrap().ends_with("/A longer name.csv"));
        assert_eq!(read_all(&lost.over(&Patched::whole(&image.bytes))), export(20));
    }
}

/// A zero where a name should begin ends a folder's list; the files behind it still have their clusters.
#[test]
fn files_behind_a_false_end_of_the_list_are_read() {
    let damage = |image: &mut FatImage| {
        let entry = image.entry(FIRST);
        image.bytes[entry] = 0;
    };
    insta::assert_snapshot!("false-end-of-list", described(&EVERY_KIND, damage));
    for kind in EVERY_KIND {
        let mut image = FatImage::with_exports(kind);
        damage(&mut image);
        let seen = survey_of(&image);
        let stored = file(&seen, "TX0002.CSV");
        assert_eq!((stored.state, stored.whole), (FileState::Live, true));
    }
}

#[test]
fn a_folder_that_names_another_above_it() {
    let damage = |image: &mut FatImage| {
        let folder = image.cluster(image.first_cluster(b"OLD        "));
        let above = (folder..folder + 512).step_by(32).find(|at| image.bytes[*at..].starts_with(b"..  ")).unwrap();
        image.bytes[above + 26] = 77;
    };
    insta::assert_snapshot!("folder-above-wrong", described(&EVERY_KIND, damage));
}

#[test]
fn parts_of_a_long_name_without_their_file() {
    let damage = |image: &mut FatImage| {
        let entry = image.entry(b"ALONGE~1CSV");
        image.bytes[entry - 32 + 13] ^= 0xFF;
    };
    insta::assert_snapshot!("stray-long-name", described(&EVERY_KIND, damage));
}

/// Deleted entries and slots left over from longer names do not spoil the names behind them.
#[test]
fn a_live_name_behind_deleted_slots_is_its_own() {
    for kind in EVERY_KIND {
        let mut image = FatImage::with_exports(kind);
        image.write("First of two long names.csv", &export(1));
        image.delete("First of two long names.csv");
        image.write("Another, second long name.csv", &export(2));
        let seen = survey_of(&image);
        assert_eq!(file(&seen, "Another, second long name.csv").state, FileState::Live);
    }
}

/// The first letter of a deleted short name is lost where no long name tells it.
#[test]
fn a_deleted_short_name_lacks_its_first_letter() {
    let mut image = FatImage::with_exports(FatType::Fat16);
    let entry = image.entry(SECOND);
    // fatfs writes a long name before every entry; without its slots only ten letters are left.
    image.bytes[entry - 32..entry].fill(0);
    image.bytes[entry - 32..entry - 31].fill(0xE5);
    image.bytes[entry] = 0xE5;
    let start = image.first_cluster(b"\xE5X0002  CSV");
    for cluster in start..start + 2 {
        image.link_both(cluster, 0);
    }
    let seen = survey_of(&image);
    let deleted = file(&seen, "_X0002.CSV");
    assert_eq!((deleted.state, deleted.whole), (FileState::Deleted, true));
}
