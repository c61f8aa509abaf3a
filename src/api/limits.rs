//! Every limit of the service, in one table: its key in the settings, its usual value, the bounds
//! within which it makes sense, and what it is. Struct, defaults, settings and pages are made from
//! the rows.

use std::time::Duration;

use thiserror::Error;

use crate::shot::{DEPTH_MAX, EXT_MAX, NAME_MAX};

const KIB: u64 = 1024;
const MIB: u64 = 1024 * KIB;

macro_rules! limits {
    ($($(#[doc = $about:literal])+ $field:ident $key:literal: $kind:ident = $usual:expr, $least:expr => $most:expr;)+) => {
        /// What the service will take before it says no.
        #[derive(Debug, Clone, PartialEq, Eq)]
        pub struct Limits {
            $($(#[doc = $about])+ pub $field: amount!($kind),)+
        }

        impl Default for Limits {
            fn default() -> Self {
                Self { $($field: Amount::from_number($usual),)+ }
            }
        }

        /// The limits that can be set.
        static TABLE: &[Limit] = &[$(Limit {
            key: $key,
            kind: Kind::$kind,
            usual: $usual,
            least: $least,
            most: $most,
            about: concat!($($about),+),
            read: |limits| Amount::to_number(limits.$field),
            write: |limits, number| limits.$field = Amount::from_number(number),
        },)+];
    };
}

macro_rules! amount {
    (Seconds) => {
        Duration
    };
    ($kind:ident) => {
        usize
    };
}

limits! {
    /// Bytes of a plain body, one that is no stream of NDJSON or CSV.
    body_bytes "body_bytes": Bytes = 16 * MIB, 64 * KIB => 256 * MIB;
    /// Bytes of one line of NDJSON or one row of CSV, without its end; the stream may be of any length.
    line_bytes "line_bytes": Bytes = 64 * KIB, 32 * KIB => 4 * MIB;
    /// A compressed body inflates to at most so many times its size.
    inflate_factor "inflate_factor": Count = 100, 1 => 10_000;
    /// Bytes of a request's head, its first line included.
    head_bytes "head_bytes": Bytes = 16 * KIB, 4 * KIB => 64 * KIB;
    /// Time that a client has for a request's head.
    head_time "head_seconds": Seconds = 30, 1 => 600;
    /// Longest silence within a body, and of a client that takes nothing of its answer.
    body_silence "body_silence_seconds": Seconds = 60, 1 => 3_600;
    /// Time in which a body that is read whole must have come. A stream may go on for hours.
    body_time "body_seconds": Seconds = 300, 1 => 86_400;
    /// Time in which an import must have come: one at a time is received.
    import_time "import_seconds": Seconds = 7_200, 1 => 604_800;
    /// Connections held open at one time, over all workers.
    connections "connections": Count = 4_096, 16 => 100_000;
    /// Time that an idle connection is kept for its next request.
    idle_time "idle_seconds": Seconds = 75, 1 => 3_600;
    /// Time in which the rest of a refused body is still read, so that its sender can read why.
    linger_time "linger_seconds": Seconds = 5, 1 => 60;
    /// Time that requests in flight have to finish when the service is told to stop.
    shutdown_time "shutdown_seconds": Seconds = 30, 1 => 3_600;
    /// Items of a page when the question names no number.
    page_items_usual "page_items_usual": Count = 100, 1 => 10_000;
    /// Items of a page at most.
    page_items "page_items": Count = 1_000, 1 => 10_000;
    /// Refusals listed in one answer; the rest are counted.
    refusals "refusals": Count = 1_000, 1 => 10_000;
    /// Flights of one request.
    flights "flights": Count = 10_000, 1 => 100_000;
    /// Points of all paths of one request.
    path_points "path_points": Count = 300_000, 1_000 => 3_000_000;
    /// Shots of an all-or-nothing body.
    atomic_shots "atomic_shots": Count = 10_000, 1 => 10_000;
    /// Shots handed to the store as one group.
    group_shots "group_shots": Count = 1_000, 1 => 1_000;
    /// Bytes after which a group is full as well.
    group_bytes "group_bytes": Bytes = MIB, 64 * KIB => 4 * MIB;
    /// Groups of one stream on their way to the disk at one time.
    groups_in_flight "groups_in_flight": Count = 4, 1 => 64;
    /// Readers of the live stream at one time, and lists that wait for shots.
    streams "streams": Count = 2_000, 1 => 100_000;
    /// Events that may wait for one reader of the live stream before it is cut.
    stream_events "stream_events": Count = 1_000, 10 => 100_000;
    /// Longest silence of the live stream: a comment goes out when nothing else does.
    heartbeat_time "heartbeat_seconds": Seconds = 10, 1 => 15;
    /// Time that a list may wait for a shot.
    wait_time "wait_seconds": Seconds = 60, 1 => 600;
    /// What `Retry-After` says when writes cannot be made durable.
    retry_after "retry_after_seconds": Seconds = 30, 1 => 3_600;
}

/// Limits that nobody can set: what one service has stored, every other must be able to read.
static FIXED: &[(&str, Kind, u64, &str)] = &[
    ("json_depth", Kind::Count, DEPTH_MAX as u64, " Nesting of JSON, the outermost counted."),
    ("ext_bytes", Kind::Bytes, EXT_MAX as u64, " Bytes of an event's `ext`."),
    ("name_characters", Kind::Count, NAME_MAX as u64, " Characters of a name."),
];

/// What a limit is counted in; its key says it too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Bytes,
    Seconds,
    Count,
}

impl Kind {
    /// A number with its unit: `16 MiB`, `30 s`, `4,096`.
    fn text(self, number: u64) -> String {
        match self {
            Self::Bytes if number.is_multiple_of(MIB) => format!("{} MiB", grouped(number / MIB)),
            Self::Bytes if number.is_multiple_of(KIB) => format!("{} KiB", grouped(number / KIB)),
            Self::Bytes => format!("{} bytes", grouped(number)),
            Self::Seconds => format!("{} s", grouped(number)),
            Self::Count => grouped(number),
        }
    }
}

/// A number with a comma before each three digits.
fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut text = String::with_capacity(digits.len() + digits.len() / 3);
    for (at, digit) in digits.char_indices() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// A limit that can be set.
struct Limit {
    key: &'static str,
    kind: Kind,
    usual: u64,
    least: u64,
    most: u64,
    about: &'static str,
    read: fn(&Limits) -> u64,
    write: fn(&mut Limits, u64),
}

/// How a limit is kept, and the whole number that a setting has for it.
trait Amount: Copy {
    fn from_number(number: u64) -> Self;
    fn to_number(self) -> u64;
}

impl Amount for usize {
    fn from_number(number: u64) -> Self {
        Self::try_from(number).unwrap_or(Self::MAX)
    }

    fn to_number(self) -> u64 {
        self as u64
    }
}

impl Amount for Duration {
    fn from_number(number: u64) -> Self {
        Self::from_secs(number)
    }

    fn to_number(self) -> u64 {
        self.as_secs()
    }
}

/// A limit as it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LimitRow {
    /// Its key in the settings, which ends in its unit if it has one.
    pub key: &'static str,
    /// What it is, in a sentence.
    pub about: &'static str,
    /// The number in force, in the key's unit.
    pub number: u64,
    /// The number in force with its unit, for people.
    pub value: String,
    /// The number that it has unless it is set.
    pub usual_number: u64,
    /// The same with its unit, for people.
    pub usual: String,
    /// The least and the greatest number that it can be set to; none if it cannot be set.
    pub range: Option<(u64, u64)>,
}

/// Why a limit cannot be set so.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum LimitFault {
    /// No limit has this key, or it is fixed.
    #[error("`{0}` is no limit that can be set")]
    Unknown(String),
    /// The number makes no sense for this limit.
    #[error("`{key}` is {number}: give a whole number from {least} to {most}")]
    OutOfRange {
        /// The key.
        key: &'static str,
        /// What was given.
        number: u64,
        /// The least.
        least: u64,
        /// The greatest.
        most: u64,
    },
    /// A page would usually hold more than it may hold at most.
    #[error("`page_items_usual` is {usual}: give at most `page_items`, {most}")]
    UsualPage {
        /// What a page usually holds.
        usual: usize,
        /// What it holds at most.
        most: usize,
    },
}

impl Limits {
    /// Sets the limit of a key to a number in the key's unit.
    ///
    /// # Errors
    /// An unknown key, and a number outside of the limit's range.
    pub fn set(&mut self, key: &str, number: u64) -> Result<(), LimitFault> {
        let limit = TABLE.iter().find(|limit| limit.key == key);
        let limit = limit.ok_or_else(|| LimitFault::Unknown(key.to_owned()))?;
        let Limit { key, least, most, .. } = *limit;
        if !(least..=most).contains(&number) {
            return Err(LimitFault::OutOfRange { key, number, least, most });
        }
        (limit.write)(self, number);
        Ok(())
    }

    /// Whether the limits agree with each other.
    ///
    /// # Errors
    /// A page that would usually hold more than it may.
    pub fn agree(&self) -> Result<(), LimitFault> {
        let (usual, most) = (self.page_items_usual, self.page_items);
        if usual > most { Err(LimitFault::UsualPage { usual, most }) } else { Ok(()) }
    }

    /// All limits, those that cannot be set last.
    #[must_use]
    pub fn rows(&self) -> Vec<LimitRow> {
        let settable = TABLE.iter().map(|limit| {
            let number = (limit.read)(self);
            LimitRow {
                key: limit.key,
                about: limit.about.trim_start(),
                number,
                value: limit.kind.text(number),
                usual_number: limit.usual,
                usual: limit.kind.text(limit.usual),
                range: Some((limit.least, limit.most)),
            }
        });
        let fixed = FIXED.iter().map(|&(key, kind, number, about)| LimitRow {
            key,
            about: about.trim_start(),
            number,
            value: kind.text(number),
            usual_number: number,
            usual: kind.text(number),
            range: None,
        });
        settable.chain(fixed).collect()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn the_contract_s_limits_are_the_usual_ones() {
        let usual: Vec<(&str, String)> =
            Limits::default().rows().into_iter().map(|row| (row.key, row.value)).collect();
        for (key, value) in [
            ("body_bytes", "16 MiB"),
            ("line_bytes", "64 KiB"),
            ("inflate_factor", "100"),
            ("json_depth", "32"),
            ("head_bytes", "16 KiB"),
            ("connections", "4,096"),
            ("head_seconds", "30 s"),
            ("body_silence_seconds", "60 s"),
            ("page_items", "1,000"),
            ("flights", "10,000"),
            ("ext_bytes", "16 KiB"),
            ("name_characters", "128"),
        ] {
            assert!(usual.contains(&(key, value.to_owned())), "{key} is not {value}: {usual:?}");
        }
    }

    #[test]
    fn every_key_is_there_once_ends_in_its_unit_and_is_explained() {
        let mut keys = BTreeSet::new();
        for limit in TABLE {
            assert!(keys.insert(limit.key), "{} twice", limit.key);
            assert_eq!(limit.kind == Kind::Bytes, limit.key.ends_with("_bytes"), "{}", limit.key);
            let seconds = limit.kind == Kind::Seconds;
            assert_eq!(seconds, limit.key.ends_with("_seconds"), "{}", limit.key);
            assert!(limit.about.trim().ends_with('.'), "{}", limit.key);
        }
    }

    #[test]
    fn every_limit_can_be_set_within_its_range_and_no_further() {
        for limit in TABLE {
            let Limit { key, least, most, usual, .. } = *limit;
            assert!((least..=most).contains(&usual), "{key}");
            let mut limits = Limits::default();
            for number in [least, most] {
                limits.set(key, number).unwrap();
                assert_eq!((limit.read)(&limits), number, "{key}");
                let others = limits.rows().into_iter().filter(|row| row.key != key);
                assert!(others.into_iter().all(|row| row.number == row.usual_number), "{key}");
            }
            for number in [least - 1, most + 1, u64::MAX] {
                let fault = limits.set(key, number).unwrap_err();
                assert_eq!(fault, LimitFault::OutOfRange { key, number, least, most });
            }
        }
        let unknown = Limits::default().set("json_depth", 64).unwrap_err();
        assert_eq!(unknown, LimitFault::Unknown(String::from("json_depth")));
    }

    #[test]
    fn a_page_holds_at_most_what_it_may() {
        let mut limits = Limits { page_items: 50, ..Limits::default() };
        assert!(limits.agree().unwrap_err().to_string().contains("50"));
        limits.page_items_usual = 50;
        assert!(limits.agree().is_ok());
    }

    #[test]
    fn numbers_are_shown_with_their_units() {
        assert_eq!(Kind::Bytes.text(1_536), "1,536 bytes");
        assert_eq!(Kind::Bytes.text(2_048 * MIB), "2,048 MiB");
        assert_eq!(Kind::Seconds.text(1_234_567), "1,234,567 s");
        assert_eq!(Kind::Count.text(0), "0");
    }
}
