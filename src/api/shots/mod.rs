//! Shots: taken in, listed, shown one by one and corrected.

mod list;
mod one;
mod post;

use super::endpoint::Endpoint;

/// The endpoints of shots.
pub(super) const ENDPOINTS: &[&[Endpoint]] = &[post::ENDPOINTS, list::ENDPOINTS, one::ENDPOINTS];
