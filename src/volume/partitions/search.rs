//! Where a volume most likely begins on a stick whose partition table is gone or empty.

use crate::stick::ByteSource;
use crate::volume::identify;
use crate::volume::window::Window;

/// Where formatting programs begin the first partition, in bytes (common practice, no source): sector 63 on older
/// computers, 2,048 on newer ones, 40 and 64 on others; memory cards leave 64 KiB, 4 MiB, 16 MiB or 32 MiB free.
const USUAL: [u64; 10] = [
    63 * 512,
    2048 * 512,
    40 * 512,
    64 * 512,
    128 * 512,
    256 * 512,
    8_192 * 512,
    16_384 * 512,
    32_768 * 512,
    65_536 * 512,
];

/// Why a volume was looked for at such a place.
pub(super) const WHY_THERE: &str = "a usual place for the first partition";

/// Where a volume begins, in bytes, if one does at a usual place. Only one that its own first sector names is taken.
pub(super) fn usual_place(source: &dyn ByteSource) -> Option<u64> {
    let begins = |at: &u64| *at < source.size() && identify::by_first_sector(&Window::new(source, *at)).is_some();
    USUAL.into_iter().find(begins)
}
