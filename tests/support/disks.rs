//! Disks divided into partitions, laid out by hand.

/// Sectors of the list of a GUID table: 128 entries of 128 bytes.
const LIST_SECTORS: usize = 32;

/// Where the only partition of [`guid_disk`] begins, in sectors.
pub const FIRST: usize = 64;

/// "Data of Windows", as the 16 bytes stand in a GUID table: EBD0A0A2-B9E5-4433-87C0-68B6B72699C7.
const DATA: [u8; 16] = [0xA2, 0xA0, 0xD0, 0xEB, 0xE5, 0xB9, 0x33, 0x44, 0x87, 0xC0, 0x68, 0xB6, 0xB7, 0x26, 0x99, 0xC7];

/// A disk with a GUID table at both ends (Intel EFI 1.10, table 11-1) and one volume.
pub fn guid_disk(volume: &[u8]) -> Vec<u8> {
    let end = FIRST + volume.len() / 512;
    let last = end + LIST_SECTORS;
    let mut disk = vec![0; (last + 1) * 512];
    disk[FIRST * 512..end * 512].copy_from_slice(volume);
    entry(&mut disk, 0, 0xEE, 1, u32::MAX);
    let mut list = vec![0; LIST_SECTORS * 512];
    list[..16].copy_from_slice(&DATA);
    list[16] = 1;
    list[32..40].copy_from_slice(&(FIRST as u64).to_le_bytes());
    list[40..48].copy_from_slice(&(end as u64 - 1).to_le_bytes());
    for (at, other, list_at) in [(1, last, 2), (last, 1, end)] {
        disk[at * 512..][..512].copy_from_slice(&guid_header(at as u64, other as u64, list_at as u64, &list));
        disk[list_at * 512..][..list.len()].copy_from_slice(&list);
    }
    disk
}

/// A header under its checksum.
pub fn guid_header(at: u64, other: u64, list_at: u64, list: &[u8]) -> [u8; 512] {
    let mut header = [0; 512];
    header[..8].copy_from_slice(b"EFI PART");
    header[8..12].copy_from_slice(&0x0001_0000_u32.to_le_bytes());
    header[12..16].copy_from_slice(&92_u32.to_le_bytes());
    header[24..32].copy_from_slice(&at.to_le_bytes());
    header[32..40].copy_from_slice(&other.to_le_bytes());
    header[72..80].copy_from_slice(&list_at.to_le_bytes());
    header[80..84].copy_from_slice(&(list.len() as u32 / 128).to_le_bytes());
    header[84..88].copy_from_slice(&128_u32.to_le_bytes());
    header[88..92].copy_from_slice(&crc32(list).to_le_bytes());
    let sum = crc32(&header[..92]);
    header[16..20].copy_from_slice(&sum.to_le_bytes());
    header
}

/// The checksum, bit by bit: polynomial EDB88320 (ITU-T V.42, 8.1.1.6.2). "123456789" gives CBF43926.
pub fn crc32(bytes: &[u8]) -> u32 {
    let mut sum = u32::MAX;
    for byte in bytes {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            sum = if sum & 1 == 1 { sum >> 1 ^ 0xEDB8_8320 } else { sum >> 1 };
        }
    }
    !sum
}

/// Writes an entry of a classic table, or of a link of an extended partition, into the sector at byte `table`.
pub fn entry(disk: &mut [u8], place: usize, kind: u8, first: u32, count: u32) {
    entry_at(disk, 0, place, kind, first, count);
}

/// The same for the table in sector `sector`.
pub fn entry_at(disk: &mut [u8], sector: usize, place: usize, kind: u8, first: u32, count: u32) {
    let at = sector * 512 + 446 + 16 * place;
    disk[at + 4] = kind;
    disk[at + 8..at + 12].copy_from_slice(&first.to_le_bytes());
    disk[at + 12..at + 16].copy_from_slice(&count.to_le_bytes());
    disk[sector * 512 + 510..sector * 512 + 512].copy_from_slice(&[0x55, 0xAA]);
}
