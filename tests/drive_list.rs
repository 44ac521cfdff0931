//! Which drives this computer has, which volume stands on which, and which one is read where none is named.

use std::path::{Path, PathBuf};

use counterfoil::stick::{
    BlockDevice, Candidate, Choice, Drive, Drives, block_devices, choose, device_by_letter, drives, mounted_in_part,
};

/// A volume that is mounted.
fn mounted(device: &str, at: &str) -> Drive {
    Drive {
        device: Some(PathBuf::from(device)),
        mounted_at: Some(PathBuf::from(at)),
        whole: true,
        file_system: "vfat".to_owned(),
        size_bytes: 4_000_000_000,
        mounted_for_writing: true,
        ..Drive::default()
    }
}

/// A removable drive of 8 GB.
fn stick(path: &str) -> BlockDevice {
    BlockDevice {
        path: PathBuf::from(path),
        partition_of: None,
        begins_at: 0,
        size_bytes: 8_000_000_000,
        removable: true,
        read_only: false,
        name: "Stick 8".to_owned(),
    }
}

fn partition(path: &str, of: &str, begins_at: u64) -> BlockDevice {
    BlockDevice { partition_of: Some(PathBuf::from(of)), begins_at, size_bytes: 4_000_000_000, ..stick(path) }
}

fn chosen(mounts: Vec<Drive>, blocks: Vec<BlockDevice>) -> Choice {
    choose(&Drives::new(mounts, blocks).list())
}

fn one(path: &str, name: &str, size_bytes: u64) -> Choice {
    Choice::One(Candidate { path: PathBuf::from(path), name: name.to_owned(), size_bytes })
}

#[test]
fn the_only_removable_drive_is_chosen() {
    assert_eq!(chosen(vec![], vec![]), Choice::Nothing);
    let own = mounted("/dev/vda", "/");
    assert_eq!(chosen(vec![own.clone()], vec![]), Choice::Nothing);
    let parts = || vec![stick("/dev/sdb"), partition("/dev/sdb1", "/dev/sdb", 1 << 20)];
    assert_eq!(chosen(vec![own.clone()], parts()), one("/dev/sdb", "Stick 8", 8_000_000_000), "not mounted");
    let seen = mounted("/dev/sdb1", "/media/clerk/STICK");
    assert_eq!(chosen(vec![own, seen], parts()), one("/media/clerk/STICK", "Stick 8", 4_000_000_000), "mounted");
}

#[test]
fn two_volumes_of_one_drive_are_one_drive() {
    let parts = vec![
        stick("/dev/sdb"),
        partition("/dev/sdb1", "/dev/sdb", 1 << 20),
        partition("/dev/sdb2", "/dev/sdb", 4_000_000_000),
    ];
    let mounts = vec![mounted("/dev/sdb1", "/media/a"), mounted("/dev/sdb2", "/media/b")];
    assert_eq!(chosen(mounts, parts), one("/dev/sdb", "Stick 8", 8_000_000_000));
}

#[test]
fn of_several_drives_none_is_chosen() {
    let Choice::Several(found) =
        chosen(vec![mounted("/dev/sdc", "/media/b")], vec![stick("/dev/sdc"), stick("/dev/sdb")])
    else {
        panic!("two drives")
    };
    let paths: Vec<_> = found.iter().map(|it| it.path.to_str().unwrap()).collect();
    assert_eq!(paths, ["/dev/sdb", "/media/b"]);
}

#[test]
fn what_the_computer_runs_from_and_what_holds_nothing_is_no_stick() {
    let runs_from = vec![mounted("/dev/sdb1", "/"), mounted("/dev/sdb2", "/media/rest")];
    let parts = vec![
        stick("/dev/sdb"),
        partition("/dev/sdb1", "/dev/sdb", 1 << 20),
        partition("/dev/sdb2", "/dev/sdb", 1 << 30),
    ];
    assert_eq!(chosen(runs_from, parts), Choice::Nothing);
    let empty_reader = BlockDevice { size_bytes: 0, ..stick("/dev/sdc") };
    let fixed = BlockDevice { removable: false, ..stick("/dev/sda") };
    assert_eq!(chosen(vec![], vec![empty_reader, fixed, stick("/dev/sr0"), stick("/dev/fd0")]), Choice::Nothing);
}

#[test]
fn drives_with_letters_are_chosen_by_their_top_folder() {
    let letter =
        |device: &str, at: &str, removable: bool| Drive { name: "SALES".to_owned(), removable, ..mounted(device, at) };
    let mounts = vec![letter(r"\\.\C:", r"C:\", false), letter(r"\\.\E:", r"E:\", true)];
    assert_eq!(chosen(mounts, vec![]), one(r"E:\", "SALES", 4_000_000_000));
    assert_eq!(device_by_letter(r"E:\"), Some(PathBuf::from(r"\\.\E:")));
    assert_eq!(device_by_letter(r"C:\mounts\stick\"), None);
    assert_eq!(device_by_letter("/media/x"), None);
}

#[test]
fn the_volume_behind_a_folder_is_found() {
    let mounts = vec![
        mounted("/dev/vda", "/"),
        mounted("/dev/sdb1", "/media/clerk"),
        mounted("/dev/sdc1", "/media/clerk/STICK"),
        mounted("/dev/sdd1", "/media/clerk/STICK"),
        mounted(r"\\.\E:", r"E:\"),
    ];
    let all = Drives::new(mounts, vec![partition("/dev/sdd1", "/dev/sdd", 1 << 20)]);
    let behind = |folder: &str| all.mounted_at(Path::new(folder)).and_then(|drive| drive.device.clone());
    assert_eq!(behind("/media/clerk/STICK"), Some(PathBuf::from("/dev/sdd1")), "the one mounted last is seen");
    assert_eq!(behind("/media/clerk/STICK/WEIGHED"), None, "a folder of it is not its top folder");
    assert_eq!(behind(r"\\?\E:\"), Some(PathBuf::from(r"\\.\E:")));
    let on = |device: &str| all.mounted_on(Path::new(device)).filter_map(|drive| drive.begins_at).collect::<Vec<_>>();
    assert_eq!((on("/dev/sdd"), on("/dev/sdd1"), on("/dev/sde")), (vec![1 << 20], vec![1 << 20], vec![]));
}

#[test]
fn a_volume_is_as_read_only_as_its_drive() {
    let part = BlockDevice { read_only: true, ..partition("/dev/sdb1", "/dev/sdb", 0) };
    let list = Drives::new(vec![mounted("/dev/sdb1", "/media/a"), mounted("/dev/sdc1", "/media/c")], vec![part]).list();
    assert_eq!(list.iter().map(|drive| drive.read_only).collect::<Vec<_>>(), [true, false]);
}

/// The text of a folder `/sys/class/block` as Linux shows it: links into a tree of devices.
#[cfg(unix)]
struct SysTree(tempfile::TempDir);

#[cfg(unix)]
impl SysTree {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir_all(folder.path().join("class/block")).unwrap();
        Self(folder)
    }

    fn device(&self, place: &str, files: &[(&str, &str)]) {
        let folder = self.0.path().join("devices").join(place);
        for (name, text) in files {
            let file = folder.join(name);
            std::fs::create_dir_all(file.parent().unwrap()).unwrap();
            std::fs::write(file, format!("{text}\n")).unwrap();
        }
        let link = self.0.path().join("class/block").join(folder.file_name().unwrap());
        std::os::unix::fs::symlink(&folder, link).unwrap();
    }

    fn read(&self) -> Vec<BlockDevice> {
        block_devices(&self.0.path().join("class/block"))
    }
}

/// File names: Linux kernel documentation, "ABI/stable/sysfs-block"; the tree of a USB drive: from memory.
#[cfg(unix)]
#[test]
fn block_devices_are_read_from_the_tree_of_linux() {
    let tree = SysTree::new();
    let usb = "pci0000:00/0000:00:14.0/usb1/1-2/1-2:1.0/host6/target6:0:0/6:0:0:0/block/sdb";
    tree.device(usb, &[("size", "15625000"), ("removable", "0"), ("ro", "1"), ("device/model", "Stick 8   ")]);
    tree.device(&format!("{usb}/sdb1"), &[("size", "15622952"), ("start", "2048"), ("partition", "1"), ("ro", "0")]);
    tree.device("pci0000:00/ata1/block/sda", &[("size", "1000"), ("removable", "0"), ("ro", "0")]);
    tree.device("pci0000:00/mmc_host/block/mmcblk0", &[("size", "0"), ("removable", "1"), ("ro", "0")]);
    tree.device("virtual/block/broken", &[("size", "many")]);
    let found = tree.read();
    let names: Vec<_> = found.iter().map(|it| it.path.to_str().unwrap()).collect();
    assert_eq!(names, ["/dev/mmcblk0", "/dev/sda", "/dev/sdb", "/dev/sdb1"]);
    let removable: Vec<_> = found.iter().map(|it| it.removable).collect();
    assert_eq!(removable, [true, false, true, true], "what is on a USB port can be taken out");
    let part = BlockDevice {
        path: PathBuf::from("/dev/sdb1"),
        partition_of: Some(PathBuf::from("/dev/sdb")),
        begins_at: 1 << 20,
        size_bytes: 15_622_952 * 512,
        removable: true,
        read_only: true,
        name: "Stick 8".to_owned(),
    };
    assert_eq!(found[3], part, "a partition is as read-only as its drive");
    assert_eq!(block_devices(Path::new("/nowhere")), []);
}

/// Lines as in proc(5), "mountinfo".
#[test]
fn a_folder_shown_under_another_name_is_not_a_whole_volume() {
    let text = "36 35 98:0 /mnt1 /mnt/part\\040two rw,noatime master:1 - ext3 /dev/root rw\n\
                37 35 98:0 / /mnt/whole rw,noatime - ext3 /dev/root rw\nnot a line\n";
    assert_eq!(mounted_in_part(text), [PathBuf::from("/mnt/part two")]);
}

/// What the system says of the folder all others stand in, where it says anything.
#[cfg(target_os = "linux")]
#[test]
fn the_mounted_volumes_of_this_computer_are_listed() {
    let found = drives();
    let mounts = std::fs::read_to_string("/proc/mounts").unwrap();
    let on_device = |line: &&str| line.starts_with("/dev/") && line.split(' ').nth(1) == Some("/");
    let Some(line) = mounts.lines().find(on_device) else {
        println!("not judged: / (not on a device)");
        return;
    };
    let top = found.mounted_at(Path::new("/")).expect("the top folder is mounted");
    assert_eq!(top.file_system, line.split(' ').nth(2).unwrap());
    assert!(top.size_bytes > 0 && top.device.is_some(), "{top:?}");
}
