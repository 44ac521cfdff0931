//! Volumes made by other programs are read back byte for byte.

use std::fs;
use std::path::Path;

use counterfoil::stick;
use counterfoil::volume::{FileState, FileSystem, PartitionTable, StoredFile, Survey, survey, survey_medium};
use fatfs::FatType;

use crate::support::fat_image::{EVERY_KIND, FatImage, export, in_partition};
use crate::support::judges::{all_present, run};
use crate::support::memory::{Patched, gzip, read_all, sha256};

fn file<'a>(survey: &'a Survey, path: &str) -> &'a StoredFile {
    let mut files = survey.volumes.iter().flat_map(|volume| &volume.files);
    files.find(|file| file.path.as_deref() == Some(path)).unwrap_or_else(|| panic!("{path} is not listed: {survey:#?}"))
}

fn content(survey: &Survey, medium: &[u8], path: &str) -> Vec<u8> {
    read_all(&file(survey, path).over(&Patched::whole(medium)))
}

const NAMES: [(FatType, FileSystem); 3] =
    [(FatType::Fat12, FileSystem::Fat12), (FatType::Fat16, FileSystem::Fat16), (FatType::Fat32, FileSystem::Fat32)];

#[test]
fn what_fatfs_wrote_is_read_back() {
    for (kind, file_system) in NAMES {
        let image = FatImage::with_exports(kind);
        let before = sha256(&image.bytes);
        let seen = survey(&Patched::whole(&image.bytes), "stick");
        let volume = &seen.volumes[0];
        assert_eq!(volume.file_system, file_system);
        assert_eq!(volume.label.as_deref(), Some("SALE DAY"));
        assert_eq!((volume.sector_bytes, volume.cluster_bytes, volume.dirty), (Some(512), Some(512), Some(false)));
        assert_eq!(seen.partition_table, Some(PartitionTable::None));
        assert_eq!(content(&seen, &image.bytes, "TX0001.CSV"), export(40));
        assert_eq!(content(&seen, &image.bytes, "TX0002.CSV"), export(30));
        assert_eq!(content(&seen, &image.bytes, "OLD/A longer name.csv"), export(20));
        let modified = file(&seen, "TX0001.CSV").modified.map(|at| at.to_string());
        assert_eq!(modified.as_deref(), Some("2025-03-07 13:05:42"));
        assert_eq!(seen.findings, []);
        assert_eq!(sha256(&image.bytes), before, "the medium was changed");
    }
}

#[test]
fn a_byte_of_a_file_is_found_on_the_medium() {
    let image = FatImage::with_exports(FatType::Fat16);
    let disk = in_partition(&image.bytes, 0x06);
    let seen = survey(&Patched::whole(&disk), "stick");
    assert_eq!(seen.partition_table, Some(PartitionTable::Mbr));
    let stored = file(&seen, "TX0002.CSV");
    let wanted = export(30);
    for at in [0, 1, 511, 512, wanted.len() - 1] {
        let place = stored.medium_offset(at as u64).unwrap();
        assert_eq!(disk[place as usize], wanted[at]);
    }
    assert_eq!(content(&seen, &disk, "TX0002.CSV"), wanted);
    let chain = wanted.len().next_multiple_of(512) as u64;
    assert_eq!(stored.medium_offset(chain), None);
    assert_eq!(read_all(&stored.over_chain(&Patched::whole(&disk))).len() as u64, chain);
}

/// Free space is that of `fatfs`, which counts the table too.
#[test]
fn free_space_is_counted_from_the_table() {
    for kind in EVERY_KIND {
        let mut image = FatImage::with_exports(kind);
        let seen = survey(&Patched::whole(&image.bytes), "stick");
        let volume = fatfs::FileSystem::new(std::io::Cursor::new(&mut image.bytes), fatfs::FsOptions::new()).unwrap();
        let stats = volume.stats().unwrap();
        assert_eq!(seen.volumes[0].clusters, Some(u64::from(stats.total_clusters())));
        assert_eq!(seen.volumes[0].free_bytes, Some(u64::from(stats.free_clusters()) * 512));
    }
}

#[test]
fn a_deleted_file_is_found_while_its_clusters_are_free() {
    for kind in EVERY_KIND {
        let mut image = FatImage::with_exports(kind);
        image.delete("OLD/A longer name.csv");
        let seen = survey(&Patched::whole(&image.bytes), "stick");
        let deleted = file(&seen, "OLD/A longer name.csv");
        assert_eq!((deleted.state, deleted.whole), (FileState::Deleted, true));
        assert_eq!(content(&seen, &image.bytes, "OLD/A longer name.csv"), export(20));
        image.write("TX0003.CSV", &export(2));
        let seen = survey(&Patched::whole(&image.bytes), "stick");
        let deleted = file(&seen, "OLD/A longer name.csv");
        if kind == FatType::Fat32 {
            // fatfs goes on behind the cluster it used last there.
            assert!(deleted.whole);
        } else {
            assert_eq!((deleted.state, deleted.whole, deleted.bytes_had()), (FileState::Deleted, false, 0));
        }
    }
}

/// One volume of mkfs.fat, filled by mtools.
struct Made {
    folder: tempfile::TempDir,
    image: String,
}

impl Made {
    fn new(bits: &str, kilobytes: &str, offset_sectors: Option<u64>) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("stick.img").display().to_string();
        let mut arguments = vec!["-C", "-F", bits, "-n", "SALES", "-s", "1"];
        let offset = offset_sectors.map(|sectors| sectors.to_string());
        if let Some(offset) = &offset {
            arguments.extend(["--offset", offset]);
        }
        arguments.extend([path.as_str(), kilobytes]);
        run("mkfs.fat", &arguments);
        let image = offset_sectors.map_or_else(|| path.clone(), |sectors| format!("{path}@@{}", sectors * 512));
        Self { folder, image }
    }

    fn copy_in(&self, name: &str, to: &str, content: &[u8]) {
        let from = self.folder.path().join(name);
        fs::write(&from, content).unwrap();
        run("mcopy", &["-n", "-m", "-i", &self.image, &from.display().to_string(), &format!("::{to}")]);
    }

    fn mtool(&self, name: &str, arguments: &[&str]) {
        run(name, &[&["-i", &self.image], arguments].concat());
    }

    fn path(&self) -> std::path::PathBuf {
        self.folder.path().join("stick.img")
    }
}

fn tools() -> bool {
    all_present(&["mkfs.fat", "mcopy", "mdel", "mmd"])
}

/// Short and long names, folders, a fragmented file and a deleted one.
fn fill(made: &Made) {
    made.copy_in("a", "/TX0001.CSV", &export(200));
    made.copy_in("b", "/Transactions of the spring sale.csv", &export(90));
    made.mtool("mmd", &["::/2025", "::/2025/March and April"]);
    made.copy_in("c", "/2025/March and April/lower.csv", &export(33));
    made.copy_in("d", "/HOLE1.CSV", &export(50));
    made.copy_in("e", "/WALL.CSV", &export(10));
    made.mtool("mdel", &["::/HOLE1.CSV"]);
    made.copy_in("g", "/DOOMED export of Friday.csv", &export(25));
    made.mtool("mdel", &["::/DOOMED export of Friday.csv"]);
}

fn assert_filled(made: &Made, file_system: FileSystem) {
    let bytes = fs::read(made.path()).unwrap();
    let stick = stick::open(&made.path(), "stick").unwrap();
    let seen = survey_medium(&stick.medium, "stick", &stick.here);
    assert_eq!(seen.volumes[0].file_system, file_system);
    assert_eq!(seen.volumes[0].label.as_deref(), Some("SALES"));
    for (path, rows) in [
        ("TX0001.CSV", 200),
        ("Transactions of the spring sale.csv", 90),
        ("2025/March and April/lower.csv", 33),
        ("WALL.CSV", 10),
    ] {
        assert_eq!(content(&seen, &bytes, path), export(rows), "{path}");
        assert!(file(&seen, path).whole);
        assert_eq!(read_all(file(&seen, path).open(&stick.medium).unwrap().as_ref()), export(rows));
    }
    let doomed = file(&seen, "DOOMED export of Friday.csv");
    assert_eq!((doomed.state, doomed.whole), (FileState::Deleted, true));
    assert_eq!(content(&seen, &bytes, "DOOMED export of Friday.csv"), export(25));
    assert_eq!(fs::read(made.path()).unwrap(), bytes, "the image was changed");
}

#[test]
fn what_mtools_wrote_is_read_back() {
    if !tools() {
        return;
    }
    for (bits, kilobytes, file_system) in
        [("12", "1440", FileSystem::Fat12), ("16", "8000", FileSystem::Fat16), ("32", "36000", FileSystem::Fat32)]
    {
        let made = Made::new(bits, kilobytes, None);
        fill(&made);
        assert_filled(&made, file_system);
    }
}

#[test]
fn what_mtools_wrote_into_a_partition_is_read_back() {
    if !tools() {
        return;
    }
    for (bits, kilobytes, type_byte, file_system) in
        [("12", "1400", 0x01, FileSystem::Fat12), ("16", "8000", 0x06, FileSystem::Fat16)]
    {
        let made = Made::new(bits, kilobytes, Some(63));
        fill(&made);
        let mut disk = fs::read(made.path()).unwrap();
        let table = in_partition(&disk[63 * 512..], type_byte);
        disk[..512].copy_from_slice(&table[..512]);
        fs::write(made.path(), &disk).unwrap();
        assert_filled(&made, file_system);
        let seen = survey(&Patched::whole(&disk), "stick");
        assert_eq!(seen.partition_table, Some(PartitionTable::Mbr));
        assert_eq!(seen.volumes[0].offset_bytes, Some(63 * 512));
    }
}

/// mtools takes the first free clusters, so a file longer than a hole continues behind what follows it.
#[test]
fn a_fragmented_file_is_read_along_its_chain() {
    if !tools() {
        return;
    }
    let made = Made::new("16", "8000", None);
    made.copy_in("a", "/HOLE.CSV", &export(40));
    made.copy_in("b", "/WALL.CSV", &export(10));
    made.mtool("mdel", &["::/HOLE.CSV"]);
    // The room behind is nearly used up, so what follows has to go into the hole and behind.
    let filler = vec![b'x'; 7_700_000];
    made.copy_in("f", "/FILLER.BIN", &filler);
    made.copy_in("c", "/SPLIT.CSV", &export(600));
    let bytes = fs::read(made.path()).unwrap();
    let seen = survey(&Patched::whole(&bytes), "stick");
    let pieces: usize = seen.volumes[0].files.iter().map(|file| file.extents.len().saturating_sub(1)).sum();
    assert!(pieces > 0, "no file is fragmented");
    assert_eq!(content(&seen, &bytes, "SPLIT.CSV"), export(600));
    assert_eq!(content(&seen, &bytes, "FILLER.BIN"), filler);
}

/// A volume's image packed with gzip or zstd shows the same as unpacked.
#[test]
fn packed_images_give_the_same_survey() {
    let folder = tempfile::tempdir().unwrap();
    let image = FatImage::with_exports(FatType::Fat12);
    let plain = survey(&Patched::whole(&image.bytes), "stick");
    for (name, packed) in
        [("stick.img.gz", gzip(&image.bytes)), ("stick.zst", zstd::encode_all(&image.bytes[..], 3).unwrap())]
    {
        let path = folder.path().join(name);
        fs::write(&path, packed).unwrap();
        let stick = stick::open(&path, "stick").unwrap();
        assert_eq!(stick.kind, stick::SourceKind::Image);
        assert_eq!(stick.size_bytes, image.bytes.len() as u64);
        assert_eq!(survey_medium(&stick.medium, "stick", &stick.here), plain);
        assert_eq!(stick.findings, []);
    }
}

/// The same files through a mounted folder and through the raw image have the same shape.
#[test]
fn a_folder_has_the_shape_of_a_volume() {
    let folder = tempfile::tempdir().unwrap();
    write_under(folder.path(), "2025/TX0001.CSV", &export(12));
    write_under(folder.path(), "A.CSV", &export(3));
    let stick = stick::open(folder.path(), "stick").unwrap();
    let seen = survey_medium(&stick.medium, "stick", &stick.here);
    let paths: Vec<_> = seen.volumes[0].files.iter().map(|file| file.path.as_deref().unwrap()).collect();
    assert_eq!(paths, ["2025/TX0001.CSV", "A.CSV"]);
    let stored = file(&seen, "2025/TX0001.CSV");
    assert_eq!(read_all(stored.open(&stick.medium).unwrap().as_ref()), export(12));
    assert_eq!((stored.medium_offset(0), stored.whole, stored.size_bytes), (None, true, export(12).len() as u64));
    assert!(!seen.read_raw);
}

fn write_under(folder: &Path, path: &str, content: &[u8]) {
    let at = folder.join(path);
    fs::create_dir_all(at.parent().unwrap()).unwrap();
    fs::write(at, content).unwrap();
}
