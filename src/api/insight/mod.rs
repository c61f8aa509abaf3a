//! Questions about a player's clubs: profile, flight, ladder, drifts, comparison, replacements.

pub(super) mod asked;
mod flight;
mod names;
pub(super) mod weather;

use actix_web::{
    HttpRequest,
    http::{StatusCode, header},
    web,
};
use bytes::Bytes;
use serde::Serialize;

pub(super) use self::names::Names;
use super::{
    answer::{json_text, unwritten},
    endpoint::{Answer, Endpoint, Success},
    errors, path,
    problem::Problem,
    query::Query,
    service::{Service, ask},
    spec,
    tag::{Question, Tag, Tags},
    units::Units,
};
use crate::{
    bag::{
        CarryAir, ClubFlight, Comparison, ComparisonQuestion, Drifts, Ladder, Profile,
        ProfileQuestion, Replacements,
    },
    live::{DriftsWanted, LadderWanted, Live, PlaceWanted, ReadError},
    shot::{ClubId, PlayerId, Sequence},
};

pub(super) const ENDPOINTS: &[Endpoint] = &[
    Endpoint {
        path: "/v1/players/{player}/clubs/{club}/profile",
        handler: || web::to(profile),
        name: "readProfile",
        about: "What a club does: every measure, by lie, by ball and by what was meant.",
        parameters: asked::PROFILE,
        successes: &[Success::new(200, "What the club does.", spec::in_units::<Profile>)],
        ..Endpoint::BASE
    },
    flight::ENDPOINT,
    Endpoint {
        path: "/v1/players/{player}/ladder",
        handler: || web::to(ladder),
        name: "readLadder",
        about: "The carries of a bag in order, with gaps, overlaps and inversions.",
        parameters: asked::LADDER,
        successes: &[Success::new(200, "The ladder.", spec::in_units::<Ladder>)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: "/v1/players/{player}/drifts",
        handler: || web::to(drifts),
        name: "readDrifts",
        about: "Clubs that may have moved: whether each carries as it did, else since when it may \
                not, and by how much. A question to the player, not a fact.",
        parameters: asked::DRIFTS,
        successes: &[Success::new(200, "The clubs.", spec::in_units::<Drifts>)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: "/v1/players/{player}/comparisons",
        handler: || web::to(comparison),
        name: "compareClubs",
        about: "Like-for-like differences of two clubs, candidate minus incumbent, with intervals. With \
                `conditions=true` also both flown in wind, cold and wet, and their weak strikes: an \
                estimate, not for designing nets, screens, fences or safe distances.",
        parameters: asked::COMPARISON,
        successes: &[Success::new(200, "The differences.", spec::in_units::<Comparison>)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: "/v1/players/{player}/replacements",
        handler: || web::to(replacements),
        name: "judgeReplacements",
        about: "Clubs judged against a brief: which can take the incumbent's place, ranked, with a \
                verdict each.",
        parameters: asked::REPLACEMENTS,
        successes: &[Success::new(200, "The verdicts.", spec::in_units::<Replacements>)],
        ..Endpoint::BASE
    },
];

async fn profile(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let club: ClubId = path::name(&request, "club")?;
    known(service.live().club(&player, &club))?;
    let mut query = Query::read(request.query_string(), asked::PROFILE)?;
    let question = asked::profile(&mut query);
    let asked = Asked::read(query, (&service, &request), player)?.kept_in(question.air);
    let question = ProfileQuestion { units: asked.units, ..question };
    asked
        .answer(service, move |live, player| {
            let profile = live.profile(player, &club, question.clone());
            let names = Names::of(&question.filter);
            profile.map_err(|error| names.refuse(&error, live, player))
        })
        .await
}

async fn ladder(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    known(service.live().player(&player))?;
    let mut query = Query::read(request.query_string(), asked::LADDER)?;
    let (bag, air) = (query.one("bag"), asked::air(&mut query));
    let filter = asked::filter(&mut query);
    let asked = Asked::read(query, (&service, &request), player)?.kept_in(air);
    let wanted = LadderWanted { bag, filter, air, units: asked.units };
    asked
        .answer(service, move |live, player| {
            let names = Names::of(&wanted.filter).bag(wanted.bag.as_ref());
            live.ladder(player, &wanted).map_err(|error| names.refuse(&error, live, player))
        })
        .await
}

async fn drifts(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    known(service.live().player(&player))?;
    let mut query = Query::read(request.query_string(), asked::DRIFTS)?;
    let club: Option<ClubId> = query.one("club");
    let asked = Asked::read(query, (&service, &request), player)?;
    let wanted = DriftsWanted { club, units: asked.units };
    asked
        .answer(service, move |live, player| {
            let names = Names::default().clubs("club", &wanted.club);
            live.drifts(player, &wanted).map_err(|error| names.refuse(&error, live, player))
        })
        .await
}

async fn comparison(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    known(service.live().player(&player))?;
    let mut query = Query::read(request.query_string(), asked::COMPARISON)?;
    let pair = asked::pair(&mut query);
    let (filter, share) = (asked::filter(&mut query), asked::share(&mut query));
    let (mix, air) = (query.one("mix"), asked::air(&mut query));
    let weather = weather::conditions(&mut query);
    let asked = Asked::read(query, (&service, &request), player)?.kept_in(air);
    let asked = if weather.is_some() { asked.kept() } else { asked };
    let question = ComparisonQuestion { filter, share, mix, air, units: asked.units };
    let Some([incumbent, candidate]) = pair else { return Err(Problem::invalid(Vec::new())) };
    asked
        .answer(service, move |live, player| {
            let clubs = [&incumbent, &candidate];
            let names = Names::of(&question.filter).pair(clubs);
            let refused = |error| names.refuse(&error, live, player);
            let Some(weather) = weather else {
                return live.comparison(player, clubs, question.clone()).map_err(refused);
            };
            let (compared, to_fly) =
                live.comparison_to_fly(player, clubs, &question).map_err(refused)?;
            let flown = to_fly.fly(&weather).map_err(|faults| weather::lost(&faults))?;
            Ok(Comparison { conditions: Some(flown), ..compared })
        })
        .await
}

async fn replacements(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    known(service.live().player(&player))?;
    let mut query = Query::read(request.query_string(), asked::REPLACEMENTS)?;
    let wanted = asked::place(&mut query);
    let asked = Asked::read(query, (&service, &request), player)?;
    let wanted = wanted.ok_or_else(|| Problem::invalid(Vec::new()))?;
    let asked = asked.kept_in(wanted.air.unwrap_or_default());
    let wanted = PlaceWanted { units: asked.units, ..wanted };
    asked
        .answer(service, move |live, player| {
            let names = Names::of(&wanted.brief.filter).clubs("incumbent", [&wanted.incumbent]);
            let names = names.clubs("candidate", &wanted.candidates).bag(wanted.bag.as_ref());
            let judged = live.replacements(player, &wanted);
            judged.map_err(|error| names.refuse(&error, live, player))
        })
        .await
}

/// Refuses what the path names and nothing is called.
pub(super) fn known<T>(found: Result<T, ReadError>) -> Result<(), Problem> {
    found.map(drop).map_err(|error| errors::of_question(&error))
}

/// An answer that says which sequence it is as of.
pub(super) trait Dated: Serialize + Send + 'static {
    fn as_of(&self) -> Sequence;
}

macro_rules! dated {
    ($($Answer:ident)+) => {$(
        impl Dated for $Answer {
            fn as_of(&self) -> Sequence {
                self.as_of
            }
        }
    )+};
}

dated! { Profile ClubFlight Ladder Drifts Comparison Replacements }

/// A question about a player that was read without a fault.
pub(super) struct Asked {
    player: PlayerId,
    pub(super) units: Units,
    question: Question,
    known: Tags,
    keeps: bool,
}

impl Asked {
    /// Reads what all questions have in common, and ends the reading.
    pub(super) fn read(
        mut query: Query<'_>,
        (service, request): (&Service, &HttpRequest),
        player: PlayerId,
    ) -> Result<Self, Problem> {
        let units = Units::read(&mut query);
        let canonical = query.canonical(&["units"]) + units.as_str();
        query.done()?;
        let known = Tags::known(request.headers());
        Ok(Self {
            player,
            units,
            question: Question::of(request, service, &canonical),
            known,
            keeps: false,
        })
    }

    /// The same, for an answer that costs so much that it is kept for whoever asks next.
    pub(super) fn kept(self) -> Self {
        Self { keeps: true, ..self }
    }

    /// The same for one whose carries are to be flown.
    pub(super) fn kept_in(self, air: CarryAir) -> Self {
        if air == CarryAir::Reference { self.kept() } else { self }
    }

    /// Answers, unless the client shows that it has the answer: then nothing is worked out.
    pub(super) async fn answer<T: Dated>(
        self,
        service: web::Data<Service>,
        question: impl FnOnce(&Live, &PlayerId) -> Result<T, Problem> + Send + 'static,
    ) -> Answer {
        let units = self.units;
        let made = self.made(service, move |live, player| {
            let answer = question(live, player)?;
            let text = units.write(&answer).map_err(|error| unwritten(&error))?;
            Ok((answer.as_of(), Bytes::from(text)))
        });
        match made.await? {
            (tag, None) => Ok(tag.unchanged()),
            (tag, Some(text)) => {
                let mut answer = json_text(StatusCode::OK, text);
                answer.headers_mut().insert(header::ETAG, tag.value());
                Ok(answer)
            }
        }
    }

    /// The tag of the answer and its text, which is made as of a sequence, unless the client shows that
    /// it has it.
    pub(super) async fn made(
        self,
        service: web::Data<Service>,
        make: impl FnOnce(&Live, &PlayerId) -> Result<(Sequence, Bytes), Problem> + Send + 'static,
    ) -> Result<(Tag, Option<Bytes>), Problem> {
        ask(move || {
            let live = service.live();
            let as_of = live.player_as_of(&self.player);
            let as_of = as_of.map_err(|error| errors::of_question(&error))?;
            let tag = self.question.tag(as_of);
            if self.known.names(&tag) {
                return Ok((tag, None));
            }
            if let Some(text) = self.keeps.then(|| service.kept.get(&tag)).flatten() {
                return Ok((tag, Some(text)));
            }
            let (as_of, text) = make(live, &self.player)?;
            let tag = self.question.tag(as_of);
            if self.keeps {
                service.kept.put(tag.clone(), text.clone());
            }
            Ok((tag, Some(text)))
        })
        .await
    }
}
