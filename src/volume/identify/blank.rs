//! A volume on which nothing was ever written, or everything wiped.

use crate::volume::window::Window;

/// How many bytes at the front must be zero for a volume to be called blank: what any file system would have used.
const BLANK_BYTES: u64 = 1 << 20;

/// How far data are looked for behind a blank front, in bytes (32 MiB): the two tables of a usual FAT32 stick of 8 GB take
/// half of that (FAT05's formula, clusters of 4 KiB), and its root folder and first files stand behind them.
const SEARCHED_BYTES: u64 = 32 << 20;

/// The search reads so many bytes at once (64 KiB).
const PIECE: usize = 64 << 10;

/// Of what is behind the medium's end, or cannot be read, nothing can be said, not even that it is blank.
pub(super) fn is_blank(window: &Window) -> bool {
    let end = window.available().min(BLANK_BYTES);
    let zeros = end > 0 && (0..end).step_by(4096).all(|at| window.bytes::<4096>(at) == [0; 4096]);
    zeros && window.faults().is_empty()
}

/// The place of the first byte that is not zero.
pub(in crate::volume) fn first_data(window: &Window) -> Option<u64> {
    let end = window.available().min(SEARCHED_BYTES);
    let mut piece = vec![0; PIECE];
    (0..end).step_by(PIECE).find_map(|at| {
        window.read(at, &mut piece);
        let inside = piece.iter().position(|byte| *byte != 0)?;
        Some(at + inside as u64)
    })
}
