//! The desktop's arrangement: the displays against the panels, and the
//! rectangles against each other.

use super::limits::LEVEL_MM;
use super::{Code, Finding, listed, name, quoted};
use crate::display::Display;
use crate::matching::{DesktopRect, Fault, Matching, desktop_rects, has_places};
use crate::numbers::{DesktopPlace, desktop_places};
use crate::rig::{Rig, Subject, Table};

pub(super) fn findings(
    rig: &Rig,
    displays: &[Display],
    matching: Option<&Matching>,
) -> Vec<Finding> {
    let mut found = Vec::new();
    if let Some(matching) = matching {
        found.extend(matching.faults().iter().map(|&f| fault(rig, displays, f)));
        let extra = matching.extra().iter().map(|&d| extra(&displays[d]));
        found.extend(extra);
        found.extend(primary(rig, displays, matching));
    }
    if matching.is_some() && has_places(displays) {
        found.extend(overlaps(displays));
        found.extend(display_gap(displays));
    } else {
        found.extend(panel_gap(rig));
    }
    found
}

fn size([w, h]: [u32; 2]) -> String {
    format!("{w} x {h}")
}

fn fault(rig: &Rig, displays: &[Display], fault: Fault) -> Finding {
    match fault {
        Fault::Missing { panel } => Finding::error(
            Code::DisplayMissing,
            Subject::whole(Table::Panel(panel)),
            format!(
                "No connected display is left for panel {} with its {} pixels, so that nothing \
                 will be drawn on it. Connect it, switch it on and extend the desktop to it, or \
                 take the panel out of the rig file.",
                quoted(rig, panel),
                size(rig.panels()[panel].pixels),
            ),
        ),
        Fault::Size { panel, display } => wrong_size(rig, panel, &displays[display]),
        Fault::Unfilled {
            display,
            panels: 1,
            first,
            ..
        } => wrong_size(rig, first, &displays[display]),
        Fault::Unfilled {
            display,
            panels,
            first,
            filled_px: [w, h],
        } => Finding::error(
            Code::DisplaySize,
            Subject::panel(first, "pixels"),
            format!(
                "Display {} is {} pixels, but the {panels} panels on it, from {} on, fill {w} x {h} \
                 in the rig file: the driver would stretch the picture or shift parts of it. \
                 Columns that the driver hides behind the bezels belong in `hidden_px`; else \
                 choose the span's own resolution, or correct `pixels`.",
                name(&displays[display]),
                size(displays[display].size_px),
                quoted(rig, first),
            ),
        ),
        Fault::Place {
            panel,
            display,
            by_px: [right, down],
        }
        | Fault::Name {
            panel,
            display,
            by_px: [right, down],
        } => {
            let [x, y] = displays[display].position_px.map(i64::from);
            Finding::error(
                Code::DisplayPosition,
                Subject::panel(panel, "desktop_px"),
                format!(
                    "Display {}, which by its size or name is panel {}, is {} from where the rig \
                     file has that panel, going by the others: the lines will not meet there. Move \
                     it to {}, {} in the system's display settings, or correct `desktop_px`.",
                    name(&displays[display]),
                    quoted(rig, panel),
                    away([right, down]),
                    x - right,
                    y - down,
                ),
            )
        }
        Fault::Resampled { panel, display } => {
            let display = &displays[display];
            Finding::warning(
                Code::DisplayResampled,
                Subject::whole(Table::Panel(panel)),
                format!(
                    "Display {} is driven with {} pixels, but shows {} pixels of the desktop: \
                     the system resamples every picture on it, so that no line is one pixel wide \
                     there. Set its own resolution, and a scale of 100 %, in the system's display \
                     settings, on X11 with `xrandr --output {} --scale 1x1`.",
                    name(display),
                    size(display.resampled_to_px().unwrap_or(display.size_px)),
                    size(display.size_px),
                    display.name,
                ),
            )
        }
        Fault::NothingHidden { seam } => Finding::error(
            Code::HiddenColumnsNotHidden,
            Subject::seam(seam, "hidden_px"),
            format!(
                "The rig file says that the display driver hides columns behind the seams, \
                 {} behind the first such, but the displays adjoin with none between: \
                 everything right of there will be drawn too far right. Join the displays to \
                 one span in the driver's settings, or take `hidden_px` out.",
                rig.seams()[seam].hidden_px,
            ),
        ),
    }
}

fn wrong_size(rig: &Rig, panel: usize, display: &Display) -> Finding {
    let wanted = rig.panels()[panel].pixels;
    let [w, h] = display.size_px;
    let hint = if [h, w] == wanted {
        " It looks as if it were turned: choose its orientation there."
    } else if h == wanted[1] && w < wanted[0] {
        " If the panel is fed through several inputs, connect the others as well."
    } else {
        ""
    };
    Finding::error(
        Code::DisplaySize,
        Subject::panel(panel, "pixels"),
        format!(
            "Display {} is {} pixels, but panel {}, which it would show, is {} in the rig file: \
             the system would stretch or cut the picture, and no line would look straight. \
             Choose the panel's own resolution in the system's display settings, or correct \
             `pixels`, then check again.{hint}",
            name(display),
            size(display.size_px),
            quoted(rig, panel),
            size(wanted),
        ),
    )
}

/// `12 pixels to the right and 40 up`
fn away([right, down]: [i64; 2]) -> String {
    let part = |by: i64, more: &str, less: &str| {
        (by != 0).then(|| format!("{} {}", by.abs(), if by > 0 { more } else { less }))
    };
    let parts: Vec<_> = [
        part(right, "to the right", "to the left"),
        part(down, "down", "up"),
    ]
    .into_iter()
    .flatten()
    .collect();
    format!("{} (in pixels)", listed(&parts))
}

fn extra(display: &Display) -> Finding {
    Finding::warning(
        Code::DisplayExtra,
        Subject::whole(Table::Rig),
        format!(
            "Display {} with its {} pixels belongs to no panel of the rig, so the pattern does \
             not reach it and a window over the whole desktop covers it. Add a [[panel]] for it, \
             or leave it be if it is not part of the rig.",
            name(display),
            size(display.size_px),
        ),
    )
    .about(display)
}

fn primary(rig: &Rig, displays: &[Display], matching: &Matching) -> Option<Finding> {
    let primary = displays.iter().find(|display| display.is_primary)?;
    let facing = rig.seat().view.panel;
    let carriers = matching.carriers(facing);
    let is_primary = |&display: &usize| {
        let display = &displays[display];
        // A mirror of the primary display shows the same.
        display.is_primary || DesktopRect::of(display) == DesktopRect::of(primary)
    };
    if carriers.is_empty() || carriers.iter().any(is_primary) {
        return None;
    }
    Some(
        Finding::warning(
            Code::PrimaryNotFacing,
            Subject::seat("view"),
            format!(
                "The primary display is {}, but the seat faces panel {} on {}: many programs \
                 open on the primary one and count window positions from it. Make {} the primary \
                 display in the system's settings, or correct the seat's `view`.",
                name(primary),
                quoted(rig, facing),
                name(&displays[carriers[0]]),
                name(&displays[carriers[0]]),
            ),
        )
        .about(primary),
    )
}

fn overlaps(displays: &[Display]) -> Vec<Finding> {
    let mut found = Vec::new();
    for (index, display) in displays.iter().enumerate() {
        let rect = DesktopRect::of(display);
        for earlier in &displays[..index] {
            let other = DesktopRect::of(earlier);
            if !rect.overlaps(&other) {
                continue;
            }
            let [w, h] = rect.shared(&other);
            let (one, two) = (name(earlier), name(display));
            let finding = if rect == other {
                Finding::warning(
                    Code::DesktopOverlap,
                    Subject::whole(Table::Rig),
                    format!(
                        "Displays {one} and {two} show the same part of the desktop, so that a \
                         panel may show its neighbour's picture. Extend the desktop instead of \
                         duplicating it, unless one of them only looks on.",
                    ),
                )
            } else {
                Finding::error(
                    Code::DesktopOverlap,
                    Subject::whole(Table::Rig),
                    format!(
                        "Displays {one} and {two} overlap by {w} x {h} pixels, so that both show \
                         that part of the picture. Move them apart in the system's display \
                         settings.",
                    ),
                )
            };
            found.push(finding.about(display));
        }
    }
    found
}

fn display_gap(displays: &[Display]) -> Option<Finding> {
    let rects: Vec<_> = displays.iter().map(DesktopRect::of).collect();
    let [one, other] = torn(&rects)?;
    let gap = gap(&rects[one], &rects[other]);
    let text = format!(
        "Displays {} and {} do not adjoin in the desktop, {gap}: what a picture over both shows \
         there is lost, and the pointer cannot pass. Move them together in the system's display \
         settings.",
        name(&displays[one]),
        name(&displays[other]),
    );
    let subject = Subject::whole(Table::Rig);
    Some(Finding::warning(Code::DesktopGap, subject, text).about(&displays[other]))
}

fn panel_gap(rig: &Rig) -> Option<Finding> {
    let rects = desktop_rects(rig);
    let [one, other] = torn(&rects)?;
    let gap = gap(&rects[one], &rects[other]);
    Some(Finding::warning(
        Code::DesktopGap,
        Subject::panel(other, "desktop_px"),
        format!(
            "Panels {} and {} do not adjoin in the desktop, {gap}: what a picture over both shows \
             there is lost. Move the displays together in the system's display settings and \
             correct `desktop_px`; columns that the driver hides belong in `hidden_px`.",
            quoted(rig, one),
            quoted(rig, other),
        ),
    ))
}

/// The nearest two rectangles of which the second can't be reached from the
/// first one of all over edges that adjoin.
fn torn(rects: &[DesktopRect]) -> Option<[usize; 2]> {
    let mut reached = vec![false; rects.len()];
    let mut next = vec![0];
    while let Some(from) = next.pop() {
        let Some(known) = reached.get_mut(from) else {
            continue;
        };
        if std::mem::replace(known, true) {
            continue;
        }
        let beside = |&to: &usize| {
            let [w, h] = rects[from].shared(&rects[to]);
            w.min(h) >= 0 && w.max(h) > 0
        };
        next.extend((0..rects.len()).filter(beside));
    }
    let pairs = (0..rects.len())
        .filter(|&one| reached[one])
        .flat_map(|one| (0..rects.len()).map(move |other| [one, other]))
        .filter(|&[_, other]| !reached[other]);
    pairs.min_by_key(|&[one, other]| {
        let [w, h] = rects[one].shared(&rects[other]);
        (-w).max(0) + (-h).max(0)
    })
}

fn gap(one: &DesktopRect, other: &DesktopRect) -> String {
    match one.shared(other) {
        [w, h] if w < 0 && h < 0 => format!("with {} columns and {} rows between", -w, -h),
        [w, _] if w < 0 => format!("with {} columns between", -w),
        [_, h] if h < 0 => format!("with {} rows between", -h),
        _ => "but touch at a corner only".to_owned(),
    }
}

/// Panels at whose seam a picture that knows nothing of heights would jump: those
/// that stand elsewhere in the desktop than their height on the desk asks for, told
/// from the facing panel, so that all the advice can be followed at once.
pub(super) fn levels(rig: &Rig) -> Vec<Finding> {
    desktop_places(rig)
        .into_iter()
        .enumerate()
        .filter_map(|(panel, place)| level(rig, panel, place?))
        .collect()
}

fn level(rig: &Rig, panel: usize, place: DesktopPlace) -> Option<Finding> {
    let facing = rig.seat().view.panel;
    let rows = place.top_now_px - place.top_px;
    let off_mm = rows as f64 * rig.panels()[panel].pitch_mm()[1];
    if off_mm.abs() <= LEVEL_MM {
        return None;
    }
    let y = rig.panels()[panel]
        .desktop_px
        .map_or(i64::from(rig.canvas().panels[panel].y), |corner| {
            i64::from(corner[1])
        });
    Some(Finding::warning(
        Code::VerticalMisfit,
        Subject::panel(panel, "desktop_px"),
        format!(
            "In the desktop, panel {} stands {} rows too {} for its height on the desk, told from \
             {}: the pointer and every picture that is simply spread over them is off by {:.0} mm \
             there. In the system's display settings, move it {} so that its top is at {} \
             (now {y}), and write that in `desktop_px`.",
            quoted(rig, panel),
            rows.abs(),
            if rows > 0 { "low" } else { "high" },
            quoted(rig, facing),
            off_mm.abs(),
            if rows > 0 { "up" } else { "down" },
            y - rows,
        ),
    ))
}
