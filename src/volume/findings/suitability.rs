//! What keeps an indicator from writing to a stick.

use super::formats;
use crate::finding::words::bytes;
use crate::finding::{COPY_FIRST, Finding, Kind, Place, Severity, kinds};
use crate::units::grouped;
use crate::volume::limits::Limits;
use crate::volume::survey::{PartitionTable, Survey, Volume};

kinds! {
    /// The stick is formatted in a way the indicator cannot write to, or may not.
    ///
    /// What it means: indicators are small machines and know one or two formats; FAT32 is the common one. On another
    /// format they report an error or write nothing, so records of the sale are missing from this stick. They may be in
    /// the indicator.
    ///
    /// How we know: the structures each format must have were looked for.
    ///
    /// What to do: if this computer opens the stick, name its drive or a folder on it as SOURCE, and the files on it are
    /// read. Copy it if anything on it matters, then format it as FAT32.
    ///
    /// Source: common practice, no source; your indicator's manual decides.
    WRONG_FORMAT = "wrong-format";

    /// The stick is larger than the indicator can use.
    ///
    /// What it means: small machines often cannot reach beyond a certain size, and fail or write damaged data on larger
    /// sticks. What was written may be damaged; weighings that could not be written are missing from this stick.
    ///
    /// How we know: the size of the stick.
    ///
    /// What to do: use a smaller one.
    ///
    /// Source: common practice, no source; your indicator's manual decides.
    TOO_LARGE = "too-large";

    /// The stick is divided by a GUID partition table, which indicators do not know.
    ///
    /// What it means: computers use this newer table for large drives. A machine that knows only the classic one sees a
    /// single unknown partition and cannot write. Weighings made with this stick in place are then missing from it;
    /// what a computer wrote to it is not touched.
    ///
    /// How we know: the header of that table stands in the second sector.
    ///
    /// What to do: copy the stick if anything on it matters, then make a classic (MBR) table with one FAT32 partition.
    ///
    /// Source: common practice, no source; the header is described in the UEFI specification.
    GPT_PARTITIONED = "gpt-partitioned";

    /// There is no format on the stick.
    ///
    /// What it means: it was never formatted, or wiped, or its beginning failed. No file can be listed, and the indicator
    /// cannot write to it. Where something stands further in, rows may still be on it.
    ///
    /// How we know: where any format would have its marks there are only zeros, or the partition table is empty. Behind that
    /// the first 32 MiB were looked through for anything that is not zero.
    ///
    /// What to do: make sure that it is the right stick; if it is, copy the whole stick before you format it as FAT32.
    BLANK_STICK = "blank-stick";

    /// The sectors of the stick have a size the indicator cannot use.
    ///
    /// What it means: most small machines can only handle sectors of 512 bytes. Weighings made with this stick in place
    /// may be missing from it.
    ///
    /// How we know: the size that the volume or the partition table states.
    ///
    /// What to do: use another stick; formatting does not change this.
    ///
    /// Source: common practice, no source.
    SECTOR_SIZE_UNSUITABLE = "sector-size-unsuitable";

    /// The clusters of the volume are larger than the indicator can use.
    ///
    /// What it means: a cluster is the piece in which a stick hands out space. Small machines keep one in memory and
    /// fail on larger ones. Weighings made with this stick in place may be missing from it.
    ///
    /// How we know: the size that the volume states.
    ///
    /// What to do: copy the stick, then format it with clusters of 32 KiB or less.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "Boot Sector and BPB": larger ones should not be used.
    CLUSTER_SIZE_UNSUITABLE = "cluster-size-unsuitable";

    /// The stick is full.
    ///
    /// What it means: not one piece of it is free, so nothing more can be written. Weighings since then are not on it.
    ///
    /// How we know: the free clusters were counted in the table.
    ///
    /// What to do: compare the last transaction number with the last ticket, copy the stick, and use a fresh one.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "FAT Data Structure", for what marks a free cluster.
    STICK_FULL = "stick-full";
}

/// A limit that a stick does not keep.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::volume) enum Broken {
    Capacity,
    Table,
    Blank,
    Several,
    Format,
    DoubtfulFormat,
    FewClusters,
    Sector,
    Cluster,
    Full,
}

/// A limit that the stick as a whole does not keep.
pub(in crate::volume) fn of_stick(survey: &Survey, limits: &Limits, broken: Broken, written: bool) -> Finding {
    let place = Place::source(&survey.source_id);
    match broken {
        Broken::Capacity => too_large(survey, limits, written),
        Broken::Table => gpt(survey, limits, written),
        _ => blank(survey),
    }
    .at(place)
}

/// A stick without a format: empty as far as was looked, or with something left further in.
fn blank(survey: &Survey) -> Finding {
    let (title, detail, data, next_step) = match survey.data_at {
        None => (
            "There is no format on the stick, and it looks empty",
            "Where any format would have its marks there are only zeros, and as far as was looked behind them too. The indicator cannot write to it.",
            "none in the first 32 MiB".to_owned(),
            "Make sure that it is the right stick. If it is, format a fresh one as FAT32 and keep this one as it is.",
        ),
        Some(at) => (
            "There is no format on the stick, yet something stands on it",
            "Where any format would have its marks there are only zeros, but not further in: its beginning was wiped or failed. Rows may still be on it.",
            format!("from byte {at} on"),
            "Copy the whole stick and keep the copy: the missing rows may still be on it. Meanwhile, take the weighings from their paper tickets.",
        ),
    };
    Finding::new(&BLANK_STICK, Severity::Fault, title)
        .detail(detail)
        .evidence("partition table", table_in_words(survey.partition_table))
        .evidence("bytes that are not zero", data)
        .next_step(next_step)
        .before_you_act(COPY_FIRST)
}

/// A limit that a volume does not keep.
pub(in crate::volume) fn of_volume(
    survey: &Survey,
    volume: &Volume,
    limits: &Limits,
    broken: Broken,
    written: bool,
) -> Finding {
    let place = Place::volume(&survey.source_id, volume.index);
    match broken {
        Broken::Sector => sector(survey, volume, limits, written),
        Broken::Cluster => cluster(volume, limits, written),
        Broken::Full => full(volume),
        Broken::DoubtfulFormat => formats::doubtful(volume, limits, written),
        Broken::FewClusters => formats::too_few_clusters(volume, limits, written),
        _ => formats::wrong(volume, limits, written),
    }
    .at(place)
}

/// The same of a partition that stands beside the one indicators use: worth knowing, no more.
pub(in crate::volume) fn beside(mut finding: Finding, volume: &Volume, used: usize) -> Finding {
    finding.severity = Severity::Note;
    finding.title = finding.title.replacen("The stick", &format!("Volume {}", volume.index), 1);
    finding.detail(format!("Indicators commonly use volume {used} of this stick, which is not concerned by this."))
}

fn too_large(survey: &Survey, limits: &Limits, written: bool) -> Finding {
    limit(
        &TOO_LARGE,
        written,
        "The stick is larger than indicators can use",
        "Small machines often cannot reach beyond a certain size, and fail or write damaged data on larger sticks.",
    )
    .evidence("size of the stick", bytes(survey.capacity_bytes.unwrap_or(0)))
    .evidence("largest size", bytes(limits.largest_capacity_bytes))
    .evidence("limit taken from", &limits.source)
    .next_step(format!("Use a smaller stick, one of {} or less.", on_the_label(limits.largest_capacity_bytes)))
}

/// A largest size as sticks are sold: one sold as 8 GB is never larger than 8 GiB.
fn on_the_label(size: u64) -> String {
    if size >= 1 << 30 { format!("{} GB", size >> 30) } else { format!("{} MB", size >> 20) }
}

fn gpt(survey: &Survey, limits: &Limits, written: bool) -> Finding {
    let finding = limit(
        &GPT_PARTITIONED,
        written,
        "The stick is divided in a way indicators do not know",
        "A machine that knows only the classic partition table sees one unknown partition here, and cannot write.",
    )
    .evidence("partition table", table_in_words(survey.partition_table))
    .evidence("limit taken from", &limits.source);
    formats::reformat(finding, limits)
}

fn sector(survey: &Survey, volume: &Volume, limits: &Limits, written: bool) -> Finding {
    let sector = volume.sector_bytes.or(survey.sector_bytes).unwrap_or(0);
    limit(
        &SECTOR_SIZE_UNSUITABLE,
        written,
        format!("The stick has sectors of {sector} bytes"),
        "Most indicators can only handle sectors of 512 bytes. Formatting does not change them.",
    )
    .evidence("size of a sector", bytes(u64::from(sector)))
    .evidence("limit taken from", &limits.source)
    .next_step("Use another stick.")
}

fn cluster(volume: &Volume, limits: &Limits, written: bool) -> Finding {
    let finding = limit(
        &CLUSTER_SIZE_UNSUITABLE,
        written,
        "The stick hands out space in pieces too large for indicators",
        "Small machines keep one such piece (a cluster) in memory, and fail on larger ones.",
    )
    .evidence("size of a cluster", bytes(volume.cluster_bytes.unwrap_or(0)))
    .evidence("largest size", bytes(limits.largest_cluster_bytes))
    .evidence("limit taken from", &limits.source);
    finding
        .next_step(format!(
            "Use a stick formatted with clusters (allocation units) of {} or less. See the indicator's manual.",
            in_kib(limits.largest_cluster_bytes)
        ))
        .before_you_act(COPY_FIRST)
}

/// As formatting programs offer the size of a cluster.
fn in_kib(size: u64) -> String {
    if size.is_multiple_of(1024) { format!("{} KiB", size / 1024) } else { bytes(size) }
}

fn full(volume: &Volume) -> Finding {
    Finding::new(&STICK_FULL, Severity::Fault, "The stick is full")
        .detail("Not one piece of it is free. Weighings since it filled up are not on it.")
        .evidence("free clusters counted", 0)
        .evidence("clusters in all", grouped(volume.clusters.unwrap_or(0)))
        .next_step("Compare the last transaction number on the stick with the last ticket. Go on with a fresh stick.")
        .before_you_act(COPY_FIRST)
}

/// What is said of a broken limit where the stick was written to all the same.
pub(super) const YET_WRITTEN: &str =
    "Outside common limits, yet it was written to. Another indicator may not be able to.";

/// A broken limit: a fault, unless the stick was written to all the same.
pub(super) fn limit(kind: &Kind, written: bool, title: impl Into<String>, detail: &str) -> Finding {
    let (severity, detail) = if written { (Severity::Caution, YET_WRITTEN) } else { (Severity::Fault, detail) };
    Finding::new(kind, severity, title).detail(detail)
}

const fn table_in_words(table: Option<PartitionTable>) -> &'static str {
    match table {
        Some(PartitionTable::Mbr) => "classic (MBR)",
        Some(PartitionTable::Gpt) => "GUID (GPT)",
        Some(PartitionTable::None) => "none",
        None => "not seen",
    }
}
