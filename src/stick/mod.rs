//! Opens a stick, read-only.
mod bytes;
pub use bytes::{ByteSource, ReadFault};

/// What a source is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum SourceKind {
    /// Image.
    Image,
    /// Device.
    Device,
    /// Mounted.
    Mounted,
    /// Folder.
    Folder,
    /// File.
    File,
    /// Packet.
    Packet,
}
