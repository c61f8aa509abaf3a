//! Times that are written in their own way.

use jiff::civil::DateTime;
use jiff::fmt::strtime::{self, BrokenDownTime};
use jiff::tz::TimeZone;

use super::CsvTime;
use crate::shot::wording;

/// How a time is read.
#[derive(Debug, Clone)]
pub(super) struct TimeForm {
    format: String,
    zone: Option<(String, TimeZone)>,
}

/// RFC 3339, as an event has it.
const EVENTS_FORM: &str = "%Y-%m-%dT%H:%M:%S%.f%:z";

impl TimeForm {
    /// What a mapping says; the error has the member that is wrong, and the mend.
    pub(super) fn new(time: &CsvTime) -> Result<Self, (&'static str, String)> {
        let zone = match &time.zone {
            None => None,
            Some(name) => {
                let zone = TimeZone::get(name).map_err(|_| {
                    let said = wording::echo(name);
                    ("zone", format!("{said} is no zone: send an IANA name like Europe/Madrid"))
                })?;
                Some((name.clone(), zone))
            }
        };
        let form = Self { format: time.format.clone(), zone };
        form.rehearse()?;
        Ok(form)
    }

    /// Writes a moment in this form and reads it back: so a form that leaves out the year, or the
    /// half of the day, is found before a file comes.
    fn rehearse(&self) -> Result<(), (&'static str, String)> {
        let lost = |cause: String| {
            ("format", format!("does not hold a whole date and time of day: {cause}"))
        };
        let zone = self.zone.as_ref().map_or(TimeZone::UTC, |(_, zone)| zone.clone());
        let evening = DateTime::constant(2026, 11, 28, 22, 45, 0, 0);
        let evening = evening.to_zoned_datetime(zone).map_err(|error| lost(error.to_string()))?;
        let written = strtime::format(&self.format, &evening);
        let written = written.map_err(|error| lost(error.to_string()))?;
        let parsed = BrokenDownTime::parse(&self.format, &written);
        let parsed = parsed.map_err(|error| lost(error.to_string()))?;
        match (parsed.offset(), &self.zone) {
            (None, None) => {
                return Err(("zone", "is missing: the form has no offset".to_owned()));
            }
            (Some(_), Some(_)) => {
                return Err((
                    "zone",
                    "stands beside a form with an offset: leave it out".to_owned(),
                ));
            }
            _ => {}
        }
        let read = self.read(&written).map_err(lost)?;
        let expected = evening.strftime(EVENTS_FORM).to_string();
        if read.replace("+00:00", "Z") == expected.replace("+00:00", "Z") {
            Ok(())
        } else {
            Err(lost(format!("{written:?} would be read as {read}, not as {expected}")))
        }
    }

    /// Reads a time, as RFC 3339 has it.
    pub(super) fn read(&self, text: &str) -> Result<String, String> {
        let wrong = |_| format!("{} is not of the form {:?}", wording::echo(text), self.format);
        let parsed = BrokenDownTime::parse(&self.format, text).map_err(wrong)?;
        let local = parsed.to_datetime().map_err(wrong)?;
        let zoned = match (parsed.offset(), &self.zone) {
            (Some(offset), _) => local.to_zoned_datetime(offset.to_time_zone()).map_err(wrong)?,
            (None, Some((name, zone))) => {
                let instant = zone.to_ambiguous_timestamp(local).unambiguous().map_err(|_| {
                    format!(
                        "{local} is no one moment in {name}, where clocks were changed then: send \
                         this shot as JSON, with its offset"
                    )
                })?;
                instant.to_zoned_datetime(zone.clone())
            }
            (None, None) => return Err("has no offset, and no zone is stated".to_owned()),
        };
        Ok(zoned.strftime(EVENTS_FORM).to_string())
    }
}
