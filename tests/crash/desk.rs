//! One who corrects: sends shots that say too little, sets what they inherit, corrects and assigns
//! them, one deed after the other, and knows what must be effective after each.

use std::collections::BTreeMap;

use reqwest::{Client, Method};
use serde_json::{Map, Value, json};
use tokio::sync::watch;

use crate::dice::Dice;
use crate::event::{Event, Layout};
use crate::http::{self, Answer, Shot};

pub(crate) const SOURCE: &str = "desk";
const BALL: &str = "desk-ball";

/// Something that changes what is true.
#[derive(Debug, Clone)]
enum Deed {
    Send { id: String, text: String },
    Correct { id: String, patch: Value },
    AssignWaiting { set: Value },
    AssignLast { last: usize, set: Value },
    SetContext(Value),
    PutBall { name: String },
}

/// What the desk's shots are.
#[derive(Debug, Clone, Default)]
struct State {
    shots: Vec<DeskShot>,
    context: Map<String, Value>,
    ball: Option<String>,
}

#[derive(Debug, Clone)]
struct DeskShot {
    id: String,
    text: String,
    inherited: Map<String, Value>,
    patch: Map<String, Value>,
}

impl DeskShot {
    fn effective(&self, member: &str) -> Value {
        let value = self.patch.get(member).or_else(|| self.inherited.get(member));
        value.cloned().unwrap_or_default()
    }

    fn waits(&self) -> bool {
        self.effective("player").is_null()
    }

    fn correct(&mut self, patch: &Value) {
        for (member, value) in patch.as_object().unwrap() {
            if value.is_null() {
                self.patch.remove(member);
            } else {
                self.patch.insert(member.clone(), value.clone());
            }
        }
    }
}

impl State {
    fn after(mut self, deed: &Deed) -> Self {
        match deed {
            Deed::Send { id, .. } if self.shots.iter().any(|shot| shot.id == *id) => {}
            Deed::Send { id, text } => self.shots.push(DeskShot {
                id: id.clone(),
                text: text.clone(),
                inherited: self.context.clone(),
                patch: Map::new(),
            }),
            Deed::Correct { id, patch } => {
                let shot = self.shots.iter_mut().find(|shot| shot.id == *id);
                shot.unwrap().correct(patch);
            }
            Deed::AssignWaiting { set } => {
                let waiting = self.shots.iter_mut().filter(|shot| shot.waits());
                waiting.for_each(|shot| shot.correct(set));
            }
            Deed::AssignLast { last, set } => {
                self.shots.iter_mut().rev().take(*last).for_each(|shot| shot.correct(set));
            }
            Deed::SetContext(context) => self.context.clone_from(context.as_object().unwrap()),
            Deed::PutBall { name } => self.ball = Some(name.clone()),
        }
        self
    }

    /// What the service must show.
    fn shown(&self) -> Value {
        let shots = self.shots.iter().map(|shot| {
            json!({
                "event": shot.text,
                "player": shot.effective("player"),
                "club": shot.effective("club"),
                "set_aside": shot.effective("set_aside"),
                "changed": shot.patch,
            })
        });
        json!({
            "shots": shots.collect::<Vec<_>>(),
            "context": self.context,
            "ball": self.ball,
        })
    }
}

/// One who corrects.
pub(crate) struct Desk {
    dice: Dice,
    client: Client,
    state: State,
    sequences: BTreeMap<String, u64>,
    unsure: Option<Deed>,
    deeds: u64,
}

impl Desk {
    pub(crate) fn new(dice: Dice) -> Self {
        Self {
            dice,
            client: http::client(),
            state: State::default(),
            sequences: BTreeMap::new(),
            unsure: None,
            deeds: 0,
        }
    }

    /// Deeds that were acknowledged.
    pub(crate) fn deeds(&self) -> u64 {
        self.deeds
    }

    /// Its shots that were acknowledged, or seen after a restart.
    pub(crate) fn stored(&self) -> usize {
        self.state.shots.len()
    }

    /// Works until the service no longer answers; counts the answers.
    pub(crate) async fn work(&mut self, address: &str, answers: &watch::Sender<u64>) {
        loop {
            let deed = self.unsure.take().unwrap_or_else(|| self.think());
            self.unsure = Some(deed.clone());
            let Some(answer) = self.act(address, &deed).await else { return };
            self.unsure = None;
            self.check_answer(&deed, &answer);
            self.state = std::mem::take(&mut self.state).after(&deed);
            self.deeds += 1;
            answers.send_modify(|count| *count += 1);
        }
    }

    /// Compares with what a restarted service shows: all that was acknowledged is effective, and the
    /// deed without an answer is done as a whole or not at all. Whether it is done.
    pub(crate) async fn compare(&mut self, address: &str, held: &BTreeMap<String, Shot>) -> bool {
        let shown = self.shown(address, held).await;
        let after = self.unsure.iter().fold(self.state.clone(), State::after);
        let done = shown != self.state.shown();
        if done {
            assert_eq!(shown, after.shown(), "what was acknowledged is not effective");
            self.state = after;
        }
        for shot in &self.state.shots {
            let now = held[&shot.id].sequence;
            let before = *self.sequences.entry(shot.id.clone()).or_insert(now);
            assert_eq!(now, before, "{} moved", shot.id);
        }
        done
    }

    async fn shown(&self, address: &str, held: &BTreeMap<String, Shot>) -> Value {
        let mut shots: Vec<&Shot> = held.values().collect();
        shots.sort_unstable_by_key(|shot| shot.sequence);
        let shots = shots.into_iter().map(|shot| {
            json!({
                "event": shot.event,
                "player": shot.player,
                "club": shot.club,
                "set_aside": shot.set_aside,
                "changed": shot.changed,
            })
        });
        let shots: Vec<Value> = shots.collect();
        let context: Option<Map<String, Value>> =
            http::read(&self.client, &format!("{address}/v1/sources/{SOURCE}/context"))
                .await
                .unwrap();
        let mut context = context.unwrap_or_default();
        context.remove("as_of");
        let ball: Option<Value> =
            http::read(&self.client, &format!("{address}/v1/balls/{BALL}")).await.unwrap();
        json!({ "shots": shots, "context": context, "ball": ball.map(|ball| ball["name"].clone()) })
    }

    /// What to do next. The first deed makes the source known.
    fn think(&mut self) -> Deed {
        let choice = if self.state.shots.is_empty() { 0 } else { self.dice.below(14) };
        match choice {
            0..=5 => self.think_of_a_shot(),
            6..=9 => self.think_of_a_correction(),
            10 => Deed::AssignWaiting { set: self.somebody() },
            11 => {
                let set = if self.dice.once_in(3) { Value::Null } else { json!("warm_up") };
                Deed::AssignLast { last: 1 + self.dice.place(9), set: json!({ "purpose": set }) }
            }
            12 if self.dice.once_in(3) => Deed::SetContext(json!({})),
            12 => Deed::SetContext(self.somebody()),
            _ => Deed::PutBall { name: format!("Ball {}", self.deeds) },
        }
    }

    fn think_of_a_shot(&mut self) -> Deed {
        let id = format!("{:06}", self.state.shots.len() + 1);
        let event = Event::waiting(SOURCE, &id, &mut self.dice);
        let text = event.spelled(Layout::Page, &mut self.dice);
        Deed::Send { id, text }
    }

    fn think_of_a_correction(&mut self) -> Deed {
        let shot = self.dice.one(&self.state.shots).clone();
        let lies = [json!("mat"), json!("fairway"), Value::Null];
        let mut patch = Map::new();
        patch.insert("lie".to_owned(), self.dice.one(&lies).clone());
        if !shot.waits() && self.dice.once_in(3) {
            patch.insert("club".to_owned(), self.dice.one(&[json!("4i"), json!("7w")]).clone());
        }
        if self.dice.once_in(3) {
            let reason = json!({ "reason": format!("phone rang {}", self.deeds) });
            let aside = [reason, Value::Null];
            patch.insert("set_aside".to_owned(), self.dice.one(&aside).clone());
        }
        Deed::Correct { id: shot.id, patch: Value::Object(patch) }
    }

    fn somebody(&mut self) -> Value {
        let club = *self.dice.one(&["5h", "4i", "7w"]);
        json!({ "player": *self.dice.one(&["rowan", "marit"]), "club": club })
    }

    async fn act(&self, address: &str, deed: &Deed) -> Option<Answer> {
        let (method, path, body) = match deed {
            Deed::Send { text, .. } => (Method::POST, "shots".to_owned(), text.clone()),
            Deed::Correct { id, patch } => {
                (Method::PATCH, format!("shots/{SOURCE}/{id}"), patch.to_string())
            }
            Deed::AssignWaiting { set } => {
                let filter = json!({ "source": SOURCE, "unassigned": true });
                let body = json!({ "filter": filter, "set": set });
                (Method::POST, "assignments".to_owned(), body.to_string())
            }
            Deed::AssignLast { last, set } => {
                let filter = json!({ "source": SOURCE, "last": last });
                let body = json!({ "filter": filter, "set": set });
                (Method::POST, "assignments".to_owned(), body.to_string())
            }
            Deed::SetContext(context) => {
                (Method::PUT, format!("sources/{SOURCE}/context"), context.to_string())
            }
            Deed::PutBall { name } => {
                (Method::PUT, format!("balls/{BALL}"), json!({ "name": name }).to_string())
            }
        };
        http::send_json(&self.client, (method, format!("{address}/v1/{path}")), body).await
    }

    fn check_answer(&self, deed: &Deed, answer: &Answer) {
        assert!(answer.status.is_success(), "{deed:?}: {answer:?}");
        let Some(body) = &answer.body else { return };
        let matched = match deed {
            Deed::AssignWaiting { .. } => {
                self.state.shots.iter().filter(|shot| shot.waits()).count()
            }
            Deed::AssignLast { last, .. } => self.state.shots.len().min(*last),
            _ => return,
        };
        assert_eq!(body["matched"], matched, "{deed:?}: {answer:?}");
    }
}
