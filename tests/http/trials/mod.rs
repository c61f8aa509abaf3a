//! Trials: a head-to-head whose brief is fixed at the start, judged after every ball.

mod bay;
mod counting;
mod opening;
mod plan;
mod standing;
