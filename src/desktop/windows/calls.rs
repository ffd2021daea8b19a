//! The calls that Windows lends to nobody who writes safe code: which display is fed
//! from which part of the desktop, at which exact rate, and what it is called.
//!
//! This is the one place of the program with `unsafe` code. What it gives is plain data.

use std::mem::size_of;

use windows::Win32::Devices::Display::{
    DISPLAYCONFIG_DEVICE_INFO_GET_ADVANCED_COLOR_INFO, DISPLAYCONFIG_DEVICE_INFO_GET_SOURCE_NAME,
    DISPLAYCONFIG_DEVICE_INFO_GET_TARGET_NAME, DISPLAYCONFIG_DEVICE_INFO_HEADER,
    DISPLAYCONFIG_DEVICE_INFO_TYPE, DISPLAYCONFIG_GET_ADVANCED_COLOR_INFO, DISPLAYCONFIG_MODE_INFO,
    DISPLAYCONFIG_MODE_INFO_TYPE_TARGET, DISPLAYCONFIG_PATH_INFO, DISPLAYCONFIG_RATIONAL,
    DISPLAYCONFIG_SOURCE_DEVICE_NAME, DISPLAYCONFIG_TARGET_DEVICE_NAME,
    DISPLAYCONFIG_VIDEO_SIGNAL_INFO, DisplayConfigGetDeviceInfo, GetDisplayConfigBufferSizes,
    QDC_ONLY_ACTIVE_PATHS, QueryDisplayConfig,
};
use windows::Win32::Foundation::{ERROR_INSUFFICIENT_BUFFER, ERROR_SUCCESS, LUID};

use super::reported::Reported;

/// How often the list may grow between two questions before nobody asks again.
const TRIES: usize = 5;

/// What the system says of each lit display, without what the display says of itself.
/// Empty where it doesn't answer.
pub(super) fn reported() -> Vec<Reported> {
    let Some((paths, modes)) = active() else {
        return Vec::new();
    };
    paths.iter().map(|path| of_path(path, &modes)).collect()
}

type Active = (Vec<DISPLAYCONFIG_PATH_INFO>, Vec<DISPLAYCONFIG_MODE_INFO>);

/// The ways from the desktop to lit displays, and the modes that they name.
fn active() -> Option<Active> {
    for _ in 0..TRIES {
        let [mut path_count, mut mode_count] = [0, 0];
        // SAFETY: both pointers are to live numbers of this function, which the call
        // only writes to.
        let sized = unsafe {
            GetDisplayConfigBufferSizes(QDC_ONLY_ACTIVE_PATHS, &mut path_count, &mut mode_count)
        };
        if sized != ERROR_SUCCESS {
            return None;
        }
        let mut paths = vec![DISPLAYCONFIG_PATH_INFO::default(); path_count as usize];
        let mut modes = vec![DISPLAYCONFIG_MODE_INFO::default(); mode_count as usize];
        // SAFETY: each pointer is to as many initialised items as the count beside it
        // says, the call writes no more of them, and lowers the counts to those that
        // it wrote. No topology is asked for, as these flags demand.
        let asked = unsafe {
            QueryDisplayConfig(
                QDC_ONLY_ACTIVE_PATHS,
                &mut path_count,
                paths.as_mut_ptr(),
                &mut mode_count,
                modes.as_mut_ptr(),
                None,
            )
        };
        if asked == ERROR_SUCCESS {
            paths.truncate(path_count as usize);
            modes.truncate(mode_count as usize);
            return Some((paths, modes));
        }
        // A display came between the two calls.
        if asked != ERROR_INSUFFICIENT_BUFFER {
            return None;
        }
    }
    None
}

fn of_path(path: &DISPLAYCONFIG_PATH_INFO, modes: &[DISPLAYCONFIG_MODE_INFO]) -> Reported {
    let target = &path.targetInfo;
    let source_name = source_name(path.sourceInfo.adapterId, path.sourceInfo.id);
    let (model, device_path) = target_name(target.adapterId, target.id);
    let signal = signal(path, modes);
    Reported {
        source_name,
        model,
        device_path,
        path_rate: ratio(target.refreshRate),
        signal_rate: signal.map_or([0, 0], |signal| ratio(signal.vSyncFreq)),
        signal_px: signal.map_or([0, 0], |signal| {
            [signal.activeSize.cx, signal.activeSize.cy]
        }),
        rotation: target.rotation.0,
        advanced_colour: advanced_colour(target.adapterId, target.id),
    }
}

fn ratio(rate: DISPLAYCONFIG_RATIONAL) -> [u32; 2] {
    [rate.Numerator, rate.Denominator]
}

/// What a display is driven with.
fn signal(
    path: &DISPLAYCONFIG_PATH_INFO,
    modes: &[DISPLAYCONFIG_MODE_INFO],
) -> Option<DISPLAYCONFIG_VIDEO_SIGNAL_INFO> {
    // SAFETY: all members of this union are four bytes of which any bits are a number;
    // the index is the one in use, since the paths were asked for without the flag for
    // virtual modes. It is looked up with a bound.
    let index = unsafe { path.targetInfo.Anonymous.modeInfoIdx };
    let mode = modes.get(usize::try_from(index).ok()?)?;
    if mode.infoType != DISPLAYCONFIG_MODE_INFO_TYPE_TARGET {
        return None;
    }
    // SAFETY: the tag beside the union says that this member is the one in use, and any
    // bits are numbers to it.
    Some(unsafe { mode.Anonymous.targetMode }.targetVideoSignalInfo)
}

/// What a question about a device begins with.
fn header<T>(
    kind: DISPLAYCONFIG_DEVICE_INFO_TYPE,
    adapter: LUID,
    id: u32,
) -> DISPLAYCONFIG_DEVICE_INFO_HEADER {
    DISPLAYCONFIG_DEVICE_INFO_HEADER {
        r#type: kind,
        // They have some hundred bytes.
        size: size_of::<T>() as u32,
        adapterId: adapter,
        id,
    }
}

/// The name by which the desktop knows the part that it feeds to a display.
fn source_name(adapter: LUID, id: u32) -> String {
    let kind = DISPLAYCONFIG_DEVICE_INFO_GET_SOURCE_NAME;
    let mut asked = DISPLAYCONFIG_SOURCE_DEVICE_NAME {
        header: header::<DISPLAYCONFIG_SOURCE_DEVICE_NAME>(kind, adapter, id),
        ..Default::default()
    };
    // SAFETY: the header is the first field of a live structure in C's layout, it says
    // that structure's kind and size, and the call writes within that size.
    let code = unsafe { DisplayConfigGetDeviceInfo((&raw mut asked).cast()) };
    if code == 0 {
        text(&asked.viewGdiDeviceName)
    } else {
        String::new()
    }
}

/// What a display calls itself, and the path by which the system knows the device.
fn target_name(adapter: LUID, id: u32) -> (String, String) {
    let kind = DISPLAYCONFIG_DEVICE_INFO_GET_TARGET_NAME;
    let mut asked = DISPLAYCONFIG_TARGET_DEVICE_NAME {
        header: header::<DISPLAYCONFIG_TARGET_DEVICE_NAME>(kind, adapter, id),
        ..Default::default()
    };
    // SAFETY: as for a source's name, with this structure's kind and size.
    let code = unsafe { DisplayConfigGetDeviceInfo((&raw mut asked).cast()) };
    if code == 0 {
        (
            text(&asked.monitorFriendlyDeviceName),
            text(&asked.monitorDevicePath),
        )
    } else {
        (String::new(), String::new())
    }
}

/// The flags of a display's colours beyond the usual ones.
fn advanced_colour(adapter: LUID, id: u32) -> Option<u32> {
    let kind = DISPLAYCONFIG_DEVICE_INFO_GET_ADVANCED_COLOR_INFO;
    let mut asked = DISPLAYCONFIG_GET_ADVANCED_COLOR_INFO {
        header: header::<DISPLAYCONFIG_GET_ADVANCED_COLOR_INFO>(kind, adapter, id),
        ..Default::default()
    };
    // SAFETY: as for a source's name, with this structure's kind and size.
    let code = unsafe { DisplayConfigGetDeviceInfo((&raw mut asked).cast()) };
    // SAFETY: both members of this union are the same four bytes, and any bits are a
    // number.
    (code == 0).then(|| unsafe { asked.Anonymous.value })
}

/// A text of fixed room, as far as its end.
fn text(wide: &[u16]) -> String {
    let end = wide.iter().position(|&unit| unit == 0);
    String::from_utf16_lossy(&wide[..end.unwrap_or(wide.len())])
}
