//! How a medium is divided: both kinds of table, damaged, contradicting each other, or gone.

use counterfoil::finding::{Finding, Severity};
use counterfoil::volume::{FileSystem, Limits, PartitionTable, Survey, Verdict, judge, survey};
use fatfs::FatType;

use crate::support::disks::{FIRST, crc32, entry, entry_at, guid_disk, guid_header};
use crate::support::fat_image::{FatImage, in_partition};
use crate::support::findings::{assert_complete, shown};
use crate::support::memory::Patched;

fn seen(bytes: &[u8]) -> Survey {
    let survey = survey(&Patched::whole(bytes), "stick");
    assert_complete(&survey.findings);
    survey
}

fn fat32() -> Vec<u8> {
    FatImage::with_exports(FatType::Fat32).bytes
}

fn fat12() -> Vec<u8> {
    FatImage::with_exports(FatType::Fat12).bytes
}

fn table_finding(survey: &Survey) -> Option<&Finding> {
    survey.findings.iter().find(|finding| finding.code == "partition-table-damaged")
}

/// The finding on the table, and that the three files of the first volume were read all the same.
fn damaged(survey: &Survey) -> String {
    assert_eq!(survey.volumes[0].files.len(), 3, "the files are read all the same");
    let found: Vec<Finding> = table_finding(survey).cloned().into_iter().collect();
    shown(&found, &[])
}

fn verdict(survey: &Survey, with_rows: &[usize]) -> Verdict {
    judge(survey, &Limits::common().unwrap(), &|volume| with_rows.contains(&volume)).verdict
}

#[test]
fn the_checksum_of_the_test_disks_is_the_published_one() {
    // ITU-T V.42's polynomial; the value for these nine digits is in every catalogue of such checksums (from memory).
    assert_eq!(crc32(b"123456789"), 0xCBF4_3926);
}

#[test]
fn a_sound_guid_table_says_nothing_of_damage() {
    let survey = seen(&guid_disk(&fat32()));
    assert_eq!((survey.partition_table, survey.sector_bytes), (Some(PartitionTable::Gpt), Some(512)));
    assert_eq!(survey.volumes[0].offset_bytes, Some(FIRST as u64 * 512));
    assert_eq!(table_finding(&survey), None);
}

#[test]
fn either_copy_of_a_guid_table_serves() {
    let good = guid_disk(&fat32());
    let last = good.len() - 512;
    let damage = |at: usize| {
        let mut disk = good.clone();
        disk[at] ^= 0xFF;
        seen(&disk)
    };
    let places = [
        ("name of the first header", 512),
        ("a field of the first header", 512 + 72),
        ("checksum of the first header", 512 + 16),
        ("an entry of the first list", 1024 + 32),
        ("a field of the second header", last + 40),
        ("name of the second header", last),
    ];
    let told: Vec<String> = places.map(|(what, at)| format!("== {what}\n{}", damaged(&damage(at)))).into();
    insta::assert_snapshot!("guid-copies", told.join("\n"));
}

#[test]
fn a_guid_table_without_a_sound_copy_is_a_fault() {
    let mut disk = guid_disk(&fat32());
    let last = disk.len() - 512;
    disk[512 + 16] ^= 1;
    disk[last + 16] ^= 1;
    let survey = seen(&disk);
    assert_eq!(table_finding(&survey).unwrap().severity, Severity::Fault);
    insta::assert_snapshot!("guid-no-sound-copy", damaged(&survey));
    disk[512..1024].fill(0);
    disk[last..].fill(0);
    let lost = seen(&disk);
    assert_eq!((lost.partition_table, lost.volumes.len()), (Some(PartitionTable::Gpt), 1), "at a usual place");
    assert_eq!(verdict(&lost, &[]), Verdict::NotReady);
    insta::assert_snapshot!("guid-lost", shown(&lost.findings, &lost.not_checked));
}

#[test]
fn copies_of_a_guid_table_that_differ_are_told() {
    let mut disk = guid_disk(&fat32());
    let last = disk.len() / 512 - 1;
    let list_at = last - 32;
    let mut list = disk[list_at * 512..last * 512].to_vec();
    list[40] ^= 1;
    disk[list_at * 512..last * 512].copy_from_slice(&list);
    disk[last * 512..].copy_from_slice(&guid_header(last as u64, 1, list_at as u64, &list));
    insta::assert_snapshot!("guid-copies-differ", damaged(&seen(&disk)));
}

#[test]
fn a_cut_image_has_lost_the_second_copy() {
    let mut disk = guid_disk(&fat32());
    disk.truncate(disk.len() - 512);
    insta::assert_snapshot!("guid-cut", damaged(&seen(&disk)));
}

#[test]
fn a_guid_table_left_behind_by_an_older_use_is_passed_over() {
    let mut disk = guid_disk(&fat32());
    let count = (disk.len() / 512 - FIRST) as u32;
    entry(&mut disk, 0, 0x0C, FIRST as u32, count);
    let survey = seen(&disk);
    assert_eq!((survey.partition_table, survey.volumes.len()), (Some(PartitionTable::Mbr), 1));
    assert_eq!(table_finding(&survey), None);
}

#[test]
fn a_guid_table_is_read_where_the_first_sector_is_gone() {
    let mut disk = guid_disk(&fat32());
    disk[..512].fill(0);
    insta::assert_snapshot!("guid-unprotected", damaged(&seen(&disk)));
}

/// A primary FAT32, then an extended partition with two FAT12 volumes, each one sector behind its link.
fn extended_disk() -> (Vec<u8>, [u32; 3]) {
    let (primary, logical) = (fat32(), fat12());
    let mut disk = in_partition(&primary, 0x0C);
    let (start, length) = (disk.len() as u32 / 512, logical.len() as u32 / 512 + 1);
    entry(&mut disk, 1, 0x0F, start, 2 * length);
    for number in 0..2 {
        let link = disk.len() / 512;
        disk.resize(disk.len() + 512, 0);
        disk.extend_from_slice(&logical);
        entry_at(&mut disk, link, 0, 0x01, 1, length - 1);
        if number == 0 {
            entry_at(&mut disk, link, 1, 0x05, length, length);
        }
    }
    (disk, [start, start + length, length])
}

#[test]
fn partitions_inside_an_extended_one_are_read() {
    let (disk, [start, second, _]) = extended_disk();
    let survey = seen(&disk);
    let places: Vec<_> =
        survey.volumes.iter().map(|volume| (volume.offset_bytes.unwrap() / 512, volume.logical)).collect();
    assert_eq!(places, [(63, false), (u64::from(start) + 1, true), (u64::from(second) + 1, true)]);
    assert!(survey.volumes.iter().all(|volume| volume.files.len() == 3));
    assert_eq!(table_finding(&survey), None);
    let judged = judge(&survey, &Limits::common().unwrap(), &|volume| volume == 1);
    insta::assert_snapshot!("several-partitions-elsewhere", shown(&judged.findings[..1], &[]));
}

#[test]
fn a_chain_of_partitions_that_goes_wrong_is_told_and_ends() {
    let (good, [start, second, length]) = extended_disk();
    let told = |name: &str, kind: u8, first: u32| {
        let mut disk = good.clone();
        entry_at(&mut disk, second as usize, 1, kind, first, length);
        format!("== {name}\n{}", damaged(&seen(&disk)))
    };
    let mut gone = good.clone();
    gone[second as usize * 512..][..512].fill(0);
    let texts = [
        told("back to the start", 0x05, 0),
        told("out of the extended partition", 0x05, 9_999_999),
        format!("== no table at the second link\n{}", damaged(&seen(&gone))),
    ];
    insta::assert_snapshot!("extended-chain-damaged", texts.join("\n"));
    let mut only = good;
    entry(&mut only, 0, 0, 0, 0);
    let survey = seen(&only);
    assert_eq!(survey.volumes[0].offset_bytes, Some((u64::from(start) + 1) * 512));
    assert_eq!(verdict(&survey, &[]), Verdict::Unknown, "few indicators look there");
}

#[test]
fn a_table_without_its_signature_holds_where_a_volume_bears_it_out() {
    let good = in_partition(&fat32(), 0x0C);
    let mut unsigned = good.clone();
    unsigned[510] = 0;
    let mut status = good;
    status[446] = 0x17;
    let told = [unsigned, status].map(|disk| damaged(&seen(&disk)));
    insta::assert_snapshot!("classic-damaged", told.join("\n"));
}

#[test]
fn a_volume_is_found_where_the_table_is_gone() {
    for first in [63, 2048, 8192] {
        let mut disk = vec![0; first * 512];
        disk.extend_from_slice(&fat32());
        let survey = seen(&disk);
        assert_eq!((survey.partition_table, survey.volumes[0].offset_bytes), (None, Some(first as u64 * 512)));
        assert_eq!(verdict(&survey, &[]), Verdict::NotReady);
        if first == 2048 {
            insta::assert_snapshot!("table-gone", damaged(&survey));
        }
    }
}

#[test]
fn a_volume_is_found_where_the_table_lists_none() {
    let mut emptied = in_partition(&fat32(), 0x0C);
    emptied[446..510].fill(0);
    let mut without_type = in_partition(&fat32(), 0x0C);
    without_type[450] = 0;
    let mut guid_gone = in_partition(&fat32(), 0x0C);
    entry(&mut guid_gone, 0, 0xEE, 1, u32::MAX);
    for (disk, table) in
        [(emptied, PartitionTable::Mbr), (without_type, PartitionTable::Mbr), (guid_gone, PartitionTable::Gpt)]
    {
        let survey = seen(&disk);
        assert_eq!(survey.partition_table, Some(table));
        assert!(damaged(&survey).contains("the table lists no partition, yet a volume begins at byte"));
        assert_eq!(verdict(&survey, &[]), Verdict::NotReady);
    }
}

#[test]
fn partitions_that_share_room_are_told() {
    let mut disk = in_partition(&fat32(), 0x0C);
    entry(&mut disk, 1, 0x0C, 100, 1000);
    insta::assert_snapshot!("partitions-overlap", damaged(&seen(&disk)));
}

#[test]
fn a_partition_named_twice_is_read_once() {
    let mut disk = in_partition(&fat32(), 0x0C);
    let sectors = disk.len() as u32 / 512 - 63;
    entry(&mut disk, 1, 0x0C, 63, sectors);
    entry(&mut disk, 2, 0x0C, 63, sectors);
    let survey = seen(&disk);
    assert_eq!(survey.volumes.len(), 1);
    assert!(damaged(&survey).contains("2 entries name a partition that another one names as well"));
}

#[test]
fn a_volume_larger_than_its_partition_is_told() {
    let mut disk = in_partition(&fat32(), 0x0C);
    let sectors = disk.len() as u32 / 512 - 63;
    entry(&mut disk, 0, 0x0C, 63, sectors - 1);
    let survey = seen(&disk);
    insta::assert_snapshot!("volume-larger-than-partition", damaged(&survey));
    assert_eq!(verdict(&survey, &[]), Verdict::Unknown);
}

/// An image that was cut before its only partition begins says nothing of what that holds.
#[test]
fn a_partition_behind_the_end_is_not_called_blank() {
    let disk = in_partition(&fat32(), 0x0C);
    let survey = seen(&disk[..512]);
    let codes = |findings: &[Finding]| findings.iter().map(|finding| finding.code).collect::<Vec<_>>();
    assert_eq!(codes(&survey.findings), ["volume-exceeds-device"]);
    let judged = judge(&survey, &Limits::common().unwrap(), &|_| false);
    assert_eq!((codes(&judged.findings), judged.verdict), (vec![], Verdict::Unknown));
    let why: Vec<&str> = survey.not_checked.iter().map(|item| item.why.as_str()).collect();
    assert_eq!(why, ["it begins behind the end of the medium"]);
}

/// The limits concern the stick as a whole: rows on any of its volumes show that they did not hinder.
#[test]
fn rows_on_the_second_volume_show_that_the_table_did_not_hinder() {
    let mut survey = seen(&guid_disk(&fat32()));
    let second = counterfoil::volume::Volume { index: 1, ..survey.volumes[0].clone() };
    survey.volumes.push(second);
    let judged = |rows: &[usize]| judge(&survey, &Limits::common().unwrap(), &|volume| rows.contains(&volume));
    assert_eq!((judged(&[]).verdict, judged(&[]).volumes), (Verdict::NotReady, vec![Some(false), Some(false)]));
    assert_eq!((judged(&[1]).verdict, judged(&[1]).volumes), (Verdict::Unknown, vec![None, None]));
}

#[test]
fn a_type_that_contradicts_the_content_is_told() {
    let told = |kind: u8, volume: &[u8]| {
        let survey = seen(&in_partition(volume, kind));
        let findings: Vec<Finding> =
            survey.findings.iter().filter(|finding| finding.code == "partition-type-contradicts").cloned().collect();
        format!("{kind:02X} {:?}\n{}", verdict(&survey, &[]), shown(&findings, &[]))
    };
    let noise = vec![0xA7; 100 * 512];
    let texts = [
        told(0x0B, &fat32()),
        told(0x83, &fat32()),
        told(0x1C, &fat32()),
        told(0x06, &fat32()),
        told(0x0C, &noise),
        told(0x5A, &fat32()),
        told(0x0C, &[0; 51_200]),
    ];
    insta::assert_snapshot!("partition-type-contradicts", texts.join("\n"));
}

#[test]
fn a_foreign_first_partition_leaves_it_open_whether_the_second_is_used() {
    let volume = fat32();
    let mut disk = in_partition(&vec![0xA7; 100 * 512], 0x07);
    let second = disk.len() as u32 / 512;
    disk.extend_from_slice(&volume);
    entry(&mut disk, 1, 0x0C, second, volume.len() as u32 / 512);
    let survey = seen(&disk);
    assert_eq!(survey.volumes[1].file_system, FileSystem::Fat32);
    assert_eq!(verdict(&survey, &[]), Verdict::Unknown);
}

#[test]
fn tables_made_of_noise_are_read_within_bounds() {
    for filler in [0x00, 0x01, 0x05, 0x80, 0xA5, 0xEE, 0xFF] {
        let mut disk = guid_disk(&fat12());
        disk[446..510].fill(filler);
        disk[512 + 72..512 + 92].fill(filler);
        let source = Patched::whole(&disk);
        let survey = survey(&source, "stick");
        assert!(survey.volumes.len() <= 128);
        assert!(source.asked_for() < 40 << 20, "{} bytes for {filler:02X}", source.asked_for());
    }
}
