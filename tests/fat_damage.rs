//! One small volume for each kind of damage, and the words it is described with.

use counterfoil::stick::ByteSource;
use counterfoil::volume::{FileState, Limits, StoredFile, Survey, Verdict, judge, ordinary_view, survey};
use fatfs::FatType;

use crate::support::fat_image::{EVERY_KIND, FatImage, export, in_partition, kind_name};
use crate::support::fat_recipes::{damaged, recipe};
use crate::support::findings::{assert_complete, shown};
use crate::support::memory::{Patched, read_all};

/// The findings on a recipe's damage, done to a volume of each of its kinds; equal texts are shown once.
fn described(name: &str) -> String {
    let mut texts: Vec<(String, String)> = Vec::new();
    for kind in recipe(name).kinds {
        let seen = survey_of(&damaged(name, *kind));
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
    insta::assert_snapshot!("chain-loop", described("chain-loop"));
}

/// Each cluster of a looped chain is read once; an ordinary computer shows the first ones again.
#[test]
fn rows_of_a_looped_file_are_read_once() {
    let image = damaged("chain-loop", FatType::Fat16);
    let seen = survey_of(&image);
    let medium = Patched::whole(&image.bytes);
    assert_eq!(read_all(&file(&seen, "TX0001.CSV").over(&medium)), export(40)[..1024]);
    let view = ordinary_view(&medium, &seen.volumes[0]).unwrap();
    let theirs = view.iter().find(|file| file.path == "TX0001.CSV").unwrap();
    assert_eq!(theirs.bytes_read, export(40).len() as u64);
}

#[test]
fn chain_cross_linked() {
    insta::assert_snapshot!("chain-cross-linked", described("chain-cross-linked"));
}

#[test]
fn chain_runs_into_a_free_cluster() {
    insta::assert_snapshot!("chain-broken-free", described("chain-broken-free"));
}

#[test]
fn chain_runs_into_a_bad_cluster() {
    insta::assert_snapshot!("chain-broken-bad", described("chain-broken-bad"));
}

/// The directory was written before the table: the first cluster is still free.
#[test]
fn chain_begins_in_a_free_cluster() {
    insta::assert_snapshot!("chain-broken-start", described("chain-broken-start"));
}

/// An ordinary reader fails on such a number, so none is asked.
#[test]
fn chain_leads_outside_the_volume() {
    for outside in ["chain-broken-outside", "chain-broken-reserved"] {
        let image = damaged(outside, FatType::Fat12);
        let seen = survey_of(&image);
        assert_eq!(codes(&seen), ["chain-broken", "lost-clusters"]);
        assert!(ordinary_view(&Patched::whole(&image.bytes), &seen.volumes[0]).is_err());
    }
    insta::assert_snapshot!("chain-broken-outside", described("chain-broken-outside"));
}

#[test]
fn first_cluster_outside_the_volume() {
    for start in ["first-cluster-0", "first-cluster-1", "first-cluster-outside"] {
        let seen = survey_of(&damaged(start, FatType::Fat16));
        assert_eq!(codes(&seen), ["chain-broken", "lost-clusters"]);
        let broken = file(&seen, "TX0001.CSV");
        assert_eq!((broken.bytes_had(), broken.whole), (0, false));
    }
}

/// Only the first table is damaged: the second holds the whole file.
#[test]
fn the_second_table_serves_where_the_first_is_broken() {
    insta::assert_snapshot!("fat-copies-differ", described("fat-copies-differ"));
    for kind in EVERY_KIND {
        let image = damaged("fat-copies-differ", kind);
        let seen = survey_of(&image);
        let stored = file(&seen, "TX0001.CSV");
        assert!(stored.by_second_table && stored.whole);
        assert_eq!(read_all(&stored.over(&Patched::whole(&image.bytes))), export(40));
    }
}

/// Where only the second table is damaged the first is trusted.
#[test]
fn a_damaged_second_table_takes_nothing_away() {
    let seen = survey_of(&damaged("second-table-damaged", FatType::Fat32));
    assert_eq!(codes(&seen), ["fat-copies-differ"]);
    assert!(file(&seen, "TX0001.CSV").whole);
}

#[test]
fn recorded_size_needs_more_clusters() {
    insta::assert_snapshot!("size-disagrees-short", described("size-disagrees-short"));
}

/// Pulled out before the new size was written: the rows stand beyond the recorded end.
#[test]
fn clusters_beyond_the_recorded_size() {
    insta::assert_snapshot!("size-disagrees-long", described("size-disagrees-long"));
    let image = damaged("size-disagrees-long", FatType::Fat32);
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
    insta::assert_snapshot!("directory-damaged", described("directory-damaged"));
}

#[test]
fn a_folder_that_contains_itself() {
    for kind in EVERY_KIND {
        // What the entry's own chain held has no file any more.
        assert_eq!(codes(&survey_of(&damaged("folder-in-itself", kind))), ["directory-damaged", "lost-clusters"]);
    }
}

/// A writer that does not keep the copy up leaves an older one behind; nothing goes by it.
#[test]
fn a_stale_copy_of_a_sound_first_sector_is_a_note() {
    let seen = survey_of(&damaged("boot-copy-differs", FatType::Fat32));
    assert_eq!(codes(&seen), ["boot-sector-damaged"]);
    assert_eq!(judge(&seen, &Limits::common().unwrap(), &|_| false).verdict, Verdict::Ready);
    insta::assert_snapshot!("boot-copy-differs", described("boot-copy-differs"));
}

#[test]
fn boot_sector_damaged() {
    insta::assert_snapshot!("boot-sector-damaged-copy", described("boot-sector-damaged-copy"));
    let image = damaged("boot-sector-damaged-copy", FatType::Fat32);
    let seen = survey_of(&image);
    assert_eq!(read_all(&file(&seen, "TX0001.CSV").over(&Patched::whole(&image.bytes))), export(40));

    insta::assert_snapshot!("boot-sector-damaged-lost", described("boot-sector-damaged-lost"));
}

#[test]
fn volume_left_open() {
    insta::assert_snapshot!("volume-left-open", described("volume-left-open"));
    for kind in [FatType::Fat16, FatType::Fat32] {
        assert_eq!(codes(&survey_of(&damaged("volume-left-open-in-table", kind))), ["volume-left-open"]);
    }
}

#[test]
fn volume_exceeds_device() {
    let seen = survey_of(&damaged("volume-exceeds-device", FatType::Fat16));
    assert_complete(&seen.findings);
    insta::assert_snapshot!("volume-exceeds-device", shown(&seen.findings, &seen.not_checked));
    assert!(file(&seen, "TX0001.CSV").whole);
    let stored = file(&seen, "TX0002.CSV");
    assert_eq!((stored.bytes_had(), stored.whole), (100, false));

    let disk = in_partition(&FatImage::with_exports(FatType::Fat16).bytes, 0x06);
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
    insta::assert_snapshot!("free-count-wrong", described("free-count-wrong"));
}

#[test]
fn clock_not_set() {
    insta::assert_snapshot!("clock-not-set", described("clock-not-set"));
}

#[test]
fn root_directory_full() {
    insta::assert_snapshot!("root-directory-full", described("root-directory-full"));
    // One free place is room for a short name, and for none as long as those that are there.
    let mut image = damaged("root-directory-full", FatType::Fat12);
    let last = image.root() + 63 * 32;
    image.bytes[last] = 0xE5;
    assert_eq!(codes(&survey_of(&image)), ["root-directory-full"]);
    for place in (last - 4 * 32..last).step_by(32) {
        image.bytes[place] = 0xE5;
    }
    assert_eq!(codes(&survey_of(&image)), [""; 0]);
}

#[test]
fn a_mark_of_an_error_is_told() {
    insta::assert_snapshot!("hard-error-mark", described("hard-error-mark"));
}

#[test]
fn export_near_size_limit() {
    insta::assert_snapshot!("export-near-size-limit", described("export-near-size-limit"));
}

/// A lost folder that lists the clusters of a sound file takes nothing from it.
#[test]
fn a_file_of_a_lost_folder_takes_no_cluster_from_a_sound_one() {
    for kind in EVERY_KIND {
        let image = damaged("lost-folder-claims-a-file", kind);
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
        let image = damaged("deleted-folder", kind);
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
        let image = damaged("both-tables-damaged", kind);
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
        let image = damaged("first-table-leads-elsewhere", kind);
        let seen = survey_of(&image);
        let stored = file(&seen, "TX0001.CSV");
        assert_eq!(read_all(&stored.over(&Patched::whole(&image.bytes))), export(40), "{kind:?}");
        assert!(codes(&seen).contains(&"fat-copies-differ"));
    }
}

/// A folder whose own entry was wiped is found by what it holds, and its files with it.
#[test]
fn files_of_a_folder_without_an_entry_are_found() {
    insta::assert_snapshot!("lost-folder", described("lost-folder"));
    for kind in EVERY_KIND {
        let image = damaged("lost-folder", kind);
        let seen = survey_of(&image);
        let lost = seen.volumes[0].files.iter().find(|file| file.state == FileState::Lost).unwrap();
        assert!(lost.path.as_deref().unwrap().ends_with("/A longer name.csv"));
        assert_eq!(read_all(&lost.over(&Patched::whole(&image.bytes))), export(20));
    }
}

/// A zero where a name should begin ends a folder's list; the files behind it still have their clusters.
#[test]
fn files_behind_a_false_end_of_the_list_are_read() {
    insta::assert_snapshot!("false-end-of-list", described("false-end-of-list"));
    for kind in EVERY_KIND {
        let image = damaged("false-end-of-list", kind);
        let seen = survey_of(&image);
        let stored = file(&seen, "TX0002.CSV");
        assert_eq!((stored.state, stored.whole), (FileState::Live, true));
    }
}

#[test]
fn a_folder_that_names_another_above_it() {
    insta::assert_snapshot!("folder-above-wrong", described("folder-above-wrong"));
}

#[test]
fn parts_of_a_long_name_without_their_file() {
    insta::assert_snapshot!("stray-long-name", described("stray-long-name"));
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
    let image = damaged("deleted-short-name", FatType::Fat16);
    let seen = survey_of(&image);
    let deleted = file(&seen, "_X0002.CSV");
    assert_eq!((deleted.state, deleted.whole), (FileState::Deleted, true));
}
