//! The sources of a run: surveyed, and judged once it is known what lies on them.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::model::SourceState;
use super::notes::Notes;
use crate::export::Export;
use crate::stick::{Medium, Stick};
use crate::volume::{self, FileState, Limits, Suitability, Verdict};

/// A source and its bytes.
pub struct Source {
    /// What was found out about it.
    pub state: SourceState,
    /// Where its bytes are read.
    pub medium: Medium,
    /// Whether this computer says that nothing can be written to it.
    pub read_only: bool,
}

/// Surveys every stick.
#[must_use]
pub fn survey_all(sticks: Vec<Stick>, hash_files: bool, notes: &mut Notes) -> Vec<Source> {
    sticks.into_iter().map(|stick| survey(stick, hash_files, notes)).collect()
}

fn survey(stick: Stick, hash_files: bool, notes: &mut Notes) -> Source {
    notes.add(&stick.findings, &stick.not_checked);
    let mut survey = volume::survey_medium(&stick.medium, &stick.id, &stick.here);
    if hash_files {
        volume::hash_files(&mut survey, &stick.medium);
    }
    notes.add(&survey.findings, &survey.not_checked);
    let state = SourceState {
        id: stick.id,
        path: stick.path,
        kind: stick.kind,
        size_bytes: stick.size_bytes,
        sha256: stick.sha256,
        survey,
        suitability: None,
    };
    Source { state, medium: stick.medium, read_only: stick.here.read_only }
}

/// Could an indicator write to each of them? A volume that holds live rows evidently was written to.
pub fn judge_all(sources: &mut [Source], exports: &[Export], limits: &Limits, notes: &mut Notes) {
    for source in sources.iter_mut().filter(|source| source.state.survey.read_raw) {
        let state = &mut source.state;
        let live_rows = |volume: usize| {
            let here = |export: &&Export| export.source == state.id && export.volume == Some(volume);
            exports.iter().filter(here).any(|export| export.state == FileState::Live && export.counts.drafts > 0)
        };
        let mut suitability = volume::judge(&state.survey, limits, &live_rows);
        if source.read_only {
            doubt(&mut suitability);
        }
        notes.add(&suitability.findings, &suitability.not_checked);
        state.suitability = Some(suitability);
    }
}

/// Whether a switch on the stick keeps this computer from writing, and so the indicator, or settings here do, cannot be told.
fn doubt(suitability: &mut Suitability) {
    suitability.volumes.iter_mut().for_each(|writable| *writable = writable.filter(|writable| !writable));
    if suitability.verdict == Verdict::Ready {
        suitability.verdict = Verdict::Unknown;
    }
}

/// The days on which files were written, by the clock of whoever wrote them.
#[must_use]
pub fn written_days(sources: &[Source]) -> Vec<NaiveDate> {
    let files = sources.iter().flat_map(|source| &source.state.survey.volumes).flat_map(|volume| &volume.files);
    let days: BTreeSet<_> = files.filter_map(|file| file.modified).map(|modified| modified.date()).collect();
    days.into_iter().collect()
}
