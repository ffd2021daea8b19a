//! What people write in a number's place: decimal commas, units, an `R`.

use std::ops::Range;

/// What stands behind a number that is in the key's unit all the same.
const BEHIND: [&str; 6] = ["mm", "R", "deg", "°", "Hz", "px"];

/// Longer ones are no measure, and too long to repeat.
const MAX_BYTES: usize = 20;

/// What to write instead of a text that is nearly a number, such as `640,5`,
/// `640 mm` or `1500R`; `None` for any other text.
pub(super) fn remedy(text: &str) -> Option<String> {
    let text = text.trim();
    let is_part = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-');
    let end = text.find(|c| !is_part(c)).unwrap_or(text.len());
    let (number, behind) = (&text[..end], text[end..].trim_start());
    let plain = number.replace(',', ".");
    let is_number = plain.parse::<f64>().is_ok() && plain.len() <= MAX_BYTES;
    let is_known = BEHIND.iter().any(|unit| unit.eq_ignore_ascii_case(behind));
    // TOML wants a digit on both sides of the point.
    let digits = plain.trim_start_matches(['+', '-']);
    let is_digit = |c: char| c.is_ascii_digit();
    let is_number = is_number && digits.starts_with(is_digit) && digits.ends_with(is_digit);
    match number.contains(',') {
        true if is_number && (is_known || behind.is_empty()) => Some(with_point(number)),
        false if is_number && is_known => Some(format!("write the number alone: {plain}")),
        _ => None,
    }
}

/// A number with a comma as it should be written. Three digits behind it may be
/// a thousand's.
fn with_point(number: &str) -> String {
    let point = number.replace(',', ".");
    match number.split_once(',') {
        Some((before, behind)) if behind.len() == 3 && before.trim_start_matches('-') != "0" => {
            format!(
                "write decimals with a point, {point}, and thousands without a comma, {before}{behind}"
            )
        }
        _ => format!("write decimals with a point: {point}"),
    }
}

/// The number with a decimal comma at a byte of a TOML text, or with nothing but
/// blanks between it and that byte, and what to write instead. A list's commas
/// are none.
pub(super) fn decimal_comma(text: &str, at: usize) -> Option<(Range<usize>, String)> {
    let start = text.get(..at)?.rfind('\n').map_or(0, |newline| newline + 1);
    let line = text[start..].split('\n').next()?;
    let is_digit = |byte: Option<&u8>| byte.is_some_and(u8::is_ascii_digit);
    let bytes = line.as_bytes();
    let run = |from: usize, step: isize| {
        let mut end = from;
        while is_digit(
            end.checked_add_signed(step)
                .and_then(|next| bytes.get(next)),
        ) {
            end = end.wrapping_add_signed(step);
        }
        end
    };
    let here = at - start;
    let at_error = line.get(here..)?.starts_with(',').then_some(here);
    let before_it = line[..here].rfind(',');
    at_error.into_iter().chain(before_it).find_map(|comma| {
        let (first, last) = (run(comma, -1), run(comma, 1));
        let is_alone = first == comma || last == comma;
        let first = first - usize::from(line[..first].ends_with('-'));
        let before = &line[..first];
        let is_in_list = before.matches('[').count() > before.matches(']').count();
        if is_alone || is_in_list || before.contains('#') || last - first > MAX_BYTES {
            return None;
        }
        let until = line.get(last + 1..here).unwrap_or("");
        let range = start + first..start + last + 1;
        let remedy = match before.split('=').next().map(str::trim) {
            Some("pixels" | "desktop_px" | "size_mm") => {
                "put the two numbers in brackets, such as [1920, 1080], and write decimals with \
                 a point"
                    .to_owned()
            }
            _ => with_point(&line[first..=last]),
        };
        until.trim().is_empty().then_some((range, remedy))
    })
}

/// The line `[panel]` of a file that needs `[[panel]]`, or `[seam]`, where one is
/// the doubled table at a byte of the text; and the table's name.
pub(super) fn single_brackets(text: &str, at: usize) -> Option<(Range<usize>, &'static str)> {
    let table = ["panel", "seam"]
        .into_iter()
        .find(|name| text.get(at..).is_some_and(|rest| rest.starts_with(name)))?;
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let header = line.split('#').next().unwrap_or("").trim();
        let name = header.strip_prefix('[').and_then(|h| h.strip_suffix(']'));
        if name.is_some_and(|name| name.trim() == table) {
            let indent = line.len() - line.trim_start().len();
            return Some((start + indent..start + line.trim_end().len(), table));
        }
        start += line.len();
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_remedy_is_for_what_is_nearly_a_number() {
        let told = |text| remedy(text).unwrap_or_default();
        assert_eq!(told("640,5"), "write decimals with a point: 640.5");
        assert_eq!(told("-3,5 mm"), "write decimals with a point: -3.5");
        assert_eq!(told("1500R"), "write the number alone: 1500");
        assert_eq!(told(" 60.5 hz"), "write the number alone: 60.5");
        assert_eq!(
            told("1,200"),
            "write decimals with a point, 1.200, and thousands without a comma, 1200"
        );
        assert_eq!(told("0,125"), "write decimals with a point: 0.125");
        // Another unit's number is another one.
        for text in [
            "60 cm", "24 in", "1,2,3", "1,", ",5", "640", "", "mm", "€5", "5€",
        ] {
            assert_eq!(told(text), "", "{text}");
        }
    }

    #[test]
    fn a_decimal_comma_is_no_list() {
        let found = |text: &str, until: &str| {
            let at = text.find(until).unwrap();
            decimal_comma(text, at).map(|(range, meant)| (text[range].to_owned(), meant))
        };
        let comma = Some(("7,5".to_owned(), with_point("7,5")));
        assert_eq!(found("a = 1\nb = { c = 7,5, d = 1 }", ", d"), comma);
        assert_eq!(found("b = { c = 1, d = 7,5 }", "}"), comma);
        assert_eq!(found("b = 7,5\n", ",5"), comma);
        let minus = Some(("-7,5".to_owned(), with_point("-7,5")));
        assert_eq!(found("b = -7,5\n", ",5"), minus);
        let long = format!("b = {},5", "7".repeat(400));
        assert_eq!(found(&long, ",5"), None);
        let (place, remedy) = found("pixels = 1920,1080", ",1080").unwrap();
        assert_eq!(place, "1920,1080");
        assert!(remedy.contains("in brackets"), "{remedy}");
        assert_eq!(found("b = [7,5 x]", "x"), None);
        assert_eq!(found("b = 1 # 7,5 x", "x"), None);
        assert_eq!(found("ü = 1, 5 é", "é"), None);
    }
}
