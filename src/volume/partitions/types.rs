//! What a partition table says a partition holds, and whether that can be.

use crate::volume::file_system::FileSystem;

/// What a partition table says of a partition.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::volume) enum Stated {
    /// No table speaks of it.
    Nothing,
    /// The type byte of a classic table.
    Byte(u8),
    /// The type of a GUID table, as its 16 bytes stand there.
    Guid([u8; 16]),
}

/// A type: its name for people, and the file systems it stands for.
type Meaning = (&'static str, &'static [FileSystem]);

use FileSystem::{Apfs, BitLocker, Btrfs, ExFat, Ext, F2fs, Fat12, Fat16, Fat32, HfsPlus, Luks, Lvm, Ntfs, Refs, Xfs};

const FATS: &[FileSystem] = &[Fat12, Fat16, Fat32];
const LINUX: &[FileSystem] = &[Ext, Btrfs, Xfs, F2fs, Luks, Lvm];
const WINDOWS: &[FileSystem] = &[Ntfs, ExFat, Refs, BitLocker];
const WINDOWS_OR_FAT: &[FileSystem] = &[Fat12, Fat16, Fat32, Ntfs, ExFat, Refs, BitLocker];

/// The type bytes met on sticks (layout: libvsmbr's documentation; the numbers from memory).
const BYTES: [(u8, Meaning); 20] = [
    (0x01, ("FAT12", &[Fat12])),
    (0x04, ("FAT16", &[Fat16])),
    (0x06, ("FAT16", &[Fat16])),
    (0x07, ("NTFS or exFAT", WINDOWS)),
    (0x0B, ("FAT32", &[Fat32])),
    (0x0C, ("FAT32", &[Fat32])),
    (0x0E, ("FAT16", &[Fat16])),
    (0x11, ("hidden FAT12", &[Fat12])),
    (0x14, ("hidden FAT16", &[Fat16])),
    (0x16, ("hidden FAT16", &[Fat16])),
    (0x17, ("hidden NTFS or exFAT", WINDOWS)),
    (0x1B, ("hidden FAT32", &[Fat32])),
    (0x1C, ("hidden FAT32", &[Fat32])),
    (0x1E, ("hidden FAT16", &[Fat16])),
    (0x27, ("Windows recovery", WINDOWS)),
    (0x82, ("Linux swap", &[])),
    (0x83, ("Linux", LINUX)),
    (0x8E, ("Linux LVM", &[Lvm])),
    (0xAF, ("Mac", &[HfsPlus, Apfs])),
    (0xEF, ("EFI system partition", FATS)),
];

/// The types of GUID tables met on sticks, first group of digits only (UEFI 5.3.3 and the Discoverable Partitions
/// Specification, from memory).
const GUIDS: [(u32, Meaning); 7] = [
    (0xEBD0_A0A2, ("data of Windows", WINDOWS_OR_FAT)),
    (0xC12A_7328, ("EFI system partition", FATS)),
    (0x0FC6_3DAF, ("Linux", LINUX)),
    (0xE6D6_D379, ("Linux LVM", &[Lvm])),
    (0xCA7D_7CCB, ("encrypted by Linux", &[Luks])),
    (0x4846_5300, ("Mac", &[HfsPlus])),
    (0x7C34_57EF, ("Mac", &[Apfs])),
];

/// The type of the partition that Windows keeps free on large drives, 16 MB or more without a file system (from memory).
const RESERVED_BY_WINDOWS: u32 = 0xE3C9_E316;

impl Stated {
    /// Whether such a partition never holds files.
    pub(super) fn is_reserved(self) -> bool {
        self.first_group() == Some(RESERVED_BY_WINDOWS)
    }

    /// The type in plain words; `None` where it is not known here.
    pub(in crate::volume) fn name(self) -> Option<&'static str> {
        Some(self.meaning()?.0)
    }

    /// Whether a partition of this type can hold `found`. A type that is not known here can hold anything.
    pub(in crate::volume) fn allows(self, found: FileSystem) -> bool {
        self.meaning().is_none_or(|(_, file_systems)| file_systems.contains(&found))
    }

    /// Whether small machines would look for FAT in it, whichever of the three.
    pub(in crate::volume) fn promises_fat(self) -> bool {
        self.meaning().is_none_or(|(name, file_systems)| {
            file_systems.iter().any(|file_system| file_system.is_fat()) && !name.starts_with("hidden")
        })
    }

    /// The type as the table has it, for people who look it up.
    pub(in crate::volume) fn code(self) -> String {
        match self {
            Self::Nothing => "none".to_owned(),
            Self::Byte(byte) => format!("{byte:02X}"),
            Self::Guid(_) => format!("{:08X}-…", self.first_group().unwrap_or_default()),
        }
    }

    fn meaning(self) -> Option<Meaning> {
        match self {
            Self::Nothing => None,
            Self::Byte(byte) => meaning_in(&BYTES, byte),
            Self::Guid(_) => meaning_in(&GUIDS, self.first_group()?),
        }
    }

    /// The first group of a GUID's digits is stored lowest byte first.
    fn first_group(self) -> Option<u32> {
        match self {
            Self::Guid([a, b, c, d, ..]) => Some(u32::from_le_bytes([a, b, c, d])),
            _ => None,
        }
    }
}

fn meaning_in<T: PartialEq + Copy>(table: &[(T, Meaning)], wanted: T) -> Option<Meaning> {
    table.iter().find(|(code, _)| *code == wanted).map(|(_, meaning)| *meaning)
}
