//! The one shape of every refusal: RFC 9457 `application/problem+json`.

use std::{borrow::Cow, fmt, time::Duration};

use actix_web::{
    HttpResponse, ResponseError,
    http::{StatusCode, header},
};
use serde::Serialize;

use super::progress::Progress;

/// The kinds of refusal. Each has a page of its own under `/docs/errors/`, whose address is the
/// problem's `type` and never changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The body's framing is broken, or it ended before it was whole.
    BrokenBody,
    /// `Host` is missing or names nobody we answer for.
    Misdirected,
    /// A page of another site sent this.
    CrossSite,
    /// Nothing is at this address.
    NotFound,
    /// It was here, and was erased or retired.
    Gone,
    /// The resource does not take this method.
    MethodNotAllowed,
    /// The resource cannot be given in any accepted form.
    NotAcceptable,
    /// The body is in no form that the resource takes.
    UnsupportedMediaType,
    /// The body is larger than the limit.
    BodyTooLarge,
    /// The head is larger than the limit.
    HeadTooLarge,
    /// The client fell silent in the middle of a body.
    Timeout,
    /// The body is not JSON that we can read.
    NotJson,
    /// The address or query is not UTF-8.
    NotUtf8,
    /// Understood, but invalid.
    Invalid,
    /// Against what is stored already.
    Conflict,
    /// Writes cannot be made durable now.
    Unavailable,
    /// Our own fault.
    Internal,
}

impl Kind {
    /// All kinds, as many as there are up to the last.
    pub(super) const ALL: [Self; Self::Internal as usize + 1] = [
        Self::BrokenBody,
        Self::Misdirected,
        Self::CrossSite,
        Self::NotFound,
        Self::Gone,
        Self::MethodNotAllowed,
        Self::NotAcceptable,
        Self::UnsupportedMediaType,
        Self::BodyTooLarge,
        Self::HeadTooLarge,
        Self::Timeout,
        Self::NotJson,
        Self::NotUtf8,
        Self::Invalid,
        Self::Conflict,
        Self::Unavailable,
        Self::Internal,
    ];

    /// Status, the last part of the problem's `type`, and title.
    const fn facts(self) -> (StatusCode, &'static str, &'static str) {
        use StatusCode as S;
        match self {
            Self::BrokenBody => (S::BAD_REQUEST, "broken-body", "The body is broken off"),
            Self::Misdirected => {
                (S::MISDIRECTED_REQUEST, "misdirected", "Not a host name of this service")
            }
            Self::CrossSite => (S::FORBIDDEN, "cross-site", "Sent by a page of another site"),
            Self::NotFound => (S::NOT_FOUND, "not-found", "Nothing is here"),
            Self::Gone => (S::GONE, "gone", "It was here and is gone"),
            Self::MethodNotAllowed => {
                (S::METHOD_NOT_ALLOWED, "method-not-allowed", "The method is not taken here")
            }
            Self::NotAcceptable => {
                (S::NOT_ACCEPTABLE, "not-acceptable", "Not given in an accepted form")
            }
            Self::UnsupportedMediaType => (
                S::UNSUPPORTED_MEDIA_TYPE,
                "unsupported-media-type",
                "The body's media type is not taken",
            ),
            Self::BodyTooLarge => {
                (S::PAYLOAD_TOO_LARGE, "body-too-large", "The body is over the limit")
            }
            Self::HeadTooLarge => (
                S::REQUEST_HEADER_FIELDS_TOO_LARGE,
                "head-too-large",
                "The request's head is over the limit",
            ),
            Self::Timeout => (S::REQUEST_TIMEOUT, "timeout", "The body stopped coming"),
            Self::NotJson => (S::BAD_REQUEST, "not-json", "The body cannot be read as JSON"),
            Self::NotUtf8 => (S::BAD_REQUEST, "not-utf-8", "The address is not UTF-8"),
            Self::Invalid => {
                (S::UNPROCESSABLE_ENTITY, "invalid", "The request is understood, but invalid")
            }
            Self::Conflict => (S::CONFLICT, "conflict", "Against what is already stored"),
            Self::Unavailable => (
                S::SERVICE_UNAVAILABLE,
                "unavailable",
                "Writes cannot be made durable at the moment",
            ),
            Self::Internal => {
                (S::INTERNAL_SERVER_ERROR, "internal", "The service failed; the fault is ours")
            }
        }
    }

    /// The HTTP status.
    #[must_use]
    pub const fn status(self) -> StatusCode {
        self.facts().0
    }

    /// The last part of the problem's `type`.
    #[must_use]
    pub(super) const fn slug(self) -> &'static str {
        self.facts().1
    }
}

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
    allow: Option<String>,
    accept_encoding: Option<&'static str>,
    retry_after: Option<Duration>,
    cause: Option<String>,
}

/// What the client reads.
#[derive(Serialize, utoipa::ToSchema)]
#[schema(as = Problem)]
pub(super) struct ProblemBody<'a> {
    /// The page that explains this kind of problem: a stable reference, relative to the service.
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
}

impl Problem {
    /// A problem of `kind`; `detail` says what happened this time, and the mend.
    pub fn new(kind: Kind, detail: impl Into<Cow<'static, str>>) -> Self {
        Self(Box::new(Inner {
            kind,
            detail: detail.into(),
            errors: Vec::new(),
            progress: None,
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
            [only] => only.detail.clone(),
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
        write!(f, "{}: {}", self.0.kind.facts().2, self.0.detail)
    }
}

impl std::error::Error for Problem {}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        self.0.kind.status()
    }

    fn error_response(&self) -> HttpResponse {
        let (status, slug, title) = self.0.kind.facts();
        let body = ProblemBody {
            r#type: format!("/docs/errors/{slug}"),
            title,
            status: status.as_u16(),
            detail: &self.0.detail,
            errors: &self.0.errors,
            progress: self.0.progress.as_ref(),
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
