//! Finds the club that can replace another, from measured shots.

pub mod shot;
