//! What the disk does alone, so that a figure can be read beside it.

use std::{io::Write, path::Path, time::Instant};

#[allow(dead_code, reason = "each bench uses its part")]
/// How often a second a block can be appended to a file that has its space, and made durable.
pub(crate) fn syncs_per_second(times: usize, bytes: usize) -> f64 {
    let folder = tempfile::TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let mut file = preallocated(&folder.path().join("log"), times * bytes);
    let block = vec![b'x'; bytes];
    let from = Instant::now();
    for _ in 0..times {
        file.write_all(&block).unwrap();
        file.sync_data().unwrap();
    }
    times as f64 / from.elapsed().as_secs_f64()
}

/// A new file that has its space and its length already.
pub(crate) fn preallocated(path: &Path, bytes: usize) -> std::fs::File {
    let file = std::fs::File::create(path).unwrap();
    rustix::fs::fallocate(&file, rustix::fs::FallocateFlags::empty(), 0, bytes as u64).unwrap();
    file.sync_all().unwrap();
    file
}
