//! The FAT file systems, read so that damage is seen instead of hidden.
//!
//! Sections are those of the Microsoft FAT specification of 30 August 2005 ("FAT05").

mod boot;
mod boot_copies;
mod chain;
mod choice;
mod code_page;
mod directory;
mod names;
mod table;
mod time;
mod walk;

pub use boot::{BootSector, FatKind};
pub(super) use boot_copies::{FatBoot, read_boot, tables_begun};
pub(super) use chain::Stop;
pub use names::{ShortName, long_name_checksum};
pub use time::dos_date_time;
pub(super) use walk::{Chained, DirectoryFault, FatVolume, Owner, Problem, read};
