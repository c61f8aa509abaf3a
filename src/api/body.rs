//! Opens and reads bodies. Opening judges, in order, the media type and its coding (415), the head
//! (431) and the size that the body says it has (413), before a byte is read; reading inflates what
//! came compressed, and waits for no client for ever that is silent (408). A body that is read whole is
//! held under its cap, and has to be there within a time, so that dripping does not help either.

use std::time::Duration;

use actix_web::{
    HttpRequest,
    error::PayloadError,
    http::header::{self, HeaderMap},
    web,
};
use bytes::{Bytes, BytesMut};
use futures_util::{FutureExt, StreamExt};

use super::{
    inflate::{Coding, Inflate, Step},
    judge::Asked,
    limits::Limits,
    media::{self, Media},
    problem::{Kind, Problem},
};

/// A body that may be read.
pub(super) struct Body {
    /// What it is.
    pub(super) media: Media,
    payload: web::Payload,
    inflate: Option<Inflate>,
    arrived: Option<Arrival>,
    silence: Duration,
    time: Duration,
    most: usize,
}

const EMPTY: &str = "the body is empty: send JSON in it; `/docs` shows which";

/// What the network gave: a chunk, the end, or a fault.
type Arrival = Option<Result<Bytes, PayloadError>>;

impl Body {
    /// Judges the body of a request by what its head says of it.
    pub(super) fn open(
        request: &HttpRequest,
        payload: web::Payload,
        limits: &Limits,
    ) -> Result<Self, Problem> {
        let media = form(request.headers(), Asked::of(request).takes)?;
        let coding = coding(request.headers())?;
        check_head(request, limits)?;
        let inflate = coding.map(|coding| Inflate::new(coding, limits.inflate_factor));
        let inflate = inflate.transpose()?;
        let Limits { body_silence: silence, body_time: time, body_bytes: most, .. } = *limits;
        let body = Self { media, payload, inflate, arrived: None, silence, time, most };
        if !media.is_stream() {
            body.check_size(declared_size(request.headers()))?;
        }
        Ok(body)
    }

    /// The next chunk, or nothing at the body's proper end.
    pub(super) async fn next_chunk(&mut self) -> Result<Option<Bytes>, Problem> {
        loop {
            if let Some(chunk) = self.chunk_at_hand() {
                return chunk;
            }
            let arrived = tokio::time::timeout(self.silence, self.payload.next()).await;
            self.arrived = Some(arrived.map_err(|_| {
                let seconds = self.silence.as_secs();
                let detail = format!("nothing more of the body came for {seconds} s");
                Problem::new(Kind::Timeout, detail)
            })?);
        }
    }

    /// The next chunk if it is here already; nothing if the network has to be waited for.
    pub(super) fn chunk_at_hand(&mut self) -> Option<Result<Option<Bytes>, Problem>> {
        loop {
            if let Some(inflate) = &mut self.inflate {
                match inflate.step() {
                    Ok(Step::Piece(piece)) => return Some(Ok(Some(piece))),
                    Ok(Step::Whole) => return Some(Ok(None)),
                    Ok(Step::Hungry) => {}
                    Err(problem) => return Some(Err(problem)),
                }
            }
            let arrived = self.arrived.take().or_else(|| self.payload.next().now_or_never())?;
            match (&mut self.inflate, arrived.transpose()) {
                (_, Err(error)) => return Some(Err(broken(&error))),
                (None, Ok(chunk)) => return Some(Ok(chunk)),
                (Some(inflate), Ok(Some(chunk))) => inflate.feed(chunk),
                (Some(inflate), Ok(None)) => inflate.end(),
            }
        }
    }

    /// The whole body, at most [`Limits::body_bytes`] and within [`Limits::body_time`]; not copied if
    /// it came in one chunk. What must be JSON has to hold something; a stream may be of no lines.
    pub(super) async fn whole(self) -> Result<Bytes, Problem> {
        let (streamed, time) = (self.media.is_stream(), self.time);
        let text = tokio::time::timeout(time, self.gathered()).await.map_err(|_| {
            let detail = format!("the body was not whole after {} s", time.as_secs());
            Problem::new(Kind::Timeout, detail)
        })??;
        if !streamed && text.trim_ascii().is_empty() {
            return Err(Problem::new(Kind::NotJson, EMPTY));
        }
        Ok(text)
    }

    async fn gathered(mut self) -> Result<Bytes, Problem> {
        let Some(first) = self.next_chunk().await? else { return Ok(Bytes::new()) };
        self.check_size(first.len())?;
        let Some(second) = self.next_chunk().await? else { return Ok(first) };
        let mut gathered = BytesMut::from(first);
        let mut next = Some(second);
        while let Some(chunk) = next {
            self.check_size(gathered.len() + chunk.len())?;
            gathered.extend_from_slice(&chunk);
            next = self.next_chunk().await?;
        }
        Ok(gathered.freeze())
    }

    fn check_size(&self, bytes: usize) -> Result<(), Problem> {
        if bytes <= self.most {
            return Ok(());
        }
        let inflated = if self.inflate.is_some() { " once it is inflated" } else { "" };
        let most = self.most;
        let detail = format!("a body that is not streamed is at most {most} bytes{inflated}");
        Err(Problem::new(Kind::BodyTooLarge, detail))
    }
}

fn broken(error: &PayloadError) -> Problem {
    let detail = match error {
        PayloadError::Incomplete(_) => "the body ended before it was whole",
        _ => "the body's framing is broken",
    };
    Problem::new(Kind::BrokenBody, detail)
}

fn form(headers: &HeaderMap, taken: &[Media]) -> Result<Media, Problem> {
    media::of_body(headers, taken).ok_or_else(|| {
        let names = media::list(taken);
        let detail = format!("a body is taken as {names}, in UTF-8: say so in `Content-Type`");
        Problem::new(Kind::UnsupportedMediaType, detail)
    })
}

/// How the body is compressed, if it is.
fn coding(headers: &HeaderMap) -> Result<Option<Coding>, Problem> {
    let named = headers.get_all(header::CONTENT_ENCODING);
    let named =
        named.filter(|name| !name.is_empty() && !name.as_bytes().eq_ignore_ascii_case(b"identity"));
    let mut named = named.map(|name| name.to_str().ok().and_then(Coding::of));
    match (named.next(), named.next()) {
        (None, _) => Ok(None),
        (Some(Some(coding)), None) => Ok(Some(coding)),
        _ => {
            let detail = "a body is taken as it is, or compressed once with gzip or zstd";
            let problem = Problem::new(Kind::UnsupportedMediaType, detail);
            Err(problem.with_accept_encoding(Coding::TAKEN))
        }
    }
}

fn declared_size(headers: &HeaderMap) -> usize {
    let declared = headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok());
    declared.and_then(|length| length.parse().ok()).unwrap_or(0)
}

/// Refuses a head over the limit. The server itself stops reading a head only much later.
pub(super) fn check_head(request: &HttpRequest, limits: &Limits) -> Result<(), Problem> {
    const AROUND_A_FIELD: usize = ": \r\n".len();
    let uri = request.uri().path_and_query().map_or(0, |target| target.as_str().len());
    let line = request.method().as_str().len() + uri + "  HTTP/1.1\r\n".len();
    let fields: usize = request
        .headers()
        .iter()
        .map(|(name, value)| name.as_str().len() + value.len() + AROUND_A_FIELD)
        .sum();
    if line + fields <= limits.head_bytes {
        return Ok(());
    }
    Err(Problem::new(
        Kind::HeadTooLarge,
        format!("a request's head is at most {} bytes, its first line included", limits.head_bytes),
    ))
}
