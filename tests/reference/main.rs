//! The statistics room against values computed elsewhere: `statistics_reference.json` (made with numpy, scipy and
//! long arithmetic, independent of this code) and published examples; and the properties its formulas promise.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod case;
mod constants;
mod dispersion;
mod estimates;
mod evidence;
mod histories;
mod properties;
mod published;
mod summaries;
mod swaps;
mod verdicts;
