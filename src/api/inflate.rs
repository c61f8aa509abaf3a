//! Inflates bodies that come compressed, a bounded piece at a time: gzip (RFC 1952, of one member
//! or several) and zstd (RFC 8878, of one frame or several).
//!
//! What came is fed in; pieces of what it says come out. Neither a long body nor one that is made
//! to swell takes more memory than a piece and the decoder's window.

use std::io::{self, BufRead, ErrorKind, Read};

use bytes::{Buf, Bytes};
use flate2::bufread::MultiGzDecoder;
use zstd::{stream::read::Decoder as ZstdDecoder, zstd_safe};

use super::problem::{Kind, Problem};

/// Bytes inflated in one step.
const PIECE: usize = 64 * 1024;
/// Bytes that any body may inflate to, however few came: short texts that repeat themselves swell
/// more than long ones. Our decision: one line of a stream.
const FLOOR: u64 = 64 * 1024;
/// The greatest window of a zstd frame as a power of two: 8 MiB. Source: RFC 9659, section 3.
const ZSTD_WINDOW_LOG: u32 = 23;
/// The number of zstd's error for a greater window. Source: `zstd_errors.h`,
/// `ZSTD_error_frameParameter_windowTooLarge`.
const ZSTD_WINDOW_TOO_LARGE: usize = 16;

/// How a body is compressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Coding {
    /// `gzip`
    Gzip,
    /// `zstd`
    Zstd,
}

impl Coding {
    /// All of them, as an `Accept-Encoding` header has them (RFC 9110, 12.5.3).
    pub(super) const TAKEN: &'static str = "gzip, zstd";

    /// The coding of a name; `x-gzip` is another name for gzip (RFC 9110, 8.4.1.3).
    pub(super) fn of(name: &str) -> Option<Self> {
        let is = |known: &str| name.eq_ignore_ascii_case(known);
        if is("gzip") || is("x-gzip") { Some(Self::Gzip) } else { is("zstd").then_some(Self::Zstd) }
    }

    const fn name(self) -> &'static str {
        match self {
            Self::Gzip => "gzip",
            Self::Zstd => "zstd",
        }
    }
}

/// What a step came to.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Step {
    /// A piece of the body.
    Piece(Bytes),
    /// More must come first.
    Hungry,
    /// The body is whole.
    Whole,
}

/// A body that is being inflated.
pub(super) struct Inflate {
    coding: Coding,
    decoder: Decoder,
    factor: u64,
    came: u64,
    gave: u64,
    piece: Vec<u8>,
}

enum Decoder {
    Gzip(Box<MultiGzDecoder<Feed>>),
    Zstd(Box<ZstdDecoder<'static, Feed>>),
}

impl Inflate {
    /// A body of which nothing has come; it may inflate to `factor` times what came.
    pub(super) fn new(coding: Coding, factor: usize) -> Result<Self, Problem> {
        let decoder = match coding {
            Coding::Gzip => Decoder::Gzip(Box::new(MultiGzDecoder::new(Feed::default()))),
            Coding::Zstd => Decoder::Zstd(Box::new(zstd_decoder().map_err(|error| {
                tracing::error!(%error, "zstd cannot be set up");
                Problem::new(Kind::Internal, "zstd cannot be inflated: send the body uncompressed")
            })?)),
        };
        let factor = u64::try_from(factor).unwrap_or(u64::MAX);
        Ok(Self { coding, decoder, factor, came: 0, gave: 0, piece: vec![0; PIECE] })
    }

    /// Feeds the next bytes; what was fed before has been inflated.
    pub(super) fn feed(&mut self, chunk: Bytes) {
        self.came += chunk.len() as u64;
        self.decoder.feed().chunk = chunk;
    }

    /// Says that nothing more comes.
    pub(super) fn end(&mut self) {
        self.decoder.feed().ended = true;
    }

    /// Inflates the next piece.
    pub(super) fn step(&mut self) -> Result<Step, Problem> {
        match self.decoder.read(&mut self.piece) {
            Ok(0) => Ok(Step::Whole),
            Ok(read) => {
                self.gave += read as u64;
                if self.gave > self.factor.saturating_mul(self.came).saturating_add(FLOOR) {
                    return Err(self.swollen());
                }
                Ok(Step::Piece(Bytes::copy_from_slice(&self.piece[..read])))
            }
            Err(error) if error.kind() == ErrorKind::WouldBlock => Ok(Step::Hungry),
            Err(error) => Err(self.broken(&error)),
        }
    }

    fn swollen(&self) -> Problem {
        let Self { factor, .. } = self;
        let detail = format!("a compressed body inflates to at most {factor} times its size");
        Problem::new(Kind::BodyTooLarge, detail)
    }

    fn broken(&self, error: &io::Error) -> Problem {
        let name = self.coding.name();
        if error.to_string() == zstd_safe::get_error_name(ZSTD_WINDOW_TOO_LARGE.wrapping_neg()) {
            let detail = "the window of a zstd body is at most 8 MiB (RFC 9659): compress at level \
                          19 or below, and without a long window";
            return Problem::new(Kind::BodyTooLarge, detail);
        }
        let detail = if error.kind() == ErrorKind::UnexpectedEof {
            format!("the {name} of the body ends before it is whole")
        } else {
            format!("the {name} of the body is damaged")
        };
        Problem::new(Kind::BrokenBody, detail)
    }
}

fn zstd_decoder() -> io::Result<ZstdDecoder<'static, Feed>> {
    let mut decoder = ZstdDecoder::with_buffer(Feed::default())?;
    decoder.window_log_max(ZSTD_WINDOW_LOG)?;
    Ok(decoder)
}

impl Decoder {
    fn feed(&mut self) -> &mut Feed {
        match self {
            Self::Gzip(decoder) => decoder.get_mut(),
            Self::Zstd(decoder) => decoder.get_mut(),
        }
    }

    fn read(&mut self, piece: &mut [u8]) -> io::Result<usize> {
        match self {
            Self::Gzip(decoder) => decoder.read(piece),
            Self::Zstd(decoder) => decoder.read(piece),
        }
    }
}

/// The bytes that are here; past them a decoder has to wait, or is at the end.
#[derive(Default)]
struct Feed {
    chunk: Bytes,
    ended: bool,
}

impl BufRead for Feed {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.chunk.is_empty() && !self.ended {
            return Err(ErrorKind::WouldBlock.into());
        }
        Ok(&self.chunk)
    }

    fn consume(&mut self, read: usize) {
        self.chunk.advance(read);
    }
}

impl Read for Feed {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let read = self.fill_buf()?.read(into)?;
        self.consume(read);
        Ok(read)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::io::Write;

    use flate2::{Compression, write::GzEncoder};
    use proptest::{prelude::*, sample::Index};

    use super::*;

    fn gzip(text: &[u8]) -> Vec<u8> {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
        encoder.write_all(text).unwrap();
        encoder.finish().unwrap()
    }

    fn packed(coding: Coding, text: &[u8]) -> Vec<u8> {
        match coding {
            Coding::Gzip => gzip(text),
            Coding::Zstd => zstd::encode_all(text, 3).unwrap(),
        }
    }

    /// What chunks inflate to, and what went wrong after it.
    fn inflate(coding: Coding, chunks: &[&[u8]]) -> (Vec<u8>, Option<Kind>) {
        let mut inflate = Inflate::new(coding, 100).unwrap();
        let mut chunks = chunks.iter();
        let mut text = Vec::new();
        loop {
            match inflate.step() {
                Ok(Step::Piece(piece)) => text.extend_from_slice(&piece),
                Ok(Step::Whole) => return (text, None),
                Ok(Step::Hungry) => match chunks.next() {
                    Some(chunk) => inflate.feed(Bytes::copy_from_slice(chunk)),
                    None => inflate.end(),
                },
                Err(problem) => return (text, Some(problem.kind())),
            }
        }
    }

    const BOTH: [Coding; 2] = [Coding::Gzip, Coding::Zstd];

    #[test]
    fn members_and_frames_behind_one_another_are_one_body() {
        for coding in BOTH {
            let body = [packed(coding, b"one "), packed(coding, b""), packed(coding, b"two")];
            assert_eq!(inflate(coding, &[&body.concat()]), (b"one two".to_vec(), None));
        }
    }

    #[test]
    fn what_is_cut_damaged_or_followed_by_something_else_is_broken() {
        for coding in BOTH {
            let body = packed(coding, b"a shot, and another shot");
            for end in 0..body.len() {
                let (_, fault) = inflate(coding, &[&body[..end]]);
                assert_eq!(fault, Some(Kind::BrokenBody), "{coding:?} cut at {end}");
            }
            let followed = [&body[..], b"and more"].concat();
            let (text, fault) = inflate(coding, &[&followed]);
            assert_eq!(text, b"a shot, and another shot");
            assert_eq!(fault, Some(Kind::BrokenBody));
            assert_eq!(inflate(coding, &[b"{\"id\":1}"]).1, Some(Kind::BrokenBody));
        }
        let mut forged = gzip(b"a shot, and another shot");
        let crc = forged.len() - 8;
        forged[crc] ^= 1;
        assert_eq!(inflate(Coding::Gzip, &[&forged]).1, Some(Kind::BrokenBody));
    }

    #[test]
    fn what_swells_too_much_is_stopped_early() {
        for coding in BOTH {
            let body = packed(coding, &vec![b' '; 64 * 1024 * 1024]);
            let (text, fault) = inflate(coding, &[&body]);
            assert_eq!(fault, Some(Kind::BodyTooLarge));
            assert!(text.len() <= 100 * body.len() + 64 * 1024, "{} bytes got out", text.len());
        }
    }

    #[test]
    fn a_short_body_may_swell_to_the_floor() {
        for coding in BOTH {
            assert_eq!(inflate(coding, &[&packed(coding, &vec![b' '; 64 * 1024])]).1, None);
        }
    }

    #[test]
    fn a_window_beyond_that_of_the_standard_is_too_large() {
        let mut encoder = zstd::Encoder::new(Vec::new(), 3).unwrap();
        encoder.window_log(27).unwrap();
        encoder.write_all(b"a shot").unwrap();
        let body = encoder.finish().unwrap();
        assert_eq!(inflate(Coding::Zstd, &[&body]), (Vec::new(), Some(Kind::BodyTooLarge)));
    }

    proptest! {
        #[test]
        fn where_the_chunks_are_cut_changes_nothing(
            text in proptest::collection::vec(0..16_u8, 0..3_000),
            cuts in proptest::collection::vec(any::<Index>(), 0..8),
            kept in any::<Index>(),
            gzipped in any::<bool>(),
        ) {
            let coding = if gzipped { Coding::Gzip } else { Coding::Zstd };
            let body = packed(coding, &text);
            let body = &body[..=kept.index(body.len())];
            let mut at: Vec<usize> = cuts.iter().map(|cut| cut.index(body.len() + 1)).collect();
            at.sort_unstable();
            let starts = [0].into_iter().chain(at.iter().copied());
            let ends = at.iter().copied().chain([body.len()]);
            let chunks: Vec<&[u8]> = starts.zip(ends).map(|(from, to)| &body[from..to]).collect();
            let whole = inflate(coding, &[body]);
            prop_assert_eq!(&inflate(coding, &chunks).1, &whole.1);
            if whole.1.is_none() {
                prop_assert_eq!(&whole.0, &text);
                prop_assert_eq!(inflate(coding, &chunks), whole);
            }
        }
    }
}
