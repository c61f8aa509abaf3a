//! Where the shots of two clubs land, seen from above.

use actix_web::{HttpRequest, web};

use super::{
    above::{self, Landings, landings},
    endpoint,
    ink::Role,
    look::Look,
    of_player, picture,
    sheet::Sheet,
    words,
};
use crate::{
    api::{
        endpoint::{Answer, Endpoint},
        insight::{Asked, Names, asked},
        problem::Problem,
        query::{Stretch, Table},
        service::Service,
        units::Units,
    },
    bag::{ClubNames, Comparison, ComparisonQuestion, Metric},
    live::{Drawn, SpotsOfPair},
    shot::Measure,
};

const PARAMETERS: Table = &[
    asked::PAIR,
    asked::EVIDENCE,
    asked::AIR,
    asked::SHARE,
    Stretch::PARAMETERS,
    Units::PARAMETERS,
    Look::PARAMETERS,
];

pub(super) const ENDPOINT: Endpoint = Endpoint {
    path: "/v1/players/{player}/comparisons/landings.svg",
    handler: || web::to(draw),
    name: "drawLandings",
    about: "A comparison as a picture: where the like-for-like shots of both clubs land, from above.",
    parameters: PARAMETERS,
    ..endpoint::BASE
};

async fn draw(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let (player, mut query, look) = of_player((&service, &request), PARAMETERS)?;
    let pair = asked::pair(&mut query);
    let (filter, share) = (asked::filter(&mut query), asked::share(&mut query));
    let air = asked::air(&mut query);
    let asked = Asked::read(query, (&service, &request), player)?.kept_in(air);
    let question = ComparisonQuestion { share, air, ..ComparisonQuestion::from(&filter) };
    let Some([incumbent, candidate]) = pair else { return Err(Problem::invalid(Vec::new())) };
    picture(asked, service, move |live, player| {
        let names = Names::of(&question.filter).pair([&incumbent, &candidate]);
        let drawn = live.comparison_drawn(player, [&incumbent, &candidate], &question);
        let drawn = drawn.map_err(|error| names.refuse(&error, live, player))?;
        Ok((drawn.as_of, comparison(look, &drawn)))
    })
    .await
}

fn comparison(look: Look, drawn: &Drawn<(Comparison, SpotsOfPair)>) -> String {
    let (compared, spots) = &drawn.of;
    let [incumbent, candidate] =
        [&compared.incumbent, &compared.candidate].map(|club| words::club(&drawn.names, club));
    let question = format!("Does the {candidate} land where the {incumbent} does?");
    let mut sheet = Sheet::new(look, question);
    let ellipses = [compared.incumbent_ellipse.as_ref(), compared.candidate_ellipse.as_ref()];
    let clubs = [
        Landings::of(Role::Incumbent, &incumbent, &spots.incumbent, ellipses[0]),
        Landings::of(Role::Candidate, &candidate, &spots.candidate, ellipses[1]),
    ];
    landings(&mut sheet, &clubs);
    let finding = words::sentences(&[
        carries(look, compared, &candidate),
        scatter(look, compared, &drawn.names),
    ]);
    sheet.say(&finding);
    if !spots.incumbent.is_empty() {
        sheet.note(&format!(
            "Like for like: {} with the {incumbent} and {} with the {candidate}, of the same visits, lies \
             and balls. Dots and a whole line mark the {incumbent}, crosses and a broken one the \
             {candidate}.",
            words::counted(compared.shots.incumbent, "shot"),
            words::counted(compared.shots.candidate, "shot"),
        ));
        let drawn = [spots.incumbent.len(), spots.candidate.len()];
        if drawn != [compared.shots.incumbent, compared.shots.candidate] {
            sheet.note(&format!("Drawn are the newest: {} and {}.", drawn[0], drawn[1]));
        }
    }
    sheet.finish(&finding)
}

/// The difference of the carries, as a sentence.
fn carries(look: Look, compared: &Comparison, candidate: &str) -> String {
    let interval = compared.differences.get(Metric::Measured(Measure::Carry));
    let say = |metres: f64| look.units.distance(metres);
    let told = interval.and_then(|carry| words::difference(carry, ["further", "less far"], say));
    match (told, compared.next.as_ref()) {
        (Some(told), _) => format!("The {candidate} carries {told}."),
        (None, Some(next)) => next.words.clone(),
        (None, None) => String::from("No visit holds both clubs, like for like."),
    }
}

/// Where both land and how wide, as far as it is known.
fn scatter(look: Look, compared: &Comparison, names: &ClubNames) -> String {
    let clubs = [
        (&compared.incumbent, &compared.incumbent_ellipse),
        (&compared.candidate, &compared.candidate_ellipse),
    ];
    let clubs = clubs.map(|(club, ellipse)| (words::club(names, club), ellipse.as_ref()));
    let told = clubs.iter().filter_map(|(name, ellipse)| {
        ellipse.map(|ellipse| above::told(look.units, name, ellipse))
    });
    let told = words::sentences(&told.collect::<Vec<_>>());
    let few = clubs.iter().filter(|(_, ellipse)| ellipse.is_none());
    let few: Vec<String> = few.map(|(name, _)| format!("the {name}")).collect();
    if few.is_empty() {
        return told;
    }
    let few = words::listed(&few);
    words::sentences(&[
        told,
        format!("Too few landings of {few} are known, with carry and side, for an ellipse."),
    ])
}
