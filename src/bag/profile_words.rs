//! What a club does, in a sentence.

use super::{
    metric::{Interval, Metric},
    profile::Profile,
    row::Surface,
    words::{Said, counted},
};
use crate::shot::{Measure, Units};

/// How it carries, launches and spins, and what that rests on.
pub(super) fn profile_words(name: &str, profile: &Profile, units: Units) -> String {
    let mean = |measure| {
        let metric = Metric::Measured(measure);
        let summary = profile.metrics.get(metric)?;
        // One visit has a mean, but nothing yet that bounds it.
        let interval =
            Interval { estimate: summary.interval.estimate.or(summary.mean), ..summary.interval };
        interval.estimate.map(|_| (Said { metric, units }, interval))
    };
    let Some((said, carry)) = mean(Measure::Carry) else {
        return format!("No shot of {name} counts yet.");
    };
    let launch = mean(Measure::LaunchAngle).map(|(said, of)| said.bounded(&of));
    let spin = mean(Measure::SpinRate).map(|(said, of)| said.bounded(&of));
    let flight = match (launch, spin) {
        (None, None) => String::new(),
        (Some(launch), None) => format!(" and launches at {launch}"),
        (None, Some(spin)) => format!(" and spins {spin}"),
        (Some(launch), Some(spin)) => format!(", launches at {launch} and spins {spin}"),
    };
    format!(
        "{name} carries {}{flight}: the mean of {} in {}, hit {}.",
        said.bounded(&carry),
        counted(profile.counted, "shot"),
        counted(profile.sessions, "visit"),
        profile.surface.map_or("anywhere", from)
    )
}

/// What shots were hit from, behind "hit".
pub(super) fn from(surface: Surface) -> &'static str {
    match surface {
        Surface::Teed => "off a tee",
        Surface::Mat => "off the mat",
        Surface::Turf => "from turf",
        Surface::Rough => "from rough",
        Surface::Wet => "from wet lies",
        Surface::Sand => "from sand",
        Surface::Other => "from another lie",
        Surface::Unstated => "from a lie that nobody stated",
    }
}
