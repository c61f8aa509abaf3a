//! What is judged between routing and handler, as the middleware of every route: whether the answer
//! can be given in an accepted form (406), and the size of a head that comes without a body (431).
//! A body is judged where it is opened, in [`body`](super::body): after the handler has found what
//! the path names, as the order of judgement asks.

use std::future::{Ready, ready};

use actix_web::{
    Error, HttpMessage, HttpRequest,
    body::BoxBody,
    dev::{Service, ServiceRequest, ServiceResponse, Transform},
    web,
};
use futures_util::future::Either;

use super::{
    body::check_head,
    endpoint::Endpoint,
    limits::Limits,
    media::{self, Media},
    problem::{Kind, Problem},
    service,
};

/// What is known of a request once it is routed, for its handler.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked {
    /// The number of the endpoint among all.
    pub(super) endpoint: usize,
    /// Forms that the body may have.
    pub(super) takes: &'static [Media],
    /// The form agreed on for the answer.
    pub(super) gives: Media,
}

impl Asked {
    /// What is known of this request.
    pub(super) fn of(request: &HttpRequest) -> Self {
        let asked = request.extensions().get::<Self>().copied();
        asked.unwrap_or(Self { endpoint: usize::MAX, takes: &[], gives: Media::Json })
    }
}

/// The judge of one endpoint.
#[derive(Clone, Copy)]
pub(super) struct Judge {
    number: usize,
    endpoint: &'static Endpoint,
}

impl Judge {
    /// The judge of the endpoint with this number among all.
    pub(super) fn of((number, endpoint): (usize, &'static Endpoint)) -> Self {
        Self { number, endpoint }
    }

    /// The form agreed on for the answer.
    fn judge(self, request: &ServiceRequest) -> Result<Media, Problem> {
        let Endpoint { takes, gives, .. } = *self.endpoint;
        let agreed = media::accepted(request.headers(), gives).ok_or_else(|| {
            Problem::new(Kind::NotAcceptable, format!("this is given as {}", media::list(gives)))
        })?;
        if takes.is_empty() {
            match request.app_data::<web::Data<service::Service>>() {
                Some(service) => check_head(request.request(), &service.limits)?,
                None => check_head(request.request(), &Limits::default())?,
            }
        }
        Ok(agreed)
    }
}

impl<S> Transform<S, ServiceRequest> for Judge
where
    S: Service<ServiceRequest, Response = ServiceResponse<BoxBody>, Error = Error>,
{
    type Response = ServiceResponse<BoxBody>;
    type Error = Error;
    type InitError = ();
    type Transform = Judged<S>;
    type Future = Ready<Result<Self::Transform, ()>>;

    fn new_transform(&self, handler: S) -> Self::Future {
        ready(Ok(Judged { judge: *self, handler }))
    }
}

/// A handler behind its judge.
pub(super) struct Judged<S> {
    judge: Judge,
    handler: S,
}

impl<S> Service<ServiceRequest> for Judged<S>
where
    S: Service<ServiceRequest, Response = ServiceResponse<BoxBody>, Error = Error>,
{
    type Response = ServiceResponse<BoxBody>;
    type Error = Error;
    type Future = Either<S::Future, Ready<Result<Self::Response, Error>>>;

    actix_web::dev::forward_ready!(handler);

    fn call(&self, request: ServiceRequest) -> Self::Future {
        let Judge { number, endpoint } = self.judge;
        let judged = self.judge.judge(&request);
        let gives = judged.as_ref().map_or(Media::Json, |agreed| *agreed);
        let asked = Asked { endpoint: number, takes: endpoint.takes, gives };
        request.extensions_mut().insert(asked);
        match judged {
            Ok(_) => Either::Left(self.handler.call(request)),
            Err(problem) => Either::Right(ready(Ok(request.error_response(problem)))),
        }
    }
}
