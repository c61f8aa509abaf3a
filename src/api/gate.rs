//! The outermost middleware: the first half of the order of judgement (421, 403, an address that is
//! not UTF-8), what a browser is told of who may read the answer, the last resort when a handler
//! panics, and one log line a request.

use std::{
    future::{Future, Ready, ready},
    panic::AssertUnwindSafe,
    pin::Pin,
    rc::Rc,
    sync::atomic::{AtomicU64, Ordering},
    time::Instant,
};

use actix_web::{
    Error, HttpRequest,
    body::BoxBody,
    dev::{Service, ServiceRequest, ServiceResponse, Transform},
    http::{
        StatusCode,
        header::{HeaderValue, X_CONTENT_TYPE_OPTIONS},
    },
};
use futures_util::FutureExt;
use percent_encoding::percent_decode_str;

use super::{
    cors,
    guards::{Hosts, judge_site},
    origins::Origins,
    problem::{Kind, Problem},
};

/// Counts requests, so that the log lines of one can be told from another's.
static REQUESTS: AtomicU64 = AtomicU64::new(1);

/// The gate, before all routes.
#[derive(Clone)]
pub(super) struct Gate {
    rules: Rc<Rules>,
}

/// Whose name may be asked for, and whose pages may ask.
struct Rules {
    hosts: Hosts,
    origins: Origins,
}

impl Gate {
    pub(super) fn new(hosts: Hosts, origins: Origins) -> Self {
        Self { rules: Rc::new(Rules { hosts, origins }) }
    }
}

impl Rules {
    fn judge(&self, request: &ServiceRequest) -> Result<(), Problem> {
        self.hosts.judge(request.headers())?;
        judge_site(request.method(), request.headers(), &self.origins)?;
        if percent_decode_str(request.uri().path()).decode_utf8().is_err() {
            return Err(Problem::new(Kind::NotUtf8, "the path is not UTF-8 once it is decoded"));
        }
        Ok(())
    }

    /// Adds what an answer to the page of a listed origin, or to anybody else, tells a browser.
    /// Where none is listed only a refusal depends on whose page asked: browsers let the others read
    /// nothing, even from a cache.
    fn tell_browser(&self, answer: &mut ServiceResponse, page: Option<HeaderValue>) {
        let refused = answer.status() == StatusCode::FORBIDDEN;
        let headers = answer.headers_mut();
        headers.insert(X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
        if refused || !self.origins.is_empty() {
            cors::depends_on_origin(headers);
        }
        if let Some(origin) = page {
            cors::let_read(headers, origin);
        }
    }
}

impl<S> Transform<S, ServiceRequest> for Gate
where
    S: Service<ServiceRequest, Response = ServiceResponse<BoxBody>, Error = Error> + 'static,
{
    type Response = ServiceResponse<BoxBody>;
    type Error = Error;
    type InitError = ();
    type Transform = Gated<S>;
    type Future = Ready<Result<Self::Transform, ()>>;

    fn new_transform(&self, inner: S) -> Self::Future {
        ready(Ok(Gated { rules: Rc::clone(&self.rules), inner }))
    }
}

/// All routes behind the gate.
pub(super) struct Gated<S> {
    rules: Rc<Rules>,
    inner: S,
}

impl<S> Service<ServiceRequest> for Gated<S>
where
    S: Service<ServiceRequest, Response = ServiceResponse<BoxBody>, Error = Error> + 'static,
{
    type Response = ServiceResponse<BoxBody>;
    type Error = Error;
    type Future = Pin<Box<dyn Future<Output = Result<Self::Response, Error>>>>;

    actix_web::dev::forward_ready!(inner);

    fn call(&self, request: ServiceRequest) -> Self::Future {
        let id = REQUESTS.fetch_add(1, Ordering::Relaxed);
        let since = Instant::now();
        let rules = Rc::clone(&self.rules);
        let page = rules.origins.of_listed_page(request.headers()).cloned();
        let told = move |mut answer: ServiceResponse| {
            rules.tell_browser(&mut answer, page);
            log(&answer, id, since);
            answer
        };
        if let Err(problem) = self.rules.judge(&request) {
            return Box::pin(ready(Ok(told(request.error_response(problem)))));
        }
        let inner = AssertUnwindSafe(self.inner.call(request)).catch_unwind();
        Box::pin(async move {
            match inner.await {
                Ok(answer) => Ok(told(answer?)),
                Err(_) => Err(after_a_panic(id).into()),
            }
        })
    }
}

/// The panic itself is in the log; the client learns only whose fault it was.
fn after_a_panic(id: u64) -> Problem {
    tracing::error!(id, "a handler panicked");
    Problem::new(Kind::Internal, "the service failed on this request; its log says why")
}

/// Logs what came of the request: the pattern of its path, never the names in it.
fn log(answer: &ServiceResponse, id: u64, since: Instant) {
    let status = answer.status();
    if status.is_server_error() {
        tracing::warn!(id, method = %answer.request().method(), path = pattern(answer.request()),
            status = status.as_u16(), micros = micros(since), "request failed");
    } else if tracing::enabled!(tracing::Level::DEBUG) {
        tracing::debug!(id, method = %answer.request().method(), path = pattern(answer.request()),
            status = status.as_u16(), micros = micros(since), "request");
    }
}

fn pattern(request: &HttpRequest) -> String {
    request.match_pattern().unwrap_or_default()
}

fn micros(since: Instant) -> u64 {
    u64::try_from(since.elapsed().as_micros()).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use actix_web::{
        App,
        test::{TestRequest, init_service, try_call_service},
        web,
    };

    use super::*;

    async fn fail() -> &'static str {
        panic!("as a test")
    }

    #[actix_web::test]
    async fn a_panic_in_a_handler_becomes_a_problem_and_the_service_goes_on() {
        let routes = App::new()
            .wrap(Gate::new(Hosts::default(), Origins::default()))
            .route("/fail", web::to(fail))
            .route("/live", web::to(|| async { "alive" }));
        let service = init_service(routes).await;
        let ask = |path| TestRequest::get().uri(path).insert_header(("host", "localhost"));
        let failed = try_call_service(&service, ask("/fail").to_request()).await;
        let answer = failed.map(|_| ()).unwrap_err().error_response();
        assert_eq!(answer.status(), StatusCode::INTERNAL_SERVER_ERROR);
        assert_eq!(answer.headers().get("content-type").unwrap(), "application/problem+json");
        let live = try_call_service(&service, ask("/live").to_request()).await.unwrap();
        assert_eq!(live.status(), StatusCode::OK);
    }
}
