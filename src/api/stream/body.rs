//! A stream on its way out: a piece at a time, the next when the client has taken the one before.

use actix_web::web;
use bytes::Bytes;
use futures_util::{Stream, stream};
use tokio::time::{Instant, timeout_at};

use super::{
    shapes::{LiveCut, LiveReset},
    wanted::Place,
    words::block_of,
};
use crate::{
    api::{
        problem::Problem,
        service::{Service, ask},
    },
    live::feed::{Caught, Delivery, End, Subscription},
    shot::Sequence,
};

/// How a stream begins: something at once, so that proxies pass its head on, and how soon a browser
/// comes back, in milliseconds.
const OPENING: &str = ":\nretry: 2000\n";

/// A stream that is written.
pub(super) struct Body {
    service: web::Data<Service>,
    reader: Subscription,
    stage: Stage,
    /// When the client is told next how far it is.
    due: Instant,
}

/// How far a stream is.
#[derive(Clone, Copy)]
enum Stage {
    Opening { place: Place, until: Option<Sequence> },
    CatchingUp,
    Replaying { until: Sequence },
    Following,
    Over,
}

impl Body {
    /// A stream that begins at a place, and ends at another if that is given.
    pub(super) fn new(
        (service, reader): (web::Data<Service>, Subscription),
        place: Place,
        until: Option<Sequence>,
    ) -> Self {
        let due = Instant::now() + service.limits.heartbeat_time;
        Self { service, reader, stage: Stage::Opening { place, until }, due }
    }

    /// Its pieces.
    pub(super) fn pieces(self) -> impl Stream<Item = Result<Bytes, Problem>> {
        stream::try_unfold(self, |mut body| async move {
            loop {
                let piece;
                (body, piece) = match body.stage {
                    Stage::Opening { place, until } => body.open(place, until),
                    Stage::CatchingUp => body.catch_up().await?,
                    Stage::Replaying { until } => body.replay(until).await?,
                    Stage::Following => body.follow().await,
                    Stage::Over => return Ok(None),
                };
                if !piece.is_empty() {
                    return Ok(Some((piece, body)));
                }
            }
        })
    }

    fn at(self, stage: Stage) -> Self {
        Self { stage, ..self }
    }

    fn open(self, place: Place, until: Option<Sequence>) -> (Self, Bytes) {
        let mut text = OPENING.as_bytes().to_vec();
        text.extend_from_slice(&mark(place.after));
        if place.is_none {
            let detail =
                "there is no such place in this service's order: ask for what you show anew";
            let reset = LiveReset { detail, after: place.after };
            text.extend_from_slice(&block_of("reset", None, &reset));
        }
        let next = until.map_or(Stage::CatchingUp, |until| Stage::Replaying { until });
        (self.at(next), text.into())
    }

    async fn catch_up(mut self) -> Result<(Self, Bytes), Problem> {
        ask(move || {
            let caught = self.reader.catch_up();
            Ok(match caught {
                Ok(Caught::Piece(piece)) => self.read(piece),
                Ok(Caught::Up) => (self.at(Stage::Following), Bytes::new()),
                Ok(Caught::End(end)) => self.cut(end),
                Err(_) => self.cut(End::Failed),
            })
        })
        .await
    }

    async fn replay(mut self, until: Sequence) -> Result<(Self, Bytes), Problem> {
        ask(move || {
            let replayed = self.reader.replay(until);
            Ok(match replayed {
                Ok(Some(piece)) => self.read(piece),
                Ok(None) => (self.at(Stage::Over), Bytes::new()),
                Err(_) => self.cut(End::Failed),
            })
        })
        .await
    }

    async fn follow(mut self) -> (Self, Bytes) {
        match timeout_at(self.due, self.reader.next()).await {
            Ok(Delivery::Piece(piece)) => (self, piece),
            Ok(Delivery::End(end)) => self.cut(end),
            Err(_) => {
                self.due = Instant::now() + self.service.limits.heartbeat_time;
                let text = heartbeat(self.reader.settle());
                (self, text)
            }
        }
    }

    /// What was read of the journal; where nothing of it is followed, how far the reader is.
    fn read(self, piece: Bytes) -> (Self, Bytes) {
        let piece = if piece.is_empty() { heartbeat(self.reader.place()) } else { piece };
        (self, piece)
    }

    /// The last event: why there is no other, and where to go on. What has failed mostly fails again, so
    /// that a browser is asked to take its time.
    fn cut(self, end: End) -> (Self, Bytes) {
        let cut = LiveCut::of(end, self.reader.place());
        let mut text = Vec::new();
        if end == End::Failed {
            let retry_ms = self.service.limits.retry_after.as_millis();
            text.extend_from_slice(format!("retry: {retry_ms}\n").as_bytes());
        }
        text.extend_from_slice(&block_of("cut", None, &cut));
        (self.at(Stage::Over), text.into())
    }
}

/// Says how far a reader is that was sent all that it follows up to there. A block without data is no
/// event, and still sets the last event's id (HTML Standard, 9.2.6), with which a browser comes back.
fn mark(place: Sequence) -> Bytes {
    format!("id: {place}\n\n").into()
}

/// The same with a comment. It goes out now and then, so that each side learns of a connection that broke,
/// and a reader of rare events comes back from close by.
fn heartbeat(place: Sequence) -> Bytes {
    [b":\n", &mark(place)[..]].concat().into()
}
