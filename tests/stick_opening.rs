//! What a source is taken for, and what is said when it cannot be opened.

use std::fs;
use std::path::{Path, PathBuf};

use counterfoil::stick::{
    ByteSource, InputError, Medium, SourceKind, Stick, UnpackBounds, open, open_within, read_small_file,
};

use crate::support::fat_image::{FatImage, export, in_partition};
use crate::support::findings::{assert_complete, shown};
use crate::support::memory::{gzip, read_all, sha256};
use fatfs::FatType;

struct Folder(tempfile::TempDir);

impl Folder {
    fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    fn write(&self, name: &str, content: &[u8]) -> PathBuf {
        let at = self.0.path().join(name);
        fs::create_dir_all(at.parent().unwrap()).unwrap();
        fs::write(&at, content).unwrap();
        at
    }
}

fn opened(path: &Path) -> Stick {
    open(path, "stick").unwrap()
}

fn zst(bytes: &[u8]) -> Vec<u8> {
    zstd::encode_all(bytes, 3).unwrap()
}

fn hex(bytes: &[u8]) -> String {
    sha256(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

fn raw(stick: &Stick) -> &dyn ByteSource {
    match &stick.medium {
        Medium::Raw(bytes) => bytes.as_ref(),
        Medium::Files(_) | Medium::Mounted { .. } => panic!("{stick:?} holds files"),
    }
}

/// The path and content of the only file.
fn only_file(stick: &Stick) -> (String, Vec<u8>) {
    match &stick.medium {
        Medium::Files(tree) if tree.files.len() == 1 => {
            (tree.files[0].path.clone(), read_all(tree.files[0].open().unwrap().as_ref()))
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn an_image_is_known_by_its_bytes_whatever_its_name() {
    let folder = Folder::new();
    let bare = FatImage::with_exports(FatType::Fat12).bytes;
    let disk = in_partition(&bare, 0x01);
    let mut damaged = FatImage::with_exports(FatType::Fat32).bytes;
    damaged[..512].fill(0);
    let mut gpt = vec![0; 4096];
    gpt[512..520].copy_from_slice(b"EFI PART");
    for (name, content) in [("stick", &bare), ("stick.txt", &disk), ("copy of it", &damaged), ("gpt", &gpt)] {
        let stick = opened(&folder.write(name, content));
        assert_eq!(stick.kind, SourceKind::Image, "{name}");
        assert_eq!(stick.size_bytes, content.len() as u64);
        assert_eq!(stick.sha256, Some(hex(content)), "{name}");
        assert!(read_all(raw(&stick)) == *content);
    }
}

#[test]
fn an_image_is_known_by_its_name_when_its_bytes_tell_nothing() {
    let folder = Folder::new();
    for name in ["blank.img", "blank.DD", "blank.raw", "blank.bin"] {
        assert_eq!(opened(&folder.write(name, &[0; 2048])).kind, SourceKind::Image, "{name}");
    }
}

#[test]
fn any_other_file_is_one_export() {
    let folder = Folder::new();
    let text = export(5);
    let stick = opened(&folder.write("TX0001.CSV", &text));
    assert_eq!((stick.kind, stick.size_bytes), (SourceKind::File, text.len() as u64));
    assert_eq!(stick.sha256, Some(hex(&text)));
    assert_eq!(only_file(&stick), ("TX0001.CSV".to_owned(), text));
}

#[test]
fn a_packed_export_is_one_export() {
    let folder = Folder::new();
    let text = export(5);
    for (name, packed) in [("TX0001.CSV.gz", gzip(&text)), ("TX0001.CSV.ZST", zst(&text)), ("TX0001.CSV", gzip(&text))]
    {
        let stick = opened(&folder.write(name, &packed));
        assert_eq!(stick.kind, SourceKind::File);
        assert_eq!(stick.sha256, Some(hex(&text)), "of the unpacked bytes");
        assert_eq!(only_file(&stick), ("TX0001.CSV".to_owned(), text.clone()));
    }
}

/// Reads at every kind of place: inside a chunk, across chunks, in zeros, at the end.
#[test]
fn an_unpacked_image_reads_like_the_plain_one() {
    let folder = Folder::new();
    let mut image = vec![0; 5 * 65_536 + 700];
    image[510..512].copy_from_slice(&[0x55, 0xAA]);
    for (place, byte) in image.iter_mut().enumerate().skip(3 * 65_536 - 9).take(70_000) {
        *byte = place as u8;
    }
    let stick = opened(&folder.write("stick.img.gz", &gzip(&image)));
    assert!(read_all(raw(&stick)) == image);
    for at in [0, 65_535, 3 * 65_536 - 20, image.len() - 40] {
        let mut piece = [0; 40];
        raw(&stick).read_at(at as u64, &mut piece).unwrap();
        assert_eq!(piece, image[at..at + 40]);
    }
    assert!(raw(&stick).read_at(image.len() as u64 - 39, &mut [0; 40]).is_err());
    assert!(raw(&stick).read_at(u64::MAX, &mut [0; 2]).is_err());
}

#[test]
fn a_packed_image_cut_short_is_kept_as_far_as_it_goes() {
    let folder = Folder::new();
    let mut image = FatImage::with_exports(FatType::Fat16).bytes;
    let end = image.len();
    let mut numbers = crate::support::memory::Numbers(9);
    image[end / 2..].iter_mut().for_each(|byte| *byte = numbers.next() as u8);
    for (name, packed) in [("a.img.gz", gzip(&image)), ("a.img.zst", zst(&image))] {
        let stick = opened(&folder.write(name, &packed[..packed.len() / 2]));
        assert_eq!(stick.kind, SourceKind::Image);
        let had = read_all(raw(&stick));
        assert!(had.len() > 100_000 && had.len() < image.len() && had == image[..had.len()]);
        assert_complete(&stick.findings);
        assert_eq!(stick.findings[0].code, "unpacked-in-part");
    }
}

#[test]
fn a_packed_file_that_would_fill_the_memory_is_stopped() {
    let folder = Folder::new();
    let zeros = folder.write("zeros.img.gz", &gzip(&vec![0; 20 << 20]));
    let bounds = UnpackBounds { total_bytes: 4 << 20, kept_bytes: 1 << 20 };
    let stick = open_within(&zeros, "stick", bounds).unwrap();
    assert_eq!(stick.size_bytes, 4 << 20);
    insta::assert_snapshot!("unpacked-in-part", shown(&stick.findings, &[]));

    let content = folder.write("content.img.zst", &zst(&vec![b'x'; 20 << 20]));
    let stick = open_within(&content, "stick", bounds).unwrap();
    assert_eq!(stick.size_bytes, 1 << 20);
    assert_complete(&stick.findings);
    assert_eq!(UnpackBounds::default(), UnpackBounds { total_bytes: 64 << 30, kept_bytes: 1 << 30 });
}

#[test]
fn a_folder_is_listed_in_order_and_links_are_not_followed() {
    let folder = Folder::new();
    folder.write("b.csv", b"2");
    folder.write("a/z.csv", b"1");
    folder.write("a.csv", b"22");
    #[cfg(unix)]
    std::os::unix::fs::symlink(folder.0.path(), folder.0.path().join("loop")).unwrap();
    let stick = opened(folder.0.path());
    assert_eq!((stick.kind, stick.size_bytes, &stick.sha256), (SourceKind::Folder, 4, &None));
    let Medium::Files(tree) = &stick.medium else { panic!("{stick:?}") };
    let paths: Vec<&str> = tree.files.iter().map(|file| file.path.as_str()).collect();
    assert_eq!(paths, ["a.csv", "a/z.csv", "b.csv"]);
    assert!(tree.files.iter().all(|file| file.modified.is_some()));
    #[cfg(unix)]
    assert_eq!(stick.not_checked[0].what, "loop");
}

#[test]
fn a_folder_is_walked_to_a_bounded_depth() {
    let folder = Folder::new();
    let deep = vec!["d"; 40].join("/");
    folder.write(&format!("{deep}/TX0001.CSV"), b"1");
    let stick = opened(folder.0.path());
    let Medium::Files(tree) = &stick.medium else { panic!("{stick:?}") };
    assert!(tree.files.is_empty());
    assert_eq!(stick.not_checked[0].why, "more than 32 folders deep");
}

#[test]
fn what_cannot_be_opened_is_named_with_the_next_step() {
    let folder = Folder::new();
    let empty = folder.write("empty.csv", b"");
    let broken = folder.write("broken.img.gz", &gzip(b"some bytes")[..8]);
    let absent = folder.0.path().join("absent.img");
    let messages: Vec<String> = [&empty, &broken, &absent]
        .iter()
        .map(|path| {
            open(path, "stick").unwrap_err().to_string().replace(&folder.0.path().display().to_string(), "HERE")
        })
        .collect();
    insta::assert_snapshot!("cannot-be-opened", messages.join("\n"));
}

#[test]
fn a_file_named_by_an_option_is_read_whole_within_its_limit() {
    let folder = Folder::new();
    let list = folder.write("tickets.csv", b"ticket,head\n");
    assert_eq!(read_small_file(&list, 12).unwrap(), b"ticket,head\n");
    assert!(matches!(read_small_file(&list, 11), Err(InputError::TooLarge { limit_bytes: 11, .. })));
    assert!(matches!(read_small_file(&folder.0.path().join("none"), 11), Err(InputError::NotFound { .. })));
    assert!(matches!(read_small_file(folder.0.path(), 11), Err(InputError::Folder { .. })));
}
