//! Surveys a medium.

use super::fat::{self, FatBoot};
use super::file_system::FileSystem;
use super::findings;
use super::identify::{self, Seen};
use super::partitions::{self, Layout, Slot};
use super::stored::{FileState, StoredFile};
use super::survey::{PartitionTable, Survey, Volume};
use super::window::Window;
use crate::finding::{Finding, NotChecked, Place};
use crate::stick::findings::unreadable_sectors;
use crate::stick::{ByteSource, FileTree, Here, Medium};

/// Surveys whatever was opened; `here` is what this computer knows of it.
#[must_use]
pub fn survey_medium(medium: &Medium, source_id: &str, here: &Here) -> Survey {
    match medium {
        Medium::Raw(source) => survey_known(source.as_ref(), source_id, here),
        Medium::Mounted { raw, files } => with_shown(survey_known(raw.as_ref(), source_id, here), files),
        Medium::Files(tree) => survey_shown(tree, source_id, here),
    }
}

/// Surveys a raw medium of which nothing is known but its bytes.
#[must_use]
pub fn survey(source: &dyn ByteSource, source_id: &str) -> Survey {
    survey_known(source, source_id, &Here::default())
}

/// Surveys a raw medium; `here` is what this computer knows of it.
#[must_use]
pub fn survey_known(source: &dyn ByteSource, source_id: &str, here: &Here) -> Survey {
    let layout = partitions::find(source);
    let mut out = Survey {
        source_id: source_id.to_owned(),
        read_raw: true,
        capacity_bytes: Some(source.size()),
        sector_bytes: layout.sector_bytes,
        partition_table: layout.table,
        data_at: None,
        volumes: Vec::new(),
        findings: Vec::new(),
        not_checked: Vec::new(),
    };
    for (index, slot) in layout.slots.iter().enumerate() {
        let reading = Reading { source, source_id, index, slot: *slot, here };
        reading.add_to(&mut out);
    }
    add_data_behind_blank(source, &mut out);
    finish(&mut out, &layout);
    leave_open_table(&mut out, here);
    out
}

/// Where the search for data begins on a stick whose table lists nothing: behind any table, in bytes.
const BEHIND_TABLES: u64 = 64 << 10;

/// Looks on a stick that looks blank for the first bytes that are not zero.
fn add_data_behind_blank(source: &dyn ByteSource, out: &mut Survey) {
    if out.volumes.iter().any(|volume| volume.file_system != FileSystem::Blank) {
        return;
    }
    let begins = out.volumes.iter().filter_map(|volume| volume.offset_bytes).min().unwrap_or(BEHIND_TABLES);
    let window = Window::new(source, begins);
    out.data_at = identify::first_data(&window).map(|at| window.on_medium(at));
    // What cannot be read there is no zeros either.
    out.findings.extend(unreadable_sectors(Place::source(&out.source_id), &window.faults()));
}

/// The table of a drive stands before its volumes: who sees one volume alone does not know of any.
fn leave_open_table(out: &mut Survey, here: &Here) {
    if !here.part_of_drive || out.partition_table != Some(PartitionTable::None) {
        return;
    }
    out.partition_table = None;
    let drive = here.drive.as_ref().map(|drive| format!("; name {} to have it checked", drive.display()));
    out.not_checked.push(NotChecked::new(
        "how the whole drive is divided, and its size",
        format!("one volume of it was read{}", drive.unwrap_or_default()),
    ));
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
    here: &'a Here,
}

impl Reading<'_> {
    fn add_to(&self, out: &mut Survey) {
        let window = Window::new(self.source, self.slot.offset);
        let mut seen = identify::any(&window);
        let boot = seen.fat.take();
        let exceeds = findings::exceeds_device(&self.place(), self.slot, seen.size_bytes, self.source.size());
        if !self.is_behind_end() {
            out.findings.extend(findings::type_contradicts(&self.place(), self.slot.stated, seen.file_system));
        }
        if exceeds.is_none() {
            let found = seen.file_system;
            out.findings.extend(findings::larger_than_partition(&self.place(), self.slot, found, seen.size_bytes));
        }
        let mut volume = self.volume(seen);
        let written_here = self.here.may_write_to(self.slot.offset);
        if written_here {
            volume.dirty = None;
            out.not_checked.push(NotChecked::new(
                pulled_out_early(self.index),
                "this computer has it mounted for writing, so a mark of being open is its own",
            ));
        }
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
        volume.dirty = walked.dirty.filter(|_| !self.here.may_write_to(self.slot.offset));
        volume.root_entries_free = walked.root_slots_free.map(|free| free as u64);
        volume.files = std::mem::take(&mut walked.files);
        volume.not_for_ordinary = walked.not_for_ordinary(boot);
        out.not_checked.append(&mut walked.not_checked);
        if volume.dirty == Some(false) {
            out.not_checked.push(NotChecked::new(
                pulled_out_early(self.index),
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
        if self.is_behind_end() {
            out.not_checked.push(NotChecked::new(files_of(self.index), "it begins behind the end of the medium"));
        } else if volume.file_system != FileSystem::Blank {
            out.not_checked.push(NotChecked::new(
                files_of(self.index),
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

    /// Whether nothing of it can be read, not even its beginning.
    fn is_behind_end(&self) -> bool {
        self.slot.offset >= self.source.size()
    }

    fn place(&self) -> Place {
        Place::volume(self.source_id, self.index)
    }
}

fn pulled_out_early(index: usize) -> String {
    format!("whether volume {index} was pulled out early")
}

fn files_of(index: usize) -> String {
    format!("the files of volume {index}")
}

/// Adds the files that this computer shows of a mounted volume, where its format is none of those read here.
fn with_shown(mut out: Survey, tree: &FileTree) -> Survey {
    if out.volumes.iter().any(|volume| volume.file_system.is_fat()) {
        return out;
    }
    if out.volumes.is_empty() {
        out.volumes.push(shown_volume(FileSystem::Unknown));
    }
    if let Some(volume) = out.volumes.first_mut() {
        volume.files = loose_files(tree);
        let index = volume.index;
        out.not_checked.retain(|item| item.what != files_of(index));
        out.not_checked.push(NotChecked::new(
            format!("deleted and lost files of volume {index}"),
            format!("its format is {}; its files were read as this computer shows them", volume.file_system),
        ));
    }
    out.not_checked.extend(tree.unreadable.iter().map(|place| NotChecked::new(&place.path, &place.why)));
    out
}

/// The files of a folder.
fn loose_files(tree: &FileTree) -> Vec<StoredFile> {
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
    files.collect()
}

/// The volume that stands for files of which nothing else is seen.
fn shown_volume(file_system: FileSystem) -> Volume {
    Volume {
        index: 0,
        offset_bytes: None,
        size_bytes: None,
        logical: false,
        file_system,
        recognised_by: Vec::new(),
        label: None,
        sector_bytes: None,
        cluster_bytes: None,
        clusters: None,
        free_bytes: None,
        dirty: None,
        root_entries_free: None,
        files: Vec::new(),
        not_for_ordinary: None,
    }
}

/// Surveys the files of a folder of which nothing else is known: one volume of unknown format stands for it.
#[must_use]
pub fn survey_tree(tree: &FileTree, source_id: &str) -> Survey {
    survey_shown(tree, source_id, &Here::default())
}

/// The same where the system may tell the format.
fn survey_shown(tree: &FileTree, source_id: &str, here: &Here) -> Survey {
    let told = here.file_system.as_deref().and_then(FileSystem::by_word_of_system);
    let volume = Volume { files: loose_files(tree), ..shown_volume(told.unwrap_or(FileSystem::Unknown)) };
    let why = here.files_only.as_deref();
    Survey {
        source_id: source_id.to_owned(),
        read_raw: false,
        capacity_bytes: None,
        sector_bytes: None,
        partition_table: None,
        data_at: None,
        volumes: vec![volume],
        findings: Vec::new(),
        not_checked: vec![NotChecked::new(
            "the stick's format, damage and deleted files",
            why.unwrap_or("only its files were given, not the stick itself; name the drive or an image of it"),
        )],
    }
}
