//! `GET /v1/players/{player}/clubs/{club}/flight`: a club flown in given conditions.

use actix_web::{HttpRequest, web};

use super::{
    Asked,
    asked::{self, EVIDENCE, SUMMARY},
    known,
    names::Names,
    weather::{self, WeatherAsked},
};
use crate::{
    api::{
        endpoint::{Answer, Endpoint, Success},
        path,
        query::{Query, Stretch, Table},
        service::Service,
        spec,
        units::Units,
    },
    bag::ClubFlight,
    shot::{ClubId, PlayerId},
};

const PARAMETERS: Table =
    &[weather::PARAMETERS, EVIDENCE, SUMMARY, Stretch::PARAMETERS, Units::PARAMETERS];

pub(super) const ENDPOINT: Endpoint = Endpoint {
    path: "/v1/players/{player}/clubs/{club}/flight",
    handler: || web::to(flight),
    name: "flyClub",
    about: "A club flown in given conditions, beside still reference air: the flight of its typical \
            launch, and how flights spread with its launches. An estimate, by a model that is fitted to \
            the club's own tracked shots where there are enough; not for designing nets, screens, fences \
            or safe distances.",
    parameters: PARAMETERS,
    successes: &[Success::new(200, "The club's flight.", spec::in_units::<ClubFlight>)],
    ..Endpoint::BASE
};

async fn flight(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let club: ClubId = path::name(&request, "club")?;
    known(service.live().club(&player, &club))?;
    let mut query = Query::read(request.query_string(), PARAMETERS)?;
    let weather = WeatherAsked::read(&mut query);
    let filter = asked::filter(&mut query);
    let asked = Asked::read(query, (&service, &request), player)?.kept();
    asked
        .answer(service, move |live, player| {
            let gathered = live.club_to_fly(player, &club, &filter);
            let gathered =
                gathered.map_err(|error| Names::of(&filter).refuse(&error, live, player))?;
            let asked = (&weather.conditions, weather.ground);
            let flown = gathered.fly(asked, weather.calibrated);
            let flight = flown.map_err(|faults| weather::lost(&faults))?;
            Ok(ClubFlight { flags: weather.flags.words_in_si(), ..flight })
        })
        .await
}
