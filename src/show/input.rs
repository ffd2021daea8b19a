//! The window library's keys as the console's.

use throughline::nudging::Key;
use winit::event::KeyEvent;
use winit::keyboard::{Key as Logical, KeyCode, NamedKey, PhysicalKey};

/// The console's key for a key event.
///
/// Keys with a name go by it, since a display server may number its keys
/// otherwise than the window library takes them to be. The keypad is a pad of its
/// own: it means the same whether it types digits or not. Letters go by what is
/// printed on the key, digits by the row above the letters, whatever that row
/// types.
pub(super) fn key(event: &KeyEvent) -> Key {
    known(event).unwrap_or(Key::Other)
}

fn known(event: &KeyEvent) -> Option<Key> {
    let code = match event.physical_key {
        PhysicalKey::Code(code) => Some(code),
        PhysicalKey::Unidentified(_) => None,
    };
    if let Logical::Named(known) = &event.logical_key
        && let Some(key) = named(*known)
    {
        return Some(key);
    }
    if let Some(key) = code.and_then(keypad) {
        return Some(key);
    }
    match &event.logical_key {
        Logical::Named(_) => None,
        Logical::Character(text) => {
            let mut chars = text.chars().flat_map(char::to_lowercase);
            match (chars.next(), chars.next()) {
                (Some(c), None) if c.is_ascii_alphanumeric() => Some(Key::Char(c)),
                _ => code.and_then(printed),
            }
        }
        _ => code.and_then(printed),
    }
}

fn named(named: NamedKey) -> Option<Key> {
    Some(match named {
        NamedKey::ArrowLeft => Key::Left,
        NamedKey::ArrowRight => Key::Right,
        NamedKey::ArrowUp => Key::Up,
        NamedKey::ArrowDown => Key::Down,
        NamedKey::PageUp => Key::PageUp,
        NamedKey::PageDown => Key::PageDown,
        NamedKey::Home => Key::Home,
        NamedKey::End => Key::End,
        NamedKey::Tab => Key::Tab,
        NamedKey::Space => Key::Space,
        NamedKey::Enter => Key::Enter,
        NamedKey::Backspace => Key::Backspace,
        NamedKey::Delete => Key::Delete,
        NamedKey::Escape => Key::Escape,
        // Where people look for help first.
        NamedKey::F1 => Key::Char('h'),
        _ => return None,
    })
}

fn keypad(code: KeyCode) -> Option<Key> {
    Some(match code {
        KeyCode::Numpad8 | KeyCode::NumpadAdd => Key::Up,
        KeyCode::Numpad2 | KeyCode::NumpadSubtract => Key::Down,
        KeyCode::Numpad4 => Key::Left,
        KeyCode::Numpad6 => Key::Right,
        KeyCode::Numpad9 => Key::PageUp,
        KeyCode::Numpad3 => Key::PageDown,
        KeyCode::Numpad7 => Key::Home,
        KeyCode::Numpad1 => Key::End,
        KeyCode::Numpad5 => Key::Space,
        KeyCode::Numpad0 => Key::Backspace,
        KeyCode::NumpadDecimal => Key::Delete,
        KeyCode::NumpadEnter => Key::Enter,
        _ => return None,
    })
}

/// What a key means on a keyboard whose letters are none of ours.
fn printed(code: KeyCode) -> Option<Key> {
    Some(Key::Char(match code {
        KeyCode::Digit0 => '0',
        KeyCode::Digit1 => '1',
        KeyCode::Digit2 => '2',
        KeyCode::Digit3 => '3',
        KeyCode::Digit4 => '4',
        KeyCode::Digit5 => '5',
        KeyCode::Digit6 => '6',
        KeyCode::Digit7 => '7',
        KeyCode::Digit8 => '8',
        KeyCode::Digit9 => '9',
        KeyCode::KeyA => 'a',
        KeyCode::KeyB => 'b',
        KeyCode::KeyC => 'c',
        KeyCode::KeyD => 'd',
        KeyCode::KeyF => 'f',
        KeyCode::KeyG => 'g',
        KeyCode::KeyH => 'h',
        KeyCode::KeyL => 'l',
        KeyCode::KeyM => 'm',
        KeyCode::KeyO => 'o',
        KeyCode::KeyQ => 'q',
        KeyCode::KeyR => 'r',
        KeyCode::KeyS => 's',
        KeyCode::KeyW => 'w',
        KeyCode::KeyX => 'x',
        _ => return None,
    }))
}
