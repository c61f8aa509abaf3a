//! Cuts a stream of bytes into the rows of a CSV file (RFC 4180), in memory bounded by one row and
//! one chunk.

use bytes::{Buf, Bytes, BytesMut};
use csv_core::{ReadRecordResult, Reader, ReaderBuilder};

/// The most cells of a row; far more than a mapping has columns.
const CELLS_MAX: usize = 1_000;
/// Bytes of the mark that a file may begin with.
const MARK_BYTES: usize = 3;

/// A row of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Row {
    /// The line of the file that it starts on, counted from 1.
    pub(super) line: u64,
    /// Its cells, or why it has none.
    pub(super) cells: Result<Cells, Flaw>,
}

/// Why a row cannot be read; the stream goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Flaw {
    /// It is over the limit of a line; its bytes are let go.
    TooLong,
    /// It is not UTF-8.
    NotUtf8,
    /// The file ends within a quoted cell.
    Unclosed,
}

/// The cells of a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cells {
    text: String,
    ends: Vec<usize>,
}

impl Cells {
    /// All of them, in order.
    pub(super) fn all(&self) -> Vec<&str> {
        let starts = [0].into_iter().chain(self.ends.iter().copied());
        // The ends of cells lie between characters: what is cut there was quotes and delimiters.
        let cell = |(from, to)| self.text.get(from..to).unwrap_or_default();
        starts.zip(self.ends.iter().copied()).map(cell).collect()
    }
}

/// The cutter. Feed it a chunk, take rows until there are none, feed the next.
pub(super) struct Rows {
    reader: Reader,
    limit: usize,
    /// The first bytes of the file, until they are enough to tell the mark.
    first: Option<BytesMut>,
    chunk: Bytes,
    /// The line of the next byte.
    line: u64,
    /// Whether the last byte was a CR: an LF behind it ends no further line.
    after_cr: bool,
    /// The line on which the row that is being read starts.
    begun: Option<u64>,
    text: Vec<u8>,
    ends: Vec<usize>,
    filled: (usize, usize),
    quotes: usize,
    letting_go: bool,
}

impl Rows {
    /// A cutter for rows of at most `limit` bytes.
    pub(super) fn new(delimiter: u8, limit: usize) -> Self {
        Self {
            reader: ReaderBuilder::new().delimiter(delimiter).build(),
            limit,
            first: Some(BytesMut::new()),
            chunk: Bytes::new(),
            line: 1,
            after_cr: false,
            begun: None,
            text: vec![0; 1_024],
            ends: vec![0; 64],
            filled: (0, 0),
            quotes: 0,
            letting_go: false,
        }
    }

    /// Gives the next bytes of the file; all earlier rows have been taken.
    pub(super) fn feed(&mut self, chunk: Bytes) {
        let Some(first) = &mut self.first else {
            self.chunk = chunk;
            return;
        };
        first.extend_from_slice(&chunk);
        if first.len() >= MARK_BYTES {
            self.begin();
        }
    }

    fn begin(&mut self) {
        if let Some(first) = self.first.take() {
            self.chunk = first.freeze();
            if self.chunk.starts_with("\u{feff}".as_bytes()) {
                self.chunk.advance(MARK_BYTES);
            }
        }
    }

    /// The next whole row.
    pub(super) fn next_row(&mut self) -> Option<Row> {
        if self.begun.is_none() {
            self.skip_blank_lines();
        }
        while !self.chunk.is_empty() {
            let (text, ends) = (&mut self.text[self.filled.0..], &mut self.ends[self.filled.1..]);
            let (result, read, wrote, ended) = self.reader.read_record(&self.chunk, text, ends);
            let taken = self.chunk.split_to(read);
            self.count_lines(&taken);
            self.quotes += memchr::memchr_iter(b'"', &taken).count();
            self.filled = (self.filled.0 + wrote, self.filled.1 + ended);
            match result {
                ReadRecordResult::Record => return Some(self.end_row(false)),
                result => self.make_room(&result),
            }
        }
        None
    }

    /// The last row, if the file ended properly without a line end. A file that was cut off has no
    /// last row: what is left of it is not whole.
    pub(super) fn finish(&mut self) -> Option<Row> {
        self.begin();
        if let Some(row) = self.next_row() {
            return Some(row);
        }
        self.begun?;
        loop {
            let (text, ends) = (&mut self.text[self.filled.0..], &mut self.ends[self.filled.1..]);
            let (result, _, wrote, ended) = self.reader.read_record(&[], text, ends);
            self.filled = (self.filled.0 + wrote, self.filled.1 + ended);
            match result {
                ReadRecordResult::Record => return Some(self.end_row(true)),
                ReadRecordResult::End | ReadRecordResult::InputEmpty => return None,
                result => self.make_room(&result),
            }
        }
    }

    /// Counts the lines that end in some bytes: by CR, by LF, or by both, be it over two chunks.
    fn count_lines(&mut self, taken: &[u8]) {
        let after_cr = |at: usize| match at.checked_sub(1) {
            Some(before) => taken[before] == b'\r',
            None => self.after_cr,
        };
        let ends = memchr::memchr2_iter(b'\r', b'\n', taken);
        let ends = ends.filter(|at| taken[*at] == b'\r' || !after_cr(*at)).count();
        self.line += ends as u64;
        self.after_cr = taken.last().map_or(self.after_cr, |last| *last == b'\r');
    }

    /// Blank lines are no rows.
    fn skip_blank_lines(&mut self) {
        let blank = self.chunk.iter().take_while(|byte| matches!(byte, b'\r' | b'\n')).count();
        let blank = self.chunk.split_to(blank);
        self.count_lines(&blank);
        if !self.chunk.is_empty() {
            self.begun = Some(self.line);
        }
    }

    /// Makes room for more of the row, or lets a row go that is too long.
    fn make_room(&mut self, full: &ReadRecordResult) {
        match full {
            ReadRecordResult::OutputFull if self.text.len() < self.limit => {
                self.text.resize((self.text.len() * 2).min(self.limit), 0);
            }
            ReadRecordResult::OutputEndsFull if self.ends.len() < CELLS_MAX => {
                self.ends.resize(CELLS_MAX, 0);
            }
            ReadRecordResult::OutputFull | ReadRecordResult::OutputEndsFull => {
                self.letting_go = true;
                self.filled = (0, 0);
            }
            _ => {}
        }
    }

    fn end_row(&mut self, at_the_end: bool) -> Row {
        let (length, cells) = std::mem::take(&mut self.filled);
        let line = self.begun.take().unwrap_or(self.line);
        let unclosed = at_the_end && !self.quotes.is_multiple_of(2);
        self.quotes = 0;
        let cells = if std::mem::take(&mut self.letting_go) {
            Err(Flaw::TooLong)
        } else if unclosed {
            Err(Flaw::Unclosed)
        } else {
            let ends = self.ends[..cells].to_vec();
            let text = String::from_utf8(self.text[..length].to_vec());
            text.map(|text| Cells { text, ends }).map_err(|_| Flaw::NotUtf8)
        };
        Row { line, cells }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use proptest::{prelude::*, sample::Index};

    use super::*;

    fn cut(chunks: &[&[u8]], limit: usize) -> Vec<Row> {
        let mut rows = Rows::new(b',', limit);
        let mut found = Vec::new();
        for chunk in chunks {
            rows.feed(Bytes::copy_from_slice(chunk));
            found.extend(std::iter::from_fn(|| rows.next_row()));
        }
        found.extend(std::iter::from_fn(|| rows.finish()));
        found
    }

    fn shown(file: &str) -> Vec<(u64, Vec<String>)> {
        let cells = |row: Row| {
            let cells = row.cells.unwrap();
            (row.line, cells.all().into_iter().map(str::to_owned).collect())
        };
        cut(&[file.as_bytes()], 1_000).into_iter().map(cells).collect()
    }

    fn row(line: u64, cells: &[&str]) -> (u64, Vec<String>) {
        (line, cells.iter().map(|cell| (*cell).to_owned()).collect())
    }

    /// The rules of RFC 4180, section 2, with its own examples.
    #[test]
    fn rows_are_as_rfc_4180_says() {
        assert_eq!(
            shown("aaa,bbb,ccc\r\nzzz,yyy,xxx"),
            [row(1, &["aaa", "bbb", "ccc"]), row(2, &["zzz", "yyy", "xxx"])]
        );
        assert_eq!(
            shown("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx\r\n"),
            [row(1, &["aaa", "b\r\nbb", "ccc"]), row(3, &["zzz", "yyy", "xxx"])]
        );
        assert_eq!(shown("\"aaa\",\"b\"\"bb\",\"ccc\""), [row(1, &["aaa", "b\"bb", "ccc"])]);
        assert_eq!(shown("a,,\r\n , b,\n"), [row(1, &["a", "", ""]), row(2, &[" ", " b", ""])]);
    }

    #[test]
    fn blank_lines_are_skipped_and_counted_and_a_mark_is_no_part_of_the_header() {
        assert_eq!(shown("\u{feff}\r\n\na,b\n\n\nc,d"), [row(3, &["a", "b"]), row(6, &["c", "d"])]);
        assert_eq!(shown("\u{feff}"), []);
        assert_eq!(shown("é"), [row(1, &["é"])]);
    }

    #[test]
    fn a_line_ends_by_cr_by_lf_or_by_both() {
        let rows =
            [row(1, &["a", "b"]), row(2, &["c", "d"]), row(5, &["e\rf", "g"]), row(7, &["h", "i"])];
        for end in ["\r", "\n", "\r\n"] {
            let file = format!("a,b{end}c,d{end}{end}{end}\"e\rf\",g{end}h,i{end}");
            assert_eq!(shown(&file), rows, "{end:?}");
        }
    }

    #[test]
    fn what_cannot_be_read_is_one_row_and_the_file_goes_on() {
        let long = format!("a,b\n{},x\nc,d\n", "y".repeat(2_000));
        let lines: Vec<_> = cut(&[long.as_bytes()], 1_500)
            .into_iter()
            .map(|row| (row.line, row.cells.err()))
            .collect();
        assert_eq!(lines, [(1, None), (2, Some(Flaw::TooLong)), (3, None)]);
        let wide = format!("{}\nc,d\n", ",".repeat(5_000));
        assert_eq!(cut(&[wide.as_bytes()], 10_000)[0].cells, Err(Flaw::TooLong));
        assert_eq!(cut(&[b"a,\xff\nb,c\n"], 100)[0].cells, Err(Flaw::NotUtf8));
        assert_eq!(cut(&[b"a,\"b\nc,d\n"], 100)[0].cells, Err(Flaw::Unclosed));
    }

    proptest! {
        #[test]
        fn where_the_chunks_are_cut_changes_nothing(
            bytes in proptest::collection::vec(prop_oneof![
                Just(b'\n'), Just(b'\r'), Just(b','), Just(b'"'), Just(0xef), Just(0xbb), Just(0xbf),
                any::<u8>()
            ], 0..200),
            cuts in proptest::collection::vec(any::<Index>(), 0..8),
        ) {
            let mut at: Vec<usize> = cuts.iter().map(|cut| cut.index(bytes.len() + 1)).collect();
            at.sort_unstable();
            let mut chunks = Vec::new();
            let mut from = 0;
            for to in at.into_iter().chain([bytes.len()]) {
                chunks.push(&bytes[from..to]);
                from = to;
            }
            prop_assert_eq!(cut(&chunks, 1_024), cut(&[&bytes], 1_024));
        }
    }
}
