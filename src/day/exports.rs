//! Goes through the files of every source and reads the exports among them.

use std::collections::{BTreeMap, BTreeSet};

use super::export_file::{ALL_EXPORTS, Candidate, FileRead, Reading, place};
use super::notes::Notes;
use super::same_hand::settle_dates;
use super::sources::Source;
use crate::draft::{self, Weighings};
use crate::export::{self, Export};
use crate::stick;
use crate::volume::{FileState, StoredFile};

/// The exports of all sources, and the rows in them.
#[derive(Debug, Default)]
pub struct Exports {
    /// In the order of the sources and of the files on them.
    pub exports: Vec<Export>,
    /// How many files were looked into.
    pub looked_into: usize,
    /// By export, what of it differs from the layout that was given, where that does not fit.
    pub misfits: BTreeMap<String, String>,
    /// Their drafts and totals, each weighing once.
    pub weighings: Weighings,
}

/// Reads the exports of all sources, and tells what they show by themselves.
#[must_use]
pub fn read_exports(sources: &[Source], reading: &Reading, notes: &mut Notes) -> Exports {
    let mut exports: Vec<Export> = Vec::new();
    let mut misfits = BTreeMap::new();
    let candidates = candidates(sources);
    let mut left = ALL_EXPORTS;
    let with_bytes = candidates.iter().filter(|candidate| candidate.file.bytes_had() > 0);
    let mut reads: Vec<_> = with_bytes.map(|candidate| (candidate, candidate.read(reading, &mut left))).collect();
    settle_dates(&mut reads, reading, &mut left);
    for (candidate, mut read) in reads {
        let misfit = read.misfit.take();
        let export = taken(read, exports.len() + 1, notes);
        misfits.extend(export.as_ref().zip(misfit).map(|(export, differs)| (export.id.clone(), differs)));
        let protected = export.as_ref().filter(|_| candidate.file.read_only && candidate.is_live());
        notes.findings.extend(protected.map(export::findings::read_only));
        exports.extend(export);
    }
    tell_without_bytes(&candidates, &exports, notes);
    let looked_into = candidates.iter().filter(|candidate| candidate.file.bytes_had() > 0).count();
    let weighings = draft::collect(&exports, reading.accept_recovered);
    mark_copies(&mut exports, &weighings, notes);
    tell_deleted(&exports, &weighings, reading.accept_recovered, notes);
    Exports { exports, misfits, weighings, looked_into }
}

/// The export of a file under its id, where it is one; what it shows goes to the notes.
fn taken(read: FileRead, number: usize, notes: &mut Notes) -> Option<Export> {
    notes.findings.extend(read.finding);
    notes.not_checked.extend(read.not_checked);
    let export = Export { id: format!("e{number}"), ..read.export? };
    notes.findings.extend(stick::findings::unreadable_sectors(place(&export), &read.faults));
    notes.findings.extend(export::findings::of_export(&export, read.unread_date.as_deref()));
    Some(export)
}

/// Files of 0 bytes that are named like exports, or that stand in a folder with some.
fn tell_without_bytes(candidates: &[Candidate<'_>], exports: &[Export], notes: &mut Notes) {
    let folder = |path: &str| path.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned();
    let folders: BTreeSet<_> = exports.iter().filter_map(|export| export.path.as_deref()).map(folder).collect();
    for candidate in candidates.iter().filter(|candidate| candidate.file.size_bytes == 0 && candidate.is_live()) {
        let Some(path) = candidate.file.path.as_deref() else { continue };
        if export::is_named_like_export(path) || folders.contains(&folder(path)) {
            notes.findings.push(export::findings::no_bytes(candidate.source, candidate.volume, path));
        }
    }
}

/// Every file worth a look, with where it stands.
fn candidates(sources: &[Source]) -> Vec<Candidate<'_>> {
    let mut all = Vec::new();
    for source in sources {
        let raw = source.state.survey.read_raw;
        for volume in &source.state.survey.volumes {
            let volume_index = raw.then_some(volume.index);
            let worth_a_look = |file: &&StoredFile| !file.path.as_deref().is_some_and(export::is_system_file);
            all.extend(volume.files.iter().filter(worth_a_look).map(|file| Candidate {
                source: &source.state.id,
                volume: volume_index,
                file,
                medium: &source.medium,
            }));
        }
    }
    // What stands on the stick is read before what was deleted from it.
    all.sort_by_key(|candidate| candidate.file.state != FileState::Live);
    all
}

fn mark_copies(exports: &mut [Export], weighings: &Weighings, notes: &mut Notes) {
    for (copy, original) in &weighings.copies {
        let name = exports.iter().find(|export| export.id == *original).map(|export| export.name().to_owned());
        let Some(export) = exports.iter_mut().find(|export| export.id == *copy) else { continue };
        export.duplicate_of = Some(original.clone());
        // A deleted copy is told of once, as deleted.
        if export.state == FileState::Live {
            notes.findings.push(export::findings::duplicated(export, name.as_deref().unwrap_or(original)));
        }
    }
}

fn tell_deleted(exports: &[Export], weighings: &Weighings, accepted: bool, notes: &mut Notes) {
    for export in exports.iter().filter(|export| export.state == FileState::Deleted) {
        let only_here = weighings.only_in.get(&export.id).copied().unwrap_or(0);
        notes.findings.push(export::findings::deleted(export, only_here, accepted));
    }
}
