//! The origins whose pages may read and write here: exactly those that were listed, none otherwise.

use std::net::{Ipv4Addr, Ipv6Addr};

use actix_web::http::header::{self, HeaderMap, HeaderValue};
use thiserror::Error;

use super::guards::is_domain;

/// Listed origins, each as a browser sends it in `Origin`.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Origins(Vec<String>);

/// A text that cannot be listed as an origin, and the mend.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("`{text}` is no origin that can be listed: {mend}")]
pub struct NoOrigin {
    text: String,
    mend: String,
}

impl Origins {
    /// Lists an origin: `scheme://host[:port]`, as the address bar shows it up to the path.
    ///
    /// # Errors
    /// A text that is no such thing: each page has one origin, so there are no patterns.
    pub fn list(&mut self, text: &str) -> Result<(), NoOrigin> {
        let origin = read(text).map_err(|mend| NoOrigin { text: text.to_owned(), mend })?;
        if !self.0.contains(&origin) {
            self.0.push(origin);
        }
        Ok(())
    }

    /// The listed origins.
    pub fn iter(&self) -> impl Iterator<Item = &str> {
        self.0.iter().map(String::as_str)
    }

    /// Whether none is listed.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The origin of the page that asks, if there is exactly one and it is listed.
    pub(super) fn of_listed_page<'a>(&self, headers: &'a HeaderMap) -> Option<&'a HeaderValue> {
        let mut values = headers.get_all(header::ORIGIN);
        let (Some(value), None) = (values.next(), values.next()) else { return None };
        self.0.iter().any(|origin| origin.as_bytes() == value.as_bytes()).then_some(value)
    }
}

/// An origin as browsers write it (HTML Standard, "serialization of an origin"): in lower case, without
/// the scheme's own port. Or the mend.
pub(super) fn read(text: &str) -> Result<String, String> {
    match text {
        "null" => return Err("pages of many kinds send it; serve the page from an address".into()),
        _ if text.contains('*') => return Err("list each origin by itself".into()),
        _ if !text.is_ascii() => {
            return Err("give the host in its ASCII form (xn--…), as browsers send it".into());
        }
        _ => {}
    }
    let lower = text.to_ascii_lowercase();
    let (scheme, rest) = lower
        .split_once("://")
        .filter(|(scheme, _)| is_scheme(scheme))
        .ok_or("give scheme, host and port, such as `http://localhost:5173`")?;
    if scheme == "file" {
        return Err("pages from files have none; serve the page from an address".into());
    }
    if let Some(end) = rest.find(['/', '?', '#']) {
        return Err(format!("leave out what follows the host: `{scheme}://{}`", &rest[..end]));
    }
    let (host, port) = match rest.rfind(':') {
        Some(colon) if !rest.ends_with(']') => (&rest[..colon], Some(&rest[colon + 1..])),
        _ => (rest, None),
    };
    let host = read_host(host).ok_or("the host is neither a name nor an IP address")?;
    let Some(port) = port else { return Ok(format!("{scheme}://{host}")) };
    let number = port.parse::<u16>().ok().filter(|number| number.to_string() == port);
    match (scheme, number) {
        (_, None | Some(0)) => Err("the port is a number from 1 to 65535".into()),
        ("http", Some(80)) | ("https", Some(443)) => Ok(format!("{scheme}://{host}")),
        (_, Some(number)) => Ok(format!("{scheme}://{host}:{number}")),
    }
}

fn is_scheme(scheme: &str) -> bool {
    scheme.starts_with(|letter: char| letter.is_ascii_lowercase())
        && scheme.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"+-.".contains(&byte))
}

fn read_host(host: &str) -> Option<String> {
    if let Some(literal) = host.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')) {
        return literal.parse::<Ipv6Addr>().ok().map(|address| format!("[{address}]"));
    }
    // What ends in a number is an IPv4 address to browsers (URL Standard, 3.5), in one spelling.
    let numeric =
        host.rsplit('.').next().is_some_and(|last| last.starts_with(|d: char| d.is_ascii_digit()));
    let known = if numeric { host.parse::<Ipv4Addr>().is_ok() } else { is_domain(host) };
    known.then(|| host.to_owned())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use proptest::prelude::*;
    use reqwest::Url;

    use super::*;

    /// The origin of an address by an independent implementation of the URL Standard.
    fn by_the_standard(address: &str) -> String {
        Url::parse(address).unwrap().origin().ascii_serialization()
    }

    proptest! {
        #[test]
        fn origins_of_the_web_are_those_of_the_url_standard(
            scheme in "https?|HTTPS?",
            host in "[a-zA-Z]([a-zA-Z0-9]{0,8}[a-zA-Z])?(\\.[a-z]{1,5}){0,2}|127\\.0\\.[0-9]\\.[1-9]|\\[[0-9a-fA-F]{1,4}::[0-9a-fA-F]{1,4}\\]",
            port in proptest::option::of(prop_oneof![Just(80_u16), Just(443), 1_u16..]),
        ) {
            let port = port.map_or_else(String::new, |port| format!(":{port}"));
            let text = format!("{scheme}://{host}{port}");
            prop_assert_eq!(read(&text), Ok(by_the_standard(&text)));
        }
    }

    #[test]
    fn an_origin_is_kept_as_browsers_send_it() {
        for (given, sent) in [
            ("http://localhost:5173", "http://localhost:5173"),
            ("HTTP://Bay.Example:80", "http://bay.example"),
            ("https://bay.example:443", "https://bay.example"),
            ("https://bay.example:80", "https://bay.example:80"),
            ("http://127.0.0.1:3000", "http://127.0.0.1:3000"),
            ("http://[0:0:0:0:0:0:0:1]:3000", "http://[::1]:3000"),
            ("http://[::1]", "http://[::1]"),
            ("app://dashboard", "app://dashboard"),
        ] {
            assert_eq!(read(given).as_deref(), Ok(sent), "{given}");
        }
    }

    #[test]
    fn whatever_is_not_exactly_one_origin_is_refused_with_a_mend() {
        for (wrong, mend) in [
            ("*", "each origin"),
            ("http://*.example", "each origin"),
            ("null", "from an address"),
            ("file://", "from an address"),
            ("", "such as"),
            ("localhost:5173", "such as"),
            ("://x", "such as"),
            ("http://bay.example/", "`http://bay.example`"),
            ("http://bay.example:81/page?x", "`http://bay.example:81`"),
            ("http://", "neither"),
            ("http://rowan@bay.example", "neither"),
            ("http://a b", "neither"),
            ("http://::1", "neither"),
            ("http://[::1", "neither"),
            ("http://127.1", "neither"),
            ("http://bay.example,http://x", "leave out"),
            ("http://bay.example:", "65535"),
            ("http://bay.example:0", "65535"),
            ("http://bay.example:080", "65535"),
            ("http://bay.example:65536", "65535"),
            ("http://bücher.example", "xn--"),
        ] {
            let told = read(wrong).unwrap_err();
            assert!(told.contains(mend), "{wrong}: {told}");
        }
    }

    #[test]
    fn a_page_is_listed_by_exactly_one_equal_origin() {
        let mut origins = Origins::default();
        origins.list("http://localhost:5173").unwrap();
        origins.list("HTTP://LOCALHOST:5173").unwrap();
        assert_eq!(origins.iter().count(), 1);
        let listed = |values: &[&'static str]| {
            let mut headers = HeaderMap::new();
            for value in values {
                headers.append(header::ORIGIN, HeaderValue::from_static(value));
            }
            origins.of_listed_page(&headers).is_some()
        };
        assert!(listed(&["http://localhost:5173"]));
        for other in [
            "http://localhost",
            "https://localhost:5173",
            "http://localhost:51730",
            "http://localhost:5173/",
            "http://LOCALHOST:5173",
            "http://localhost:5173 http://evil.example",
            "null",
            "",
        ] {
            assert!(!listed(&[other]), "{other}");
        }
        assert!(!listed(&["http://localhost:5173", "http://localhost:5173"]));
        assert!(!listed(&[]));
    }
}
