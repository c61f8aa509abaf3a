//! Tables of shots: the document that says what columns are, and rows as events.

use evencarry::shot::{CSV_COLUMNS_MAX, CsvMapping, CsvTable, Fault, RejectionKind, parse};
use proptest::prelude::*;
use serde_json::{Value, json};

/// A mapping that uses all there is.
fn full() -> Value {
    json!({
        "name": "Bay export", "delimiter": ";", "decimal_mark": ",",
        "columns": {"Club": "/club", "Carry": "/flight/carry_yd", "Spin": "/launch/spin_rate_rpm",
                    "Wet": "/wet", "Note": "/ext/note"},
        "optional": ["Note"], "ignored": ["Colour"],
        "values": {"Club": {"5 Hybrid": "5h", "PW": "pw"}, "Wet": {"yes": "true", "no": "false"}},
        "absent": ["-"],
        "time": {"columns": ["Date", "Time"], "format": "%d.%m.%Y %H:%M:%S", "zone": "Europe/Madrid"},
        "row_id": {"columns": ["Date"], "row": true},
        "set": {"source": "bay-3", "lie": "mat", "flight": {"origin": "tracked"},
                "launch": {"ball_speed_mps": 50, "launch_angle_deg": 16.5}}
    })
}

const HEADER: [&str; 8] = ["Date", "Time", "Club", "Carry", "Spin", "Wet", "Colour", "Note"];

fn mapping(document: &Value) -> CsvMapping {
    CsvMapping::from_json(document.to_string().as_bytes()).unwrap()
}

fn table() -> CsvTable {
    mapping(&full()).with_header(&HEADER).unwrap()
}

/// The faults of a document.
fn faults(document: &Value) -> Vec<(String, String)> {
    told(CsvMapping::from_json(document.to_string().as_bytes()).unwrap_err().kind)
}

fn told(kind: RejectionKind) -> Vec<(String, String)> {
    let RejectionKind::Invalid(faults) = kind else { panic!("{kind}") };
    faults.into_iter().map(|Fault { pointer, detail }| (pointer, detail)).collect()
}

/// The faults of a row.
fn row_faults(cells: &[&str]) -> Vec<(String, String)> {
    told(table().event(1, cells).unwrap_err().kind)
}

#[test]
fn a_row_becomes_the_event_that_it_says() {
    let cells = ["11.04.2026", "10:15:04", " 5 Hybrid ", "173,10", "-", "yes", "red", "a \"b\""];
    let (event, text) = table().event(7, &cells).unwrap();
    assert_eq!(parse(&text).unwrap(), event);
    let text = String::from_utf8(text).unwrap();
    assert!(text.contains("173.10"), "the digits of a cell are kept: {text}");
    assert_eq!(
        serde_json::from_str::<Value>(&text).unwrap(),
        json!({
            "id": "11.04.2026-7", "source": "bay-3", "time": "2026-04-11T10:15:04+02:00",
            "club": "5h", "lie": "mat", "wet": true,
            "launch": {"ball_speed_mps": 50, "launch_angle_deg": 16.5},
            "flight": {"carry_yd": 173.1, "origin": "tracked"}, "ext": {"note": "a \"b\""}
        })
    );
}

#[test]
fn all_faults_of_a_row_name_their_columns() {
    let told = row_faults(&["11.04.2026", "25:00:00", "6 Hybrid", "1.173,1", "5e9", "si", "", ""]);
    let pointers: Vec<&str> = told.iter().map(|(pointer, _)| pointer.as_str()).collect();
    assert_eq!(pointers, ["/club", "/wet", "/time", "/flight/carry_yd", "/launch/spin_rate_rpm"]);
    for ((_, detail), (column, word)) in told.iter().zip([
        ("column `Club`: ", "nearest: \"5 Hybrid\""),
        ("column `Wet`: ", "\"si\""),
        ("columns `Date`, `Time`: ", "%d.%m.%Y"),
        ("column `Carry`: ", "1.173,1"),
        ("column `Spin`: ", "20000"),
    ]) {
        assert!(detail.starts_with(column) && detail.contains(word), "{detail}");
    }
    let told = row_faults(&["", "", "5 Hybrid", "", "", "", "", ""]);
    let pointers: Vec<&str> = told.iter().map(|(pointer, _)| pointer.as_str()).collect();
    assert_eq!(pointers, ["/id", "/time"]);
    assert!(row_faults(&["a", "b"])[0].1.contains("2 cells, and the header 8"));
}

/// Numbers as RFC 8259, section 6, has them, behind the decimal mark.
#[test]
fn a_number_is_one_of_json_and_nothing_is_guessed() {
    let carry =
        |cell: &str| table().event(1, &["11.04.2026", "10:15:04", "PW", cell, "", "", "", ""]);
    for good in ["150", "150,5", "1,5e2", "0,0"] {
        assert!(carry(good).is_ok(), "{good}");
    }
    for bad in ["150.5", "1 50", "+150", ",5", "150,", "0150", "150yd", "1e999", "NaN", "1,1,1"] {
        let told = told(carry(bad).unwrap_err().kind);
        assert_eq!((told.len(), told[0].0.as_str()), (1, "/flight/carry_yd"), "{bad}: {told:?}");
    }
}

/// In Europe/Madrid clocks went from 2 to 3 on 2026-03-29 and go from 3 to 2 on 2026-10-25 (IANA
/// time zone database, rule EU).
#[test]
fn a_time_that_is_no_one_moment_is_refused() {
    let time =
        |date: &str, time: &str| table().event(1, &[date, time, "PW", "100", "", "", "", ""]);
    for (date, clock) in [("29.03.2026", "02:30:00"), ("25.10.2026", "02:30:00")] {
        let told = told(time(date, clock).unwrap_err().kind);
        assert_eq!(told[0].0, "/time");
        assert!(told[0].1.contains("Europe/Madrid"), "{told:?}");
    }
    let (event, _) = time("25.10.2026", "03:00:00").unwrap();
    assert_eq!(event.time.to_string(), "2026-10-25T02:00:00Z");
}

#[test]
fn a_header_says_neither_more_nor_less_than_the_mapping() {
    let header = |columns: &[&str]| match mapping(&full()).with_header(columns) {
        Ok(_) => Vec::new(),
        Err(faults) => faults.into_iter().map(|fault| fault.detail).collect(),
    };
    assert!(header(&["Time", "Date", "Club", "Carry", "Spin", " Wet "]).is_empty());
    let told = header(&["Date", "Time", "Club", "Cary", "Spin", "Wet", "Spin"]);
    assert_eq!(told.len(), 3, "{told:?}");
    assert!(told[0].contains("\"Cary\"") && told[0].contains("nearest: `Carry`"), "{told:?}");
    assert!(told[1].contains("\"Spin\" stands twice"), "{told:?}");
    assert!(told[2].contains("\"Carry\" is not in the header"), "{told:?}");
}

#[test]
fn a_mapping_whose_rows_would_be_no_shots_is_refused() {
    let with = |member: &str, value: Value| {
        let mut document = full();
        document[member] = value;
        document
    };
    let without = |member: &str| {
        let mut document = full();
        document.as_object_mut().unwrap().remove(member);
        document
    };
    let mut double = full();
    double["columns"]["Length"] = json!("/flight/carry_m");
    let mut same = full();
    same["set"]["club"] = json!("5h");
    let mut bare = full();
    bare["columns"]["Carry"] = json!("/flight/carry");
    let mut whole = full();
    whole["columns"]["Carry"] = json!("/flight");
    for (document, pointer, word) in [
        (without("time"), "", "/time is missing"),
        (without("row_id"), "", "/id is missing"),
        (without("columns"), "/columns", "is missing"),
        (bare, "/columns/Carry", "carry_m or carry_yd"),
        (whole, "/columns/Carry", "not one value"),
        (double, "/columns/Length", "second spelling"),
        (same, "/set/club", "/columns/Club"),
        (with("set", json!({"source": "s", "lie": "ice"})), "/set/lie", "mat"),
        (with("set", json!({"source": "s", "Lie": "mat"})), "/set/Lie", "lie"),
        (with("set", json!({"source": "s", "flight": 7})), "/set/flight", "an object"),
        (with("values", json!({"Wet": {"yes": "y"}})), "/values/Wet/yes", "true nor false"),
        (with("values", json!({"Club": {"x": ""}})), "/values/Club/x", "empty"),
        (with("values", json!({"Clubs": {}})), "/values/Clubs", "none of `columns`"),
        (with("ignored", json!(["Club"])), "/ignored", "one of `columns`"),
        (with("optional", json!(["Clubs"])), "/optional", "none of `columns`"),
        (with("delimiter", json!(",,")), "/delimiter", "delimiter"),
        (with("decimal_mark", json!("'")), "/decimal_mark", "or ,"),
        (with("row_id", json!({"row": true})), "/row_id", "prefix"),
        (with("row_id", json!({"prefix": "a"})), "/row_id", "nothing"),
        (with("set", json!({"source": "s", "ext": {"a": "x".repeat(70_000)}})), "", "65536"),
        (with("nonsense", json!(1)), "/nonsense", "not a member"),
    ] {
        let told = faults(&document);
        let told_at = told.iter().any(|(at, detail)| at == pointer && detail.contains(word));
        assert!(told_at, "{pointer} {word}: {told:?}");
    }
}

#[test]
fn a_mapping_has_so_many_columns_in_every_list_of_them() {
    let named = |number: usize| format!("c{number}");
    let mut wide = full();
    for number in 0..=CSV_COLUMNS_MAX {
        wide["columns"][named(number)] = json!(format!("/ext/{}", named(number)));
    }
    let told = faults(&wide);
    assert_eq!(told[0].0, "/columns");
    assert!(told[0].1.contains("send at most 200"), "{told:?}");
    let mut wide = full();
    wide["ignored"] = (0..=CSV_COLUMNS_MAX).map(named).collect();
    assert_eq!(faults(&wide)[0].0, "/ignored");
    let mut most = full();
    for number in 0..CSV_COLUMNS_MAX - 5 {
        most["columns"][named(number)] = json!(format!("/ext/{}", named(number)));
    }
    mapping(&most);
}

#[test]
fn a_form_of_time_that_loses_something_is_refused() {
    let time = |format: &str, zone: Option<&str>| {
        let mut document = full();
        document["time"] = json!({"columns": ["Date", "Time"], "format": format});
        if let Some(zone) = zone {
            document["time"]["zone"] = json!(zone);
        }
        CsvMapping::from_json(document.to_string().as_bytes()).map_err(|error| told(error.kind))
    };
    let madrid = Some("Europe/Madrid");
    for (format, zone) in [
        ("%d.%m.%Y %H:%M:%S", madrid),
        ("%m/%d/%Y %I:%M %p", madrid),
        ("%d-%b-%y %H:%M:%S%.f", madrid),
        ("%Y-%m-%d %H:%M:%S %z", None),
    ] {
        assert!(time(format, zone).is_ok(), "{format}: {:?}", time(format, zone));
    }
    for (format, zone, at) in [
        ("%d.%m. %H:%M:%S", madrid, "/time/format"),
        ("%m/%d/%Y %I:%M", madrid, "/time/format"),
        ("%Y-%m-%d", madrid, "/time/format"),
        ("%Y %!", madrid, "/time/format"),
        ("%Y-%m-%d %H:%M:%S", None, "/time/zone"),
        ("%Y-%m-%d %H:%M:%S %z", madrid, "/time/zone"),
        ("%Y-%m-%d %H:%M:%S", Some("Mars/Olympus"), "/time/zone"),
    ] {
        let told = time(format, zone).unwrap_err();
        assert_eq!((told.len(), told[0].0.as_str()), (1, at), "{format}: {told:?}");
    }
}

#[test]
fn what_is_kept_is_what_was_sent() {
    let kept = serde_json::to_string(&mapping(&full())).unwrap();
    assert_eq!(serde_json::from_str::<Value>(&kept).unwrap(), full());
    assert_eq!(serde_json::from_str::<CsvMapping>(&kept).unwrap(), mapping(&full()));
}

proptest! {
    #[test]
    fn whatever_stands_in_cells_is_a_shot_or_a_refusal(
        cells in proptest::collection::vec(any::<String>(), 8),
        some in proptest::collection::vec(any::<bool>(), 8),
    ) {
        let good = ["11.04.2026", "10:15:04", "PW", "150,5", "5000", "no", "", "x"];
        let mixed: Vec<&str> = cells.iter().zip(good).zip(some)
            .map(|((cell, good), kept)| if kept { good } else { cell }).collect();
        match table().event(1, &mixed) {
            Ok((event, text)) => prop_assert_eq!(parse(&text).unwrap(), event),
            Err(rejection) => prop_assert!(matches!(rejection.kind, RejectionKind::Invalid(_))),
        }
    }
}
