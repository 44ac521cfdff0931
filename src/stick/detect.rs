//! Tells a raw image of a disk or volume from any other file, by its bytes and then by its name.

use super::bytes::ByteSource;

/// Endings that people give to raw images.
const IMAGE_ENDINGS: [&str; 4] = [".img", ".dd", ".raw", ".bin"];

/// Whether `bytes` look like a whole disk or one volume, or `name` says so.
pub(super) fn is_raw_medium(bytes: &dyn ByteSource, name: &str) -> bool {
    let name = name.to_ascii_lowercase();
    IMAGE_ENDINGS.iter().any(|ending| name.ends_with(ending))
        || begins_like_disk(bytes)
        || [512, 4096].into_iter().any(|at| holds(bytes, at, b"EFI PART"))
        || backup_boot_sector(bytes)
}

fn begins_like_disk(bytes: &dyn ByteSource) -> bool {
    let mut sector = [0; 512];
    bytes.read_at(0, &mut sector).is_ok() && (is_boot_sector(&sector) || is_partition_table(&sector))
}

/// A FAT32 volume keeps a copy of its boot sector at sector 6 (FAT specification 2005, "Boot Sector and BPB").
fn backup_boot_sector(bytes: &dyn ByteSource) -> bool {
    let mut sector = [0; 512];
    bytes.read_at(6 * 512, &mut sector).is_ok() && is_boot_sector(&sector)
}

/// A jump and the signature, as boot sectors of FAT, exFAT and NTFS volumes have.
fn is_boot_sector(sector: &[u8; 512]) -> bool {
    signed(sector) && matches!(sector, [0xEB, _, 0x90, ..] | [0xE9, ..])
}

/// The signature, and four entries whose status is 00 or 80 and of which one is used.
fn is_partition_table(sector: &[u8; 512]) -> bool {
    let entries = sector.get(446..510).unwrap_or_default();
    let mut used = false;
    for entry in entries.chunks_exact(16) {
        let (Some(status), Some(kind)) = (entry.first(), entry.get(4)) else { return false };
        if !matches!(status, 0x00 | 0x80) {
            return false;
        }
        used |= *kind != 0;
    }
    used && signed(sector)
}

fn signed(sector: &[u8; 512]) -> bool {
    sector.ends_with(&[0x55, 0xAA])
}

fn holds(bytes: &dyn ByteSource, at: u64, magic: &[u8; 8]) -> bool {
    let mut found = [0; 8];
    bytes.read_at(at, &mut found).is_ok() && found == *magic
}
