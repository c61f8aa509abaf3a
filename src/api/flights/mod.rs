//! `POST /v1/flights`: launches flown in given air, wind and ground. It stores nothing.

mod answer;
mod request;

use actix_web::{HttpRequest, http::StatusCode, web};
use rayon::prelude::*;
use serde::Serialize;
use utoipa::{
    ToSchema,
    openapi::{RefOr, Schema},
};

pub(super) use self::request::{EVERY_S, LAUNCH, MODELS, POINTS, landing};
use self::{
    answer::FlownFlight,
    request::{FlightWanted, Wanted},
};
use super::{
    answer::{json_text, unwritten},
    body::Body,
    endpoint::{Answer, Components, Endpoint, Success, Verb},
    media::Media,
    problem::{Kind, Problem},
    query::Query,
    service::{Service, ask},
    spec,
    units::Units,
};

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    verb: Verb::Post,
    path: "/v1/flights",
    handler: || web::to(fly),
    name: "flyLaunches",
    about: "Flies one launch, or many, in given air, wind and ground. What comes out is an estimate: \
            each flight says how far it may be believed, and by which model. It is not for designing \
            nets, screens, fences or safe distances. Nothing is stored.",
    parameters: &[Units::PARAMETERS],
    takes: &[Media::Json],
    body: Some(spec::flights_wanted),
    stores: false,
    successes: &[Success::new(200, "The flight, or all of them in the same order.", answered)],
    ..Endpoint::BASE
}];

/// Many flights.
#[derive(Debug, Serialize, ToSchema)]
struct ManyFlights {
    /// In the order of the launches.
    flights: Vec<FlownFlight>,
}

/// One flight or many, in one of both systems of units.
fn answered(components: &mut Components) -> RefOr<Schema> {
    let one = spec::in_units_as::<FlownFlight>("Flight", components);
    let many = spec::in_units::<ManyFlights>(components);
    spec::one_of([one, many])
}

async fn fly(service: web::Data<Service>, request: HttpRequest, payload: web::Payload) -> Answer {
    let mut query = Query::read(request.query_string(), &[Units::PARAMETERS])?;
    let units = Units::read(&mut query);
    let text = Body::open(&request, payload, &service.limits)?.whole().await?;
    let read = ask(move || Wanted::read(&text, &service.limits)).await;
    let wanted = query.done_beside(read)?;
    let text = ask(move || {
        let written = match wanted {
            Wanted::One(wanted) => units.write(&flown(&wanted)?),
            Wanted::Many(wanted) => {
                let flights = wanted.par_iter().map(flown).collect::<Result<_, _>>()?;
                units.write(&ManyFlights { flights })
            }
        };
        written.map_err(|error| unwritten(&error))
    });
    Ok(json_text(StatusCode::OK, text.await?))
}

/// What was read lies within all ranges of the flight room.
fn flown(wanted: &FlightWanted) -> Result<FlownFlight, Problem> {
    let lost = || Problem::new(Kind::Internal, "the flight could not be flown");
    FlownFlight::of(wanted).ok_or_else(lost)
}
