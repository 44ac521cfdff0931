//! What a volume was recognised as, and by which of its structures.

use crate::volume::fat::FatBoot;
use crate::volume::file_system::FileSystem;

/// What a volume was recognised as.
pub(in crate::volume) struct Seen {
    pub file_system: FileSystem,
    /// The structures that were found where this file system has them.
    pub signs: Vec<&'static str>,
    /// Its own statement of its length in bytes.
    pub size_bytes: Option<u64>,
    pub sector_bytes: Option<u32>,
    pub cluster_bytes: Option<u64>,
    pub clusters: Option<u64>,
    pub label: Option<String>,
    pub dirty: Option<bool>,
    /// The boot sector of a FAT volume.
    pub fat: Option<FatBoot>,
}

impl Seen {
    /// Nothing else known.
    pub(super) const fn only(file_system: FileSystem) -> Self {
        Self {
            file_system,
            signs: Vec::new(),
            size_bytes: None,
            sector_bytes: None,
            cluster_bytes: None,
            clusters: None,
            label: None,
            dirty: None,
            fat: None,
        }
    }

    /// Recognised by these signs.
    pub(super) fn by(file_system: FileSystem, signs: Vec<&'static str>) -> Self {
        let mut seen = Self::only(file_system);
        seen.signs = signs;
        seen
    }

    /// A FAT volume; its tables and folders are read later, so its boot sector is all that is told here.
    pub(super) fn fat(fat: FatBoot) -> Self {
        let boot = &fat.sector;
        let sign = if fat.by_copy { "the copy of the boot sector" } else { "the boot sector" };
        Self {
            size_bytes: Some(boot.volume_bytes()),
            sector_bytes: Some(boot.bytes_per_sector),
            cluster_bytes: Some(boot.cluster_bytes()),
            clusters: Some(u64::from(boot.cluster_count())),
            ..Self::by(boot.kind().file_system(), vec![sign])
        }
        .with_fat(fat)
    }

    fn with_fat(mut self, fat: FatBoot) -> Self {
        self.fat = Some(fat);
        self
    }

    /// The same with a name, unless that is empty.
    pub(super) fn named(mut self, label: &str) -> Self {
        let label = label.trim_end_matches(['\0', ' ']);
        self.label = (!label.is_empty()).then(|| label.to_owned());
        self
    }

    /// Whether nothing is known of it.
    pub(in crate::volume) const fn is_nameless(&self) -> bool {
        matches!(self.file_system, FileSystem::Blank | FileSystem::Unknown)
    }
}

/// Collects the structures that are where they should be.
pub(super) struct Signs(Vec<&'static str>);

impl Signs {
    /// Starts with the structure without which the file system is not looked for.
    pub(super) fn first(name: &'static str) -> Self {
        Self(vec![name])
    }

    /// Adds one that was found.
    pub(super) fn and(mut self, found: bool, name: &'static str) -> Self {
        if found {
            self.0.push(name);
        }
        self
    }

    /// All of them.
    pub(super) fn all(self) -> Vec<&'static str> {
        self.0
    }
}
