//! Tables of shots: what the columns of a sender's CSV file are, stated once as a document of the
//! catalogue, and the rows of a file as plain events. Nothing is guessed: every column is named,
//! with the member that it fills and so its unit, or as one that is left alone.

mod field;
mod read;
mod row;
mod time;

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use super::names::nfc;
use super::words::DecimalMark;

pub use row::CsvTable;

/// The most columns of a mapping, and the most texts of each of its lists.
pub const CSV_COLUMNS_MAX: usize = 200;
/// The most translated texts of a mapping.
pub const CSV_VALUES_MAX: usize = 1_000;
/// The most bytes of a mapping as it is kept: our decision, several times what a wide file needs.
pub const CSV_MAPPING_MAX: usize = 64 * 1024;

/// What the columns of a CSV file are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CsvMapping {
    /// What it is called.
    pub name: String,
    /// What stands between cells.
    pub delimiter: char,
    /// What stands before the decimals of a number.
    pub decimal_mark: DecimalMark,
    /// The member of the event that each column fills, as a pointer: `/flight/carry_yd`.
    pub columns: BTreeMap<String, String>,
    /// Those of the columns that a file need not have.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub optional: BTreeSet<String>,
    /// Columns that are left alone.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub ignored: BTreeSet<String>,
    /// By column, what is stored for the texts in it; no other text is then taken.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub values: BTreeMap<String, BTreeMap<String, String>>,
    /// Texts that say no more than an empty cell.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub absent: BTreeSet<String>,
    /// The time, where no one column has it in the form of RFC 3339.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time: Option<CsvTime>,
    /// The id, where no one column has it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub row_id: Option<CsvId>,
    /// Members that all rows have.
    #[serde(default, skip_serializing_if = "Map::is_empty")]
    pub set: Map<String, Value>,
}

/// A time that is written in its own way.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CsvTime {
    /// The columns that hold it, joined by a space.
    pub columns: Vec<String>,
    /// Its form, in the directives of strptime.
    pub format: String,
    /// The IANA time zone that it is local to, unless the form has an offset.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<String>,
}

/// An id that is put together: prefix, columns and row number, joined by `-`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CsvId {
    /// What it begins with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub prefix: Option<String>,
    /// The columns that hold it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub columns: Vec<String>,
    /// Whether it ends in the number of the row. Rows of the next file have the same numbers: so
    /// there must be a prefix, which is that file's own, or a column, such as the date.
    #[serde(default)]
    pub row: bool,
}

impl CsvMapping {
    /// All columns that a file must have.
    fn needed(&self) -> BTreeSet<&str> {
        let columns = self.columns.keys().filter(|name| !self.optional.contains(*name));
        let time = self.time.iter().flat_map(|time| &time.columns);
        let id = self.row_id.iter().flat_map(|id| &id.columns);
        columns.chain(time).chain(id).map(String::as_str).collect()
    }

    /// Whether it says what a column is.
    fn names(&self, column: &str) -> bool {
        self.columns.contains_key(column)
            || self.ignored.contains(column)
            || self.needed().contains(column)
    }
}

/// A header or a cell as it is compared: without the white space around it, in NFC.
fn tidy(text: &str) -> String {
    nfc(text.trim()).into_owned()
}
