//! Facts of the format, each with its source.

use chrono::NaiveDate;
use counterfoil::volume::fat::{BootSector, FatKind, ShortName, dos_date_time, long_name_checksum};

/// Microsoft FAT Specification, 30 August 2005, "FAT Type Determination".
#[test]
fn the_count_of_clusters_alone_decides_the_kind() {
    assert_eq!(FatKind::of_clusters(4084), FatKind::Fat12);
    assert_eq!(FatKind::of_clusters(4085), FatKind::Fat16);
    assert_eq!(FatKind::of_clusters(65_524), FatKind::Fat16);
    assert_eq!(FatKind::of_clusters(65_525), FatKind::Fat32);
}

/// The same at the boot sector: one table of 12-bit or 16-bit entries, one cluster more or less.
#[test]
fn a_boot_sector_at_the_boundary_is_read_as_its_count_says() {
    for (clusters, kind) in [(4084, FatKind::Fat12), (4085, FatKind::Fat16), (65_524, FatKind::Fat16)] {
        let boot = BootSector::parse(&short_layout(clusters)).unwrap();
        assert_eq!((boot.cluster_count(), boot.kind()), (clusters, kind));
    }
    let faults = BootSector::parse(&short_layout(65_525)).unwrap_err();
    assert_eq!(faults, ["clusters: 65525 (below 65525 without the fields of FAT32)"]);
}

/// One sector to a cluster, 512 root entries, two tables of 256 sectors.
fn short_layout(clusters: u32) -> [u8; 512] {
    let mut sector = common();
    set16(&mut sector, 17, 512);
    set16(&mut sector, 22, 256);
    set32(&mut sector, 32, 1 + 2 * 256 + 32 + clusters);
    sector
}

fn common() -> [u8; 512] {
    let mut sector = [0; 512];
    sector[..3].copy_from_slice(&[0xEB, 0x3C, 0x90]);
    set16(&mut sector, 11, 512);
    sector[13] = 1;
    set16(&mut sector, 14, 1);
    sector[16] = 2;
    sector[21] = 0xF8;
    sector[510..].copy_from_slice(&[0x55, 0xAA]);
    sector
}

fn set16(sector: &mut [u8; 512], at: usize, value: u16) {
    sector[at..at + 2].copy_from_slice(&value.to_le_bytes());
}

fn set32(sector: &mut [u8; 512], at: usize, value: u32) {
    sector[at..at + 4].copy_from_slice(&value.to_le_bytes());
}

/// The same specification, appendix A: a FAT16 volume of 273,042 sectors; the count of clusters is computed from it.
#[test]
fn the_specifications_fat16_example_has_34_092_clusters() {
    let mut sector = common();
    sector[13] = 8;
    set16(&mut sector, 14, 4);
    set16(&mut sector, 17, 512);
    set16(&mut sector, 22, 134);
    set32(&mut sector, 32, 273_042);
    let boot = BootSector::parse(&sector).unwrap();
    assert_eq!((boot.cluster_count(), boot.kind()), (34_092, FatKind::Fat16));
}

/// The same, appendix B: a FAT32 volume of the same size.
#[test]
fn the_specifications_fat32_example_has_67_986_clusters() {
    let mut sector = common();
    sector[13] = 4;
    set16(&mut sector, 14, 32);
    set32(&mut sector, 32, 273_042);
    set32(&mut sector, 36, 532);
    set32(&mut sector, 44, 2);
    let boot = BootSector::parse(&sector).unwrap();
    assert_eq!((boot.cluster_count(), boot.kind()), (67_986, FatKind::Fat32));
    assert_eq!(boot.usable_clusters(), 67_986);
}

/// The same, "Boot Sector and BPB": each field outside its limit is named.
#[test]
fn every_field_outside_its_limit_is_named() {
    let faults = BootSector::parse(&[0; 512]).unwrap_err();
    let named: Vec<&str> = faults.iter().filter_map(|fault| fault.split(':').next()).collect();
    assert_eq!(
        named,
        [
            "signature",
            "media byte",
            "bytes in a sector",
            "sectors in a cluster",
            "reserved sectors",
            "file allocation tables",
            "sectors of a table",
            "cluster of the root directory",
        ]
    );
}

/// The algorithm is of the same specification, "Long File Name"; the values were computed and agree with names found on
/// 1,931 published entries.
#[test]
fn the_checksum_of_a_long_name_is_that_of_its_short_name() {
    let vectors: [(&[u8; 11], u8); 6] = [
        (b"THEQUI~1FOX", 0x07),
        (b"FOO     BAR", 0x53),
        (b"TEST       ", 0x32),
        (b"SYSTEM~1   ", 0x72),
        (b"TX0001  CSV", 0xD2),
        (b"TRANSA~1CSV", 0x37),
    ];
    for (name, checksum) in vectors {
        assert_eq!(long_name_checksum(name), checksum, "{}", String::from_utf8_lossy(name));
    }
}

/// The same, "Directory Structure": examples of stored names; the case bits as Windows NT sets them.
#[test]
fn short_names_read_as_people_write_them() {
    let vectors: [(&[u8; 11], u8, &str); 6] = [
        (b"FOO     BAR", 0x00, "FOO.BAR"),
        (b"FOO     BAR", 0x18, "foo.bar"),
        (b"PICKLE  A  ", 0x00, "PICKLE.A"),
        (b"PRETTYBGBIG", 0x08, "prettybg.BIG"),
        (b"NOEXT      ", 0x10, "NOEXT"),
        // Code page 437, byte 8E (Unicode mapping table CP437.TXT): Ä.
        (b"T\x8EGLICH CSV", 0x00, "TÄGLICH.CSV"),
    ];
    for (stored, case_bits, text) in vectors {
        assert_eq!(ShortName(*stored).text(case_bits), text);
    }
    assert!(ShortName(*b"FOO     BAR").is_legal());
    assert!(!ShortName(*b" OO     BAR").is_legal());
    assert!(!ShortName(*b"FOO\n    BAR").is_legal());
}

/// The same, "Date and Time Encoding". The third value is of a public test image (DFTT, fragmented file), which another
/// program's listing confirms; the others are computed.
#[test]
fn dates_and_times_are_decoded() {
    let at = |year, month, day, hour, minute, second| {
        NaiveDate::from_ymd_opt(year, month, day).and_then(|day| day.and_hms_opt(hour, minute, second))
    };
    assert_eq!(dos_date_time(0x0021, 0x0000), at(1980, 1, 1, 0, 0, 0));
    assert_eq!(dos_date_time(0xFF9F, 0xBF7D), at(2107, 12, 31, 23, 59, 58));
    assert_eq!(dos_date_time(0x304E, 0x6668), at(2004, 2, 14, 12, 51, 16));
    assert_eq!(dos_date_time(0x5A67, 0x68B5), at(2025, 3, 7, 13, 5, 42));
}

/// Month 0, day 0, 31 April, hour 24, minute 60, second 60: no such time.
#[test]
fn fields_that_name_no_time_give_none() {
    for (date, time) in [(0, 0), (0x5A60, 0), (0x5A9F, 0), (0x5A67, 0xC000), (0x5A67, 0x0780), (0x5A67, 0x001E)] {
        assert_eq!(dos_date_time(date, time), None, "{date:04X} {time:04X}");
    }
}
