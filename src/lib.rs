//! Finds the club that can replace another, from measured shots.
//!
//! The rooms, each of which knows only those below it: `cli` starts the program; `api` answers over
//! HTTP; `page` is what a browser shows of it; `live` folds the store's frames into what questions are answered from; `store` keeps the
//! frames; `bag` judges clubs; `stats` and `shot` know nothing but numbers and what a shot is.

pub mod api;
pub mod bag;
pub mod cli;
pub mod flight;
#[cfg(any(fuzzing, test))]
pub mod fuzzing;
pub mod live;
pub mod page;
pub mod shot;
pub mod stats;
pub mod store;
