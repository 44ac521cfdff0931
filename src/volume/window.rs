//! A volume's part of a medium, read leniently: what cannot be read counts as zeros and is remembered.

use std::cell::RefCell;

use crate::stick::{ByteSource, ReadFault};

/// The step in which an unreadable run is tried again, in bytes: the smallest sector in use.
const RETRY: usize = 512;

/// How many unreadable runs are remembered one by one.
const MAX_FAULTS: usize = 4_096;

/// The bytes of a medium from `offset` on.
pub(super) struct Window<'a> {
    source: &'a dyn ByteSource,
    offset: u64,
    faults: RefCell<Vec<ReadFault>>,
}

impl<'a> Window<'a> {
    pub(super) const fn new(source: &'a dyn ByteSource, offset: u64) -> Self {
        Self { source, offset, faults: RefCell::new(Vec::new()) }
    }

    /// How many bytes the medium has from here on.
    pub(super) fn available(&self) -> u64 {
        self.source.size().saturating_sub(self.offset)
    }

    /// Where byte `at` of the window stands on the medium.
    pub(super) const fn on_medium(&self, at: u64) -> u64 {
        self.offset.saturating_add(at)
    }

    /// Fills `buffer`; what lies beyond the medium's end, or cannot be read, becomes zero.
    pub(super) fn read(&self, at: u64, buffer: &mut [u8]) {
        let had = usize::try_from(self.available().saturating_sub(at)).unwrap_or(usize::MAX).min(buffer.len());
        let (inside, beyond) = buffer.split_at_mut(had);
        beyond.fill(0);
        let at = self.on_medium(at);
        if self.source.read_at(at, inside).is_ok() {
            return;
        }
        for (index, piece) in inside.chunks_mut(RETRY).enumerate() {
            if let Err(fault) = self.source.read_at(at + (index * RETRY) as u64, piece) {
                piece.fill(0);
                self.remember(fault);
            }
        }
    }

    /// The `N` bytes from `at` on.
    pub(super) fn bytes<const N: usize>(&self, at: u64) -> [u8; N] {
        let mut out = [0; N];
        self.read(at, &mut out);
        out
    }

    /// What could not be read so far.
    pub(super) fn faults(&self) -> Vec<ReadFault> {
        self.faults.borrow().clone()
    }

    fn remember(&self, fault: ReadFault) {
        let mut faults = self.faults.borrow_mut();
        if let Some(last) = faults.last_mut().filter(|last| last.at.saturating_add(last.length) == fault.at) {
            last.length = last.length.saturating_add(fault.length);
        } else if faults.len() < MAX_FAULTS {
            faults.push(fault);
        }
    }
}
