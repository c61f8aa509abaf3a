//! The middleware before all routes: the first half of the order of judgement (421, 403, an address
//! that is not UTF-8), and what a browser is told of who may read the answer.

use std::{
    future::{Future, Ready, ready},
    pin::Pin,
    rc::Rc,
};

use actix_web::{
    Error,
    body::BoxBody,
    dev::{Service, ServiceRequest, ServiceResponse, Transform},
    http::{StatusCode, header::HeaderValue},
};
use percent_encoding::percent_decode_str;

use super::{
    cors,
    guards::{Hosts, judge_site},
    origins::Origins,
    problem::{Kind, Problem},
};

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
        let rules = Rc::clone(&self.rules);
        let page = rules.origins.of_listed_page(request.headers()).cloned();
        if let Err(problem) = rules.judge(&request) {
            let mut refused = request.error_response(problem);
            rules.tell_browser(&mut refused, page);
            return Box::pin(ready(Ok(refused)));
        }
        let inner = self.inner.call(request);
        Box::pin(async move {
            let mut answer = inner.await?;
            rules.tell_browser(&mut answer, page);
            Ok(answer)
        })
    }
}
