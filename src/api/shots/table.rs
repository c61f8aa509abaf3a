//! Shots as a table: CSV by RFC 4180, one row a shot, a fixed set of columns.
//!
//! Columns are named like the members they show, with the unit in SI or, if asked so, imperial. An
//! empty cell is a value that is not known. Members that can be corrected show what is effective;
//! quantities are as measured.
//!
//! Spreadsheets take a cell that begins with `=`, `+`, `-`, `@`, a tab or a line end for a formula,
//! and a sender may choose names and reasons as it likes. So a text that begins with one of these, or
//! with an apostrophe, gets an apostrophe before it: who wants the text as it was takes one leading
//! apostrophe away. Numbers are ours and stay as they are. (OWASP, "CSV Injection".)

use crate::{
    api::units::Units,
    live::ShotView,
    shot::{
        Adjustment, Event, Measure,
        units::{self, Unit},
    },
};

/// What the description of the API says of it.
pub(in crate::api) const ABOUT: &str = "RFC 4180, UTF-8, with a header: one row a shot. An empty \
    cell is not known. Text that a spreadsheet would take for a formula has an apostrophe before it.";

/// One column: its name in SI, and its cell.
enum Column {
    /// Text that a sender may have chosen.
    Text(&'static str, fn(&Shot<'_>) -> Option<String>),
    /// A word or a number of ours.
    Ours(&'static str, fn(&Shot<'_>) -> Option<String>),
    /// A quantity that has a row of its own in every shot.
    Measured(Measure),
    /// Another quantity of the event, in the unit kept.
    Sent(&'static str, fn(&Event) -> Option<f64>),
}

use Column::{Ours, Sent, Text};

/// What a row shows.
struct Shot<'a> {
    view: &'a ShotView,
    event: &'a Event,
}

const BEFORE_MEASURES: [Column; 17] = [
    Ours("sequence", |shot| Some(shot.view.sequence.to_string())),
    Text("source", |shot| Some(shot.event.source.to_string())),
    Text("id", |shot| Some(shot.event.id.to_string())),
    Ours("time", |shot| Some(shot.event.time.to_string())),
    Text("player", |shot| shot.view.player.as_ref().map(ToString::to_string)),
    Text("club", |shot| shot.view.club.as_ref().map(ToString::to_string)),
    Text("session", |shot| shot.view.session.clone()),
    Ours("lie", |shot| shot.view.effective.lie.map(|lie| lie.to_string())),
    Ours("height", |shot| Some(shot.view.effective.intent.height.to_string())),
    Ours("shape", |shot| Some(shot.view.effective.intent.shape.to_string())),
    Ours("swing", |shot| Some(shot.view.effective.intent.swing.to_string())),
    Ours("purpose", |shot| Some(shot.view.effective.purpose.to_string())),
    Text("ball", |shot| shot.view.effective.ball.as_ref().map(ToString::to_string)),
    Ours("wet", |shot| Some(shot.view.effective.wet.to_string())),
    Ours("place", |shot| shot.view.effective.place.map(|place| place.to_string())),
    Ours("flags", |shot| Some(shot.view.flags.words(shot.event).join(" "))),
    Text("set_aside", |shot| shot.view.set_aside.as_ref().map(|reason| reason.as_str().to_owned())),
];

const BEHIND_MEASURES: [Column; 16] = [
    Sent("temperature_c", |event| event.air.temperature_c),
    Sent("pressure_hpa", |event| event.air.pressure_hpa),
    Sent("sea_level_pressure_hpa", |event| event.air.sea_level_pressure_hpa),
    Sent("humidity_pct", |event| event.air.humidity_pct),
    Sent("altitude_m", |event| event.air.altitude_m),
    Sent("wind_speed_mps", |event| event.wind.speed_mps),
    Sent("wind_from_deg", |event| event.wind.from_deg),
    Sent("wind_compass_from_deg", |event| event.wind.compass_from_deg),
    Sent("wind_height_m", |event| event.wind.height_m),
    Sent("target_distance_m", |event| event.target.distance_m),
    Sent("target_elevation_m", |event| event.target.elevation_m),
    Ours("ground", |shot| shot.event.ground.map(|ground| ground.to_string())),
    Ours("spin_origin", |shot| shot.view.effective.spin_origin.map(|origin| origin.to_string())),
    Ours("speed_origin", |shot| shot.view.effective.speed_origin.map(|origin| origin.to_string())),
    Ours("flight_origin", |shot| {
        shot.view.effective.flight_origin.map(|origin| origin.to_string())
    }),
    Ours("adjusted_for", |shot| {
        let adjusted = shot.event.adjusted_for?;
        Some(adjusted.iter().map(Adjustment::as_str).collect::<Vec<_>>().join(" "))
    }),
];

fn columns() -> impl Iterator<Item = Column> {
    let measures = Measure::ALL.iter().map(|measure| Column::Measured(*measure));
    BEFORE_MEASURES.into_iter().chain(measures).chain(BEHIND_MEASURES)
}

impl Column {
    /// Its name in SI.
    fn name(&self) -> &'static str {
        match self {
            Text(name, _) | Ours(name, _) | Sent(name, _) => name,
            Self::Measured(measure) => measure.si_name(),
        }
    }

    fn cell(&self, shot: &Shot<'_>, unit: Option<Unit>) -> String {
        let number = |kept: f64| unit.map_or(kept, |unit| unit.from_si(kept)).to_string();
        let cell = match self {
            Text(_, text) => text(shot).map(harmless),
            Ours(_, text) => text(shot),
            Self::Measured(measure) => shot.event.measures.get(*measure).map(number),
            Sent(_, value) => value(shot.event).map(number),
        };
        cell.unwrap_or_default()
    }
}

/// The columns in one system of units: each with its heading, and the unit of its numbers where that
/// is not the one kept.
pub(super) struct Table(Vec<(Column, String, Option<Unit>)>);

impl Table {
    pub(super) fn of(asked: Units) -> Self {
        let heading = |column: Column| {
            let imperial = units::imperial(column.name()).filter(|_| asked == Units::Imperial);
            let unit = imperial.as_ref().map(|(_, unit)| *unit);
            let name = imperial.map_or_else(|| column.name().to_owned(), |(renamed, _)| renamed);
            (column, name, unit)
        };
        Self(columns().map(heading).collect())
    }

    /// Writes the names of the columns.
    pub(super) fn write_header(&self, into: &mut Vec<u8>) {
        write_row(self.0.iter().map(|(_, heading, _)| heading.clone()), into);
    }

    /// Writes one shot.
    pub(super) fn write_shot(&self, view: &ShotView, event: &Event, into: &mut Vec<u8>) {
        let shot = Shot { view, event };
        write_row(self.0.iter().map(|(column, _, unit)| column.cell(&shot, *unit)), into);
    }
}

/// Writes a row with its line end (RFC 4180, 2).
fn write_row(cells: impl Iterator<Item = String>, into: &mut Vec<u8>) {
    for (at, cell) in cells.enumerate() {
        if at > 0 {
            into.push(b',');
        }
        if cell.contains(['"', ',', '\r', '\n']) {
            into.push(b'"');
            into.extend_from_slice(cell.replace('"', "\"\"").as_bytes());
            into.push(b'"');
        } else {
            into.extend_from_slice(cell.as_bytes());
        }
    }
    into.extend_from_slice(b"\r\n");
}

/// A text that no spreadsheet takes for a formula; the wide forms of the signs count too.
fn harmless(text: String) -> String {
    const SIGNS: [char; 12] = ['=', '+', '-', '@', '\t', '\r', '\n', '\'', '＝', '＋', '－', '＠'];
    if text.starts_with(SIGNS) { format!("'{text}") } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(cells: &[&str]) -> String {
        let mut text = Vec::new();
        write_row(cells.iter().map(|cell| (*cell).to_owned()), &mut text);
        String::from_utf8_lossy(&text).into_owned()
    }

    #[test]
    fn rows_are_those_of_the_standard() {
        // The examples of RFC 4180, section 2, points 5 to 7.
        assert_eq!(row(&["aaa", "b\r\nbb", "ccc"]), "aaa,\"b\r\nbb\",ccc\r\n");
        assert_eq!(row(&["aaa", "b\"bb", "ccc"]), "aaa,\"b\"\"bb\",ccc\r\n");
        assert_eq!(row(&["", "a b", ""]), ",a b,\r\n");
    }

    #[test]
    fn no_text_is_a_formula_and_every_text_can_be_had_back() {
        for text in ["=1+1", "+1", "-1", "@x", "\tx", "'x", "＝1", "5h", "", "a=b"] {
            let cell = harmless(text.to_owned());
            assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝']), "{cell}");
            assert_eq!(cell.strip_prefix('\'').unwrap_or(&cell), text);
        }
    }

    #[test]
    fn every_column_has_a_name_of_its_own() {
        for units in [Units::Si, Units::Imperial] {
            let table = Table::of(units);
            let mut names: Vec<&str> = table.0.iter().map(|(_, name, _)| &**name).collect();
            let all = names.len();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), all);
        }
    }
}
