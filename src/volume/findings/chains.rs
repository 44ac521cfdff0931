//! Damage to single files: chains that break, loop, cross, or do not fit the recorded size.

use super::Context;
use crate::finding::words::bytes;
use crate::finding::{COPY_FIRST, Finding, Kind, NotChecked, Severity, kinds};
use crate::stick::checksum;
use crate::units::grouped;
use crate::volume::fat::{Chained, Owner, Problem, Stop};
use crate::volume::ordinary::{OrdinaryFile, ordinary_view};
use crate::volume::stored::StoredFile;

kinds! {
    /// The pieces of a file lead back to one it already had.
    ///
    /// What it means: the file allocation table says which piece (cluster) of a file follows which. For this file it
    /// runs in a circle. A program that trusts the table shows the same rows again and again, and rows behind the
    /// circle not at all.
    ///
    /// How we know: the table was followed, and each cluster remembered.
    ///
    /// What to do: use the rows listed here, which are read once; copy the whole stick and keep the copy, for the rest
    /// may still be on it.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "FAT Data Structure".
    CHAIN_LOOP = "chain-loop";

    /// Two files claim the same piece of the stick.
    ///
    /// What it means: a cluster can belong to one file only. From the shared one on, at least one of the two shows the
    /// other's rows. Rows of the other one may be overwritten, and are then missing.
    ///
    /// How we know: every cluster was marked with the file that uses it.
    ///
    /// What to do: look at both files near the shared place; the transaction numbers tell to which the rows belong.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "FAT Data Structure".
    CHAIN_CROSS_LINKED = "chain-cross-linked";

    /// The pieces of a file break off.
    ///
    /// What it means: the file allocation table leads to a cluster that is marked free or bad, or that the stick does
    /// not have. This happens when a stick is pulled out while it is written. Rows behind the break are missing from
    /// the file, and most likely still on the stick. An ordinary computer shows a shorter file and says nothing.
    ///
    /// How we know: the table was followed to where it breaks.
    ///
    /// What to do: copy the whole stick and keep the copy; the missing rows may still be on it.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "FAT Entry Values".
    CHAIN_BROKEN = "chain-broken";

    /// The recorded size of a file does not fit the pieces it has.
    ///
    /// What it means: more pieces than the size needs: rows may lie beyond the recorded end, as when the stick was
    /// pulled out before the new size was written. Fewer: the end of the file is not where it should be.
    ///
    /// How we know: the clusters of the file were counted.
    ///
    /// What to do: compare the last transaction number with the last ticket. Copy the whole stick and keep the copy; rows
    /// beyond the end may still be on it.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "File Allocation".
    SIZE_DISAGREES = "size-disagrees";
}

/// One finding for each problem, and what could not be compared with an ordinary computer's view.
pub(super) fn of_files(context: &Context) -> (Vec<Finding>, Option<NotChecked>) {
    if context.walked.problems.is_empty() {
        return (Vec::new(), None);
    }
    let (view, refused) = match ordinary_view(context.source, context.volume) {
        Ok(view) => (Some(view), None),
        Err(why) => (None, Some(why)),
    };
    let findings = context.walked.problems.iter().filter_map(|problem| {
        let file = context.volume.files.get(problem.file)?;
        let finding = with_next_step(describe(context, problem, file), problem, file);
        Some(with_view(finding, context, file, view.as_deref()))
    });
    (findings.collect(), refused)
}

fn describe(context: &Context, problem: &Problem, file: &StoredFile) -> Finding {
    let name = context.path(problem.file);
    match problem.what {
        Chained::Stopped(Stop::Loop(cluster)) => start(&CHAIN_LOOP, file, format!("The pieces of “{name}” run in a circle"))
            .detail("The table leads back to a cluster the file already had. A program that trusts it shows the same rows again.")
            .evidence("leads back to", format!("cluster {cluster}")),
        Chained::Stopped(stop) => broken(stop, file, name),
        Chained::Crossed { with, cluster } => start(&CHAIN_CROSS_LINKED, file, format!("“{name}” shares a piece with another file"))
            .detail("A piece of the stick can belong to one file only. From there on at least one of the two shows the other's rows.")
            .evidence("shared", format!("cluster {cluster}"))
            .evidence("shared with", other(context, with)),
        Chained::Short { had, needed } => start(&SIZE_DISAGREES, file, format!("“{name}” has fewer pieces than its size needs"))
            .detail("The table ends the file early. Its last rows are missing from what a computer shows, and most likely still on the stick.")
            .evidence("clusters needed", needed)
            .evidence("clusters in the first table", had),
        Chained::Long { had, needed } => start(&SIZE_DISAGREES, file, format!("“{name}” has more pieces than its size needs"))
            .detail("Rows may lie beyond its recorded end, as when the stick was pulled out before the new size was written.")
            .evidence("clusters needed", needed)
            .evidence("clusters in the first table", had),
    }
}

fn broken(stop: Stop, file: &StoredFile, name: &str) -> Finding {
    let finding = start(&CHAIN_BROKEN, file, format!("The pieces of “{name}” break off"));
    let finding = finding.detail(
        "The table that says which piece follows which leads nowhere. Rows behind the break are most likely still on the stick.",
    );
    match stop {
        Stop::Free(at) => finding.evidence("breaks at", format!("cluster {at}, which is marked as free")),
        Stop::Bad(at) => finding.evidence("breaks at", format!("cluster {at}, which is marked as bad")),
        Stop::Outside { after: Some(at), named } => finding
            .evidence("breaks behind", format!("cluster {at}"))
            .evidence("named next", format!("cluster {named}, which the volume does not have")),
        Stop::Outside { after: None, named } => {
            finding.evidence("should begin in", format!("cluster {named}, which the volume does not have"))
        }
        Stop::TooLong => finding.evidence("breaks", "where following went on for longer than any sound volume needs"),
        Stop::End | Stop::Loop(_) => finding,
    }
}

fn start(kind: &Kind, file: &StoredFile, title: String) -> Finding {
    let severity = if file.whole { Severity::Caution } else { Severity::Fault };
    Finding::new(kind, severity, title)
}

fn other(context: &Context, owner: Owner) -> String {
    match owner {
        Owner::File(index) => context.path(index).to_owned(),
        Owner::Folder(index) => match context.walked.folders.get(index).map(String::as_str) {
            None | Some("") => "the root folder".to_owned(),
            Some(path) => format!("the folder “{path}”"),
        },
    }
}

fn with_next_step(finding: Finding, problem: &Problem, file: &StoredFile) -> Finding {
    let finding = finding
        .evidence("recorded size", bytes(file.size_bytes))
        .evidence("found here", bytes(file.bytes_had()))
        .before_you_act(COPY_FIRST);
    if matches!(problem.what, Chained::Crossed { .. }) {
        return finding.next_step(
            "Look at both files: the transaction numbers tell to which of them the rows of the shared piece belong.",
        );
    }
    if file.by_second_table {
        return finding
            .evidence("second table", "holds the whole file, and was used")
            .next_step("Use the rows listed here: the second table held the whole file. Prepare a fresh stick.");
    }
    finding.next_step(if file.whole {
        "Compare the last transaction number of this file with the last ticket. Prepare a fresh stick."
    } else {
        "Copy the whole stick and keep the copy: the missing rows may still be on it. Meanwhile, take the weighings from their paper tickets."
    })
}

fn with_view(finding: Finding, context: &Context, file: &StoredFile, view: Option<&[OrdinaryFile]>) -> Finding {
    let finding = finding.at(context.place.clone());
    let Some(view) = view else { return finding };
    finding.evidence("an ordinary computer shows", shown(context, file, view))
}

fn shown(context: &Context, file: &StoredFile, view: &[OrdinaryFile]) -> String {
    let same_name = |other: &&OrdinaryFile| Some(other.path.as_str()) == file.path.as_deref();
    let Some(theirs) = view.iter().find(same_name) else { return "no file of this name".to_owned() };
    let read = theirs.bytes_read;
    if read < theirs.size_bytes {
        return format!(
            "a file of {}, of which it can read {}, without an error",
            bytes(theirs.size_bytes),
            grouped(read)
        );
    }
    match checksum(&file.over(context.source)) {
        Ok(ours) if ours == theirs.sha256 => format!("{}, the same as read here", bytes(read)),
        Ok(_) => format!("{}, not the same as read here", bytes(read)),
        Err(_) => format!("{}; they could not be compared", bytes(read)),
    }
}
