//! Reads the members of small documents: each asked for by name, all faults at once, and what
//! nobody asked for refused with the nearest known name.

use super::fault::{Faults, Rejection, pointer};
use super::json::Json;
use super::names::Name;
use super::units::{self, Dimension};
use super::value::At;
use super::wording;
use super::words::Word;
use jiff::civil::Date;
use std::borrow::Cow;

/// What a text of a document may be.
#[derive(Clone, Copy)]
pub(crate) enum Text {
    /// What a thing is called: never empty.
    Title,
    /// One line.
    Line,
    /// Why something was done: one line, never empty.
    Reason,
    /// Several lines.
    Notes,
}

impl Text {
    /// The fewest and the most code points. Our decision: what a list, a form and a page can show.
    pub(crate) const fn length(self) -> (usize, usize) {
        match self {
            Self::Title => (1, 128),
            Self::Line => (0, 200),
            Self::Reason => (1, 500),
            Self::Notes => (0, 4_000),
        }
    }

    /// What is wrong with a text, if anything.
    pub(crate) fn fault(self, text: &str) -> Option<String> {
        let (fewest, most) = self.length();
        let length = text.chars().count();
        if length < fewest || length > most {
            return Some(format!("has {length} characters: send {fewest} to {most}"));
        }
        let breaks = |c: char| matches!((self, c), (Self::Notes, '\n' | '\t'));
        let control = text.chars().any(|c| c.is_control() && !breaks(c));
        control.then(|| "has a control character: leave it out".to_owned())
    }
}

/// An object that is being read.
pub(crate) struct Reading<'a, 'j> {
    called: &'a str,
    pointer: String,
    members: Vec<(Cow<'j, str>, Json<'j>)>,
    known: Vec<String>,
    faults: &'a mut Faults,
}

/// Reads a whole text that is one object.
pub(crate) fn document<T>(
    text: &[u8],
    called: &str,
    read: impl FnOnce(&mut Reading<'_, '_>) -> Option<T>,
) -> Result<T, Rejection> {
    let json = Json::read(text)?;
    let mut faults = Faults::default();
    let whole = object(called, String::new(), json, &mut faults, read);
    whole.filter(|_| faults.is_empty()).ok_or_else(|| Rejection::nameless(faults.into_kind()))
}

/// Reads a value that is an object.
pub(crate) fn object<T>(
    called: &str,
    pointer: String,
    json: Json<'_>,
    faults: &mut Faults,
    read: impl FnOnce(&mut Reading<'_, '_>) -> Option<T>,
) -> Option<T> {
    let Json::Object(members) = json else {
        faults.at(&pointer, wording::wrong_kind(&json, "an object"));
        return None;
    };
    let mut reading = Reading { called, pointer, members, known: Vec::new(), faults };
    let value = read(&mut reading);
    reading.refuse_the_rest(|_, unknown| unknown);
    value
}

impl<'j> Reading<'_, 'j> {
    /// Takes a member out, and notes that its name is known.
    pub(crate) fn take(&mut self, name: &str) -> Option<Json<'j>> {
        self.known.push(name.to_owned());
        let place = self.members.iter().position(|(sent, _)| sent == name)?;
        Some(self.members.remove(place).1)
    }

    /// A member, left where it is.
    pub(crate) fn peek(&self, name: &str) -> Option<&Json<'j>> {
        self.members.iter().find(|(sent, _)| sent == name).map(|(_, value)| value)
    }

    /// A fault of the object itself.
    pub(crate) fn fault(&mut self, detail: &str) {
        self.faults.at(&self.pointer, detail);
    }

    /// A fault of one member.
    pub(crate) fn fault_at(&mut self, name: &str, detail: &str) {
        self.faults.at(&pointer(&self.pointer, name), detail);
    }

    /// A member that must be there.
    pub(crate) fn need(&mut self, name: &str) {
        if self.peek(name).is_none() {
            let detail = format!("is missing: {} needs it", self.called);
            self.faults.at(&pointer(&self.pointer, name), detail);
        }
    }

    /// How many faults were found so far, in all of the text.
    pub(crate) fn count_faults(&self) -> usize {
        self.faults.count()
    }

    /// Takes a member and reads it.
    pub(crate) fn read<T>(
        &mut self,
        name: &str,
        read: impl FnOnce(At<'_>, Json<'j>, &mut Faults) -> Option<T>,
    ) -> Option<T> {
        let value = self.take(name)?;
        read(At { parent: &self.pointer, name }, value, self.faults)
    }

    /// A text.
    pub(crate) fn text(&mut self, name: &str, kind: Text) -> Option<String> {
        self.read(name, |at, value, faults| {
            let text = at.text(&value, faults)?;
            let fault = kind.fault(text);
            if let Some(detail) = fault {
                faults.add(|| at.fault(detail));
                return None;
            }
            Some(text.to_owned())
        })
    }

    /// A name.
    pub(crate) fn name<N: Name>(&mut self, name: &str) -> Option<N> {
        self.read(name, |at, value, faults| at.name(&value, faults))
    }

    /// A word of a vocabulary.
    pub(crate) fn word<W: Word>(&mut self, name: &str) -> Option<W> {
        self.read(name, |at, value, faults| at.word(&value, faults))
    }

    /// True or false.
    pub(crate) fn truth(&mut self, name: &str) -> Option<bool> {
        self.read(name, |at, value, faults| at.truth(&value, faults))
    }

    /// A whole number within bounds.
    #[expect(clippy::cast_possible_truncation, reason = "bounds are of 32 bits")]
    #[expect(clippy::cast_sign_loss, reason = "bounds are not negative")]
    pub(crate) fn whole(&mut self, name: &str, (low, high): (u32, u32)) -> Option<u32> {
        self.read(name, |at, value, faults| {
            let number = at.number(&value, (f64::from(low), f64::from(high)), faults)?;
            if number.fract() != 0.0 {
                faults.add(|| at.fault(format!("is {number}: send a whole number")));
                return None;
            }
            Some(number as u32)
        })
    }

    /// A quantity in one of its spellings, in the unit kept.
    pub(crate) fn quantity(
        &mut self,
        base: &str,
        dimension: Dimension,
        bounds: (f64, f64),
    ) -> Option<f64> {
        let mut first: Option<(String, f64)> = None;
        for (unit, name) in dimension.units().iter().zip(units::spellings(base, dimension)) {
            let earlier = first.as_ref().map(|(earlier, _)| earlier.as_str());
            let number = self.read(&name, |at, value, faults| {
                if let Some(earlier) = earlier {
                    faults.add(|| at.fault(wording::second_spelling(at.name, earlier)));
                    return None;
                }
                at.number(&value, unit.bounds(bounds), faults)
            });
            if let Some(number) = number {
                first = Some((name, unit.to_si(number)));
            }
        }
        first.map(|(_, kept)| kept)
    }

    /// A list of at most `most` items.
    pub(crate) fn list<T>(
        &mut self,
        name: &str,
        most: usize,
        mut item: impl FnMut(At<'_>, Json<'j>, &mut Faults) -> Option<T>,
    ) -> Option<Vec<T>> {
        self.read(name, |at, value, faults| {
            let items = match value {
                Json::List(items) if items.len() <= most => items,
                Json::List(items) => {
                    let detail = format!("has {} items: send at most {most}", items.len());
                    faults.add(|| at.fault(detail));
                    return None;
                }
                other => return at.wrong_kind(&other, "a list", faults),
            };
            let parent = at.pointer();
            let read = |(place, value): (usize, Json<'j>)| {
                item(At { parent: &parent, name: &place.to_string() }, value, faults)
            };
            Some(items.into_iter().enumerate().filter_map(read).collect())
        })
    }

    /// An object within.
    pub(crate) fn object<T>(
        &mut self,
        name: &str,
        read: impl FnOnce(&mut Reading<'_, '_>) -> Option<T>,
    ) -> Option<T> {
        self.read(name, |at, value, faults| object(name, at.pointer(), value, faults, read))
    }

    /// Refuses the members that nobody took; `detail` makes the words from a name and from what
    /// is said of any unknown one.
    pub(crate) fn refuse_the_rest(&mut self, detail: impl Fn(&str, String) -> String) {
        for (name, _) in std::mem::take(&mut self.members) {
            let at = At { parent: &self.pointer, name: &name };
            let (called, known) = (self.called, self.known.iter().map(String::as_str));
            self.faults.add(|| at.fault(detail(&name, wording::unknown(called, &name, known))));
        }
    }
}

/// A calendar day.
pub(crate) fn day(at: At<'_>, value: &Json<'_>, faults: &mut Faults) -> Option<Date> {
    let text = at.text(value, faults)?;
    // The form first: the date library would read more forms than one.
    let formed = text.len() == 10 && !text.starts_with(['+', '-']);
    let day = formed.then(|| text.parse::<Date>().ok()).flatten();
    if day.is_none() {
        let said = wording::echo(text);
        faults.add(|| at.fault(format!("{said} is not a day: send one like 2026-03-01")));
    }
    day
}
