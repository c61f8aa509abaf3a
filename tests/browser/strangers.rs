//! Names come from strangers: they are shown, never run.

use serde_json::json;

use crate::{browser::Browser, season::send, support::Running};

#[test]
fn a_name_that_is_markup_is_shown_as_it_is() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    let name = "<img src=x onerror=window.broken=1>\u{202e}\"';";
    send(&service, "PUT", "/v1/players/a%2Fb", &json!({"name": name}));
    for club in ["%3Cb%3E", "50%25"] {
        send(&service, "PUT", &format!("/v1/players/a%2Fb/clubs/{club}"), &json!({"name": name}));
    }
    let shots: Vec<_> = ["<b>", "50%"].iter().map(|club| json!({
        "id": format!("<i>{club}"), "source": "<script>", "time": "2026-04-11T10:15:00Z", "player": "a/b", "club": club,
        "flight": {"carry_m": 158},
    })).collect();
    let answer = service.send("POST", "/v1/shots", &json!(shots).to_string());
    assert_eq!(answer.json()["accepted"], 2, "{}", answer.text());
    for place in [
        "/",
        "/players/a%2Fb",
        "/players/a%2Fb/clubs/%3Cb%3E",
        "/players/a%2Fb/clubs/50%25",
        "/players/a%2Fb/head-to-head?incumbent=50%25&candidate=%3Cb%3E",
        "/players/a%2Fb/trials",
        "/sources",
    ] {
        browser.go(place);
        browser.until(
            "the name shows",
            "return document.querySelector('main').textContent.includes('<')",
        );
        assert_eq!(browser.run("return window.broken ?? null"), serde_json::Value::Null, "{place}");
        assert_eq!(
            browser
                .run("return document.querySelectorAll('main img[src=x], main b, main i').length"),
            0,
            "{place}"
        );
        assert!(browser.text(".trouble").is_empty(), "{place}: {}", browser.text(".trouble"));
    }
    browser.close();
}
