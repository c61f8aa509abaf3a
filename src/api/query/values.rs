//! What texts of a query become.

use jiff::tz::TimeZone;

use crate::bag::{CarryAir, MIX_OFF_AT_MOST_PCT, Mix, Period};
use crate::shot::{
    BagId, BallId, Bound, ClubId, CsvMappingId, Flags, Ground, Height, Lie, PlayerId, Purpose,
    Sequence, SessionName, Shape, ShotId, SourceId, Swing, TrialId, TrialState, zone_of_name,
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

names! { PlayerId ClubId BallId BagId CsvMappingId SourceId ShotId SessionName TrialId }
words! { CarryAir Ground Lie Height Shape Swing Purpose Period TrialState }

impl FromText for String {
    fn from_text(text: &str) -> Result<Self, String> {
        Ok(text.to_owned())
    }
}

impl FromText for Sequence {
    fn from_text(text: &str) -> Result<Self, String> {
        let number = text.parse().ok().filter(|_| text.bytes().all(|byte| byte.is_ascii_digit()));
        number
            .map(Self::new)
            .ok_or_else(|| format!("is `{text}`: give a sequence, a whole number from 0"))
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

impl FromText for Bound {
    fn from_text(text: &str) -> Result<Self, String> {
        Self::parse(text).ok_or_else(|| {
            let hint = if text.contains(' ') { "; in a query, + is written %2B" } else { "" };
            format!("is `{text}`: give an instant as 2026-04-11T10:15:04+02:00, or a date{hint}")
        })
    }
}

impl FromText for TimeZone {
    fn from_text(text: &str) -> Result<Self, String> {
        zone_of_name(text)
            .ok_or_else(|| format!("is `{text}`: give an IANA time zone such as Europe/Madrid"))
    }
}

/// A share of one, neither nothing nor all.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::api) struct ShareAsked(pub f64);

impl FromText for ShareAsked {
    fn from_text(text: &str) -> Result<Self, String> {
        let share = text.parse().ok().filter(|share: &f64| *share > 0.0 && *share < 1.0);
        share
            .map(Self)
            .ok_or_else(|| format!("is `{text}`: give a number between 0 and 1, such as 0.8"))
    }
}

impl FromText for Mix {
    fn from_text(text: &str) -> Result<Self, String> {
        let share_of = |part: &str| -> Result<(Lie, f64), String> {
            let form = || format!("has `{part}`: give lies with per cent, as tee:60,tight:40");
            let (lie, share) = part.split_once(':').ok_or_else(form)?;
            let lie = Lie::from_text(lie).map_err(|wrong| format!("has a lie that {wrong}"))?;
            let share = share.parse().ok().filter(|share: &f64| *share > 0.0 && *share <= 100.0);
            Ok((lie, share.ok_or_else(form)?))
        };
        let shares = text.split(',').map(share_of).collect::<Result<Vec<_>, String>>()?;
        let sum: f64 = shares.iter().map(|(_, share)| share).sum();
        Self::of(shares).ok_or_else(|| {
            format!(
                "makes {sum} per cent, or names a lie twice: name each lie once, and let the shares \
                 make 100 to within {MIX_OFF_AT_MOST_PCT}"
            )
        })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::*;

    #[test]
    fn a_plus_that_became_a_space_is_explained() {
        let told = Bound::from_text("2026-04-11T10:15:04 02:00").unwrap_err();
        assert!(told.contains("%2B"), "{told}");
    }

    #[test]
    fn a_mix_is_lies_with_shares_that_make_a_whole() {
        assert!(Mix::from_text("tee:60,tight:30,light_rough:10").is_ok());
        assert!(Mix::from_text("tee:33.3,tight:33.3,sand:33.3").is_ok());
        for (wrong, told) in [
            ("", "give lies with per cent"),
            ("tee", "give lies with per cent"),
            ("tee:lots", "give lies with per cent"),
            ("tee:-10,sand:110", "give lies with per cent"),
            ("moss:100", "give one of tee, mat"),
            ("tee:60,sand:30", "makes 90 per cent"),
            ("tee:50,tee:50", "names a lie twice"),
        ] {
            let fault = Mix::from_text(wrong).unwrap_err();
            assert!(fault.contains(told), "{wrong}: {fault}");
        }
        assert!(ShareAsked::from_text("0.8").is_ok());
        for wrong in ["0", "1", "80", "-0.5", "NaN", "most"] {
            assert!(ShareAsked::from_text(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn what_is_no_date_zone_or_truth_is_refused() {
        for wrong in ["", "2026-02-30", "yesterday", "2026-04-11T25:00:00Z", "2026-04-11T10:15:04"]
        {
            assert!(Bound::from_text(wrong).is_err(), "{wrong}");
        }
        assert!(TimeZone::from_text("Mars/Olympus").is_err());
        for none in ["", "Etc/Unknown", "+02:00", "EST5EDT,M3.2.0,M11.1.0", "../UTC", "local"] {
            assert!(TimeZone::from_text(none).is_err(), "{none}");
        }
        assert!(bool::from_text("yes").is_err());
    }
}
