//! Names in paths. The router leaves `%2F`, `%25` and `%2B` as they are, so that a name may hold
//! them; here they are decoded.

use actix_web::HttpRequest;
use percent_encoding::percent_decode_str;

use super::{
    problem::{Fault, Kind, Problem},
    query::FromText,
};

/// The name that the path gives for `part`. A text that can be no name names nothing: 404.
pub(super) fn name<T: FromText>(request: &HttpRequest, part: &'static str) -> Result<T, Problem> {
    parse(request, part)
        .map_err(|detail| Problem::new(Kind::NotFound, format!("the {part} in the path {detail}")))
}

/// The name that the path gives to something that is to be made: 422 if it can be no name.
pub(super) fn new_name<T: FromText>(
    request: &HttpRequest,
    part: &'static str,
) -> Result<T, Problem> {
    parse(request, part).map_err(|detail| {
        Problem::invalid(vec![Fault::of_parameter(
            part,
            format!("the {part} in the path {detail}"),
        )])
    })
}

fn parse<T: FromText>(request: &HttpRequest, part: &'static str) -> Result<T, String> {
    let raw = request.match_info().get(part).unwrap_or_default();
    let text = percent_decode_str(raw).decode_utf8().map_err(|_| String::from("is not UTF-8"))?;
    T::from_text(&text)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use actix_web::test::TestRequest;

    use super::*;
    use crate::shot::ShotId;

    fn id(raw: &'static str) -> Result<ShotId, Problem> {
        name(&TestRequest::default().param("id", raw).to_http_request(), "id")
    }

    #[test]
    fn a_slash_stays_within_the_name() {
        assert_eq!(id("a%2Fb").unwrap().as_str(), "a/b");
        assert_eq!(id("a%2fb%252F").unwrap().as_str(), "a/b%2F");
    }

    #[test]
    fn a_plus_is_a_plus() {
        assert_eq!(id("a+b%2B").unwrap().as_str(), "a+b+");
    }

    #[test]
    fn what_can_be_no_name_is_nowhere() {
        for wrong in ["..", ".", "%00", "%EF%BF%BD", ""] {
            assert_eq!(id(wrong).unwrap_err().kind(), Kind::NotFound, "{wrong}");
        }
    }
}
