//! Single values of a text that was sent: each is what it should be, or a fault at its place.

use super::fault::{Fault, Faults, pointer};
use super::json::Json;
use super::names::Name;
use super::stretch::{Bound, zone_of_name};
use super::time::{self, Moment};
use super::wording;
use super::words::{Adjustment, Adjustments, Word};
use jiff::Timestamp;
use jiff::tz::TimeZone;

/// The place of a value that is being read; its pointer is made only for a fault.
#[derive(Clone, Copy)]
pub(crate) struct At<'a> {
    /// The pointer of the object that holds it.
    pub(crate) parent: &'a str,
    /// The name of the member.
    pub(crate) name: &'a str,
}

impl At<'_> {
    /// Its pointer.
    pub(crate) fn pointer(self) -> String {
        pointer(self.parent, self.name)
    }

    /// A fault here.
    pub(crate) fn fault(self, detail: impl Into<String>) -> Fault {
        Fault { pointer: self.pointer(), detail: detail.into() }
    }

    /// A value of another kind than `wanted`, which is like "a number".
    #[cold]
    pub(crate) fn wrong_kind<T>(
        self,
        value: &Json<'_>,
        wanted: &str,
        faults: &mut Faults,
    ) -> Option<T> {
        faults.add(|| self.fault(wording::wrong_kind(value, wanted)));
        None
    }

    /// Keeps what was read, or adds what is wrong with it.
    fn checked<T>(self, read: Result<T, String>, faults: &mut Faults) -> Option<T> {
        read.map_err(|detail| faults.add(|| self.fault(detail))).ok()
    }

    /// A number within bounds, and never a negative zero.
    pub(crate) fn number(
        self,
        value: &Json<'_>,
        (low, high): (f64, f64),
        faults: &mut Faults,
    ) -> Option<f64> {
        match value {
            // A negative zero would turn the axis of a spin round.
            Json::Number(number) if (low..=high).contains(number) => Some(number + 0.0),
            Json::Number(number) => {
                faults.add(|| self.fault(wording::outside(*number, (low, high))));
                None
            }
            other => self.wrong_kind(other, "a number", faults),
        }
    }

    /// A text.
    pub(crate) fn text<'v>(self, value: &'v Json<'_>, faults: &mut Faults) -> Option<&'v str> {
        match value {
            Json::Text(text) => Some(text),
            other => self.wrong_kind(other, "text", faults),
        }
    }

    /// A name.
    pub(crate) fn name<N: Name>(self, value: &Json<'_>, faults: &mut Faults) -> Option<N> {
        let name = N::from_text(self.text(value, faults)?);
        self.checked(name.map_err(|fault| fault.to_string()), faults)
    }

    /// A word of a vocabulary.
    pub(crate) fn word<W: Word>(self, value: &Json<'_>, faults: &mut Faults) -> Option<W> {
        let text = self.text(value, faults)?;
        self.checked(W::of(text).ok_or_else(|| wording::wrong_word::<W>(text)), faults)
    }

    /// A time, with the day that it was where it was written.
    pub(crate) fn moment(self, value: &Json<'_>, faults: &mut Faults) -> Option<Moment> {
        let text = self.text(value, faults)?;
        self.checked(time::read(text), faults)
    }

    /// A time zone by its name.
    pub(crate) fn zone(self, value: &Json<'_>, faults: &mut Faults) -> Option<TimeZone> {
        let text = self.text(value, faults)?;
        let zone = zone_of_name(text).ok_or_else(|| {
            format!("{} is no zone: send an IANA name like Europe/Madrid", wording::echo(text))
        });
        self.checked(zone, faults)
    }

    /// An end of a stretch of time; a day begins as `zone` says.
    pub(crate) fn bound(
        self,
        value: &Json<'_>,
        zone: &TimeZone,
        faults: &mut Faults,
    ) -> Option<Timestamp> {
        let text = self.text(value, faults)?;
        let bound = Bound::parse(text).ok_or_else(|| {
            let mend = "send an instant like 2026-04-11T10:15:04+02:00, or a date";
            format!("{} is neither a time of RFC 3339 nor a date: {mend}", wording::echo(text))
        });
        let beyond = || "is beyond what the calendar holds in that zone".to_owned();
        let instant = bound.and_then(|bound| bound.within(zone).ok_or_else(beyond));
        self.checked(instant, faults)
    }

    /// True or false.
    pub(crate) fn truth(self, value: &Json<'_>, faults: &mut Faults) -> Option<bool> {
        match value {
            Json::Bool(truth) => Some(*truth),
            other => self.wrong_kind(other, "true or false", faults),
        }
    }

    /// What a flight was adjusted for.
    pub(crate) fn adjustments(self, value: &Json<'_>, faults: &mut Faults) -> Option<Adjustments> {
        let Json::List(items) = value else {
            return self.wrong_kind(value, "a list of words", faults);
        };
        let mut set = Adjustments::default();
        let parent = self.pointer();
        for (place, item) in items.iter().enumerate() {
            let at = At { parent: &parent, name: &place.to_string() };
            let word: Option<Adjustment> = at.word(item, faults);
            if word.is_some_and(|word| !set.insert(word)) {
                faults.add(|| at.fault("stands twice in the list: send it once"));
            }
        }
        Some(set)
    }
}
