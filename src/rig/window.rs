//! The `[window]` of a rig file: reading it, and what must hold of it.

use toml::Spanned;
use toml::de::DeValue;

use super::document::{Entry, Section};
use super::error::ReadFault;
use super::read::{integer, wrong_type};
use crate::parts::words::{count, quoted};
use crate::parts::{Canvas, Flaw, Parts, Subject, Window};

/// Reads the table. Whether it suits the rig is asked by [`check`].
pub(super) fn read(section: &Section<'_>) -> Result<Window, ReadFault> {
    const PX: &str = "write px = [x, y, width, height] in desktop pixels, told from the facing \
                      panel's top left corner";
    const COLUMNS: &str = "write how many of its equal columns each panel carries, such as \
                           columns = [1, 3, 1]";
    let entry = section.required("px", PX)?;
    let px = whole_numbers(entry, "an array of four whole numbers", PX)?;
    let px = <[i32; 4]>::try_from(px).map_err(|px| {
        ReadFault::new(
            entry.origin.clone(),
            format!("`px` must have four numbers, but has {}: {PX}", px.len()),
        )
    })?;
    let entry = section.required("columns", COLUMNS)?;
    let columns = whole_numbers(entry, "an array of whole numbers", COLUMNS)?;
    let columns = columns.into_iter().map(|n| u32::try_from(n).unwrap_or(0));
    let ahead = match section.get("ahead") {
        Some(entry) => {
            let remedy =
                "write the number of the column that is straight ahead, from 1 at the left";
            let number = whole(entry, &entry.value, "a whole number", remedy)?;
            Some(u32::try_from(number).unwrap_or(0))
        }
        None => None,
    };
    Ok(Window {
        px,
        columns: columns.collect(),
        ahead,
    })
}

fn whole_numbers(entry: &Entry<'_>, expected: &str, remedy: &str) -> Result<Vec<i32>, ReadFault> {
    let DeValue::Array(items) = &entry.value else {
        return Err(wrong_type(entry, &entry.value, expected, remedy));
    };
    let number = |item: &Spanned<DeValue<'_>>| {
        whole(entry, item.get_ref(), expected, remedy).map_err(|fault| ReadFault {
            origin: entry.origin.of_part(item.span()),
            ..fault
        })
    };
    items.iter().map(number).collect()
}

/// A whole number, at its type's end where it is beyond it.
fn whole(
    entry: &Entry<'_>,
    value: &DeValue<'_>,
    expected: &str,
    remedy: &str,
) -> Result<i32, ReadFault> {
    match value {
        DeValue::Integer(number) => {
            let number = integer(number).unwrap_or(i128::MAX);
            let [least, most] = [i32::MIN, i32::MAX].map(i128::from);
            Ok(number.clamp(least, most) as i32)
        }
        other => Err(wrong_type(entry, other, expected, remedy)),
    }
}

/// Checks the window of parts whose canvas is laid out.
pub(super) fn check(parts: &Parts, canvas: &Canvas) -> Result<(), Flaw> {
    let Some(window) = &parts.window else {
        return Ok(());
    };
    let flaw = |key: &'static str, text: String| {
        Err(Flaw {
            subject: Subject::window(key),
            text,
        })
    };
    let most = Window::MAX_PX;
    let [x, y, w, h] = window.px;
    for (name, side) in [("width", w), ("height", h)] {
        if !(1..=most).contains(&side) {
            return flaw(
                "px",
                format!(
                    "the window's {name} is {side}, but must lie between 1 and {most}: \
                     write px = [x, y, width, height] in desktop pixels"
                ),
            );
        }
    }
    for (name, at) in [("x", x), ("y", y)] {
        if !(-most..=most).contains(&at) {
            return flaw(
                "px",
                format!(
                    "the window's {name} is {at}, but must lie between -{most} and {most}: \
                     tell it from the facing panel's top left corner"
                ),
            );
        }
    }
    let (panels, given) = (parts.panels.len(), window.columns.len());
    if given != panels {
        return flaw(
            "columns",
            format!(
                "`columns` has {}, but the rig has {}: say for each panel how many of the window's \
                 columns it carries",
                count(given, "number"),
                count(panels, "panel"),
            ),
        );
    }
    if let Some(without) = window.columns.iter().position(|&n| n == 0) {
        return flaw(
            "columns",
            format!(
                "`columns` gives panel {} no column: every panel carries at least one",
                quoted(&parts.panels[without].name)
            ),
        );
    }
    let all = window.columns.iter().map(|&n| u64::from(n)).sum::<u64>();
    let most = u64::from(Window::MAX_COLUMNS).min(w as u64);
    if all > most {
        return flaw(
            "columns",
            format!("the window has {all} columns, but at most {most} are possible: give fewer"),
        );
    }
    if let Some(ahead) = window.ahead
        && !(1..=all).contains(&u64::from(ahead))
    {
        return flaw(
            "ahead",
            format!(
                "`ahead` is {ahead}, but the window has {all} columns: count them from 1 at the left"
            ),
        );
    }
    let facing = canvas.panels[parts.seat.view.panel];
    let left = i64::from(facing.x) + i64::from(x);
    let top = i64::from(facing.y) + i64::from(y);
    let missed = canvas.panels.iter().position(|lit| {
        let [from, to] = [lit.x, lit.right()].map(i64::from);
        let [above, below] = [lit.y, lit.bottom()].map(i64::from);
        left >= to || left + i64::from(w) <= from || top >= below || top + i64::from(h) <= above
    });
    match missed {
        None => Ok(()),
        Some(panel) => flaw(
            "px",
            format!(
                "the window shows nothing on panel {}: move it, or correct `desktop_px`",
                quoted(&parts.panels[panel].name)
            ),
        ),
    }
}
