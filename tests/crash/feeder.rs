//! A source that sends shots as fast as it is answered, over a connection of its own.

use std::collections::BTreeMap;

use reqwest::{Body, Client, StatusCode};
use serde_json::Value;
use tokio::sync::watch;

use crate::book::{Book, Fate, Sent};
use crate::dice::Dice;
use crate::event::{Event, Layout};
use crate::http::{self, Answer, Shot};

/// How a feeder sends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Way {
    /// One event a request.
    One,
    /// A stream of lines.
    Stream,
    /// A JSON array.
    Array,
    /// Lines of which all are taken, or none.
    AllOrNothing,
}

/// What must become of an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Hope {
    /// It is new.
    New,
    /// It was sent before without an answer.
    Again,
    /// It is stored already, with the same content.
    Duplicate,
    /// It is stored already, with other content.
    Conflict,
    /// It is no shot.
    Invalid,
}

#[derive(Debug, Clone)]
struct Item {
    id: String,
    text: String,
    hope: Hope,
}

impl Item {
    fn refused(&self) -> bool {
        matches!(self.hope, Hope::Conflict | Hope::Invalid)
    }

    fn stores(&self) -> bool {
        matches!(self.hope, Hope::New | Hope::Again)
    }
}

/// A source that sends shots.
pub(crate) struct Feeder {
    pub(crate) source: String,
    way: Way,
    dice: Dice,
    client: Client,
    book: Book,
    next_id: u64,
    /// The request that no answer came to.
    unsure: Vec<Item>,
}

impl Feeder {
    pub(crate) fn new(source: &str, way: Way, dice: Dice) -> Self {
        Self {
            source: source.to_owned(),
            way,
            dice,
            client: http::client(),
            book: Book::default(),
            next_id: 0,
            unsure: Vec::new(),
        }
    }

    /// Shots that were acknowledged, or seen after a restart.
    pub(crate) fn stored(&self) -> usize {
        self.book.stored().len()
    }

    /// Sends until the service no longer answers; counts the answers.
    pub(crate) async fn feed(&mut self, address: &str, answers: &watch::Sender<u64>) {
        // Half of those who got no answer send again; the others never do.
        let mut items = std::mem::take(&mut self.unsure);
        if items.is_empty() || self.dice.once_in(2) {
            items = self.compose();
        }
        loop {
            self.unsure.clone_from(&items);
            for item in items.iter().filter(|item| item.stores()) {
                self.book.doubt(&item.id);
            }
            let Some(answer) = self.send(address, &items).await else { return };
            self.unsure.clear();
            self.settle(&items, &answer);
            answers.send_modify(|count| *count += 1);
            items = self.compose();
        }
    }

    /// Compares with what a restarted service holds of this source; how many that were in doubt are
    /// there.
    pub(crate) fn compare(&mut self, held: &BTreeMap<String, Shot>) -> usize {
        let survivors = self.book.compare(held);
        if self.way == Way::AllOrNothing && !survivors.is_empty() {
            let refused = self.unsure.iter().find(|item| item.refused());
            assert!(
                refused.is_none(),
                "{survivors:?} are there although {refused:?} was beside them"
            );
            let sent = self.unsure.iter().filter(|item| item.stores()).count();
            assert_eq!(survivors.len(), sent, "a part of an all-or-nothing batch is there");
        }
        for item in &mut self.unsure {
            if item.hope == Hope::New {
                item.hope = Hope::Again;
            }
        }
        survivors.len()
    }

    fn compose(&mut self) -> Vec<Item> {
        let count = match self.way {
            Way::One => 1,
            _ if self.dice.once_in(100) => 1_000 + self.dice.below(500),
            _ => 1 + self.dice.below(30),
        };
        let sound = self.way == Way::AllOrNothing && !self.dice.once_in(4);
        (0..count).map(|_| if sound { self.fresh() } else { self.item() }).collect()
    }

    fn item(&mut self) -> Item {
        let known = !self.book.stored().is_empty();
        match self.dice.below(16) {
            0 if known => self.known(Hope::Duplicate),
            1 if known => self.known(Hope::Conflict),
            2 => {
                let mut item = self.fresh();
                let event = self.book.get(&item.id).event.invalid();
                item.text = event.spelled(self.layout(), &mut self.dice);
                item.hope = Hope::Invalid;
                item
            }
            _ => self.fresh(),
        }
    }

    /// A shot of its own, which the book holds as not there yet.
    fn fresh(&mut self) -> Item {
        self.next_id += 1;
        let id = format!("{:06}", self.next_id);
        let event = if self.dice.once_in(12) {
            Event::waiting(&self.source, &id, &mut self.dice)
        } else {
            Event::assigned(&self.source, &id, &mut self.dice)
        };
        let text = event.spelled(self.layout(), &mut self.dice);
        self.book.add(id.clone(), Sent { event, text: text.clone(), fate: Fate::Absent });
        Item { id, text, hope: Hope::New }
    }

    /// A shot that is stored, spelled anew.
    fn known(&mut self, hope: Hope) -> Item {
        let id = self.dice.one(self.book.stored()).clone();
        let event = &self.book.get(&id).event;
        let other = if hope == Hope::Conflict { event.otherwise() } else { event.clone() };
        let text = other.spelled(self.layout(), &mut self.dice);
        Item { id, text, hope }
    }

    fn layout(&self) -> Layout {
        match self.way {
            Way::One | Way::Array => Layout::Page,
            Way::Stream | Way::AllOrNothing => Layout::Line,
        }
    }

    async fn send(&mut self, address: &str, items: &[Item]) -> Option<Answer> {
        let texts: Vec<&str> = items.iter().map(|item| item.text.as_str()).collect();
        let (query, media, body) = match self.way {
            Way::One => ("", "application/json", Body::from(texts.concat())),
            Way::Array => ("", "application/json", format!("[{}]", texts.join(",\n")).into()),
            Way::Stream => ("", "application/x-ndjson", self.in_pieces(texts.join("\n"))),
            Way::AllOrNothing => {
                ("?all_or_nothing=true", "application/x-ndjson", texts.join("\n").into())
            }
        };
        let request = self.client.post(format!("{address}/v1/shots{query}"));
        http::send(request.header("Content-Type", media).body(body)).await
    }

    /// A body that comes in pieces which know nothing of lines.
    fn in_pieces(&mut self, text: String) -> Body {
        let size = 1 + self.dice.place(8_192);
        let mut rest = bytes::Bytes::from(text);
        let pieces = std::iter::from_fn(move || {
            let piece = rest.split_to(size.min(rest.len()));
            (!piece.is_empty()).then_some(Ok::<_, std::io::Error>(piece))
        });
        Body::wrap_stream(futures_util::stream::iter(pieces))
    }

    /// Notes an answer, which must be the one that is due.
    fn settle(&mut self, items: &[Item], answer: &Answer) {
        match self.way {
            Way::One => self.settle_one(&items[0], answer),
            Way::AllOrNothing if items.iter().any(Item::refused) => {
                let invalid = items.iter().any(|item| item.hope == Hope::Invalid);
                let due = if invalid { 422 } else { 409 };
                assert_eq!(answer.status, due, "{answer:?}");
                for item in items.iter().filter(|item| item.stores()) {
                    self.book.settle(&item.id, Fate::Absent);
                }
            }
            _ => self.settle_many(items, answer),
        }
    }

    fn settle_one(&mut self, item: &Item, answer: &Answer) {
        let due: &[u16] = match item.hope {
            Hope::New => &[201],
            Hope::Again => &[200, 201],
            Hope::Duplicate => &[200],
            Hope::Conflict => &[409],
            Hope::Invalid => &[422],
        };
        assert!(due.contains(&answer.status.as_u16()), "{item:?}: {answer:?}");
        if !item.refused() {
            let sequence = answer.body.as_ref().map(|body| body["sequence"].as_u64().unwrap());
            self.book.settle(&item.id, Fate::Stored(sequence));
        }
    }

    fn settle_many(&mut self, items: &[Item], answer: &Answer) {
        assert_eq!(answer.status, StatusCode::OK, "{answer:?}");
        for item in items.iter().filter(|item| item.stores()) {
            self.book.settle(&item.id, Fate::Stored(None));
        }
        let Some(body) = &answer.body else { return };
        let refused = (1_u64..).zip(items).filter(|(_, item)| item.refused());
        let refused: Vec<Value> = refused.map(|(line, _)| line.into()).collect();
        let lines = body["refusals"].as_array().unwrap().iter().map(|refusal| &refusal["line"]);
        assert!(lines.eq(&refused), "{body} does not refuse {refused:?}");
        let number = |name: &str| usize::try_from(body[name].as_u64().unwrap()).unwrap();
        assert_eq!(number("refused"), refused.len(), "{body}");
        let taken = number("accepted") + number("duplicates");
        assert_eq!(taken, items.len() - refused.len(), "{body}");
    }
}
