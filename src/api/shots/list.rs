//! `GET /v1/shots`

use actix_web::{
    HttpRequest, HttpResponse,
    http::{Method, header},
    web,
};
use bytes::Bytes;
use futures_util::{StreamExt, stream};

use super::{
    forms::{Form, Outgoing},
    table::Table,
    waiting,
    wanted::{self, Wanted},
};
use crate::{
    api::{
        cursor,
        endpoint::{Answer, Endpoint, Success, shape},
        errors,
        field::Field,
        items,
        judge::Asked,
        media::Media,
        problem::{Fault, Kind, Problem},
        service::{Service, ask},
        tag::{self, Tag, Tags},
    },
    live::{Page, ReadError, ShotQuestion},
    shot::{Sequence, ShotFilter},
};

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    path: "/v1/shots",
    handler: || web::to(list),
    name: "listShots",
    about: "Lists shots page by page, by what is effective for them. A page may be empty and still \
            have a `next`; there is none at the end. The next page is in `Link` too, where NDJSON \
            and CSV have it alone. An answer that cannot be written to its end is cut off.",
    parameters: wanted::PARAMETERS,
    gives: &[Media::Json, Media::Ndjson, Media::Csv],
    line: Some(items::SHAPE),
    refusals: &[Kind::Crowded, Kind::Unavailable],
    successes: &[Success::new(200, "A page of shots.", shape::<ShotPage>).with(&[Field::LINK])],
    ..Endpoint::BASE
}];

/// A page of shots.
#[derive(utoipa::ToSchema)]
#[expect(dead_code, reason = "describes what is written piece by piece")]
struct ShotPage {
    /// The shots.
    items: Vec<items::Item<'static>>,
    /// The cursor of the next page; absent at the end.
    #[schema(required = false)]
    next: Option<String>,
    /// The last sequence that touched what the page is about: the player, or all shots.
    as_of: u64,
}

async fn list(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let media = Asked::of(&request).gives;
    let wanted = Wanted::read(request.query_string(), media, &service.limits)?;
    let Wanted { mut question, filter, units, .. } = wanted;
    if let Some(after) = wanted.after {
        check_place(after, &service)?;
    }
    if let Some(wait) = wanted.wait.filter(|_| request.method() != Method::HEAD) {
        waiting::for_shots(&service, &request, (&question, wait)).await?;
    }
    // The fold may be ahead of what the store shows by a part of a group.
    question.upto = service.store.last();
    let asked = tag::Question::of(&request, &service, &wanted.whole);
    let known = Tags::known(request.headers());
    let begun = ask(move || {
        check_names(&service, &question.filter)?;
        let before = asked.tag(as_of(&service, &question)?);
        if known.names(&before) {
            return Ok(Begun::Unchanged(before));
        }
        let page = page(&service, &question)?;
        let next = page.next.map(|end| cursor::write(end, &filter));
        let form = match media {
            Media::Csv => Form::Table(Table::of(units)),
            Media::Ndjson => Form::Lines,
            _ => Form::Object { next: next.clone(), as_of: page.as_of },
        };
        let mut outgoing = Outgoing::new(service, page.shots, form);
        let first = outgoing.piece()?;
        Ok(Begun::Page { tag: asked.tag(page.as_of), next, first, outgoing })
    });
    let (tag, next, first, outgoing) = match begun.await? {
        Begun::Unchanged(tag) => return Ok(tag.unchanged()),
        Begun::Page { tag, next, first, outgoing } => (tag, next, first, outgoing),
    };
    let mut answer = HttpResponse::Ok();
    answer.insert_header((header::ETAG, tag.value()));
    answer.insert_header((header::CONTENT_TYPE, content_type(media)));
    if let Some(next) = next {
        answer.insert_header((header::LINK, link(request.query_string(), &next)));
    }
    if outgoing.ended {
        return Ok(answer.body(first));
    }
    let first = stream::iter([Ok(first)]);
    if request.method() == Method::HEAD {
        return Ok(answer.streaming(first));
    }
    Ok(answer.streaming(first.chain(outgoing.rest())))
}

/// How far an answer is before its first bytes go out.
enum Begun {
    Unchanged(Tag),
    Page { tag: Tag, next: Option<String>, first: Bytes, outgoing: Outgoing },
}

fn content_type(media: Media) -> &'static str {
    match media {
        Media::Csv => "text/csv; charset=utf-8",
        other => other.name(),
    }
}

/// What the answer will be as of, if nothing happens meanwhile.
fn as_of(service: &Service, question: &ShotQuestion) -> Result<Sequence, Problem> {
    service.live().shots_as_of(question).map_err(|error| errors::of_state(&error))
}

/// A page; that of a question which names one shot holds it or nothing.
pub(super) fn page(service: &Service, question: &ShotQuestion) -> Result<Page, Problem> {
    let ask = |question: &ShotQuestion| {
        service.live().shots(question).map_err(|error| errors::of_state(&error))
    };
    let (Some(source), Some(id)) = (&question.filter.source, &question.filter.id) else {
        return ask(question);
    };
    let found = service.store.find(source, id).map_err(|error| errors::of_table(&error))?;
    let Some(shot) = found else {
        return Ok(Page { shots: Vec::new(), next: None, as_of: as_of(service, question)? });
    };
    let before = shot.get().checked_sub(1).map(Sequence::new);
    let only = ShotQuestion { newest_first: false, beyond: before, limit: 1, ..question.clone() };
    let mut page = ask(&only)?;
    page.shots.retain(|view| view.sequence == shot);
    Ok(Page { next: None, ..page })
}

/// Refuses a place that nothing has: who follows would wait there for ever.
fn check_place(after: Sequence, service: &Service) -> Result<(), Problem> {
    let last = service.store.last();
    if after <= last {
        return Ok(());
    }
    let detail = format!("`after` is {after}, and the last sequence is {last}: begin anew");
    Err(Problem::invalid(vec![Fault::of_parameter("after", detail)]))
}

/// Refuses names that nothing has.
pub(in crate::api) fn check_names(service: &Service, filter: &ShotFilter) -> Result<(), Problem> {
    let live = service.live();
    let mut unknown = Vec::new();
    let mut check = |parameter: &str, found: Result<(), ReadError>| {
        if let Err(error) = found {
            unknown.push(Fault::of_parameter(parameter, error.to_string()));
        }
    };
    if let Some(player) = &filter.player {
        check("player", live.player(player).map(drop));
        if let (Some(club), Ok(_)) = (&filter.club, live.player(player)) {
            check("club", live.club(player, club).map(drop));
        }
    }
    if let Some(ball) = &filter.ball {
        check("ball", live.ball(ball).map(drop));
    }
    if let Some(source) = &filter.source {
        check("source", live.source(source).map(drop));
    }
    if unknown.is_empty() { Ok(()) } else { Err(Problem::invalid(unknown)) }
}

/// The next page as a link (RFC 8288): the question as it was asked, with the new cursor.
fn link(raw: &str, next: &str) -> String {
    let asked = raw.split('&').filter(|part| !part.is_empty() && !part.starts_with("cursor="));
    let cursor = format!("cursor={next}");
    let parts: Vec<&str> = asked.chain([cursor.as_str()]).collect();
    format!("</v1/shots?{}>; rel=\"next\"", parts.join("&"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_page_is_asked_as_this_one_was() {
        assert_eq!(
            link("player=a%2Fb&cursor=0&limit=2", "12ab"),
            "</v1/shots?player=a%2Fb&limit=2&cursor=12ab>; rel=\"next\""
        );
    }
}
