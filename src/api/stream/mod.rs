//! `GET /v1/live`: what happens, as Server-Sent Events (HTML Standard, 9.2).

mod body;
mod shapes;
mod wanted;
mod words;

use actix_web::{
    HttpRequest, HttpResponse,
    http::{
        Method,
        header::{self, HeaderName, HeaderValue},
    },
    web,
};
use bytes::Bytes;
use futures_util::stream;

use self::{
    body::Body,
    wanted::{Place, Wanted},
};
use super::{
    endpoint::{Answer, Caching, Endpoint, Success},
    media::Media,
    problem::{Fault, Kind, Problem},
    service::{Service, ask},
    shots::list::check_names,
};
use crate::shot::{ClubId, Sequence, ShotFilter};

pub(super) use self::{shapes::schema, words::Words};

/// The header by which a client says which event it had last.
const LAST_EVENT_ID: HeaderName = HeaderName::from_static("last-event-id");
/// Has a proxy pass events on at once.
const X_ACCEL_BUFFERING: HeaderName = HeaderName::from_static("x-accel-buffering");

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    path: "/v1/live",
    handler: || web::to(live),
    name: "followLive",
    about: "Follows what happens, as Server-Sent Events without an end. A `shot` is told when it is on \
            the disk and every question knows of it, as `GET /v1/shots` shows it at that moment; a \
            `correction` when an act has changed shots: a correction, an assignment, an erasure or a \
            retirement. Their `id` is the sequence, and `Last-Event-ID` or `after` goes on behind it \
            without a gap or a repeat, also after a restart. Without either the stream begins now; who \
            asks first, and follows `after` the answer's `as_of`, misses nothing. The stream begins with \
            the `id` behind which it goes on, and says it anew at least as often as a comment comes: all \
            that is followed up to there has been sent, so who follows little comes back from close by.\n\n\
            What is watched comes at the start and when something has changed it, at most four times a \
            second, as the question of the same name answers and without an `id`. With `player`, `drift` \
            tells how the clubs do, and `trial` how each trial stands that goes on: anew after each shot, \
            when it is opened, paused or opened again, and once more when it is closed or taken out, also \
            where that happened while the reader was away. With `club`, `profile` tells what the club \
            does; with `incumbent`, `verdict` which clubs can take its place. What is said of the player, \
            the player's clubs, their builds and lofts, bags or a ball changes them too, whoever said it; \
            what is said of a source, or its context, changes nothing but the shots that come after, and \
            is not told.\n\n\
            A stream that the service ends has a last `cut` that says why; a place that there is not \
            gives one `reset`. Flags that later shots change are not told anew.",
    parameters: wanted::PARAMETERS,
    gives: &[Media::EventStream],
    caching: Caching::Never,
    successes: &[Success::new(200, "The stream.", shapes::components)],
    refusals: &[Kind::Crowded, Kind::Unavailable],
    ..Endpoint::BASE
}];

async fn live(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let wanted = Wanted::read(request.query_string())?;
    let last = service.store.last();
    let place = Place::of(request.headers().get(LAST_EVENT_ID), wanted.after, last);
    if let Some(until) = wanted.until.filter(|until| *until > last) {
        let detail = format!("`until` is {until}, and the last sequence is {last}");
        return Err(Problem::invalid(vec![Fault::of_parameter("until", detail)]));
    }
    let (asking, wanted) = (service.clone(), wanted);
    let wanted = ask(move || check(&asking, &wanted).map(|()| wanted)).await?;
    let mut answer = HttpResponse::Ok();
    answer.insert_header((header::CONTENT_TYPE, Media::EventStream.name()));
    answer.insert_header((X_ACCEL_BUFFERING, HeaderValue::from_static("no")));
    if request.method() == Method::HEAD {
        return Ok(answer.streaming(stream::empty::<Result<Bytes, Problem>>()));
    }
    let mut reader = service.follow(wanted.followed, place.after, &request)?;
    let boards = wanted.boards;
    let reader = ask(move || {
        if place.is_named && !boards.is_empty() {
            reader.come_back();
        }
        for board in boards {
            reader.watch(board);
        }
        Ok(reader)
    });
    let reader = reader.await?;
    let body = Body::new((service, reader), place, wanted.until);
    Ok(answer.streaming(body.pieces()))
}

/// Refuses names that nothing has.
fn check(service: &Service, wanted: &Wanted) -> Result<(), Problem> {
    let followed = &wanted.followed;
    check_names(
        service,
        &ShotFilter {
            player: followed.player.clone(),
            club: followed.club.clone(),
            source: followed.source.clone(),
            ..ShotFilter::default()
        },
    )?;
    let Some(player) = &followed.player else { return Ok(()) };
    let unknown = |(parameter, club): (&'static str, &ClubId)| {
        let found = service.live().club(player, club);
        found.err().map(|error| Fault::of_parameter(parameter, error.to_string()))
    };
    let faults: Vec<Fault> = wanted.clubs().filter_map(unknown).collect();
    if faults.is_empty() { Ok(()) } else { Err(Problem::invalid(faults)) }
}

impl Place {
    /// Where a stream begins: behind the event that the header names, else behind `after`, else now. A
    /// place that there is not is said to be none.
    fn of(header: Option<&HeaderValue>, after: Option<Sequence>, last: Sequence) -> Self {
        let header = header.filter(|value| !value.is_empty());
        let named = match header {
            Some(value) => value.to_str().ok().and_then(wanted::sequence),
            None if after.is_some() => after,
            None => return Self { after: last, is_named: false, is_none: false },
        };
        match named.filter(|place| *place <= last) {
            Some(after) => Self { after, is_named: true, is_none: false },
            None => Self { after: last, is_named: false, is_none: true },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stream_goes_on_behind_the_last_event_then_behind_after_then_now() {
        let of = |header: Option<&'static str>, after: Option<u64>| {
            let header = header.map(HeaderValue::from_static);
            let place = Place::of(header.as_ref(), after.map(Sequence::new), Sequence::new(10));
            (place.after.get(), place.is_none)
        };
        assert_eq!(of(None, None), (10, false));
        assert_eq!(of(None, Some(3)), (3, false));
        assert_eq!(of(Some("7"), Some(3)), (7, false));
        assert_eq!(of(Some(""), Some(3)), (3, false));
        assert_eq!(of(Some("10"), None), (10, false));
        for none in ["11", "-1", "abc", "99999999999999999999999"] {
            assert_eq!(of(Some(none), None), (10, true), "{none}");
        }
        assert_eq!(of(None, Some(11)), (10, true));
    }
}
