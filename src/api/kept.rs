//! Answers that cost much to work out, kept under their tags: the same question as of the same sequence
//! has the same bytes.

use std::{
    collections::VecDeque,
    sync::{Mutex, PoisonError},
};

use bytes::Bytes;

use super::tag::Tag;

/// Answers that are kept, the oldest going first: at a few kilobytes each, some megabytes at most.
const MOST: usize = 256;

/// The answers.
#[derive(Debug, Default)]
pub(super) struct Kept(Mutex<VecDeque<(Tag, Bytes)>>);

impl Kept {
    /// The answer under a tag.
    pub(super) fn get(&self, tag: &Tag) -> Option<Bytes> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.iter().find(|(known, _)| known == tag).map(|(_, text)| text.clone())
    }

    /// Keeps an answer.
    pub(super) fn put(&self, tag: Tag, text: Bytes) {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() == MOST {
            kept.pop_front();
        }
        kept.push_back((tag, text));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_newest_are_kept_and_no_more_than_may_be() {
        let kept = Kept::default();
        let tag = |number: usize| Tag::strong(&number.to_le_bytes());
        for number in 0..MOST + 3 {
            kept.put(tag(number), Bytes::from(number.to_string()));
        }
        assert_eq!(kept.get(&tag(2)), None);
        assert_eq!(kept.get(&tag(3)), Some(Bytes::from("3")));
        assert_eq!(kept.get(&tag(MOST + 2)), Some(Bytes::from((MOST + 2).to_string())));
    }
}
