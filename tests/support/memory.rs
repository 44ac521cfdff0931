//! Bytes in memory as a medium.

use std::cell::Cell;
use std::collections::BTreeMap;

use counterfoil::stick::{ByteSource, ReadFault};
use sha2::{Digest, Sha256};

/// The bytes of a medium, some of them changed, cut at some length.
pub struct Patched<'a> {
    base: &'a [u8],
    changed: BTreeMap<u64, u8>,
    size: u64,
    unreadable: std::ops::Range<u64>,
    asked_for: Cell<u64>,
}

impl<'a> Patched<'a> {
    pub fn whole(base: &'a [u8]) -> Self {
        Self { base, changed: BTreeMap::new(), size: base.len() as u64, unreadable: 0..0, asked_for: Cell::new(0) }
    }

    pub fn cut(base: &'a [u8], size: usize) -> Self {
        Self { size: size as u64, ..Self::whole(base) }
    }

    pub fn unreadable(base: &'a [u8], unreadable: std::ops::Range<u64>) -> Self {
        Self { unreadable, ..Self::whole(base) }
    }

    /// How many bytes were asked for so far.
    pub fn asked_for(&self) -> u64 {
        self.asked_for.get()
    }

    pub fn change(&mut self, at: usize, byte: u8) {
        self.changed.insert(at as u64, byte);
    }
}

impl ByteSource for Patched<'_> {
    fn size(&self) -> u64 {
        self.size
    }

    fn read_at(&self, at: u64, buffer: &mut [u8]) -> Result<(), ReadFault> {
        self.asked_for.set(self.asked_for.get() + buffer.len() as u64);
        let end = at + buffer.len() as u64;
        let fault = |reason: &str| ReadFault { at, length: buffer.len() as u64, reason: reason.to_owned() };
        if end > self.size {
            return Err(fault("beyond the end"));
        }
        if at < self.unreadable.end && self.unreadable.start < end {
            return Err(fault("input/output error"));
        }
        buffer.copy_from_slice(&self.base[at as usize..end as usize]);
        for (place, byte) in self.changed.range(at..end) {
            buffer[(place - at) as usize] = *byte;
        }
        Ok(())
    }
}

/// Everything a source holds.
pub fn read_all(source: &dyn ByteSource) -> Vec<u8> {
    let mut bytes = vec![0; source.size() as usize];
    source.read_at(0, &mut bytes).expect("readable");
    bytes
}

pub fn sha256(bytes: &[u8]) -> [u8; 32] {
    Sha256::digest(bytes).into()
}

/// A sequence of numbers that is the same in every run (xorshift64, Marsaglia 2003).
pub struct Numbers(pub u64);

impl Numbers {
    pub fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    pub fn below(&mut self, end: usize) -> usize {
        (self.next() % end as u64) as usize
    }
}

pub fn gzip(bytes: &[u8]) -> Vec<u8> {
    use std::io::Write;
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    packer.write_all(bytes).unwrap();
    packer.finish().unwrap()
}
