//! A stream on its way out: a piece at a time, the next when the client has taken the one before.

use actix_web::web;
use bytes::Bytes;
use futures_util::{Stream, stream};
use tokio::time::timeout;

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
const OPENING: &str = ":\nretry: 2000\n\n";
/// Goes out when nothing else does, so that each side learns of a connection that broke. Neither this nor
/// anything but a shot or a correction has an id: a reader's place is an event's.
const HEARTBEAT: Bytes = Bytes::from_static(b":\n\n");

/// A stream that is written.
pub(super) struct Body {
    service: web::Data<Service>,
    reader: Subscription,
    stage: Stage,
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
        Self { service, reader, stage: Stage::Opening { place, until } }
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
                Ok(Caught::Piece(piece)) => (self, or_heartbeat(piece)),
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
                Ok(Some(piece)) => (self, or_heartbeat(piece)),
                Ok(None) => (self.at(Stage::Over), Bytes::new()),
                Err(_) => self.cut(End::Failed),
            })
        })
        .await
    }

    async fn follow(mut self) -> (Self, Bytes) {
        let silence = self.service.limits.heartbeat_time;
        match timeout(silence, self.reader.next()).await {
            Ok(Delivery::Piece(piece)) => (self, piece),
            Ok(Delivery::End(end)) => self.cut(end),
            Err(_) => {
                // A reader that is cut is told of a place close by, however little it follows.
                self.reader.settle();
                (self, HEARTBEAT)
            }
        }
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

/// What was read of the journal. Where nothing of it is followed, catching up may take its time.
fn or_heartbeat(piece: Bytes) -> Bytes {
    if piece.is_empty() { HEARTBEAT } else { piece }
}
