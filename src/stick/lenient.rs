//! Reads what can be read: around unreadable places, in ever smaller pieces.

use super::bytes::{ByteSource, ReadFault};

/// Smaller pieces than this are not tried: a stick answers for whole sectors. In bytes.
const SMALLEST_PIECE: usize = 512;

/// So many refusals are taken in before the rest of a piece is given up: each may cost seconds on a worn stick.
const MOST_REFUSALS: usize = 2048;

/// What stands in place of bytes that could not be read.
pub const FILLER: u8 = b'?';

/// Bytes as far as they could be read.
#[derive(Debug, Clone, Default)]
pub struct LenientBytes {
    /// All of them, with [`FILLER`] for those that could not be read.
    pub bytes: Vec<u8>,
    /// What could not be read, in order; neighbouring places are one.
    pub faults: Vec<ReadFault>,
}

/// Reads the first `length` bytes of a source, or all where it has less.
#[must_use]
pub fn read_leniently(source: &dyn ByteSource, length: u64) -> LenientBytes {
    let length = usize::try_from(source.size().min(length)).unwrap_or(usize::MAX);
    let mut out = LenientBytes { bytes: vec![FILLER; length], faults: Vec::new() };
    let mut refusals = MOST_REFUSALS;
    read_piece(source, 0, &mut out.bytes, &mut out.faults, &mut refusals);
    out
}

fn read_piece(source: &dyn ByteSource, at: u64, piece: &mut [u8], faults: &mut Vec<ReadFault>, refusals: &mut usize) {
    let Err(fault) = source.read_at(at, piece) else { return };
    *refusals = refusals.saturating_sub(1);
    let half = (piece.len() / 2).next_multiple_of(SMALLEST_PIECE);
    match piece.split_at_mut_checked(half) {
        Some((first, second)) if !second.is_empty() && *refusals > 0 => {
            read_piece(source, at, first, faults, refusals);
            read_piece(source, at.saturating_add(half as u64), second, faults, refusals);
        }
        _ => {
            piece.fill(FILLER);
            note(faults, ReadFault { at, length: piece.len() as u64, reason: fault.reason });
        }
    }
}

fn note(faults: &mut Vec<ReadFault>, fault: ReadFault) {
    match faults.last_mut() {
        Some(last) if last.at.saturating_add(last.length) == fault.at => last.length += fault.length,
        _ => faults.push(fault),
    }
}
