//! A volume on which nothing was ever written, or everything wiped.

use crate::volume::window::Window;

/// How many bytes at the front must be zero for a volume to be called blank: what any file system would have used.
const BLANK_BYTES: u64 = 1 << 20;

pub(super) fn is_blank(window: &Window) -> bool {
    let end = window.available().min(BLANK_BYTES);
    (0..end).step_by(4096).all(|at| window.bytes::<4096>(at) == [0; 4096])
}
