//! Open files: every connection is one, and a process often begins with fewer than it may have.

use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};

/// Files beside connections: those of the store, the log, and what the workers wait on. Our decision,
/// some twice of what is open at most.
const OTHER_FILES: u64 = 512;

/// Takes leave for as many open files as the connections need; where the system grants fewer, the log
/// says so.
pub(super) fn make_room(connections: usize) {
    let needed = connections as u64 + OTHER_FILES;
    let had = getrlimit(Resource::Nofile);
    if had.current.is_none_or(|files| files >= needed) {
        return;
    }
    let granted = had.maximum.map_or(needed, |most| most.min(needed));
    let asked = Rlimit { current: Some(granted), maximum: had.maximum };
    let granted = match setrlimit(Resource::Nofile, asked) {
        Ok(()) => Some(granted),
        Err(_) => had.current,
    };
    if let Some(files) = granted.filter(|files| *files < needed) {
        tracing::warn!(
            files,
            needed,
            "fewer open files are granted than connections may need: raise the system's limit, or \
             lower `connections`"
        );
    }
}
