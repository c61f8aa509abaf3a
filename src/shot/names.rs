//! Names of players, clubs, balls, bags, sources, shots and sessions, and the sequence of a frame.

use compact_str::CompactString;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::{Borrow, Cow};
use std::fmt;
use thiserror::Error;
use unicode_normalization::{IsNormalized, UnicodeNormalization, is_nfc_quick};

/// The most code points a name may have, as sent: room for any identifier in use, little enough for
/// a path of a URL.
pub const NAME_MAX: usize = 128;

/// Normalisation to NFC makes at most three code points of one.
/// Source: Unicode Standard Annex 15, table "Maximum Expansion Factors".
const NFC_EXPANSION: usize = 3;

/// Why a text is not a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum NameFault {
    /// The text is empty.
    #[error("is empty: a name has 1 to {NAME_MAX} characters")]
    Empty,
    /// The text has more than [`NAME_MAX`] code points.
    #[error("has more than {NAME_MAX} characters: shorten it")]
    TooLong,
    /// The text is `.` or `..`, which a URL's path cannot hold.
    #[error("is \".\" or \"..\", which no path can hold: choose another name")]
    Dots,
    /// The text has a control character.
    #[error("has a control character: leave it out")]
    Control,
    /// The text has U+FFFD, the mark of a text that was decoded wrongly.
    #[error("has U+FFFD, the mark of a text decoded wrongly: send it in UTF-8")]
    Replacement,
}

/// Checks a text of at most `longest` code points and brings it to NFC.
fn normal(text: &str, longest: usize) -> Result<CompactString, NameFault> {
    let plain = text.bytes().all(|byte| (b' '..=b'~').contains(&byte));
    let length = if plain { text.len() } else { text.chars().count() };
    if length == 0 {
        return Err(NameFault::Empty);
    }
    if length > longest {
        return Err(NameFault::TooLong);
    }
    if matches!(text, "." | "..") {
        return Err(NameFault::Dots);
    }
    if plain {
        return Ok(CompactString::new(text));
    }
    if text.chars().any(char::is_control) {
        return Err(NameFault::Control);
    }
    if text.contains(char::REPLACEMENT_CHARACTER) {
        return Err(NameFault::Replacement);
    }
    Ok(CompactString::from(nfc(text)))
}

/// The text in NFC; not copied when it is in NFC already.
pub(crate) fn nfc(text: &str) -> Cow<'_, str> {
    match is_nfc_quick(text.chars()) {
        IsNormalized::Yes => Cow::Borrowed(text),
        _ => Cow::Owned(text.nfc().collect()),
    }
}

/// A text that is a name of one kind of thing; lets readers be written once for all kinds.
pub(crate) trait Name: Sized {
    /// Checks and normalises.
    fn from_text(text: &str) -> Result<Self, NameFault>;
}

macro_rules! names {
    ($($(#[$doc:meta])* $Name:ident;)+) => {$(
        $(#[$doc])*
        ///
        /// Held in NFC, and compared so; see [`NameFault`] for what is refused. Read back with serde
        /// it may be up to three times [`NAME_MAX`] long, since NFC can lengthen what was sent.
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $Name(CompactString);

        impl $Name {
            /// Checks a text as it was sent and brings it to NFC.
            pub fn parse(text: &str) -> Result<Self, NameFault> {
                normal(text, NAME_MAX).map(Self)
            }

            /// The name in NFC.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl Name for $Name {
            fn from_text(text: &str) -> Result<Self, NameFault> {
                Self::parse(text)
            }
        }

        impl fmt::Display for $Name {
            fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str(&self.0)
            }
        }

        impl AsRef<str> for $Name {
            fn as_ref(&self) -> &str {
                &self.0
            }
        }

        impl Borrow<str> for $Name {
            fn borrow(&self) -> &str {
                &self.0
            }
        }

        impl Serialize for $Name {
            fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(&self.0)
            }
        }

        impl<'de> Deserialize<'de> for $Name {
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                let text = Cow::<'de, str>::deserialize(from)?;
                normal(&text, NFC_EXPANSION * NAME_MAX).map(Self).map_err(D::Error::custom)
            }
        }
    )+};
}

names! {
    /// A player, unique in a store.
    PlayerId;
    /// A club of one player.
    ClubId;
    /// A ball of the catalogue.
    BallId;
    /// A bag of one player.
    BagId;
    /// A mapping of the columns of CSV files.
    CsvMappingId;
    /// What sends shots: a bay, a device, a hub.
    SourceId;
    /// A shot, named by its source: with the source it names the event for ever.
    ShotId;
    /// A visit of one player.
    SessionName;
    /// A trial of one player.
    TrialId;
}

impl TrialId {
    /// The id of the trial that a frame opened.
    #[must_use]
    pub fn of(opened: Sequence) -> Self {
        Self(CompactString::from(format!("t{opened}")))
    }
}

/// The place of a frame in the journal; 0 is "nothing yet".
#[derive(
    Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Sequence(u64);

impl Sequence {
    /// The sequence of this number.
    #[must_use]
    pub const fn new(number: u64) -> Self {
        Self(number)
    }

    /// The number.
    #[must_use]
    pub const fn get(self) -> u64 {
        self.0
    }
}

impl fmt::Display for Sequence {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(out)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_two_ways_to_write_an_accent_are_one_name() {
        let composed = PlayerId::parse("Ren\u{e9}e").unwrap();
        let combining = PlayerId::parse("Rene\u{301}e").unwrap();
        assert_eq!(composed, combining);
        assert_eq!(combining.as_str(), "Ren\u{e9}e");
    }

    #[test]
    fn what_no_path_or_log_can_hold_is_refused() {
        assert_eq!(ShotId::parse(""), Err(NameFault::Empty));
        assert_eq!(ShotId::parse("."), Err(NameFault::Dots));
        assert_eq!(ShotId::parse(".."), Err(NameFault::Dots));
        assert!(ShotId::parse("...").is_ok());
        for control in ["a\nb", "\u{0}", "\u{7f}", "x\u{85}", "\u{9f}"] {
            assert_eq!(ShotId::parse(control), Err(NameFault::Control), "{control:?}");
        }
        assert_eq!(ShotId::parse("a\u{fffd}"), Err(NameFault::Replacement));
    }

    #[test]
    fn length_is_counted_in_code_points_as_sent() {
        assert!(ClubId::parse(&"\u{e9}".repeat(128)).is_ok());
        assert_eq!(ClubId::parse(&"\u{e9}".repeat(129)), Err(NameFault::TooLong));
        // 65 letters with a combining accent each: 130 code points as sent, 65 in NFC.
        assert_eq!(ClubId::parse(&"e\u{301}".repeat(65)), Err(NameFault::TooLong));
    }

    #[test]
    fn a_name_that_nfc_lengthened_can_be_read_back() {
        // U+FB2C is excluded from composition: NFC makes three code points of it.
        let long = BallId::parse(&"\u{fb2c}".repeat(128)).unwrap();
        assert_eq!(long.as_str().chars().count(), 3 * 128);
        let text = serde_json::to_string(&long).unwrap();
        assert_eq!(serde_json::from_str::<BallId>(&text).unwrap(), long);
    }

    #[test]
    fn serde_checks_what_it_reads() {
        assert!(serde_json::from_str::<SourceId>(r#""bay-3""#).is_ok());
        assert!(serde_json::from_str::<SourceId>(r#""..""#).is_err());
        assert_eq!(serde_json::to_string(&Sequence::new(7)).unwrap(), "7");
    }

    proptest! {
        #[test]
        fn any_accepted_name_is_a_fixed_point(text in "\\PC{0,40}") {
            if let Ok(name) = SessionName::parse(&text) {
                let again = SessionName::parse(name.as_str());
                prop_assert_eq!(again.as_ref(), Ok(&name));
                prop_assert_eq!(name.as_str(), text.nfc().collect::<String>());
            }
        }
    }
}
