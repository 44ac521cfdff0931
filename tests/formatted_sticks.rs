//! FAT sticks made by the formatting tools of Debian: partitions, sizes and verdict are what the tool was asked for.

use serde_json::{Value, json};

use crate::support::formatted::{MIB, blank, change, examined, stick, table, volumes};
use crate::support::judges::{all_present, ask, present, run};
use crate::support::program::{Desk, codes};

/// A volume of `mkfs.fat` that takes the whole stick: bits of a link, bytes of a sector, sectors of a cluster; bytes of the
/// stick, a multiple of the tracks mkfs.fat assumes, so that it uses every sector; verdict and codes.
type Superfloppy = (&'static str, u64, u64, u64, &'static str, &'static [&'static str]);

/// Whole tracks by both of its ways of counting, 32 and 63 sectors to one, in sectors of 512 bytes.
const TRACKS: u64 = 32 * 63 * 512;

const SUPERFLOPPIES: [Superfloppy; 9] = [
    ("12", 512, 1, 1_474_560, "unknown", &["no-export", "wrong-format", "no-partition-table"]),
    ("16", 512, 4, 16 * MIB, "unknown", &["no-export", "wrong-format", "no-partition-table"]),
    ("32", 512, 1, 36 * MIB, "ready", &["no-export", "no-partition-table"]),
    // Beyond 1 GiB no checksum of the whole is made.
    ("32", 512, 64, 2100 * TRACKS, "ready", &["no-export", "no-partition-table"]),
    ("12", 4096, 1, 8 * MIB, "not-ready", &WITH_LARGE_SECTORS),
    ("16", 4096, 1, 32 * MIB, "not-ready", &WITH_LARGE_SECTORS),
    ("32", 4096, 1, 1280 * TRACKS, "not-ready", &["sector-size-unsuitable", "no-export", "no-partition-table"]),
    // A cluster of 64 KiB; the FAT specification has 32 KiB as the most.
    ("32", 512, 128, 5200 * TRACKS, "not-ready", &["cluster-size-unsuitable", "no-export", "no-partition-table"]),
    ("32", 512, 64, 9000 * TRACKS, "not-ready", &["too-large", "no-export", "no-partition-table"]),
];

const WITH_LARGE_SECTORS: [&str; 4] = ["sector-size-unsuitable", "no-export", "wrong-format", "no-partition-table"];

fn check_superfloppy((bits, sector_bytes, sectors_per_cluster, bytes, verdict, expected): Superfloppy) {
    let desk = Desk::new();
    let path = blank(&desk, bytes);
    let (sector, cluster) = (sector_bytes.to_string(), sectors_per_cluster.to_string());
    run("mkfs.fat", &["-F", bits, "-S", &sector, "-s", &cluster, "-n", "SALES", &path]);
    let document = examined(&desk);
    let name = format!("FAT{bits}, sectors of {sector}");
    assert_eq!(table(&document), "none", "{name}");
    assert_eq!(stick(&document)["sector_bytes"], sector_bytes, "{name}");
    let format = format!("fat{bits}");
    let cluster_bytes = sector_bytes * sectors_per_cluster;
    assert_eq!(volumes(&document), [json!([0, bytes, format, "SALES", cluster_bytes])], "{name}");
    assert_eq!(stick(&document)["verdict"], verdict, "{name}");
    assert_eq!(codes(&document), expected, "{name}");
}

#[test]
fn volumes_without_a_partition_table_are_as_asked() {
    if present("mkfs.fat") {
        SUPERFLOPPIES.into_iter().for_each(check_superfloppy);
    }
}

/// Volumes that are seldom made like this and are sound: a partition table written over their own first sector, which
/// names the whole stick; one table; the copy of the first sector elsewhere, or none; sectors of 1024 and 2048 bytes.
const SELDOM: [(&str, &[&str], &str); 7] = [
    ("32", &["--mbr=yes"], "ready"),
    ("16", &["--mbr=yes"], "unknown"),
    ("32", &["-f", "1"], "ready"),
    ("32", &["-R", "64", "-b", "12"], "ready"),
    ("32", &["-b", "0"], "ready"),
    ("16", &["-S", "1024", "-s", "4"], "not-ready"),
    ("16", &["-S", "2048", "-s", "2"], "not-ready"),
];

#[test]
fn volumes_seldom_made_like_this_are_read() {
    if !all_present(&["mkfs.fat", "mcopy"]) {
        return;
    }
    for (bits, arguments, verdict) in SELDOM {
        let desk = Desk::new();
        let path = blank(&desk, 40 * TRACKS);
        run("mkfs.fat", &[&["-F", bits, "-n", "SALES"], arguments, &[&path]].concat());
        let note = desk.put("NOTE.TXT", "nothing from a scale");
        run("mcopy", &["-i", &path, &note, "::"]);
        let document = examined(&desk);
        let volume = &stick(&document)["volumes"][0];
        assert_eq!(table(&document), "none", "{arguments:?}");
        assert_eq!(volumes(&document).len(), 1, "{arguments:?}");
        assert_eq!(volume["file_system"], format!("fat{bits}"), "{arguments:?}");
        assert_eq!(volume["size_bytes"], 40 * TRACKS, "{arguments:?}");
        assert_eq!((&volume["files"][0]["path"], &volume["files"][0]["whole"]), (&json!("NOTE.TXT"), &json!(true)));
        assert_eq!(stick(&document)["verdict"], verdict, "{arguments:?}");
        assert!(!codes(&document).contains(&"boot-sector-damaged"), "{arguments:?}");
    }
}

/// A FAT volume in a partition: first sector, sectors, kind.
type Part = (u64, u64, &'static str);

fn format_parts(path: &str, parts: &[Part]) {
    for (first, sectors, bits) in parts {
        let (first, blocks) = (first.to_string(), (sectors / 2).to_string());
        run("mkfs.fat", &["-F", bits, "-s", "1", "-n", "SALES", "--offset", &first, path, &blocks]);
    }
}

fn as_volumes(parts: &[Part]) -> Vec<Value> {
    let volume =
        |(first, sectors, bits): &Part| json!([first * 512, sectors * 512, format!("fat{bits}"), "SALES", 512]);
    parts.iter().map(volume).collect()
}

const FIRST_PART: Part = (2048, 36 * 2048, "32");
const SECOND_PART: Part = (38 * 2048, 8 * 2048, "16");

/// The classic table as sfdisk writes it.
fn classic(desk: &Desk, lines: &str) -> String {
    let path = blank(desk, 60 * MIB);
    let done = ask("sfdisk", &["-q", &path], format!("label: dos\n{lines}").as_bytes()).unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    path
}

#[test]
fn partitions_of_the_classic_table_are_as_asked() {
    if !all_present(&["mkfs.fat", "sfdisk"]) {
        return;
    }
    let desk = Desk::new();
    let one = "start=2048,size=73728,type=c\n";
    format_parts(&classic(&desk, one), &[FIRST_PART]);
    let document = examined(&desk);
    assert_eq!(table(&document), "mbr");
    assert_eq!(volumes(&document), as_volumes(&[FIRST_PART]));
    assert_eq!((stick(&document)["verdict"].as_str(), codes(&document)), (Some("ready"), vec!["no-export"]));

    let both = [FIRST_PART, SECOND_PART];
    format_parts(&classic(&desk, &format!("{one}start=77824,size=16384,type=6\n")), &both);
    let document = examined(&desk);
    assert_eq!((table(&document), volumes(&document)), (&json!("mbr"), as_volumes(&both)));
    assert_eq!(stick(&document)["verdict"], "unknown", "an indicator may use either");
    assert_eq!(codes(&document), ["no-export", "several-partitions", "wrong-format"]);
}

/// A GUID table with one FAT32 partition. The tool sleeps for a second after writing, so it is called once.
fn guid(desk: &Desk, more: &[&str]) -> String {
    let path = blank(desk, 40 * MIB);
    run("sgdisk", &[&["-n", "1:2048:+36M", "-t", "1:0700"], more, &[path.as_str()]].concat());
    format_parts(&path, &[FIRST_PART]);
    path
}

fn assert_guid(more: &[&str]) {
    if !all_present(&["mkfs.fat", "sgdisk"]) {
        return;
    }
    let desk = Desk::new();
    guid(&desk, more);
    let document = examined(&desk);
    assert_eq!(table(&document), "gpt");
    assert_eq!(volumes(&document), as_volumes(&[FIRST_PART]));
    assert_eq!(stick(&document)["verdict"], "not-ready");
    assert_eq!(codes(&document), ["gpt-partitioned", "no-export"]);
}

#[test]
fn a_partition_of_the_guid_table_is_as_asked() {
    assert_guid(&[]);
}

/// The hybrid lists the partition in the classic table too; it is one volume still.
#[test]
fn a_partition_of_a_hybrid_table_is_one_volume() {
    assert_guid(&["-h", "1"]);
}

/// The same with the protective entry behind the other.
#[test]
fn a_hybrid_table_with_the_protective_entry_last_is_known() {
    assert_guid(&["-h", "1:EE"]);
}

/// Every logical volume of an extended partition is a volume of its own.
#[test]
fn logical_volumes_of_an_extended_partition_are_listed() {
    if !all_present(&["mkfs.fat", "sfdisk"]) {
        return;
    }
    let desk = Desk::new();
    let lines = "start=2048,size=73728,type=c\nstart=77824,type=f\nstart=79872,size=16384,type=6\nstart=98304,size=4096,type=1\n";
    let parts = [FIRST_PART, (79_872, 16_384, "16"), (98_304, 4_096, "12")];
    format_parts(&classic(&desk, lines), &parts);
    let document = examined(&desk);
    assert_eq!((table(&document), volumes(&document)), (&json!("mbr"), as_volumes(&parts)));
    assert!(codes(&document).contains(&"several-partitions"));
}

/// The only partition is a logical one: the stick is not blank.
#[test]
fn a_logical_volume_alone_is_found() {
    if !all_present(&["mkfs.fat", "sfdisk"]) {
        return;
    }
    let desk = Desk::new();
    let parts = [(4096, 36 * 2048, "32")];
    format_parts(&classic(&desk, "start=2048,type=5\nstart=4096,size=73728,type=c\n"), &parts);
    let document = examined(&desk);
    assert_eq!((table(&document), volumes(&document)), (&json!("mbr"), as_volumes(&parts)));
    assert!(!codes(&document).contains(&"blank-stick"));
}

/// UEFI 2.10, 5.3.2: where the first header's checksum does not hold, the one in the last sector serves.
#[test]
fn the_second_guid_table_serves_where_the_first_is_damaged() {
    if !all_present(&["mkfs.fat", "sgdisk"]) {
        return;
    }
    let header_gone = |bytes: &mut Vec<u8>| bytes[512..1024].fill(0);
    let header_wrong = |bytes: &mut Vec<u8>| bytes[512 + 72] ^= 0x40;
    let entry_moved = |bytes: &mut Vec<u8>| bytes[1024 + 33] ^= 0x10;
    let entries_gone = |bytes: &mut Vec<u8>| bytes[1024..1024 + 16_384].fill(0);
    let damages: [fn(&mut Vec<u8>); 4] = [header_gone, header_wrong, entry_moved, entries_gone];
    let desk = Desk::new();
    let path = guid(&desk, &[]);
    let sound = std::fs::read(&path).unwrap();
    let mut failed = Vec::new();
    for (number, damage) in damages.into_iter().enumerate() {
        change(&path, damage);
        let document = examined(&desk);
        std::fs::write(&path, &sound).unwrap();
        if table(&document) != "gpt" || volumes(&document) != as_volumes(&[FIRST_PART]) {
            failed.push(number);
        }
    }
    assert_eq!(failed, [0; 0]);
}

/// UEFI 2.10, 5.2.3: a GUID table counts only behind a protective entry (type EE); an old one may be left over behind a
/// classic table made later.
#[test]
fn a_guid_table_left_over_behind_a_classic_one_does_not_count() {
    if !all_present(&["mkfs.fat", "sgdisk"]) {
        return;
    }
    let desk = Desk::new();
    change(&guid(&desk, &[]), |bytes| {
        bytes[446 + 4] = 0x0C;
        bytes[446 + 8..446 + 12].copy_from_slice(&2048_u32.to_le_bytes());
        bytes[446 + 12..446 + 16].copy_from_slice(&(36 * 2048_u32).to_le_bytes());
    });
    let document = examined(&desk);
    assert_eq!((table(&document), volumes(&document)), (&json!("mbr"), as_volumes(&[FIRST_PART])));
}

/// FAT32 is told by its own fields (sectors of a table at byte 22 are zero) also where it has fewer clusters than the
/// specification wants: mkfs.fat makes such volumes with a warning and fsck.fat accepts them; an indicator may not.
#[test]
fn fat32_with_too_few_clusters_is_read() {
    if !all_present(&["mkfs.fat", "fsck.fat"]) {
        return;
    }
    let desk = Desk::new();
    let path = blank(&desk, 8 * TRACKS);
    run("mkfs.fat", &["-F", "32", "-n", "SALES", &path]);
    run("fsck.fat", &["-n", &path]);
    assert_eq!(volumes(&examined(&desk))[0][2], "fat32");
}
