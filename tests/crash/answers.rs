//! Every answer there is: as the service gives it, and as a fold from the start of the journal does.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use bytes::Bytes;
use evencarry::{
    bag::{Brief, Filter},
    live::{DriftsWanted, LadderWanted, Live, PlaceWanted, ROWS_KEPT, ShotQuestion, ShotView},
    shot::{ClubId, Lie, PlayerId, Sequence},
    store::{Chunks, Entry, Frame, Home, Projection, Store, TableError},
};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use crate::http::{self, Failure, Shot};

/// Answers by the path that asks for them, and all shots, oldest first and newest first.
#[derive(Debug, Default)]
pub(crate) struct Answers {
    answers: BTreeMap<String, Value>,
    shots: Vec<Shot>,
}

impl Answers {
    /// How many there are.
    pub(crate) fn count(&self) -> usize {
        self.answers.len() + self.shots.len()
    }

    /// The events of all shots, as they were sent.
    pub(crate) fn events(&self) -> Vec<&str> {
        let oldest_first = &self.shots[..self.shots.len() / 2];
        oldest_first.iter().map(|shot| shot.event.as_str()).collect()
    }

    /// Both must say the same, in every answer.
    pub(crate) fn assert_same(&self, others: &Self, who: &str) {
        let paths = |answers: &Self| answers.answers.keys().cloned().collect::<Vec<_>>();
        assert_eq!(paths(self), paths(others), "{who}: other things can be asked");
        for (path, answer) in &self.answers {
            assert_eq!(answer, &others.answers[path], "{who}: {path}");
        }
        assert_eq!(self.shots.len(), others.shots.len(), "{who}: there are other shots");
        for (shot, other) in self.shots.iter().zip(&others.shots) {
            assert_eq!(shot, other, "{who}");
        }
    }

    fn note(&mut self, path: String, answer: Value) {
        self.answers.insert(path, answer);
    }
}

/// A question about one player.
enum Question {
    Ladder,
    Drifts,
    Profile(ClubId, Option<Lie>),
    Replacements(ClubId, Vec<ClubId>),
    Comparison([ClubId; 2]),
}

/// All questions about a player with these clubs.
fn questions(clubs: &[ClubId]) -> Vec<Question> {
    let mut questions = vec![Question::Ladder, Question::Drifts];
    for club in clubs {
        let others = clubs.iter().filter(|other| *other != club);
        questions.push(Question::Profile(club.clone(), None));
        questions.push(Question::Profile(club.clone(), Some(Lie::Mat)));
        questions.push(Question::Replacements(club.clone(), Vec::new()));
        questions.push(Question::Replacements(club.clone(), others.clone().cloned().collect()));
        questions.extend(others.map(|other| Question::Comparison([club.clone(), other.clone()])));
    }
    questions
}

impl Question {
    fn path(&self, player: &PlayerId) -> String {
        let rest = match self {
            Self::Ladder => "ladder".to_owned(),
            Self::Drifts => "drifts".to_owned(),
            Self::Profile(club, None) => format!("clubs/{club}/profile"),
            Self::Profile(club, Some(lie)) => {
                format!("clubs/{club}/profile?lie={}", json!(lie).as_str().unwrap())
            }
            Self::Replacements(incumbent, candidates) => {
                let named = candidates.iter().map(|club| format!("&candidate={club}"));
                let named: String = named.collect();
                format!("replacements?incumbent={incumbent}&must_carry_m=150{named}")
            }
            Self::Comparison([incumbent, candidate]) => {
                format!("comparisons?incumbent={incumbent}&candidate={candidate}")
            }
        };
        format!("/v1/players/{player}/{rest}")
    }

    /// The answer, in the units in which it comes unless others are asked for.
    fn put(&self, live: &Live, player: &PlayerId) -> Value {
        let mut answer = self.put_bare(live, player);
        answer["units"] = "si".into();
        answer
    }

    fn put_bare(&self, live: &Live, player: &PlayerId) -> Value {
        let filter = |lie| Filter { lie, ..Filter::default() };
        match self {
            Self::Ladder => plain(&live.ladder(player, &LadderWanted::default()).unwrap()),
            Self::Drifts => plain(&live.drifts(player, &DriftsWanted::default()).unwrap()),
            Self::Profile(club, lie) => plain(&live.profile(player, club, &filter(*lie)).unwrap()),
            Self::Replacements(incumbent, candidates) => {
                let wanted = PlaceWanted {
                    candidates: candidates.clone(),
                    brief: Brief { must_carry_m: Some(150.0), ..Brief::default() },
                    ..PlaceWanted::of(incumbent.clone())
                };
                plain(&live.replacements(player, &wanted).unwrap())
            }
            Self::Comparison([incumbent, candidate]) => {
                let clubs = [incumbent, candidate];
                plain(&live.comparison(player, clubs, &Filter::default()).unwrap())
            }
        }
    }
}

/// An answer as a client reads it.
fn plain(answer: &impl Serialize) -> Value {
    serde_json::from_str(&serde_json::to_string(answer).unwrap()).unwrap()
}

#[derive(Deserialize)]
struct List {
    items: Vec<Value>,
}

/// Asks a service everything.
pub(crate) async fn of_service(address: &str) -> Result<Answers, Failure> {
    let client = http::client();
    let mut answers = Answers::default();
    let items = async |path: String| -> Result<Vec<Value>, Failure> {
        let list: Option<List> = http::read(&client, &format!("{address}{path}")).await?;
        Ok(list.unwrap().items)
    };
    for path in ["/v1/players", "/v1/balls", "/v1/sources"] {
        answers.note(path.to_owned(), items(path.to_owned()).await?.into());
    }
    for player in answers.answers["/v1/players"].as_array().unwrap().clone() {
        let player = PlayerId::parse(player["id"].as_str().unwrap()).unwrap();
        let bags = format!("/v1/players/{player}/bags");
        answers.note(bags.clone(), items(bags).await?.into());
        let path = format!("/v1/players/{player}/clubs");
        let clubs = items(path.clone()).await?;
        let id = |club: &Value| ClubId::parse(club["id"].as_str().unwrap()).unwrap();
        let ids: Vec<ClubId> = clubs.iter().map(id).collect();
        answers.note(path, clubs.into());
        for question in questions(&ids) {
            let path = question.path(&player);
            let answer: Option<Value> = http::read(&client, &format!("{address}{path}")).await?;
            answers.note(path, answer.unwrap());
        }
    }
    for order in ["oldest", "newest"] {
        answers.shots.extend(http::shots(&client, address, order).await?);
    }
    Ok(answers)
}

/// Opens a data folder that no service holds, and asks a fold from the start of its journal
/// everything; and the fold that goes on from the table as well, which must say the same.
pub(crate) fn of_fresh_fold(data: &Path) -> Answers {
    let home = Home::in_folder(data, Arc::new(jiff::Timestamp::now)).unwrap();
    let (store, _) = Store::open(home, |chunks| {
        Live::load(chunks, ROWS_KEPT).map_err(|error| TableError {
            file: data.display().to_string(),
            cause: error.to_string(),
        })
    })
    .unwrap();
    let frames = frames(&store);
    let fresh = Live::load(Arc::new(Nothing), usize::MAX).unwrap();
    for frame in &frames {
        fresh.absorb(frame);
    }
    let answers = of_live(&fresh, &frames);
    of_live(store.projection(), &frames).assert_same(&answers, "the fold behind the table");
    drop(store.close());
    answers
}

/// A table that holds nothing: a fold that starts here starts from the start.
struct Nothing;

impl Chunks for Nothing {
    fn get(&self, _: &[u8]) -> Result<Option<Bytes>, TableError> {
        Ok(None)
    }

    fn prefix(&self, _: &[u8]) -> Result<Vec<(Bytes, Bytes)>, TableError> {
        Ok(Vec::new())
    }
}

fn frames(store: &Store<Live>) -> Vec<Frame> {
    let mut frames: Vec<Frame> = Vec::new();
    loop {
        let next = frames.last().map_or(1, |frame| frame.sequence.get() + 1);
        let more = store.scan(Sequence::new(next), usize::MAX).unwrap();
        if more.is_empty() {
            return frames;
        }
        frames.extend(more);
    }
}

fn of_live(live: &Live, frames: &[Frame]) -> Answers {
    let mut answers = Answers::default();
    answers.note("/v1/players".to_owned(), plain(&live.players().items));
    answers.note("/v1/balls".to_owned(), plain(&live.balls().items));
    answers.note("/v1/sources".to_owned(), plain(&live.sources().items));
    for player in live.players().items.into_iter().map(|listed| listed.id) {
        let clubs = live.clubs(&player).unwrap();
        let bags = plain(&live.bags(&player).unwrap().items);
        answers.note(format!("/v1/players/{player}/bags"), bags);
        answers.note(format!("/v1/players/{player}/clubs"), plain(&clubs.items));
        let ids: Vec<ClubId> = clubs.items.into_iter().map(|club| club.id).collect();
        for question in questions(&ids) {
            answers.note(question.path(&player), question.put(live, &player));
        }
    }
    for newest_first in [false, true] {
        let views = all_views(live, newest_first);
        answers.shots.extend(views.iter().map(|view| shot(view, frames)));
    }
    answers
}

fn all_views(live: &Live, newest_first: bool) -> Vec<ShotView> {
    let mut views = Vec::new();
    let mut question = ShotQuestion { newest_first, limit: 1_000, ..ShotQuestion::default() };
    loop {
        let page = live.shots(&question).unwrap();
        views.extend(page.shots);
        let Some(next) = page.next else { return views };
        question.beyond = Some(next);
    }
}

fn shot(view: &ShotView, frames: &[Frame]) -> Shot {
    let place = usize::try_from(view.sequence.get() - 1).unwrap();
    let Entry::Shot { event, text, .. } = &frames[place].entry else {
        panic!("the fold shows {view:?}, which is no shot");
    };
    Shot {
        event: String::from_utf8(text.to_vec()).unwrap(),
        sequence: view.sequence.get(),
        player: view.player.as_ref().map(ToString::to_string),
        club: view.club.as_ref().map(ToString::to_string),
        session: view.session.clone(),
        flags: view.flags.words(event),
        set_aside: view.set_aside.as_ref().map(|reason| json!({ "reason": reason })),
        changed: plain(&view.changed),
    }
}
