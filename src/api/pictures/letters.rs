//! How wide a text will be, without knowing the reader's fonts: shortened or broken so that it fits.

/// Advance widths of the printable ASCII characters in thousandths of the size: those of `DejaVu Sans`
/// 2.37, one of the widest of the usual sans-serif fonts. A narrower font leaves some room.
const ASCII: [u16; 95] = [
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632,
    575, 775, 752, 295, 295, 656, 557, 863, 748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685,
    611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579,
    278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
];

/// By how much bold letters are wider.
pub(super) const BOLD: f64 = 1.13;

/// Letters of a club's name that are shown at most.
const NAME_AT_MOST: usize = 32;

/// The width of a text in its own size.
pub(super) fn ems(text: &str) -> f64 {
    text.chars().map(width).sum()
}

/// The same in bold.
pub(super) fn bold_ems(text: &str) -> f64 {
    BOLD * ems(text)
}

fn width(letter: char) -> f64 {
    let code = u32::from(letter);
    if let Some(known) = code.checked_sub(32).and_then(|at| ASCII.get(at as usize)) {
        return f64::from(*known) / 1_000.0;
    }
    match code {
        // Marks above and below other letters, joiners, signs of direction, variants.
        0x300..=0x36f
        | 0x591..=0x5bd
        | 0x610..=0x61a
        | 0x64b..=0x65f
        | 0x200b..=0x200f
        | 0x202a..=0x202e
        | 0x2060..=0x206f
        | 0xfe00..=0xfe0f => 0.0,
        0xb0 | 0x2013 => 0.5,
        0xa0 | 0xb7 => 0.32,
        0xd7 | 0x2212 => 0.838,
        // Latin letters with marks are as wide as without.
        0xc0..=0x24f => 0.75,
        // Scripts whose letters fill a square, and pictographs.
        0x1100..=0x115f
        | 0x2e80..=0xa4cf
        | 0xac00..=0xd7a3
        | 0xf900..=0xfaff
        | 0xfe30..=0xfe4f
        | 0xff00..=0xff60
        | 0x1f000..=0x3ffff => 1.3,
        0x2026 => 1.0,
        _ => 0.95,
    }
}

/// A text as XML 1.0 can hold it (2.2): what it has no place for is shown as missing.
pub(super) fn clean(text: &str) -> String {
    let holds = |letter: char| {
        matches!(letter, ' '..='\u{7e}' | '\u{a0}'..='\u{d7ff}' | '\u{e000}'..='\u{fffd}')
            || letter >= '\u{10000}'
    };
    text.chars().map(|letter| if holds(letter) { letter } else { '\u{fffd}' }).collect()
}

/// A name as a picture shows it: not too long, without marks that turn letters round, and with a
/// direction of its own (Unicode Standard Annex 9, 2.4), so that it does not turn what stands beside it.
pub(super) fn name(text: &str) -> String {
    let text = clean(text);
    let mut letters = text.chars().filter(|letter| !turns(*letter));
    let mut shown: String = letters.by_ref().take(NAME_AT_MOST).collect();
    if letters.next().is_some() {
        shown.pop();
        shown.push('…');
    }
    isolated(&shown)
}

/// Whether it is one of the marks that embed, override or isolate a direction.
fn turns(letter: char) -> bool {
    matches!(letter, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

fn isolated(text: &str) -> String {
    let from_right = |letter: char| {
        matches!(u32::from(letter),
            0x590..=0x8ff | 0xfb1d..=0xfdff | 0xfe70..=0xfefe | 0x1_0800..=0x1_0fff | 0x1_e800..=0x1_efff)
    };
    if text.chars().any(from_right) { format!("\u{2068}{text}\u{2069}") } else { text.to_owned() }
}

/// A text of at most so many ems: its begin, where it is longer.
pub(super) fn fitted(text: &str, room: f64) -> String {
    if ems(text) <= room {
        return text.to_owned();
    }
    let bare = text.trim_matches(['\u{2068}', '\u{2069}']);
    let (mut kept, mut used) = (String::new(), ems("…"));
    for letter in bare.chars() {
        used += width(letter);
        if used > room {
            break;
        }
        kept.push(letter);
    }
    isolated(&format!("{}…", kept.trim_end()))
}

/// A text in lines of at most so many ems.
pub(super) fn lines(text: &str, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words(text) {
        let longer = if line.is_empty() { word.clone() } else { format!("{line} {word}") };
        if ems(&longer) <= room {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        // A word that is longer than a line is broken where it must be.
        for letter in word.chars() {
            if ems(&line) + width(letter) > room && !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line.push(letter);
        }
    }
    lines.push(line);
    lines
}

/// What stands behind a figure and is not parted from it at the end of a line.
const UNITS: [&str; 7] = ["m", "yd", "ft", "rpm", "m/s", "mph", "%"];

/// The words of a text, a figure together with its unit.
fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split(' ') {
        let unit = word.trim_end_matches(['.', ',', ';', ':', ')']);
        match words.last_mut() {
            Some(figure)
                if UNITS.contains(&unit) && figure.ends_with(|c: char| c.is_ascii_digit()) =>
            {
                figure.push('\u{a0}');
                figure.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// Whatever it says, a text fits into its room, and XML can hold it (XML 1.0, 2.2).
        #[test]
        fn every_text_fits(text in any::<String>(), room in 3.0..40.0) {
            let text = clean(&text);
            let at_most = |shown: &str| ems(shown) <= room + 1e-9;
            prop_assert!(at_most(&fitted(&text, room)));
            prop_assert!(lines(&text, room).iter().all(|line| at_most(line)));
            let held = |c: char| !matches!(c, '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}');
            prop_assert!(text.chars().chain(name(&text).chars()).all(held));
        }
    }

    #[test]
    fn a_figure_stays_with_its_unit() {
        assert_eq!(words("it is 14 m, not 9 yd"), ["it", "is", "14\u{a0}m,", "not", "9\u{a0}yd"]);
    }

    #[test]
    fn texts_are_shortened_and_broken_to_fit() {
        assert_eq!(fitted("5-hybrid", 10.0), "5-hybrid");
        let short = fitted("a club with a very long name", 8.0);
        assert!(short.ends_with('…') && ems(&short) <= 8.0, "{short}");
        let broken = lines("one two three supercalifragilistic four", 7.0);
        assert!(broken.iter().all(|line| ems(line) <= 7.0), "{broken:?}");
        assert_eq!(broken.concat().replace(' ', ""), "onetwothreesupercalifragilisticfour");
    }

    #[test]
    fn a_name_keeps_its_direction_to_itself() {
        assert_eq!(name("5-hybrid"), "5-hybrid");
        assert_eq!(name("היברידי"), "\u{2068}היברידי\u{2069}");
        assert_eq!(name("\u{202e}turned\u{2069}"), "turned");
        let short = fitted(&name("היברידי עם שם ארוך"), 9.0);
        assert!(short.starts_with('\u{2068}') && short.ends_with("…\u{2069}"), "{short:?}");
        assert!(name(&"x".repeat(200)).chars().count() <= NAME_AT_MOST);
    }

    #[test]
    fn what_xml_cannot_hold_is_shown_as_missing() {
        assert_eq!(clean("a\u{0}b\u{ffff}c\n"), "a\u{fffd}b\u{fffd}c\u{fffd}");
        assert_eq!(clean("<é>"), "<é>");
    }
}
