#!/bin/sh
# Builds saleday.img.gz from stick/ and deleted/. Needs dosfstools, mtools, sfdisk and gzip.
# usage: sh rebuild.sh [OUTPUT]
# The same files and tools always give the same bytes: every time, number and name below is fixed.
set -eu

here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
output=${1:-$here/saleday.img.gz}

# The stick's clock has no time zone; UTC makes the written times the ones named here.
TZ=UTC
LC_ALL=C
MTOOLSRC=/dev/null
MTOOLS_SKIP_CHECK=1
# Folders made by mmd take this time: 2026-10-16 09:20:00.
SOURCE_DATE_EPOCH=1792142400
export TZ LC_ALL MTOOLSRC MTOOLS_SKIP_CHECK SOURCE_DATE_EPOCH
unset MTOOLS_DATE_STRING 2>/dev/null || true

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT INT TERM

disk_sectors=69632      # 34 MiB in sectors of 512 bytes
first_sector=2048       # where the partition starts
part_sectors=67584      # leaves 66,512 clusters of 512 bytes: FAT32 needs 65,525

# The volume. -h records the sectors before it, -i its serial number.
truncate -s $((part_sectors * 512)) "$work/part.img"
mkfs.fat --invariant -F 32 -s 1 -S 512 -h "$first_sector" -i 20261017 -n PLOVER \
    "$work/part.img" >/dev/null

# put FILE FOLDER TIME: copies one file to the stick under a fixed time of last change.
put() {
    name=$(basename "$1")
    cp "$here/$1" "$work/$name"
    touch -t "$3" "$work/$name"
    mcopy -m -i "$work/part.img" "$work/$name" "::/$2/$name"
}

mmd -i "$work/part.img" ::/WEIGHED ::/OFFICE
put stick/OFFICE/yard-charges.csv        OFFICE  202610160930.00
put stick/OFFICE/desktop.ini             OFFICE  202610160932.00
put stick/WEIGHED/weighed-1017-a.csv     WEIGHED 202610171026.28
put deleted/weighed-1017-b.csv           WEIGHED 202610171041.50
put stick/WEIGHED/weighed-1017-c.csv     WEIGHED 202610171104.12
put stick/WEIGHED/weighed-1017-d.csv     WEIGHED 202610171406.18
put stick/OFFICE/notes.txt               OFFICE  202610171431.00
put stick/WEIGHED/._weighed-1017-d.csv   WEIGHED 202610171433.00

# Deleted last, so nothing has been written over its clusters.
mdel -i "$work/part.img" ::/WEIGHED/weighed-1017-b.csv

# The disk: a partition table in the first sector, the volume at its place, zeros elsewhere.
truncate -s $((disk_sectors * 512)) "$work/disk.img"
sfdisk --quiet --no-reread --no-tell-kernel "$work/disk.img" >/dev/null <<TABLE
label: dos
label-id: 0x20261017
unit: sectors
start=$first_sector, size=$part_sectors, type=c
TABLE
dd if="$work/part.img" of="$work/disk.img" bs=512 seek="$first_sector" conv=notrunc,sparse status=none

fsck.fat -n "$work/part.img" >/dev/null || { echo "fsck.fat found fault with the volume" >&2; exit 1; }
gzip -n -9 -c "$work/disk.img" >"$work/saleday.img.gz"
mv "$work/saleday.img.gz" "$output"
