//! What is wrong with a text that was sent, said so that its sender can mend it.

use thiserror::Error;

/// The most faults told of one text: every member that is known fits, a flood of unknown ones not.
pub const FAULTS_MAX: usize = 100;

/// One thing that is wrong, and the mend.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Where: a JSON pointer (RFC 6901) into the text. A missing member's pointer says where it
    /// should be.
    pub pointer: String,
    /// What is wrong and what to do.
    pub detail: String,
}

/// A text that is not taken.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{kind}")]
pub struct Rejection {
    /// The source that it names, in NFC, if that could be read.
    pub r#source: Option<String>,
    /// The id that it names, in NFC, if that could be read.
    pub id: Option<String>,
    /// What is wrong.
    pub kind: RejectionKind,
}

impl Rejection {
    /// A rejection of a text that names no shot.
    pub(crate) fn nameless(kind: RejectionKind) -> Self {
        Self { source: None, id: None, kind }
    }

    /// Not JSON, or not JSON that has one meaning.
    pub(crate) fn not_json(detail: String) -> Self {
        Self::nameless(RejectionKind::NotJson { detail })
    }
}

/// What is wrong with a text.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum RejectionKind {
    /// Not JSON, or not JSON that has one meaning: a duplicate key, a number beyond a double,
    /// nesting beyond [`DEPTH_MAX`](super::DEPTH_MAX), not UTF-8.
    #[error("not JSON: {detail}")]
    NotJson {
        /// What is wrong, and where.
        detail: String,
    },
    /// Understood but invalid: all faults at once, up to [`FAULTS_MAX`].
    #[error("invalid: {}", told(.0))]
    Invalid(Vec<Fault>),
}

/// All faults in one line, for a log.
fn told(faults: &[Fault]) -> String {
    let lines: Vec<_> =
        faults.iter().map(|fault| format!("{}: {}", fault.pointer, fault.detail)).collect();
    lines.join("; ")
}

/// The faults found so far.
#[derive(Debug, Default)]
pub(crate) struct Faults {
    told: Vec<Fault>,
    untold: usize,
}

impl Faults {
    /// Adds a fault; beyond [`FAULTS_MAX`] it is counted, and its words are never made.
    pub(crate) fn add(&mut self, found: impl FnOnce() -> Fault) {
        if self.told.len() < FAULTS_MAX {
            self.told.push(found());
        } else {
            self.untold += 1;
        }
    }

    /// Adds a fault at a place.
    pub(crate) fn at(&mut self, pointer: &str, detail: impl Into<String>) {
        self.add(|| Fault { pointer: pointer.to_owned(), detail: detail.into() });
    }

    /// How many were found.
    pub(crate) fn count(&self) -> usize {
        self.told.len() + self.untold
    }

    /// Whether none was found.
    pub(crate) fn is_empty(&self) -> bool {
        self.told.is_empty()
    }

    /// All of them.
    pub(crate) fn into_kind(mut self) -> RejectionKind {
        if self.untold > 0 {
            let detail = format!("{} faults more are left out: mend these first", self.untold);
            self.told.push(Fault { pointer: String::new(), detail });
        }
        RejectionKind::Invalid(self.told)
    }
}

/// The pointer of a member of the thing at `parent` (RFC 6901, section 3: `~` and `/` escaped).
pub(crate) fn pointer(parent: &str, member: &str) -> String {
    format!("{parent}/{}", member.replace('~', "~0").replace('/', "~1"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pointers_are_escaped_as_rfc_6901_says() {
        assert_eq!(pointer("/launch", "a/b~c"), "/launch/a~1b~0c");
    }

    #[test]
    fn a_flood_of_faults_is_counted_not_told() {
        let mut faults = Faults::default();
        for number in 0..FAULTS_MAX + 7 {
            faults.at("", number.to_string());
        }
        let RejectionKind::Invalid(told) = faults.into_kind() else { unreachable!() };
        assert_eq!(told.len(), FAULTS_MAX + 1);
        assert!(told[FAULTS_MAX].detail.starts_with("7 faults more"));
    }
}
