//! The checks that need nothing but the parts themselves.

use crate::parts::limits::{self, Limit, MAX_NAME_CHARS, MAX_PANELS};
use crate::parts::words::{count, number, quoted};
use crate::parts::{Flaw, Subject, Table};
use crate::parts::{Panel, Parts, Seat, Size, Turn};

/// Checks every value and how many there are of each.
pub(super) fn parts(parts: &Parts) -> Result<(), Flaw> {
    name(&parts.name, Subject::rig("name"))?;
    panel_count(parts.panels.len())?;
    for (index, this) in parts.panels.iter().enumerate() {
        panel(index, this)?;
        if let Some(twin) = parts.panels[..index]
            .iter()
            .position(|p| p.name == this.name)
        {
            let (name, twin) = (quoted(&this.name), twin + 1);
            return Err(flaw(
                Subject::panel(index, "name"),
                format!("panel {twin} is called {name}, too: give each panel a name of its own"),
            ));
        }
    }
    seams(parts)?;
    seat(&parts.seat, &parts.panels)
}

/// Checks that there is a panel and that there are not too many.
pub(super) fn panel_count(count: usize) -> Result<(), Flaw> {
    if count == 0 {
        return Err(flaw(
            Subject::whole(Table::Rig),
            "the rig has no panel: add a [[panel]] table for each, from left to right".to_owned(),
        ));
    }
    if count > MAX_PANELS {
        return Err(flaw(
            Subject::whole(Table::Panel(MAX_PANELS)),
            format!(
                "the rig has {count} panels, but at most {MAX_PANELS} are possible: leave some out"
            ),
        ));
    }
    Ok(())
}

fn flaw(subject: Subject, text: String) -> Flaw {
    Flaw { subject, text }
}

fn within(limit: &Limit, value: f64, table: Table) -> Result<(), Flaw> {
    match limit.broken_by(value) {
        None => Ok(()),
        Some(text) => Err(flaw(
            Subject {
                table,
                key: Some(limit.key),
            },
            text,
        )),
    }
}

fn name(name: &str, subject: Subject) -> Result<(), Flaw> {
    let fault = if name.trim().is_empty() {
        "is empty: give a name"
    } else if name.chars().any(char::is_control) {
        "has a line break or another control character in it: leave it out"
    } else if name.chars().count() > MAX_NAME_CHARS {
        "is longer than 80 characters: shorten it"
    } else {
        return Ok(());
    };
    Err(flaw(subject, format!("`name` {fault}")))
}

fn panel(index: usize, panel: &Panel) -> Result<(), Flaw> {
    let table = Table::Panel(index);
    name(&panel.name, Subject::panel(index, "name"))?;
    for pixels in panel.pixels {
        within(&limits::PIXELS, f64::from(pixels), table)?;
    }
    match panel.size {
        Size::DiagonalIn(diagonal) => within(&limits::DIAGONAL_IN, diagonal, table)?,
        Size::LitMm(size) => {
            for side in size {
                within(&limits::SIZE_MM, side, table)?;
            }
        }
    }
    if let Some(radius) = panel.curve_radius_mm {
        curve_radius(index, radius, panel.size_mm()[0])?;
    }
    within(&limits::VIEWS, f64::from(panel.views), table)?;
    let [columns, _] = panel.pixels;
    if panel.views > columns {
        return Err(flaw(
            Subject::panel(index, "views"),
            format!(
                "`views` is {}, but the panel has only {}: give fewer views",
                panel.views,
                count(columns as usize, "column"),
            ),
        ));
    }
    if let Some(refresh) = panel.refresh_hz {
        within(&limits::REFRESH_HZ, refresh, table)?;
    }
    within(&limits::SCALE, panel.scale, table)?;
    within(&limits::BEZEL_LEFT, panel.bezel_mm.left, table)?;
    within(&limits::BEZEL_RIGHT, panel.bezel_mm.right, table)?;
    within(&limits::BEZEL_TOP, panel.bezel_mm.top, table)?;
    within(&limits::BEZEL_BOTTOM, panel.bezel_mm.bottom, table)?;
    for corner in panel.desktop_px.into_iter().flatten() {
        within(&limits::DESKTOP_PX, f64::from(corner), table)?;
    }
    within(&limits::TILT_DEG, panel.tilt_deg, table)?;
    within(&limits::ROLL_DEG, panel.roll_deg, table)
}

fn curve_radius(index: usize, radius_mm: f64, width_mm: f64) -> Result<(), Flaw> {
    let least = width_mm / 2.0;
    if least <= radius_mm && radius_mm <= limits::MAX_CURVE_RADIUS_MM {
        return Ok(());
    }
    let found = if radius_mm.is_finite() {
        number(radius_mm)
    } else {
        "not a finite number".to_owned()
    };
    let text = if radius_mm > limits::MAX_CURVE_RADIUS_MM {
        let most = number(limits::MAX_CURVE_RADIUS_MM);
        format!(
            "`curve_radius_mm` is {found}, but must be at most {most} millimetres: \
             leave the key out for a flat panel"
        )
    } else {
        format!(
            "`curve_radius_mm` is {found}, but must be at least half the panel's width, \
             {least:.1} millimetres: a panel sold as \"1800R\" has 1800"
        )
    };
    Err(flaw(Subject::panel(index, "curve_radius_mm"), text))
}

fn seams(parts: &Parts) -> Result<(), Flaw> {
    let (panels, seams) = (parts.panels.len(), parts.seams.len());
    if seams + 1 != panels {
        let table = if seams + 1 < panels {
            Table::Panel(seams + 1)
        } else {
            Table::Seam(panels - 1)
        };
        let verb = if panels == 1 { "needs" } else { "need" };
        return Err(flaw(
            Subject::whole(table),
            format!(
                "{} {verb} {}, but there {} {seams}: give one [[seam]] table for each pair of neighbours",
                count(panels, "panel"),
                count(panels - 1, "seam"),
                if seams == 1 { "is" } else { "are" },
            ),
        ));
    }
    for (index, seam) in parts.seams.iter().enumerate() {
        let table = Table::Seam(index);
        match seam.turn {
            Turn::AngleDeg(angle) => within(&limits::ANGLE_DEG, angle, table)?,
            Turn::FoldDeg(fold) => within(&limits::FOLD_DEG, fold, table)?,
        }
        let fold_deg = parts.fold_rad(index).to_degrees();
        if limits::FOLD_DEG.broken_by(fold_deg).is_some() {
            let angle_deg = number(parts.angle_rad(index).to_degrees());
            return Err(flaw(
                Subject::seam(index, seam.turn.key()),
                format!(
                    "`angle_deg` is {angle_deg}, which with the panels' curves folds their edges by \
                     {fold_deg:.1} degrees, but that must lie strictly between -180 and 180: \
                     measure the fold at the seam and give it as `fold_deg`"
                ),
            ));
        }
        within(&limits::GAP_MM, seam.gap_mm, table)?;
        within(&limits::STEP_MM, seam.step_mm, table)?;
        within(&limits::RISE_MM, seam.rise_mm, table)?;
        within(&limits::HIDDEN_PX, f64::from(seam.hidden_px), table)?;
    }
    Ok(())
}

fn seat(seat: &Seat, panels: &[Panel]) -> Result<(), Flaw> {
    let Some(panel) = panels.get(seat.view.panel) else {
        let (panel, have) = (seat.view.panel + 1, count(panels.len(), "panel"));
        return Err(flaw(
            Subject::seat("view"),
            format!("`view` names panel {panel}, but the rig has {have}: name one of them"),
        ));
    };
    if seat.view.view >= panel.views {
        let have = count(panel.views as usize, "view");
        let name = quoted(&panel.name);
        return Err(flaw(
            Subject::seat("view"),
            format!(
                "`view` names view {} of panel {name}, but that panel has {have}: \
                 count its views from 1 at the left",
                u64::from(seat.view.view) + 1,
            ),
        ));
    }
    within(&limits::DISTANCE_MM, seat.distance_mm, Table::Seat)?;
    within(&limits::HEIGHT_MM, seat.height_mm, Table::Seat)?;
    within(&limits::OFFSET_MM, seat.offset_mm, Table::Seat)
}
