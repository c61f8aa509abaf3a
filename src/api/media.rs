//! Media types: what a body is said to be, and what a client will take.

use actix_web::http::header::{self, HeaderMap};
use actix_web::mime::{self, Mime};

/// The media types the service speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Media {
    /// `application/json`
    Json,
    /// `application/x-ndjson`
    Ndjson,
    /// `text/csv` (RFC 4180)
    Csv,
    /// `application/cloudevents+json`: an envelope (CloudEvents 1.0, structured mode)
    CloudEvent,
    /// `application/cloudevents-batch+json`: a list of envelopes
    CloudEvents,
    /// `application/merge-patch+json` (RFC 7396)
    MergePatch,
    /// `application/schema+json`
    Schema,
    /// `text/plain` as Prometheus writes figures
    PrometheusText,
    /// `application/openmetrics-text`
    OpenMetrics,
    /// `text/event-stream` (Server-Sent Events, HTML Standard 9.2)
    EventStream,
    /// `text/html`
    Html,
    /// `text/css`
    Css,
}

impl Media {
    /// As it is written in a header.
    #[must_use]
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Json => "application/json",
            Self::Ndjson => "application/x-ndjson",
            Self::Csv => "text/csv",
            Self::CloudEvent => "application/cloudevents+json",
            Self::CloudEvents => "application/cloudevents-batch+json",
            Self::MergePatch => "application/merge-patch+json",
            Self::Schema => "application/schema+json",
            Self::PrometheusText => "text/plain",
            Self::OpenMetrics => "application/openmetrics-text",
            Self::EventStream => "text/event-stream",
            Self::Html => "text/html",
            Self::Css => "text/css",
        }
    }

    /// Whether it is one JSON text.
    #[must_use]
    pub(super) const fn is_json(self) -> bool {
        matches!(
            self,
            Self::Json | Self::CloudEvent | Self::CloudEvents | Self::MergePatch | Self::Schema
        )
    }

    /// Whether it may be of any length: what is taken piece by piece is never held whole.
    #[must_use]
    pub(super) const fn is_stream(self) -> bool {
        matches!(self, Self::Ndjson | Self::Csv)
    }
}

/// Names in a sentence: `a, b or c`.
#[must_use]
pub(super) fn list(media: &[Media]) -> String {
    let names: Vec<&str> = media.iter().map(|one| one.name()).collect();
    match names.as_slice() {
        [] => String::from("nothing"),
        [only] => (*only).to_owned(),
        [head @ .., last] => format!("{} or {last}", head.join(", ")),
    }
}

/// Which of `taken` the one `Content-Type` names; JSON is UTF-8 and no other charset (RFC 8259, 8.1).
#[must_use]
pub(super) fn of_body(headers: &HeaderMap, taken: &[Media]) -> Option<Media> {
    let mut named = headers.get_all(header::CONTENT_TYPE);
    let (Some(value), None) = (named.next(), named.next()) else { return None };
    let parsed: Mime = value.to_str().ok()?.parse().ok()?;
    let utf8 = parsed
        .params()
        .filter(|(name, _)| *name == mime::CHARSET)
        .all(|(_, charset)| charset.as_str().eq_ignore_ascii_case("utf-8"));
    let media = taken.iter().copied().find(|media| media.name() == parsed.essence_str())?;
    utf8.then_some(media)
}

/// The best of `given` for the client's `Accept` (RFC 9110, 12.5.1); without one, the first. A part
/// that cannot be read is passed over.
#[must_use]
pub(super) fn accepted(headers: &HeaderMap, given: &[Media]) -> Option<Media> {
    let ranges: Vec<(Mime, f32)> = headers
        .get_all(header::ACCEPT)
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .filter_map(range)
        .collect();
    let silent =
        headers.get_all(header::ACCEPT).all(|value| value.as_bytes().trim_ascii().is_empty());
    if silent {
        return given.first().copied();
    }
    let mut best: Option<(Media, f32)> = None;
    for media in given {
        let weight = weight(&ranges, *media);
        if weight > best.map_or(0.0, |(_, most)| most) {
            best = Some((*media, weight));
        }
    }
    best.map(|(media, _)| media)
}

/// A media range and its weight.
fn range(text: &str) -> Option<(Mime, f32)> {
    let range: Mime = text.trim().parse().ok()?;
    let weight = match range.get_param("q") {
        Some(weight) => weight.as_str().parse().ok().filter(|q| (0.0..=1.0).contains(q))?,
        None => 1.0,
    };
    Some((range, weight))
}

/// The weight that the most specific range gives to `media`; 0 if none speaks of it.
fn weight(ranges: &[(Mime, f32)], media: Media) -> f32 {
    let (kind, _) = media.name().split_once('/').unwrap_or_default();
    let specificity = |range: &Mime| match range.essence_str() {
        name if name == media.name() => 3,
        "*/*" => 1,
        name if name.strip_suffix("/*") == Some(kind) => 2,
        _ => 0,
    };
    ranges
        .iter()
        .map(|(range, weight)| (specificity(range), *weight))
        .filter(|(specificity, _)| *specificity > 0)
        .max_by_key(|(specificity, _)| *specificity)
        .map_or(0.0, |(_, weight)| weight)
}

#[cfg(test)]
mod tests {
    use actix_web::http::header::{HeaderName, HeaderValue};

    use super::*;

    fn headers(name: &HeaderName, values: &[&'static str]) -> HeaderMap {
        let mut map = HeaderMap::new();
        for value in values {
            map.append(name.clone(), HeaderValue::from_static(value));
        }
        map
    }

    #[test]
    fn a_body_is_what_its_one_parsed_content_type_says() {
        let taken = [Media::Json, Media::Ndjson];
        let of = |values: &[&'static str]| of_body(&headers(&header::CONTENT_TYPE, values), &taken);
        assert_eq!(of(&["application/json"]), Some(Media::Json));
        assert_eq!(of(&["Application/JSON; Charset=\"UTF-8\""]), Some(Media::Json));
        assert_eq!(of(&["application/x-ndjson;charset=utf-8"]), Some(Media::Ndjson));
        assert_eq!(of(&["application/json; charset=latin1"]), None);
        assert_eq!(of(&["text/plain; application/json"]), None);
        assert_eq!(of(&["text/plain"]), None);
        assert_eq!(of(&["application/jsonp"]), None);
        assert_eq!(of(&["application/json, text/plain"]), None);
        assert_eq!(of(&["application/json", "text/plain"]), None);
        assert_eq!(of(&["application/json", "application/json"]), None);
        assert_eq!(of(&[""]), None);
        assert_eq!(of(&[]), None);
    }

    #[test]
    fn the_clients_best_liked_form_is_given() {
        let given = [Media::Json, Media::Ndjson];
        let of = |values: &[&'static str]| accepted(&headers(&header::ACCEPT, values), &given);
        assert_eq!(of(&[]), Some(Media::Json));
        assert_eq!(of(&[""]), Some(Media::Json));
        assert_eq!(of(&["*/*"]), Some(Media::Json));
        assert_eq!(of(&["application/*"]), Some(Media::Json));
        assert_eq!(of(&["application/x-ndjson"]), Some(Media::Ndjson));
        assert_eq!(of(&["application/x-ndjson, application/json;q=0.5"]), Some(Media::Ndjson));
        assert_eq!(of(&["*/*;q=0.1", "application/x-ndjson"]), Some(Media::Ndjson));
        assert_eq!(of(&["application/json;q=0, */*"]), Some(Media::Ndjson));
        assert_eq!(of(&["text/html, image/gif, *; q=.2, */*; q=.2"]), Some(Media::Json));
        assert_eq!(of(&["text/csv"]), None);
        assert_eq!(of(&["application/json;q=0"]), None);
        assert_eq!(of(&["nonsense"]), None);
    }
}
