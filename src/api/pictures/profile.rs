//! Where a club's shots land, seen from above.

use actix_web::{HttpRequest, web};

use super::{
    above::{self, Landings, landings},
    endpoint,
    ink::Role,
    look::Look,
    picture,
    sheet::Sheet,
    words,
};
use crate::{
    api::{
        endpoint::{Answer, Endpoint},
        insight::{Asked, Names, asked, known},
        path,
        query::{Query, Stretch, Table},
        service::Service,
        units::Units,
    },
    bag::{Metric, Profile, ProfileQuestion, Spot},
    live::Drawn,
    shot::{ClubId, Measure, PlayerId},
};

const PARAMETERS: Table = &[
    asked::EVIDENCE,
    asked::AIR,
    asked::SUMMARY,
    asked::SHARE,
    Stretch::PARAMETERS,
    Units::PARAMETERS,
    Look::PARAMETERS,
];

pub(super) const ENDPOINT: Endpoint = Endpoint {
    path: "/v1/players/{player}/clubs/{club}/profile.svg",
    handler: || web::to(draw),
    name: "drawProfile",
    about: "A club's profile as a picture: where its shots land, from above.",
    parameters: PARAMETERS,
    ..endpoint::BASE
};

async fn draw(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let club: ClubId = path::name(&request, "club")?;
    known(service.live().club(&player, &club))?;
    let mut query = Query::read(request.query_string(), PARAMETERS)?;
    let look = Look::read(&mut query);
    let (filter, share) = (asked::filter(&mut query), asked::share(&mut query));
    let air = asked::air(&mut query);
    let asked = Asked::read(query, (&service, &request), player)?.kept_in(air);
    let units = look.units;
    let question = ProfileQuestion { share, air, units, ..ProfileQuestion::from(&filter) };
    picture(asked, service, move |live, player| {
        let drawn = live.profile_drawn(player, &club, &question);
        let names = Names::of(&question.filter);
        let drawn = drawn.map_err(|error| names.refuse(&error, live, player))?;
        Ok((drawn.as_of, profile(look, &drawn)))
    })
    .await
}

fn profile(look: Look, drawn: &Drawn<(Profile, Vec<Spot>)>) -> String {
    let (profile, spots) = &drawn.of;
    let name = words::club(&drawn.names, &profile.club);
    let mut sheet = Sheet::new(look, format!("Where does the {name} land?"));
    let ellipse = profile.ellipse.as_ref();
    let club = Landings::of(Role::Incumbent, &name, spots, ellipse);
    let shown = club.spots.len();
    landings(&mut sheet, &[club]);
    let finding = words::sentences(&[
        match ellipse {
            Some(ellipse) => above::told(look.units, &name, ellipse),
            None => too_few(look, (&name, profile), shown),
        },
        match profile.mishits {
            0 => String::new(),
            mishits => format!("{} are not shown.", words::counted(mishits, "mishit")),
        },
        words::basis(profile.surface, profile.ball.as_ref()),
    ]);
    sheet.say(&finding);
    if spots.len() < profile.counted {
        sheet.note(&format!("Drawn are the newest {}.", words::counted(spots.len(), "shot")));
    }
    sheet.finish(&finding)
}

fn too_few(look: Look, (name, profile): (&str, &Profile), shown: usize) -> String {
    let carry = profile.metrics.get(Metric::Measured(Measure::Carry));
    let carry = carry.and_then(|carry| carry.centre.or(carry.mean));
    let known = match carry {
        Some(carry) => format!("The {name} carries {}.", look.units.distance(carry)),
        None => format!("No shot with the {name} counts yet that tells a carry."),
    };
    format!(
        "{known} {} known with carry and side; an ellipse takes five that differ.",
        if shown == 1 { String::from("1 landing is") } else { format!("{shown} landings are") }
    )
}
