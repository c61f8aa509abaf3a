//! What a swap gives up, and what the bag looks like after it.

mod comparisons;
mod losses;
mod profiles;
mod sentences;
mod slots;
mod world;
