//! The stick is never written to: no command opens anything of a source for writing.

use std::fs;

use crate::support::block::Loop;
use crate::support::fat_image::{FatImage, in_partition};
use crate::support::judges::present;
use crate::support::memory::sha256;
use fatfs::FatType;

/// The commands, with a source and a folder to write into.
fn commands(source: &str, out: &str) -> Vec<Vec<String>> {
    let line = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect();
    vec![
        line(&["examine", source, "--files"]),
        line(&["examine", source, "--json"]),
        line(&["saleday", source, "--out", &format!("{out}/day")]),
        line(&["ledger", source, "--out", &format!("{out}/ledger")]),
        line(&["layout", source, "--save", &format!("{out}/layout.json")]),
        line(&["tickets", source, "--to", &format!("{out}/tickets.csv")]),
    ]
}

/// What the kernel was asked to open for writing, to create, to rename or to take away.
fn writing_calls(log: &str) -> Vec<&str> {
    let calls = ["O_WRONLY", "O_RDWR", "O_CREAT", "O_TRUNC", "rename", "unlink", "mkdir", "truncate", "utime", "chmod"];
    log.lines().filter(|line| calls.iter().any(|call| line.contains(call))).collect()
}

fn assert_never_written(source: &str) {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().to_str().unwrap();
    let log = folder.path().join("calls");
    for command in commands(source, out) {
        let traced =
            "trace=openat,open,creat,rename,renameat,renameat2,unlink,unlinkat,mkdir,mkdirat,truncate,utimensat,chmod";
        let mut arguments =
            vec!["-f", "-o", log.to_str().unwrap(), "-e", traced, "--", env!("CARGO_BIN_EXE_counterfoil")];
        arguments.extend(command.iter().map(String::as_str));
        // A stick in the older formats needs a person, which is exit status 1: only what was opened is looked at.
        crate::support::judges::ask("strace", &arguments, &[]).unwrap();
        let log = fs::read_to_string(&log).unwrap();
        assert!(log.contains(source), "the source was never opened: {command:?}\n{log}");
        let touched: Vec<_> = writing_calls(&log).into_iter().filter(|call| call.contains(source)).collect();
        assert_eq!(touched, Vec::<&str>::new(), "{command:?}");
    }
}

#[test]
fn no_command_opens_a_source_for_writing() {
    if !present("strace") {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let image = folder.path().join("stick.img");
    let bytes = in_partition(&FatImage::with_exports(FatType::Fat16).bytes, 0x06);
    fs::write(&image, &bytes).unwrap();
    assert_never_written(image.to_str().unwrap());
    assert_eq!(sha256(&fs::read(&image).unwrap()), sha256(&bytes));

    let stick = folder.path().join("mounted");
    fs::create_dir(&stick).unwrap();
    fs::write(stick.join("TX0001.CSV"), crate::support::fat_image::export(40)).unwrap();
    assert_never_written(stick.to_str().unwrap());
    assert_never_written(stick.join("TX0001.CSV").to_str().unwrap());
    assert_eq!(fs::read_dir(&stick).unwrap().count(), 1);
}

/// A real block device, where this user may make one of an image.
#[test]
fn a_block_device_is_read_like_its_image_and_never_written() {
    let folder = tempfile::tempdir().unwrap();
    let image = folder.path().join("stick.img");
    let bytes = in_partition(&FatImage::with_exports(FatType::Fat16).bytes, 0x06);
    fs::write(&image, &bytes).unwrap();
    let Some(device) = Loop::of(image.to_str().unwrap()) else { return };
    let listed = |source: &str| {
        let found = std::process::Command::new(env!("CARGO_BIN_EXE_counterfoil"))
            .args(["examine", source, "--files", "--json"])
            .output()
            .unwrap();
        let mut document: serde_json::Value = serde_json::from_slice(&found.stdout).unwrap();
        let source = document["sources"][0].as_object_mut().unwrap();
        let kind = source.remove("kind").unwrap();
        source.remove("path");
        (kind, document)
    };
    let ((image_kind, by_image), (device_kind, by_device)) = (listed(image.to_str().unwrap()), listed(&device.0));
    assert_eq!((image_kind.as_str(), device_kind.as_str()), (Some("image"), Some("device")));
    assert_eq!(by_image, by_device);
    if present("strace") {
        assert_never_written(&device.0);
    }
    drop(device);
    assert_eq!(sha256(&fs::read(&image).unwrap()), sha256(&bytes));
}
