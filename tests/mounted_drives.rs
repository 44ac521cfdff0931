//! Mounted drives and their devices: read raw where this user may, from their files alone where not, and never blamed for
//! what this computer itself does to them.

use std::path::{Path, PathBuf};

use counterfoil::day::{Day, Wishes, run};
use counterfoil::finding::Severity;
use counterfoil::stick::{
    BlockDevice, ByteSource, Drive, Drives, FileBytes, Here, OpenError, SourceKind, Stick, open_top_folder,
};
use counterfoil::volume::{FileSystem, Limits, PartitionTable, Verdict, survey_known};
use fatfs::FatType;

#[cfg(target_os = "linux")]
use crate::support::block::{Loop, Mount, ext4_image};
use crate::support::fat_image::{FatImage, in_partition};
use crate::support::memory::Patched;
use crate::support::program::Desk;
#[cfg(target_os = "linux")]
use crate::support::program::{codes, json};

const ROWS: &str = "Number,Date,Time,Head,Gross lb\n1,2026-03-14,09:00,10,6000\n2,2026-03-14,09:01,12,7200\n";

/// A stick that is mounted: a folder with one export, and beside it the volume as its device gives it, with one more export
/// that was deleted. The mark of being open is set.
struct Mounted {
    desk: Desk,
    drive: Drive,
}

impl Mounted {
    fn new() -> Self {
        let mut image = FatImage::blank(FatType::Fat32);
        image.write("LOG.CSV", ROWS.as_bytes());
        image.write("OLD.CSV", ROWS.replace("\n1,", "\n8,").replace("\n2,", "\n9,").as_bytes());
        image.delete("OLD.CSV");
        image.bytes[65] |= 1;
        let desk = Desk::new();
        desk.put("stick/LOG.CSV", ROWS);
        desk.put("device", &image.bytes);
        let drive = Drive {
            device: Some(desk.path("device")),
            disk: Some(PathBuf::from("/dev/sdb")),
            mounted_at: Some(desk.path("stick")),
            whole: true,
            file_system: "vfat".to_owned(),
            mounted_for_writing: true,
            ..Drive::default()
        };
        Self { desk, drive }
    }

    fn opened(&self, raw: impl FnOnce(&Path) -> Result<Box<dyn ByteSource>, OpenError>) -> Stick {
        open_top_folder(&self.desk.path("stick"), "s1", &self.drive, raw).unwrap()
    }

    /// The day, where the device may be read.
    fn day(&self) -> Day {
        day(self.opened(|device| Ok(Box::new(FileBytes::open(device)?))))
    }

    /// The day, where it may not.
    fn day_refused(&self) -> Day {
        day(self.opened(|device| {
            let path = device.display().to_string();
            Err(OpenError::DeviceRefused { path, reason: "Permission denied (os error 13)".to_owned() })
        }))
    }
}

fn day(stick: Stick) -> Day {
    run(vec![stick], &Wishes::new(Limits::common().unwrap()))
}

fn found(day: &Day) -> Vec<&str> {
    day.findings.iter().map(|finding| finding.code).collect()
}

fn why_not<'a>(day: &'a Day, what: &str) -> Option<&'a str> {
    day.not_checked.iter().find(|item| item.what == what).map(|item| item.why.as_str())
}

#[test]
fn a_mounted_drive_is_read_raw_where_that_is_allowed() {
    let day = Mounted::new().day();
    let source = &day.sources[0];
    assert_eq!((source.kind, source.survey.read_raw), (SourceKind::Mounted, true));
    assert_eq!(source.survey.volumes[0].file_system, FileSystem::Fat32, "the volume itself was seen");
    assert!(source.sha256.is_some() && source.suitability.is_some());
    assert!(found(&day).contains(&"export-deleted"), "{:?}", found(&day));
    let exports: Vec<_> = day.exports.iter().filter_map(|export| export.path.as_deref()).collect();
    assert_eq!(exports[0], "LOG.CSV", "each file once: {exports:?}");
    assert_eq!(exports.len(), 2, "{exports:?}");
    assert_eq!(source.survey.partition_table, None, "one volume does not tell how the drive is divided");
    assert!(!found(&day).contains(&"no-partition-table"), "{:?}", found(&day));
    let why = why_not(&day, "how the whole drive is divided, and its size").unwrap();
    assert_eq!(why, "one volume of it was read; name /dev/sdb to have it checked");
}

#[test]
fn the_mark_of_being_open_is_this_computers_own_while_it_may_write() {
    let mut stick = Mounted::new();
    let day = stick.day();
    assert_eq!(day.sources[0].survey.volumes[0].dirty, None);
    assert!(!found(&day).contains(&"volume-left-open"), "{:?}", found(&day));
    let why = why_not(&day, "whether volume 0 was pulled out early").unwrap();
    assert!(why.contains("mounted for writing"), "{why}");

    stick.drive.mounted_for_writing = false;
    let day = stick.day();
    assert_eq!(day.sources[0].survey.volumes[0].dirty, Some(true));
    assert!(found(&day).contains(&"volume-left-open"), "{:?}", found(&day));
}

#[test]
fn only_the_volume_that_is_mounted_is_spared() {
    let mut volume = FatImage::with_exports(FatType::Fat16).bytes;
    volume[37] |= 1;
    let disk = in_partition(&volume, 0x06);
    let dirty = |mounted_for_writing: Vec<Option<u64>>| {
        let here = Here { mounted_for_writing, ..Here::default() };
        let seen = survey_known(&Patched::whole(&disk), "s1", &here);
        let raised = seen.findings.iter().any(|finding| finding.code == "volume-left-open");
        (seen.volumes[0].dirty, raised)
    };
    assert_eq!(dirty(vec![]), (Some(true), true));
    assert_eq!(dirty(vec![Some(0), Some(1 << 20)]), (Some(true), true), "another volume");
    assert_eq!(dirty(vec![Some(63 * 512)]), (None, false));
    assert_eq!(dirty(vec![None]), (None, false), "it may be this one");
}

#[test]
fn without_the_right_the_day_is_done_from_the_files() {
    let stick = Mounted::new();
    let day = stick.day_refused();
    let source = &day.sources[0];
    assert_eq!((source.kind, source.survey.read_raw), (SourceKind::Mounted, false));
    assert_eq!(day.drafts.len(), 2, "the files were read");
    let finding = day.findings.iter().find(|finding| finding.code == "raw-access-refused").unwrap();
    assert_eq!(finding.severity, Severity::Note);
    let device = stick.desk.path("device").display().to_string();
    assert_eq!(finding.evidence[0].value, device);
    assert_eq!(finding.next_step, format!("To have the stick itself checked, run: sudo counterfoil examine {device}"));
    for left_undone in ["could write", "damage", "deleted", "pulled out early"] {
        assert!(finding.detail.contains(left_undone), "{}", finding.detail);
    }
    let why = why_not(&day, "the stick's format, damage and deleted files").unwrap();
    assert_eq!(why, format!("this user may not read its device {device} raw"));
    assert_eq!(source.survey.volumes[0].file_system, FileSystem::Unknown, "vfat may be any of three");
    assert!(day.findings.iter().all(|finding| finding.severity == Severity::Note), "{:?}", found(&day));
}

#[test]
fn on_windows_the_next_step_is_another() {
    let mut stick = Mounted::new();
    stick.drive.device = Some(PathBuf::from(r"\\.\E:"));
    let day = stick.day_refused();
    let finding = day.findings.iter().find(|finding| finding.code == "raw-access-refused").unwrap();
    assert_eq!(
        finding.next_step,
        r"To have the stick itself checked, open a terminal as administrator and run: counterfoil examine \\.\E:"
    );
}

#[test]
fn a_device_that_fails_is_told_and_the_files_are_read() {
    let stick = Mounted::new();
    let failed = |device: &Path| {
        Err(OpenError::Failed { path: device.display().to_string(), reason: "Input/output error".to_owned() })
    };
    let day = day(stick.opened(failed));
    assert_eq!(day.drafts.len(), 2);
    let device = stick.desk.path("device").display().to_string();
    assert!(why_not(&day, &format!("the device {device}")).unwrap().contains("Input/output error"));
    assert!(!found(&day).contains(&"raw-access-refused"));
}

#[test]
fn the_format_is_the_systems_word_only_where_that_leaves_no_doubt() {
    for (word, format) in [
        ("exfat", FileSystem::ExFat),
        ("FAT32", FileSystem::Fat32),
        ("NTFS", FileSystem::Ntfs),
        ("ext4", FileSystem::Ext),
        ("vfat", FileSystem::Unknown),
        ("msdos", FileSystem::Unknown),
        ("FAT", FileSystem::Unknown),
        ("fuseblk", FileSystem::Unknown),
        ("", FileSystem::Unknown),
    ] {
        let mut stick = Mounted::new();
        stick.drive.file_system = word.to_owned();
        assert_eq!(stick.day_refused().sources[0].survey.volumes[0].file_system, format, "{word}");
    }
}

#[test]
fn a_drive_that_takes_no_writing_is_a_caution() {
    let mut stick = Mounted::new();
    let judged = |day: &Day| day.sources[0].suitability.as_ref().map(|judged| (judged.verdict, judged.volumes.clone()));
    assert_eq!(judged(&stick.day()), Some((Verdict::Ready, vec![Some(true)])));
    stick.drive.read_only = true;
    assert_eq!(judged(&stick.day()), Some((Verdict::Unknown, vec![None])), "a switch would stop an indicator too");
    for day in [stick.day(), stick.day_refused()] {
        let finding = day.findings.iter().find(|finding| finding.code == "write-protected").unwrap();
        assert_eq!((finding.severity, finding.place.source.as_deref()), (Severity::Caution, Some("s1")));
        assert!(
            finding.detail.contains("A switch on the stick") && finding.detail.contains("this computer's settings")
        );
    }
}

#[test]
fn what_is_known_of_a_device_comes_from_what_is_mounted_and_what_it_is_a_part_of() {
    let block = |path: &str, of: Option<&str>, begins_at, read_only| BlockDevice {
        path: PathBuf::from(path),
        partition_of: of.map(PathBuf::from),
        begins_at,
        size_bytes: 1 << 30,
        removable: true,
        read_only,
        name: String::new(),
    };
    let mounted = |device: &str, mounted_for_writing| Drive {
        device: Some(PathBuf::from(device)),
        mounted_at: Some(PathBuf::from("/media").join(&device[5..])),
        mounted_for_writing,
        ..Drive::default()
    };
    let blocks = vec![
        block("/dev/sdb", None, 0, false),
        block("/dev/sdb1", Some("/dev/sdb"), 1 << 20, false),
        block("/dev/sdb2", Some("/dev/sdb"), 1 << 29, false),
        block("/dev/sdc", None, 0, true),
    ];
    let drives = Drives::new(vec![mounted("/dev/sdb1", true), mounted("/dev/sdb2", false)], blocks);
    let here = |device: &str| Here::of_device(Path::new(device), &drives);
    let drive = here("/dev/sdb");
    assert_eq!((drive.mounted_for_writing, drive.part_of_drive), (vec![Some(1 << 20)], false));
    let volume = here("/dev/sdb1");
    assert_eq!((volume.mounted_for_writing, volume.part_of_drive), (vec![Some(0)], true));
    assert_eq!(volume.drive, Some(PathBuf::from("/dev/sdb")));
    assert_eq!(here("/dev/sdb2").mounted_for_writing, []);
    assert_eq!((here("/dev/sdc").read_only, here("/dev/sdb").read_only), (true, false));
    for (other_system, part, written) in [
        (r"\\.\E:", true, vec![]),
        (r"\\.\PhysicalDrive1", false, vec![None]),
        ("/dev/disk2s1", true, vec![]),
        ("/dev/disk2", false, vec![]),
    ] {
        let known = here(other_system);
        assert_eq!((known.part_of_drive, known.mounted_for_writing), (part, written), "{other_system}");
    }
}

#[test]
fn one_volume_of_a_drive_tells_nothing_of_its_partition_table() {
    let volume = FatImage::with_exports(FatType::Fat32).bytes;
    let table = |part_of_drive| {
        let here = Here { part_of_drive, ..Here::default() };
        survey_known(&Patched::whole(&volume), "s1", &here).partition_table
    };
    assert_eq!((table(false), table(true)), (Some(PartitionTable::None), None));
}

/// An image of a volume with an export, and an empty folder to see it in; nothing where none can be made.
#[cfg(target_os = "linux")]
fn image_and_folder(desk: &Desk) -> Option<(String, std::path::PathBuf)> {
    let (image, at) = (desk.path("stick.img"), desk.path("mounted"));
    std::fs::create_dir(&at).unwrap();
    ext4_image(&image, &[("LOG.CSV", ROWS)]).then(|| (image.to_str().unwrap().to_owned(), at))
}

/// A real mount: a volume in a format that is not read here, so that the files come as the computer shows them.
#[cfg(target_os = "linux")]
#[test]
fn a_mounted_volume_of_another_format_is_surveyed_raw_and_its_files_are_read() {
    let desk = Desk::new();
    let Some((image, at)) = image_and_folder(&desk) else { return };
    let Some(device) = Loop::of(&image) else { return };
    let Some(_mount) = Mount::of(&device, &at, "rw") else { return };
    let (document, exit) = json(&["saleday", at.to_str().unwrap()]);
    let source = &document["sources"][0];
    assert_eq!(source["kind"], "mounted");
    assert_eq!(source["stick"]["read_raw"], true);
    assert_eq!(source["size_bytes"], 8 << 20);
    let volume = &source["stick"]["volumes"][0];
    assert_eq!((volume["file_system"].as_str(), volume["dirty"].is_null()), (Some("ext"), true));
    assert_eq!(document["drafts"].as_array().unwrap().len(), 2);
    assert_eq!(document["exports"][0]["path"], "LOG.CSV");
    assert_eq!((exit, codes(&document).contains(&"wrong-format")), (1, true), "{:?}", codes(&document));
    for (target, option, command) in [("out", "--out", "saleday"), ("list.csv", "--to", "tickets")] {
        let target = at.join(target).display().to_string();
        for source in [at.to_str().unwrap(), &device.0] {
            let said = desk.counterfoil(&[command, source, option, &target]);
            assert_eq!(said.exit, 2, "{command} {source}: {}", said.err);
            assert!(said.err.contains("lies on the stick itself"), "{}", said.err);
        }
    }
    let (by_device, _) = json(&["examine", &device.0]);
    assert_eq!(by_device["sources"][0]["kind"], "device");
    let not_checked = by_device["not_checked"].as_array().unwrap();
    let own = |item: &&serde_json::Value| item["what"] == "whether volume 0 was pulled out early";
    let why = not_checked.iter().find(own).unwrap()["why"].as_str().unwrap();
    assert!(why.contains("mounted for writing"), "{why}");
}

#[cfg(target_os = "linux")]
#[test]
fn a_device_or_mount_that_takes_no_writing_is_seen() {
    let desk = Desk::new();
    let Some((image, at)) = image_and_folder(&desk) else { return };
    let Some(device) = Loop::read_only(&image) else { return };
    let (document, _) = json(&["examine", &device.0]);
    assert!(codes(&document).contains(&"write-protected"), "{:?}", codes(&document));
    drop(device);
    let Some(device) = Loop::of(&image) else { return };
    let (document, _) = json(&["examine", &device.0]);
    assert!(!codes(&document).contains(&"write-protected"), "{:?}", codes(&document));
    let Some(_mount) = Mount::of(&device, &at, "ro") else { return };
    let (document, _) = json(&["examine", at.to_str().unwrap()]);
    assert!(codes(&document).contains(&"write-protected"), "{:?}", codes(&document));
}

/// The same through a user without rights, where one can be had.
#[cfg(target_os = "linux")]
#[test]
fn a_user_without_the_right_gets_the_day_and_the_note() {
    let desk = Desk::new();
    let Some((image, at)) = image_and_folder(&desk) else { return };
    let Some(device) = Loop::of(&image) else { return };
    let Some(_mount) = Mount::of(&device, &at, "rw") else { return };
    let_in(&at);
    let_in(at.parent().unwrap());
    let ask = |arguments: &[&str]| {
        let nobody = ["--reuid=65534", "--regid=65534", "--clear-groups", env!("CARGO_BIN_EXE_counterfoil")];
        std::process::Command::new("setpriv").args(nobody).args(arguments).current_dir("/").output()
    };
    if !ask(&["--version"]).is_ok_and(|said| said.status.success()) {
        println!("not judged: setpriv (no other user can run the program here)");
        return;
    }
    let said = ask(&["saleday", at.to_str().unwrap(), "--json"]).unwrap();
    let document: serde_json::Value = serde_json::from_slice(&said.stdout).unwrap();
    assert_eq!(document["sources"][0]["stick"]["read_raw"], false);
    assert_eq!(document["sources"][0]["stick"]["volumes"][0]["file_system"], "ext");
    assert_eq!(document["drafts"].as_array().unwrap().len(), 2);
    assert!(codes(&document).contains(&"raw-access-refused"), "{:?}", codes(&document));
    let said = ask(&["examine", &device.0]).unwrap();
    let err = String::from_utf8(said.stderr).unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(said.status.code(), Some(3), "{err}");
    assert!(err.ends_with(&format!("run: sudo counterfoil examine {}", device.0)), "{err}");
}

/// Lets every user look into a folder.
#[cfg(target_os = "linux")]
fn let_in(folder: &Path) {
    use std::os::unix::fs::PermissionsExt;
    std::fs::set_permissions(folder, std::fs::Permissions::from_mode(0o755)).unwrap();
}
