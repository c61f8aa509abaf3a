//! What cuts a body of many into items: lines of events, or rows of a table.

use bytes::Bytes;

use super::item::Item;
use crate::{
    api::{
        errors,
        limits::Limits,
        lines::Lines,
        problem::{Fault, Problem},
        rows::{Row, Rows},
    },
    shot::{CsvMapping, CsvTable},
    store::NewShot,
};

/// Cuts chunks into items. Feed it a chunk, take items until there are none, feed the next.
pub(in crate::api) trait Cut {
    /// Gives the next bytes; all earlier items have been taken.
    fn feed(&mut self, chunk: Bytes);

    /// The next whole item.
    fn next_item(&mut self) -> Result<Option<Item>, Problem>;

    /// The next of the items that are left when the body has come to its proper end.
    fn last_item(&mut self) -> Result<Option<Item>, Problem>;
}

/// Events, one a line.
pub(in crate::api) struct Events<'l> {
    lines: Lines,
    limits: &'l Limits,
}

impl<'l> Events<'l> {
    pub(in crate::api) fn new(limits: &'l Limits) -> Self {
        Self { lines: Lines::new(limits.line_bytes), limits }
    }
}

impl Cut for Events<'_> {
    fn feed(&mut self, chunk: Bytes) {
        self.lines.feed(chunk);
    }

    fn next_item(&mut self) -> Result<Option<Item>, Problem> {
        Ok(self.lines.next_line().map(|line| Item::of_line(line, self.limits)))
    }

    fn last_item(&mut self) -> Result<Option<Item>, Problem> {
        Ok(self.lines.finish().map(|line| Item::of_line(line, self.limits)))
    }
}

/// A table of shots: a header, then a shot a row.
pub(in crate::api) struct Table<'l> {
    rows: Rows,
    limits: &'l Limits,
    state: State,
    number: u64,
}

enum State {
    /// The header has not come yet.
    Before(Box<CsvMapping>),
    Within(Box<CsvTable>),
}

impl<'l> Table<'l> {
    pub(in crate::api) fn new(mapping: CsvMapping, limits: &'l Limits) -> Self {
        // A delimiter is one character of ASCII.
        let delimiter = u8::try_from(mapping.delimiter).unwrap_or(b',');
        let rows = Rows::new(delimiter, limits.line_bytes);
        Self { rows, limits, state: State::Before(Box::new(mapping)), number: 0 }
    }

    fn take(&mut self, row: Row) -> Result<Option<Item>, Problem> {
        let (line, limits) = (row.line, self.limits);
        match &self.state {
            State::Within(table) => {
                self.number += 1;
                let number = self.number;
                let read = row.cells.map_err(|flaw| errors::of_row(line, flaw, limits));
                let read = read.and_then(|cells| {
                    let shot = table.event(number, &cells.all());
                    let shot = shot.map(|(event, text)| NewShot::new(event, text.into()));
                    shot.map_err(|rejection| errors::refusal(line, rejection))
                });
                Ok(Some(Item { line, read }))
            }
            State::Before(mapping) => {
                let cells = row
                    .cells
                    .map_err(|flaw| Problem::invalid(errors::of_row(line, flaw, limits).errors))?;
                let table = mapping.as_ref().clone().with_header(&cells.all());
                let table = table.map_err(|faults| {
                    Problem::invalid(faults.into_iter().map(Fault::from).collect())
                })?;
                self.state = State::Within(Box::new(table));
                Ok(None)
            }
        }
    }
}

impl Cut for Table<'_> {
    fn feed(&mut self, chunk: Bytes) {
        self.rows.feed(chunk);
    }

    fn next_item(&mut self) -> Result<Option<Item>, Problem> {
        while let Some(row) = self.rows.next_row() {
            if let Some(item) = self.take(row)? {
                return Ok(Some(item));
            }
        }
        Ok(None)
    }

    fn last_item(&mut self) -> Result<Option<Item>, Problem> {
        while let Some(row) = self.rows.finish() {
            if let Some(item) = self.take(row)? {
                return Ok(Some(item));
            }
        }
        match self.state {
            State::Within(_) => Ok(None),
            State::Before(_) => {
                let detail = "has no header: its first row names the columns";
                let fault =
                    Fault { pointer: String::new(), detail: detail.to_owned(), parameter: None };
                Err(Problem::invalid(vec![fault]))
            }
        }
    }
}
