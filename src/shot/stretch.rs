//! The ends of a stretch of time, as a question or a filter gives them.

use jiff::{
    SignedDuration, Timestamp,
    civil::Date,
    tz::{AmbiguousOffset, TimeZone},
};

/// An end of a stretch of time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bound {
    /// Fixed.
    Instant(Timestamp),
    /// The beginning of a day, wherever the zone beside it says that is.
    Day(Date),
}

impl Bound {
    /// Reads an instant of RFC 3339, or a date.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        if text.len() == "2026-04-11".len() {
            text.parse().map(Self::Day).ok()
        } else {
            text.parse().map(Self::Instant).ok()
        }
    }

    /// The instant, with days beginning as `zone` says; none beyond what the calendar holds.
    #[must_use]
    pub fn within(self, zone: &TimeZone) -> Option<Timestamp> {
        match self {
            Self::Instant(instant) => Some(instant),
            Self::Day(date) => first_instant(date, zone),
        }
    }
}

/// The zone that the IANA time zone database has under a name.
#[must_use]
pub fn zone_of_name(name: &str) -> Option<TimeZone> {
    TimeZone::get(name).ok().filter(|zone| !zone.is_unknown())
}

/// The first instant of a day. Where clocks that are put forward skip midnight, that is when they are:
/// they may skip the end of the day before too, or the whole of this one. A midnight that comes twice
/// counts when it comes first.
fn first_instant(date: Date, zone: &TimeZone) -> Option<Timestamp> {
    let midnight = zone.to_ambiguous_timestamp(date.at(0, 0, 0, 0));
    let skipped = matches!(midnight.offset(), AmbiguousOffset::Gap { .. });
    let after = midnight.compatible().ok()?;
    if !skipped {
        return Some(after);
    }
    let change = zone.preceding(after.checked_add(SignedDuration::from_nanos(1)).ok()?).next()?;
    Some(change.timestamp())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn begins(day: &str, zone: &str) -> String {
        let zone = zone_of_name(zone).unwrap();
        Bound::parse(day).unwrap().within(&zone).unwrap().to_string()
    }

    #[test]
    fn a_day_begins_where_the_zone_says() {
        assert_eq!(begins("2026-04-11", "UTC"), "2026-04-11T00:00:00Z");
        assert_eq!(begins("2026-04-11", "Europe/Madrid"), "2026-04-10T22:00:00Z");
    }

    #[test]
    fn a_day_begins_with_its_first_instant_where_midnight_is_skipped_or_comes_twice() {
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
        assert_eq!(begins("2026-04-11T10:15:04.5+02:00", "Asia/Tokyo"), "2026-04-11T08:15:04.5Z");
    }
}
