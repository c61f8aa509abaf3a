//! Header fields of answers that tell a client something, as the description of the API has them.

/// A header field of an answer.
#[derive(Debug, Clone, Copy)]
pub(super) struct Field {
    /// Its name.
    pub name: &'static str,
    /// What it tells.
    pub about: &'static str,
    /// What its value is.
    pub form: FieldForm,
    /// A value.
    pub example: &'static str,
}

/// What the value of a header field is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FieldForm {
    /// A text.
    Text,
    /// A whole number of seconds.
    Seconds,
}

impl Field {
    /// Where something that was made is.
    pub(super) const LOCATION: Self = Self {
        name: "Location",
        about: "The address of what was stored.",
        form: FieldForm::Text,
        example: "/v1/shots/bay-3/1",
    };
    /// Where the next page is (RFC 8288).
    pub(super) const LINK: Self = Self {
        name: "Link",
        about: "The address of the next page, as `rel=\"next\"` (RFC 8288); absent at the end.",
        form: FieldForm::Text,
        example: "</v1/shots?limit=1&cursor=0000000000000001c2a4b6d8>; rel=\"next\"",
    };
    /// By what a client learns whether the answer has changed (RFC 9110, 8.8.3).
    pub(super) const ETAG: Self = Self {
        name: "ETag",
        about: "Tells this answer from others: sent back as `If-None-Match`, it gets 304 as long as \
                nothing has changed.",
        form: FieldForm::Text,
        example: "W/\"5f3c1e0a9b7d42866e1f0c9d8a7b6c54\"",
    };
    /// The same, where it stands for every byte.
    pub(super) const EXACT_ETAG: Self = Self {
        name: "ETag",
        about: "Stands for every byte of this answer: sent back as `If-None-Match`, it gets 304 as long \
                as nothing has changed; sent as `If-Match` with a write, it lets that happen only so \
                long. Given weak, for an answer that is compressed, it does the first alone.",
        form: FieldForm::Text,
        example: "\"5f3c1e0a9b7d42866e1f0c9d8a7b6c54\"",
    };
    /// Which methods there are.
    pub(super) const ALLOW: Self = Self {
        name: "Allow",
        about: "The methods that are taken here.",
        form: FieldForm::Text,
        example: "GET, HEAD, PUT, DELETE",
    };
    /// Which codings a body may have.
    pub(super) const ACCEPT_ENCODING: Self = Self {
        name: "Accept-Encoding",
        about: "The codings that a body may have, where its own is not taken (RFC 9110, 12.5.3).",
        form: FieldForm::Text,
        example: "gzip, zstd",
    };
    /// When to try again.
    pub(super) const RETRY_AFTER: Self = Self {
        name: "Retry-After",
        about: "How many seconds to wait before the next try; absent where trying again does not help.",
        form: FieldForm::Seconds,
        example: "30",
    };
}
