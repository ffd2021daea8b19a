//! The keys: one table that is obeyed and shown.
//!
//! All are single keys within reach of one hand; those used most are the
//! largest, or stand alone at the edge of the keyboard, to be found by touch.

use crate::pattern::Layer;

use super::nudge::Act;

/// A key, whatever the keyboard's layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Key {
    /// An arrow.
    Left,
    /// An arrow.
    Right,
    /// An arrow.
    Up,
    /// An arrow.
    Down,
    /// Page up.
    PageUp,
    /// Page down.
    PageDown,
    /// Home.
    Home,
    /// End.
    End,
    /// Tabulator.
    Tab,
    /// The space bar.
    Space,
    /// Enter or return, also on the keypad.
    Enter,
    /// Backspace.
    Backspace,
    /// Delete.
    Delete,
    /// Escape.
    Escape,
    /// A letter, in lower case, or a digit.
    Char(char),
    /// Any other, which stops what moves and does nothing else.
    Other,
}

/// What a key asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wish {
    /// Change the rig or what is seen of it.
    Act(Act),
    /// Choose among the rungs of a ladder.
    Rungs,
    /// Rungs farther apart, or closer.
    Fineness,
    /// Go through the checks of the glass itself, or leave them.
    Walk,
    /// The step before, in a walk.
    Back,
    /// Read lines at the seams.
    Read,
    /// Start what moves, after a caution.
    Move,
    /// Show the marks for photographs, after a caution, or take them away.
    Marks,
    /// Write the rig file.
    Save,
    /// Write the picture.
    Capture,
    /// Show the keys, then the table of errors, then neither.
    Help,
    /// Show or hide the words.
    Words,
    /// Show or hide the complaints.
    Complaints,
    /// Leave.
    Quit,
    /// Take what is offered.
    Accept,
    /// Close what is open.
    Close,
}

/// Some keys and what they do.
#[derive(Debug, Clone, Copy)]
pub struct Binding {
    /// Any of these.
    pub keys: &'static [(Key, Wish)],
    /// How they are called on the glass.
    pub label: &'static str,
    /// What they do, in few words.
    pub text: &'static str,
}

/// Every key.
pub const BINDINGS: [Binding; 25] = [
    Binding {
        keys: &[
            (Key::Up, Wish::Act(Act::Fine(1.0))),
            (Key::Down, Wish::Act(Act::Fine(-1.0))),
        ],
        label: "Up  Down",
        text: "change the chosen value, finely",
    },
    Binding {
        keys: &[
            (Key::PageUp, Wish::Act(Act::Coarse(1.0))),
            (Key::PageDown, Wish::Act(Act::Coarse(-1.0))),
        ],
        label: "Page up  Page down",
        text: "the same in coarse steps",
    },
    Binding {
        keys: &[
            (Key::Left, Wish::Act(Act::Choose(-1))),
            (Key::Right, Wish::Act(Act::Choose(1))),
        ],
        label: "Left  Right",
        text: "choose another value",
    },
    Binding {
        keys: &[
            (Key::Home, Wish::Act(Act::ChoosePlace(-1))),
            (Key::End, Wish::Act(Act::ChoosePlace(1))),
            (Key::Tab, Wish::Act(Act::ChoosePlace(1))),
        ],
        label: "Home  End or Tab",
        text: "go to another panel or seam, or to the eye",
    },
    Binding {
        keys: &[(Key::Space, Wish::Act(Act::Flip))],
        label: "Space",
        text: "flip between as loaded and as nudged",
    },
    Binding {
        keys: &[(Key::Backspace, Wish::Act(Act::Undo))],
        label: "Backspace",
        text: "undo, as far back as you like",
    },
    Binding {
        keys: &[(Key::Char('r'), Wish::Act(Act::Redo))],
        label: "R",
        text: "redo",
    },
    Binding {
        keys: &[(Key::Delete, Wish::Act(Act::ResetOne))],
        label: "Delete",
        text: "this value as loaded",
    },
    Binding {
        keys: &[(Key::Char('a'), Wish::Act(Act::ResetAll))],
        label: "A",
        text: "all values as loaded",
    },
    Binding {
        keys: &[(Key::Char('x'), Wish::Act(Act::Sides))],
        label: "X",
        text: "a panel's size by width and height instead of its diagonal",
    },
    Binding {
        keys: &[(Key::Char('l'), Wish::Rungs)],
        label: "L",
        text: "take the rung that runs straight as the seam's value",
    },
    Binding {
        keys: &[(Key::Char('f'), Wish::Fineness)],
        label: "F",
        text: "coarse rungs or fine ones",
    },
    Binding {
        keys: &[
            (Key::Char('1'), Wish::Act(Act::Toggle(Layer::Grid))),
            (Key::Char('2'), Wish::Act(Act::Toggle(Layer::Diagonals))),
            (Key::Char('3'), Wish::Act(Act::Toggle(Layer::Horizon))),
            (Key::Char('4'), Wish::Act(Act::Toggle(Layer::Ladders))),
            (Key::Char('5'), Wish::Act(Act::Toggle(Layer::Rulers))),
            (Key::Char('6'), Wish::Act(Act::Toggle(Layer::Labels))),
        ],
        label: "1  2  3  4  5  6",
        text: "grid, diagonals, horizon, ladders, rulers, labels on or off",
    },
    Binding {
        keys: &[
            (Key::Char('7'), Wish::Act(Act::Toggle(Layer::Scaling))),
            (Key::Char('8'), Wish::Act(Act::Toggle(Layer::Gauge))),
            (Key::Char('9'), Wish::Act(Act::Toggle(Layer::Tones))),
        ],
        label: "7  8  9",
        text: "pixels 1:1, true sizes, greys and gamma on or off",
    },
    Binding {
        keys: &[(Key::Char('w'), Wish::Walk), (Key::Char('b'), Wish::Back)],
        label: "W  B",
        text: "align step by step: check the glass, read the lines, look at the whole; B goes back",
    },
    Binding {
        keys: &[(Key::Char('g'), Wish::Read)],
        label: "G",
        text: "read line after line at the seams, and let them tell how the rig stands",
    },
    Binding {
        keys: &[(Key::Char('m'), Wish::Move)],
        label: "M",
        text: "sweep bars over the rig, to compare refresh; a caution first, and any key stops them",
    },
    Binding {
        keys: &[(Key::Char('0'), Wish::Marks)],
        label: "0",
        text: "marks for photographs, by which the rig is measured; a caution first",
    },
    Binding {
        keys: &[(Key::Char('s'), Wish::Save)],
        label: "S",
        text: "save into the rig file; the file as it was found is kept beside it",
    },
    Binding {
        keys: &[(Key::Char('c'), Wish::Capture)],
        label: "C",
        text: "write a numbered picture of what is shown",
    },
    Binding {
        keys: &[(Key::Char('o'), Wish::Words)],
        label: "O",
        text: "this box on or off",
    },
    Binding {
        keys: &[(Key::Char('d'), Wish::Complaints)],
        label: "D",
        text: "put complaints away or bring them back; they come back when they change",
    },
    Binding {
        keys: &[(Key::Char('h'), Wish::Help)],
        label: "H",
        text: "keys, then which error makes which break, then the pattern",
    },
    Binding {
        keys: &[(Key::Enter, Wish::Accept), (Key::Escape, Wish::Close)],
        label: "Enter  Esc",
        text: "take what a box offers; close it",
    },
    Binding {
        keys: &[(Key::Char('q'), Wish::Quit)],
        label: "Q",
        text: "quit; nudges that are not saved are offered next time",
    },
];

/// The mouse, told after the keys.
pub const MOUSE: [(&str, &str); 3] = [
    ("Drag up or down", "change the chosen value"),
    ("Wheel", "change it in fine steps"),
    (
        "Hover",
        "pixel, millimetres from the lit edge, and direction",
    ),
];

/// What a key asks for, if anything.
pub fn wish(key: Key) -> Option<Wish> {
    let mut all = BINDINGS.iter().flat_map(|binding| binding.keys);
    all.find(|(known, _)| *known == key).map(|(_, wish)| *wish)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_key_has_two_meanings() {
        let all: Vec<Key> = BINDINGS
            .iter()
            .flat_map(|binding| binding.keys.iter().map(|(key, _)| *key))
            .collect();
        for (index, key) in all.iter().enumerate() {
            assert!(!all[..index].contains(key), "{key:?} is bound twice");
        }
    }

    #[test]
    fn every_layer_has_a_key() {
        for layer in Layer::ALL {
            // What can disturb people asks first.
            let wanted = match layer {
                Layer::Motion => Wish::Move,
                Layer::Marks => Wish::Marks,
                _ => Wish::Act(Act::Toggle(layer)),
            };
            let found = BINDINGS
                .iter()
                .any(|b| b.keys.iter().any(|(_, wish)| *wish == wanted));
            assert!(found, "{layer}");
        }
    }
}
