//! Words for people: quoting, numbers, and guesses at what was meant.

use std::borrow::Cow;

/// For whoever stands at the rig.
pub(crate) const CAUTION: &str = "Move a heavy panel with two people and within its mount's rated \
     load. Motion base and wheel motors off before you reach across.";

/// Longest piece of the reader's own text that a message repeats.
const MAX_ECHO_CHARS: usize = 80;

/// Whether a character is not seen itself, but can change what else is: control
/// characters, line separators, and those that turn the direction of writing.
fn is_unseen(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}' | '\u{2029}'
        )
        || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// The text with what can't be seen escaped, but for the ends of its lines: for
/// names that stand in what people read.
pub fn visible(text: &str) -> Cow<'_, str> {
    let is_plain = |c: char| c == '\n' || !is_unseen(c);
    if text.chars().all(is_plain) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if is_plain(c) {
            out.push(c);
        } else {
            out.extend(c.escape_unicode());
        }
    }
    Cow::Owned(out)
}

/// The text on one line, clipped, control characters escaped.
pub(crate) fn echo(text: &str) -> String {
    let mut out = String::new();
    for (count, c) in text.chars().enumerate() {
        if count == MAX_ECHO_CHARS {
            out.push('…');
            break;
        }
        if c.is_control() {
            out.extend(c.escape_debug());
        } else if is_unseen(c) {
            out.extend(c.escape_unicode());
        } else {
            out.push(c);
        }
    }
    out
}

/// [`echo`] in double quotes.
pub(crate) fn quoted(text: &str) -> String {
    format!("\"{}\"", echo(text))
}

/// A number short enough for a sentence, without loss.
pub(crate) fn number(value: f64) -> String {
    let size = value.abs();
    if size != 0.0 && size.is_finite() && !(1e-4..1e15).contains(&size) {
        format!("{value:e}")
    } else {
        format!("{value}")
    }
}

/// `1 seam`, `2 seams`
pub(crate) fn count(n: usize, noun: &str) -> String {
    let plural = if n == 1 { "" } else { "s" };
    format!("{n} {noun}{plural}")
}

/// The candidate that `word` most likely stands for.
pub(crate) fn nearest<'c>(
    word: &str,
    candidates: impl IntoIterator<Item = &'c str>,
) -> Option<&'c str> {
    const LIKELY: f64 = 0.8;
    // Longer words are no slip of the pen, and comparing takes time.
    if word.chars().nth(MAX_ECHO_CHARS).is_some() {
        return None;
    }
    let word = word.trim().to_lowercase();
    candidates
        .into_iter()
        .map(|candidate| (likeness(&word, &candidate.to_lowercase()), candidate))
        .filter(|(likeness, _)| *likeness >= LIKELY)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, candidate)| candidate)
}

/// From 0, nothing in common, to 1, equal.
fn likeness(word: &str, candidate: &str) -> f64 {
    let spelt = strsim::jaro_winkler(word, candidate)
        .max(strsim::normalized_damerau_levenshtein(word, candidate));
    // A key without its unit or its first half is a likely slip.
    let part = word.len() >= 3 && candidate.contains(word);
    if part { spelt.max(0.85) } else { spelt }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearest_finds_slips_and_leaves_strangers() {
        let keys = ["curve_radius_mm", "tilt_deg", "roll_deg", "pixels"];
        assert_eq!(nearest("radius", keys), Some("curve_radius_mm"));
        assert_eq!(nearest("tlit_deg", keys), Some("tilt_deg"));
        assert_eq!(nearest("Pixel", keys), Some("pixels"));
        assert_eq!(nearest("colour", keys), None);
        assert_eq!(nearest("", keys), None);
    }

    #[test]
    fn echo_is_one_short_line() {
        assert_eq!(echo("a\nb\u{7}"), "a\\nb\\u{7}");
        assert_eq!(echo(&"é".repeat(200)).chars().count(), MAX_ECHO_CHARS + 1);
    }

    #[test]
    fn what_cannot_be_seen_is_spelt_out() {
        assert_eq!(visible("Fähre 船\n"), "Fähre 船\n");
        assert_eq!(
            visible("a\u{1b}[2Jb\r\u{202e}c"),
            "a\\u{1b}[2Jb\\u{d}\\u{202e}c"
        );
        assert_eq!(echo("a\u{2066}b\u{2028}"), "a\\u{2066}b\\u{2028}");
    }

    #[test]
    fn numbers_stay_short() {
        assert_eq!(number(640.0), "640");
        assert_eq!(number(1e300), "1e300");
        assert_eq!(number(-0.5), "-0.5");
        assert_eq!(number(f64::INFINITY), "inf");
    }
}
