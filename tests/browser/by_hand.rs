//! Ten shots by hand, into an empty store.

use serde_json::json;

use crate::{browser::Browser, season::ask, support::Running};

/// Whether the page tells this.
fn told(text: &str) -> String {
    format!("return document.querySelector('main .lead')?.textContent.startsWith('{text}')")
}

#[test]
fn an_empty_store_leads_to_shots_by_hand_and_they_are_kept_as_typed() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    browser.go("/");
    browser.look("empty");
    browser.click("main .ways a[href='#/by-hand']");
    browser.shows("h1", "Ten shots by hand");
    browser.type_into("[name=player]", "rowan");
    browser.type_into("[name=club]", "5h");
    browser.choose("[aria-label='Unit of carry']", "yd");
    browser.choose("[aria-label='Unit of ball speed']", "mph");
    browser.type_into("[aria-label='Carry, shot 1']", "172,5");
    browser.type_into("[aria-label='Carry, shot 2']", "9000");
    browser.type_into("[aria-label='Ball speed, shot 1']", "116.4");
    browser.type_into("[aria-label='Carry, shot 3']", "170");
    browser.type_into("[aria-label='Spin, shot 3']", "5,240");
    browser.click("button[type=submit]");
    let fault = browser
        .until("the fault shows", "return document.querySelector('#row-1-fault').textContent");
    assert!(fault.as_str().unwrap().starts_with("Carry is 9000"), "{fault}");
    // Nobody guesses whether a comma stands between thousands or before decimals.
    let fault = browser.text("#row-2-fault");
    assert_eq!(fault, "Spin is “5,240”: type 5240, or 5.240 if that is meant.");
    browser.until("it is told", &told("1 shot is kept. 2 are not kept"));
    let kept = ask(&service, "/v1/shots?source=by-hand");
    let items = kept["items"].as_array().unwrap();
    assert_eq!(items.len(), 1, "{kept}");
    let event = &items[0]["event"];
    assert_eq!(event["flight"], json!({"carry_yd": 172.5}));
    assert_eq!(event["launch"], json!({"ball_speed_mph": 116.4}));
    assert_eq!((&event["player"], &event["club"]), (&json!("rowan"), &json!("5h")));
    // What is kept does not stay to be sent again; what is not kept stays to be mended.
    let cell = |label: &str| {
        browser.run(&format!("return document.querySelector(\"[aria-label='{label}']\").value"))
    };
    let cells = ["Carry, shot 1", "Ball speed, shot 1", "Carry, shot 2", "Spin, shot 3"];
    assert_eq!(cells.map(cell), ["", "", "9000", "5,240"]);
    browser.run("document.querySelector(\"[aria-label='Carry, shot 2']\").value = ''");
    browser.type_into("[aria-label='Carry, shot 2']", "171");
    browser.run("document.querySelector(\"[aria-label='Spin, shot 3']\").value = ''");
    browser.type_into("[aria-label='Spin, shot 3']", "5240");
    // The row that was freed takes one shot more; one without a carry is no shot yet.
    browser.type_into("[aria-label='Carry, shot 1']", "169");
    browser.type_into("[aria-label='Spin, shot 4']", "5100");
    browser.click("button[type=submit]");
    browser.until("it is told", &told("3 shots are kept. 1 is not kept"));
    assert_eq!(browser.text("#row-3-fault"), "Type a carry, or ball speed and launch.");
    let kept = ask(&service, "/v1/shots?source=by-hand");
    let carries = kept["items"].as_array().unwrap().iter();
    let mut carries: Vec<_> =
        carries.map(|item| item["event"]["flight"]["carry_yd"].as_f64().unwrap()).collect();
    carries.sort_by(f64::total_cmp);
    assert_eq!(carries, [169.0, 170.0, 171.0, 172.5]);
    browser.look("by-hand");
    browser.close();
}

#[test]
fn a_block_of_a_spreadsheet_fills_the_rows() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    browser.go("/by-hand");
    browser.run(
        "const data = new DataTransfer(); data.setData('text', '158.2\\t51.8\\n157.1\\t51.6\\n'); \
         document.querySelector(\"[aria-label='Carry, shot 3']\").dispatchEvent(new ClipboardEvent('paste', \
         { clipboardData: data, bubbles: true, cancelable: true }))",
    );
    let cell = |label: &str| {
        browser.run(&format!("return document.querySelector(\"[aria-label='{label}']\").value"))
    };
    assert_eq!(cell("Carry, shot 3"), "158.2");
    assert_eq!(cell("Ball speed, shot 4"), "51.6");
    assert_eq!(cell("Carry, shot 5"), "");
    browser.close();
}
