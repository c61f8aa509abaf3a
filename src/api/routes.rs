//! All endpoints, and the routes made from them.

use std::collections::BTreeMap;

use actix_web::{
    HttpRequest, Resource,
    web::{self, ServiceConfig},
};

use super::{
    assignments, catalogue,
    endpoint::Endpoint,
    export, import, insight,
    problem::{Kind, Problem},
    retirements, shots, status,
};

/// All endpoints.
pub(super) fn endpoints() -> impl Iterator<Item = &'static Endpoint> {
    let single = [
        assignments::ENDPOINTS,
        export::ENDPOINTS,
        import::ENDPOINTS,
        insight::ENDPOINTS,
        retirements::ENDPOINTS,
        status::ENDPOINTS,
    ];
    let lists = shots::ENDPOINTS.iter().chain(catalogue::ENDPOINTS).copied().chain(single);
    lists.flatten()
}

/// Adds the routes of all endpoints: one resource a path, which answers other verbs with 405; every
/// other path is 404. Resources are tried in order, and a pattern costs more to try than a plain
/// path: plain paths come first.
pub(super) fn configure(config: &mut ServiceConfig) {
    let mut by_path: BTreeMap<(bool, &str), Vec<&'static Endpoint>> = BTreeMap::new();
    for endpoint in endpoints() {
        by_path.entry((endpoint.path.contains('{'), endpoint.path)).or_default().push(endpoint);
    }
    for ((_, path), endpoints) in by_path {
        config.service(resource(path, &endpoints));
    }
    config.default_service(web::to(nowhere));
}

fn resource(path: &str, endpoints: &[&'static Endpoint]) -> Resource {
    let allow: Vec<&str> = endpoints.iter().map(|endpoint| endpoint.verb.allow()).collect();
    let allow = allow.join(", ");
    let resource = endpoints
        .iter()
        .fold(web::resource(path), |resource, endpoint| resource.route(endpoint.route()));
    resource.default_service(web::to(move |request: HttpRequest| {
        let refusal = not_allowed(&request, &allow);
        async move { Err::<String, Problem>(refusal) }
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
