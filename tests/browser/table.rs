//! A table of shots: from the file to the ladder, and back as one act.

use serde_json::{Value, json};

use crate::{
    browser::Browser,
    season::{ask, unassigned},
    support::Running,
};

const FILE: &str = "When;Club;Distance;Speed;Remark\n\
    2026-04-11 10:15;5 Hybrid;172,6;116,2;nice\n\
    2026-04-11 10:16;5 Hybrid;170,1;115,8;\n\
    2026-04-11 10:17;4 Utility;171,9;115,5;wind\n\
    2026-04-11 10:18;4 Utility;9000;115,5;\n";

fn field(column: &str) -> String {
    format!("main form [name=\"{column}\"]")
}

#[test]
fn a_table_is_told_column_by_column_looked_at_kept_and_taken_back() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("spring range.csv");
    std::fs::write(&file, FILE).unwrap();
    browser.go("/table");
    browser.type_into("#file", file.to_str().unwrap());
    browser.until("the columns show", "return document.querySelector('[name=Distance]')");
    // Nothing is guessed.
    browser.click("button[type=submit]");
    browser.until(
        "a column is asked for",
        "return document.querySelector('[name=When] ~ .fault:not([hidden])')",
    );
    browser.choose(&field("When"), "time");
    browser.choose(&field("Club"), "/club");
    browser.choose(&field("Distance"), "/flight/carry_yd");
    browser.choose(&field("Speed"), "/launch/ball_speed_mph");
    browser.choose(&field("Remark"), "-");
    browser.choose(&field("format"), "%Y-%m-%d %H:%M");
    for (name, text) in [("5 Hybrid", "5h"), ("4 Utility", "4u"), ("zone", "Europe/Madrid")] {
        browser.run_with("document.querySelector(arguments[0]).value = ''", &json!([field(name)]));
        browser.type_into(&field(name), text);
    }
    browser.type_into(&field("player"), "rowan");
    browser.look("table-columns");
    let source = browser.run("return document.querySelector('main form [name=source]').value");
    // Under the name of a bay it could not be told from what a device sent there.
    unassigned(&service, "1");
    let call = |name: &Value| {
        let script = "document.querySelector('main form [name=source]').value = arguments[0]";
        browser.run_with(script, &json!([name]));
        browser.click("button[type=submit]");
    };
    call(&json!("bay-7"));
    browser.until(
        "the name is refused",
        "return document.querySelector('[name=source] ~ .fault:not([hidden])')",
    );
    assert_eq!(ask(&service, "/v1/csv-mappings")["items"], json!([]));
    call(&source);
    browser.until("the rows show", "return document.querySelector('main').textContent.includes('Of 4 rows 3 would be taken and 1 refused')");
    let kept = ask(&service, "/v1/shots");
    assert_eq!(kept["items"].as_array().unwrap().len(), 1, "a dry run keeps nothing: {kept}");
    browser.look("table-rows");
    browser.run("[...document.querySelectorAll('button')].find((button) => button.textContent === 'Keep the whole file').click()");
    browser.until(
        "it is kept",
        "return document.querySelector('main').textContent.includes('3 shots are kept')",
    );
    let source = source.as_str().unwrap();
    let kept = ask(&service, &format!("/v1/shots?source={source}"));
    let first = &kept["items"][0];
    assert_eq!((&first["player"], &first["club"]), (&json!("rowan"), &json!("5h")));
    assert_eq!(first["event"]["flight"], json!({"carry_yd": 172.6}));
    assert!(first["event"]["time"].as_str().unwrap().starts_with("2026-04-11T10:15:00+02:00"));
    browser.run("[...document.querySelectorAll('button')].find((button) => button.textContent === 'Set all of its shots aside').click()");
    browser.until(
        "it is taken back",
        "return document.querySelector('#told').textContent.includes('3 shots are set aside')",
    );
    let after = ask(&service, &format!("/v1/shots?source={source}"));
    for item in after["items"].as_array().unwrap() {
        assert_eq!(item["set_aside"]["reason"], "taken back as a whole");
    }
    browser.close();
}
