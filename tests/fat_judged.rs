//! Every damage recipe is put before an outside judge: what Debian's fsck.fat says of it, beside what is found here.
//!
//! Judge: dosfstools 4.2. Of its messages only the short keys of `KEYS` enter the table, neither paths nor numbers, so
//! that another version changes the table only where it sees more, or less.

use std::collections::BTreeSet;
use std::fmt::Write;
use std::io::{Seek, SeekFrom, Write as _};

use counterfoil::volume::survey;
use fatfs::FatType;

use crate::support::fat_image::{EVERY_KIND, FatImage, kind_name};
use crate::support::fat_recipes::RECIPES;
use crate::support::judges::{ask, present};
use crate::support::memory::Patched;

/// What the judge says, by a part of its line, and the key that stands for it here.
const KEYS: [(&str, &str); 36] = [
    ("Circular cluster chain", "circular chain"),
    ("share clusters", "shared clusters"),
    ("Contains a free cluster", "free cluster in a chain"),
    ("Contains a bad cluster", "bad cluster in a chain"),
    ("Start cluster beyond limit", "start beyond the volume"),
    ("Bad start cluster 1", "start at cluster 1"),
    ("cluster chain length is", "size against chain"),
    ("FATs differ", "tables differ"),
    ("Both FATs appear to be corrupt", "both tables corrupt"),
    ("out of range", "link out of range"),
    ("Free cluster summary wrong", "free count"),
    ("Reclaimed", "unused chains"),
    ("Has a large number of bad entries", "many bad entries"),
    ("Bad short file name", "bad short name"),
    ("Expected a valid '", "dot entry missing"),
    ("Invalid '", "dot entry wrong"),
    ("Start does point to", "folder in itself"),
    ("Is a dot with no 8.3 name flag set", "dot with flag"),
    ("Duplicate directory entry", "equal names"),
    ("Orphaned long file name part", "stray long name"),
    ("Unfinished long file name", "unfinished long name"),
    ("Wrong checksum for long file name", "long name's checksum"),
    ("Checksum in long filename part wrong", "long name's checksum"),
    ("Long filename fragment", "long name's fragment"),
    ("A new long file name starts within an old one", "long name in another"),
    ("Unexpected long filename sequence number", "long name's order"),
    ("Dirty bit is set", "left open"),
    ("differences between boot sector and its backup", "boot copies differ"),
    ("Cluster size is zero", "cluster size"),
    ("Logical sector size", "sector size"),
    ("Directory has non-zero size", "folder with a size"),
    ("Failed to read sector", "medium too short"),
    ("next_cluster on bad cluster", "stopped at a bad cluster"),
    ("FAT32 root dir starts with a bad cluster", "start of the root directory"),
    ("only 1 or 2 FATs are supported", "number of tables"),
    ("bad magic number", "free count unsigned"),
];

/// Lines that only explain, tell what would be done about it, or name the place of the line after them.
const BESIDE: [&str; 20] = [
    "fsck.fat ",
    "/",
    // The specification allows it ("FSInfo": 0xFFFFFFFF, the count is unknown).
    "Free cluster summary uninitialized",
    "Auto",
    "Not auto",
    "Renamed to ",
    "Truncating ",
    "Moving entry down.",
    "No free entry found.",
    "Not dropping ",
    "Creating.",
    "Using first FAT.",
    "(Short name ",
    "First  ",
    "Second ",
    "This is mostly harmless.",
    "It could be that ",
    "if \"",
    "Offset ",
    "Leaving filesystem unchanged",
];

/// What the judge complains of and is not a finding here, with the reason.
const NOT_OURS: [(&str, &str); 4] = [
    ("boot-copy-damaged", "a spare that cannot be read takes nothing away while the first sector is sound"),
    ("folder-with-a-size", "a folder's length is that of its chain; nothing follows from the number"),
    ("free-count-unsigned", "free space is counted from the table, never taken from there"),
    ("media-byte-changed", "no place follows from it; the judge compares the two first sectors byte for byte"),
];

/// What a judge or this project says of an image.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Said {
    ours: BTreeSet<&'static str>,
    exit: i32,
    theirs: BTreeSet<String>,
}

impl Said {
    fn complains(&self) -> bool {
        self.exit != 0 || !self.theirs.is_empty()
    }

    fn standing(&self) -> &'static str {
        match (self.ours.is_empty(), self.complains()) {
            (false, true) => "both",
            (false, false) => "blind spot",
            (true, true) => "NOT SEEN HERE",
            (true, false) => "both silent",
        }
    }
}

/// A sparse file: a volume is mostly zeros.
fn stored(bytes: &[u8]) -> tempfile::NamedTempFile {
    let mut file = tempfile::NamedTempFile::new().unwrap();
    file.as_file().set_len(bytes.len() as u64).unwrap();
    for (index, piece) in bytes.chunks(4096).enumerate().filter(|(_, piece)| **piece != [0; 4096][..piece.len()]) {
        file.seek(SeekFrom::Start(index as u64 * 4096)).unwrap();
        file.write_all(piece).unwrap();
    }
    file
}

fn said_of(image: &FatImage) -> Said {
    let file = stored(&image.bytes);
    let output = ask("fsck.fat", &["-n", file.path().to_str().unwrap()], &[]).unwrap();
    let text = [output.stdout, output.stderr].concat();
    let text = String::from_utf8_lossy(&text);
    let summary = format!("{}:", file.path().display());
    Said {
        ours: survey(&Patched::whole(&image.bytes), "stick").findings.iter().map(|finding| finding.code).collect(),
        exit: output.status.code().unwrap(),
        theirs: text.lines().filter(|line| !line.starts_with(&summary)).filter_map(key).collect(),
    }
}

/// The key of a line; an unknown line is its own key, so that it shows in the table.
fn key(line: &str) -> Option<String> {
    let line = line.trim();
    let known = KEYS.iter().find(|(part, _)| line.contains(part)).map(|(_, key)| (*key).to_owned());
    // A pair of differing bytes: `13:01/03`.
    let bytes = line.starts_with(|first: char| first.is_ascii_digit()) && line.contains(':') && line.contains('/');
    let beside = bytes || line.is_empty() || BESIDE.iter().any(|start| line.starts_with(start));
    known.or_else(|| (!beside).then(|| format!("unknown: {line}")))
}

/// Every recipe on every kind, in the order of the recipes. One buffer of a kind serves all its recipes.
fn all_said() -> Vec<(&'static str, FatType, Said)> {
    let mut said = Vec::new();
    for kind in EVERY_KIND {
        let sound = FatImage::with_exports(kind);
        let mut image = sound.clone();
        for (number, recipe) in RECIPES.iter().enumerate().filter(|(_, recipe)| recipe.kinds.contains(&kind)) {
            image.bytes.clone_from(&sound.bytes);
            (recipe.damage)(&mut image);
            said.push((number, (recipe.name, kind, said_of(&image))));
        }
    }
    said.sort_by_key(|(number, _)| *number);
    said.into_iter().map(|(_, said)| said).collect()
}

fn table(said: &[(&'static str, FatType, Said)]) -> String {
    let mut out = String::new();
    for same in said.chunk_by(|one, next| (one.0, &one.2) == (next.0, &next.2)) {
        let kinds: Vec<_> = same.iter().map(|(_, kind, _)| kind_name(*kind)).collect();
        let (name, _, said) = &same[0];
        let ours: Vec<_> = said.ours.iter().copied().collect();
        let theirs: Vec<_> = said.theirs.iter().map(String::as_str).collect();
        writeln!(out, "{name}, {}: {}", kinds.join(" "), said.standing()).unwrap();
        writeln!(out, "  here:     {}", ours.join(", ")).unwrap();
        writeln!(out, "  fsck.fat: exit {}; {}", said.exit, theirs.join(", ")).unwrap();
        if let Some((_, reason)) = NOT_OURS.iter().find(|(of, _)| *of == *name) {
            writeln!(out, "  reason:   {reason}").unwrap();
        }
    }
    out
}

#[test]
fn what_fsck_says_of_every_recipe() {
    if !present("fsck.fat") {
        return;
    }
    let said = all_said();
    insta::assert_snapshot!("fsck-beside-ours", table(&said));
    let not_seen: BTreeSet<_> =
        said.iter().filter(|(_, _, said)| said.standing() == "NOT SEEN HERE").map(|(name, ..)| *name).collect();
    assert_eq!(not_seen, NOT_OURS.iter().map(|(name, _)| *name).collect());
}

#[test]
fn both_are_silent_on_undamaged_volumes() {
    if !present("fsck.fat") {
        return;
    }
    for kind in EVERY_KIND {
        assert_eq!(said_of(&FatImage::with_exports(kind)).standing(), "both silent", "{kind:?}");
    }
}
