//! The pages for people: whole, without anything from elsewhere, and true to the tables they tell.

use std::collections::BTreeSet;

use evencarry::api::Limits;

use crate::support::{Answer, Running, described::DESCRIPTION};

fn kinds() -> Vec<&'static str> {
    let kinds = &DESCRIPTION["components"]["schemas"]["Problem"]["properties"]["type"]["enum"];
    kinds.as_array().unwrap().iter().map(|kind| kind.as_str().unwrap()).collect()
}

fn pages() -> impl Iterator<Item = &'static str> {
    ["/docs", "/docs/api"].into_iter().chain(kinds())
}

fn page(service: &Running, path: &str) -> Answer {
    let answer = service.get(path);
    assert_eq!(answer.status, 200, "{path}");
    assert_eq!(answer.header("content-type"), Some("text/html; charset=utf-8"), "{path}");
    answer
}

/// The values of an attribute.
fn values<'a>(html: &'a str, name: &str) -> Vec<&'a str> {
    let start = format!(" {name}=\"");
    html.split(&start).skip(1).map(|rest| rest.split('"').next().unwrap()).collect()
}

#[test]
fn a_page_loads_nothing_from_elsewhere_and_runs_nothing() {
    let service = Running::start();
    for path in pages() {
        let answer = page(&service, path);
        let policy = answer.header("content-security-policy").unwrap();
        assert!(policy.starts_with("default-src 'none'; style-src 'self';"), "{policy}");
        assert!(!policy.contains("unsafe"), "{policy}");
        let html = answer.text();
        assert!(!html.contains("<script") && values(html, "style").is_empty(), "{path}");
        assert!(values(html, "src").is_empty(), "{path}");
        for link in values(html, "href") {
            assert!(link.starts_with('/') || link.starts_with('#'), "{path} leads to {link}");
        }
    }
    assert_eq!(
        service.get("/docs/style.css").header("content-type"),
        Some("text/css; charset=utf-8")
    );
}

#[test]
fn every_link_leads_somewhere() {
    let service = Running::start();
    let mut seen = BTreeSet::new();
    for path in pages() {
        let answer = page(&service, path);
        for link in values(answer.text(), "href") {
            let (to, part) = link.split_once('#').unwrap_or((link, ""));
            let to = if to.is_empty() { path } else { to };
            if seen.insert((to.to_owned(), part.to_owned())) {
                let found = service.get(to);
                assert_eq!(found.status, 200, "{path} leads to {link}");
                assert!(
                    part.is_empty() || values(found.text(), "id").contains(&part),
                    "{path} leads to {link}"
                );
            }
        }
    }
    assert!(seen.len() > 100, "{} links", seen.len());
}

#[test]
fn every_page_is_well_formed_and_has_its_landmarks() {
    let service = Running::start();
    for path in pages() {
        let answer = page(&service, path);
        let html = answer.text();
        assert!(html.starts_with("<!DOCTYPE html>\n<html lang=\"en\">"), "{path}");
        assert_eq!(html.matches("<h1>").count(), 1, "{path}");
        assert_eq!(html.matches("<main id=\"content\">").count(), 1, "{path}");
        let mut open = Vec::new();
        for tag in html.split('<').skip(1) {
            let tag = tag.split('>').next().unwrap();
            let name = tag.split_whitespace().next().unwrap();
            match name.strip_prefix('/') {
                Some(closed) => assert_eq!(open.pop(), Some(closed), "{path}: {closed}"),
                None if ["!DOCTYPE", "meta", "link"].contains(&name) => {}
                None => open.push(name),
            }
        }
        assert!(open.is_empty(), "{path}: {open:?}");
        let ids = values(html, "id");
        assert_eq!(ids.iter().collect::<BTreeSet<_>>().len(), ids.len(), "{path}: an id twice");
    }
}

#[test]
fn every_type_of_problem_has_its_page() {
    let service = Running::start();
    assert!(kinds().len() > 10);
    for kind in kinds() {
        let answer = page(&service, kind);
        let html = answer.text();
        for part in [">What it means</h2>", ">What to do</h2>", ">An example</h2>", kind] {
            assert!(html.contains(part), "{kind} lacks {part}");
        }
    }
    for unknown in ["/docs/errors/none", "/docs/errors/..", "/docs/errors", "/docs/none"] {
        let answer = service.get(unknown);
        assert_eq!(answer.status, 404, "{unknown}");
        answer.problem();
    }
}

#[test]
fn the_first_page_tells_the_event_and_the_limits_in_force() {
    let limits = Limits { line_bytes: 12_345, ..Limits::default() };
    let service = Running::adjusted(|service| service.limits = limits.clone());
    let answer = page(&service, "/docs");
    let html = answer.text();
    for object in ["launch", "clubhead", "flight", "air", "wind", "target"] {
        let members = &DESCRIPTION["components"]["schemas"]["ShotEvent"]["properties"][object];
        for name in members["properties"].as_object().unwrap().keys() {
            assert!(html.contains(&format!("<code>{name}</code>")), "{name} is not told");
        }
    }
    for row in limits.rows() {
        assert!(html.contains(&format!("<code>{}</code>", row.key)), "{} is not told", row.key);
        assert!(html.contains(&format!("<td>{}</td>", row.value)), "{} is not told", row.value);
    }
    assert!(html.contains("curl -s http://localhost/v1/shots"), "the address asked by");
}

#[test]
fn the_page_of_the_api_tells_every_operation_and_schema() {
    let service = Running::start();
    let answer = page(&service, "/docs/api");
    let ids = values(answer.text(), "id");
    for item in DESCRIPTION["paths"].as_object().unwrap().values() {
        for operation in item.as_object().unwrap().values() {
            assert!(ids.contains(&operation["operationId"].as_str().unwrap()), "{operation}");
        }
    }
    for name in DESCRIPTION["components"]["schemas"].as_object().unwrap().keys() {
        assert!(ids.contains(&format!("schema-{name}").as_str()), "{name}");
    }
}
