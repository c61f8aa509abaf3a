//! The built-in page and its files: given as what they are, with nothing from elsewhere.

use crate::support::Running;

#[test]
fn the_page_and_its_files_are_given_and_may_load_nothing_from_elsewhere() {
    let service = Running::start();
    for (path, media) in [
        ("/", "text/html; charset=utf-8"),
        ("/page/main.js", "text/javascript; charset=utf-8"),
        ("/page/style.css", "text/css; charset=utf-8"),
        ("/page/mark.svg", "image/svg+xml"),
    ] {
        let answer = service.get(path);
        assert_eq!((answer.status, answer.header("content-type")), (200, Some(media)), "{path}");
        let policy = answer.header("content-security-policy").unwrap();
        assert!(policy.starts_with("default-src 'none'; script-src 'self';"), "{policy}");
        assert!(!policy.contains("unsafe") && !policy.contains("data:"), "{policy}");
        assert!(policy.contains("frame-ancestors 'none'"), "{policy}");
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"), "{path}");
    }
}

#[test]
fn a_file_is_loaded_once() {
    let service = Running::start();
    let first = service.get("/page/main.js");
    let tag = first.header("etag").unwrap().to_owned();
    assert!(!tag.starts_with("W/"), "{tag}");
    let again = service.get_with("/page/main.js", &format!("If-None-Match: {tag}\r\n"));
    assert_eq!((again.status, again.body.len()), (304, 0));
}

#[test]
fn what_is_no_file_of_the_page_is_not_found() {
    let service = Running::start();
    for path in [
        "/page/none.js",
        "/page/mod.rs",
        "/page/index.html",
        "/page/..%2Fmod.rs",
        "/page/",
        "/page",
    ] {
        assert_eq!(service.get(path).status, 404, "{path}");
    }
    let other = service.get_with("/page/main.js", "Accept: text/css\r\n");
    assert_eq!(other.status, 406);
}
