//! Which part of the canvas goes onto which screen.
//!
//! A screen is what the system reports, a panel what stands on the desk. One
//! panel may be fed through several screens side by side, and one screen, a
//! span made by the display driver, may carry several panels with the columns
//! hidden between them.

use throughline::rig::{PxRect, Rig};

/// A connected display.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Screen {
    /// What the system calls it.
    pub name: String,
    /// Top-left corner in the virtual desktop, where the system tells it.
    pub at_px: Option<[i32; 2]>,
    /// Columns and rows.
    pub size_px: [u32; 2],
}

/// A piece of one panel's picture on one screen, pixel for pixel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tile {
    /// Index of the panel.
    pub panel: usize,
    /// Index of the screen.
    pub screen: usize,
    /// The piece, in canvas pixels; it lies inside the panel's rectangle.
    pub source: PxRect,
    /// Where its top-left pixel goes, in the screen's pixels.
    pub at_px: [u32; 2],
}

/// Where every panel's picture goes.
///
/// # Guarantees
///
/// Every tile lies inside its screen, and tiles do not overlap.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placement {
    /// The pieces.
    pub tiles: Vec<Tile>,
    /// One sentence for everything that isn't as the rig says.
    pub mismatches: Vec<String>,
}

impl Placement {
    /// Whether a panel's picture is on that screen.
    pub fn is_claimed(&self, screen: usize) -> bool {
        self.tiles.iter().any(|tile| tile.screen == screen)
    }
}

/// Finds the screens of every panel: by their places in the virtual desktop,
/// else by their order from left to right, else as well as it goes.
pub fn place(rig: &Rig, screens: &[Screen]) -> Placement {
    if screens.is_empty() {
        return Placement {
            tiles: Vec::new(),
            mismatches: vec!["no display is connected".to_owned()],
        };
    }
    let order = left_to_right(screens);
    let by_place = by_place(rig, screens);
    if let Some(found) = &by_place
        && found.panels() == rig.panels().len()
    {
        let mismatches = loose_fits(rig, screens, &found.tiles);
        return Placement {
            tiles: found.tiles.clone(),
            mismatches,
        };
    }
    if let Some(tiles) = in_order(rig, screens, &order) {
        let mut mismatches = loose_fits(rig, screens, &tiles);
        if by_place.is_some() {
            mismatches.insert(0, elsewhere(rig, screens, &order));
        }
        return Placement { tiles, mismatches };
    }
    let sure = by_place.map(|found| found.tiles).unwrap_or_default();
    let sure = without_strays(rig, screens, &sure);
    as_well_as_it_goes(rig, screens, &order, sure)
}

/// Leaves out panels that only happen to lie inside a larger screen, while one
/// of their own size shows nothing.
fn without_strays(rig: &Rig, screens: &[Screen], tiles: &[Tile]) -> Vec<Tile> {
    let is_free = |screen: usize| !tiles.iter().any(|tile| tile.screen == screen);
    let is_stray = |tile: &&Tile| {
        let wanted = rig.panels()[tile.panel].pixels;
        let is_whole = [tile.source.w, tile.source.h] == wanted;
        is_whole
            && screens[tile.screen].size_px != wanted
            && (0..screens.len()).any(|index| is_free(index) && screens[index].size_px == wanted)
    };
    tiles
        .iter()
        .filter(|tile| !is_stray(tile))
        .copied()
        .collect()
}

/// The screens from left to right, then from the top; those without a known
/// place by their names, where "10" comes after "9".
fn left_to_right(screens: &[Screen]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..screens.len()).collect();
    order.sort_by_key(|&index| {
        let screen = &screens[index];
        let digits = screen
            .name
            .trim_start_matches(|c: char| !c.is_ascii_digit());
        let number = digits.parse::<u64>().unwrap_or(u64::MAX);
        (screen.at_px, number, screen.name.clone())
    });
    order
}

/// A rectangle in the virtual desktop.
#[derive(Debug, Clone, Copy)]
struct Place {
    x: i64,
    y: i64,
    w: i64,
    h: i64,
}

impl Place {
    fn of(screen: &Screen) -> Option<Place> {
        let [x, y] = screen.at_px?.map(i64::from);
        let [w, h] = screen.size_px.map(i64::from);
        Some(Place { x, y, w, h })
    }

    fn moved(self, [x, y]: [i64; 2]) -> Place {
        Place {
            x: self.x + x,
            y: self.y + y,
            ..self
        }
    }

    fn shared(self, other: Place) -> Option<Place> {
        let (x, y) = (self.x.max(other.x), self.y.max(other.y));
        let w = (self.x + self.w).min(other.x + other.w) - x;
        let h = (self.y + self.h).min(other.y + other.h) - y;
        (w > 0 && h > 0).then_some(Place { x, y, w, h })
    }

    fn area(self) -> i64 {
        self.w * self.h
    }

    fn equals(self, other: Place) -> bool {
        [self.x, self.y, self.w, self.h] == [other.x, other.y, other.w, other.h]
    }
}

struct ByPlace {
    tiles: Vec<Tile>,
}

impl ByPlace {
    fn panels(&self) -> usize {
        let mut panels: Vec<usize> = self.tiles.iter().map(|tile| tile.panel).collect();
        panels.sort_unstable();
        panels.dedup();
        panels.len()
    }
}

/// The shift between the rig's desktop and the system's at which most panels
/// match; `None` where either doesn't tell places.
fn by_place(rig: &Rig, screens: &[Screen]) -> Option<ByPlace> {
    let places: Vec<Place> = screens.iter().map(Place::of).collect::<Option<_>>()?;
    let corners: Vec<[i32; 2]> = rig
        .panels()
        .iter()
        .map(|panel| panel.desktop_px)
        .collect::<Option<_>>()?;
    // As a driver's span shows them, with the hidden columns, and without them.
    let spanned: Vec<Place> = rig
        .canvas()
        .panels
        .iter()
        .map(|r| Place {
            x: r.x.into(),
            y: r.y.into(),
            w: r.w.into(),
            h: r.h.into(),
        })
        .collect();
    let apart: Vec<Place> = spanned
        .iter()
        .zip(&corners)
        .map(|(place, corner)| Place {
            x: corner[0].into(),
            y: corner[1].into(),
            ..*place
        })
        .collect();
    let mut best: Option<([i64; 2], Vec<Tile>)> = None;
    for panels in [&spanned, &apart] {
        let corner = |of: &[Place]| {
            [
                of.iter().map(|p| p.x).min().unwrap_or(0),
                of.iter().map(|p| p.y).min().unwrap_or(0),
            ]
        };
        let (from, to) = (corner(panels), corner(&places));
        let pairs = panels
            .iter()
            .flat_map(|p| places.iter().map(move |s| [s.x - p.x, s.y - p.y]));
        for shift in std::iter::once([to[0] - from[0], to[1] - from[1]]).chain(pairs) {
            let moved: Vec<Place> = panels.iter().map(|p| p.moved(shift)).collect();
            let (score, tiles) = matched(rig, &moved, &places);
            if best.as_ref().is_none_or(|(most, _)| score > *most) {
                best = Some((score, tiles));
            }
        }
    }
    best.map(|(_, tiles)| ByPlace { tiles })
}

/// The tiles of the panels that match at these places, how many panels those
/// are, and how many screens they fill or share out without a rest.
fn matched(rig: &Rig, panels: &[Place], screens: &[Place]) -> ([i64; 2], Vec<Tile>) {
    let mut tiles = Vec::new();
    let mut count = 0;
    let mut tight = 0;
    for (panel, place) in panels.iter().enumerate() {
        let pieces: Vec<(usize, Place)> = screens
            .iter()
            .enumerate()
            .filter_map(|(index, screen)| Some((index, screen.shared(*place)?)))
            .collect();
        let whole =
            |(index, piece): &(usize, Place)| piece.equals(*place) || piece.equals(screens[*index]);
        let covered: i64 = pieces.iter().map(|(_, piece)| piece.area()).sum();
        if covered != place.area() || !pieces.iter().all(whole) {
            continue;
        }
        count += 1;
        let canvas = rig.canvas().panels[panel];
        for (screen, piece) in pieces {
            let on = screens[screen];
            tight += i64::from(piece.equals(on) || piece.h == on.h);
            // All differences are inside a panel or a screen, so they fit.
            tiles.push(Tile {
                panel,
                screen,
                source: PxRect {
                    x: canvas.x + (piece.x - place.x) as u32,
                    y: canvas.y + (piece.y - place.y) as u32,
                    w: piece.w as u32,
                    h: piece.h as u32,
                },
                at_px: [(piece.x - on.x) as u32, (piece.y - on.y) as u32],
            });
        }
    }
    ([count, tight], tiles)
}

/// Reads the screens and the panels from left to right: one to one, several
/// screens to a panel, or several panels, with the columns hidden between
/// them, to a screen.
fn in_order(rig: &Rig, screens: &[Screen], order: &[usize]) -> Option<Vec<Tile>> {
    let canvas = &rig.canvas().panels;
    let hidden = |seam: usize| rig.seams()[seam].hidden_px;
    let mut tiles = Vec::new();
    let mut rest = order;
    let mut panel = 0;
    while panel < canvas.len() {
        let (&screen, after) = rest.split_first()?;
        let [w, h] = screens[screen].size_px;
        let source = canvas[panel];
        if source.h == h && source.w >= w {
            // Screens side by side until the panel's width is used up.
            let mut x = 0;
            while x < source.w {
                let (&screen, after) = rest.split_first()?;
                let [w, h] = screens[screen].size_px;
                if h != source.h || x + w > source.w {
                    return None;
                }
                let source = PxRect {
                    x: source.x + x,
                    w,
                    ..source
                };
                tiles.push(Tile {
                    panel,
                    screen,
                    source,
                    at_px: [0, 0],
                });
                x += w;
                rest = after;
            }
            panel += 1;
        } else {
            let mut x = 0;
            while x < w {
                let source = *canvas.get(panel)?;
                if source.h != h || x + source.w > w {
                    return None;
                }
                tiles.push(Tile {
                    panel,
                    screen,
                    source,
                    at_px: [x, 0],
                });
                x += source.w;
                if x < w {
                    x += rig.seams().get(panel).map(|_| hidden(panel))?;
                }
                panel += 1;
            }
            rest = after;
        }
    }
    Some(tiles)
}

/// Panels that match keep their screens. The others get a free screen of
/// their size, else the next free one, in order; their pictures are cut or
/// stand in the middle.
fn as_well_as_it_goes(
    rig: &Rig,
    screens: &[Screen],
    order: &[usize],
    sure: Vec<Tile>,
) -> Placement {
    let mut tiles = sure;
    let mut mismatches = loose_fits(rig, screens, &tiles);
    let mut free: Vec<usize> = order
        .iter()
        .copied()
        .filter(|screen| !tiles.iter().any(|tile| tile.screen == *screen))
        .collect();
    let mut left: Vec<usize> = (0..rig.panels().len())
        .filter(|panel| !tiles.iter().any(|tile| tile.panel == *panel))
        .collect();
    left.retain(|&panel| {
        let wanted = rig.panels()[panel].pixels;
        let Some(at) = free.iter().position(|&s| screens[s].size_px == wanted) else {
            return true;
        };
        let screen = free.remove(at);
        tiles.push(middle(rig, screens, panel, screen));
        mismatches.push(format!(
            "{} was expected {}, and is shown on {} for its size",
            panel_words(rig, panel),
            expected_at(rig, panel),
            screen_words(&screens[screen]),
        ));
        false
    });
    // Too few screens: those around the facing view are wanted most.
    let facing = rig.seat().view.panel;
    let mut wanted = left.clone();
    wanted.sort_by_key(|panel| panel.abs_diff(facing));
    wanted.truncate(free.len());
    wanted.sort_unstable();
    for (&panel, &screen) in wanted.iter().zip(&free) {
        tiles.push(middle(rig, screens, panel, screen));
        mismatches.push(format!(
            "{} was expected {}, but is shown on {}: cut or in the middle",
            panel_words(rig, panel),
            expected_at(rig, panel),
            screen_words(&screens[screen]),
        ));
    }
    for panel in left.into_iter().filter(|panel| !wanted.contains(panel)) {
        mismatches.push(format!(
            "{} was expected {}, but no display is left for it",
            panel_words(rig, panel),
            expected_at(rig, panel),
        ));
    }
    Placement { tiles, mismatches }
}

/// A panel's picture in the middle of a screen, cut where it is larger.
fn middle(rig: &Rig, screens: &[Screen], panel: usize, screen: usize) -> Tile {
    let canvas = rig.canvas().panels[panel];
    let [w, h] = screens[screen].size_px;
    let (shown_w, shown_h) = (canvas.w.min(w), canvas.h.min(h));
    Tile {
        panel,
        screen,
        source: PxRect {
            x: canvas.x + (canvas.w - shown_w) / 2,
            y: canvas.y + (canvas.h - shown_h) / 2,
            w: shown_w,
            h: shown_h,
        },
        at_px: [(w - shown_w) / 2, (h - shown_h) / 2],
    }
}

/// Screens whose panels, with the columns hidden between them, leave a part
/// of them unused.
fn loose_fits(rig: &Rig, screens: &[Screen], tiles: &[Tile]) -> Vec<String> {
    let mut texts = Vec::new();
    for (index, screen) in screens.iter().enumerate() {
        let on: Vec<&Tile> = tiles.iter().filter(|tile| tile.screen == index).collect();
        let Some(first) = on.first() else {
            continue;
        };
        let right = on.iter().map(|t| t.at_px[0] + t.source.w).max();
        let bottom = on.iter().map(|t| t.at_px[1] + t.source.h).max();
        let left = on.iter().map(|t| t.at_px[0]).min();
        let top = on.iter().map(|t| t.at_px[1]).min();
        let used = [right.zip(left), bottom.zip(top)].map(|ends| ends.map_or(0, |(b, a)| b - a));
        if used != screen.size_px {
            texts.push(format!(
                "{} takes up {} × {} px of {}",
                panel_words(rig, first.panel),
                used[0],
                used[1],
                screen_words(screen),
            ));
        }
    }
    texts
}

/// What to say where the order matches and the places don't.
fn elsewhere(rig: &Rig, screens: &[Screen], order: &[usize]) -> String {
    let found: Vec<String> = order.iter().map(|&s| screen_words(&screens[s])).collect();
    let wanted: Vec<String> = (0..rig.panels().len())
        .map(|panel| format!("{} {}", panel_words(rig, panel), expected_at(rig, panel)))
        .collect();
    format!(
        "the displays stand elsewhere in the virtual desktop than `desktop_px` says, and are \
         matched by size and order: expected {}; found {}",
        wanted.join(", "),
        found.join(", ")
    )
}

fn panel_words(rig: &Rig, panel: usize) -> String {
    let panel = &rig.panels()[panel];
    let [w, h] = panel.pixels;
    format!("panel \"{}\" ({w} × {h} px)", panel.name)
}

fn expected_at(rig: &Rig, panel: usize) -> String {
    match rig.panels()[panel].desktop_px {
        Some([x, y]) => format!("at {x}, {y}"),
        None => format!("as number {} from the left", panel + 1),
    }
}

fn screen_words(screen: &Screen) -> String {
    let [w, h] = screen.size_px;
    let at = match screen.at_px {
        Some([x, y]) => format!(" at {x}, {y}"),
        None => String::new(),
    };
    format!("display \"{}\" ({w} × {h} px{at})", screen.name)
}

#[cfg(test)]
mod tests;
