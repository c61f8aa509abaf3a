//! Entity tags (RFC 9110, 8.8.3): what a client shows to learn whether an answer has changed.
//!
//! The tag of a question follows from the store, the last sequence that touched what the question is
//! about, and the question itself: it is known before the answer is worked out.

use std::fmt::Write as _;

use actix_web::{
    HttpRequest, HttpResponse,
    http::{
        StatusCode,
        header::{self, HeaderMap, HeaderValue},
    },
};
use percent_encoding::percent_decode_str;

use super::{judge::Asked, service::Service};
use crate::shot::Sequence;

/// Bytes of a hash that a tag shows: chance makes no two alike.
const BYTES: usize = 16;

/// An entity tag as it stands in a header.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Tag(String);

impl Tag {
    /// The tag of a text that is given byte by byte as it is.
    pub(super) fn strong(text: &[u8]) -> Self {
        Self(quoted(&blake3::hash(text)))
    }

    /// The tag of an answer that means the same as long as its text is the same.
    pub(super) fn weak(text: &[u8]) -> Self {
        Self(format!("W/{}", quoted(&blake3::hash(text))))
    }

    /// The tag in the header of an answer.
    pub(super) fn of(headers: &HeaderMap) -> Option<Self> {
        headers.get(header::ETAG)?.to_str().ok().map(|tag| Self(tag.to_owned()))
    }

    /// The same, weak: for another coding of the same text.
    pub(super) fn weakened(self) -> Self {
        if self.0.starts_with("W/") { self } else { Self(format!("W/{}", self.0)) }
    }

    /// As the value of a header.
    pub(super) fn value(&self) -> HeaderValue {
        // Hexadecimal in quotes, or what was a header's value before.
        HeaderValue::from_str(&self.0).unwrap_or(HeaderValue::from_static("\"\""))
    }

    /// The answer to a client that has this already.
    pub(super) fn unchanged(&self) -> HttpResponse {
        HttpResponse::build(StatusCode::NOT_MODIFIED)
            .insert_header((header::ETAG, self.value()))
            .finish()
    }

    /// What weak comparison looks at (RFC 9110, 8.8.3.2).
    fn opaque(&self) -> &str {
        self.0.strip_prefix("W/").unwrap_or(&self.0)
    }
}

fn quoted(hash: &blake3::Hash) -> String {
    let mut text = String::with_capacity(2 * BYTES + 2);
    text.push('"');
    for byte in &hash.as_bytes()[..BYTES] {
        // Writing to a text cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text.push('"');
    text
}

/// A question in a form that does not depend on how its address was written: what its tags are made
/// from, with the store and the program that answer it.
#[derive(Debug, Clone)]
pub(super) struct Question(blake3::Hasher);

impl Question {
    /// The question of a request whose query is `canonical`.
    pub(super) fn of(request: &HttpRequest, service: &Service, canonical: &str) -> Self {
        let mut hasher = blake3::Hasher::new();
        let mut part = |bytes: &[u8]| {
            hasher.update(&(bytes.len() as u64).to_le_bytes());
            hasher.update(bytes);
        };
        part(env!("CARGO_PKG_VERSION").as_bytes());
        part(service.store.store_id().bytes());
        for segment in request.path().split('/') {
            part(&percent_decode_str(segment).collect::<Vec<u8>>());
        }
        part(canonical.as_bytes());
        part(Asked::of(request).gives.name().as_bytes());
        Self(hasher)
    }

    /// The tag of its answer as of a sequence.
    pub(super) fn tag(&self, as_of: Sequence) -> Tag {
        let mut hasher = self.0.clone();
        hasher.update(&as_of.get().to_le_bytes());
        Tag(format!("W/{}", quoted(&hasher.finalize())))
    }
}

/// The answers that a client has: its `If-None-Match` (RFC 9110, 13.1.2).
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Known {
    any: bool,
    tags: Vec<Tag>,
}

impl Known {
    /// What the headers say. A part that is no tag is passed over.
    pub(super) fn of(headers: &HeaderMap) -> Self {
        let mut known = Self::default();
        for value in headers.get_all(header::IF_NONE_MATCH) {
            let Ok(text) = value.to_str() else { continue };
            known.any |= text.trim() == "*";
            known.tags.extend(tags(text));
        }
        known
    }

    /// Whether the client names this very answer.
    pub(super) fn names(&self, tag: &Tag) -> bool {
        self.tags.iter().any(|known| known.opaque() == tag.opaque())
    }

    /// Whether the client has this answer, or asks only whether there is any.
    pub(super) fn holds(&self, tag: &Tag) -> bool {
        self.any || self.names(tag)
    }
}

/// The tags of a list; a quoted part may hold a comma.
fn tags(mut text: &str) -> Vec<Tag> {
    let mut tags = Vec::new();
    while let Some(open) = text.find('"') {
        let start = if text[..open].ends_with("W/") { open - 2 } else { open };
        let Some(length) = text[open + 1..].find('"') else { break };
        let end = open + length + 2;
        tags.push(Tag(text[start..end].to_owned()));
        text = &text[end..];
    }
    tags
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn known(values: &[&'static str]) -> Known {
        let mut headers = HeaderMap::new();
        for value in values {
            headers.append(header::IF_NONE_MATCH, HeaderValue::from_static(value));
        }
        Known::of(&headers)
    }

    #[test]
    fn weak_comparison_is_that_of_the_standard() {
        // The table of RFC 9110, 8.8.3.2, last column.
        let holds = |one: &'static str, other: &str| known(&[one]).holds(&Tag(other.to_owned()));
        assert!(holds("W/\"1\"", "W/\"1\""));
        assert!(!holds("W/\"1\"", "W/\"2\""));
        assert!(holds("W/\"1\"", "\"1\""));
        assert!(holds("\"1\"", "\"1\""));
    }

    #[test]
    fn a_list_is_read_tag_by_tag() {
        let tag = |text: &str| Tag(text.to_owned());
        // The examples of RFC 9110, 13.1.2.
        let three = known(&["W/\"xyzzy\", W/\"r2d2xxxx\", W/\"c3piozzzz\""]);
        assert!(three.names(&tag("\"r2d2xxxx\"")) && three.names(&tag("W/\"c3piozzzz\"")));
        assert!(known(&["\"a,b\",\"\""]).names(&tag("\"a,b\"")));
        assert!(known(&["\"x\"", "\"y\""]).names(&tag("\"y\"")));
        assert!(known(&["*"]).holds(&tag("\"y\"")) && !known(&["*"]).names(&tag("\"y\"")));
        for nothing in ["", "y", "\"y", "W/", ","] {
            assert!(!known(&[nothing]).holds(&tag("\"y\"")), "{nothing}");
        }
    }

    #[test]
    fn another_coding_has_the_weak_tag_of_the_same_text() {
        let strong = Tag::strong(b"text");
        assert_eq!(strong.clone().weakened(), Tag::weak(b"text"));
        assert_eq!(Tag::weak(b"text").weakened(), Tag::weak(b"text"));
        assert_ne!(strong, Tag::strong(b"texts"));
    }
}
