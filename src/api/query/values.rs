//! What texts of a query become.

use jiff::{Timestamp, civil::Date, tz::TimeZone};

use crate::shot::{
    BagId, BallId, ClubId, CsvMappingId, Flags, Height, Lie, PlayerId, Purpose, SessionName, Shape,
    ShotId, SourceId, Swing,
};

/// A value that can be read from a parameter.
pub(in crate::api) trait FromText: Sized {
    /// Reads it; otherwise says what is wrong, in words that follow the parameter's name.
    fn from_text(text: &str) -> Result<Self, String>;
}

macro_rules! names {
    ($($Name:ident)+) => {$(
        impl FromText for $Name {
            fn from_text(text: &str) -> Result<Self, String> {
                Self::parse(text).map_err(|fault| fault.to_string())
            }
        }
    )+};
}

/// A closed vocabulary.
pub(in crate::api) trait Words {
    /// Its spellings.
    fn spellings() -> Vec<&'static str>;
}

macro_rules! words {
    ($($Word:ident)+) => {$(
        impl Words for $Word {
            fn spellings() -> Vec<&'static str> {
                Self::ALL.iter().map(|word| word.as_str()).collect()
            }
        }

        impl FromText for $Word {
            fn from_text(text: &str) -> Result<Self, String> {
                Self::parse(text)
                    .ok_or_else(|| format!("is `{text}`: give one of {}", Self::spellings().join(", ")))
            }
        }
    )+};
}

names! { PlayerId ClubId BallId BagId CsvMappingId SourceId ShotId SessionName }
words! { Lie Height Shape Swing Purpose }

impl FromText for String {
    fn from_text(text: &str) -> Result<Self, String> {
        Ok(text.to_owned())
    }
}

impl FromText for bool {
    fn from_text(text: &str) -> Result<Self, String> {
        text.parse().map_err(|_| format!("is `{text}`: give true or false"))
    }
}

impl FromText for Flags {
    fn from_text(text: &str) -> Result<Self, String> {
        Self::parse(text).ok_or_else(|| {
            format!("is `{text}`: give a flag as shots have it, such as mishit or unusual:/launch/spin_rate_rpm")
        })
    }
}

/// A point in time as a question gives it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::api) enum Moment {
    /// Fixed.
    Instant(Timestamp),
    /// The beginning of a day, wherever the question's zone says that is.
    Day(Date),
}

impl Moment {
    /// The instant, with days beginning as `zone` says.
    #[must_use]
    pub(in crate::api) fn within(self, zone: &TimeZone) -> Option<Timestamp> {
        match self {
            Self::Instant(instant) => Some(instant),
            Self::Day(date) => {
                date.to_zoned_datetime(zone.clone()).ok().map(|start| start.timestamp())
            }
        }
    }
}

impl FromText for Moment {
    fn from_text(text: &str) -> Result<Self, String> {
        let date = text.len() == "2026-04-11".len();
        let read = if date { text.parse().map(Self::Day) } else { text.parse().map(Self::Instant) };
        read.map_err(|_| {
            let hint = if text.contains(' ') { "; in a query, + is written %2B" } else { "" };
            format!("is `{text}`: give an instant as 2026-04-11T10:15:04+02:00, or a date{hint}")
        })
    }
}

impl FromText for TimeZone {
    fn from_text(text: &str) -> Result<Self, String> {
        Self::get(text)
            .map_err(|_| format!("is `{text}`: give an IANA time zone such as Europe/Madrid"))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::*;

    #[test]
    fn a_day_begins_where_the_zone_says() {
        let day = Moment::from_text("2026-04-11").unwrap();
        let madrid = TimeZone::from_text("Europe/Madrid").unwrap();
        assert_eq!(day.within(&TimeZone::UTC).unwrap().to_string(), "2026-04-11T00:00:00Z");
        assert_eq!(day.within(&madrid).unwrap().to_string(), "2026-04-10T22:00:00Z");
    }

    #[test]
    fn an_instant_is_fixed_whatever_the_zone() {
        let instant = Moment::from_text("2026-04-11T10:15:04.5+02:00").unwrap();
        let madrid = TimeZone::from_text("Europe/Madrid").unwrap();
        assert_eq!(instant.within(&madrid).unwrap().to_string(), "2026-04-11T08:15:04.5Z");
    }

    #[test]
    fn a_plus_that_became_a_space_is_explained() {
        let told = Moment::from_text("2026-04-11T10:15:04 02:00").unwrap_err();
        assert!(told.contains("%2B"), "{told}");
    }

    #[test]
    fn what_is_no_date_zone_or_truth_is_refused() {
        for wrong in ["", "2026-02-30", "yesterday", "2026-04-11T25:00:00Z", "2026-04-11T10:15:04"]
        {
            assert!(Moment::from_text(wrong).is_err(), "{wrong}");
        }
        assert!(TimeZone::from_text("Mars/Olympus").is_err());
        assert!(TimeZone::from_text("").is_err());
        assert!(bool::from_text("yes").is_err());
    }
}
