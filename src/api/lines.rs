//! Cuts a stream of bytes into NDJSON lines, in memory bounded by one line and one chunk.

use bytes::{Bytes, BytesMut};

/// One line of the stream. `number` counts from 1 and counts blank lines too.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Line {
    /// A line with something on it, without its end.
    Text {
        /// Which line of the stream.
        number: u64,
        /// The line: a slice of the chunk it came in, or a copy if it came in several.
        text: Bytes,
    },
    /// A line over the limit; its bytes are let go.
    TooLong {
        /// Which line of the stream.
        number: u64,
    },
}

/// The splitter. Feed it a chunk, take lines until there are none, feed the next.
#[derive(Debug)]
pub(super) struct Lines {
    limit: usize,
    number: u64,
    chunk: Bytes,
    carried: BytesMut,
    letting_go: bool,
}

impl Lines {
    /// A splitter for lines of at most `limit` bytes.
    #[must_use]
    pub(super) fn new(limit: usize) -> Self {
        Self { limit, number: 0, chunk: Bytes::new(), carried: BytesMut::new(), letting_go: false }
    }

    /// Gives the next bytes of the stream; all earlier lines have been taken.
    pub(super) fn feed(&mut self, chunk: Bytes) {
        debug_assert!(self.chunk.is_empty(), "lines of the last chunk were left");
        self.chunk = chunk;
    }

    /// The next whole line with something on it.
    pub(super) fn next_line(&mut self) -> Option<Line> {
        while !self.chunk.is_empty() {
            let Some(end) = memchr::memchr(b'\n', &self.chunk) else {
                let rest = std::mem::take(&mut self.chunk);
                self.carry(&rest);
                return None;
            };
            let head = self.chunk.split_to(end + 1).slice(..end);
            if let Some(line) = self.end_line(head) {
                return Some(line);
            }
        }
        None
    }

    /// The last line, if the stream ended properly without a line end. A stream that was cut off has
    /// no last line: what is left of it is not whole.
    pub(super) fn finish(&mut self) -> Option<Line> {
        let unended = self.letting_go || !self.carried.is_empty();
        if unended { self.end_line(Bytes::new()) } else { None }
    }

    fn carry(&mut self, part: &[u8]) {
        if self.letting_go {
            return;
        }
        if self.carried.len() + part.len() > self.limit + 1 {
            // One more than the limit may be the `\r` of a line end.
            self.carried.clear();
            self.letting_go = true;
        } else {
            self.carried.extend_from_slice(part);
        }
    }

    fn end_line(&mut self, head: Bytes) -> Option<Line> {
        self.number += 1;
        let number = self.number;
        let text = if self.letting_go || self.carried.is_empty() {
            head
        } else {
            self.carry(&head);
            self.carried.split().freeze()
        };
        if std::mem::take(&mut self.letting_go) {
            return Some(Line::TooLong { number });
        }
        let text = without_carriage_return(text);
        if text.len() > self.limit {
            Some(Line::TooLong { number })
        } else if text.iter().all(u8::is_ascii_whitespace) {
            None
        } else {
            Some(Line::Text { number, text })
        }
    }
}

fn without_carriage_return(mut text: Bytes) -> Bytes {
    if text.last() == Some(&b'\r') {
        text.truncate(text.len() - 1);
    }
    text
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use proptest::prelude::*;

    use super::*;

    fn split(chunks: &[&[u8]], limit: usize) -> Vec<Line> {
        let mut lines = Lines::new(limit);
        let mut found = Vec::new();
        for chunk in chunks {
            lines.feed(Bytes::copy_from_slice(chunk));
            found.extend(std::iter::from_fn(|| lines.next_line()));
        }
        found.extend(lines.finish());
        found
    }

    fn text(number: u64, text: &str) -> Line {
        Line::Text { number, text: Bytes::copy_from_slice(text.as_bytes()) }
    }

    #[test]
    fn blank_lines_are_skipped_and_counted() {
        let found = split(&[b"one\n\n \t\r\nfour\r\nfive"], 10);
        assert_eq!(found, [text(1, "one"), text(4, "four"), text(5, "five")]);
    }

    #[test]
    fn a_line_over_the_limit_is_one_refusal_and_the_stream_goes_on() {
        let found = split(&[b"123456789\n12345", b"67890", b"1\nok\n"], 9);
        assert_eq!(found, [text(1, "123456789"), Line::TooLong { number: 2 }, text(3, "ok")]);
    }

    #[test]
    fn the_limit_counts_no_line_end() {
        assert_eq!(split(&[b"123", b"4\r", b"\n"], 4), [text(1, "1234")]);
        assert_eq!(split(&[b"1234\r\n"], 4), [text(1, "1234")]);
        assert_eq!(split(&[b"123", b"45", b"\n"], 4), [Line::TooLong { number: 1 }]);
    }

    #[test]
    fn an_over_long_last_line_is_refused_though_nothing_ends_it() {
        assert_eq!(split(&[b"12345", b"678"], 4), [Line::TooLong { number: 1 }]);
    }

    #[test]
    fn a_line_within_one_chunk_is_not_copied() {
        let chunk = Bytes::from_static(b"first\nsecond\n");
        let mut lines = Lines::new(64);
        lines.feed(chunk.clone());
        let Some(Line::Text { text, .. }) = lines.next_line() else { panic!("no line") };
        assert_eq!(text.as_ptr(), chunk.as_ptr());
    }

    proptest! {
        #[test]
        fn where_the_chunks_are_cut_changes_nothing(
            bytes in proptest::collection::vec(prop_oneof![Just(b'\n'), Just(b'\r'), Just(b' '), any::<u8>()], 0..200),
            cuts in proptest::collection::vec(any::<proptest::sample::Index>(), 0..8),
        ) {
            let mut at: Vec<usize> = cuts.iter().map(|cut| cut.index(bytes.len() + 1)).collect();
            at.sort_unstable();
            let mut chunks = Vec::new();
            let mut from = 0;
            for to in at.into_iter().chain([bytes.len()]) {
                chunks.push(&bytes[from..to]);
                from = to;
            }
            prop_assert_eq!(split(&chunks, 8), split(&[&bytes], 8));
        }
    }
}
