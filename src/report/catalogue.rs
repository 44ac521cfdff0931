//! All kinds of finding, stage by stage.

use crate::finding::Kind;
use crate::{draft, export, ledger, reconcile, sequence, stick, ticket, volume};

/// Every kind of finding, in the order of the flow.
#[must_use]
pub fn catalogue() -> Vec<Kind> {
    let [structure, room, chains, partitions, suitability] = volume::findings::KINDS;
    let stages = [
        stick::findings::KINDS,
        structure,
        room,
        chains,
        partitions,
        suitability,
        export::findings::KINDS,
        draft::findings::KINDS,
        sequence::findings::KINDS,
        ticket::findings::KINDS,
        reconcile::findings::KINDS,
        ledger::findings::KINDS,
    ];
    stages.into_iter().flatten().copied().collect()
}
