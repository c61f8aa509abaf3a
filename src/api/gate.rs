//! The middleware before all routes: the first half of the order of judgement (421, 403, an address
//! that is not UTF-8).

use std::{
    future::{Ready, ready},
    rc::Rc,
};

use actix_web::{
    Error,
    body::BoxBody,
    dev::{Service, ServiceRequest, ServiceResponse, Transform},
};
use futures_util::future::Either;
use percent_encoding::percent_decode_str;

use super::{
    guards::{Hosts, judge_site},
    problem::{Kind, Problem},
};

/// The gate, before all routes.
#[derive(Clone)]
pub(super) struct Gate {
    hosts: Rc<Hosts>,
}

impl Gate {
    pub(super) fn new(hosts: Hosts) -> Self {
        Self { hosts: Rc::new(hosts) }
    }
}

fn judge(hosts: &Hosts, request: &ServiceRequest) -> Result<(), Problem> {
    hosts.judge(request.headers())?;
    judge_site(request.method(), request.headers())?;
    if percent_decode_str(request.uri().path()).decode_utf8().is_err() {
        return Err(Problem::new(Kind::NotUtf8, "the path is not UTF-8 once it is decoded"));
    }
    Ok(())
}

impl<S> Transform<S, ServiceRequest> for Gate
where
    S: Service<ServiceRequest, Response = ServiceResponse<BoxBody>, Error = Error>,
{
    type Response = ServiceResponse<BoxBody>;
    type Error = Error;
    type InitError = ();
    type Transform = Gated<S>;
    type Future = Ready<Result<Self::Transform, ()>>;

    fn new_transform(&self, inner: S) -> Self::Future {
        ready(Ok(Gated { hosts: Rc::clone(&self.hosts), inner }))
    }
}

/// All routes behind the gate.
pub(super) struct Gated<S> {
    hosts: Rc<Hosts>,
    inner: S,
}

impl<S> Service<ServiceRequest> for Gated<S>
where
    S: Service<ServiceRequest, Response = ServiceResponse<BoxBody>, Error = Error>,
{
    type Response = ServiceResponse<BoxBody>;
    type Error = Error;
    type Future = Either<S::Future, Ready<Result<Self::Response, Error>>>;

    actix_web::dev::forward_ready!(inner);

    fn call(&self, request: ServiceRequest) -> Self::Future {
        match judge(&self.hosts, &request) {
            Ok(()) => Either::Left(self.inner.call(request)),
            Err(problem) => Either::Right(ready(Ok(request.error_response(problem)))),
        }
    }
}
