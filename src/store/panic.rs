//! Panics of other code, caught at the edge of a thread or of sled.

use std::any::Any;

/// What a panic said.
pub(super) fn panic_message(panic: &(dyn Any + Send)) -> String {
    let text = panic.downcast_ref::<&str>().map(|text| (*text).to_owned());
    text.or_else(|| panic.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "an unexpected panic".to_owned())
}
