//! All endpoints, and the routes made from them.

use std::collections::BTreeMap;

use actix_web::{
    HttpRequest, Resource,
    web::{self, ServiceConfig},
};

use super::{
    assignments, catalogue, cors, docs,
    endpoint::Endpoint,
    export, flights, import, insight, metrics, page, pictures,
    problem::{Kind, Problem},
    retirements, shots, status, stream, trials,
};

/// All endpoints.
pub(super) fn endpoints() -> impl Iterator<Item = &'static Endpoint> {
    let single = [
        assignments::ENDPOINTS,
        export::ENDPOINTS,
        flights::ENDPOINTS,
        import::ENDPOINTS,
        insight::ENDPOINTS,
        pictures::ENDPOINTS,
        retirements::ENDPOINTS,
        status::ENDPOINTS,
        stream::ENDPOINTS,
        trials::ENDPOINTS,
        metrics::ENDPOINTS,
        docs::ENDPOINTS,
        page::ENDPOINTS,
    ];
    let lists = shots::ENDPOINTS.iter().chain(catalogue::ENDPOINTS).copied().chain(single);
    lists.flatten()
}

/// Adds the routes of all endpoints: one resource a path, which answers other verbs with 405, and a
/// browser that asks for a page what there is; every other path is 404. Resources are tried in order, and a pattern costs more to try than a plain
/// path: plain paths come first.
pub(super) fn configure(config: &mut ServiceConfig) {
    let mut by_path: BTreeMap<(bool, &str), Vec<Numbered>> = BTreeMap::new();
    for (number, endpoint) in endpoints().enumerate() {
        let place = (endpoint.path.contains('{'), endpoint.path);
        by_path.entry(place).or_default().push((number, endpoint));
    }
    for ((_, path), endpoints) in by_path {
        config.service(resource(path, &endpoints));
    }
    config.default_service(web::to(nowhere));
}

/// An endpoint and its number among all.
type Numbered = (usize, &'static Endpoint);

fn resource(path: &str, endpoints: &[Numbered]) -> Resource {
    let allow: Vec<&str> = endpoints.iter().map(|(_, endpoint)| endpoint.verb.allow()).collect();
    let allow = allow.join(", ");
    let resource = endpoints.iter().fold(web::resource(path), |resource, (number, endpoint)| {
        resource.route(endpoint.route(*number))
    });
    resource.default_service(web::to(move |request: HttpRequest| {
        let answer = if cors::is_preflight(&request) {
            Ok(cors::preflight(&request, &allow))
        } else {
            Err(not_allowed(&request, &allow))
        };
        async move { answer }
    }))
}

fn not_allowed(request: &HttpRequest, allow: &str) -> Problem {
    let detail = format!("{} is not taken here: there is {allow}", request.method());
    Problem::new(Kind::MethodNotAllowed, detail).with_allow(allow.to_owned())
}

async fn nowhere() -> Result<String, Problem> {
    Err(Problem::new(
        Kind::NotFound,
        "nothing is at this address: `/openapi.json` says what is where",
    ))
}
