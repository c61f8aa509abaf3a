//! `api-spec/examples/watch_folder.py`: a folder into which bay software writes.

use std::{
    fs::{self, File, OpenOptions},
    io::Write,
    path::Path,
    time::{Duration, SystemTime},
};

use crate::{
    front::Front,
    running::{Script, example},
    support::Running,
};

const HEADER: &str = "Shot;Time;Club;Carry;Remark\r\n";

fn row(id: &str, carry: &str) -> String {
    format!("{id};2026-04-11T10:50:00+02:00;5 Hybrid;{carry};nice\r\n")
}

fn append(file: &Path, text: &str) {
    let mut file = OpenOptions::new().create(true).append(true).open(file).unwrap();
    file.write_all(text.as_bytes()).unwrap();
}

fn watch(folder: &Path, url: &str) -> Script {
    let mapping = example("bay-table.json");
    let arguments = [folder.to_str().unwrap(), mapping.to_str().unwrap()];
    Script::start("watch_folder.py", &arguments, url)
}

/// The ids and carries that are stored, in the order in which they came.
fn stored(service: &Running) -> Vec<(String, f64)> {
    let page = service.get("/v1/shots?player=rowan&club=5h").json();
    let of = |item: &serde_json::Value| {
        let event = &item["event"];
        (event["id"].as_str().unwrap().to_owned(), event["flight"]["carry_yd"].as_f64().unwrap())
    };
    page["items"].as_array().unwrap().iter().map(of).collect()
}

#[test]
fn new_rows_become_shots_once_however_often_it_is_killed() {
    let (service, front) = (Running::start(), Front::new());
    let folder = tempfile::tempdir().unwrap();
    let table = folder.path().join("monday.CSV");
    append(&table, &format!("{HEADER}{}{}t3;2026-04", row("t1", "172,6"), row("t2", "170,1")));
    let script = watch(folder.path(), &front.url());
    script.complains("not sent, again in 1 s");
    script.complains("not sent, again in 2 s");
    front.open(service.address);
    assert_eq!(script.says(), "monday.CSV: 2 accepted, 0 known, 0 refused");
    // The row is written to its end; a remark has a line end of its own, and one carry is none.
    let remark = "t4;2026-04-11T10:51:00+02:00;5 Hybrid;168;\"thin,\nbut straight\"\r\n";
    let rest = "-11T10:50:30+02:00;5 Hybrid;171;\r\n";
    append(&table, &format!("{rest}{remark}{}", row("t5", "far")));
    assert_eq!(script.says(), "monday.CSV: 2 accepted, 0 known, 1 refused");
    script.complains("\"far\" is not a number");
    // A kill, and more rows meanwhile.
    drop(script);
    append(&table, &row("t6", "169"));
    append(&folder.path().join("tuesday.csv"), &format!("{HEADER}{}", row("t7", "174")));
    let script = watch(folder.path(), &front.url());
    assert_eq!(script.says(), "monday.CSV: 1 accepted, 0 known, 0 refused");
    assert_eq!(script.says(), "tuesday.csv: 1 accepted, 0 known, 0 refused");
    // A file that is begun anew, longer than before.
    let more: String = ["t8", "t9", "t10"].iter().map(|id| row(id, "165")).collect();
    fs::write(folder.path().join("tuesday.csv"), format!("{HEADER}{more}")).unwrap();
    assert_eq!(script.says(), "tuesday.csv: 3 accepted, 0 known, 0 refused");
    // It forgets how far it came: nothing is stored twice.
    drop(script);
    fs::write(folder.path().join("sent.json"), "{").unwrap();
    let script = watch(folder.path(), &front.url());
    assert_eq!(script.says(), "monday.CSV: 0 accepted, 5 known, 1 refused");
    assert_eq!(script.says(), "tuesday.csv: 0 accepted, 3 known, 0 refused");
    let expected = [
        ("t1", 172.6),
        ("t2", 170.1),
        ("t3", 171.0),
        ("t4", 168.0),
        ("t6", 169.0),
        ("t7", 174.0),
        ("t8", 165.0),
        ("t9", 165.0),
        ("t10", 165.0),
    ];
    assert_eq!(stored(&service), expected.map(|(id, carry)| (id.to_owned(), carry)));
}

#[test]
fn a_last_row_without_a_line_end_waits_until_its_file_rests() {
    let (service, front) = (Running::start(), Front::new());
    front.open(service.address);
    let folder = tempfile::tempdir().unwrap();
    let table = folder.path().join("export.csv");
    append(&table, &format!("{HEADER}{}", row("t1", "172,6")));
    append(&table, row("t2", "170,1").trim_end());
    let script = watch(folder.path(), &front.url());
    assert_eq!(script.says(), "export.csv: 1 accepted, 0 known, 0 refused");
    let long_ago = SystemTime::now() - Duration::from_secs(61);
    File::options().write(true).open(&table).unwrap().set_modified(long_ago).unwrap();
    assert_eq!(script.says(), "export.csv: 1 accepted, 0 known, 0 refused");
    append(&table, &format!("\r\n{}", row("t3", "168")));
    assert_eq!(script.says(), "export.csv: 1 accepted, 0 known, 0 refused");
    assert_eq!(stored(&service).len(), 3);
}

#[test]
fn a_table_that_the_mapping_does_not_know_is_told_and_holds_up_no_other() {
    let (service, front) = (Running::start(), Front::new());
    front.open(service.address);
    let folder = tempfile::tempdir().unwrap();
    let strange = folder.path().join("a.csv");
    append(&strange, &format!("{}{}", HEADER.replace("Carry", "Carrie"), row("t1", "172,6")));
    append(&folder.path().join("b.csv"), &format!("{HEADER}{}", row("t2", "170,1")));
    let script = watch(folder.path(), &front.url());
    script.complains("the mapping says nothing of the column \"Carrie\"");
    assert_eq!(script.says(), "b.csv: 1 accepted, 0 known, 0 refused");
    fs::write(&strange, format!("{HEADER}{}", row("t1", "172,6"))).unwrap();
    assert_eq!(script.says(), "a.csv: 1 accepted, 0 known, 0 refused");
}

#[test]
fn ids_by_the_number_of_a_row_are_not_taken() {
    let folder = tempfile::tempdir().unwrap();
    let mapping = folder.path().join("numbered.json");
    fs::write(&mapping, r#"{"name": "Numbered", "columns": {}, "row_id": {"row": true}}"#).unwrap();
    let arguments = [folder.path().to_str().unwrap(), mapping.to_str().unwrap()];
    let script = Script::start("watch_folder.py", &arguments, "http://127.0.0.1:9");
    script.complains("make ids of columns");
}
