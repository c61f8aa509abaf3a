//! Where a page ended. To clients a cursor is opaque: a place in the order and a check of the
//! question it belongs to, in hexadecimal.

use crate::shot::Sequence;

const DIGITS: usize = 24;

/// A cursor for what comes beyond `end` in answer to `question`.
pub(super) fn write(end: Sequence, question: &str) -> String {
    format!("{:016x}{:08x}", end.get(), crc32c::crc32c(question.as_bytes()))
}

/// Reads a cursor that was given out for `question`; otherwise says what is wrong, in words that
/// follow the parameter's name.
pub(super) fn read(cursor: &str, question: &str) -> Result<Sequence, String> {
    let (end, check) = cursor
        .bytes()
        .all(|byte| byte.is_ascii_hexdigit())
        .then_some(cursor)
        .filter(|cursor| cursor.len() == DIGITS)
        .map(|cursor| cursor.split_at(16))
        .and_then(|(end, check)| {
            let check = u32::from_str_radix(check, 16).ok()?;
            Some((u64::from_str_radix(end, 16).ok()?, check))
        })
        .ok_or("is none that was given out: take it from `next` as it stands")?;
    if check != crc32c::crc32c(question.as_bytes()) {
        return Err(String::from(
            "belongs to another question: ask with the parameters of the first page",
        ));
    }
    Ok(Sequence::new(end))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::*;

    #[test]
    fn a_cursor_comes_back_for_its_own_question_only() {
        let cursor = write(Sequence::new(77), "player\0rowan\0");
        assert_eq!(read(&cursor, "player\0rowan\0"), Ok(Sequence::new(77)));
        assert!(read(&cursor, "player\0robin\0").unwrap_err().contains("another question"));
    }

    #[test]
    fn anything_else_is_no_cursor() {
        for wrong in ["", "7", "+00000000000000000000000", "ééééééééééééé", &"0".repeat(25)]
        {
            assert!(read(wrong, "").unwrap_err().contains("given out"), "{wrong}");
        }
    }
}
