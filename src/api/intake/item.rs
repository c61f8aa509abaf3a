//! One item of a body of many.

use bytes::Bytes;

use crate::{
    api::{errors, limits::Limits, lines::Line, progress::Refusal},
    shot::{Rejection, parse_envelope},
    store::NewShot,
};

/// An item that was read: a shot, or the refusal of what is none.
pub(super) struct Item {
    /// Where it stood, counted from 1.
    pub(super) line: u64,
    /// What it is.
    pub(super) read: Result<NewShot, Refusal>,
}

/// How the text of an item is read.
pub(in crate::api) type Reader = fn(Bytes) -> Result<NewShot, Rejection>;

/// Reads an event in an envelope; what is stored is the plain event that says the same.
pub(in crate::api) fn enveloped(text: Bytes) -> Result<NewShot, Rejection> {
    let (event, plain) = parse_envelope(&text)?;
    Ok(NewShot::new(event, plain.into()))
}

impl Item {
    /// What was made of the text on a line.
    pub(super) fn new(line: u64, read: Result<NewShot, Rejection>) -> Self {
        Self { line, read: read.map_err(|rejection| errors::refusal(line, rejection)) }
    }

    /// A plain event on a line of a stream.
    pub(super) fn of_line(line: Line, limits: &Limits) -> Self {
        match line {
            Line::Text { number, text } => Self::new(number, NewShot::parse(text)),
            Line::TooLong { number } => {
                Self { line: number, read: Err(errors::too_long(number, limits)) }
            }
        }
    }
}
