//! What pictures say in words.

use super::letters;
use crate::{
    bag::{ClubNames, Interval, Surface, VerdictWord},
    shot::{BallId, ClubId},
};

/// What a club is called, as pictures write it.
pub(super) fn club(names: &ClubNames, id: &ClubId) -> String {
    letters::name(names.get(id))
}

/// What figures rest on: `Hit from the mat with ball range-b.`
pub(super) fn basis(surface: Option<Surface>, ball: Option<&BallId>) -> String {
    let from = match surface {
        None => return String::new(),
        Some(Surface::Teed) => "a tee",
        Some(Surface::Mat) => "the mat",
        Some(Surface::Turf) => "turf",
        Some(Surface::Rough) => "rough",
        Some(Surface::Wet) => "wet lies",
        Some(Surface::Sand) => "sand",
        Some(Surface::Other) => "another lie",
        Some(Surface::Unstated) => "lies that nobody stated",
    };
    match ball {
        Some(ball) => format!("Hit from {from} with ball {}.", letters::name(ball.as_str())),
        None => format!("Hit from {from}."),
    }
}

/// That not every spin of some clubs was measured, where it was not of any.
pub(super) fn inferred(clubs: &[String]) -> String {
    if clubs.is_empty() {
        return String::new();
    }
    let clubs: Vec<String> = clubs.iter().map(|club| format!("the {club}")).collect();
    format!(
        "Not every spin of {} was measured: what is flown rests on inferred data.",
        listed(&clubs)
    )
}

/// `1 shot`, `7 shots`.
pub(super) fn counted(count: usize, one: &str) -> String {
    format!("{count} {one}{}", if count == 1 { "" } else { "s" })
}

/// `a`, `a and b`, `a, b and c`.
pub(super) fn listed(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Sentences one after the other; empty ones are left out.
pub(super) fn sentences(parts: &[String]) -> String {
    let told: Vec<&str> =
        parts.iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
    told.join(" ")
}

/// A difference's size, which way it goes, and its ends that way round too: `3.3° lower (2.5° to 4.1°)`.
/// `None` until there is an estimate.
pub(super) fn difference(
    interval: &Interval,
    [more, less]: [&str; 2],
    say: impl Fn(f64) -> String,
) -> Option<String> {
    let by = interval.estimate?;
    let way = if by < 0.0 { less } else { more };
    let ends = interval.low.zip(interval.high);
    let ends = ends.map(|(low, high)| if by < 0.0 { (-high, -low) } else { (low, high) });
    let ends = ends.map(|(low, high)| format!(" ({} to {})", say(low), say(high)));
    Some(format!("{} {way}{}", say(by.abs()), ends.unwrap_or_default()))
}

/// `on the target line`, `3.1 m right of the target line`.
pub(super) fn aside(side_m: f64, say: impl Fn(f64) -> String) -> String {
    match say(side_m.abs()) {
        none if none.starts_with("0 ") => String::from("on the target line"),
        by if side_m > 0.0 => format!("{by} right of the target line"),
        by => format!("{by} left of the target line"),
    }
}

/// A verdict as a sentence.
pub(super) fn verdict(word: VerdictWord, candidate: &str, incumbent: &str) -> String {
    match word {
        VerdictWord::Replaces => format!("The {candidate} replaces the {incumbent}."),
        VerdictWord::DoesNotReplace => format!("The {candidate} does not replace the {incumbent}."),
        VerdictWord::Undecided => format!("The verdict on the {candidate} is undecided."),
        VerdictWord::Insufficient => {
            format!("Of the {candidate} there are too few like-for-like shots for a verdict.")
        }
    }
}
