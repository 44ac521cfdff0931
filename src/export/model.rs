//! An export as read: its layout and every one of its lines.

use std::fmt;

use chrono::NaiveDateTime;
use serde::Serialize;

use super::layout::Layout;
use super::reading::CellFault;
use super::table::MOST_CELLS;
use super::text::Text;
use crate::units::{Head, LineNo, LocalTime, Percent, TransactionNo, Weight};

/// An export, read.
#[derive(Debug, Clone)]
pub struct Export {
    /// Its id in the report.
    pub id: String,
    /// The source it lies on.
    pub source: String,
    /// The volume of that source; `None` for folders and single files.
    pub volume: Option<usize>,
    /// Its path from the volume's or folder's root; `None` for nameless data.
    pub path: Option<String>,
    /// Whether a healthy directory entry owns it.
    pub state: crate::volume::FileState,
    /// The export this one is a copy of.
    pub duplicate_of: Option<String>,
    /// Its recorded size in bytes.
    pub size_bytes: u64,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
    /// When it was last written, by the writer's clock.
    pub modified: Option<NaiveDateTime>,
    /// How it is laid out.
    pub layout: Layout,
    /// Its text, line by line, for whoever must show a line again.
    pub text: Text,
    /// Its drafts, totals, headers and unreadable lines, in file order. Of many unreadable lines without a legible
    /// number only the first are kept; all are counted.
    pub rows: Vec<Row>,
    /// How its lines were told apart.
    pub counts: RowCounts,
}

impl Export {
    /// Whether its dates were read in the likelier of two possible orders.
    #[must_use]
    pub fn date_order_open(&self) -> bool {
        let dated = |row: &Row| matches!(&row.content, RowContent::Draft(fields) if fields.at.is_some());
        self.layout.dates_open.is_some() && self.rows.iter().any(dated)
    }

    /// What people call it: its path, or its id where it has none.
    #[must_use]
    pub fn name(&self) -> &str {
        self.path.as_deref().unwrap_or(&self.id)
    }
}

/// How many lines of each sort an export has; together they are all its lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct RowCounts {
    /// One weighing each.
    pub drafts: u64,
    /// Totals of drafts above them.
    pub totals: u64,
    /// Headers, also repeated ones, and rows of units.
    pub headers: u64,
    /// Preamble, session lines, footers.
    pub banners: u64,
    /// Nothing but blanks.
    pub blank: u64,
    /// What could not be read.
    pub unreadable: u64,
}

/// One line of an export.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Its line, counted from 1.
    pub line: LineNo,
    /// The byte of the file it begins at.
    pub byte: u64,
    /// The byte of the medium it begins at, where the medium was read raw.
    pub medium_offset: Option<u64>,
    /// What it is.
    pub content: RowContent,
}

/// What a line is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RowContent {
    /// One weighing.
    Draft(Box<Fields>),
    /// A total of drafts above it.
    Total(Box<Fields>),
    /// A header.
    Header,
    /// A preamble line, session line or footer.
    Banner,
    /// A line that could not be read, and why.
    Unreadable {
        /// The cell at fault, counted from 0, where one is.
        column: Option<usize>,
        /// Why.
        reason: Unread,
        /// The transaction number, where it is still legible.
        transaction: Option<TransactionNo>,
    },
}

/// Why a line could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unread {
    /// It ends before its row does.
    Cut {
        /// The cells it has.
        cells: usize,
        /// The cells of the header.
        columns: usize,
    },
    /// It holds so many zero bytes.
    ZeroBytes(usize),
    /// The stick gave errors instead of parts of it.
    Sectors,
    /// It has more cells than the header names columns.
    TooWide {
        /// The cells it has.
        cells: usize,
        /// The cells of the header.
        columns: usize,
    },
    /// It stands under a header after the most that are told apart.
    TooManyHeaders,
    /// One of its cells, as said.
    Cell(String),
}

impl fmt::Display for Unread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Cut { cells, columns } => write!(f, "it has {cells} of {columns} cells: the line is cut"),
            Self::ZeroBytes(1) => f.write_str("it holds a zero byte, which no text has"),
            Self::ZeroBytes(zeros) => {
                write!(f, "it holds {zeros} zero bytes, which no text has: space set aside but never written")
            }
            Self::Sectors => f.write_str("the stick gave errors instead of part of this line"),
            Self::TooWide { cells, columns } if *cells > MOST_CELLS => {
                write!(f, "it has more than {MOST_CELLS} cells, the header {columns}")
            }
            Self::TooWide { cells, columns } => {
                write!(f, "it has {cells} cells, the header {columns}: cells may have slipped into other columns")
            }
            Self::TooManyHeaders => f.write_str("too many different headers stand before it"),
            Self::Cell(what) => f.write_str(what),
        }
    }
}

/// The cells of a draft or total, by meaning. A cell that is empty is `None`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Fields {
    /// The number.
    pub transaction: Option<TransactionNo>,
    /// The number as written.
    pub transaction_text: Option<String>,
    /// When.
    pub at: Option<LocalTime>,
    /// The ticket, as written.
    pub ticket: Option<String>,
    /// The lot, as written.
    pub lot: Option<String>,
    /// Animals.
    pub head: Option<Head>,
    /// Weight as weighed.
    pub gross: Option<Weight>,
    /// Weight of what is not animal.
    pub tare: Option<Weight>,
    /// Gross less tare.
    pub net: Option<Weight>,
    /// Weight per head.
    pub average: Option<Weight>,
    /// Percentage taken off by agreement.
    pub shrink_percent: Option<Percent>,
    /// Weight that is paid for.
    pub pay_weight: Option<Weight>,
    /// What animals.
    pub kind: Option<String>,
    /// Who sends them.
    pub consignor: Option<String>,
    /// Who buys them.
    pub buyer: Option<String>,
    /// Who weighed.
    pub weigher: Option<String>,
    /// The scale's own number.
    pub scale: Option<String>,
    /// A mark such as void or manual.
    pub status: Option<String>,
    /// Free text.
    pub remark: Option<String>,
    /// Whether the file ends in its last needed figure, which may then be cut.
    pub torn: bool,
    /// Cells a draft can do without that could not be read; their figures are left out.
    pub left_out: Vec<CellFault>,
}
