//! What all reads have in common, as the middleware around each: a tag by which a client can ask
//! whether the answer has changed, 304 where it has not, how long an answer may be kept, and gzip.
//! Writes do not pass here.

use std::{
    future::{Future, Ready, ready},
    pin::Pin,
};

use actix_web::{
    Error,
    body::{BoxBody, MessageBody},
    dev::{Service, ServiceRequest, ServiceResponse, Transform},
    http::{
        StatusCode,
        header::{self, HeaderValue},
    },
};

use super::{
    coding::{self, Codings},
    endpoint::{Caching, Endpoint},
    problem::{Kind, Problem},
    tag::{Tag, Tags},
};

/// The middleware of one endpoint that is read.
#[derive(Clone, Copy)]
pub(super) struct Reads {
    endpoint: &'static Endpoint,
}

impl Reads {
    pub(super) fn of(endpoint: &'static Endpoint) -> Self {
        Self { endpoint }
    }

    /// Makes of an answer what goes out.
    fn finish(self, answer: ServiceResponse, known: &Tags, codings: Codings) -> ServiceResponse {
        let (request, response) = answer.into_parts();
        let (mut response, mut body) = response.into_parts();
        let codings = match self.endpoint.caching {
            // Its tag would no longer be that of every byte.
            Caching::Exact => codings.plain_if_taken(),
            _ => codings,
        };
        let as_gzip = codings.want_gzip(response.headers(), body.size());
        if response.status() == StatusCode::OK {
            let tag = match Tag::of(response.headers()) {
                Some(tag) => Some(tag),
                None => self.tag(&mut body),
            };
            let tag = tag.map(|tag| if as_gzip { tag.weakened() } else { tag });
            if let Some(tag) = &tag {
                response.headers_mut().insert(header::ETAG, tag.value());
            }
            // It goes with 304, too (RFC 9110, 15.4.5).
            if let Some(tag) = tag.filter(|tag| known.holds(tag)) {
                (response, body) = tag.unchanged().into_parts();
            }
        }
        if as_gzip && response.status() != StatusCode::NOT_MODIFIED {
            body = coding::gzip(response.head_mut(), body);
        }
        let headers = response.headers_mut();
        let kept = match self.endpoint.caching {
            Caching::Never => "no-store",
            Caching::Asked | Caching::Exact | Caching::Fixed => "private, no-cache",
        };
        if !headers.contains_key(header::CACHE_CONTROL) {
            headers.insert(header::CACHE_CONTROL, HeaderValue::from_static(kept));
        }
        let varies = match self.endpoint.gives {
            [] | [_] => "Accept-Encoding, Origin",
            _ => "Accept, Accept-Encoding, Origin",
        };
        headers.insert(header::VARY, HeaderValue::from_static(varies));
        ServiceResponse::new(request, response.set_body(body))
    }

    /// The tag of a body that is there as a whole.
    fn tag(self, body: &mut BoxBody) -> Option<Tag> {
        let make = match self.endpoint.caching {
            Caching::Asked => Tag::weak,
            Caching::Exact | Caching::Fixed => Tag::strong,
            Caching::Never => return None,
        };
        match std::mem::replace(body, BoxBody::new(())).try_into_bytes() {
            Ok(text) => {
                let tag = make(&text);
                *body = BoxBody::new(text);
                Some(tag)
            }
            Err(streamed) => {
                *body = streamed;
                None
            }
        }
    }
}

impl<S> Transform<S, ServiceRequest> for Reads
where
    S: Service<ServiceRequest, Response = ServiceResponse<BoxBody>, Error = Error>,
    S::Future: 'static,
{
    type Response = ServiceResponse<BoxBody>;
    type Error = Error;
    type InitError = ();
    type Transform = Reading<S>;
    type Future = Ready<Result<Self::Transform, ()>>;

    fn new_transform(&self, handler: S) -> Self::Future {
        ready(Ok(Reading { reads: *self, handler }))
    }
}

/// A handler of reads.
pub(super) struct Reading<S> {
    reads: Reads,
    handler: S,
}

impl<S> Service<ServiceRequest> for Reading<S>
where
    S: Service<ServiceRequest, Response = ServiceResponse<BoxBody>, Error = Error>,
    S::Future: 'static,
{
    type Response = ServiceResponse<BoxBody>;
    type Error = Error;
    type Future = Pin<Box<dyn Future<Output = Result<Self::Response, Error>>>>;

    actix_web::dev::forward_ready!(handler);

    fn call(&self, request: ServiceRequest) -> Self::Future {
        let known = Tags::known(request.headers());
        let Some(codings) = Codings::of(request.headers()) else {
            let refused = Problem::new(
                Kind::NotAcceptable,
                "this is given as it is or as gzip, and `Accept-Encoding` refuses both",
            );
            let refused = request.error_response(refused);
            let answer = self.reads.finish(refused, &known, Codings::Plain);
            return Box::pin(ready(Ok(answer)));
        };
        let (reads, answer) = (self.reads, self.handler.call(request));
        Box::pin(async move { Ok(reads.finish(answer.await?, &known, codings)) })
    }
}
