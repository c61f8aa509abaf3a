//! What a list of shots is asked.

use std::time::Duration;

use crate::{
    api::{
        cursor,
        limits::Limits,
        media::Media,
        problem::Problem,
        query::{Form, FromText, Parameter, Query, Stretch, Table, Words},
        units::Units,
    },
    live::ShotQuestion,
    shot::{Height, Lie, Purpose, Sequence, Shape, ShotFilter, Swing},
};

/// The parameters of a list.
pub(super) const PARAMETERS: Table = &[
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
            "after",
            Form::Sequence,
            "Shots that came in after this sequence, oldest first: for scripts that follow. They go on \
             from the last item's `sequence`. A `cursor` goes before it.",
        ),
        Parameter::new(
            "wait",
            Form::Wait,
            "With `after`: where there is no such shot yet, wait for one, at most so many seconds. The \
             page is empty if none came.",
        ),
        Parameter::new(
            "order",
            Form::OneOf(Order::spellings),
            "The order; oldest first unless given.",
        ),
    ],
    Stretch::PARAMETERS,
    Units::PARAMETERS,
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

/// What was asked.
#[derive(Debug)]
pub(super) struct Wanted {
    /// The question.
    pub(super) question: ShotQuestion,
    /// The filter and the order in a form that does not depend on how they were written: what
    /// cursors belong to.
    pub(super) filter: String,
    /// All that was asked, as text.
    pub(super) whole: String,
    /// The units of a table.
    pub(super) units: Units,
    /// Where a script goes on that follows.
    pub(super) after: Option<Sequence>,
    /// How long it waits for the next shot.
    pub(super) wait: Option<Duration>,
}

impl Wanted {
    /// Reads the query of a list that is given as `media`.
    pub(super) fn read(raw: &str, media: Media, limits: &Limits) -> Result<Self, Problem> {
        let mut query = Query::read(raw, PARAMETERS)?;
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
        if filter.id.is_some() && filter.source.is_none() {
            query.fault("id", "`id` is a name within a source: give `source` too");
        }
        let units = Units::read(&mut query);
        if query.text("units").is_some() && media != Media::Csv {
            query.fault(
                "units",
                "`units` is for text/csv: as JSON an event comes in the units it was sent in",
            );
        }
        let order = query.one("order").unwrap_or(Order::Oldest);
        let limit = query.page_items("limit", limits);
        let after: Option<Sequence> = query.one("after");
        if after.is_some() && order == Order::Newest {
            query.fault("after", "`after` goes from the oldest shot on: leave `order` out");
        }
        let wait = query.wait("wait", limits);
        if wait.is_some() && query.text("after").is_none() {
            query.fault("wait", "`wait` is for who follows: give `after` too, 0 for all shots");
        }
        let filter_text = canonical(&filter, order);
        let question = ShotQuestion {
            filter,
            newest_first: order == Order::Newest,
            beyond: read_cursor(&mut query, &filter_text).or(after),
            limit,
            ..ShotQuestion::default()
        };
        let beyond = question.beyond.map(Sequence::get);
        let whole = format!("{filter_text} {beyond:?} {limit} {}", units.as_str());
        query.done()?;
        Ok(Self { question, filter: filter_text, whole, units, after, wait })
    }
}

fn canonical(filter: &ShotFilter, order: Order) -> String {
    // Names, words and instants always have a JSON form.
    let filter = serde_json::to_string(filter).unwrap_or_default();
    format!("{filter} {order:?}")
}

fn read_cursor(query: &mut Query<'_>, canonical: &str) -> Option<Sequence> {
    let text = query.text("cursor")?.to_owned();
    let end = cursor::read(&text, canonical);
    end.map_err(|detail| query.fault("cursor", format!("`cursor` {detail}"))).ok()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::*;
    use crate::shot::Flags;

    fn read(raw: &str) -> Result<Wanted, Problem> {
        Wanted::read(raw, Media::Json, &Limits::default())
    }

    fn faults(raw: &str) -> Vec<String> {
        let refused = read(raw).unwrap_err();
        refused.errors().iter().filter_map(|fault| fault.parameter.clone()).collect()
    }

    #[test]
    fn a_question_says_what_it_wants_and_the_rest_is_as_usual() {
        let question = read("player=rowan&order=newest&flag=mishit").unwrap().question;
        assert_eq!(question.filter.player.unwrap().as_str(), "rowan");
        assert!(question.newest_first);
        assert_eq!(question.filter.flag, Some(Flags::MISHIT));
        assert_eq!(question.limit, 100);
    }

    #[test]
    fn a_page_has_a_thousand_shots_at_most() {
        assert!(read("limit=1000").is_ok());
        assert_eq!(faults("limit=1001"), ["limit"]);
        assert_eq!(faults("limit=0"), ["limit"]);
    }

    #[test]
    fn a_cursor_belongs_to_its_filter_but_not_to_how_that_was_written() {
        let wanted = read("player=rowan&from=2026-04-11&limit=5").unwrap();
        let next = cursor::write(Sequence::new(9), &wanted.filter);
        for same in [
            "limit=7&player=row%61n&from=2026-04-11T02:00:00%2B02:00",
            "from=2026-04-11&zone=UTC&player=rowan&order=oldest",
        ] {
            let wanted = read(&format!("{same}&cursor={next}")).unwrap();
            assert_eq!(wanted.question.beyond, Some(Sequence::new(9)), "{same}");
        }
        for other in [
            "player=robin&from=2026-04-11",
            "player=rowan",
            "player=rowan&from=2026-04-11&order=newest",
            "player=rowan&from=2026-04-11&flag=mishit",
            "player=rowan&from=2026-04-11&zone=Europe/Madrid",
        ] {
            assert_eq!(faults(&format!("{other}&cursor={next}")), ["cursor"], "{other}");
        }
    }

    #[test]
    fn units_are_for_the_table_alone() {
        assert_eq!(faults("units=imperial"), ["units"]);
        let table = Wanted::read("units=imperial", Media::Csv, &Limits::default());
        assert_eq!(table.unwrap().units, Units::Imperial);
    }
}
