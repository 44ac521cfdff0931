//! Sticks made by the formatting tools of Debian: format, partitions, sizes and verdict are what the tool was asked for.

use std::fs::File;

use serde_json::{Value, json};

use crate::support::judges::{ask, present, run};
use crate::support::program::{Desk, codes};

const MIB: u64 = 1 << 20;

/// A sparse file of zeros.
fn blank(desk: &Desk, bytes: u64) -> String {
    let path = desk.named("stick.img");
    File::create(&path).unwrap().set_len(bytes).unwrap();
    path
}

/// The whole document on the stick of this desk, which is the same afterwards as before.
fn examined(desk: &Desk) -> Value {
    let (document, exit) = desk.json(&["examine", "stick.img", "--files"]);
    assert_eq!(exit, 1, "without an export something needs a person");
    document
}

fn stick(document: &Value) -> &Value {
    &document["sources"][0]["stick"]
}

/// Where each volume lies and what it is: offset, size, format, label, bytes of a cluster.
fn volumes(document: &Value) -> Vec<Value> {
    let fields = ["offset_bytes", "size_bytes", "file_system", "label", "cluster_bytes"];
    let volumes = stick(document)["volumes"].as_array().unwrap().iter();
    volumes.map(|volume| fields.iter().map(|field| volume[*field].clone()).collect()).collect()
}

fn table(document: &Value) -> &Value {
    &stick(document)["partition_table"]
}

/// A format that cannot be read here and that no indicator writes.
struct Foreign {
    tool: &'static str,
    arguments: &'static [&'static str],
    mebibytes: u64,
    file_system: &'static str,
    /// Sectors and clusters, where the format's first structure states them.
    sector_bytes: Option<u64>,
    cluster_bytes: Option<u64>,
}

const fn foreign(
    tool: &'static str,
    arguments: &'static [&'static str],
    mebibytes: u64,
    file_system: &'static str,
) -> Foreign {
    Foreign { tool, arguments, mebibytes, file_system, sector_bytes: None, cluster_bytes: None }
}

/// The smallest sizes the tools take; the image's path goes behind the arguments.
const FOREIGN: [Foreign; 13] = [
    Foreign {
        sector_bytes: Some(512),
        cluster_bytes: Some(32 << 10),
        ..foreign("mkfs.exfat", &["-c", "32K", "-L", "PENS"], 8, "exfat")
    },
    Foreign {
        sector_bytes: Some(512),
        cluster_bytes: Some(2048),
        ..foreign("mkntfs", &["-F", "-Q", "-q", "-s", "512", "-c", "2048", "-L", "PENS"], 8, "ntfs")
    },
    Foreign { cluster_bytes: Some(1024), ..foreign("mke2fs", &["-q", "-F", "-t", "ext2", "-b", "1024"], 2, "ext") },
    Foreign { cluster_bytes: Some(4096), ..foreign("mke2fs", &["-q", "-F", "-t", "ext3", "-b", "4096"], 8, "ext") },
    Foreign { cluster_bytes: Some(1024), ..foreign("mke2fs", &["-q", "-F", "-t", "ext4", "-b", "1024"], 2, "ext") },
    foreign("mkfs.btrfs", &["-q", "--mixed"], 16, "btrfs"),
    // Without the word it takes no less than 300 MB.
    foreign("mkfs.xfs", &["-q", "--unsupported"], 16, "xfs"),
    foreign("mkfs.f2fs", &["-q"], 64, "f2fs"),
    foreign("mkudffs", &["-b", "512"], 4, "udf"),
    foreign("mkudffs", &["-b", "2048"], 4, "udf"),
    foreign("mkudffs", &["-b", "4096"], 4, "udf"),
    foreign("cryptsetup", &["luksFormat", "-q", "--type", "luks1", "--pbkdf-force-iterations", "1000"], 4, "luks"),
    foreign(
        "cryptsetup",
        &["luksFormat", "-q", "--type", "luks2", "--pbkdf", "pbkdf2", "--pbkdf-force-iterations", "1000"],
        20,
        "luks",
    ),
];

impl Foreign {
    /// Formats a stick; the passphrase is taken from the input by the one tool that asks for one.
    fn format(&self, desk: &Desk) {
        let path = blank(desk, self.mebibytes * MIB);
        let key: &[&str] = if self.tool == "cryptsetup" { &["--key-file", "-"] } else { &[] };
        let done = ask(self.tool, &[self.arguments, key, &[path.as_str()]].concat(), b"fictional passphrase").unwrap();
        assert!(done.status.success(), "{}: {}", self.tool, String::from_utf8_lossy(&done.stderr));
    }

    fn check(&self, document: &Value) {
        let name = format!("{} {:?}", self.tool, self.arguments);
        let stick = stick(document);
        let volume = &stick["volumes"][0];
        assert_eq!(stick["volumes"].as_array().unwrap().len(), 1, "{name}");
        assert_eq!(stick["partition_table"], "none", "{name}");
        assert_eq!(volume["file_system"], self.file_system, "{name}");
        assert_eq!(volume["offset_bytes"], 0, "{name}");
        assert_eq!(volume["size_bytes"], self.mebibytes * MIB, "{name}");
        assert_eq!(volume["writable_by_indicator"], false, "{name}");
        assert_eq!(volume["files"], json!([]), "{name}");
        if let Some(sector) = self.sector_bytes {
            assert_eq!(stick["sector_bytes"], sector, "{name}");
        }
        if let Some(cluster) = self.cluster_bytes {
            assert_eq!(volume["cluster_bytes"], cluster, "{name}");
        }
        assert_eq!(stick["verdict"], "not-ready", "{name}");
        assert_eq!(codes(document), ["wrong-format", "no-export"], "{name}");
    }
}

#[test]
fn formats_no_indicator_writes_are_named() {
    for case in FOREIGN.iter().filter(|case| present(case.tool)) {
        let desk = Desk::new();
        case.format(&desk);
        case.check(&examined(&desk));
    }
}

/// What lies beneath a format made over another counts for nothing: the newer one has the sounder structures.
#[test]
fn the_newer_of_two_formats_is_named() {
    let cases: [(&[&'static str], &[&'static str], &str); 4] = [
        (&["mkntfs", "-F", "-Q", "-q"], &["mke2fs", "-q", "-F", "-t", "ext4"], "ext"),
        (&["mke2fs", "-q", "-F", "-t", "ext4"], &["mkfs.fat", "-F", "16"], "fat16"),
        (&["mkudffs", "-b", "512"], &["mkfs.fat", "-F", "16"], "fat16"),
        (&["mkfs.exfat"], &["mke2fs", "-q", "-F", "-t", "ext2"], "ext"),
    ];
    for (older, newer, expected) in cases {
        if !tools(&[older[0], newer[0]]) {
            continue;
        }
        let desk = Desk::new();
        let path = blank(&desk, 16 * MIB);
        for made in [older, newer] {
            run(made[0], &[&made[1..], &[path.as_str()]].concat());
        }
        assert_eq!(volumes(&examined(&desk))[0][2], expected, "{older:?} {newer:?}");
    }
}

/// A CD image, plain and with UDF beside it: a computer that knows both takes either.
#[test]
fn a_cd_image_is_named() {
    if !present("genisoimage") {
        return;
    }
    for more in [&[][..], &["-udf"]] {
        let desk = Desk::new();
        let content = desk.put("tree/readme.txt", "nothing from a scale");
        let folder = std::path::Path::new(&content).parent().unwrap().to_str().unwrap();
        let image = desk.named("stick.img");
        run("genisoimage", &[more, &["-quiet", "-V", "PENS", "-o", &image, folder]].concat());
        let document = examined(&desk);
        assert_eq!(volumes(&document)[0][2], "iso9660");
        assert_eq!(stick(&document)["verdict"], "not-ready");
        assert_eq!(codes(&document), ["wrong-format", "no-export"]);
    }
}

/// A volume of `mkfs.fat` that takes the whole stick.
struct Superfloppy {
    bits: &'static str,
    sector_bytes: u64,
    sectors_per_cluster: u64,
    /// A multiple of the tracks mkfs.fat assumes, so that it uses every sector.
    bytes: u64,
    verdict: &'static str,
    codes: &'static [&'static str],
}

/// Whole tracks by both of its ways of counting, 32 and 63 sectors to one, in sectors of 512 bytes.
const TRACKS: u64 = 32 * 63 * 512;

const SUPERFLOPPIES: [Superfloppy; 9] = [
    superfloppy("12", 512, 1, 1_474_560, "unknown", &["no-export", "wrong-format", "no-partition-table"]),
    superfloppy("16", 512, 4, 16 * MIB, "unknown", &["no-export", "wrong-format", "no-partition-table"]),
    superfloppy("32", 512, 1, 36 * MIB, "ready", &["no-export", "no-partition-table"]),
    // Beyond 1 GiB no checksum of the whole is made.
    superfloppy("32", 512, 64, 2100 * TRACKS, "ready", &["no-export", "no-partition-table"]),
    superfloppy("12", 4096, 1, 8 * MIB, "not-ready", &WITH_LARGE_SECTORS),
    superfloppy("16", 4096, 1, 32 * MIB, "not-ready", &WITH_LARGE_SECTORS),
    superfloppy(
        "32",
        4096,
        1,
        1280 * TRACKS,
        "not-ready",
        &["sector-size-unsuitable", "no-export", "no-partition-table"],
    ),
    // A cluster of 64 KiB; the FAT specification has 32 KiB as the most.
    superfloppy(
        "32",
        512,
        128,
        5200 * TRACKS,
        "not-ready",
        &["cluster-size-unsuitable", "no-export", "no-partition-table"],
    ),
    superfloppy("32", 512, 64, 9000 * TRACKS, "not-ready", &["too-large", "no-export", "no-partition-table"]),
];

const WITH_LARGE_SECTORS: [&str; 4] = ["sector-size-unsuitable", "no-export", "wrong-format", "no-partition-table"];

const fn superfloppy(
    bits: &'static str,
    sector_bytes: u64,
    sectors_per_cluster: u64,
    bytes: u64,
    verdict: &'static str,
    codes: &'static [&'static str],
) -> Superfloppy {
    Superfloppy { bits, sector_bytes, sectors_per_cluster, bytes, verdict, codes }
}

impl Superfloppy {
    fn check(&self) {
        let desk = Desk::new();
        let path = blank(&desk, self.bytes);
        let (sector, cluster) = (self.sector_bytes.to_string(), self.sectors_per_cluster.to_string());
        run("mkfs.fat", &["-F", self.bits, "-S", &sector, "-s", &cluster, "-n", "SALES", &path]);
        let document = examined(&desk);
        let name = format!("FAT{}, sectors of {sector}", self.bits);
        assert_eq!(table(&document), "none", "{name}");
        assert_eq!(stick(&document)["sector_bytes"], self.sector_bytes, "{name}");
        let cluster = self.sector_bytes * self.sectors_per_cluster;
        let format = format!("fat{}", self.bits);
        assert_eq!(volumes(&document), [json!([0, self.bytes, format, "SALES", cluster])], "{name}");
        assert_eq!(stick(&document)["verdict"], self.verdict, "{name}");
        assert_eq!(codes(&document), self.codes, "{name}");
    }
}

#[test]
fn volumes_without_a_partition_table_are_as_asked() {
    if present("mkfs.fat") {
        SUPERFLOPPIES.iter().for_each(Superfloppy::check);
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
    if !tools(&["mkfs.fat", "mcopy"]) {
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

fn tools(names: &[&str]) -> bool {
    names.iter().all(|name| present(name))
}

#[test]
fn partitions_of_the_classic_table_are_as_asked() {
    if !tools(&["mkfs.fat", "sfdisk"]) {
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
    if !tools(&["mkfs.fat", "sgdisk"]) {
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
    if !tools(&["mkfs.fat", "sfdisk"]) {
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
    if !tools(&["mkfs.fat", "sfdisk"]) {
        return;
    }
    let desk = Desk::new();
    let parts = [(4096, 36 * 2048, "32")];
    format_parts(&classic(&desk, "start=2048,type=5\nstart=4096,size=73728,type=c\n"), &parts);
    let document = examined(&desk);
    assert_eq!((table(&document), volumes(&document)), (&json!("mbr"), as_volumes(&parts)));
    assert!(!codes(&document).contains(&"blank-stick"));
}

fn change(path: &str, edit: impl FnOnce(&mut Vec<u8>)) {
    let mut bytes = std::fs::read(path).unwrap();
    edit(&mut bytes);
    std::fs::write(path, bytes).unwrap();
}

/// UEFI 2.10, 5.3.2: where the first header's checksum does not hold, the one in the last sector serves.
#[test]
fn the_second_guid_table_serves_where_the_first_is_damaged() {
    if !tools(&["mkfs.fat", "sgdisk"]) {
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
    if !tools(&["mkfs.fat", "sgdisk"]) {
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

/// Labels that the tools were given (the label of exFAT is an entry of its root directory, that of NTFS a record of its
/// master file table; Btrfs, XFS, F2FS, UDF, ISO 9660 and LUKS2 have it in their first structures).
#[test]
fn labels_of_foreign_formats_are_told() {
    let cases: [(&'static str, &'static [&'static str], u64); 8] = [
        ("mkfs.exfat", &["-L", "PENS"], 8),
        ("mkntfs", &["-F", "-Q", "-q", "-L", "PENS"], 8),
        ("mke2fs", &["-q", "-F", "-t", "ext4", "-L", "PENS"], 4),
        ("mkfs.btrfs", &["-q", "--mixed", "-L", "PENS"], 16),
        ("mkfs.xfs", &["-q", "--unsupported", "-L", "PENS"], 16),
        ("mkfs.f2fs", &["-q", "-l", "PENS"], 64),
        ("mkudffs", &["-b", "512", "-l", "PENS"], 4),
        (
            "cryptsetup",
            &[
                "luksFormat",
                "-q",
                "--type",
                "luks2",
                "--label",
                "PENS",
                "--pbkdf",
                "pbkdf2",
                "--pbkdf-force-iterations",
                "1000",
            ],
            20,
        ),
    ];
    let mut missing = Vec::new();
    for (tool, arguments, mebibytes) in cases.into_iter().filter(|(tool, ..)| present(tool)) {
        let desk = Desk::new();
        foreign(tool, arguments, mebibytes, "").format(&desk);
        if volumes(&examined(&desk))[0][3] != "PENS" {
            missing.push(tool);
        }
    }
    assert_eq!(missing, [""; 0]);
}

/// A format is known by its second structures where the first are wiped: exFAT's spare boot region (exFAT specification
/// 1.00, 3: sector 12), NTFS's copy in the volume's last sector, ext's spare superblock (block 8193 at blocks of 1 KiB),
/// F2FS's second superblock (byte 5120), LUKS2's second header (byte 16384, "SKUL" for "LUKS").
#[test]
fn formats_are_known_by_their_second_structures() {
    let luks2: &[&str] =
        &["luksFormat", "-q", "--type", "luks2", "--pbkdf", "pbkdf2", "--pbkdf-force-iterations", "1000"];
    let cases: [(Foreign, std::ops::Range<usize>); 5] = [
        (foreign("mkfs.exfat", &[], 8, "exfat"), 0..512),
        (foreign("mkntfs", &["-F", "-Q", "-q"], 8, "ntfs"), 0..512),
        (foreign("mke2fs", &["-q", "-F", "-t", "ext4", "-b", "1024"], 16, "ext"), 0..4096),
        (foreign("mkfs.f2fs", &["-q"], 64, "f2fs"), 0..4096),
        (Foreign { arguments: Box::leak(luks2.into()), ..foreign("cryptsetup", &[], 20, "luks") }, 0..4096),
    ];
    let mut unknown = Vec::new();
    for (case, wiped) in cases.into_iter().filter(|(case, _)| present(case.tool)) {
        let desk = Desk::new();
        case.format(&desk);
        change(&desk.named("stick.img"), |bytes| bytes[wiped].fill(0));
        let document = examined(&desk);
        if volumes(&document)[0][2] != case.file_system || codes(&document).contains(&"blank-stick") {
            unknown.push((case.tool, volumes(&document)[0][2].clone()));
        }
    }
    assert_eq!(unknown, []);
}

/// FAT32 is told by its own fields (sectors of a table at byte 22 are zero) also where it has fewer clusters than the
/// specification wants: mkfs.fat makes such volumes with a warning and fsck.fat accepts them; an indicator may not.
#[test]
fn fat32_with_too_few_clusters_is_read() {
    if !tools(&["mkfs.fat", "fsck.fat"]) {
        return;
    }
    let desk = Desk::new();
    let path = blank(&desk, 8 * TRACKS);
    run("mkfs.fat", &["-F", "32", "-n", "SALES", &path]);
    run("fsck.fat", &["-n", &path]);
    assert_eq!(volumes(&examined(&desk))[0][2], "fat32");
}
