//! Opens a stick, read-only: a raw image or device, a folder of files, or one file.
//!
//! Nothing here writes, and no type here could: a [`ByteSource`] has no method for it.

mod aligned;
mod block_devices;
mod bytes;
mod detect;
mod device_size;
mod drives;
mod error;
mod file_bytes;
pub mod findings;
mod guard;
mod here;
mod input;
mod lenient;
mod mounted;
mod named;
mod open;
mod sparse;
mod top_folder;
mod tree;
mod unpack;

pub use aligned::read_aligned;
pub use block_devices::{BlockDevice, block_devices};
pub use bytes::{ByteSource, ReadFault, checksum};
pub use device_size::sector_count;
pub use drives::{Candidate, Choice, Drive, Drives, choose};
pub use error::OpenError;
pub use file_bytes::FileBytes;
pub(crate) use findings::with_the_right;
pub use guard::{lies_on_device, lies_on_stick};
pub use here::Here;
pub use input::{INPUT_LIMIT_BYTES, InputError, read_small_file};
pub use lenient::{FILLER, LenientBytes, read_leniently};
pub use mounted::{device_by_letter, drives, mounted_in_part};
pub use named::{Named, is_raw_disk};
pub use open::{HASH_LIMIT_BYTES, Medium, SourceKind, Stick, open, open_within};
pub use sparse::SparseBytes;
pub use top_folder::open_top_folder;
pub use tree::{FileTree, LooseFile, MAX_DEPTH, MAX_FILES, Unreadable};
pub use unpack::UnpackBounds;
