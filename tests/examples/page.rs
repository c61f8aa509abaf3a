//! `api-spec/examples/page.html`: short, and asks only for what the published description offers.

use serde_json::Value;

const PAGE: &str = include_str!("../../api-spec/examples/page.html");
const DESCRIPTION: &str = include_str!("../../api-spec/openapi.json");

/// What stands between the backquotes and quotes that follow a mark.
fn asked(mark: &str) -> impl Iterator<Item = &str> {
    PAGE.split(mark).skip(1).map(|rest| rest.split(['"', '`', '?']).next().unwrap())
}

#[test]
fn the_page_fits_on_a_screen() {
    assert!(PAGE.lines().count() <= 41, "{}", PAGE.lines().count());
}

#[test]
fn the_page_asks_for_what_is_there() {
    let description: Value = serde_json::from_str(DESCRIPTION).unwrap();
    let paths: Vec<&str> = asked("await ask(\"").chain(asked("await ask(`")).collect();
    assert_eq!(paths, ["ladder", "replacements"]);
    for path in paths {
        let path = format!("/v1/players/{{player}}/{path}");
        assert!(description["paths"][&path]["get"].is_object(), "{path}");
    }
}

#[test]
fn the_page_asks_nobody_else() {
    let hosts: Vec<&str> = PAGE
        .split("://")
        .skip(1)
        .map(|rest| rest.split(['/', '"', ' ', '\n']).next().unwrap())
        .collect();
    assert_eq!(hosts, ["localhost:8500", "127.0.0.1:8417"]);
}
