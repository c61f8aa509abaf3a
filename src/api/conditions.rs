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
    errors,
    problem::Problem,
    tag::{NoTags, Tag, Tags},
};
use crate::live::{Clause, Condition, Listed, ReadError, States, Version};

const UNREADABLE: &str = "`If-Match` or `If-None-Match` cannot be read: send `*`, or the tags in their \
                          quotes as `ETag` gave them";
const NOT_THERE: &str = "it is not there, and `If-Match: *` asks to change only what is";
const WEAK: &str = "`If-Match` has weak tags alone, which match nothing (RFC 9110, 13.1.1): send the one \
                    that a read of this very thing gives, uncompressed";
const CHANGED: &str = "it is not, or no longer, as the tags of `If-Match` name it: read it again and \
                       decide anew";
const THERE: &str = "it is there already, and `If-None-Match: *` asks to make it only if it is not";
const UNCHANGED: &str = "it is still as a tag of `If-None-Match` names it";

/// Whether there are tags and none is strong.
fn all_weak(tags: &[Tag]) -> bool {
    !tags.is_empty() && !tags.iter().any(Tag::is_strong)
}

/// The conditions of a write.
#[derive(Debug, Clone, Default)]
pub(super) struct Conditions {
    /// What the fold judges.
    pub(super) wanted: Condition,
    /// How the thing stood when the request was read.
    seen: Option<Version>,
}

impl Conditions {
    /// Whether a request has any.
    pub(super) fn has_any(request: &HttpRequest) -> bool {
        let has = |field| request.headers().contains_key(field);
        has(header::IF_MATCH) || has(header::IF_NONE_MATCH)
    }

    /// Those of a request that changes what reads show as `now`; none where nothing is there.
    pub(super) fn of(request: &HttpRequest, now: Option<(Tag, Version)>) -> Self {
        Self::read(request.headers(), now).unwrap_or_else(|NoTags| {
            let never = Clause { states: States::Only(None), otherwise: UNREADABLE };
            let wanted = Condition { asked: Some(never), ruled_out: None };
            Self { wanted, seen: None }
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
        let states = |tags: &Tags, names: fn(&Tags, &Tag) -> bool| match tags {
            Tags::Any => States::Any,
            Tags::These(_) => {
                let this = now.as_ref().filter(|(tag, _)| names(tags, tag));
                States::Only(this.map(|(_, version)| version.clone()))
            }
        };
        let asked = Tags::read(headers, header::IF_MATCH).transpose()?.map(|tags| Clause {
            states: states(&tags, Tags::names_exactly),
            otherwise: match &tags {
                Tags::Any => NOT_THERE,
                Tags::These(tags) if all_weak(tags) => WEAK,
                Tags::These(_) => CHANGED,
            },
        });
        let ruled_out = Tags::read(headers, header::IF_NONE_MATCH).transpose()?;
        let ruled_out = ruled_out.map(|tags| Clause {
            states: states(&tags, Tags::names),
            otherwise: if tags == Tags::Any { THERE } else { UNCHANGED },
        });
        let wanted = Condition { asked, ruled_out };
        Ok(Self { wanted, seen: now.map(|(_, version)| version) })
    }

    /// Whether they hold of what was seen, for a write that changes nothing.
    pub(super) fn check(&self) -> Result<(), Problem> {
        let checked = self.wanted.check(self.seen.as_ref());
        checked.map_err(|refusal| errors::of_refusal(&refusal))
    }
}
