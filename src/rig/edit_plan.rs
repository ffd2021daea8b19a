//! Puts a planned rig into a rig file's text: its numbers, the displays' places and the
//! window.

use super::checked::Rig;
use super::document::Document;
use super::edit::{EditError, Splice, added, spliced, with_values_of};
use super::error::Origin;
use super::read::read;
use super::write::window_values;
use crate::parts::Window;

const NAME: &str = "the rig file";

/// The text with all that differs in `rig`: numbers as [`with_values_of`] puts them,
/// displays' places where the text has none, and the window. All other bytes stay.
///
/// # Errors
///
/// Where the text is no rig file of this rig's panels and seams, or has a window that the
/// rig hasn't.
pub fn with_plan_of(text: &str, rig: &Rig) -> Result<String, EditError> {
    let said = read(text, NAME, &[]).map_err(EditError::Unread)?;
    let bare = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mark = &text[..text.len() - bare.len()];
    let mut edited = bare.to_owned();
    if said.panels().len() != rig.panels().len() {
        return Err(EditError::OtherRig);
    }
    let has_places = said.panels().iter().any(|panel| panel.desktop_px.is_some());
    if !has_places {
        let document = parsed(&edited)?;
        let mut splices = Vec::new();
        for (section, panel) in document.panels.iter().zip(rig.panels()) {
            if let Some(place) = panel.desktop_px {
                let line = format!("desktop_px = {place:?}");
                splices.push(added(&edited, section, &line).ok_or(EditError::Unlike)?);
            }
        }
        drop(document);
        edited = spliced(&edited, splices);
    }
    match (rig.window(), said.window()) {
        (Some(window), Some(was)) if window == was => {}
        (Some(window), Some(_)) => edited = with_window(&edited, window)?,
        (Some(window), None) => {
            let ending = if edited.contains("\r\n") {
                "\r\n"
            } else {
                "\n"
            };
            if !edited.ends_with('\n') {
                edited += ending;
            }
            edited += &format!("{ending}[window]{ending}");
            for (key, value) in window_values(window) {
                edited += &format!("{key} = {value}{ending}");
            }
        }
        (None, Some(_)) => return Err(EditError::Unlike),
        (None, None) => {}
    }
    let edited = with_values_of(&edited, rig)?;
    match read(&edited, NAME, &[]) {
        Ok(back) if back.window() == rig.window() => Ok(format!("{mark}{edited}")),
        Ok(_) => Err(EditError::Unlike),
        Err(error) => Err(EditError::Unread(error)),
    }
}

fn parsed(text: &str) -> Result<Document<'_>, EditError> {
    Document::parse(text).map_err(|fault| EditError::Unread(fault.locate(text, NAME, &[])))
}

/// The text with other values of its window's keys.
fn with_window(text: &str, window: &Window) -> Result<String, EditError> {
    let document = parsed(text)?;
    let section = document.window.as_ref().ok_or(EditError::Unlike)?;
    let values = window_values(window);
    let has_ahead = values.iter().any(|(key, _)| *key == "ahead");
    if !has_ahead && section.get("ahead").is_some() {
        return Err(EditError::Unlike);
    }
    let mut splices = Vec::new();
    for (key, value) in values {
        match section.get(key) {
            Some(entry) => match &entry.origin {
                Origin::Text(at) => splices.push(Splice {
                    at: at.clone(),
                    with: value,
                }),
                Origin::Whole | Origin::Setting(_) => return Err(EditError::Unlike),
            },
            None => {
                let line = format!("{key} = {value}");
                splices.push(added(text, section, &line).ok_or(EditError::Unlike)?);
            }
        }
    }
    Ok(spliced(text, splices))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::demos;

    fn planned(text: &str, px: [i32; 4], columns: &[u32]) -> Rig {
        let mut parts = read(text, NAME, &[]).expect("a rig file").into_parts();
        parts.window = Some(Window {
            px,
            columns: columns.to_vec(),
            ahead: None,
        });
        Rig::new(parts).expect("a rig")
    }

    #[test]
    fn a_window_is_added_once_and_then_its_numbers_change_alone() {
        let demo = &demos()[1];
        let rig = planned(demo.text, [-1920, 0, 5760, 643], &[1, 1, 1]);
        let first = with_plan_of(demo.text, &rig).expect("it has room");
        assert!(first.starts_with(demo.text), "{first}");
        assert_eq!(read(&first, NAME, &[]).expect("a rig file"), rig);

        let spaced = first.replace(
            "px = [-1920, 0, 5760, 643]",
            "px = [ -1920,0, 5760,643 ] # mine",
        );
        let rig = planned(&spaced, [-1910, 1, 5740, 640], &[1, 1, 1]);
        let second = with_plan_of(&spaced, &rig).expect("it has its place");
        let expected = spaced.replace("[ -1920,0, 5760,643 ]", "[-1910, 1, 5740, 640]");
        assert_eq!(second, expected);
        assert_eq!(with_plan_of(&second, &rig).as_ref(), Ok(&second));
    }

    #[test]
    fn displays_get_places_where_the_file_has_none() {
        let demo = &demos()[1];
        let bare: String = (demo.text.split_inclusive('\n'))
            .filter(|line| !line.starts_with("desktop_px"))
            .collect();
        let rig = planned(demo.text, [-1920, 0, 5760, 643], &[1, 1, 1]);
        let edited = with_plan_of(&bare, &rig).expect("it has room");
        assert_eq!(read(&edited, NAME, &[]).expect("a rig file"), rig);
    }
}
