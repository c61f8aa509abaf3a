//! The time of a shot: RFC 3339 in one form, checked before the date library sees it.

use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;

/// The form of a time, as the schema has it.
pub(crate) const PATTERN: &str = "^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\\.[0-9]{1,9})?(Z|[+-][0-9]{2}:[0-9]{2})$";

/// When something was, and which day it was there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Moment {
    /// When.
    pub(crate) instant: Timestamp,
    /// The day by the offset sent.
    pub(crate) day: Date,
}

/// Reads a time; the error says what is wrong and the mend.
pub(crate) fn read(text: &str) -> Result<Moment, String> {
    let form = Form::of(text.as_bytes()).ok_or_else(|| {
        format!("{text:?} is not a time of RFC 3339: send one like 2026-04-11T10:15:04.120+02:00")
    })?;
    form.moment().ok_or_else(|| {
        format!("{text} does not exist: check day, hour (to 23), second (to 59) and offset")
    })
}

/// The numbers of a text that has the form of a time.
struct Form {
    year: u32,
    month: u32,
    day: u32,
    hour: u32,
    minute: u32,
    second: u32,
    nanosecond: u32,
    offset_sign: i32,
    offset_hour: u32,
    offset_minute: u32,
}

impl Form {
    /// As [`PATTERN`] says.
    fn of(text: &[u8]) -> Option<Self> {
        let (date_time, mut rest) = text.split_first_chunk::<19>()?;
        let [_, _, _, _, b'-', _, _, b'-', _, _, b'T', _, _, b':', _, _, b':', _, _] = date_time
        else {
            return None;
        };
        let mut nanosecond = 0;
        if let Some((b'.', fraction)) = rest.split_first() {
            let digits = fraction.iter().take_while(|byte| byte.is_ascii_digit()).count();
            if !(1..=9).contains(&digits) {
                return None;
            }
            nanosecond = number(&fraction[..digits])? * 10_u32.pow(9 - u32::try_from(digits).ok()?);
            rest = &fraction[digits..];
        }
        let (offset_sign, offset_hour, offset_minute) = match rest {
            b"Z" => (1, 0, 0),
            [sign @ (b'+' | b'-'), hour @ .., b':', tens, ones] if hour.len() == 2 => {
                (if *sign == b'-' { -1 } else { 1 }, number(hour)?, number(&[*tens, *ones])?)
            }
            _ => return None,
        };
        Some(Self {
            year: number(&date_time[..4])?,
            month: number(&date_time[5..7])?,
            day: number(&date_time[8..10])?,
            hour: number(&date_time[11..13])?,
            minute: number(&date_time[14..16])?,
            second: number(&date_time[17..])?,
            nanosecond,
            offset_sign,
            offset_hour,
            offset_minute,
        })
    }

    /// The moment, if there is such a day, time of day and offset.
    fn moment(&self) -> Option<Moment> {
        // Source: RFC 3339, section 5.6: time-numoffset has the bounds of time-hour, time-minute.
        if self.offset_hour > 23 || self.offset_minute > 59 {
            return None;
        }
        let local = DateTime::new(
            i16::try_from(self.year).ok()?,
            i8::try_from(self.month).ok()?,
            i8::try_from(self.day).ok()?,
            i8::try_from(self.hour).ok()?,
            i8::try_from(self.minute).ok()?,
            i8::try_from(self.second).ok()?,
            i32::try_from(self.nanosecond).ok()?,
        )
        .ok()?;
        let seconds = i32::try_from(self.offset_hour * 3_600 + self.offset_minute * 60).ok()?;
        let offset = Offset::from_seconds(self.offset_sign * seconds).ok()?;
        Some(Moment { instant: offset.to_timestamp(local).ok()?, day: local.date() })
    }
}

/// The number of up to nine digits; none if one is not a digit.
fn number(digits: &[u8]) -> Option<u32> {
    digits.iter().try_fold(0, |number, byte| {
        byte.is_ascii_digit().then(|| number * 10 + u32::from(byte - b'0'))
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn an_offset_is_taken_off() {
        let time = read("2026-04-11T10:15:04.120+02:00").unwrap();
        assert_eq!(time.instant, "2026-04-11T08:15:04.12Z".parse::<Timestamp>().unwrap());
        let time = read("2026-04-11T10:15:04.000000001-00:30").unwrap();
        assert_eq!(time.instant, "2026-04-11T10:45:04.000000001Z".parse::<Timestamp>().unwrap());
    }

    #[test]
    fn the_day_is_the_senders() {
        let time = read("2026-04-11T00:15:04+02:00").unwrap();
        assert_eq!(time.day, "2026-04-11".parse::<Date>().unwrap());
        assert_eq!(time.instant, "2026-04-10T22:15:04Z".parse::<Timestamp>().unwrap());
    }

    #[test]
    fn a_real_leap_day_is_a_day_and_others_are_not() {
        assert!(read("2024-02-29T00:00:00Z").is_ok());
        for text in [
            "2026-02-29T00:00:00Z",
            "2026-13-01T00:00:00Z",
            "2026-00-10T00:00:00Z",
            "2026-01-01T24:00:00Z",
            "2026-01-01T23:60:00Z",
            "2026-01-01T23:59:60Z",
            "2026-01-01T00:00:00+24:00",
            "2026-01-01T00:00:00+01:60",
        ] {
            assert!(read(text).unwrap_err().contains("does not exist"), "{text}");
        }
    }

    #[test]
    fn every_other_form_is_refused() {
        for text in [
            "",
            "2026-04-11",
            "2026-04-11 10:15:04Z",
            "2026-04-11T10:15:04",
            "2026-04-11t10:15:04z",
            "2026-04-11T10:15:04.Z",
            "2026-04-11T10:15:04.1234567890Z",
            "2026-04-11T10:15:04+0200",
            "2026-04-11T10:15:04+02",
            "2026-04-11T10:15:04+2:000",
            "2026-04-11T10:15Z",
            "20260411T101504Z",
            "+002026-04-11T10:15:04Z",
            "2026-04-11T10:15:04Z[UTC]",
            "2026-04-11T10:15:04Z\n",
            "２026-04-11T10:15:04Z",
        ] {
            assert!(read(text).unwrap_err().contains("RFC 3339"), "{text}");
        }
    }
}
