//! What damage leaves of each file, worked out before any reader sees it.
//!
//! A file is **intact** when no byte of its clusters changed (the rest of the last one included) and its place follows
//! from at least one undamaged copy of every structure on the way. How that is read:
//!
//! - The boot sector: FAT12 and FAT16 have one, FAT32 two, of which one undamaged copy is enough. Only the fields count
//!   from which places follow: bytes of a sector, sectors of a cluster, reserved sectors, number of tables, root entries,
//!   total sectors, sectors of a table, on FAT32 also the mirroring flags, version and root cluster; and the mark 55 AA,
//!   without which it is no boot sector. No place follows from the jump, maker's name, media byte, disk geometry, serial,
//!   label, printed type, boot code, or where the free count and the copy are said to be.
//! - A chain is undamaged when one table has all its links, its end included, and says of each what it said; any mark of
//!   an end is as good as another, and bits that are reserved or a neighbour's do not count. The file's chain and that of
//!   every folder on its path may each come from another table. Less strictly ([`Standing::by_link`]) each link may come from either
//!   table; both figures are kept.
//! - The entry of the file and of every folder on its path: name, the attribute bits for folder, label and the reserved
//!   ones, first cluster, size (of files). Times, read-only, hidden, system, archive and letter case say nothing of the
//!   place. A folder's two dots are not on the way.
//! - Pieces of a long name are not on the way: without them the short name serves, and any name does that the damaged
//!   pieces may spell, since nothing tells a changed letter of a long name.
//! - An entry behind one whose first byte became 00 is unchanged, and so counts as intact by the letter, although the
//!   specification ends the directory there; [`Standing::hidden`] tells these files apart.
//! - What is beyond the end of a medium cut short is damaged.

use fatfs::FatType;

use super::base::Base;
use super::damage::Damage;
use super::geometry::SLOT;
use super::tree::Node;

/// What the damage left of one file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Standing {
    /// Its place follows, and its clusters are unchanged.
    pub intact: bool,
    /// The same where each link of a chain may come from either table.
    pub by_link: bool,
    /// An earlier slot of its directory, or of a folder's on its path, says that nothing follows.
    pub hidden: bool,
}

/// A damaged volume, and what is known of it.
pub struct Truth<'a> {
    pub base: &'a Base,
    pub damage: &'a Damage,
}

/// How a path that was delivered is that of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Likeness {
    /// It is the path, or the short name of a component whose long name was damaged.
    Same,
    /// A long name was damaged on the way; it may now be spelled in any way.
    Respelled,
    /// A short name without a long one was changed into another that is allowed; nothing on the volume tells.
    Renamed,
}

impl Truth<'_> {
    pub fn standing(&self, file: usize) -> Standing {
        let way = self.base.way(file);
        let node = &self.base.nodes[file];
        let unchanged = |cluster: &u32| self.damage.spares(self.base.geometry.cluster(*cluster));
        let placed = self.boot_follows() && way.iter().all(|node| self.entry_follows(node));
        let sound = placed && node.clusters.iter().all(unchanged);
        let mut chains =
            std::iter::once(self.base.root.as_slice()).chain(way.iter().map(|node| node.clusters.as_slice()));
        Standing {
            intact: sound && chains.clone().all(|chain| [0, 1].iter().any(|table| self.has(*table, chain))),
            by_link: sound
                && chains
                    .all(|chain| (0..chain.len()).all(|at| [0, 1].iter().any(|table| self.says(*table, chain, at)))),
            hidden: way.iter().any(|node| self.is_hidden(node)),
        }
    }

    pub fn boot_follows(&self) -> bool {
        let narrow = [11..25, 510..512];
        let wide = [11..25, 32..48, 510..512];
        let fields = if self.base.geometry.kind == FatType::Fat32 { &wide[..] } else { &narrow[..] };
        let media = 21;
        let kept = |boot: usize| {
            let mut bytes = fields.iter().cloned().flatten().filter(|at| *at != media && *at != 24);
            bytes.all(|at| self.damage.spares(boot + at..boot + at + 1))
        };
        self.base.geometry.boot_sectors().into_iter().any(kept)
    }

    fn has(&self, table: usize, chain: &[u32]) -> bool {
        (0..chain.len()).all(|at| self.says(table, chain, at))
    }

    /// Whether a table still says what follows this cluster of a chain.
    fn says(&self, table: usize, chain: &[u32], at: usize) -> bool {
        let value = self.base.geometry.link(|at| self.damage.byte(self.base, at), table, chain[at]);
        value == Some(chain.get(at + 1).copied().unwrap_or(u32::MAX))
    }

    fn entry_follows(&self, node: &Node) -> bool {
        let wide = self.base.geometry.kind == FatType::Fat32;
        node.entry + SLOT <= self.damage.length
            && self.damage.changed.range(node.entry..node.entry + SLOT).all(|(at, byte)| match at - node.entry {
                0..11 | 26 | 27 => false,
                11 => (byte ^ self.base.bytes[*at]) & 0xD8 == 0,
                20 | 21 => !wide,
                28..32 => node.folder,
                _ => true,
            })
    }

    fn is_hidden(&self, node: &Node) -> bool {
        let slots = &self.base.slots[&node.parent];
        slots[..node.place].iter().any(|at| self.damage.byte(self.base, *at) == Some(0))
    }

    /// What stands now in the clusters of a file, up to its size; `None` where the medium is cut short.
    pub fn present_bytes(&self, file: usize) -> Option<Vec<u8>> {
        let node = &self.base.nodes[file];
        let places = node.clusters.iter().flat_map(|cluster| self.base.geometry.cluster(*cluster));
        places.take(node.content.len()).map(|at| self.damage.byte(self.base, at)).collect()
    }

    /// The size now recorded, where only it was changed and it takes as many clusters as the true one: no structure of
    /// the volume contradicts it.
    pub fn size_nothing_contradicts(&self, file: usize) -> Option<usize> {
        let (node, clusters) = (&self.base.nodes[file], self.base.nodes[file].clusters.len());
        let bytes =
            (28..32).rev().map(|at| self.damage.byte(self.base, node.entry + at)).collect::<Option<Vec<_>>>()?;
        let size = bytes.iter().fold(0, |size, byte| size << 8 | usize::from(*byte));
        let fits = size.div_ceil(self.base.geometry.cluster_bytes()) == clusters;
        (size != node.content.len() && fits).then_some(size)
    }

    /// Whether, and how, a path that was delivered is that of a file.
    pub fn likeness(&self, file: usize, path: &str) -> Option<Likeness> {
        let way = self.base.way(file);
        let names: Vec<_> = path.trim_start_matches('/').split('/').collect();
        if names.len() != way.len() {
            return None;
        }
        let each = way.iter().zip(names).map(|(node, name)| self.name_likeness(node, name));
        each.collect::<Option<Vec<_>>>()?.into_iter().max()
    }

    fn name_likeness(&self, node: &Node, name: &str) -> Option<Likeness> {
        let pieces_kept = node.name_slots.iter().all(|at| self.damage.spares(*at..at + SLOT));
        if name.eq_ignore_ascii_case(&node.name) || !pieces_kept && name.eq_ignore_ascii_case(&node.short_name()) {
            return Some(Likeness::Same);
        }
        if !pieces_kept {
            return Some(Likeness::Respelled);
        }
        (!node.has_long_name() && self.is_renamed(node)).then_some(Likeness::Renamed)
    }

    /// Whether a name was changed and is still one that the specification allows ("Directory Structure", DIR_Name).
    fn is_renamed(&self, node: &Node) -> bool {
        let forbidden = b"\"*+,./:;<=>?[\\]|\x7F";
        let allowed = |byte: u8| byte >= 0x20 && !byte.is_ascii_lowercase() && !forbidden.contains(&byte);
        let now = (0..11).map(|at| self.damage.byte(self.base, node.entry + at)).collect::<Option<Vec<_>>>();
        now.is_some_and(|now| now != node.short && now[0] != 0x20 && now.iter().all(|byte| allowed(*byte)))
    }
}
