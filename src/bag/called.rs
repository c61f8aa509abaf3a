//! What a player's clubs are called, for whoever reads a picture or a sentence.

use super::player::Player;
use crate::shot::ClubId;

/// The clubs of a player with what they are called: the name that the player gave, with the id where
/// two clubs have the same.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ClubNames(Vec<(ClubId, String)>);

impl ClubNames {
    /// The names as of the player's last sequence.
    #[must_use]
    pub fn of(player: Player<'_>) -> Self {
        let here = || player.clubs.iter().filter(|club| !club.removed);
        let called = |club: &super::NamedClub| {
            let (id, name) = (&club.id, club.document.name.trim());
            let shared = here().filter(|other| other.document.name.trim() == name).count() > 1;
            match (name.is_empty(), shared) {
                (true, _) => id.to_string(),
                (false, true) if name != id.as_str() => format!("{name} ({id})"),
                _ => name.to_owned(),
            }
        };
        Self(here().map(|club| (club.id.clone(), called(club))).collect())
    }

    /// What a club is called; its id where nobody named it.
    #[must_use]
    pub fn get<'a>(&'a self, id: &'a ClubId) -> &'a str {
        self.0.iter().find(|(known, _)| known == id).map_or(id.as_str(), |(_, name)| name)
    }
}
