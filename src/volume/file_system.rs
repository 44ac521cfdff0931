//! The file systems that are known by name.

use std::fmt;

use serde::{Deserialize, Serialize};

/// A file system, or another use a volume is put to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs, reason = "the names are those people know them by")]
pub enum FileSystem {
    Fat12,
    Fat16,
    Fat32,
    ExFat,
    Ntfs,
    Ext,
    HfsPlus,
    Apfs,
    Iso9660,
    Udf,
    Btrfs,
    Xfs,
    F2fs,
    Refs,
    Luks,
    BitLocker,
    Lvm,
    /// Zeros alone.
    Blank,
    /// None of these could be recognised.
    Unknown,
}

impl FileSystem {
    /// Whether its files can be listed here.
    #[must_use]
    pub const fn is_fat(self) -> bool {
        matches!(self, Self::Fat12 | Self::Fat16 | Self::Fat32)
    }

    /// The file system a system means by its word for that of a mounted volume, where the word leaves no doubt: Linux says
    /// `vfat` and Windows `FAT` for more than one (words: from memory).
    #[must_use]
    pub fn by_word_of_system(word: &str) -> Option<Self> {
        Some(match word.to_ascii_lowercase().as_str() {
            "fat32" => Self::Fat32,
            "exfat" => Self::ExFat,
            "ntfs" | "ntfs3" => Self::Ntfs,
            "ext2" | "ext3" | "ext4" => Self::Ext,
            "hfsplus" => Self::HfsPlus,
            "apfs" => Self::Apfs,
            "iso9660" => Self::Iso9660,
            "udf" => Self::Udf,
            "btrfs" => Self::Btrfs,
            "xfs" => Self::Xfs,
            "f2fs" => Self::F2fs,
            "refs" => Self::Refs,
            _ => return None,
        })
    }

    /// The word other programs read: the name in lower case.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Fat12 => "fat12",
            Self::Fat16 => "fat16",
            Self::Fat32 => "fat32",
            Self::ExFat => "exfat",
            Self::Ntfs => "ntfs",
            Self::Ext => "ext",
            Self::HfsPlus => "hfsplus",
            Self::Apfs => "apfs",
            Self::Iso9660 => "iso9660",
            Self::Udf => "udf",
            Self::Btrfs => "btrfs",
            Self::Xfs => "xfs",
            Self::F2fs => "f2fs",
            Self::Refs => "refs",
            Self::Luks => "luks",
            Self::BitLocker => "bitlocker",
            Self::Lvm => "lvm",
            Self::Blank => "blank",
            Self::Unknown => "unknown",
        }
    }
}

impl fmt::Display for FileSystem {
    /// The name as people write it.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Fat12 => "FAT12",
            Self::Fat16 => "FAT16",
            Self::Fat32 => "FAT32",
            Self::ExFat => "exFAT",
            Self::Ntfs => "NTFS (a Windows format)",
            Self::Ext => "ext (a Linux format)",
            Self::HfsPlus => "HFS+ (a Mac format)",
            Self::Apfs => "APFS (a Mac format)",
            Self::Iso9660 => "ISO 9660 (a CD image)",
            Self::Udf => "UDF (a DVD format)",
            Self::Btrfs => "Btrfs (a Linux format)",
            Self::Xfs => "XFS (a Linux format)",
            Self::F2fs => "F2FS (a Linux format)",
            Self::Refs => "ReFS (a Windows format)",
            Self::Luks => "LUKS (encrypted by Linux)",
            Self::BitLocker => "BitLocker (encrypted by Windows)",
            Self::Lvm => "LVM (a Linux format)",
            Self::Blank => "blank",
            Self::Unknown => "unknown",
        })
    }
}
