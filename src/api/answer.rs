//! Successful answers.

use actix_web::{
    HttpResponse,
    http::{StatusCode, header},
};
use bytes::Bytes;
use serde::Serialize;

use super::problem::{Kind, Problem};
use actix_web::ResponseError;

/// A JSON answer.
pub(super) fn json<T: Serialize>(status: StatusCode, body: &T) -> HttpResponse {
    match serde_json::to_vec(body) {
        Ok(text) => json_text(status, text),
        Err(error) => unwritten(&error).error_response(),
    }
}

/// An answer that could not be written.
pub(super) fn unwritten(error: &serde_json::Error) -> Problem {
    tracing::error!(%error, "an answer could not be written as JSON");
    Problem::new(Kind::Internal, "the answer could not be written")
}

/// A JSON answer that is text already.
pub(super) fn json_text(status: StatusCode, text: impl Into<Bytes>) -> HttpResponse {
    let media = (header::CONTENT_TYPE, "application/json");
    HttpResponse::build(status).insert_header(media).body(text.into())
}

/// 200 with a JSON body.
pub(super) fn ok<T: Serialize>(body: &T) -> HttpResponse {
    json(StatusCode::OK, body)
}
