//! Shots as a table: CSV by RFC 4180, one row a shot, a fixed set of columns.
//!
//! Columns are named like the members they show, with the unit in SI or, if asked so, imperial. An
//! empty cell is a value that is not known. Members that can be corrected show what is effective;
//! quantities are as measured.
//!
//! Spreadsheets take a cell that begins with `=`, `+`, `-`, `@`, a tab or a line end for a formula,
//! and a sender may choose names and reasons as it likes. So a text that begins with one of these, or
//! with an apostrophe, gets an apostrophe before it. A spreadsheet that separates by `;` or by tabs
//! begins a cell in the middle of our texts, and ends a row at their line ends: so one of the signs or
//! an apostrophe behind `;`, a tab or a line end, with nothing but quotes between, gets one too. Who
//! wants the text as it was takes one apostrophe away at each of these places. Numbers are ours and
//! stay as they are. (OWASP, "CSV Injection".)

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
    cell is not known. Text that a spreadsheet would take for a formula has an apostrophe before \
    it, also behind a `;`, a tab or a line end within the text.";

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
            Text(_, text) => text(shot).map(|text| harmless(&text)),
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

/// What begins a formula, in its wide forms too, and the mark itself.
const SIGNS: [char; 9] = ['=', '+', '-', '@', '\'', '＝', '＋', '－', '＠'];
/// Behind which a reader may begin a cell within a text.
const BREAKS: [char; 4] = [';', '\t', '\r', '\n'];

/// A text that no spreadsheet takes for a formula, however it separates.
fn harmless(text: &str) -> String {
    let mut marked = String::with_capacity(text.len() + 1);
    if text.starts_with(['\t', '\r', '\n']) {
        marked.push('\'');
    }
    let mut begins = true;
    for sign in text.chars() {
        if begins && SIGNS.contains(&sign) {
            marked.push('\'');
        }
        begins = BREAKS.contains(&sign) || (begins && sign == '"');
        marked.push(sign);
    }
    marked
}

#[cfg(test)]
mod tests {
    use csv_core::{ReadFieldResult, ReaderBuilder};
    use proptest::prelude::*;

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

    /// The cells of a table, as csv-core reads it with this sign between them.
    fn cells(table: &str, between: u8) -> Vec<String> {
        let mut reader = ReaderBuilder::new().delimiter(between).build();
        let (mut input, mut cells, mut cell) = (table.as_bytes(), Vec::new(), Vec::new());
        loop {
            let mut part = [0; 256];
            let (result, read, written) = reader.read_field(input, &mut part);
            input = &input[read..];
            cell.extend_from_slice(&part[..written]);
            match result {
                ReadFieldResult::Field { .. } => {
                    cells.push(String::from_utf8_lossy(&std::mem::take(&mut cell)).into_owned());
                }
                ReadFieldResult::End => return cells,
                ReadFieldResult::InputEmpty | ReadFieldResult::OutputFull => {}
            }
        }
    }

    /// Takes away what [`harmless`] added.
    fn unmarked(cell: &str) -> String {
        let (mut text, mut begins, mut signs) = (String::new(), true, cell.chars());
        while let Some(sign) = signs.next() {
            let sign = if begins && sign == '\'' { signs.next().unwrap_or(sign) } else { sign };
            begins = [';', '\t', '\r', '\n'].contains(&sign) || (begins && sign == '"');
            text.push(sign);
        }
        text
    }

    #[test]
    fn a_formula_is_marked_where_it_may_begin() {
        for (text, marked) in [
            ("=1+1", "'=1+1"),
            ("\tx", "'\tx"),
            ("'x", "''x"),
            ("＝1", "'＝1"),
            ("x;=1+1", "x;'=1+1"),
            ("x\t@a", "x\t'@a"),
            ("x\n-1", "x\n'-1"),
            ("x;\"=1", "x;\"'=1"),
            ("a=b; wet, 5-hybrid", "a=b; wet, 5-hybrid"),
            ("", ""),
        ] {
            assert_eq!(harmless(text), marked);
        }
    }

    proptest! {
        #[test]
        fn no_text_is_a_formula_however_the_table_is_read(text in "[=+@;,\t\r\n\"'＝a -]{0,12}") {
            let marked = harmless(&text);
            prop_assert_eq!(unmarked(&marked), text);
            let table = row(&["1", &marked, "2"]);
            for between in [b',', b';', b'\t'] {
                for cell in cells(&table, between) {
                    // A reader may leave quotes, tabs and line ends before a cell out.
                    let begins = cell.trim_start_matches(['"', '\t', '\r', '\n']);
                    let formula = begins.starts_with(['=', '+', '-', '@', '＝']);
                    prop_assert!(!formula, "{cell:?} in {table:?}");
                }
            }
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
