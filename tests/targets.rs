//! What is to be written never lands on the stick that is read.

use std::path::{Path, PathBuf};

use counterfoil::stick::{BlockDevice, Drive, Drives, SourceKind, lies_on_device, lies_on_stick};

use crate::support::program::counterfoil;

/// One folder with a part of a stick in it, and the file system it stands on counted as the computer's own.
struct Stick {
    folder: tempfile::TempDir,
}

impl Stick {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir_all(folder.path().join("stick/WEIGHED")).unwrap();
        std::fs::create_dir_all(folder.path().join("desk")).unwrap();
        std::fs::write(folder.path().join("stick/WEIGHED/a.csv"), "x").unwrap();
        Self { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Whether writing there is refused, where both stand on the computer's own file system.
    fn refused(&self, target: &str, source: &str, kind: SourceKind) -> bool {
        lies_on_stick(&self.path(target), &self.path(source), kind, &[self.folder.path().to_owned()])
    }

    /// The same, where they stand on one that is not the computer's own.
    fn refused_on_drive(&self, target: &str, source: &str, kind: SourceKind) -> bool {
        lies_on_stick(&self.path(target), &self.path(source), kind, &[])
    }
}

#[test]
fn inside_the_source_is_refused() {
    let stick = Stick::new();
    for target in ["stick", "stick/out", "stick/WEIGHED/deep/down"] {
        assert!(stick.refused(target, "stick", SourceKind::Folder), "{target}");
        assert!(stick.refused(target, "stick", SourceKind::Mounted), "{target}");
    }
    assert!(!stick.refused("desk/out", "stick", SourceKind::Folder));
    assert!(!stick.refused("stick-2", "stick", SourceKind::Folder), "a name that only begins alike");
}

#[test]
fn beside_a_file_is_refused_on_a_drive_and_allowed_on_the_computer() {
    let stick = Stick::new();
    for target in ["stick/WEIGHED/out", "stick/WEIGHED", "stick/out"] {
        assert!(stick.refused_on_drive(target, "stick/WEIGHED/a.csv", SourceKind::File), "{target}");
        assert!(!stick.refused(target, "stick/WEIGHED/a.csv", SourceKind::File), "{target}: the file is a copy here");
        assert!(
            !stick.refused_on_drive(target, "stick/WEIGHED/a.csv", SourceKind::Image),
            "{target}: an image is a copy"
        );
    }
    assert!(stick.refused("stick/WEIGHED/a.csv", "stick/WEIGHED/a.csv", SourceKind::File), "the source itself");
}

#[test]
fn elsewhere_on_the_same_drive_is_refused() {
    let stick = Stick::new();
    assert!(stick.refused_on_drive("desk/out", "stick/WEIGHED", SourceKind::Folder));
    assert!(stick.refused_on_drive("desk/out/not/there/yet", "stick/WEIGHED/a.csv", SourceKind::File));
    assert!(!stick.refused("desk/out", "stick/WEIGHED", SourceKind::Folder), "the computer's own file system");
}

#[test]
fn a_way_through_parts_that_do_not_exist_is_followed() {
    let stick = Stick::new();
    for target in ["desk/none/../../stick/out", "none/../stick/out", "stick/none/../out", "./desk/../stick"] {
        assert!(stick.refused(target, "stick", SourceKind::Folder), "{target}");
    }
    assert!(!stick.refused("stick/none/../../desk/out", "stick", SourceKind::Folder));
}

#[cfg(unix)]
#[test]
fn links_are_followed() {
    let stick = Stick::new();
    std::os::unix::fs::symlink(stick.path("stick"), stick.path("desk/link")).unwrap();
    assert!(stick.refused("desk/link/out", "stick", SourceKind::Folder));
    assert!(stick.refused("stick/out", "desk/link", SourceKind::Folder));
}

/// A file system of its own without a mount: shared memory, where the computer has it.
#[cfg(unix)]
#[test]
fn the_program_refuses_another_folder_of_the_same_drive() {
    use std::os::unix::fs::MetadataExt;
    let device = |path: &Path| std::fs::metadata(path).map(|about| about.dev()).ok();
    let shared = Path::new("/dev/shm");
    let own = [Path::new("/"), Path::new("."), &std::env::temp_dir()].map(device);
    let apart = device(shared).is_some_and(|shared| !own.contains(&Some(shared)));
    let Some(drive) = apart.then(|| tempfile::tempdir_in(shared).ok()).flatten() else {
        println!("not judged: /dev/shm");
        return;
    };
    std::fs::create_dir(drive.path().join("WEIGHED")).unwrap();
    std::fs::write(drive.path().join("WEIGHED/a.csv"), "Number,Head,Gross\n1,10,6000\n2,10,6100\n").unwrap();
    let source = drive.path().join("WEIGHED").display().to_string();
    let out = drive.path().join("out").display().to_string();
    let file = format!("{source}/a.csv");
    for (command, source, option) in
        [("saleday", &source, "--out"), ("ledger", &file, "--out"), ("tickets", &file, "--to")]
    {
        let said = counterfoil(&[command, source, option, &out]);
        assert_eq!(said.exit, 2, "{command}: {}", said.err);
        assert!(said.err.contains("lies on the stick itself"), "{command}: {}", said.err);
        assert!(said.out.is_empty(), "{command}: nothing is printed as if it had been done");
        assert!(!Path::new(&out).exists(), "{command}");
    }
}

/// A drive in two parts, of which one is mounted in a folder of the desk.
#[cfg(unix)]
fn two_parts(stick: &Stick) -> Drives {
    let part = |path: &str, of: Option<&str>| BlockDevice {
        path: PathBuf::from(path),
        partition_of: of.map(PathBuf::from),
        begins_at: 0,
        size_bytes: 1 << 30,
        removable: true,
        read_only: false,
        name: String::new(),
    };
    let mounted =
        Drive { device: Some(PathBuf::from("/dev/none1")), mounted_at: Some(stick.path("stick")), ..Drive::default() };
    let blocks =
        vec![part("/dev/none", None), part("/dev/none1", Some("/dev/none")), part("/dev/none2", Some("/dev/none"))];
    Drives::new(vec![mounted], blocks)
}

#[cfg(unix)]
#[test]
fn what_stands_on_a_part_of_a_device_lies_on_it() {
    let stick = Stick::new();
    let drives = two_parts(&stick);
    let on = |target: &str, device: &str| lies_on_device(&stick.path(target), Path::new(device), &drives);
    for target in ["stick", "stick/out", "stick/none/deep"] {
        assert!(on(target, "/dev/none"), "{target} is on a part of the drive");
        assert!(on(target, "/dev/none1"), "{target} is on the part itself");
        assert!(!on(target, "/dev/none2"), "{target} is not on the other part");
        assert!(!on(target, "/dev/other"), "{target}");
    }
    assert!(!lies_on_device(Path::new("/proc/out"), Path::new("/dev/none"), &drives), "another file system");
}

/// A numbered drive of Windows: nothing tells which letters stand on it, so that none which can be taken out is written to.
#[cfg(unix)]
#[test]
fn beside_a_numbered_drive_no_removable_one_is_written_to() {
    let stick = Stick::new();
    let on = |removable| {
        let mounted = Drive { mounted_at: Some(stick.path("stick")), removable, ..Drive::default() };
        lies_on_device(&stick.path("stick/out"), Path::new(r"\\.\PhysicalDrive1"), &Drives::new(vec![mounted], vec![]))
    };
    assert_eq!((on(true), on(false)), (true, false));
}
