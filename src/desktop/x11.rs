//! Physical sizes and scale factors from an X server.

use std::collections::HashMap;
use std::error::Error;

use x11rb::connection::Connection;
use x11rb::protocol::randr::{ConnectionExt as _, GetCrtcInfoReply, ModeInfo, Rotation};
use x11rb::protocol::xproto::{AtomEnum, ConnectionExt as _};
use x11rb::resource_manager;

use super::hints::{Hint, claimed_size_mm};

/// What the server knows about its lit outputs.
pub(super) fn hints() -> Result<Vec<Hint>, Box<dyn Error>> {
    let (server, screen) = x11rb::connect(None)?;
    let root = server.setup().roots[screen].root;
    let scale = if has_scale(&server, screen)? {
        None
    } else {
        Some(1.0)
    };
    let resources = server.randr_get_screen_resources_current(root)?.reply()?;
    let mut crtcs = HashMap::new();
    for &crtc in &resources.crtcs {
        let info = server.randr_get_crtc_info(crtc, resources.config_timestamp)?;
        crtcs.insert(crtc, info.reply()?);
    }
    let mut hints = Vec::new();
    for &output in &resources.outputs {
        let info = server.randr_get_output_info(output, resources.config_timestamp)?;
        let info = info.reply()?;
        let Some(crtc) = crtcs.get(&info.crtc) else {
            continue;
        };
        let mut size_mm = [info.mm_width, info.mm_height].map(f64::from);
        if is_on_its_side(crtc) {
            size_mm.reverse();
        }
        hints.push(Hint {
            name: String::from_utf8_lossy(&info.name).into_owned(),
            size_mm: claimed_size_mm(size_mm),
            mode_px: mode_px(&resources.modes, crtc),
            scale,
            ..Hint::default()
        });
    }
    Ok(hints)
}

/// Columns and rows that a display is driven with, as it is turned.
pub(crate) fn mode_px(modes: &[ModeInfo], crtc: &GetCrtcInfoReply) -> Option<[u32; 2]> {
    let mode = modes.iter().find(|mode| mode.id == crtc.mode)?;
    let [w, h] = [mode.width, mode.height].map(u32::from);
    let is_on_its_side = is_on_its_side(crtc);
    Some(if is_on_its_side { [h, w] } else { [w, h] })
}

fn is_on_its_side(crtc: &GetCrtcInfoReply) -> bool {
    crtc.rotation
        .intersects(Rotation::ROTATE90 | Rotation::ROTATE270)
}

/// Whether the session sets a scale factor. Where it doesn't, the window
/// library derives one from the claimed sizes, which nothing on the desktop
/// goes by.
fn has_scale(server: &impl Connection, screen: usize) -> Result<bool, Box<dyn Error>> {
    if std::env::var("WINIT_X11_SCALE_FACTOR").is_ok_and(|value| !value.is_empty()) {
        return Ok(true);
    }
    let resources = resource_manager::new_from_default(server)?;
    if resources.get_string("Xft.dpi", "").is_some() {
        return Ok(true);
    }
    let selection = format!("_XSETTINGS_S{screen}");
    let selection = server.intern_atom(false, selection.as_bytes())?.reply()?;
    let owner = server.get_selection_owner(selection.atom)?.reply()?.owner;
    if owner == x11rb::NONE {
        return Ok(false);
    }
    let property = server.intern_atom(false, b"_XSETTINGS_SETTINGS")?.reply()?;
    let settings = server
        .get_property(false, owner, property.atom, AtomEnum::ANY, 0, u32::MAX / 4)?
        .reply()?;
    let key = b"Xft/DPI";
    Ok(settings.value.windows(key.len()).any(|found| found == key))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mode_is_told_as_the_display_is_turned_whatever_area_it_shows() {
        let modes = [(7, [1280, 720]), (8, [1600, 900])].map(|(id, [width, height])| ModeInfo {
            id,
            width,
            height,
            ..ModeInfo::default()
        });
        // Scaled by 1.25, as a server tells it: the area is that of another mode.
        let mut crtc = GetCrtcInfoReply {
            mode: 7,
            width: 1600,
            height: 900,
            rotation: Rotation::ROTATE0,
            ..GetCrtcInfoReply::default()
        };
        assert_eq!(mode_px(&modes, &crtc), Some([1280, 720]));
        crtc.rotation = Rotation::ROTATE270 | Rotation::REFLECT_X;
        assert_eq!(mode_px(&modes, &crtc), Some([720, 1280]));
        crtc.mode = 9;
        assert_eq!(mode_px(&modes, &crtc), None);
    }
}
