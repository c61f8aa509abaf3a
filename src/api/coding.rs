//! Content codings of answers: whether a client takes gzip (RFC 9110, 12.5.3), and what is worth it.

use actix_http::{ResponseHead, encoding::Encoder};
use actix_web::{
    body::{BodySize, BoxBody},
    http::header::{self, ContentEncoding, HeaderMap},
};

/// A smaller answer is one packet either way.
const WORTH_BYTES: u64 = 1_024;

/// What a client takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Codings {
    /// Answers as they are.
    Plain,
    /// Answers as they are, and gzip at least as gladly.
    Both,
    /// Gzip alone.
    Gzip,
}

impl Codings {
    /// What the headers say; none where the client refuses both that we have.
    pub(super) fn of(headers: &HeaderMap) -> Option<Self> {
        let members: Vec<(String, f32)> = headers
            .get_all(header::ACCEPT_ENCODING)
            .filter_map(|value| value.to_str().ok())
            .flat_map(|value| value.split(','))
            .filter_map(member)
            .collect();
        let named = |name: &str| members.iter().find(|(known, _)| known == name).map(|(_, q)| *q);
        let others = named("*");
        let gzip = named("gzip").or_else(|| named("x-gzip")).or(others).unwrap_or(0.0);
        // An answer as it is is always taken, though least gladly, unless it is refused.
        let plain = named("identity").or(others).unwrap_or(f32::MIN_POSITIVE);
        match (gzip > 0.0, plain > 0.0) {
            (true, false) => Some(Self::Gzip),
            (true, true) if gzip >= plain => Some(Self::Both),
            (_, true) => Some(Self::Plain),
            (false, false) => None,
        }
    }

    /// The same for an answer that goes out as it is unless the client refuses that.
    pub(super) fn plain_if_taken(self) -> Self {
        if self == Self::Both { Self::Plain } else { self }
    }

    /// Whether an answer goes out as gzip to who takes these.
    pub(super) fn want_gzip(self, headers: &HeaderMap, size: BodySize) -> bool {
        let worth = match size {
            BodySize::None | BodySize::Sized(0) => return false,
            BodySize::Sized(bytes) => bytes >= WORTH_BYTES,
            BodySize::Stream => true,
        };
        match self {
            Self::Plain => false,
            Self::Both => worth && is_text(headers),
            Self::Gzip => !is_live(headers),
        }
    }
}

/// The body as gzip; the head says so.
pub(super) fn gzip(head: &mut ResponseHead, body: BoxBody) -> BoxBody {
    BoxBody::new(Encoder::response(ContentEncoding::Gzip, head, body))
}

/// One member of the list: a coding in lower case, and its weight.
fn member(text: &str) -> Option<(String, f32)> {
    let (name, weight) = text.split_once(';').unwrap_or((text, "q=1"));
    let weight = weight.trim().strip_prefix(['q', 'Q'])?.trim_start().strip_prefix('=')?;
    let weight = weight.trim().parse().ok().filter(|q| (0.0..=1.0).contains(q))?;
    let name = name.trim().to_ascii_lowercase();
    (!name.is_empty()).then_some((name, weight))
}

fn media(headers: &HeaderMap) -> &str {
    let media = headers.get(header::CONTENT_TYPE).and_then(|value| value.to_str().ok());
    media.unwrap_or_default().split(';').next().unwrap_or_default()
}

/// Events that must not wait for more to be compressed with.
fn is_live(headers: &HeaderMap) -> bool {
    media(headers) == "text/event-stream"
}

/// Whether it is text, which gzip makes smaller.
fn is_text(headers: &HeaderMap) -> bool {
    let media = media(headers);
    let kinds = ["json", "xml", "javascript"];
    !is_live(headers)
        && (media.starts_with("text/") || kinds.iter().any(|kind| media.ends_with(kind)))
}

#[cfg(test)]
mod tests {
    use actix_web::http::header::HeaderValue;

    use super::*;

    fn of(value: &'static str) -> Option<Codings> {
        let mut headers = HeaderMap::new();
        headers.append(header::ACCEPT_ENCODING, HeaderValue::from_static(value));
        Codings::of(&headers)
    }

    #[test]
    fn weights_decide_as_the_standard_says() {
        assert_eq!(Codings::of(&HeaderMap::new()), Some(Codings::Plain));
        for plain in
            ["", "identity", "br", "gzip;q=0", "gzip;q=0.5, identity;q=0.8", "*;q=0, identity"]
        {
            assert_eq!(of(plain), Some(Codings::Plain), "{plain}");
        }
        // The examples of RFC 9110, 12.5.3, among others.
        for both in
            ["compress, gzip", "*", "compress;q=0.5, gzip;q=1.0", "GZIP", "x-gzip", "gzip ; q=0.1"]
        {
            assert_eq!(of(both), Some(Codings::Both), "{both}");
        }
        for gzip in
            ["gzip;q=1.0, identity; q=0, *;q=0", "gzip, *;q=0", "gzip;q=0.001, identity;q=0"]
        {
            assert_eq!(of(gzip), Some(Codings::Gzip), "{gzip}");
        }
        for nothing in ["identity;q=0", "*;q=0", "br, identity;q=0", "gzip;q=0, identity;q=0"] {
            assert_eq!(of(nothing), None, "{nothing}");
        }
    }

    #[test]
    fn an_unreadable_weight_is_no_wish() {
        assert_eq!(of("gzip;q=2"), Some(Codings::Plain));
        assert_eq!(of("gzip;level=9"), Some(Codings::Plain));
    }
}
