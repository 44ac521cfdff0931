//! A medium that counts what is read of it.

use std::cell::RefCell;
use std::ops::Range;

use counterfoil::stick::{ByteSource, ReadFault};

/// A medium, and every run of bytes that was read of it.
pub struct Counted<S> {
    medium: S,
    reads: RefCell<Vec<Range<u64>>>,
}

impl<S: ByteSource> Counted<S> {
    pub const fn new(medium: S) -> Self {
        Self { medium, reads: RefCell::new(Vec::new()) }
    }

    /// What was read, in order.
    pub fn reads(self) -> Vec<Range<u64>> {
        self.reads.into_inner()
    }
}

impl<S: ByteSource> ByteSource for Counted<S> {
    fn size(&self) -> u64 {
        self.medium.size()
    }

    fn read_at(&self, at: u64, buffer: &mut [u8]) -> Result<(), ReadFault> {
        self.reads.borrow_mut().push(at..at + buffer.len() as u64);
        self.medium.read_at(at, buffer)
    }
}

/// The length of some reads together.
pub fn bytes(reads: &[Range<u64>]) -> u64 {
    reads.iter().map(|read| read.end - read.start).sum()
}
