//! Successful answers.

use actix_web::{
    HttpResponse,
    http::{StatusCode, header},
};
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
pub(super) fn json_text(status: StatusCode, text: Vec<u8>) -> HttpResponse {
    HttpResponse::build(status).insert_header((header::CONTENT_TYPE, "application/json")).body(text)
}

/// 200 with a JSON body.
pub(super) fn ok<T: Serialize>(body: &T) -> HttpResponse {
    json(StatusCode::OK, body)
}
