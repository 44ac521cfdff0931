//! File systems that are only recognised, by the marks their specifications put at fixed places.

use super::Seen;
use crate::volume::file_system::FileSystem;
use crate::volume::window::Window;

/// A mark: where it stands, what it is, and what it means.
type Mark = (u64, &'static [u8], FileSystem);

/// Encrypted volumes. The first is Microsoft's, from memory; the second is of the LUKS on-disk format, 2.3.
const ENCRYPTED: [Mark; 2] = [(3, b"-FVE-FS-", FileSystem::BitLocker), (0, b"LUKS\xBA\xBE", FileSystem::Luks)];

/// The places are from memory, of the specification or header file named beside each.
const MARKS: [Mark; 12] = [
    // ReFS boot record, as described by libfsrefs.
    (3, b"ReFS\0\0\0\0", FileSystem::Refs),
    // Apple Technical Note 1150: signature of the volume header, HFS+ and HFSX.
    (1024, b"H+\0\x04", FileSystem::HfsPlus),
    (1024, b"HX\0\x05", FileSystem::HfsPlus),
    // Apple File System Reference: nx_magic of the container superblock.
    (32, b"NXSB", FileSystem::Apfs),
    // ECMA-167 part 2, 9: the volume recognition sequence starts at byte 32,768 and may hold a CD header first.
    (34_816, b"\0NSR0", FileSystem::Udf),
    (36_864, b"\0NSR0", FileSystem::Udf),
    // ECMA-119, 8.1: the first volume descriptor is sector 16.
    (32_769, b"CD001", FileSystem::Iso9660),
    // Linux fs/btrfs/ctree.h: superblock at 64 KiB, magic at 64 in it.
    (65_600, b"_BHRfS_M", FileSystem::Btrfs),
    // Linux fs/xfs/libxfs/xfs_format.h.
    (0, b"XFSB", FileSystem::Xfs),
    // Linux include/linux/f2fs_fs.h: superblock at 1024.
    (1024, b"\x10\x20\xF5\xF2", FileSystem::F2fs),
    // LVM2 label: in one of the first four sectors, usually the second.
    (512, b"LABELONE", FileSystem::Lvm),
    (0, b"LABELONE", FileSystem::Lvm),
];

pub(super) fn encrypted(window: &Window) -> Option<Seen> {
    first_of(&ENCRYPTED, window)
}

pub(super) fn probe(window: &Window) -> Option<Seen> {
    first_of(&MARKS, window)
}

fn first_of(marks: &[Mark], window: &Window) -> Option<Seen> {
    let found = marks.iter().find(|(at, mark, _)| window.bytes::<8>(*at).starts_with(mark))?;
    Some(Seen::only(found.2))
}
