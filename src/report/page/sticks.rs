//! The sticks and the exports on them.

use maud::{Markup, html};

use super::shown::{Shown, value, width};
use crate::day::{Day, SourceState};
use crate::export::Export;
use crate::finding::words::count_of;
use crate::report::words::{file_state, word};
use crate::units::grouped;
use crate::volume::{Verdict, Volume};

pub(super) fn section(day: &Day) -> Markup {
    html! {
        section aria-labelledby="sticks" {
            h2 id="sticks" { "Stick and exports" }
            @for source in &day.sources { (stick(source)) }
            @if day.exports.is_empty() { p { "No export was found." } } @else { (exports(&day.exports)) }
        }
    }
}

fn stick(source: &SourceState) -> Markup {
    let verdict = source.suitability.as_ref().map(|suitability| suitability.verdict);
    let could = match verdict {
        Some(Verdict::Ready) => "yes, by the limits used",
        Some(Verdict::NotReady) => "no, by the limits used",
        Some(Verdict::Unknown) => "doubtful",
        None => "not judged: the stick itself was not seen",
    };
    html! {
        h3 { (Shown(&source.path)) }
        dl {
            dt { "Could an indicator write to it?" } dd { (could) }
            dt { "Size" } dd { (count_of(source.size_bytes, "byte", "bytes")) }
            @if let Some(hash) = &source.sha256 { dt { "SHA-256" } dd.hash { (Shown(hash)) } }
        }
        @if !source.survey.volumes.is_empty() { (volumes(&source.survey.volumes)) }
    }
}

fn volumes(volumes: &[Volume]) -> Markup {
    html! {
        table {
            caption { "Volumes" }
            thead {
                tr {
                    th scope="col" { "Volume" } th scope="col" { "Name" } th scope="col" { "Format" }
                    th scope="col" { "Bytes" } th scope="col" { "Free bytes" } th scope="col" { "Left open" }
                }
            }
            tbody {
                @for volume in volumes {
                    @let label = volume.label.as_deref().unwrap_or_default();
                    tr {
                        th scope="row" { (volume.index) }
                        td class=(width(label)) { (Shown(label)) }
                        td { (word(volume.file_system)) }
                        td.n { (value(volume.size_bytes.map(grouped))) }
                        td.n { (value(volume.free_bytes.map(grouped))) }
                        td { (volume.dirty.map_or("not known", |open| if open { "yes" } else { "no" })) }
                    }
                }
            }
        }
    }
}

fn exports(exports: &[Export]) -> Markup {
    html! {
        div.wide role="region" aria-label="Exports" tabindex="0" {
            table {
                caption { "Exports, and how their lines were told apart." }
                thead {
                    tr {
                        th scope="col" { "Export" } th scope="col" { "State" } th scope="col" { "Drafts" }
                        th scope="col" { "Totals" } th scope="col" { "Headers" } th scope="col" { "Other text" }
                        th scope="col" { "Blank" } th scope="col" { "Unreadable" } th scope="col" { "Copy of" }
                    }
                }
                tbody { @for export in exports { (row(export, exports)) } }
            }
        }
    }
}

fn row(export: &Export, all: &[Export]) -> Markup {
    let counts = export.counts;
    let kinds = [counts.drafts, counts.totals, counts.headers, counts.banners, counts.blank, counts.unreadable];
    let original =
        export.duplicate_of.as_ref().map(|id| all.iter().find(|it| it.id == *id).map_or(id.as_str(), Export::name));
    html! {
        tr {
            th scope="row" class="path" { (Shown(export.name())) }
            td { (file_state(export.state)) }
            @for count in kinds { td.n { (grouped(count)) } }
            @if let Some(original) = original { td.path { (Shown(original)) } } @else { td {} }
        }
    }
}
