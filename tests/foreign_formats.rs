//! Sticks in formats that are not read here, made by the formatting tools of Debian: each is named, measured and judged.

use serde_json::{Value, json};

use crate::support::formatted::{MIB, blank, change, examined, stick, volumes};
use crate::support::judges::{all_present, ask, present, run};
use crate::support::program::{Desk, codes};

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
        if !all_present(&[older[0], newer[0]]) {
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
