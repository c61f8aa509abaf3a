//! What texts of a query become.

use jiff::{Timestamp, civil::Date, tz::TimeZone};

use crate::shot::{
    BagId, BallId, ClubId, Flags, Height, Lie, PlayerId, Purpose, SessionName, Shape, ShotId,
    SourceId, Swing,
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

names! { PlayerId ClubId BallId BagId SourceId ShotId SessionName }
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
            // Midnight may be skipped, even together with what comes before it, and noon hardly ever:
            // the day of a noon begins with its first instant.
            Self::Day(date) => {
                let noon = date.at(12, 0, 0, 0).to_zoned_datetime(zone.clone()).ok()?;
                Some(noon.start_of_day().ok()?.timestamp())
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
            .ok()
            .filter(|zone| !zone.is_unknown())
            .ok_or_else(|| format!("is `{text}`: give an IANA time zone such as Europe/Madrid"))
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
    fn a_day_begins_with_its_first_instant_where_midnight_is_skipped_or_comes_twice() {
        let begins = |day: &str, zone: &str| {
            let zone = TimeZone::from_text(zone).unwrap();
            Moment::from_text(day).unwrap().within(&zone).unwrap().to_string()
        };
        // Source: the IANA time zone database, files southamerica, northamerica and australasia.
        // Clocks went from 00:00 to 01:00.
        assert_eq!(begins("2018-11-04", "America/Sao_Paulo"), "2018-11-04T03:00:00Z");
        // Clocks went from 00:00 back to 23:00: the day before ends with the second 24:00.
        assert_eq!(begins("2018-02-18", "America/Sao_Paulo"), "2018-02-18T03:00:00Z");
        // Clocks went from 01:00 back to 00:00: the first midnight counts.
        assert_eq!(begins("2025-11-02", "America/Havana"), "2025-11-02T04:00:00Z");
        // Clocks went from 23:30 to 00:30: the day begins half an hour late.
        assert_eq!(begins("1919-03-31", "America/Toronto"), "1919-03-31T04:30:00Z");
        // A whole day was left out: it begins and ends where the next one begins.
        assert_eq!(begins("2011-12-30", "Pacific/Apia"), begins("2011-12-31", "Pacific/Apia"));
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
        for none in ["", "Etc/Unknown", "+02:00", "EST5EDT,M3.2.0,M11.1.0", "../UTC", "local"] {
            assert!(TimeZone::from_text(none).is_err(), "{none}");
        }
        assert!(bool::from_text("yes").is_err());
    }
}
