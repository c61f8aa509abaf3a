//! `/v1/players/{player}/trials`: clubs hit head to head, judged after every shot.

mod history;
mod read;
mod write;

pub(super) use self::read::named;

use super::{
    endpoint::{Caching, Endpoint, Success, Verb, shape},
    insight::Dated,
    kind::Kind,
    media::Media,
    query::{Form, Parameter, Table, Words},
    spec,
    units::Units,
};
use crate::{
    bag::TrialStanding,
    shot::{Sequence, TrialState},
};
use actix_web::web;

const TRIALS: &str = "/v1/players/{player}/trials";
const TRIAL: &str = "/v1/players/{player}/trials/{trial}";

pub(super) const ENDPOINTS: &[Endpoint] = &[
    Endpoint {
        path: TRIALS,
        handler: || web::to(read::list),
        name: "listTrials",
        about: "The trials of a player, the newest first.",
        parameters: OF_LIST,
        successes: &[Success::new(200, "The list.", shape::<read::TrialList>)],
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Post,
        path: TRIALS,
        handler: || web::to(write::open),
        name: "openTrial",
        about: "Opens a trial: a head-to-head of an incumbent and one to six candidates, whose brief is \
                fixed here and now. The shots of its clubs that arrive from now on are judged after \
                every ball. Its clubs and its ball are put before. The service names it; a second POST \
                opens a second trial.",
        parameters: OF_ONE,
        takes: &[Media::Json],
        body: Some(spec::trial),
        successes: &[Success::new(201, "The trial.", spec::in_units::<TrialStanding>)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: TRIAL,
        handler: || web::to(read::one),
        name: "readTrial",
        about: "How a trial stands: the verdict on each candidate, what to hit next, and which shots \
                left the hitting order.",
        parameters: OF_ONE,
        successes: &[Success::new(200, "The trial.", spec::in_units::<TrialStanding>)],
        caching: Caching::Exact,
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Patch,
        path: TRIAL,
        handler: || web::to(write::change),
        name: "changeTrial",
        about: "Pauses, closes or opens a trial again, or changes its name or notes, by a JSON Merge \
                Patch (RFC 7396). What arrives while it is not open does not count. Its brief and its \
                clubs are fixed.",
        parameters: OF_ONE,
        takes: &[Media::Json, Media::MergePatch],
        body: Some(spec::trial_patch),
        successes: &[Success::new(200, "The trial as it is now.", spec::in_units::<TrialStanding>)],
        refusals: &[Kind::Conflict],
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Delete,
        path: TRIAL,
        handler: || web::to(write::delete),
        name: "deleteTrial",
        about: "Removes a trial; its shots stay, and count elsewhere as before.",
        successes: &[Success::bare(204, "It is gone.")],
        ..Endpoint::BASE
    },
    Endpoint {
        path: "/v1/players/{player}/trials/{trial}/history",
        handler: || web::to(history::read),
        name: "readTrialHistory",
        about: "How a trial's evidence grew: each candidate's verdict and evidence after every counted \
                shot, oldest first, by what the shots say now.",
        parameters: OF_HISTORY,
        successes: &[Success::new(
            200,
            "A page of the history.",
            spec::in_units::<history::TrialHistoryPage>,
        )],
        ..Endpoint::BASE
    },
];

const OF_LIST: Table =
    &[&[Parameter::new("state", Form::OneOf(TrialState::spellings), "Only trials that stand so.")]];

const OF_ONE: Table = &[Units::PARAMETERS];

const OF_HISTORY: Table = &[
    &[
        Parameter::new("limit", Form::PageItems, "Shots that a page holds."),
        Parameter::new("cursor", Form::Opaque, "The `next` of the page before."),
    ],
    Units::PARAMETERS,
];

impl Dated for TrialStanding {
    fn as_of(&self) -> Sequence {
        self.as_of
    }
}
