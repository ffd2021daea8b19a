//! The checks that need nothing but the parts themselves.

use super::figures::on_its_side;
use crate::parts::MM_PER_INCH;
use crate::parts::limits::{MAX_NAME_CHARS, MAX_PANELS};
use crate::parts::words::{count, number, quoted};
use crate::parts::{
    Flaw, Measure, Panel, PanelQuantity, Parts, SeamQuantity, Seat, SeatQuantity, Subject, Table,
};

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

fn within(measure: Measure, number: f64) -> Result<(), Flaw> {
    match measure.spec().limit.broken_by(number) {
        None => Ok(()),
        Some(text) => {
            let meant = meant(measure, number).unwrap_or_default();
            Err(flaw(measure.subject(), text + &meant))
        }
    }
}

/// The unit that a length outside its range was likely given in, and what to write.
fn meant(measure: Measure, given: f64) -> Option<String> {
    // Own choices: sizes of displays, and distances that seats have.
    let (unit, factor, plausible, to) = match measure {
        Measure::Seat(SeatQuantity::Distance) => ("metres", 1000.0, 250.0..=1000.0, "mm"),
        Measure::Panel(_, PanelQuantity::Width | PanelQuantity::Height) => {
            ("metres", 1000.0, 100.0..=1000.0, "mm")
        }
        Measure::Panel(_, PanelQuantity::Diagonal) => {
            ("millimetres", 1.0 / MM_PER_INCH, 10.0..=100.0, "inches")
        }
        _ => return None,
    };
    let converted = given * factor;
    plausible.contains(&converted).then(|| {
        let converted = (converted * 10.0).round() / 10.0;
        format!("; {} {unit} are {} {to}", number(given), number(converted))
    })
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
    name(&panel.name, Subject::panel(index, "name"))?;
    for what in PanelQuantity::ALL {
        let Some(number) = what.get(panel) else {
            continue;
        };
        match what {
            PanelQuantity::Radius => curve_radius(index, number, panel.size_mm()[0])?,
            _ => within(Measure::Panel(index, what), number)?,
        }
        if what == PanelQuantity::Views {
            views(index, panel)?;
        }
    }
    Ok(())
}

fn views(index: usize, panel: &Panel) -> Result<(), Flaw> {
    let [columns, _] = panel.pixels;
    if panel.views <= columns {
        return Ok(());
    }
    Err(flaw(
        Subject::panel(index, "views"),
        format!(
            "`views` is {}, but the panel has only {}: give fewer views",
            panel.views,
            count(columns as usize, "column"),
        ),
    ))
}

fn curve_radius(index: usize, radius_mm: f64, width_mm: f64) -> Result<(), Flaw> {
    let least = width_mm / 2.0;
    let most = PanelQuantity::Radius.spec().limit.max();
    if least <= radius_mm && radius_mm <= most {
        return Ok(());
    }
    let found = if radius_mm.is_finite() {
        number(radius_mm)
    } else {
        "not a finite number".to_owned()
    };
    let text = if radius_mm > most {
        let most = number(most);
        format!(
            "`curve_radius_mm` is {found}, but must be at most {most} millimetres: \
             leave the key out for a flat panel"
        )
    } else {
        // Rounded up, so that it is enough.
        let least = (least * 10.0).ceil() / 10.0;
        let meant = radius_meant(radius_mm).unwrap_or_default();
        format!(
            "`curve_radius_mm` is {found}, but must be at least half the panel's width, \
             {least:.1} millimetres: a panel sold as \"1800R\" has 1800{meant}"
        )
    };
    Err(flaw(Subject::panel(index, "curve_radius_mm"), text))
}

/// What a radius that is far too small was likely meant to be.
fn radius_meant(radius: f64) -> Option<String> {
    // Own choices: curved displays are sold with radii of 0.8 to 5 metres, and
    // with diagonals of 20 to 65 inches.
    const SOLD_MM: std::ops::RangeInclusive<f64> = 700.0..=5000.0;
    let units = [("metres", 1000.0), ("centimetres", 10.0)];
    let unit = units
        .into_iter()
        .find(|(_, factor)| SOLD_MM.contains(&(radius * factor)));
    match unit {
        Some((unit, factor)) => {
            let mm = (radius * factor * 10.0).round() / 10.0;
            Some(format!("; {} {unit} are {} mm", number(radius), number(mm)))
        }
        None if (20.0..=65.0).contains(&radius) => {
            Some(", and what looks like the diagonal in inches belongs in `diagonal_in`".to_owned())
        }
        None => None,
    }
}

pub(super) fn seams(parts: &Parts) -> Result<(), Flaw> {
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
        for what in SeamQuantity::ALL {
            if let Some(number) = what.get(seam) {
                within(Measure::Seam(index, what), number)?;
            }
            // What an angle folds the edges by is bounded as a fold is.
            if what == SeamQuantity::Fold {
                folded(index, parts)?;
            }
        }
    }
    Ok(())
}

fn folded(index: usize, parts: &Parts) -> Result<(), Flaw> {
    let fold_deg = parts.fold_rad(index).to_degrees();
    let limit = SeamQuantity::Fold.spec().limit;
    if limit.broken_by(fold_deg).is_none() {
        return Ok(());
    }
    let angle_deg = number(parts.angle_rad(index).to_degrees());
    Err(flaw(
        Subject::seam(index, SeamQuantity::turn_of(&parts.seams[index]).spec().key),
        format!(
            "`angle_deg` is {angle_deg}, which with the panels' curves folds their edges by \
             {} degrees, but that must lie strictly between -180 and 180: \
             measure the fold at the seam and give it as `fold_deg`",
            on_its_side(fold_deg, limit.max().copysign(fold_deg), 1),
        ),
    ))
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
    for what in SeatQuantity::ALL {
        within(Measure::Seat(what), what.get(seat))?;
    }
    Ok(())
}
