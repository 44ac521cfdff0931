//! Surveys a medium.

use super::fat::{self, FatBoot};
use super::file_system::FileSystem;
use super::findings;
use super::identify::{self, Seen};
use super::partitions::{self, Layout, Slot};
use super::stored::{FileState, StoredFile};
use super::survey::{Survey, Volume};
use super::window::Window;
use crate::finding::{Finding, NotChecked, Place};
use crate::stick::findings::unreadable_sectors;
use crate::stick::{ByteSource, FileTree, Medium};

/// Surveys whatever was opened.
#[must_use]
pub fn survey_medium(medium: &Medium, source_id: &str) -> Survey {
    match medium {
        Medium::Raw(source) => survey(source.as_ref(), source_id),
        Medium::Files(tree) => survey_tree(tree, source_id),
    }
}

/// Surveys a raw medium.
#[must_use]
pub fn survey(source: &dyn ByteSource, source_id: &str) -> Survey {
    let layout = partitions::find(source);
    let mut out = Survey {
        source_id: source_id.to_owned(),
        read_raw: true,
        capacity_bytes: Some(source.size()),
        sector_bytes: layout.sector_bytes,
        partition_table: layout.table,
        volumes: Vec::new(),
        findings: Vec::new(),
        not_checked: Vec::new(),
    };
    for (index, slot) in layout.slots.iter().enumerate() {
        let reading = Reading { source, source_id, index, slot: *slot };
        reading.add_to(&mut out);
    }
    finish(&mut out, &layout);
    out
}

fn finish(out: &mut Survey, layout: &Layout) {
    out.findings.extend(findings::table_damaged(&out.source_id, layout));
    out.not_checked.extend(layout.reserved.iter().map(|at| {
        NotChecked::new(
            format!("the partition at byte {at}"),
            "Windows keeps it free; such a partition never holds files",
        )
    }));
    out.sector_bytes = out.sector_bytes.or_else(|| out.volumes.iter().find_map(|volume| volume.sector_bytes));
}

/// One volume being read.
struct Reading<'a> {
    source: &'a dyn ByteSource,
    source_id: &'a str,
    index: usize,
    slot: Slot,
}

impl Reading<'_> {
    fn add_to(&self, out: &mut Survey) {
        let window = Window::new(self.source, self.slot.offset);
        let mut seen = identify::any(&window);
        let boot = seen.fat.take();
        out.findings.extend(findings::type_contradicts(&self.place(), self.slot.stated, seen.file_system));
        let exceeds = findings::exceeds_device(&self.place(), self.slot, seen.size_bytes, self.source.size());
        let mut volume = self.volume(seen);
        match boot {
            Some(boot) => self.add_fat(&window, &boot, exceeds, &mut volume, out),
            None => self.add_foreign(&window, exceeds, &volume, out),
        }
        out.volumes.push(volume);
    }

    fn add_fat(
        &self,
        window: &Window,
        boot: &FatBoot,
        exceeds: Option<Finding>,
        volume: &mut Volume,
        out: &mut Survey,
    ) {
        let mut walked = fat::read(window, &boot.sector);
        volume.label = walked.label.take();
        volume.clusters = Some(walked.clusters);
        volume.free_bytes = walked.free_clusters.map(|free| free.saturating_mul(boot.sector.cluster_bytes()));
        volume.dirty = walked.dirty;
        volume.root_entries_free = walked.root_slots_free.map(|free| free as u64);
        volume.files = std::mem::take(&mut walked.files);
        volume.not_for_ordinary = walked.not_for_ordinary(boot);
        out.not_checked.append(&mut walked.not_checked);
        if volume.dirty == Some(false) {
            out.not_checked.push(NotChecked::new(
                format!("whether volume {} was pulled out early", self.index),
                "it bears no mark of that, but many indicators never set one; compare the last number with the last ticket",
            ));
        }
        let context = findings::Context { source: self.source, place: self.place(), volume, walked: &walked, boot };
        out.findings.extend(exceeds.map(|finding| findings::with_cut_files(finding, &context)));
        out.findings.extend(unreadable_sectors(self.place(), &window.faults()));
        findings::of_volume(&context, out);
    }

    fn add_foreign(&self, window: &Window, exceeds: Option<Finding>, volume: &Volume, out: &mut Survey) {
        out.findings.extend(exceeds);
        out.findings.extend(unreadable_sectors(self.place(), &window.faults()));
        out.findings.extend(findings::boot_sector_lost(&self.place(), window, volume.file_system));
        if volume.file_system != FileSystem::Blank {
            out.not_checked.push(NotChecked::new(
                format!("the files of volume {}", self.index),
                format!("its format is {}; only FAT12, FAT16 and FAT32 are read", volume.file_system),
            ));
        }
    }

    fn volume(&self, seen: Seen) -> Volume {
        let rest = self.source.size().saturating_sub(self.slot.offset);
        Volume {
            index: self.index,
            offset_bytes: Some(self.slot.offset),
            size_bytes: self.slot.size.or(seen.size_bytes).or(Some(rest)),
            logical: self.slot.logical,
            file_system: seen.file_system,
            recognised_by: seen.signs,
            label: seen.label,
            sector_bytes: seen.sector_bytes,
            cluster_bytes: seen.cluster_bytes,
            clusters: seen.clusters,
            free_bytes: None,
            dirty: seen.dirty,
            root_entries_free: None,
            files: Vec::new(),
            not_for_ordinary: None,
        }
    }

    fn place(&self) -> Place {
        Place::volume(self.source_id, self.index)
    }
}

/// Surveys the files of a folder: one volume of unknown format stands for it.
#[must_use]
pub fn survey_tree(tree: &FileTree, source_id: &str) -> Survey {
    let files = tree.files.iter().enumerate().map(|(index, file)| StoredFile {
        path: Some(file.path.clone()),
        size_bytes: file.size_bytes,
        modified: file.modified,
        state: FileState::Live,
        whole: true,
        extents: Vec::new(),
        beyond_size: Vec::new(),
        first_cluster: None,
        by_second_table: false,
        read_only: false,
        sha256: None,
        loose: Some(index),
    });
    let volume = Volume {
        index: 0,
        offset_bytes: None,
        size_bytes: None,
        logical: false,
        file_system: FileSystem::Unknown,
        recognised_by: Vec::new(),
        label: None,
        sector_bytes: None,
        cluster_bytes: None,
        clusters: None,
        free_bytes: None,
        dirty: None,
        root_entries_free: None,
        files: files.collect(),
        not_for_ordinary: None,
    };
    Survey {
        source_id: source_id.to_owned(),
        read_raw: false,
        capacity_bytes: None,
        sector_bytes: None,
        partition_table: None,
        volumes: vec![volume],
        findings: Vec::new(),
        not_checked: vec![NotChecked::new(
            "the stick's format, damage and deleted files",
            "only its files were given, not the stick itself; name the drive or an image of it",
        )],
    }
}
