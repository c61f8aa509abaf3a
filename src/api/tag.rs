//! Entity tags (RFC 9110, 8.8.3): what a client shows to learn whether an answer has changed.
//!
//! The tag of a question follows from the store, the last sequence that touched what the question is
//! about, and the question itself: it is known before the answer is worked out.

use std::fmt::Write as _;

use actix_web::{
    HttpRequest, HttpResponse,
    http::{
        StatusCode,
        header::{self, HeaderMap, HeaderName, HeaderValue},
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
        if self.is_strong() { Self(format!("W/{}", self.0)) } else { self }
    }

    /// The same, strong: for an answer that is the same byte by byte as long as the tag is.
    pub(super) fn strengthened(self) -> Self {
        Self(self.opaque().to_owned())
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

    /// Whether it stands for every byte (RFC 9110, 8.8.1).
    pub(super) fn is_strong(&self) -> bool {
        !self.0.starts_with("W/")
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

/// The answers that a header field of the client's names (RFC 9110, 13.1.1 and 13.1.2).
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Tags {
    /// `*`: whatever there is.
    Any,
    /// Those with these tags.
    These(Vec<Tag>),
}

impl Tags {
    /// What a field says; nothing where it is not there.
    ///
    /// # Errors
    /// A field that is neither `*` nor a list of tags.
    pub(super) fn read(headers: &HeaderMap, field: HeaderName) -> Option<Result<Self, NoTags>> {
        let values: Vec<&HeaderValue> = headers.get_all(field).collect();
        match values.as_slice() {
            [] => None,
            [only] if only.as_bytes().trim_ascii() == b"*" => Some(Ok(Self::Any)),
            lists => {
                let read: Result<Vec<_>, _> = lists.iter().map(|list| tags(list)).collect();
                Some(read.map(|lists| Self::These(lists.concat())))
            }
        }
    }

    /// The answers that a reader has: its `If-None-Match`. One that cannot be read names none, so that
    /// the answer comes whole.
    pub(super) fn known(headers: &HeaderMap) -> Self {
        let read = Self::read(headers, header::IF_NONE_MATCH).and_then(Result::ok);
        read.unwrap_or(Self::These(Vec::new()))
    }

    /// Whether it names this very answer, by weak comparison.
    pub(super) fn names(&self, tag: &Tag) -> bool {
        matches!(self, Self::These(tags) if tags.iter().any(|known| known.opaque() == tag.opaque()))
    }

    /// The same by strong comparison: byte by byte this answer.
    pub(super) fn names_exactly(&self, tag: &Tag) -> bool {
        matches!(self, Self::These(tags) if tag.is_strong() && tags.contains(tag))
    }

    /// Whether it names this answer, or any.
    pub(super) fn holds(&self, tag: &Tag) -> bool {
        *self == Self::Any || self.names(tag)
    }
}

/// A header field that should name answers and cannot be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct NoTags;

/// The tags of a list, which may have empty members (RFC 9110, 5.6.1.2 and 8.8.3); a quoted part may
/// hold a comma.
fn tags(list: &HeaderValue) -> Result<Vec<Tag>, NoTags> {
    let mut rest = list.to_str().map_err(|_| NoTags)?;
    let mut tags = Vec::new();
    loop {
        rest = rest.trim_start_matches([' ', '\t', ',']);
        if rest.is_empty() {
            return Ok(tags);
        }
        let opening = if rest.starts_with("W/") { 3 } else { 1 };
        let (open, quoted) = rest.split_at_checked(opening).ok_or(NoTags)?;
        let closing = quoted.find('"').filter(|_| open.ends_with('"')).ok_or(NoTags)?;
        let (tag, after) = rest.split_at(opening + closing + 1);
        if tag.contains([' ', '\t'])
            || !after.trim_start().starts_with(',') && !after.trim_start().is_empty()
        {
            return Err(NoTags);
        }
        tags.push(Tag(tag.to_owned()));
        rest = after;
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn named(values: &[&'static str]) -> Option<Result<Tags, NoTags>> {
        let mut headers = HeaderMap::new();
        for value in values {
            headers.append(header::IF_MATCH, HeaderValue::from_static(value));
        }
        Tags::read(&headers, header::IF_MATCH)
    }

    fn known(values: &[&'static str]) -> Tags {
        named(values).unwrap().unwrap()
    }

    fn tag(text: &str) -> Tag {
        Tag(text.to_owned())
    }

    /// The table of RFC 9110, 8.8.3.2.
    #[test]
    fn tags_are_compared_as_the_standard_says() {
        for (one, other, strongly, weakly) in [
            ("W/\"1\"", "W/\"1\"", false, true),
            ("W/\"1\"", "W/\"2\"", false, false),
            ("W/\"1\"", "\"1\"", false, true),
            ("\"1\"", "\"1\"", true, true),
        ] {
            assert_eq!(known(&[one]).names_exactly(&tag(other)), strongly, "{one} {other}");
            assert_eq!(known(&[one]).names(&tag(other)), weakly, "{one} {other}");
        }
    }

    #[test]
    fn a_list_is_read_tag_by_tag() {
        // The examples of RFC 9110, 13.1.2.
        let three = known(&["W/\"xyzzy\", W/\"r2d2xxxx\", W/\"c3piozzzz\""]);
        assert!(three.names(&tag("\"r2d2xxxx\"")) && three.names(&tag("W/\"c3piozzzz\"")));
        assert!(known(&["\"a,b\",\"\""]).names(&tag("\"a,b\"")));
        assert!(known(&[", \"x\" ,,", "\"y\""]).names(&tag("\"y\"")));
        assert!(known(&[" * "]).holds(&tag("\"y\"")) && !known(&["*"]).names(&tag("\"y\"")));
        assert_eq!(known(&[""]), Tags::These(Vec::new()));
        assert_eq!(named(&[]), None);
    }

    #[test]
    fn what_is_no_list_of_tags_is_not_taken_for_one() {
        for wrong in [
            "y",
            "\"y",
            "W/",
            "W",
            "w/\"y\"",
            "W/ \"y\"",
            "\"x\" \"y\"",
            "\"x\", *",
            "\"x\"y",
            "\"a b\"",
        ] {
            assert_eq!(named(&[wrong]), Some(Err(NoTags)), "{wrong}");
        }
        assert_eq!(named(&["*", "\"y\""]), Some(Err(NoTags)));
    }

    #[test]
    fn another_coding_has_the_weak_tag_of_the_same_text() {
        let strong = Tag::strong(b"text");
        assert_eq!(strong.clone().weakened(), Tag::weak(b"text"));
        assert_eq!(Tag::weak(b"text").weakened(), Tag::weak(b"text"));
        assert_ne!(strong, Tag::strong(b"texts"));
    }
}
