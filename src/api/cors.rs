//! What a browser is told so that a page of a listed origin can use the service: the headers of the
//! Fetch Standard (3.3, "CORS protocol") and of Private Network Access. Who may is judged by
//! [`guards`](super::guards); nobody is told anything by `*`.

use actix_web::{
    HttpRequest, HttpResponse,
    http::{
        Method,
        header::{self, HeaderMap, HeaderName, HeaderValue},
    },
};

/// Fields that a page may send, beside those that need no leave.
const SENT: HeaderValue = HeaderValue::from_static(
    "accept, content-encoding, content-type, if-match, if-none-match, last-event-id",
);

/// Fields of our answers that a page may read, beside those that need no leave.
const READ: HeaderValue =
    HeaderValue::from_static("allow, etag, link, location, retry-after, x-request-id");

/// How long a browser may go by the answer to a preflight: ten minutes, so that an origin taken off
/// the list is soon told so.
const MAX_AGE: HeaderValue = HeaderValue::from_static("600");

const REQUEST_PRIVATE_NETWORK: HeaderName =
    HeaderName::from_static("access-control-request-private-network");
const ALLOW_PRIVATE_NETWORK: HeaderName =
    HeaderName::from_static("access-control-allow-private-network");

/// Whether a browser asks what a page may do here.
pub(super) fn is_preflight(request: &HttpRequest) -> bool {
    let has = |name| request.headers().contains_key(name);
    *request.method() == Method::OPTIONS
        && has(header::ORIGIN)
        && has(header::ACCESS_CONTROL_REQUEST_METHOD)
}

/// What may be done at a resource that takes the methods of `allow`.
pub(super) fn preflight(request: &HttpRequest, allow: &str) -> HttpResponse {
    let mut answer = HttpResponse::NoContent();
    answer
        .insert_header((header::ALLOW, allow))
        .insert_header((header::ACCESS_CONTROL_ALLOW_METHODS, allow))
        .insert_header((header::ACCESS_CONTROL_ALLOW_HEADERS, SENT))
        .insert_header((header::ACCESS_CONTROL_MAX_AGE, MAX_AGE));
    if request.headers().get(REQUEST_PRIVATE_NETWORK).is_some_and(|asked| asked == "true") {
        answer.insert_header((ALLOW_PRIVATE_NETWORK, HeaderValue::from_static("true")));
    }
    answer.finish()
}

/// Lets the page of a listed origin read the answer, a problem too.
pub(super) fn let_read(headers: &mut HeaderMap, origin: HeaderValue) {
    headers.insert(header::ACCESS_CONTROL_ALLOW_ORIGIN, origin);
    headers.insert(header::ACCESS_CONTROL_EXPOSE_HEADERS, READ);
}

/// Says that the answer depends on whose page asks, so that no cache gives it to another's.
pub(super) fn depends_on_origin(headers: &mut HeaderMap) {
    headers.append(header::VARY, HeaderValue::from_static("Origin"));
}
