//! What the rows of all pictures have in common.

use utoipa::openapi::{RefOr, Schema};

use crate::api::{
    endpoint::{Components, Endpoint, Success},
    media::Media,
    spec,
};

pub(super) const BASE: Endpoint = Endpoint {
    gives: &[Media::Svg],
    successes: &[Success::new(200, "The picture.", shape)],
    ..Endpoint::BASE
};

fn shape(_: &mut Components) -> RefOr<Schema> {
    spec::text()
}
