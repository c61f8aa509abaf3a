//! Ways for the fuzz targets to rooms that nobody outside reaches otherwise. Each takes any bytes, and panics where
//! something that must hold does not. Here only for fuzzing, and for the test that runs the seeds.

pub use crate::api::fuzzing::{lines, query, rows};
pub use crate::store::fuzzing::{frame, journal};

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::{fs, path::Path};

    use super::*;

    fn run_seeds(target: &str, check: fn(&[u8])) {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus").join(target);
        let seeds: Vec<_> = fs::read_dir(&folder).unwrap().collect();
        assert!(seeds.len() >= 3, "{folder:?} has few seeds");
        for seed in seeds {
            check(&fs::read(seed.unwrap().path()).unwrap());
        }
    }

    #[test]
    fn every_seed_holds() {
        run_seeds("lines", lines);
        run_seeds("query", query);
        run_seeds("rows", rows);
        run_seeds("frame", frame);
        run_seeds("journal", journal);
    }
}
