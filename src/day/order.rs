//! Puts findings in the order of importance and gives each its lasting id.

use std::collections::HashMap;

use sha2::{Digest, Sha256};

use super::exports::hex;
use crate::finding::Finding;

/// Sorts: faults, cautions, notes; within each, the order of the stages. Gives ids.
///
/// An id is made from code, place and title, so that the same finding has it in every run over the same data.
pub fn settle(findings: &mut [Finding]) {
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    let mut equal: HashMap<String, usize> = HashMap::new();
    for finding in findings {
        let place = &finding.place;
        let named = format!("{}\n{}\n{:?}\n{:?}", finding.code, finding.title, place.ticket, place.draft);
        let count = equal.entry(named.clone()).or_insert(0);
        *count += 1;
        let hash = Sha256::digest(format!("{named}\n{count}"));
        finding.id = format!("f-{}", hex(hash.get(..5).unwrap_or_default()));
    }
}
