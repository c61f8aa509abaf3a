//! A page on its way out: written shot by shot into pieces of bounded size, each only when the
//! client has taken the one before. So no page is ever in memory as a whole, and a slow client holds
//! no thread.

use std::vec;

use actix_web::web;
use bytes::Bytes;
use futures_util::{Stream, stream};
use thiserror::Error;

use super::table::Table;
use crate::{
    api::{
        items,
        problem::Problem,
        service::{Service, ask},
    },
    live::ShotView,
    shot::Sequence,
};

/// A piece is sent when it has so many bytes: a few round trips of a fast network.
const PIECE_BYTES: usize = 64 * 1024;

/// The form of a page.
pub(super) enum Form {
    /// One JSON object.
    Object {
        /// The cursor of the next page.
        next: Option<String>,
        /// The last sequence that touched what the page is about.
        as_of: Sequence,
    },
    /// One JSON object a line.
    Lines,
    /// CSV.
    Table(Table),
}

impl Form {
    fn begin(&self, into: &mut Vec<u8>) {
        match self {
            Self::Object { .. } => into.extend_from_slice(b"{\"items\":["),
            Self::Lines => {}
            Self::Table(table) => table.write_header(into),
        }
    }

    fn end(&self, into: &mut Vec<u8>) {
        let Self::Object { next, as_of } = self else { return };
        into.push(b']');
        if let Some(next) = next {
            into.extend_from_slice(format!(",\"next\":\"{next}\"").as_bytes());
        }
        into.extend_from_slice(format!(",\"as_of\":{as_of}}}").as_bytes());
    }
}

/// A page that is being written.
pub(super) struct Outgoing {
    service: web::Data<Service>,
    shots: vec::IntoIter<ShotView>,
    form: Form,
    /// Shots written so far; none before the first piece.
    written: Option<usize>,
    /// Whether the last piece is written.
    pub(super) ended: bool,
}

/// An answer that could not be written to its end: the connection is cut, so that the client sees.
#[derive(Debug, Error)]
#[error("an answer broke off: {0}")]
pub(super) struct BrokenOff(String);

impl Outgoing {
    pub(super) fn new(service: web::Data<Service>, shots: Vec<ShotView>, form: Form) -> Self {
        Self { service, shots: shots.into_iter(), form, written: None, ended: false }
    }

    /// The next piece.
    pub(super) fn piece(&mut self) -> Result<Bytes, Problem> {
        let mut text = Vec::new();
        if self.written.is_none() {
            self.form.begin(&mut text);
        }
        let mut written = self.written.unwrap_or_default();
        while text.len() < PIECE_BYTES {
            let Some(view) = self.shots.next() else {
                self.form.end(&mut text);
                self.ended = true;
                break;
            };
            // One that is gone by now is left out, as it would have been a moment later.
            let Some(stored) = items::load(&self.service, view.sequence)? else { continue };
            match &self.form {
                Form::Object { .. } => {
                    if written > 0 {
                        text.push(b',');
                    }
                    stored.write(&view, &mut text)?;
                }
                Form::Lines => {
                    let from = text.len();
                    stored.write(&view, &mut text)?;
                    items::onto_one_line(&mut text[from..]);
                    text.push(b'\n');
                }
                Form::Table(table) => table.write_shot(&view, &stored.event, &mut text),
            }
            written += 1;
        }
        self.written = Some(written);
        Ok(text.into())
    }

    /// The pieces that are left.
    pub(super) fn rest(self) -> impl Stream<Item = Result<Bytes, BrokenOff>> {
        stream::try_unfold(self, |mut outgoing| async move {
            if outgoing.ended {
                return Ok(None);
            }
            if outgoing.service.is_ending() {
                return Err(BrokenOff(String::from("the service stops")));
            }
            let next = ask(move || Ok((outgoing.piece()?, outgoing))).await;
            next.map(Some).map_err(|problem| {
                tracing::error!(%problem, "an answer broke off; its client sees it incomplete");
                BrokenOff(problem.to_string())
            })
        })
    }
}
