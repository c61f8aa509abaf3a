//! Mappings of CSV files.

use super::{CSV_MAPPING, Catalogue, Entry};
use crate::shot::{CsvMapping, CsvMappingId, Sequence};

impl Catalogue {
    pub(in crate::live) fn csv_mappings(&self) -> Vec<&Entry<CsvMappingId, CsvMapping>> {
        self.csv_mappings.listed()
    }

    /// The last sequence that changed a mapping or took one out.
    pub(in crate::live) fn csv_mappings_as_of(&self) -> Sequence {
        self.csv_mappings.as_of()
    }

    pub(in crate::live) fn csv_mapping(
        &self,
        id: &CsvMappingId,
    ) -> Option<&Entry<CsvMappingId, CsvMapping>> {
        self.csv_mappings.get(id)
    }

    /// Replaces a mapping; says whether it is new.
    pub(in crate::live) fn put_csv_mapping(
        &mut self,
        id: &CsvMappingId,
        document: &CsvMapping,
        at: Sequence,
    ) -> bool {
        let (number, made) = self.csv_mappings.ensure(id, at, |_| document.clone());
        let entry = &mut self.csv_mappings.entries[number as usize];
        (entry.document, entry.as_of) = (document.clone(), at);
        self.change(CSV_MAPPING, number);
        made
    }

    pub(in crate::live) fn remove_csv_mapping(&mut self, id: &CsvMappingId, at: Sequence) {
        if let Some(number) = self.csv_mappings.remove(id, at) {
            self.change(CSV_MAPPING, number);
        }
    }
}
