//! Opens and reads bodies. Opening judges, in order, the media type (415), the head (431) and the
//! size that the body says it has (413), before a byte is read; reading holds a whole body under its
//! cap and waits for no silent client for ever (408).

use std::time::Duration;

use actix_web::{
    HttpRequest,
    error::PayloadError,
    http::header::{self, HeaderMap},
    web,
};
use bytes::{Bytes, BytesMut};
use futures_util::StreamExt;

use super::{
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
    silence: Duration,
    most: usize,
}

impl Body {
    /// Judges the body of a request by what its head says of it.
    pub(super) fn open(
        request: &HttpRequest,
        payload: web::Payload,
        limits: &Limits,
    ) -> Result<Self, Problem> {
        let media = form(request.headers(), Asked::of(request).takes)?;
        check_head(request, limits)?;
        let body = Self { media, payload, silence: limits.body_silence, most: limits.body_bytes };
        if media != Media::Ndjson {
            body.check_size(declared_size(request.headers()))?;
        }
        Ok(body)
    }

    /// The next chunk, or nothing at the body's proper end.
    pub(super) async fn next_chunk(&mut self) -> Result<Option<Bytes>, Problem> {
        match tokio::time::timeout(self.silence, self.payload.next()).await {
            Ok(None) => Ok(None),
            Ok(Some(Ok(chunk))) => Ok(Some(chunk)),
            Ok(Some(Err(error))) => Err(broken(&error)),
            Err(_) => Err(Problem::new(
                Kind::Timeout,
                format!("nothing more of the body came for {} s", self.silence.as_secs()),
            )),
        }
    }

    /// The next chunk if it is here already; nothing if the network has to be waited for.
    pub(super) fn chunk_at_hand(&mut self) -> Option<Result<Option<Bytes>, Problem>> {
        use futures_util::FutureExt;
        self.payload.next().now_or_never().map(|next| match next {
            None => Ok(None),
            Some(Ok(chunk)) => Ok(Some(chunk)),
            Some(Err(error)) => Err(broken(&error)),
        })
    }

    /// The whole body, at most [`Limits::body_bytes`]; not copied if it came in one chunk.
    pub(super) async fn whole(mut self) -> Result<Bytes, Problem> {
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
        let detail = format!("a body that is not streamed is at most {} bytes", self.most);
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
    let names = media::list(taken);
    let refused = |detail| Err(Problem::new(Kind::UnsupportedMediaType, detail));
    let coded = headers
        .get_all(header::CONTENT_ENCODING)
        .any(|coding| !coding.as_bytes().eq_ignore_ascii_case(b"identity"));
    match media::of_body(headers, taken) {
        Some(_) if coded => refused(format!("a body is taken uncompressed, as {names}")),
        Some(media) => Ok(media),
        None => refused(format!("a body is taken as {names}, in UTF-8: say so in `Content-Type`")),
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
