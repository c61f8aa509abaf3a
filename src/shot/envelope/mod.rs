//! CloudEvents 1.0: an event in the envelope of that standard, in JSON and structured mode.
//!
//! An envelope is opened at the border: what goes on is the plain event that says the same. Its
//! `id`, `source` and `time` are the envelope's, its other members those of `data`, all as they were
//! sent; attributes that no member has a place for stand under `ext.cloudevent`.
//!
//! Source: CloudEvents 1.0.2 (<https://github.com/cloudevents/spec>), its specification and its
//! JSON event format.

pub(crate) mod attribute;

use super::REQUIRED;
use super::event::Event;
use super::fault::{Fault, Faults, Rejection, RejectionKind, pointer};
use super::json::{self, Json, SentMembers, sent_members};
use super::parse::parse;
use super::wording;
use serde_json::value::RawValue;

/// The `type` of a shot in an envelope.
pub const EVENT_TYPE: &str = "evencarry.shot.v1";
/// The version of CloudEvents that is understood.
pub(crate) const SPEC_VERSION: &str = "1.0";
/// The member of `ext` that keeps attributes.
const KEPT_IN: &str = "cloudevent";
/// Reads an event in an envelope; gives the shot, and the plain event that says the same.
///
/// # Errors
/// A [`Rejection`] that holds every fault, with pointers into the envelope.
pub fn parse_envelope(text: &[u8]) -> Result<(Event, Vec<u8>), Rejection> {
    let mut opening = Opening::default();
    match sent_members(text)? {
        Ok(envelope) => opening.read(envelope)?,
        Err(other) => {
            opening.faults.at("", wording::wrong_kind(&other, "an envelope, which is an object"));
            return Err(Rejection::nameless(opening.faults.into_kind()));
        }
    }
    let plain = opening.plain();
    match parse(&plain) {
        Ok(event) if opening.faults.is_empty() => Ok((event, plain)),
        Ok(event) => Err(Rejection {
            source: Some(event.source.to_string()),
            id: Some(event.id.to_string()),
            kind: opening.faults.into_kind(),
        }),
        Err(Rejection { source, id, kind }) => {
            let kind = match kind {
                RejectionKind::Invalid(faults) => opening.joined_by(faults),
                // Told with the place in what was sent.
                not_json => Json::read(text).err().map_or(not_json, |rejection| rejection.kind),
            };
            Err(Rejection { source, id, kind })
        }
    }
}

/// An envelope while it is opened.
#[derive(Default)]
struct Opening<'t> {
    faults: Faults,
    /// `id`, `source` and `time`.
    named: SentMembers<'t>,
    /// The other members of the event; nothing where `data` is missing or no object.
    data: Option<SentMembers<'t>>,
    /// Attributes to be kept in `ext`.
    kept: SentMembers<'t>,
}

impl<'t> Opening<'t> {
    fn read(&mut self, envelope: SentMembers<'t>) -> Result<(), Rejection> {
        let mut missing = vec!["specversion", "type", "data"];
        for (name, value) in envelope {
            // An attribute that is null is unset. Source: JSON event format, section 2.1.
            if value.get() == "null" && name != "data" && attribute::is_name(&name) {
                continue;
            }
            missing.retain(|needed| *needed != name);
            match &*name {
                "specversion" => self.exactly(&name, value, SPEC_VERSION)?,
                "type" => self.exactly(&name, value, EVENT_TYPE)?,
                "id" | "source" | "time" => self.named.push((name, value)),
                "datacontenttype" => {
                    if let Some(detail) = attribute::no_json(&json_of(value)?) {
                        self.faults.at("/datacontenttype", detail);
                    }
                }
                "data" => self.data(value)?,
                "data_base64" => {
                    self.faults.at("/data_base64", "is not taken: send the members in `data`");
                    missing.retain(|needed| *needed != "data");
                }
                _ => {
                    if let Some(detail) = attribute::fault(&name, &json_of(value)?) {
                        self.faults.at(&pointer("", &name), detail);
                    }
                    self.kept.push((name, value));
                }
            }
        }
        for name in missing {
            self.faults.at(&pointer("", name), "is missing: every envelope has one");
        }
        self.named.sort_by_key(|(name, _)| REQUIRED.iter().position(|known| known == name));
        if !self.kept.is_empty() && self.kept_by_the_sender() {
            let detail = "is where attributes of the envelope are kept: leave it out beside them";
            self.faults.at("/data/ext/cloudevent", detail);
            self.kept.clear();
        }
        Ok(())
    }

    /// An attribute that has one value only.
    fn exactly(&mut self, name: &str, value: &RawValue, wanted: &str) -> Result<(), Rejection> {
        let said = match json_of(value)? {
            Json::Text(text) if text == wanted => return Ok(()),
            Json::Text(text) => format!("is {}", wording::echo(&text)),
            other => format!("is {}", other.called()),
        };
        self.faults.at(&pointer("", name), format!("{said}: send {wanted:?}"));
        Ok(())
    }

    fn data(&mut self, value: &'t RawValue) -> Result<(), Rejection> {
        match sent_members(value.get().as_bytes())? {
            Ok(members) => {
                let (named, data) = members
                    .into_iter()
                    .partition::<Vec<_>, _>(|(name, _)| REQUIRED.contains(&name.as_ref()));
                for (name, _) in named {
                    let detail = "is the envelope's to say: leave it out of `data`";
                    self.faults.at(&pointer("/data", &name), detail);
                }
                self.data = Some(data);
            }
            Err(other) => self.faults.at("/data", wording::wrong_kind(&other, "an object")),
        }
        Ok(())
    }

    /// Whether the sender has put something where attributes are kept.
    fn kept_by_the_sender(&self) -> bool {
        let ext = self.ext().map(|ext| sent_members(ext.get().as_bytes()));
        matches!(ext, Some(Ok(Ok(members))) if members.iter().any(|(name, _)| name == KEPT_IN))
    }

    fn ext(&self) -> Option<&'t RawValue> {
        let data = self.data.as_ref()?;
        data.iter().find(|(name, _)| name == "ext").map(|(_, ext)| *ext)
    }

    /// The plain event.
    fn plain(&self) -> Vec<u8> {
        let mut plain = json::Writer::new();
        let data = self.data.iter().flatten();
        for (name, value) in self.named.iter().chain(data) {
            plain.name(name);
            match self.kept_into(value) {
                Some(ext) if name == "ext" => plain.raw(&ext),
                _ => plain.raw(value.get()),
            }
        }
        if !self.kept.is_empty() && self.ext().is_none() {
            plain.name("ext");
            plain.raw(&format!("{{\"{KEPT_IN}\":{}}}", self.kept_text()));
        }
        plain.finish()
    }

    /// The object `ext`, as it was sent, with the attributes behind its own members.
    fn kept_into(&self, ext: &RawValue) -> Option<String> {
        let inner = ext.get().strip_prefix('{')?.strip_suffix('}')?;
        let comma = if inner.trim().is_empty() { "" } else { "," };
        (!self.kept.is_empty())
            .then(|| format!("{{{inner}{comma}\"{KEPT_IN}\":{}}}", self.kept_text()))
    }

    fn kept_text(&self) -> String {
        let mut kept = json::Writer::new();
        for (name, value) in &self.kept {
            kept.name(name);
            kept.raw(value.get());
        }
        String::from_utf8(kept.finish()).unwrap_or_default()
    }

    /// All faults, those of the plain event with pointers into the envelope.
    fn joined_by(mut self, faults: Vec<Fault>) -> RejectionKind {
        let has_ext = self.ext().is_some();
        for Fault { pointer, detail } in faults {
            let name = pointer.trim_start_matches('/').split('/').next().unwrap_or_default();
            let moved = if REQUIRED.contains(&name) {
                pointer
            } else if name == "ext" && !has_ext {
                String::new()
            } else if self.data.is_some() {
                format!("/data{pointer}")
            } else {
                // What `data` lacks is not told where there is no `data`.
                continue;
            };
            self.faults.add(|| Fault { pointer: moved, detail });
        }
        self.faults.into_kind()
    }
}

/// A value that was sent.
fn json_of(value: &RawValue) -> Result<Json<'_>, Rejection> {
    Json::read(value.get().as_bytes())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]
    use super::*;
    use crate::shot::same_content;

    const HEAD: &str = r#""specversion":"1.0","type":"evencarry.shot.v1","source":"bay-3","id":"1","time":"2026-04-11T10:15:04Z""#;

    fn opened(envelope: &str) -> String {
        let (_, plain) = parse_envelope(envelope.as_bytes()).unwrap();
        String::from_utf8(plain).unwrap()
    }

    fn faults(envelope: &str) -> Vec<(String, String)> {
        match parse_envelope(envelope.as_bytes()).unwrap_err().kind {
            RejectionKind::Invalid(faults) => {
                faults.into_iter().map(|fault| (fault.pointer, fault.detail)).collect()
            }
            RejectionKind::NotJson { detail } => panic!("{detail}"),
        }
    }

    #[test]
    fn the_plain_event_has_what_was_sent_as_it_was_sent() {
        let envelope =
            format!(r#"{{"data":{{ "flight": {{"carry_m":1.58e2}}, "lie":"mat" }},{HEAD}}}"#);
        assert_eq!(
            opened(&envelope),
            r#"{"id":"1","source":"bay-3","time":"2026-04-11T10:15:04Z","flight":{"carry_m":1.58e2},"lie":"mat"}"#
        );
    }

    #[test]
    fn attributes_without_a_member_of_their_own_are_kept_in_ext() {
        let more = r#""subject":"a","dataschema":"/s","hop":2,"last":false,"gone":null"#;
        let kept = r#"{"subject":"a","dataschema":"/s","hop":2,"last":false}"#;
        for (ext, expected) in [
            ("", format!(r#"{{"cloudevent":{kept}}}"#)),
            (r#","ext":{ }"#, format!(r#"{{ "cloudevent":{kept}}}"#)),
            (r#","ext":{"a":1.0}"#, format!(r#"{{"a":1.0,"cloudevent":{kept}}}"#)),
        ] {
            let envelope =
                format!(r#"{{{HEAD},{more},"data":{{"flight":{{"carry_m":158}}{ext}}}}}"#);
            let plain = opened(&envelope);
            assert!(plain.ends_with(&format!(r#""ext":{expected}}}"#)), "{plain}");
        }
    }

    #[test]
    fn all_faults_are_told_at_once_where_they_are_in_the_envelope() {
        let told = faults(
            r#"{"specversion":"0.3","type":"other","source":"bay-3","time":"now","dataContentType":"x",
                "datacontenttype":"text/csv","hops":1.5,"trace":{},"subject":"",
                "data":{"id":"7","flight":{"carry":150},"lie":"ice"}}"#,
        );
        let pointers: Vec<&str> = told.iter().map(|(pointer, _)| pointer.as_str()).collect();
        assert_eq!(
            pointers,
            [
                "/specversion",
                "/type",
                "/dataContentType",
                "/datacontenttype",
                "/hops",
                "/trace",
                "/subject",
                "/data/id",
                "/time",
                "/data/flight/carry",
                "/data/lie",
                "/id",
                "/data",
            ]
        );
        assert!(told[2].1.contains("datacontenttype"), "{told:?}");
    }

    #[test]
    fn data_is_an_object_and_there() {
        for (data, at) in [("7", "/data"), ("null", "/data"), ("[]", "/data")] {
            let told = faults(&format!(r#"{{{HEAD},"data":{data}}}"#));
            assert_eq!(told.len(), 1, "{told:?}");
            assert_eq!(told[0].0, at);
        }
        assert_eq!(faults(&format!("{{{HEAD}}}"))[0].0, "/data");
        let told = faults(&format!(r#"{{{HEAD},"data_base64":"e30="}}"#));
        assert_eq!((told.len(), told[0].0.as_str()), (1, "/data_base64"));
        assert!(told[0].1.contains("`data`"));
        assert_eq!(faults("[]")[0].0, "");
    }

    #[test]
    fn kept_attributes_are_not_sent_beside_kept_attributes() {
        let data = r#""data":{"flight":{"carry_m":158},"ext":{"cloudevent":{}}}"#;
        let told = faults(&format!(r#"{{{HEAD},"subject":"a",{data}}}"#));
        assert_eq!(told[0].0, "/data/ext/cloudevent");
        assert!(same_content(
            opened(&format!("{{{HEAD},{data}}}")).as_bytes(),
            br#"{"id":"1","source":"bay-3","time":"2026-04-11T10:15:04Z","flight":{"carry_m":158},"ext":{"cloudevent":{}}}"#,
        ));
    }

    #[test]
    fn what_ext_cannot_hold_is_told_where_it_came_from() {
        let long = "x".repeat(17_000);
        let data = r#""data":{"flight":{"carry_m":158}}"#;
        assert_eq!(faults(&format!(r#"{{{HEAD},"subject":"{long}",{data}}}"#))[0].0, "");
    }

    #[test]
    fn what_has_no_one_meaning_is_not_json() {
        for envelope in [
            format!(r#"{{{HEAD},"id":"2","data":{{"flight":{{"carry_m":158}}}}}}"#),
            format!(r#"{{{HEAD},"data":{{"flight":{{"carry_m":158}},"flight":{{}}}}}}"#),
            format!(r#"{{{HEAD},"data":{{"flight":{{"carry_m":158,"carry_m":158}}}}}}"#),
            format!(r#"{{{HEAD},"data":{{"flight":{{"carry_m":1e999}}}}}}"#),
            format!(r#"{{{HEAD},"data":{{"flight":{{"carry_m":158}}}}"#),
        ] {
            let kind = parse_envelope(envelope.as_bytes()).unwrap_err().kind;
            assert!(matches!(kind, RejectionKind::NotJson { .. }), "{envelope}");
        }
    }
}
