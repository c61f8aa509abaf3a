//! Questions about mappings of CSV files.

use super::{
    Live, ReadError, read,
    views::{Listed, Listing},
};
use crate::shot::{CsvMapping, CsvMappingId};

impl Live {
    /// All mappings of CSV files.
    #[must_use]
    pub fn csv_mappings(&self) -> Listing<CsvMappingId, CsvMapping> {
        let catalogue = read(&self.catalogue);
        let items = catalogue.csv_mappings().into_iter().map(Listed::of).collect();
        Listing { items, as_of: catalogue.csv_mappings_as_of() }
    }

    /// One mapping of CSV files.
    ///
    /// # Errors
    /// An unknown id.
    pub fn csv_mapping(
        &self,
        id: &CsvMappingId,
    ) -> Result<Listed<CsvMappingId, CsvMapping>, ReadError> {
        let catalogue = read(&self.catalogue);
        let entry = catalogue.csv_mapping(id).map(Listed::of);
        entry.ok_or_else(|| ReadError::UnknownCsvMapping(id.clone()))
    }
}
