//! The one shape of every refusal: RFC 9457 `application/problem+json`.

use std::{borrow::Cow, fmt, time::Duration};

use actix_web::{
    HttpResponse, ResponseError,
    http::{StatusCode, header},
};
use serde::Serialize;
use utoipa::openapi::{
    RefOr, Schema,
    schema::{ObjectBuilder, Type},
};

pub(super) use super::kind::Kind;
use super::progress::Progress;

/// One thing that is wrong, and its mend.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
#[schema(as = Fault)]
pub struct Fault {
    /// Where: an RFC 6901 pointer into the item, or "" for the whole and for a query's parameter.
    pub pointer: String,
    /// What is wrong and what would be right.
    pub detail: String,
    /// The query's parameter, when the fault lies there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub parameter: Option<String>,
}

impl Fault {
    /// A fault of the query's `parameter`.
    pub fn of_parameter(parameter: impl Into<String>, detail: impl Into<String>) -> Self {
        Self { pointer: String::new(), detail: detail.into(), parameter: Some(parameter.into()) }
    }

    /// In one text: where it lies, and what it is. A detail may leave its subject to the pointer.
    fn told(&self) -> String {
        let Self { pointer, detail, parameter } = self;
        match parameter {
            Some(name) if detail.contains(&format!("`{name}`")) => detail.clone(),
            Some(name) => format!("`{name}`: {detail}"),
            None if !pointer.is_empty() => format!("{pointer}: {detail}"),
            None if detail.starts_with("is ") || detail.starts_with("has ") => {
                format!("the body {detail}")
            }
            None => detail.clone(),
        }
    }
}

/// A refusal on its way to the client.
#[derive(Debug)]
pub struct Problem(Box<Inner>);

#[derive(Debug)]
struct Inner {
    kind: Kind,
    detail: Cow<'static, str>,
    errors: Vec<Fault>,
    progress: Option<Progress>,
    takes_writes: Option<bool>,
    allow: Option<String>,
    accept_encoding: Option<&'static str>,
    retry_after: Option<Duration>,
    cause: Option<String>,
}

/// A refusal (RFC 9457). Where a stream ended early it also says how far the stream came: of those
/// members there are all but the last two, or none.
#[derive(Serialize, utoipa::ToSchema)]
#[schema(as = Problem)]
pub(super) struct ProblemBody<'a> {
    /// The page that explains this kind of problem: a stable reference, relative to the service.
    #[schema(schema_with = pages)]
    r#type: String,
    /// The kind in words.
    title: &'static str,
    /// The HTTP status again.
    status: u16,
    /// What happened this time, and the mend.
    detail: &'a str,
    /// Every fault found, all at once.
    errors: &'a [Fault],
    /// How far a stream came that ended early.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    #[schema(ignore)]
    progress: Option<&'a Progress>,
    /// Of `/readyz` alone: whether shots and other writes are kept all the same; then it is only that nobody
    /// who follows is told of them.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    takes_writes: Option<bool>,
}

const PAGE: &str = "The page that explains this kind of problem: a stable reference, relative to the \
    service.";

/// The types that a problem may have.
fn pages() -> RefOr<Schema> {
    let pages = Kind::ALL.into_iter().map(Kind::page);
    let of_a_kind = ObjectBuilder::new().schema_type(Type::String).enum_values(Some(pages));
    RefOr::T(of_a_kind.description(Some(PAGE)).into())
}

impl Problem {
    /// A problem of `kind`; `detail` says what happened this time, and the mend.
    pub fn new(kind: Kind, detail: impl Into<Cow<'static, str>>) -> Self {
        Self(Box::new(Inner {
            kind,
            detail: detail.into(),
            errors: Vec::new(),
            progress: None,
            takes_writes: None,
            allow: None,
            accept_encoding: None,
            retry_after: None,
            cause: None,
        }))
    }

    /// The 422 that lists `errors`.
    #[must_use]
    pub fn invalid(errors: Vec<Fault>) -> Self {
        let detail = match errors.as_slice() {
            [only] => only.told(),
            many => format!("{} faults were found; each is listed in `errors`", many.len()),
        };
        Self::new(Kind::Invalid, detail).with_errors(errors)
    }

    /// The same problem with a list of faults.
    #[must_use]
    pub fn with_errors(mut self, errors: Vec<Fault>) -> Self {
        self.0.errors = errors;
        self
    }

    /// The same problem, saying how far a stream came.
    #[must_use]
    pub fn with_progress(mut self, progress: Progress) -> Self {
        self.0.progress = Some(progress);
        self
    }

    /// The same problem, saying whether writes are kept all the same.
    #[must_use]
    pub fn with_takes_writes(mut self, takes_writes: bool) -> Self {
        self.0.takes_writes = Some(takes_writes);
        self
    }

    /// The same problem with an `Allow` header.
    #[must_use]
    pub fn with_allow(mut self, methods: String) -> Self {
        self.0.allow = Some(methods);
        self
    }

    /// The same problem with an `Accept-Encoding` header, for a body in a coding that is not taken
    /// (RFC 9110, 12.5.3).
    #[must_use]
    pub fn with_accept_encoding(mut self, codings: &'static str) -> Self {
        self.0.accept_encoding = Some(codings);
        self
    }

    /// The same problem with a `Retry-After` header.
    #[must_use]
    pub fn with_retry_after(mut self, delay: Duration) -> Self {
        self.0.retry_after = Some(delay);
        self
    }

    /// The same problem with what the log shall say of it, and the client shall not know.
    #[must_use]
    pub fn with_cause(mut self, cause: impl Into<String>) -> Self {
        self.0.cause = Some(cause.into());
        self
    }

    /// What the log says of it.
    #[must_use]
    pub(super) fn cause(&self) -> Option<&str> {
        self.0.cause.as_deref()
    }

    /// What kind of problem this is.
    #[must_use]
    pub fn kind(&self) -> Kind {
        self.0.kind
    }

    /// What happened this time.
    #[must_use]
    pub fn detail(&self) -> &str {
        &self.0.detail
    }

    /// The faults found.
    #[must_use]
    pub fn errors(&self) -> &[Fault] {
        &self.0.errors
    }

    /// The faults found, for a list that holds them.
    #[must_use]
    pub fn into_errors(self) -> Vec<Fault> {
        self.0.errors
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.0.kind.facts().title, self.0.detail)
    }
}

impl std::error::Error for Problem {}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        self.0.kind.status()
    }

    fn error_response(&self) -> HttpResponse {
        let status = self.0.kind.status();
        let body = ProblemBody {
            r#type: self.0.kind.page(),
            title: self.0.kind.facts().title,
            status: status.as_u16(),
            detail: &self.0.detail,
            errors: &self.0.errors,
            progress: self.0.progress.as_ref(),
            takes_writes: self.0.takes_writes,
        };
        let mut answer = HttpResponse::build(status);
        answer.content_type("application/problem+json");
        if let Some(methods) = &self.0.allow {
            answer.insert_header((header::ALLOW, methods.as_str()));
        }
        if let Some(codings) = self.0.accept_encoding {
            answer.insert_header((header::ACCEPT_ENCODING, codings));
        }
        if let Some(delay) = self.0.retry_after {
            answer.insert_header((header::RETRY_AFTER, delay.as_secs()));
        }
        // A struct of strings and numbers always becomes JSON; an empty body would still say the
        // status.
        answer.body(serde_json::to_vec(&body).unwrap_or_default())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_single_fault_is_told_with_its_place() {
        let at = |pointer: &str, detail: &str| Fault {
            pointer: pointer.to_owned(),
            detail: detail.to_owned(),
            parameter: None,
        };
        for (fault, told) in [
            (at("/time", "is missing"), "/time: is missing"),
            (at("", "is a list: send an object"), "the body is a list: send an object"),
            (at("", "the row is too long"), "the row is too long"),
            (Fault::of_parameter("limit", "`limit` is `x`"), "`limit` is `x`"),
            (Fault::of_parameter("candidate", "no club `7x`"), "`candidate`: no club `7x`"),
        ] {
            assert_eq!(Problem::invalid(vec![fault]).detail(), told);
        }
    }
}
