//! Shots: taken in, listed, shown one by one, corrected and erased.

mod erase;
mod forms;
pub(super) mod list;
mod one;
mod post;
pub(super) mod table;
mod waiting;
mod wanted;

use super::endpoint::Endpoint;

/// The endpoints of shots.
pub(super) const ENDPOINTS: &[&[Endpoint]] =
    &[post::ENDPOINTS, list::ENDPOINTS, one::ENDPOINTS, erase::ENDPOINTS];
