//! How many sectors a device has, where the system does not say: found by reading.

/// How far behind a sector that cannot be read others are tried, in sectors: worn places are passed over up to 1 MiB.
const FURTHER: [u64; 6] = [0, 1, 8, 64, 512, 2048];

/// No device has this many sectors: 2⁴⁸ of 512 bytes are 128 PiB.
const MOST_SECTORS: u64 = 1 << 48;

/// The number of sectors up to the last one that can be read.
///
/// `can_read` tells whether the sector of this number can be read. It is asked first at doubling distances, then by
/// halving what lies between the last answer yes and the first answer no: some hundred questions for any device.
pub fn sector_count(can_read: &mut dyn FnMut(u64) -> bool) -> u64 {
    if last_near(0, can_read).is_none() {
        return 0;
    }
    let (mut there, mut beyond) = (0, 1);
    while beyond < MOST_SECTORS && last_near(beyond, can_read).is_some() {
        there = beyond;
        beyond *= 2;
    }
    while beyond - there > 1 {
        let middle = there + (beyond - there) / 2;
        if last_near(middle, can_read).is_some() { there = middle } else { beyond = middle }
    }
    last_near(there, can_read).map_or(0, |last| last.saturating_add(1))
}

/// The last sector that can be read of those tried from `sector` on.
fn last_near(sector: u64, can_read: &mut dyn FnMut(u64) -> bool) -> Option<u64> {
    let first = FURTHER.iter().map(|further| sector.saturating_add(*further)).find(|near| can_read(*near))?;
    // Only where a worn place was passed over is it worth asking how far it goes on.
    if first == sector {
        return Some(first);
    }
    let behind = FURTHER.iter().rev().map(|further| sector.saturating_add(*further));
    behind.take_while(|near| *near > first).find(|near| can_read(*near)).or(Some(first))
}
