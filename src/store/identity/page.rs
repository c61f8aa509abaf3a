//! A run of neighbouring ids of one source.
//!
//! As bytes: whether it has an upper bound, the bound, and per entry how much of the id before it shares, the rest, and
//! the sequence as a difference from the one before. Lengths and differences are variable-length integers.

use bytes::Bytes;
use compact_str::CompactString;

use crate::shot::Sequence;

/// A fuller page is split, and so is one of more than [`MOST_BYTES`]: with the ids of most senders a page stays well under
/// 1 KB, and a page is what a lone new id rewrites.
const MOST_ENTRIES: usize = 32;
/// Bytes of ids and sequences at which a page is split; with room for one more id of any length that a shot may have, no
/// page reaches the 7,600 bytes that sled takes well.
const MOST_BYTES: usize = 3_000;
/// What an entry takes beside its id, at most.
const ENTRY_BYTES: usize = 16;

/// The ids from a lower bound, which is the page's name, up to but without its upper bound.
#[derive(Default)]
pub(super) struct Page {
    upper: Option<CompactString>,
    entries: Vec<(CompactString, u64)>,
    bytes: usize,
    /// Whether the table lacks something of it.
    dirty: bool,
    /// The last frame that changed it.
    changed_at: Sequence,
    used_at: u64,
}

impl Page {
    /// Whether an id that is not below the lower bound belongs here.
    pub(super) fn reaches(&self, id: &str) -> bool {
        self.upper.as_ref().is_none_or(|upper| id < upper.as_str())
    }

    /// The sequence of an id, or the index at which it is to be put.
    pub(super) fn find(&self, id: &str) -> Result<Sequence, usize> {
        if self.entries.last().is_some_and(|(last, _)| last.as_str() < id) {
            return Err(self.entries.len());
        }
        let found = self.entries.binary_search_by(|(held, _)| held.as_str().cmp(id));
        found.map(|at| Sequence::new(self.entries[at].1))
    }

    /// Notes that a frame changes the page; whether that is the first change the table does not know.
    pub(super) fn change(&mut self, sequence: Sequence) -> bool {
        self.changed_at = sequence;
        !std::mem::replace(&mut self.dirty, true)
    }

    /// Puts an id where `find` said; the upper part of the page, and its lower bound, if that was one too many. Ids that
    /// grow leave full pages behind.
    pub(super) fn insert(
        &mut self,
        at: usize,
        id: &str,
        sequence: Sequence,
    ) -> Option<(CompactString, Self)> {
        self.entries.insert(at, (id.into(), sequence.get()));
        self.bytes += id.len() + ENTRY_BYTES;
        if self.entries.len() == 1 || self.bytes <= MOST_BYTES && self.entries.len() <= MOST_ENTRIES
        {
            return None;
        }
        let grows = at + 1 == self.entries.len();
        let middle = if grows { at } else { self.entries.len() / 2 };
        let mut right = Self {
            upper: self.upper.take(),
            dirty: true,
            used_at: self.used_at,
            ..Self::default()
        };
        right.changed_at = sequence;
        right.entries = self.entries.split_off(middle);
        right.bytes = right.entries.iter().map(|(id, _)| id.len() + ENTRY_BYTES).sum();
        self.bytes -= right.bytes;
        let lower = right.entries[0].0.clone();
        self.upper = Some(lower.clone());
        Some((lower, right))
    }

    /// Takes an id out.
    pub(super) fn remove(&mut self, id: &str) {
        if let Ok(at) = self.entries.binary_search_by(|(held, _)| held.as_str().cmp(id)) {
            self.entries.remove(at);
            self.bytes -= id.len() + ENTRY_BYTES;
        }
    }

    /// Notes the look-up that last asked for it.
    pub(super) const fn use_at(&mut self, look_up: u64) {
        self.used_at = look_up;
    }

    /// The look-up that last asked for it.
    pub(super) const fn used_at(&self) -> u64 {
        self.used_at
    }

    /// Whether the table has all of it.
    pub(super) fn may_go(&self, applied: Sequence) -> bool {
        !self.dirty && self.changed_at <= applied
    }

    /// The page as bytes, for the table.
    pub(super) fn take_encoded(&mut self) -> Bytes {
        self.dirty = false;
        let mut out = Vec::with_capacity(self.bytes);
        out.push(u8::from(self.upper.is_some()));
        let upper = self.upper.as_deref().unwrap_or_default();
        put(&mut out, upper.len() as u64);
        out.extend_from_slice(upper.as_bytes());
        let mut before = ("", 0);
        for (id, sequence) in &self.entries {
            let shared = shared(before.0.as_bytes(), id.as_bytes());
            put(&mut out, shared as u64);
            put(&mut out, (id.len() - shared) as u64);
            out.extend_from_slice(&id.as_bytes()[shared..]);
            put(&mut out, zigzag(sequence.wrapping_sub(before.1)));
            before = (id, *sequence);
        }
        out.into()
    }

    /// The page from its bytes; none when they are no page.
    pub(super) fn decode(mut bytes: &[u8]) -> Option<Self> {
        let bounded = take(&mut bytes, 1)?[0] == 1;
        let length = get(&mut bytes)?;
        let upper = CompactString::from_utf8(take(&mut bytes, length)?).ok()?;
        let mut page = Self { upper: bounded.then_some(upper), ..Self::default() };
        let (mut id, mut sequence) = (Vec::new(), 0_u64);
        while !bytes.is_empty() {
            let shared = usize::try_from(get(&mut bytes)?).ok()?;
            if shared > id.len() {
                return None;
            }
            id.truncate(shared);
            let rest = get(&mut bytes)?;
            id.extend_from_slice(take(&mut bytes, rest)?);
            sequence = sequence.wrapping_add(unzigzag(get(&mut bytes)?));
            page.bytes += id.len() + ENTRY_BYTES;
            page.entries.push((CompactString::from_utf8(&id[..]).ok()?, sequence));
        }
        Some(page)
    }
}

fn shared(one: &[u8], other: &[u8]) -> usize {
    one.iter().zip(other).take_while(|(a, b)| a == b).count()
}

/// Small for small differences of either sign.
const fn zigzag(difference: u64) -> u64 {
    let signed = difference.cast_signed();
    ((signed << 1) ^ (signed >> 63)).cast_unsigned()
}

const fn unzigzag(number: u64) -> u64 {
    (number >> 1) ^ (number & 1).wrapping_neg()
}

/// Appends seven bits a byte, the lowest first; the top bit says that more follow.
fn put(out: &mut Vec<u8>, mut number: u64) {
    loop {
        let seven = number.to_le_bytes()[0] & 0x7F;
        number >>= 7;
        if number == 0 {
            out.push(seven);
            return;
        }
        out.push(seven | 0x80);
    }
}

fn get(bytes: &mut &[u8]) -> Option<u64> {
    let mut number = 0;
    for shift in (0..64).step_by(7) {
        let byte = take(bytes, 1)?[0];
        number |= u64::from(byte & 0x7F) << shift;
        if byte < 0x80 {
            return Some(number);
        }
    }
    None
}

fn take<'a>(bytes: &mut &'a [u8], count: u64) -> Option<&'a [u8]> {
    let (taken, rest) = bytes.split_at_checked(usize::try_from(count).ok()?)?;
    *bytes = rest;
    Some(taken)
}
