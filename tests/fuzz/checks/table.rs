//! What must hold of the rows of a CSV file, whatever its mapping and its cells. The fuzz target and the suite of the
//! event share it.

use evencarry::shot::{CsvMapping, parse, same_content};
use serde_json::Value;

/// Reads without a panic. What is taken is the event that its plain text says, and a mapping is the same when it is
/// written and read again. The bytes are the mapping, and line by line the header and rows, cells parted by tabs.
pub(crate) fn table(data: &[u8]) {
    let mut lines = data.split(|byte| *byte == b'\n');
    let Ok(mapping) = CsvMapping::from_json(lines.next().unwrap_or_default()) else { return };
    let written = serde_json::to_vec(&mapping).expect("a mapping is JSON");
    assert_eq!(CsvMapping::from_json(&written).as_ref(), Ok(&mapping), "another when read again");
    let mut rows = lines.filter_map(|line| std::str::from_utf8(line).ok());
    let Some(header) = rows.next() else { return };
    let header: Vec<&str> = header.split('\t').collect();
    let Ok(table) = mapping.with_header(&header) else { return };
    for (number, row) in (1..).zip(rows) {
        let cells: Vec<&str> = row.split('\t').collect();
        let Ok((event, plain)) = table.event(number, &cells) else { continue };
        assert_eq!(parse(&plain).as_ref(), Ok(&event), "the plain text is another event: {row}");
        let value: Value = serde_json::from_slice(&plain).expect("an event is JSON");
        assert!(same_content(&plain, value.to_string().as_bytes()), "{value}");
    }
}
