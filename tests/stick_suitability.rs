//! Whether an indicator could write to a stick.

use counterfoil::volume::{
    FileSystem, Limits, PartitionTable, Suitability, Survey, Verdict, judge, survey, survey_tree,
};
use fatfs::FatType;

use crate::support::disks::guid_disk;
use crate::support::fat_image::{FatImage, in_partition};
use crate::support::findings::{assert_complete, shown};
use crate::support::memory::Patched;

fn seen(bytes: &[u8]) -> Survey {
    survey(&Patched::whole(bytes), "stick")
}

/// By the common limits, no rows on the stick.
fn judged(survey: &Survey) -> Suitability {
    judged_with(survey, false)
}

fn judged_with(survey: &Survey, rows: bool) -> Suitability {
    let judged = judge(survey, &Limits::common().unwrap(), &|_| rows);
    assert_complete(&judged.findings);
    judged
}

fn text(judged: &Suitability) -> String {
    format!("{:?} {:?}\n{}", judged.verdict, judged.volumes, shown(&judged.findings, &judged.not_checked))
}

/// Without and with rows on it.
fn both(survey: &Survey) -> String {
    format!("nothing on it: {}\nrows on it: {}", text(&judged(survey)), text(&judged_with(survey, true)))
}

fn good() -> Vec<u8> {
    in_partition(&FatImage::with_exports(FatType::Fat32).bytes, 0x0C)
}

/// One sector that names a file system, and room behind it.
fn volume_named(at: usize, name: &[u8]) -> Vec<u8> {
    let mut bytes = vec![0; 200_000];
    bytes[..3].copy_from_slice(&[0xEB, 0x76, 0x90]);
    bytes[510..512].copy_from_slice(&[0x55, 0xAA]);
    bytes[at..at + name.len()].copy_from_slice(name);
    bytes
}

/// exFAT as its specification lays it out (1.00, 3.1): 512-byte sectors, 32 KiB clusters.
fn exfat() -> Vec<u8> {
    let mut bytes = volume_named(3, b"EXFAT   ");
    bytes[72..80].copy_from_slice(&390_u64.to_le_bytes());
    bytes[108..111].copy_from_slice(&[9, 6, 1]);
    bytes
}

#[test]
fn a_common_stick_is_ready() {
    let good = judged(&seen(&good()));
    assert_eq!((good.verdict, good.volumes, good.findings), (Verdict::Ready, vec![Some(true)], vec![]));
}

#[test]
fn no_partition_table_is_a_note() {
    let bare = judged(&seen(&FatImage::with_exports(FatType::Fat32).bytes));
    assert_eq!((bare.verdict, &bare.volumes), (Verdict::Ready, &vec![Some(true)]));
    insta::assert_snapshot!("no-partition-table", text(&bare));
}

#[test]
fn wrong_format() {
    insta::assert_snapshot!("wrong-format-exfat", both(&seen(&exfat())));
    let fat16 = in_partition(&FatImage::with_exports(FatType::Fat16).bytes, 0x06);
    insta::assert_snapshot!("wrong-format-fat16", both(&seen(&fat16)));
    let mut noise = vec![0xA7; 100_000];
    noise[0] = 1;
    insta::assert_snapshot!("wrong-format-unknown", text(&judged(&seen(&noise))));
}

#[test]
fn too_large() {
    let mut survey = seen(&good());
    survey.capacity_bytes = Some(8 << 30);
    assert_eq!(judged(&survey).verdict, Verdict::Ready, "8 GiB is the largest");
    survey.capacity_bytes = Some((8 << 30) + 1);
    insta::assert_snapshot!("too-large", both(&survey));
}

#[test]
fn gpt_partitioned() {
    let survey = seen(&guid_disk(&FatImage::with_exports(FatType::Fat32).bytes));
    assert_eq!(survey.partition_table, Some(PartitionTable::Gpt));
    assert_eq!(survey.volumes[0].files.len(), 3, "its files are read all the same");
    insta::assert_snapshot!("gpt-partitioned", both(&survey));
}

#[test]
fn blank_stick() {
    let empty_table = in_partition(&[0; 512], 0x00);
    for bytes in [vec![0; 300_000], empty_table] {
        let judged = judged(&seen(&bytes));
        assert_eq!(judged.verdict, Verdict::NotReady);
        assert_eq!(judged.findings[0].code, "blank-stick");
    }
    insta::assert_snapshot!("blank-stick", text(&judged(&seen(&vec![0; 300_000]))));
}

/// Zeros at the front do not make a stick empty.
#[test]
fn a_stick_whose_beginning_was_wiped_is_not_called_empty() {
    let mut bytes = vec![0; 3 << 20];
    bytes[2_500_000..2_500_009].copy_from_slice(b"1041,12,9");
    let judged = judged(&seen(&bytes));
    assert_eq!(judged.verdict, Verdict::NotReady);
    insta::assert_snapshot!("blank-stick-beginning-wiped", text(&judged));
}

/// What cannot be read is no zeros.
#[test]
fn a_stick_that_cannot_be_read_is_not_called_blank() {
    let bytes = vec![0; 2 << 20];
    let survey = survey(&Patched::unreadable(&bytes, 0..4096), "stick");
    assert_eq!(survey.volumes[0].file_system, FileSystem::Unknown);
    let is_told = |survey: &Survey| survey.findings.iter().any(|finding| finding.code == "unreadable-sectors");
    assert!(is_told(&survey));
    let behind_front = counterfoil::volume::survey(&Patched::unreadable(&bytes, 1_500_000..1_500_001), "stick");
    assert!(is_told(&behind_front));
}

/// The search behind a blank front ends, however large the stick is.
#[test]
fn a_blank_stick_is_looked_through_within_bounds() {
    let bytes = vec![0; 64 << 20];
    let source = Patched::whole(&bytes);
    assert_eq!(survey(&source, "stick").data_at, None);
    assert!(source.asked_for() < 36 << 20, "{} bytes", source.asked_for());
}

#[test]
fn several_partitions() {
    let volume = FatImage::with_exports(FatType::Fat12).bytes;
    let mut disk = in_partition(&FatImage::with_exports(FatType::Fat32).bytes, 0x0C);
    let second = disk.len() as u32 / 512;
    disk.extend_from_slice(&volume);
    disk[462 + 4] = 0x01;
    disk[462 + 8..462 + 12].copy_from_slice(&second.to_le_bytes());
    disk[462 + 12..462 + 16].copy_from_slice(&(volume.len() as u32 / 512).to_le_bytes());
    let survey = seen(&disk);
    assert_eq!(survey.volumes.iter().map(|volume| volume.files.len()).collect::<Vec<_>>(), [3, 3]);
    insta::assert_snapshot!("several-partitions", text(&judged(&survey)));
}

#[test]
fn sector_size_unsuitable() {
    let mut survey = seen(&good());
    survey.volumes[0].sector_bytes = Some(4096);
    insta::assert_snapshot!("sector-size-unsuitable", both(&survey));
}

#[test]
fn cluster_size_unsuitable() {
    let mut survey = seen(&good());
    survey.volumes[0].cluster_bytes = Some(32 << 10);
    assert_eq!(judged(&survey).verdict, Verdict::Ready, "32 KiB is the largest");
    survey.volumes[0].cluster_bytes = Some(64 << 10);
    insta::assert_snapshot!("cluster-size-unsuitable", both(&survey));
}

#[test]
fn stick_full() {
    let mut image = FatImage::with_exports(FatType::Fat32);
    let free = seen(&image.bytes).volumes[0].free_bytes.unwrap();
    image.write("FILL.BIN", &vec![b'x'; free as usize]);
    let survey = seen(&in_partition(&image.bytes, 0x0C));
    assert_eq!(survey.volumes[0].free_bytes, Some(0));
    insta::assert_snapshot!("stick-full", both(&survey));
}

#[test]
fn damage_leaves_the_verdict_open() {
    let mut image = FatImage::with_exports(FatType::Fat32);
    let start = image.first_cluster(b"TX0001  CSV");
    image.link_both(start, 0);
    let judged = judged(&seen(&image.bytes));
    assert_eq!((judged.verdict, judged.volumes), (Verdict::Unknown, vec![None]));
}

/// Where the damage to the first sector is told, "not a known format" would only add a riddle.
#[test]
fn a_damaged_first_sector_is_not_ready() {
    for kind in [FatType::Fat12, FatType::Fat32] {
        let mut image = FatImage::with_exports(kind);
        image.bytes[13] = 3;
        let judged = judged(&seen(&image.bytes));
        assert_eq!(judged.verdict, Verdict::NotReady);
        assert!(judged.findings.iter().all(|finding| finding.code != "wrong-format"));
    }
}

#[test]
fn of_a_folder_nothing_can_be_told() {
    let judged = judged(&survey_tree(&counterfoil::stick::FileTree::default(), "stick"));
    assert_eq!((judged.verdict, judged.volumes), (Verdict::Unknown, vec![None]));
    insta::assert_snapshot!(
        "folder",
        format!("{:?}\n{}", judged.verdict, shown(&judged.findings, &judged.not_checked))
    );
}

/// The marks are those of each format's own specification or header file, named beside each in the code; the places
/// and bytes here were typed in anew.
#[test]
fn other_formats_are_known_by_name() {
    let mut ext = volume_named(1024 + 56, &[0x53, 0xEF]);
    // Inodes, blocks, inodes of a group.
    for at in [0, 4, 40] {
        ext[1024 + at] = 16;
    }
    ext[510] = 0;
    let cases: Vec<(FileSystem, Vec<u8>)> = vec![
        (FileSystem::ExFat, exfat()),
        (FileSystem::Ntfs, {
            let mut bytes = volume_named(3, b"NTFS    ");
            bytes[11..14].copy_from_slice(&[0, 2, 8]);
            bytes
        }),
        (FileSystem::BitLocker, volume_named(3, b"-FVE-FS-")),
        (FileSystem::Luks, volume_named(0, b"LUKS\xBA\xBE\x00\x01")),
        (FileSystem::Ext, ext),
        (FileSystem::HfsPlus, volume_named(1024, b"H+\x00\x04")),
        (FileSystem::Apfs, volume_named(32, b"NXSB")),
        (FileSystem::Iso9660, volume_named(32_769, b"CD001\x01")),
        (FileSystem::Btrfs, volume_named(65_600, b"_BHRfS_M")),
        (FileSystem::Xfs, volume_named(0, b"XFSB")),
        (FileSystem::F2fs, volume_named(1024, &[0x10, 0x20, 0xF5, 0xF2])),
    ];
    for (file_system, bytes) in cases {
        let survey = seen(&bytes);
        assert_eq!(survey.volumes[0].file_system, file_system);
        assert_eq!(judged(&survey).verdict, Verdict::NotReady);
    }
}

#[test]
fn the_common_limits_keep_to_their_schema() {
    let schema = serde_json::from_str(include_str!("../schemas/stick-limits.schema.json")).unwrap();
    let limits = serde_json::from_str(include_str!("../schemas/stick-limits.json")).unwrap();
    let schema = jsonschema::validator_for(&schema).unwrap();
    assert!(schema.is_valid(&limits));
    let mut wrong: serde_json::Value = limits.clone();
    wrong["largest_capcity_bytes"] = 5.into();
    assert!(!schema.is_valid(&wrong));
    let error = Limits::from_json(&wrong.to_string()).unwrap_err().to_string();
    assert!(error.contains("largest_capcity_bytes") && error.contains("--limits"), "{error}");
}

/// Limits of another indicator are kept to as given.
#[test]
fn given_limits_replace_the_common_ones() {
    let text = include_str!("../schemas/stick-limits.json");
    let text = text.replace(r#""fat32""#, r#""fat16""#).replace(r#"["fat12", "fat16"]"#, "[]");
    let limits = Limits::from_json(&text).unwrap();
    let fat16 = seen(&in_partition(&FatImage::with_exports(FatType::Fat16).bytes, 0x06));
    assert_eq!(judge(&fat16, &limits, &|_| false).verdict, Verdict::Ready);
    let fat32 = judge(&seen(&good()), &limits, &|_| false).findings.remove(0);
    assert!(fat32.detail.contains("writes FAT16 only"), "{fat32:?}");
    assert!(fat32.next_step.contains("formatted as FAT16"), "{fat32:?}");
    assert_eq!(judge(&seen(&good()), &limits, &|_| false).verdict, Verdict::NotReady);
}

/// What an indicator's manual states goes into a file and replaces the common limits; a wrong file is named.
#[test]
fn limits_are_taken_from_a_file() {
    let folder = tempfile::tempdir().unwrap();
    let place = |name: &str| folder.path().join(name);
    std::fs::write(place("stick.img"), &FatImage::with_exports(FatType::Fat16).bytes).unwrap();
    let common = include_str!("../schemas/stick-limits.json");
    let allowed =
        common.replace(r#"["fat32"]"#, r#"["fat32", "fat16"]"#).replace(r#"["fat12", "fat16"]"#, r#"["fat12"]"#);
    std::fs::write(place("limits.json"), allowed).unwrap();
    std::fs::write(place("wrong.json"), "{}").unwrap();
    let examined = |limits: &str| {
        std::process::Command::new(env!("CARGO_BIN_EXE_counterfoil"))
            .current_dir(folder.path())
            .args(["examine", "stick.img", "--limits", limits, "--json"])
            .output()
            .unwrap()
    };
    let found = examined("limits.json");
    let document: serde_json::Value = serde_json::from_slice(&found.stdout).unwrap();
    assert_eq!(document["sources"][0]["stick"]["verdict"], "ready");
    for wrong in ["wrong.json", "absent.json"] {
        let found = examined(wrong);
        assert_eq!((found.status.code(), found.stdout.len()), (Some(2), 0), "{wrong}");
        assert!(String::from_utf8_lossy(&found.stderr).contains("limits"), "{wrong}");
    }
}
