//! Reads any bytes of a device that gives only whole sectors.

use std::io;

/// Every sector size in use divides this, in bytes: reads begin and end at its multiples.
const BLOCK: u64 = 4096;

/// The smallest sector in use, in bytes: a device may end at any multiple of it.
const SECTOR: u64 = 512;

/// At most so many bytes are read at once (64 KiB).
const PIECE: usize = 64 << 10;

/// Reads a run of whole sectors that begins at the byte named.
pub type ReadSectors<'a> = dyn FnMut(u64, &mut [u8]) -> io::Result<()> + 'a;

/// Fills `out` from byte `at` on, out of a device of `size` bytes.
///
/// Whole blocks of 4,096 bytes are read around what is asked for, up to the end of the device. Where such a block cannot be
/// read, the sectors of 512 bytes asked for are tried alone, so that a bad sector costs nothing beside it.
///
/// # Errors
/// What `read` says.
pub fn read_aligned(size: u64, at: u64, out: &mut [u8], read: &mut ReadSectors) -> io::Result<()> {
    let mut at = at;
    let mut rest = out;
    while !rest.is_empty() {
        // A piece ends at the same place of a block each time, so that no block is read twice.
        let room = PIECE - usize::try_from(at % BLOCK).unwrap_or(0);
        let (piece, behind) = rest.split_at_mut(room.min(rest.len()));
        read_piece(size, at, piece, BLOCK, read).or_else(|_| read_piece(size, at, piece, SECTOR, read))?;
        at = at.saturating_add(piece.len() as u64);
        rest = behind;
    }
    Ok(())
}

fn read_piece(size: u64, at: u64, piece: &mut [u8], step: u64, read: &mut ReadSectors) -> io::Result<()> {
    let end = at.saturating_add(piece.len() as u64);
    let first = at - at % step;
    let last = end.checked_next_multiple_of(step).unwrap_or(end).min(size.max(end));
    if (first, last) == (at, end) {
        return read(at, piece);
    }
    let mut block = vec![0; usize::try_from(last - first).unwrap_or(PIECE)];
    read(first, &mut block)?;
    let asked = usize::try_from(at - first).unwrap_or(0)..;
    let found = block.get(asked).and_then(|found| found.get(..piece.len()));
    found.map(|found| piece.copy_from_slice(found)).ok_or_else(|| io::ErrorKind::UnexpectedEof.into())
}
