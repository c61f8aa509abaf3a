//! What goes wrong in the rooms below, as problems: one exhaustive match a room.

use std::fmt::Display;

use super::{
    limits::Limits,
    problem::{Fault, Kind, Problem},
    progress::Refusal,
    rows::Flaw,
};
use crate::{
    live,
    shot::{self, Rejection, RejectionKind, ShotId, SourceId},
    store::{ActError, ImportError, ReadError, TableError, WriteError},
};

impl From<shot::Fault> for Fault {
    fn from(fault: shot::Fault) -> Self {
        Self { pointer: fault.pointer, detail: fault.detail, parameter: None }
    }
}

impl From<&live::Missing> for Fault {
    fn from(missing: &live::Missing) -> Self {
        let live::Missing { pointer, detail } = missing.clone();
        Self { pointer, detail, parameter: None }
    }
}

/// A text that is not taken.
pub(super) fn of_rejection(rejection: Rejection) -> Problem {
    match rejection.kind {
        RejectionKind::NotJson { detail } => Problem::new(Kind::NotJson, detail),
        RejectionKind::Invalid(faults) => {
            Problem::invalid(faults.into_iter().map(Fault::from).collect())
        }
    }
}

/// An item of a batch that is not taken.
pub(super) fn refusal(line: u64, rejection: Rejection) -> Refusal {
    let (kind, errors) = match rejection.kind {
        RejectionKind::NotJson { detail } => (Kind::NotJson, vec![whole(detail)]),
        RejectionKind::Invalid(faults) => {
            (Kind::Invalid, faults.into_iter().map(Fault::from).collect())
        }
    };
    let status = kind.status().as_u16();
    Refusal { line, source: rejection.source, id: rejection.id, status, errors }
}

/// A line over the limit.
pub(super) fn too_long(line: u64, limits: &Limits) -> Refusal {
    let detail = format!("the line is over {} bytes", limits.line_bytes);
    let status = Kind::BodyTooLarge.status().as_u16();
    Refusal { line, source: None, id: None, status, errors: vec![whole(detail)] }
}

/// A row of a table that cannot be read.
pub(super) fn of_row(line: u64, flaw: Flaw, limits: &Limits) -> Refusal {
    let (kind, detail) = match flaw {
        Flaw::TooLong => {
            let most = limits.line_bytes;
            let mend = "if it is short, a quote before it is not closed";
            (
                Kind::BodyTooLarge,
                format!("the row is over {most} bytes, or has too many cells; {mend}"),
            )
        }
        Flaw::NotUtf8 => (Kind::NotJson, "the row is not UTF-8: save the file in UTF-8".to_owned()),
        Flaw::Unclosed => {
            (Kind::Invalid, "the file ends within a quoted cell: close the quote".to_owned())
        }
    };
    let status = kind.status().as_u16();
    Refusal { line, source: None, id: None, status, errors: vec![whole(detail)] }
}

const CONFLICT: &str = "a shot of this source and id is stored with other content: send the \
                        new one under another id, and set the stored one aside if it is wrong";

/// A shot whose identity is taken by other content.
pub(super) fn conflict() -> Problem {
    Problem::new(Kind::Conflict, CONFLICT).with_errors(vec![whole(CONFLICT)])
}

/// The same for an item of a batch.
pub(super) fn conflict_refusal(line: u64, source: &SourceId, id: &ShotId) -> Refusal {
    Refusal {
        line,
        source: Some(source.to_string()),
        id: Some(id.to_string()),
        status: Kind::Conflict.status().as_u16(),
        errors: vec![whole(CONFLICT)],
    }
}

fn whole(detail: impl Into<String>) -> Fault {
    Fault { pointer: String::new(), detail: detail.into(), parameter: None }
}

/// A write that did not happen. The log has the cause; the client is told when to try again.
pub(super) fn of_write(error: WriteError, limits: &Limits) -> Problem {
    match error {
        WriteError::Unavailable { .. } | WriteError::Full { .. } => unavailable(&error, limits),
        WriteError::Unreadable(cause) => of_stored(&cause),
        WriteError::TooLarge { .. } => Problem::new(Kind::BodyTooLarge, error.to_string()),
    }
}

/// An archive that was not taken.
pub(super) fn of_import(error: ImportError, limits: &Limits) -> Problem {
    match error {
        ImportError::NotEmpty | ImportError::UnderWay => {
            Problem::new(Kind::Conflict, error.to_string())
        }
        ImportError::Line { .. } => Problem::invalid(vec![whole(error.to_string())]),
        ImportError::Unfinished(_) => Problem::new(
            Kind::Unavailable,
            "the export was received whole, and a part of it is stored: mend what `/readyz` names, \
             then restart the service; it stores the rest by itself",
        )
        .with_cause(error.to_string()),
        ImportError::Write(error) => of_write(error, limits),
    }
}

fn unavailable(cause: &dyn Display, limits: &Limits) -> Problem {
    Problem::new(Kind::Unavailable, "nothing was stored; `/readyz` says why")
        .with_retry_after(limits.retry_after)
        .with_cause(cause.to_string())
}

/// An act that did not happen.
pub(super) fn of_act(error: ActError<live::Refusal>, limits: &Limits) -> Problem {
    match error {
        ActError::Write(error) => of_write(error, limits),
        ActError::Refused(live::Refusal::Unreadable(cause)) => unavailable(&cause, limits),
        ActError::Refused(refusal) => of_refusal(&refusal),
    }
}

/// What the fold says no to. Names of players, clubs and the like came in the path.
pub(super) fn of_refusal(refusal: &live::Refusal) -> Problem {
    use live::Refusal as R;
    let sentence = refusal.to_string();
    match refusal {
        // It was found by its identity: since then it was erased.
        R::UnknownShot(_) | R::UnknownHash | R::ErasedPlayer => Problem::new(Kind::Gone, sentence),
        R::UnknownPlayer(_)
        | R::UnknownClub(_)
        | R::UnknownBag(_)
        | R::UnknownBall(_)
        | R::UnknownSource(_)
        | R::UnknownCsvMapping(_)
        | R::UnknownTrial(_) => Problem::new(Kind::NotFound, sentence),
        R::PlayerHasShots { .. }
        | R::HasShots { .. }
        | R::HasSent { .. }
        | R::InBags { .. }
        | R::InTrials { .. }
        | R::TrialWornOut => Problem::new(Kind::Conflict, sentence),
        R::MissingInTrial(missing) => Problem::invalid(missing.iter().map(Fault::from).collect()),
        R::Unmet(_) => Problem::new(Kind::PreconditionFailed, sentence),
        R::UnknownClubInBag { index, .. } => invalid_at(format!("/clubs/{index}"), sentence),
        R::NamesErasedPlayer { member } => invalid_at(format!("/{member}"), sentence),
        R::TooMany => invalid_at(String::from("/filter"), sentence),
        R::Unreadable(_) => unreadable(&sentence),
    }
}

fn invalid_at(pointer: String, detail: String) -> Problem {
    Problem::invalid(vec![Fault { pointer, detail, parameter: None }])
}

/// Something stored that cannot be read back.
pub(super) fn of_stored(error: &ReadError) -> Problem {
    unreadable(error)
}

/// The table behind the journal failed.
pub(super) fn of_table(error: &TableError) -> Problem {
    unreadable(error)
}

/// State that cannot be read.
pub(super) fn of_state(error: &live::LiveError) -> Problem {
    unreadable(error)
}

fn unreadable(cause: &dyn Display) -> Problem {
    Problem::new(Kind::Internal, "what is stored cannot be read; the log says where")
        .with_cause(cause.to_string())
}

/// A question about what the path names that cannot be answered.
pub(super) fn of_question(error: &live::ReadError) -> Problem {
    use live::ReadError as R;
    match error {
        R::State(error) => of_state(error),
        R::ErasedPlayer(_) => Problem::new(Kind::Gone, error.to_string()),
        R::UnknownPlayer(_)
        | R::UnknownClub(_)
        | R::UnknownBag(_)
        | R::UnknownBall(_)
        | R::UnknownSource(_)
        | R::UnknownCsvMapping(_)
        | R::UnknownTrial(_) => Problem::new(Kind::NotFound, error.to_string()),
    }
}
