//! Devices: how large they are where the system does not say, reading by whole sectors, and how they are named.

use std::io;
use std::ops::Range;
use std::path::{Path, PathBuf};

use counterfoil::stick::{ByteSource, FileBytes, Named, is_raw_disk, open, read_aligned, sector_count};

/// The size of a device of so many sectors, some of which cannot be read, and how often it was asked.
fn counted(sectors: u64, bad: &[Range<u64>]) -> (u64, u32) {
    let mut asked = 0;
    let found = sector_count(&mut |sector| {
        asked += 1;
        sector < sectors && !bad.iter().any(|range| range.contains(&sector))
    });
    (found, asked)
}

#[test]
fn the_last_sector_is_found_whatever_the_size() {
    for sectors in (0..2100).chain([4095, 4096, 4097, 15_634_431, 15_634_432, 1 << 33, (1 << 33) + 1]) {
        let (found, asked) = counted(sectors, &[]);
        assert_eq!(found, sectors);
        assert!(asked < 600, "{sectors} sectors: asked {asked} times");
    }
}

#[test]
fn worn_places_are_not_taken_for_the_end() {
    let bad = [0..1, 1024..1025, 4096..4200, 1 << 20..(1 << 20) + 1000, 3_000_000..3_000_512];
    assert_eq!(counted(4_000_000, &bad).0, 4_000_000);
    assert_eq!(counted(1 << 21, std::slice::from_ref(&((1 << 20) - 1..(1 << 20) + 1))).0, 1 << 21);
}

#[test]
fn a_size_that_is_found_never_reaches_beyond_what_could_be_read() {
    let worn_to_the_end = 900_000..1_000_000;
    let (found, _) = counted(1_000_000, std::slice::from_ref(&worn_to_the_end));
    assert_eq!(found, worn_to_the_end.start);
    let worn_out = 0..1_000;
    assert_eq!(counted(1_000, std::slice::from_ref(&worn_out)).0, 0);
}

#[test]
fn a_device_without_end_is_not_searched_for_ever() {
    let mut asked = 0;
    let found = sector_count(&mut |_| {
        asked += 1;
        true
    });
    assert!(found >= 1 << 47 && asked < 600, "{found} sectors, asked {asked} times");
}

/// A device as raw ones of macOS and Windows are: whole sectors at multiples of a sector, nothing beyond the end.
struct Sectors {
    bytes: Vec<u8>,
    sector: usize,
    bad: Range<usize>,
    largest: usize,
}

impl Sectors {
    fn new(size: usize, sector: usize) -> Self {
        let bytes = (0..size).map(|n| u8::try_from(n * 7 % 251).unwrap()).collect();
        Self { bytes, sector, bad: 0..0, largest: 0 }
    }

    fn read(&mut self, at: u64, out: &mut [u8]) -> io::Result<()> {
        let at = usize::try_from(at).unwrap();
        let end = at + out.len();
        if !at.is_multiple_of(self.sector) || !out.len().is_multiple_of(self.sector) {
            return Err(io::Error::other("not whole sectors"));
        }
        if end > self.bytes.len() {
            return Err(io::Error::other("beyond the end"));
        }
        if at < self.bad.end && end > self.bad.start {
            return Err(io::Error::other("worn"));
        }
        self.largest = self.largest.max(out.len());
        out.copy_from_slice(&self.bytes[at..end]);
        Ok(())
    }

    /// Reads through the code under test.
    fn ask(&mut self, at: usize, length: usize) -> io::Result<Vec<u8>> {
        let mut out = vec![0xEE; length];
        let size = self.bytes.len() as u64;
        read_aligned(size, at as u64, &mut out, &mut |at, sectors| self.read(at, sectors))?;
        Ok(out)
    }
}

#[test]
fn any_bytes_are_had_of_a_device_that_gives_whole_sectors() {
    for (size, sector) in [(8 * 4096, 4096), (5 * 4096 + 512, 512), (7 * 4096 + 3584, 512), (512, 512)] {
        let mut device = Sectors::new(size, sector);
        let places = [0, 1, 511, 512, 513, 4095, 4096, 4097, 9000, size - 1, size - 512, size];
        for at in places.into_iter().filter(|at| *at <= size) {
            for length in [0, 1, 3, 511, 512, 600, 4096, 5000, size].into_iter().filter(|length| at + length <= size) {
                let wanted = device.bytes[at..at + length].to_vec();
                assert_eq!(device.ask(at, length).unwrap(), wanted, "{length} bytes at {at} of {size}");
            }
        }
    }
}

#[test]
fn large_reads_are_had_in_bounded_pieces() {
    let mut device = Sectors::new((1 << 20) + 512, 512);
    let wanted = device.bytes[5..(1 << 20) + 500].to_vec();
    assert_eq!(device.ask(5, wanted.len()).unwrap(), wanted);
    assert!(device.largest <= 64 << 10, "{} bytes at once", device.largest);
}

#[test]
fn a_bad_sector_costs_nothing_beside_it() {
    let mut device = Sectors::new(16 * 4096, 512);
    device.bad = 5 * 512..6 * 512;
    assert_eq!(device.ask(4 * 512, 512).unwrap(), device.bytes[4 * 512..5 * 512]);
    assert_eq!(device.ask(6 * 512 + 3, 9).unwrap(), device.bytes[6 * 512 + 3..6 * 512 + 12]);
    assert_eq!(device.ask(5 * 512 + 3, 9).unwrap_err().to_string(), "worn");
}

#[test]
fn a_file_opened_as_a_device_gives_the_same_bytes() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bytes");
    let bytes: Vec<u8> = (0..70_000_u32 / 512 * 512).map(|n| (n % 253) as u8).collect();
    std::fs::write(&path, &bytes).unwrap();
    let device = FileBytes::open_device(&path).unwrap();
    assert_eq!(device.size(), bytes.len() as u64);
    let mut out = vec![0; 1000];
    for at in [0, 3, 4000, bytes.len() - 1000] {
        device.read_at(at as u64, &mut out).unwrap();
        assert_eq!(out, bytes[at..at + 1000]);
    }
    assert!(device.read_at(bytes.len() as u64 - 999, &mut out).is_err());
}

#[test]
fn names_of_drives_on_windows() {
    let device = |path: &str| Named::Device(PathBuf::from(path));
    let path = |path: &str| Named::Path(PathBuf::from(path));
    for (typed, named) in [
        (r"\\.\E:", device(r"\\.\E:")),
        (r"\\.\E:\", device(r"\\.\E:")),
        ("//./e:", device(r"\\.\E:")),
        (r"\\.\PhysicalDrive1", device(r"\\.\PhysicalDrive1")),
        ("E:", path(r"E:\")),
        ("e:", path(r"E:\")),
        (r"E:\", path(r"E:\")),
        ("E:/WEIGHED", path("E:/WEIGHED")),
        (r"E:stick.img", path(r"E:stick.img")),
        (r"\\office\sales", path(r"\\office\sales")),
        ("stick.img", path("stick.img")),
        ("1:", path("1:")),
        ("", path("")),
    ] {
        assert_eq!(Named::on_windows(typed), named, "{typed}");
    }
}

#[test]
fn names_of_raw_drives_on_macos() {
    for name in ["/dev/rdisk2", "/dev/rdisk12", "/dev/rdisk2s1"] {
        assert!(is_raw_disk(Path::new(name)), "{name}");
    }
    for name in ["/dev/null", "/dev/random", "/dev/rdisk", "/dev/disk2", "/dev/tty1", "/", "/dev/rdisks1"] {
        assert!(!is_raw_disk(Path::new(name)), "{name}");
    }
}

#[cfg(unix)]
#[test]
fn a_character_device_that_is_no_drive_is_no_source() {
    let said = open(Path::new("/dev/null"), "s1").unwrap_err().to_string();
    assert!(said.contains("neither a file, a folder nor a drive"), "{said}");
}

/// Two devices whose end cannot be sought: one that gives zeros without end, one that gives nothing.
#[cfg(target_os = "linux")]
#[test]
fn where_the_end_cannot_be_sought_it_is_read_for() {
    let zeros = FileBytes::open_device(Path::new("/dev/zero")).unwrap();
    assert!(zeros.size() > 1 << 50, "{}", zeros.size());
    let mut out = [0xEE; 700];
    zeros.read_at(5, &mut out).unwrap();
    assert_eq!(out, [0; 700]);
    let said = FileBytes::open_device(Path::new("/dev/null")).unwrap_err().to_string();
    assert_eq!(said, "/dev/null is a drive with nothing in it. Put the stick in and wait until the computer shows it.");
}
