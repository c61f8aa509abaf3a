//! Rows for tests of the room.

use super::row::Row;
use crate::shot::{Flags, Intent, Lie, Measure, Measures, Purpose, Sequence};

/// A counted shot of club 0 in session 0 from the mat, with these measures.
pub(super) fn row(measured: &[(Measure, f64)]) -> Row {
    let mut measures = Measures::NONE;
    for (measure, value) in measured {
        measures.set(*measure, *value);
    }
    Row {
        sequence: Sequence::new(1),
        time: jiff::Timestamp::UNIX_EPOCH,
        date: jiff::civil::date(2026, 4, 11),
        source: 0,
        session: 0,
        club: 0,
        ball: 0,
        lie: Some(Lie::Mat),
        wet: false,
        place: None,
        intent: Intent::default(),
        purpose: Purpose::Practice,
        set_aside: false,
        retired: false,
        spin_origin: None,
        speed_origin: None,
        flight_origin: None,
        flags: Flags::NONE,
        surroundings: None,
        measures,
    }
}
