//! The kinds of refusal: one table, from which problems, the description of the API and the pages
//! that explain them are made.

use actix_web::http::StatusCode;

use super::field::Field;

/// What is known of a kind of refusal.
#[derive(Debug, Clone, Copy)]
pub(super) struct Facts {
    /// The HTTP status.
    pub status: StatusCode,
    /// The last part of the problem's `type`.
    pub slug: &'static str,
    /// The kind in words.
    pub title: &'static str,
    /// What it means, and when it comes.
    pub meaning: &'static str,
    /// What its reader can do.
    pub mend: &'static str,
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $Kind:ident = $status:ident $slug:literal $title:literal $meaning:literal $mend:literal)+) => {
        /// The kinds of refusal. Each has a page of its own under `/docs/errors/`, whose address is
        /// the problem's `type` and never changes.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Kind {
            $($(#[$doc])* $Kind,)+
        }

        impl Kind {
            /// All of them.
            pub(super) const ALL: [Self; [$($slug),+].len()] = [$(Self::$Kind),+];

            /// What is known of it.
            pub(super) const fn facts(self) -> Facts {
                match self {
                    $(Self::$Kind => Facts {
                        status: StatusCode::$status,
                        slug: $slug,
                        title: $title,
                        meaning: $meaning,
                        mend: $mend,
                    },)+
                }
            }
        }
    };
}

kinds! {
    /// The body's framing is broken, or it ended before it was whole.
    BrokenBody = BAD_REQUEST "broken-body" "The body is broken off"
        "The connection ended, or the framing of the body broke, before the body was whole. What a \
         stream had acknowledged by then is stored, and the problem says how far it came."
        "Send it again. A stream goes on from the line after `last_line`; whole lines that were \
         stored already come back as duplicates, so sending too much does no harm."
    /// `Host` is missing or names nobody we answer for.
    Misdirected = MISDIRECTED_REQUEST "misdirected" "Not a host name of this service"
        "The request's `Host` is none that this service answers to. So a foreign name that was made \
         to point at this machine reaches nothing."
        "Ask by `localhost` or by the machine's address, or start the service with the name that \
         you use: `--host bay.example`."
    /// A page of another site sent this.
    CrossSite = FORBIDDEN "cross-site" "Sent by a page of another site"
        "A browser says that a page of another site made this request. A page that anyone may open \
         must not read or write here unasked."
        "Serve the page from this service's own address, put both behind one address, or ask from \
         a program that is no browser. A page of your own elsewhere is let in by its exact origin: \
         start the service with `--allow-origin http://localhost:5173`."
    /// Nothing is at this address.
    NotFound = NOT_FOUND "not-found" "Nothing is here"
        "The path leads nowhere, or something that it names is not known: a player, a club, a bag, \
         a ball, a source or a shot."
        "Look at the spelling: upper and lower case differ, and a `/` within a name is written \
         `%2F`. The lists, such as `/v1/players`, tell what there is, and `/openapi.json` what is \
         where."
    /// It was here, and was erased or retired.
    Gone = GONE "gone" "It was here and is gone"
        "What the path names was here, and was erased or retired. Its content is in no answer any \
         more; conclusions still rest on the numbers of a retired shot."
        "Nothing brings it back. The same shot sent again counts as a duplicate and stores nothing; \
         an erased player's id can be put anew."
    /// The resource does not take this method.
    MethodNotAllowed = METHOD_NOT_ALLOWED "method-not-allowed" "The method is not taken here"
        "Something is at this path, but it does not take this method."
        "Use one of the methods in the answer's `Allow`."
    /// The resource cannot be given in any accepted form.
    NotAcceptable = NOT_ACCEPTABLE "not-acceptable" "Not given in an accepted form"
        "The request's `Accept` names no form in which this can be given."
        "Leave `Accept` out, or name one of the forms that `detail` lists."
    /// The body is in no form that the resource takes.
    UnsupportedMediaType = UNSUPPORTED_MEDIA_TYPE "unsupported-media-type" "The body's media type is not taken"
        "The request's `Content-Type` is missing or is none that is taken here, or the body is \
         coded in a way that is not understood."
        "Say what the body is in one `Content-Type`, as `detail` lists them. JSON is always UTF-8."
    /// The body is larger than the limit.
    BodyTooLarge = PAYLOAD_TOO_LARGE "body-too-large" "The body is over the limit"
        "The body is larger than a body of its form may be, or it inflates to too many times its size. \
         Nothing of a body that is read whole is stored. What a stream had acknowledged by then is, \
         and the problem says how far it came."
        "Send shots as `application/x-ndjson`: such a stream may be of any length, and only its \
         lines have a limit. A stream goes on from the line after `last_line`. The limits stand on \
         `/docs`."
    /// The head is larger than the limit.
    HeadTooLarge = REQUEST_HEADER_FIELDS_TOO_LARGE "head-too-large" "The request's head is over the limit"
        "The request line and the header fields together are larger than they may be."
        "Shorten the query or the header fields; ask for less at once."
    /// The client fell silent in the middle of a body.
    Timeout = REQUEST_TIMEOUT "timeout" "The body stopped coming"
        "Nothing more of the body came for the longest time that is waited, or a body that is read \
         whole, or an import, took longer than it may. What a stream had acknowledged by then is stored, and the \
         problem says how far it came."
        "Send the rest in a new request, from the line after `last_line`. A sender that waits for \
         shots does better to send each in a request of its own."
    /// The body is not JSON that we can read.
    NotJson = BAD_REQUEST "not-json" "The body cannot be read as JSON"
        "The body is no JSON text, has a key twice in one object, is nested too deeply, or holds a \
         number that no double can hold."
        "`detail` says at which place reading ended. Write the body with a JSON library."
    /// The address or query is not UTF-8.
    NotUtf8 = BAD_REQUEST "not-utf-8" "The address is not UTF-8"
        "The path or the query, once its percent-encoding is undone, is not UTF-8."
        "Encode names as UTF-8 before they are percent-encoded, as URL libraries do by themselves."
    /// Understood, but invalid.
    Invalid = UNPROCESSABLE_ENTITY "invalid" "The request is understood, but invalid"
        "The request can be read, but something in it is not as it must be: a member, a number \
         outside its bounds, a parameter, a name that nothing has. All faults are told at once."
        "Mend every entry of `errors`: `pointer` says where in the body (RFC 6901), `parameter` \
         which one of the query, `detail` what is wrong and what would be right."
    /// A condition of the request does not hold.
    PreconditionFailed = PRECONDITION_FAILED "precondition-failed" "A condition of the request does not hold"
        "The request says in `If-Match` or `If-None-Match` how that which it changes must stand (RFC \
         9110, 13.1), and it does not stand so. Nothing was changed. This is judged last: what \
         would be refused without a condition is refused the same with one."
        "Read it again: the answer's `ETag` in `If-Match` lets a write happen only while nobody else \
         has changed it. `If-None-Match: *` is for what is not there yet."
    /// Against what is stored already.
    Conflict = CONFLICT "conflict" "Against what is already stored"
        "What is asked for goes against what is stored: a shot's `source` and `id` are taken by \
         other content, something that is to go still has shots, or an import comes to a store that \
         is not empty."
        "For a shot: send it under another id, and set the stored one aside if that one is wrong. \
         The same content sent again is no conflict but a duplicate. For an import: start the \
         service on an empty folder."
    /// As many follow as may.
    Crowded = TOO_MANY_REQUESTS "crowded" "As many follow already as may"
        "The live stream has as many readers, lists that wait for shots included, as it may have at one \
         time."
        "Try again after the seconds in `Retry-After`. Let what shows the same share one stream, and \
         end the streams that nobody looks at. The limit, `streams`, stands on `/docs` and can be set."
    /// Writes cannot be made durable now, or nobody can be told of them.
    Unavailable = SERVICE_UNAVAILABLE "unavailable" "Not possible at the moment"
        "Writes cannot be made durable: the disk has no room, or a write or a sync failed. Nothing is \
         acknowledged that might be lost; reads go on. Or, where it was asked to be told of what comes, \
         that fails."
        "Try again after the seconds in `Retry-After`; without it, do what `detail` says. `/readyz` says what is wrong; where a write \
         failed, the service needs a restart, which checks what is stored."
    /// Our own fault.
    Internal = INTERNAL_SERVER_ERROR "internal" "The service failed; the fault is ours"
        "The service could not do what it should, and nothing in the request is to blame."
        "The service's log says what happened. Sending a shot again does no harm: it is stored \
         once."
}

impl Kind {
    /// The HTTP status.
    #[must_use]
    pub const fn status(self) -> StatusCode {
        self.facts().status
    }

    /// The header fields that its answers carry beyond every answer's.
    pub(super) const fn fields(self) -> &'static [Field] {
        match self {
            Self::MethodNotAllowed => &[Field::ALLOW],
            Self::Unavailable | Self::Crowded => &[Field::RETRY_AFTER],
            Self::UnsupportedMediaType => &[Field::ACCEPT_ENCODING],
            _ => &[],
        }
    }

    /// The last part of the problem's `type`.
    #[must_use]
    pub(super) const fn slug(self) -> &'static str {
        self.facts().slug
    }

    /// The problem's `type`: the page that explains it.
    pub(super) fn page(self) -> String {
        format!("/docs/errors/{}", self.slug())
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn each_kind_has_a_page_of_its_own() {
        let pages: BTreeSet<String> = Kind::ALL.iter().map(|kind| kind.page()).collect();
        assert_eq!(pages.len(), Kind::ALL.len());
    }

    #[test]
    fn every_kind_is_a_refusal() {
        for kind in Kind::ALL {
            let status = kind.status();
            assert!(status.is_client_error() || status.is_server_error(), "{kind:?}");
        }
    }
}
