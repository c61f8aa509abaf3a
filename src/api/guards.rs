//! Who may knock: the rules that keep a web page from reaching a loopback service through its
//! user's browser. A page can send `no-cors` requests to any port, and by DNS rebinding its own name
//! can come to mean our address; so the name in `Host` is judged first, on every route and method,
//! and then what the browser says of the sender. Pure: headers in, a verdict out.

use std::net::{Ipv4Addr, Ipv6Addr};

use actix_web::http::{
    Method,
    header::{self, HeaderMap, HeaderName},
};

use thiserror::Error;

use super::{
    origins::{self, Origins},
    problem::{Kind, Problem},
};

/// The `Sec-Fetch-Site` header of Fetch Metadata (W3C).
const SEC_FETCH_SITE: HeaderName = HeaderName::from_static("sec-fetch-site");

/// The host names under which the service answers, besides IP literals and `localhost`.
#[derive(Debug, Clone, Default)]
pub struct Hosts(Vec<String>);

/// A declared name that can stand in no `Host`.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("`{0}` is no host name: give the name alone, without scheme, port or path")]
pub struct NoHostName(String);

impl Hosts {
    /// Names that were declared, compared without case and without a trailing dot.
    ///
    /// # Errors
    /// The first text that is no host name: one with a scheme, a port or a path.
    pub fn declared<I: IntoIterator<Item = String>>(names: I) -> Result<Self, NoHostName> {
        let names = names.into_iter().map(|name| {
            let lower = name.to_ascii_lowercase();
            if is_domain(bare(&lower)) {
                Ok(bare(&lower).to_owned())
            } else {
                Err(NoHostName(name))
            }
        });
        names.collect::<Result<_, _>>().map(Self)
    }

    /// Refuses a request whose raw `Host` is not exactly one, names nobody, or names somebody else.
    pub fn judge(&self, headers: &HeaderMap) -> Result<(), Problem> {
        let mut values = headers.get_all(header::HOST);
        let (Some(value), None) = (values.next(), values.next()) else {
            return Err(misdirected("exactly one `Host` header is needed"));
        };
        match value.to_str().ok().and_then(host_name) {
            Some(name) if self.answers_to(name) => Ok(()),
            _ => Err(misdirected(
                "the name in `Host` is not one of ours; use an IP address or localhost, or start \
                 the service with `--host NAME` (`hosts` in the settings file) to declare it",
            )),
        }
    }

    fn answers_to(&self, name: &str) -> bool {
        if let Some(literal) = name.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')) {
            return literal.parse::<Ipv6Addr>().is_ok();
        }
        if name.parse::<Ipv4Addr>().is_ok() {
            return true;
        }
        let name = name.to_ascii_lowercase();
        let name = bare(&name);
        is_domain(name)
            && (name == "localhost"
                || name.ends_with(".localhost")
                || self.0.iter().any(|declared| declared == name))
    }
}

fn misdirected(detail: &'static str) -> Problem {
    Problem::new(Kind::Misdirected, detail)
}

/// A name without its root dot.
fn bare(name: &str) -> &str {
    name.strip_suffix('.').unwrap_or(name)
}

/// The host of `host[:port]`, brackets kept; nothing if it has another form.
fn host_name(value: &str) -> Option<&str> {
    let (host, port) = match value.find(']') {
        Some(end) => value.split_at(end + 1),
        None => value.split_at(value.find(':').unwrap_or(value.len())),
    };
    let port = port.strip_prefix(':').or(port.is_empty().then_some(""))?;
    (!host.is_empty() && port.bytes().all(|byte| byte.is_ascii_digit())).then_some(host)
}

/// Whether a text has the form of a host name.
pub(super) fn is_domain(name: &str) -> bool {
    let label = |label: &str| {
        !label.is_empty()
            && label
                .bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || byte == b'-' || byte == b'_')
    };
    name.split('.').all(label)
}

/// Refuses what a page of another site sends or would read, unless its origin is listed. `Host` has
/// been judged.
pub(super) fn judge_site(
    method: &Method,
    headers: &HeaderMap,
    listed: &Origins,
) -> Result<(), Problem> {
    let origin = origin(headers, listed);
    let reads = matches!(*method, Method::GET | Method::HEAD);
    match (origin, fetch_site(headers)) {
        (Origin::Ours | Origin::Listed, _) | (Origin::Absent, Site::Absent | Site::Ours) => Ok(()),
        (Origin::Foreign, Site::Ours) if !reads => Ok(()),
        (Origin::Absent, Site::Foreign) if reads => Ok(()),
        _ => {
            let act = if reads { "read" } else { "write" };
            Err(Problem::new(Kind::CrossSite, foreign_page(headers, act)))
        }
    }
}

/// Tells a page's author, who reads this in the browser's tools, how their page can be let in.
fn foreign_page(headers: &HeaderMap, act: &str) -> String {
    let sent = headers.get(header::ORIGIN).and_then(|origin| origin.to_str().ok());
    match sent.map(origins::read) {
        Some(Ok(origin)) => format!(
            "a page of {origin} may not {act} here: if that page is yours, start the service with \
             `--allow-origin {origin}`, or add it to `allow_origins` in the settings file"
        ),
        Some(Err(_)) => format!(
            "a page without an address of its own may not {act} here: serve it from one, and list \
             that with `--allow-origin`, or in `allow_origins` in the settings file"
        ),
        None => format!(
            "a page of another site may not {act} here; send this from our own page or from \
             outside a browser"
        ),
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Origin {
    Absent,
    Ours,
    Listed,
    Foreign,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Site {
    Absent,
    Ours,
    Foreign,
}

/// `Origin` is ours when it is exactly `http://` and the judged `Host`. The opaque `null` is not.
fn origin(headers: &HeaderMap, listed: &Origins) -> Origin {
    if listed.of_listed_page(headers).is_some() {
        return Origin::Listed;
    }
    let mut values = headers.get_all(header::ORIGIN);
    let Some(value) = values.next() else { return Origin::Absent };
    let host = headers.get(header::HOST).and_then(|host| host.to_str().ok()).unwrap_or_default();
    let ours = value.to_str().ok().and_then(|origin| origin.strip_prefix("http://")).is_some_and(
        |authority| {
            let default_port = host.strip_suffix(":80").unwrap_or(host);
            !authority.is_empty() && authority.eq_ignore_ascii_case(default_port)
        },
    );
    if ours && values.next().is_none() { Origin::Ours } else { Origin::Foreign }
}

/// What the browser says of the sender: `none` is the user's own doing.
fn fetch_site(headers: &HeaderMap) -> Site {
    let mut values = headers.get_all(SEC_FETCH_SITE);
    match (values.next().map(header::HeaderValue::as_bytes), values.next()) {
        (None, _) => Site::Absent,
        (Some(b"none" | b"same-origin"), None) => Site::Ours,
        _ => Site::Foreign,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use actix_web::http::header::HeaderValue;

    use super::*;

    fn headers(pairs: &[(&'static str, &'static str)]) -> HeaderMap {
        let mut map = HeaderMap::new();
        for (name, value) in pairs {
            map.append(HeaderName::from_static(name), HeaderValue::from_static(value));
        }
        map
    }

    fn answers(value: &'static str) -> bool {
        Hosts::declared([String::from("Bay.Club.example")])
            .unwrap()
            .judge(&headers(&[("host", value)]))
            .is_ok()
    }

    #[test]
    fn ip_literals_localhost_and_declared_names_are_ours() {
        for ours in [
            "127.0.0.1",
            "127.0.0.1:8417",
            "192.168.7.20",
            "[::1]",
            "[::1]:8417",
            "[2001:db8::7]:1",
            "localhost",
            "LOCALHOST:80",
            "localhost.",
            "localhost.:8417",
            "bay.localhost",
            "a.b.localhost:1",
            "bay.club.example",
            "BAY.club.example.:443",
            "localhost:",
        ] {
            assert!(answers(ours), "{ours} was refused");
        }
    }

    #[test]
    fn every_other_name_is_refused() {
        for other in [
            "",
            " ",
            "evil.example",
            "evil.example:8417",
            "localhost.evil.example",
            "notlocalhost",
            ".localhost",
            "user@bay.localhost",
            "evil.example/.localhost",
            "127.0.0.1.evil.example",
            "127.1",
            "0x7f.0.0.1",
            "::1",
            "[::1",
            "[evil]",
            "[::1]x",
            "localhost:80:80",
            "localhost:http",
            "localhost..",
            "club.example",
            "localhost, evil.example",
            "evil.example#.localhost",
            ":8417",
        ] {
            assert!(!answers(other), "{other} was taken");
        }
    }

    #[test]
    fn only_a_bare_name_can_be_declared() {
        for wrong in
            ["http://bay.example", "bay.example:80", "bay.example/", "", "*.example", "a b"]
        {
            assert!(Hosts::declared([String::from(wrong)]).is_err(), "{wrong}");
        }
    }

    #[test]
    fn host_is_there_exactly_once() {
        assert!(Hosts::default().judge(&headers(&[])).is_err());
        let twice = headers(&[("host", "localhost"), ("host", "localhost")]);
        assert!(Hosts::default().judge(&twice).is_err());
    }

    #[test]
    fn what_a_forwarding_header_says_is_not_asked() {
        let forged = headers(&[("host", "evil.example"), ("x-forwarded-host", "localhost")]);
        assert!(Hosts::default().judge(&forged).is_err());
    }

    fn may(method: &Method, origin: Option<&'static str>, site: Option<&'static str>) -> bool {
        let mut pairs = vec![("host", "localhost:8417")];
        pairs.extend(origin.map(|origin| ("origin", origin)));
        pairs.extend(site.map(|site| ("sec-fetch-site", site)));
        let mut listed = Origins::default();
        listed.list("http://localhost:5173").unwrap();
        judge_site(method, &headers(&pairs), &listed).is_ok()
    }

    #[test]
    fn a_write_needs_our_own_origin_or_a_sender_that_is_no_foreign_page() {
        for method in [Method::POST, Method::PUT, Method::PATCH, Method::DELETE, Method::OPTIONS] {
            assert!(may(&method, None, None), "a script");
            assert!(may(&method, None, Some("none")), "the user's own doing");
            assert!(may(&method, None, Some("same-origin")));
            assert!(may(&method, Some("http://localhost:8417"), None));
            assert!(may(&method, Some("http://localhost:8417"), Some("same-origin")));
            assert!(
                may(&method, Some("https://localhost:8417"), Some("same-origin")),
                "behind TLS"
            );
            assert!(!may(&method, None, Some("cross-site")));
            assert!(!may(&method, None, Some("same-site")));
            assert!(!may(&method, None, Some("Same-Origin, none")));
            assert!(!may(&method, Some("http://evil.example"), None));
            assert!(!may(&method, Some("http://evil.example"), Some("cross-site")));
            assert!(!may(&method, Some("http://localhost"), None), "another port");
            assert!(!may(&method, Some("https://localhost:8417"), None), "another scheme");
            assert!(!may(&method, Some("null"), None));
            assert!(!may(&method, Some(""), None));
        }
    }

    #[test]
    fn a_page_of_a_listed_origin_may_whatever_its_browser_says_of_the_site() {
        for method in [Method::GET, Method::HEAD, Method::POST, Method::DELETE, Method::OPTIONS] {
            for site in [None, Some("cross-site"), Some("same-site")] {
                assert!(may(&method, Some("http://localhost:5173"), site), "{method} {site:?}");
                assert!(!may(&method, Some("http://localhost:5174"), site), "{method} {site:?}");
                assert!(!may(&method, Some("https://localhost:5173"), site), "{method} {site:?}");
            }
        }
    }

    #[test]
    fn a_refused_page_is_told_what_would_let_it_in() {
        let told = |origin| {
            let sent = headers(&[("host", "localhost"), ("origin", origin)]);
            let refused = judge_site(&Method::GET, &sent, &Origins::default()).unwrap_err();
            refused.detail().to_owned()
        };
        let named = told("http://localhost:5173");
        assert!(named.contains("--allow-origin http://localhost:5173"), "{named}");
        assert!(named.contains("`allow_origins`"), "{named}");
        let opaque = told("null");
        assert!(opaque.contains("serve it from one") && !opaque.contains("null"), "{opaque}");
    }

    #[test]
    fn a_read_is_refused_to_a_foreign_origin_only() {
        for method in [Method::GET, Method::HEAD] {
            assert!(may(&method, None, None));
            assert!(may(&method, None, Some("cross-site")), "a picture within another page");
            assert!(may(&method, Some("http://localhost:8417"), None));
            assert!(!may(&method, Some("http://evil.example"), None));
            assert!(!may(&method, Some("http://evil.example"), Some("same-origin")));
            assert!(!may(&method, Some("null"), None));
        }
    }
}
