//! Every damage recipe by name: what is done to a small volume, and on which kinds of FAT.

use fatfs::FatType::{self, Fat12, Fat16, Fat32};

use super::fat_image::{EVERY_KIND, FatImage};

pub const FIRST: &[u8; 11] = b"TX0001  CSV";
pub const SECOND: &[u8; 11] = b"TX0002  CSV";
pub const FOLDER: &[u8; 11] = b"OLD        ";
pub const INSIDE: &[u8; 11] = b"ALONGE~1CSV";

/// One kind of damage.
pub struct Recipe {
    pub name: &'static str,
    pub kinds: &'static [FatType],
    pub damage: fn(&mut FatImage),
}

const fn everywhere(name: &'static str, damage: fn(&mut FatImage)) -> Recipe {
    Recipe { name, kinds: &EVERY_KIND, damage }
}

const fn only(name: &'static str, kinds: &'static [FatType], damage: fn(&mut FatImage)) -> Recipe {
    Recipe { name, kinds, damage }
}

/// All of them, each done to a volume of [`FatImage::with_exports`].
pub const RECIPES: [Recipe; 52] = [
    everywhere("chain-loop", |image| link_after_first(image, |start| start)),
    everywhere("chain-cross-linked", |image| {
        let shared = image.first_cluster(SECOND) + 1;
        let start = image.first_cluster(FIRST);
        image.link_both(start, shared as u32);
    }),
    everywhere("chain-broken-free", |image| link_after_first(image, |_| 0)),
    everywhere("chain-broken-bad", |image| {
        let bad = image.bad();
        link_after_first(image, |_| bad);
    }),
    everywhere("chain-broken-start", |image| {
        let start = image.first_cluster(SECOND);
        image.link_both(start, 0);
        image.link_both(start + 1, 0);
    }),
    everywhere("chain-broken-outside", |image| {
        let start = image.first_cluster(FIRST);
        image.link_both(start, 1);
    }),
    only("chain-broken-reserved", &[Fat12], |image| {
        let start = image.first_cluster(FIRST);
        image.link_both(start, 0xFF0);
    }),
    everywhere("first-cluster-0", |image| set_first_cluster(image, FIRST, 0)),
    everywhere("first-cluster-1", |image| set_first_cluster(image, FIRST, 1)),
    only("first-cluster-outside", &[Fat12, Fat16], |image| set_first_cluster(image, FIRST, 0xFFF0)),
    everywhere("fat-copies-differ", |image| {
        let start = image.first_cluster(FIRST);
        image.link(0, start + 1, 0);
    }),
    everywhere("second-table-damaged", |image| {
        let start = image.first_cluster(FIRST);
        image.link(1, start + 1, 0);
    }),
    everywhere("both-tables-damaged", |image| {
        let start = image.first_cluster(FIRST);
        image.link(0, start, 0);
        image.link(1, start + 1, 0);
    }),
    everywhere("first-table-leads-elsewhere", first_table_leads_elsewhere),
    everywhere("size-disagrees-short", |image| {
        let start = image.first_cluster(FIRST);
        let end = image.end();
        image.link_both(start, end);
    }),
    everywhere("size-disagrees-long", |image| set_size(image, 500)),
    everywhere("directory-damaged", |image| {
        let folder = image.cluster(image.first_cluster(FOLDER));
        image.bytes[folder..folder + 512].fill(b'7');
    }),
    everywhere("folder-in-itself", |image| {
        let folder = image.first_cluster(FOLDER);
        set_first_cluster(image, INSIDE, folder as u16);
        let inside = image.entry(INSIDE);
        image.bytes[inside + 11] = 0x10;
    }),
    everywhere("lost-folder", |image| {
        let entry = image.entry(FOLDER);
        image.bytes[entry..entry + 32].fill(0xFF);
    }),
    everywhere("lost-folder-claims-a-file", |image| {
        let taken = image.first_cluster(FIRST) as u16;
        set_first_cluster(image, INSIDE, taken);
        let entry = image.entry(FOLDER);
        image.bytes[entry..entry + 32].fill(0xFF);
    }),
    everywhere("false-end-of-list", |image| {
        let entry = image.entry(FIRST);
        image.bytes[entry] = 0;
    }),
    everywhere("folder-above-wrong", |image| {
        let folder = image.cluster(image.first_cluster(FOLDER));
        let above = (folder..folder + 512).step_by(32).find(|at| image.bytes[*at..].starts_with(b"..  ")).unwrap();
        image.bytes[above + 26] = 77;
    }),
    everywhere("stray-long-name", |image| {
        let entry = image.entry(INSIDE);
        image.bytes[entry - 32 + 13] ^= 0xFF;
    }),
    everywhere("long-name-out-of-order", |image| {
        let entry = image.entry(INSIDE);
        image.bytes[entry - 32] = 3;
    }),
    everywhere("folder-without-dots", |image| {
        let folder = image.cluster(image.first_cluster(FOLDER));
        image.bytes[folder] = 0xE5;
        image.bytes[folder + 32] = 0xE5;
    }),
    everywhere("folder-with-a-size", |image| {
        let entry = image.entry(FOLDER);
        image.bytes[entry + 28] = 77;
    }),
    everywhere("first-letter-blank", |image| {
        let entry = image.entry(SECOND);
        image.bytes[entry - 32] = 0xE5;
        image.bytes[entry] = b' ';
    }),
    everywhere("hour-that-is-none", |image| {
        let entry = image.entry(FIRST);
        image.bytes[entry + 23] = 0xFF;
    }),
    everywhere("two-equal-names", |image| {
        let entry = image.entry(SECOND);
        // fatfs writes a long name before every entry; it would hide the equal short names.
        image.bytes[entry - 32] = 0xE5;
        image.bytes[entry..entry + 11].copy_from_slice(FIRST);
    }),
    everywhere("forbidden-letter", |image| {
        let entry = image.entry(SECOND);
        image.bytes[entry - 32] = 0xE5;
        image.bytes[entry + 3] = b'*';
    }),
    everywhere("deleted-folder", deleted_folder),
    everywhere("deleted-short-name", deleted_short_name),
    only("boot-sector-damaged-copy", &[Fat32], |image| image.bytes[..64].fill(0)),
    only("boot-sector-damaged-lost", &[Fat12, Fat16], |image| image.bytes[13..16].fill(0)),
    only("boot-copy-damaged", &[Fat32], |image| {
        let copy = image.u16_at(50) * 512;
        image.bytes[copy + 13] = 3;
    }),
    only("boot-copy-differs", &[Fat32], |image| {
        let copy = image.u16_at(50) * 512;
        image.bytes[copy + 13] = 2;
    }),
    everywhere("cluster-size-0", |image| image.bytes[13] = 0),
    // On FAT32 the judge takes rows of exports for names there, and prints them.
    only("cluster-size-3", &[Fat12, Fat16], |image| image.bytes[13] = 3),
    everywhere("three-tables", |image| image.bytes[16] = 3),
    everywhere("first-sector-unsigned", |image| image.bytes[510..512].fill(0)),
    everywhere("media-byte-changed", |image| image.bytes[21] = 0xF0),
    everywhere("table-begins-wrong", |image| image.link_both(0, 0)),
    only("root-cluster-elsewhere", &[Fat32], |image| image.bytes[44] = 99),
    only("free-count-unsigned", &[Fat32], |image| image.bytes[512..516].fill(0)),
    everywhere("volume-left-open", |image| {
        let at = if image.kind == Fat32 { 65 } else { 37 };
        image.bytes[at] |= 1;
    }),
    only("volume-left-open-in-table", &[Fat16, Fat32], |image| {
        image.link_both(1, if image.kind == Fat16 { 0x7FFF } else { 0x07FF_FFFF });
    }),
    // A writer that met a place it could not use leaves a mark (FAT specification 2005, "Reserved FAT Entries").
    only("hard-error-mark", &[Fat16, Fat32], |image| {
        image.link_both(1, if image.kind == Fat16 { 0xBFFF } else { 0x0BFF_FFFF });
    }),
    only("free-count-wrong", &[Fat32], |image| image.bytes[512 + 488..512 + 492].copy_from_slice(&7_u32.to_le_bytes())),
    everywhere("clock-not-set", |image| {
        let entry = image.entry(FIRST);
        image.bytes[entry + 24..entry + 26].copy_from_slice(&[0x21, 0]);
        let entry = image.entry(SECOND);
        image.bytes[entry + 24..entry + 26].copy_from_slice(&[0, 0]);
    }),
    only("root-directory-full", &[Fat12, Fat16], fill_root_directory),
    // The medium ends within the second export.
    everywhere("volume-exceeds-device", |image| {
        let cut = image.cluster(image.first_cluster(SECOND)) + 100;
        image.bytes.truncate(cut);
    }),
    everywhere("export-near-size-limit", |image| set_size(image, u32::MAX - 40)),
];

/// The recipe of this name.
pub fn recipe(name: &str) -> &'static Recipe {
    RECIPES.iter().find(|recipe| recipe.name == name).unwrap_or_else(|| panic!("no recipe is called {name}"))
}

/// A volume of this kind, damaged.
pub fn damaged(name: &str, kind: FatType) -> FatImage {
    let recipe = recipe(name);
    assert!(recipe.kinds.contains(&kind), "{name} is not for {kind:?}");
    let mut image = FatImage::with_exports(kind);
    (recipe.damage)(&mut image);
    image
}

/// Sets what follows the second of the first export's three clusters.
fn link_after_first(image: &mut FatImage, link: impl Fn(u32) -> u32) {
    let start = image.first_cluster(FIRST);
    image.link_both(start + 1, link(start as u32));
}

/// The lower half of the number; volumes made here need no more for their first files.
fn set_first_cluster(image: &mut FatImage, name: &[u8; 11], cluster: u16) {
    let entry = image.entry(name);
    image.bytes[entry + 26..entry + 28].copy_from_slice(&cluster.to_le_bytes());
}

fn set_size(image: &mut FatImage, size: u32) {
    let entry = image.entry(FIRST);
    image.bytes[entry + 28..entry + 32].copy_from_slice(&size.to_le_bytes());
}

/// Two clusters in no use, in use by the first table alone, with other text in them.
fn first_table_leads_elsewhere(image: &mut FatImage) {
    let start = image.first_cluster(FIRST);
    let free = start + 40;
    image.link(0, start, free as u32);
    image.link(0, free, free as u32 + 1);
    let end = image.end();
    image.link(0, free + 1, end);
    let other = image.cluster(free);
    image.bytes[other..other + 1024].fill(b'x');
}

fn deleted_folder(image: &mut FatImage) {
    let folder = image.first_cluster(FOLDER);
    let file_start = image.first_cluster(INSIDE);
    let entry = image.entry(FOLDER);
    for cluster in [folder, file_start, file_start + 1] {
        image.link_both(cluster, 0);
    }
    // The long name before it goes with it.
    image.bytes[entry - 32] = 0xE5;
    image.bytes[entry] = 0xE5;
}

/// The second export, deleted, with no long name before its entry.
fn deleted_short_name(image: &mut FatImage) {
    let entry = image.entry(SECOND);
    // fatfs writes a long name before every entry; without its slots only ten letters are left.
    image.bytes[entry - 32..entry].fill(0);
    image.bytes[entry - 32..entry - 31].fill(0xE5);
    image.bytes[entry] = 0xE5;
    let start = image.first_cluster(b"\xE5X0002  CSV");
    for cluster in start..start + 2 {
        image.link_both(cluster, 0);
    }
}

/// Empty files in every free place.
fn fill_root_directory(image: &mut FatImage) {
    let root = image.root();
    for (number, place) in (root..root + 64 * 32).step_by(32).enumerate() {
        if image.bytes[place] == 0 {
            let name = format!("REST{number:02}  CSV ");
            image.bytes[place..place + 12].copy_from_slice(name.as_bytes());
            image.bytes[place + 24..place + 26].copy_from_slice(&[0x67, 0x5A]);
        }
    }
}
