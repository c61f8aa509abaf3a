//! The outermost middleware: an id for every request, the last resort when a handler panics, one log line, and one
//! count.

use std::{
    future::{Future, Ready, ready},
    hash::{BuildHasher, RandomState},
    panic::AssertUnwindSafe,
    pin::Pin,
    rc::Rc,
    sync::{
        LazyLock,
        atomic::{AtomicU64, Ordering::Relaxed},
    },
    time::Instant,
};

use actix_web::{
    Error, HttpMessage, HttpRequest, ResponseError,
    body::BoxBody,
    dev::{self, ServiceRequest, ServiceResponse, Transform},
    error::InternalError,
    http::{
        StatusCode,
        header::{HeaderMap, HeaderName, HeaderValue, X_CONTENT_TYPE_OPTIONS},
    },
    web,
};
use futures_util::FutureExt;

use super::{
    judge::Asked,
    problem::{Kind, Problem},
    service::Service,
};

/// The header that names a request whose answer is a problem.
const X_REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

/// Tells the log lines of one request from another's. What a client would call its request is not asked: it goes into
/// the log, where nobody but us writes.
#[derive(Debug, Clone, Copy)]
struct RequestId(u64);

impl RequestId {
    fn next() -> Self {
        /// Counts on from a place that no other start of the program begins at.
        static NEXT: LazyLock<AtomicU64> =
            LazyLock::new(|| AtomicU64::new(RandomState::new().hash_one(0_u64)));
        Self(NEXT.fetch_add(1, Relaxed))
    }

    fn text(self) -> String {
        format!("{:016x}", self.0)
    }
}

/// The watch over all requests of a worker.
#[derive(Clone)]
pub(super) struct Watch {
    service: Rc<web::Data<Service>>,
}

impl Watch {
    pub(super) fn over(service: web::Data<Service>) -> Self {
        Self { service: Rc::new(service) }
    }
}

impl<S> Transform<S, ServiceRequest> for Watch
where
    S: dev::Service<ServiceRequest, Response = ServiceResponse<BoxBody>, Error = Error> + 'static,
{
    type Response = ServiceResponse<BoxBody>;
    type Error = Error;
    type InitError = ();
    type Transform = Watched<S>;
    type Future = Ready<Result<Self::Transform, ()>>;

    fn new_transform(&self, inner: S) -> Self::Future {
        ready(Ok(Watched { service: Rc::clone(&self.service), inner }))
    }
}

/// All that lies behind the watch.
pub(super) struct Watched<S> {
    service: Rc<web::Data<Service>>,
    inner: S,
}

impl<S> dev::Service<ServiceRequest> for Watched<S>
where
    S: dev::Service<ServiceRequest, Response = ServiceResponse<BoxBody>, Error = Error> + 'static,
{
    type Response = ServiceResponse<BoxBody>;
    type Error = Error;
    type Future = Pin<Box<dyn Future<Output = Result<Self::Response, Error>>>>;

    actix_web::dev::forward_ready!(inner);

    fn call(&self, request: ServiceRequest) -> Self::Future {
        let seen = Seen { id: RequestId::next(), since: Instant::now() };
        let service = Rc::clone(&self.service);
        let inner = AssertUnwindSafe(self.inner.call(request)).catch_unwind();
        Box::pin(async move {
            let _in_flight = service.meters.begin();
            match inner.await {
                Ok(answer) => Ok(seen.finish(answer?, &service)),
                Err(_) => Err(seen.after_a_panic(&service)),
            }
        })
    }
}

/// A request that came.
struct Seen {
    id: RequestId,
    since: Instant,
}

impl Seen {
    /// Counts and logs what came of the request: the pattern of its path, never the names in it.
    fn finish(&self, mut answer: ServiceResponse, service: &Service) -> ServiceResponse {
        let status = answer.status();
        self.mark(status, answer.headers_mut());
        let endpoint = answer.request().extensions().get::<Asked>().map(|asked| asked.endpoint);
        service.meters.answered(endpoint, status, self.since.elapsed());
        let error = answer.response().error();
        let problem = error.and_then(|error| error.as_error::<Problem>());
        if let Some(problem) = problem {
            service.meters.problem(problem.kind());
        }
        if status.is_server_error() {
            let cause = problem.and_then(|problem| problem.cause().or(Some(problem.detail())));
            tracing::warn!(id = self.id.text(), method = %answer.request().method(),
                path = pattern(answer.request()), status = status.as_u16(), micros = self.micros(),
                cause, "request failed");
        } else if tracing::enabled!(tracing::Level::DEBUG) {
            tracing::debug!(id = self.id.text(), method = %answer.request().method(),
                path = pattern(answer.request()), status = status.as_u16(), micros = self.micros(),
                "request");
        }
        answer
    }

    /// The panic itself is in the log; the client learns only whose fault it was.
    fn after_a_panic(&self, service: &Service) -> Error {
        tracing::error!(id = self.id.text(), "a handler panicked");
        let kind = Kind::Internal;
        let problem = Problem::new(kind, "the service failed on this request; its log says why");
        service.meters.answered(None, kind.status(), self.since.elapsed());
        service.meters.problem(kind);
        let mut answer = problem.error_response();
        self.mark(kind.status(), answer.headers_mut());
        InternalError::from_response(problem, answer).into()
    }

    /// Adds what every answer says, and to a problem the id under which the log has it.
    fn mark(&self, status: StatusCode, headers: &mut HeaderMap) {
        headers.insert(X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
        if (status.is_client_error() || status.is_server_error())
            && let Ok(id) = self.id.text().try_into()
        {
            headers.insert(X_REQUEST_ID, id);
        }
    }

    fn micros(&self) -> u64 {
        u64::try_from(self.since.elapsed().as_micros()).unwrap_or(u64::MAX)
    }
}

fn pattern(request: &HttpRequest) -> String {
    request.match_pattern().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use std::sync::Arc;

    use actix_web::{
        App,
        test::{TestRequest, init_service, try_call_service},
    };

    use super::*;
    use crate::{api::open, store::Home};

    async fn fail() -> &'static str {
        panic!("as a test")
    }

    #[actix_web::test]
    async fn a_panic_in_a_handler_becomes_a_problem_and_the_service_goes_on() {
        let clock = Arc::new(|| "2026-04-11T12:00:00Z".parse().unwrap());
        let (store, _) = open(Home::in_memory(clock)).unwrap();
        let routes = App::new()
            .wrap(Watch::over(web::Data::new(Service::new(store))))
            .route("/fail", web::to(fail))
            .route("/live", web::to(|| async { "alive" }));
        let service = init_service(routes).await;
        let ask = |path| TestRequest::get().uri(path).to_request();
        let failed = try_call_service(&service, ask("/fail")).await;
        let answer = failed.map(|_| ()).unwrap_err().error_response();
        assert_eq!(answer.status(), StatusCode::INTERNAL_SERVER_ERROR);
        assert_eq!(answer.headers().get("content-type").unwrap(), "application/problem+json");
        assert_eq!(answer.headers().get("x-request-id").unwrap().len(), 16);
        assert_eq!(answer.headers().get("x-content-type-options").unwrap(), "nosniff");
        let live = try_call_service(&service, ask("/live")).await.unwrap();
        assert_eq!(live.status(), StatusCode::OK);
        assert!(!live.headers().contains_key("x-request-id"));
    }
}
