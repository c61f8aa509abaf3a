//! The play: catalogue, shots in time order at a pace, and what the service makes of them.

use crate::answers::{ClubFlight, Replacements, ShotStatus, Verdict};
use crate::client::{Client, ClientError};
use crate::event::Event;
use crate::expectation;
use crate::flights::Season;
use crate::options::Speed;
use crate::scenario::{
    self, BAG, BAY, HEADWIND_MPH, INCUMBENT, MUST_CARRY_M, PLAYER, Part, VISITS, name_of,
};
use crate::screen::Screen;
use crate::story;
use serde_json::json;
use std::io;
use std::time::Duration;
use tokio::time::{Instant, sleep_until};

/// Most shots in one request where there is no pace to keep.
const BATCH: usize = 50;
/// Requests a second at a pace: often enough that the stream looks alive.
const REQUESTS_PER_SECOND: f64 = 5.0;

/// Why the play stopped.
#[derive(Debug, thiserror::Error)]
pub(crate) enum PlayError {
    /// The service did not take or answer a request.
    #[error(transparent)]
    Client(#[from] ClientError),
    /// Nobody reads what is said.
    #[error("standard output is closed: {0}")]
    Output(#[from] io::Error),
    /// The first shot did not end up with the player.
    #[error("the shot without a player was not assigned: the filter matched {0} shots, not 1")]
    Assignment(u64),
}

/// A season, a service and a screen.
#[derive(Debug)]
pub(crate) struct Play<'a> {
    /// The shots.
    pub(crate) season: &'a Season,
    /// The service.
    pub(crate) client: &'a Client,
    /// Where it is told.
    pub(crate) screen: &'a Screen,
}

impl Play<'_> {
    /// Plays all of it, and gives back where the answers depart from the story.
    pub(crate) async fn run(&self, speed: Speed) -> Result<Vec<String>, PlayError> {
        self.put_catalogue().await?;
        self.screen.show_bar();
        let mut pace = Pace::new(speed);
        let (mut all, mut told): (_, Vec<String>) = (0, Vec::new());
        for (visit, events) in self.season.visits.iter().enumerate() {
            let rest = if visit == 0 { self.sign_in(events).await? } else { events };
            self.send(rest, &mut pace).await?;
            all += events.len();
            let heading = format!(
                "{}: {} shots, {all} of {} in all",
                day(visit),
                events.len(),
                self.season.shots()
            );
            self.screen.say(&format!("\nVisit {}, {heading}", visit + 1))?;
            let standing = story::running(&self.verdicts().await?);
            let news: Vec<_> = standing.iter().filter(|line| !told.contains(line)).collect();
            for line in &news {
                self.screen.say(&format!("  {line}"))?;
            }
            match news.len() {
                0 => self.screen.say("  Every verdict stands as before.")?,
                some if some < standing.len() => {
                    self.screen.say("  The other verdicts stand as before.")?;
                }
                _ => {}
            }
            told = standing;
        }
        self.screen.remove_bar();
        self.close().await
    }

    async fn put_catalogue(&self) -> Result<(), PlayError> {
        self.screen.say("The catalogue: a player, a ball, two devices, the clubs and a bag.")?;
        for (path, body) in scenario::catalogue() {
            self.client.put(&path, &body).await?;
        }
        Ok(())
    }

    /// The first ball comes before anyone has signed in: it names no player and no club, and is
    /// assigned afterwards. Then the bay learns who is there, and fills that in from now on. Gives
    /// back the shots that are left.
    async fn sign_in<'e>(&self, events: &'e [Event]) -> Result<&'e [Event], PlayError> {
        let Some((first, rest)) = events.split_first() else { return Ok(events) };
        let receipt = self.client.post_shot(&first.as_stray()).await?;
        self.screen.sent(1);
        if receipt.status == ShotStatus::Unassigned {
            let assignment = json!({
                "filter": {"source": first.source, "last": 1},
                "set": {"player": first.player, "club": first.club}, "dry_run": false,
            });
            let assigned = self.client.assign(&assignment).await?;
            if assigned.matched != 1 {
                return Err(PlayError::Assignment(assigned.matched));
            }
            self.screen.say("The first ball named no player and no club; it is assigned now.")?;
        }
        self.client.put(&format!("sources/{BAY}/context"), &scenario::bay_context()).await?;
        Ok(rest)
    }

    async fn send(&self, events: &[Event], pace: &mut Pace) -> Result<(), PlayError> {
        let sent: Vec<_> = events.iter().map(Event::as_sent).collect();
        for batch in sent.chunks(pace.batch()) {
            pace.wait(batch.len()).await;
            self.client.post_shots(batch).await?;
            self.screen.sent(batch.len());
        }
        Ok(())
    }

    async fn verdicts(&self) -> Result<Replacements, ClientError> {
        let ids: Vec<_> = scenario::candidates().into_iter().map(|(club, _)| club).collect();
        self.client.replacements(PLAYER, INCUMBENT, &ids).await
    }

    async fn close(&self) -> Result<Vec<String>, PlayError> {
        let answer = self.verdicts().await?;
        let flights = self.flights(&answer).await?;
        let ladder = self.client.ladder(PLAYER, BAG).await?;
        self.screen.say(&format!("\nWho can take the {}'s place?", name_of(INCUMBENT)))?;
        for candidate in &answer.candidates {
            self.screen.say("")?;
            for line in story::closing(candidate, &answer.incumbent) {
                self.screen.say(&line)?;
            }
            let judged = candidate.verdict != Verdict::Insufficient;
            if judged && part_of(&candidate.club) == Some(Part::Low) {
                let line = story::weak_strikes(self.season, &candidate.club, &answer.incumbent);
                self.screen.say(&line)?;
            }
        }
        self.screen.say("")?;
        for line in story::into_the_wind(&flights) {
            self.screen.say(&line)?;
        }
        self.screen.say("\nThe ladder")?;
        for line in story::inversions(&ladder, &answer.incumbent) {
            self.screen.say(&line)?;
        }
        self.screen.say(&format!("\n{}", story::CAUTION))?;
        let departures = expectation::departures(&answer);
        for line in &departures {
            self.screen.say(&format!("Not the story that was told: {line}"))?;
        }
        Ok(departures)
    }

    /// The incumbent and each candidate, flown into the wind.
    async fn flights(&self, answer: &Replacements) -> Result<Vec<ClubFlight>, ClientError> {
        let candidates = answer.candidates.iter().map(|candidate| &candidate.club);
        let mut flights = Vec::new();
        for club in std::iter::once(&answer.incumbent).chain(candidates) {
            flights.push(self.client.flight_into_wind(PLAYER, club, HEADWIND_MPH).await?);
        }
        Ok(flights)
    }
}

fn part_of(club: &str) -> Option<Part> {
    scenario::candidates().into_iter().find(|&(id, _)| id == club).map(|(_, part)| part)
}

/// The day of a visit in words, such as `17 January`.
fn day(visit: usize) -> String {
    let (month, day, _) = VISITS[visit];
    let date = jiff::civil::date(2026, month, day);
    date.strftime("%-d %B").to_string()
}

/// Places of the page that show the season.
#[must_use]
pub(crate) fn to_see(url: &str) -> [String; 2] {
    [
        format!("{url}/#/players/{PLAYER}"),
        format!("{url}/#/players/{PLAYER}/head-to-head?incumbent={INCUMBENT}&candidate=4u"),
    ]
}

/// Ready-to-paste questions for a service that holds the season.
#[must_use]
pub(crate) fn to_try(url: &str) -> Vec<String> {
    let player = format!("{url}/v1/players/{PLAYER}");
    let place = format!("{player}/replacements?incumbent={INCUMBENT}");
    vec![
        format!("curl -s '{place}' | jq '.candidates[] | [.club, .verdict, .outlook.words]' -c"),
        format!("curl -s '{place}&candidate=3u&must_carry_m={MUST_CARRY_M}' | jq '.candidates[0]'"),
        format!("curl -s '{player}/comparisons?incumbent={INCUMBENT}&candidate=4u' | jq ."),
        format!("curl -s '{player}/clubs/4u/profile?lie=mat' | jq .metrics.carry_m"),
        format!(
            "curl -s '{player}/clubs/4u/flight?wind_speed_mph={HEADWIND_MPH}&wind_from_deg=0' \
             | jq '.asked.typical, .calibration' -c"
        ),
        format!(
            "curl -s '{player}/ladder?bag={BAG}' | jq '.rungs[] | [.club, .metrics.carry_m.centre]' -c"
        ),
        format!(
            "curl -s '{url}/v1/shots?player={PLAYER}&flag=mishit&limit=5' | jq '.items[].event' -c"
        ),
    ]
}

/// Keeps the shots at their pace.
struct Pace {
    speed: Speed,
    next: Instant,
}

impl Pace {
    fn new(speed: Speed) -> Self {
        Self { speed, next: Instant::now() }
    }

    /// How many shots go into one request.
    fn batch(&self) -> usize {
        match self.speed {
            Speed::Max => BATCH,
            Speed::PerSecond(rate) => (1..BATCH)
                .find(|&shots| seconds(shots, rate) * REQUESTS_PER_SECOND >= 1.0)
                .unwrap_or(BATCH),
        }
    }

    /// Waits until so many more shots are due.
    async fn wait(&mut self, shots: usize) {
        if let Speed::PerSecond(rate) = self.speed {
            sleep_until(self.next).await;
            self.next += Duration::from_secs_f64(seconds(shots, rate));
        }
    }
}

/// How long so many shots of one request take at a rate a second.
fn seconds(shots: usize, rate: f64) -> f64 {
    f64::from(u32::try_from(shots).unwrap_or(u32::MAX)) / rate
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_batch_is_a_fifth_of_a_second_of_shots_within_one_and_fifty() {
        let batch = |rate| Pace::new(Speed::PerSecond(rate)).batch();
        assert_eq!([0.1, 5.0, 25.0, 26.0, 1000.0].map(batch), [1, 1, 5, 6, BATCH]);
        assert_eq!(Pace::new(Speed::Max).batch(), BATCH);
    }

    #[tokio::test(start_paused = true)]
    async fn shots_are_due_at_their_rate() {
        let mut pace = Pace::new(Speed::PerSecond(10.0));
        let start = pace.next;
        pace.wait(5).await;
        pace.wait(5).await;
        pace.wait(1).await;
        assert_eq!(pace.next - start, Duration::from_millis(1100));
        assert!(Instant::now() - start >= Duration::from_secs(1));
    }

    #[test]
    fn a_visit_is_named_by_its_day() {
        assert_eq!(day(2), "17 January");
    }

    /// Whether a path with ids is one of a path with braces.
    fn is_of(path: &str, pattern: &str) -> bool {
        let (path, pattern) = (path.split('/'), pattern.split('/'));
        path.clone().count() == pattern.clone().count()
            && path.zip(pattern).all(|(part, named)| named.starts_with('{') || part == named)
    }

    #[test]
    fn every_line_to_try_asks_what_the_published_description_offers() {
        let spec = concat!(env!("CARGO_MANIFEST_DIR"), "/../api-spec/openapi.json");
        let spec: serde_json::Value =
            serde_json::from_str(&std::fs::read_to_string(spec).unwrap()).unwrap();
        for line in to_try("http://127.0.0.1:1") {
            let (_, asked) = line.split_once("http://127.0.0.1:1").unwrap();
            let (asked, _) = asked.split_once('\'').unwrap();
            let (path, query) = asked.split_once('?').unwrap_or((asked, ""));
            let paths = spec["paths"].as_object().unwrap();
            let (_, resource) = paths.iter().find(|(pattern, _)| is_of(path, pattern)).unwrap();
            let known = resource["get"]["parameters"].as_array().unwrap();
            for pair in query.split('&').filter(|pair| !pair.is_empty()) {
                let name = pair.split('=').next().unwrap();
                assert!(known.iter().any(|known| known["name"] == name), "{name} in {line}");
            }
        }
    }
}
