//! `GET /v1/shots`

use actix_web::{HttpRequest, HttpResponse, http::header, web};

use crate::{
    api::{
        cursor,
        endpoint::{Answer, Endpoint, Success, shape},
        errors, items,
        judge::Asked,
        limits::Limits,
        media::Media,
        problem::{Fault, Problem},
        query::{Form, FromText, Parameter, Query, Stretch, Table, Words},
        service::{Service, ask},
    },
    live::{Page, ReadError, ShotQuestion},
    shot::{Height, Lie, Purpose, Sequence, Shape, ShotFilter, Swing},
};

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    path: "/v1/shots",
    handler: || web::to(list),
    name: "listShots",
    about: "Lists shots page by page, by what is effective for them. A page may be empty and still \
            have a `next`; there is none at the end. As NDJSON the next page is in `Link`.",
    parameters: PARAMETERS,
    gives: &[Media::Json, Media::Ndjson],
    successes: &[Success::new(200, "A page of shots.", shape::<ShotPage>)],
    ..Endpoint::BASE
}];

const PARAMETERS: Table = &[
    &[
        Parameter::new("player", Form::Name, "Shots of this player."),
        Parameter::new("club", Form::Name, "Shots with this club."),
        Parameter::new("session", Form::Name, "Shots of this visit."),
        Parameter::new("lie", Form::OneOf(Lie::spellings), "Shots from this lie."),
        Parameter::new("height", Form::OneOf(Height::spellings), "Shots meant to fly so high."),
        Parameter::new("shape", Form::OneOf(Shape::spellings), "Shots meant to curve so."),
        Parameter::new("swing", Form::OneOf(Swing::spellings), "Shots meant as such a swing."),
        Parameter::new("purpose", Form::OneOf(Purpose::spellings), "Shots hit for this."),
        Parameter::new("ball", Form::Name, "Shots with this ball."),
        Parameter::new("source", Form::Name, "Shots of this source."),
        Parameter::new("id", Form::Name, "The shot of this id; needs `source`."),
        Parameter::new("flag", Form::Flag, "Shots with this flag."),
        Parameter::new(
            "unassigned",
            Form::Truth,
            "Shots without a player and a club, or with both.",
        ),
        Parameter::new("limit", Form::PageItems, "Shots that a page holds."),
        Parameter::new("cursor", Form::Opaque, "The `next` of the page before."),
        Parameter::new(
            "order",
            Form::OneOf(Order::spellings),
            "The order; oldest first unless given.",
        ),
    ],
    Stretch::PARAMETERS,
];

/// The order of a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Order {
    Oldest,
    Newest,
}

impl Words for Order {
    fn spellings() -> Vec<&'static str> {
        vec!["oldest", "newest"]
    }
}

impl FromText for Order {
    fn from_text(text: &str) -> Result<Self, String> {
        match text {
            "oldest" => Ok(Self::Oldest),
            "newest" => Ok(Self::Newest),
            _ => Err(format!("is `{text}`: give one of {}", Self::spellings().join(", "))),
        }
    }
}

/// A page of shots.
#[derive(utoipa::ToSchema)]
#[expect(dead_code, reason = "describes what is written piece by piece")]
struct ShotPage {
    /// The shots.
    items: Vec<items::Item<'static>>,
    /// The cursor of the next page; absent at the end.
    #[schema(required = false)]
    next: Option<String>,
    /// The last sequence that was folded.
    as_of: u64,
}

async fn list(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let (mut question, canonical) = read(request.query_string(), &service.limits)?;
    // The fold may be ahead of what the store shows by a part of a group.
    question.upto = service.store.last();
    let media = Asked::of(&request).gives;
    let (text, next) = ask(move || {
        check_names(&service, &question.filter)?;
        let page = page(&service, &question)?;
        let next = page.next.map(|end| cursor::write(end, &canonical));
        let text = match media {
            Media::Ndjson => lines(&service, &page)?,
            _ => object(&service, &page, next.as_deref())?,
        };
        Ok((text, next))
    })
    .await?;
    let mut answer = HttpResponse::Ok();
    answer.insert_header((header::CONTENT_TYPE, media.name()));
    if let Some(next) = next {
        answer.insert_header((header::LINK, link(request.query_string(), &next)));
    }
    Ok(answer.body(text))
}

/// The question, and its canonical form, to which cursors belong.
fn read(raw: &str, limits: &Limits) -> Result<(ShotQuestion, String), Problem> {
    let mut query = Query::read(raw, PARAMETERS)?;
    let canonical = query.canonical(&["limit", "cursor"]);
    let Stretch { from, to } = Stretch::read(&mut query);
    let filter = ShotFilter {
        player: query.one("player"),
        club: query.one("club"),
        session: query.one("session"),
        lie: query.one("lie"),
        height: query.one("height"),
        shape: query.one("shape"),
        swing: query.one("swing"),
        purpose: query.one("purpose"),
        ball: query.one("ball"),
        source: query.one("source"),
        id: query.one("id"),
        flag: query.one("flag"),
        from,
        to,
        unassigned: query.one("unassigned"),
        last: None,
    };
    let question = ShotQuestion {
        filter,
        newest_first: query.one("order") == Some(Order::Newest),
        beyond: read_cursor(&mut query, &canonical),
        limit: query.page_items("limit", limits),
        ..ShotQuestion::default()
    };
    if question.filter.id.is_some() && question.filter.source.is_none() {
        query.fault("id", "`id` is a name within a source: give `source` too");
    }
    query.done()?;
    Ok((question, canonical))
}

/// A page; that of a question which names one shot holds it or nothing.
fn page(service: &Service, question: &ShotQuestion) -> Result<Page, Problem> {
    let ask = |question: &ShotQuestion| {
        service.live().shots(question).map_err(|error| errors::of_state(&error))
    };
    let (Some(source), Some(id)) = (&question.filter.source, &question.filter.id) else {
        return ask(question);
    };
    let found = service.store.find(source, id).map_err(|error| errors::of_table(&error))?;
    let Some(shot) = found else {
        return Ok(Page { shots: Vec::new(), next: None, as_of: service.store.last() });
    };
    let before = shot.get().checked_sub(1).map(Sequence::new);
    let only = ShotQuestion { newest_first: false, beyond: before, limit: 1, ..question.clone() };
    let mut page = ask(&only)?;
    page.shots.retain(|view| view.sequence == shot);
    Ok(Page { next: None, ..page })
}

fn read_cursor(query: &mut Query<'_>, canonical: &str) -> Option<Sequence> {
    let text = query.text("cursor")?.to_owned();
    let end = cursor::read(&text, canonical);
    end.map_err(|detail| query.fault("cursor", format!("`cursor` {detail}"))).ok()
}

/// Refuses names that nothing has.
fn check_names(service: &Service, filter: &ShotFilter) -> Result<(), Problem> {
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

fn object(service: &Service, page: &Page, next: Option<&str>) -> Result<Vec<u8>, Problem> {
    let mut text = Vec::from(&b"{\"items\":["[..]);
    for (at, view) in page.shots.iter().enumerate() {
        if at > 0 {
            text.push(b',');
        }
        items::write(service, view, &mut text)?;
    }
    text.push(b']');
    if let Some(next) = next {
        text.extend_from_slice(format!(",\"next\":\"{next}\"").as_bytes());
    }
    text.extend_from_slice(format!(",\"as_of\":{}}}", page.as_of).as_bytes());
    Ok(text)
}

fn lines(service: &Service, page: &Page) -> Result<Vec<u8>, Problem> {
    let mut text = Vec::new();
    for view in &page.shots {
        let from = text.len();
        items::write(service, view, &mut text)?;
        items::onto_one_line(&mut text[from..]);
        text.push(b'\n');
    }
    Ok(text)
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
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::*;
    use crate::shot::Flags;

    fn faults(raw: &str) -> Vec<String> {
        let refused = read(raw, &Limits::default()).unwrap_err();
        refused.errors().iter().filter_map(|fault| fault.parameter.clone()).collect()
    }

    #[test]
    fn a_question_says_what_it_wants_and_the_rest_is_as_usual() {
        let (question, _) =
            read("player=rowan&order=newest&flag=mishit", &Limits::default()).unwrap();
        assert_eq!(question.filter.player.unwrap().as_str(), "rowan");
        assert!(question.newest_first);
        assert_eq!(question.filter.flag, Some(Flags::MISHIT));
        assert_eq!(question.limit, 100);
    }

    #[test]
    fn a_page_has_a_thousand_shots_at_most() {
        assert!(read("limit=1000", &Limits::default()).is_ok());
        assert_eq!(faults("limit=1001"), ["limit"]);
        assert_eq!(faults("limit=0"), ["limit"]);
    }

    #[test]
    fn a_cursor_belongs_to_its_filter_but_not_to_its_page_size() {
        let (_, canonical) = read("player=rowan&limit=5", &Limits::default()).unwrap();
        let next = cursor::write(Sequence::new(9), &canonical);
        let (question, _) =
            read(&format!("limit=7&cursor={next}&player=rowan"), &Limits::default()).unwrap();
        assert_eq!(question.beyond, Some(Sequence::new(9)));
        assert_eq!(faults(&format!("player=robin&cursor={next}")), ["cursor"]);
        assert_eq!(faults(&format!("player=rowan&order=newest&cursor={next}")), ["cursor"]);
    }

    #[test]
    fn the_next_page_is_asked_as_this_one_was() {
        assert_eq!(
            link("player=a%2Fb&cursor=0&limit=2", "12ab"),
            "</v1/shots?player=a%2Fb&limit=2&cursor=12ab>; rel=\"next\""
        );
    }
}
