//! Puts findings in the order of importance and gives each its lasting id.

use std::collections::HashMap;

use crate::export::Export;
use crate::finding::{Finding, Place};
use crate::units::sha256;

/// Sorts: faults, cautions, notes; within each, the order of the stages. Gives ids.
///
/// An id is made from code, place and title, so that the same finding has it in every run over the same data.
pub fn settle(findings: &mut [Finding], exports: &[Export]) {
    findings.iter_mut().for_each(|finding| complete_place(&mut finding.place, exports));
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    let mut equal: HashMap<String, usize> = HashMap::new();
    for finding in findings {
        let place = &finding.place;
        let named = format!("{}\n{}\n{:?}\n{:?}", finding.code, finding.title, place.ticket, place.draft);
        let count = equal.entry(named.clone()).or_insert(0);
        *count += 1;
        let hash = sha256(format!("{named}\n{count}").as_bytes());
        finding.id = format!("f-{}", hash.get(..10).unwrap_or_default());
    }
}

/// An export lies on a source and a volume; a finding that names the one names the others too.
fn complete_place(place: &mut Place, exports: &[Export]) {
    let export = exports.iter().find(|export| place.export.as_ref() == Some(&export.id));
    if let (None, Some(export)) = (&place.source, export) {
        place.source = Some(export.source.clone());
        place.volume = export.volume;
    }
}
