//! What goes wrong in the rooms below, as problems: one exhaustive match a room.

use super::{
    limits::Limits,
    problem::{Fault, Kind, Problem},
    progress::Refusal,
};
use crate::{
    live,
    shot::{self, Rejection, RejectionKind, ShotId, SourceId},
    store::{ActError, ReadError, WriteError},
};

impl From<shot::Fault> for Fault {
    fn from(fault: shot::Fault) -> Self {
        Self { pointer: fault.pointer, detail: fault.detail, parameter: None }
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
        WriteError::Unavailable { .. } | WriteError::Full { .. } => {
            tracing::error!(%error, "a write was refused");
            Problem::new(Kind::Unavailable, "nothing was stored; `/readyz` says why")
                .with_retry_after(limits.retry_after)
        }
        WriteError::Unreadable(cause) => of_stored(&cause),
        WriteError::TooLarge { .. } => Problem::new(Kind::BodyTooLarge, error.to_string()),
    }
}

/// An act that did not happen.
pub(super) fn of_act(error: ActError<live::Refusal>, limits: &Limits) -> Problem {
    match error {
        ActError::Write(error) => of_write(error, limits),
        ActError::Refused(refusal) => of_refusal(&refusal),
    }
}

fn of_refusal(refusal: &live::Refusal) -> Problem {
    let sentence = refusal.to_string();
    match refusal {
        live::Refusal::UnknownShot | live::Refusal::Unknown(..) => {
            Problem::new(Kind::NotFound, sentence)
        }
        live::Refusal::HasShots { .. } => Problem::new(Kind::Conflict, sentence),
        live::Refusal::UnknownClubInBag { index } => Problem::invalid(vec![Fault {
            pointer: format!("/clubs/{index}"),
            detail: sentence,
            parameter: None,
        }]),
    }
}

/// Something stored that cannot be read back.
pub(super) fn of_stored(error: &ReadError) -> Problem {
    tracing::error!(%error, "what is stored cannot be read");
    Problem::new(Kind::Internal, "what is stored cannot be read; the log says where")
}

/// A question that cannot be answered, when all its names are in the path.
pub(super) fn of_question(error: live::ReadError) -> Problem {
    let sentence = error.to_string();
    match error {
        live::ReadError::UnknownPlayer(_)
        | live::ReadError::UnknownClub(_)
        | live::ReadError::UnknownBag
        | live::ReadError::UnknownBall
        | live::ReadError::UnknownSource => Problem::new(Kind::NotFound, sentence),
        live::ReadError::Store(error) => of_stored(&error),
    }
}

/// A question one of whose names came in the query, as `parameter`.
pub(super) fn of_parameter(error: live::ReadError, parameter: &str) -> Problem {
    match error {
        live::ReadError::UnknownPlayer(_) | live::ReadError::Store(_) => of_question(error),
        unknown => Problem::invalid(vec![Fault::of_parameter(parameter, unknown.to_string())]),
    }
}
