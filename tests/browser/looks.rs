//! Every place looked at closely, by eye and by axe-core, and used without a mouse.

use crate::{
    browser::{Browser, ENTER, TAB},
    season::{bag, unassigned, visits},
    support::Running,
};

#[test]
fn every_place_can_be_read_at_every_width() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..7);
    unassigned(&service, "1");
    for (name, place) in [
        ("players", "/"),
        ("bag", "/players/rowan"),
        ("club", "/players/rowan/clubs/5h"),
        ("head-to-head", "/players/rowan/head-to-head?incumbent=5h&candidate=4u"),
        ("neighbours", "/players/rowan/head-to-head?incumbent=5h"),
        ("sheet", "/players/rowan/sheet?incumbent=5h&candidate=4u"),
        ("trials", "/players/rowan/trials"),
        ("table", "/table"),
        ("nowhere", "/nowhere"),
    ] {
        browser.go(place);
        browser.look(name);
        let heads = browser.run("return [document.querySelectorAll('h1').length, document.title]");
        assert_eq!(heads[0], 1, "{name}");
        assert!(heads[1].as_str().unwrap().ends_with(" – Evencarry"), "{name}: {heads}");
    }
    browser.close();
}

#[test]
fn it_is_usable_by_keyboard_alone() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..2);
    browser.go("/");
    let focused = "return document.activeElement.textContent.trim()";
    browser.press(TAB);
    assert_eq!(browser.run(focused), "To the content");
    browser.press(ENTER);
    assert_eq!(browser.run("return document.activeElement.id"), "content");
    browser.press(TAB);
    assert_eq!(browser.run(focused), "Rowan");
    browser.press(ENTER);
    browser.shows("h1", "Rowan’s bag");
    // Who cannot see that another place came is taken to its heading.
    assert_eq!(browser.run("return document.activeElement.tagName"), "H1");
    browser.until("the ladder shows", "return document.querySelector('tbody a')");
    // The focus stays where it is while shots come.
    browser.press(TAB);
    assert_eq!(browser.run(focused), "Put two clubs head to head");
    visits(&service, 2..4);
    let shots =
        service.get("/v1/players/rowan/ladder").json()["rungs"][0]["metrics"]["carry_m"]["n"]
            .to_string();
    browser.shows("tbody td:last-child", &shots);
    assert_eq!(browser.run(focused), "Put two clubs head to head");
    browser.close();
}

#[test]
fn a_head_to_head_prints_on_one_page() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..7);
    browser.go("/players/rowan/sheet?incumbent=5h&candidate=4u");
    let printed = browser.print();
    assert!(printed.starts_with(b"%PDF-"));
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/browser");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("sheet.pdf"), &printed).unwrap();
    let text = String::from_utf8_lossy(&printed);
    let pages = text.matches("/Type /Page\n").count();
    assert_eq!(pages, 1, "{pages} pages");
    browser.close();
}
