//! Conditions of writes: `If-Match` and `If-None-Match` (RFC 9110, 13.1.1 and 13.1.2), made into
//! what the fold judges with the act.
//!
//! Tags are compared with that of the thing as a read would show it; what they stand for there, the
//! fold holds against what is there when the act's turn comes. A field that cannot be read never
//! holds: who asked for a condition gets no write without it.

use actix_web::{
    HttpRequest,
    http::header::{self, HeaderMap},
};
use serde::Serialize;

use super::{
    problem::{Kind, Problem},
    tag::{Named, NoTags, Tag},
};
use crate::live::{Condition, Listed, ReadError, Refusal, States, Version};

const UNREADABLE: &str = "`If-Match` or `If-None-Match` cannot be read: send `*`, or the tags in their \
                          quotes as `ETag` gave them";
const NOT_THERE: &str = "it is not there, and `If-Match: *` asks to change only what is";
const WEAK: &str = "`If-Match` has weak tags alone, which match nothing (RFC 9110, 13.1.1): send the one \
                    that a read of this very thing gives, uncompressed";
const CHANGED: &str = "it is not, or no longer, as the tags of `If-Match` name it: read it again and \
                       decide anew";
const THERE: &str = "it is there already, and `If-None-Match: *` asks to make it only if it is not";
const UNCHANGED: &str = "it is still as a tag of `If-None-Match` names it";

fn is_weak(tags: &[Tag]) -> bool {
    !tags.is_empty() && !tags.iter().any(Tag::is_strong)
}

/// The conditions of a write.
#[derive(Debug, Clone, Default)]
pub(super) struct Conditions {
    /// What the fold judges.
    pub(super) wanted: Condition,
    /// How the thing stood when the request was read.
    seen: Option<Version>,
    /// What is told where it does not stand as it was asked for.
    not_asked: &'static str,
    /// What is told where it stands as it was ruled out.
    ruled_out: &'static str,
}

impl Conditions {
    /// Whether a request has any.
    pub(super) fn has_any(request: &HttpRequest) -> bool {
        let has = |field| request.headers().contains_key(field);
        has(header::IF_MATCH) || has(header::IF_NONE_MATCH)
    }

    /// Those of a request that changes what reads show as `now`; none where nothing is there.
    pub(super) fn of(request: &HttpRequest, now: Option<(Tag, Version)>) -> Self {
        Self::read(request.headers(), now).unwrap_or_else(|NoTags| Self {
            wanted: Condition { asked: Some(States::Only(None)), ruled_out: None },
            not_asked: UNREADABLE,
            ..Self::default()
        })
    }

    /// Those of a request that changes a document of the catalogue.
    pub(super) fn of_entry<K: Serialize, D: Serialize>(
        request: &HttpRequest,
        now: &Result<Listed<K, D>, ReadError>,
    ) -> Self {
        let now = now.as_ref().ok().map(|entry| (entry, entry.as_of));
        Self::of_text(request, now.map(|(entry, as_of)| (entry, Version::AsOf(as_of))))
    }

    /// Those of a request that changes what reads show like this.
    pub(super) fn of_text<T: Serialize>(request: &HttpRequest, now: Option<(&T, Version)>) -> Self {
        if !Self::has_any(request) {
            return Self::default();
        }
        let tagged = now.and_then(|(shown, version)| {
            let text = serde_json::to_vec(shown).ok()?;
            Some((Tag::strong(&text), version))
        });
        Self::of(request, tagged)
    }

    fn read(headers: &HeaderMap, now: Option<(Tag, Version)>) -> Result<Self, NoTags> {
        let asked = Named::read(headers, header::IF_MATCH).transpose()?;
        let ruled_out = Named::read(headers, header::IF_NONE_MATCH).transpose()?;
        let states = |named: &Named, names: fn(&Named, &Tag) -> bool| match named {
            Named::Any => States::Any,
            Named::These(_) => {
                let this = now.as_ref().filter(|(tag, _)| names(named, tag));
                States::Only(this.map(|(_, version)| version.clone()))
            }
        };
        Ok(Self {
            not_asked: match &asked {
                Some(Named::Any) => NOT_THERE,
                Some(Named::These(tags)) if is_weak(tags) => WEAK,
                _ => CHANGED,
            },
            ruled_out: if ruled_out == Some(Named::Any) { THERE } else { UNCHANGED },
            wanted: Condition {
                asked: asked.map(|named| states(&named, Named::names_exactly)),
                ruled_out: ruled_out.map(|named| states(&named, Named::names)),
            },
            seen: now.map(|(_, version)| version),
        })
    }

    /// Whether they hold of what was seen, for a write that changes nothing.
    pub(super) fn check(&self) -> Result<(), Problem> {
        let checked = self.wanted.check(self.seen.as_ref());
        checked.map_err(|refusal| self.failed(&refusal))
    }

    /// The problem where they do not hold.
    pub(super) fn failed(&self, refusal: &Refusal) -> Problem {
        let ruled_out = *refusal == Refusal::RuledOut;
        let detail = if ruled_out { self.ruled_out } else { self.not_asked };
        Problem::new(Kind::PreconditionFailed, detail)
    }
}
