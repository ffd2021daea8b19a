//! Nudging a rig: which value is chosen, how it was changed, and the way back.

use crate::parts::MM_PER_INCH;
use crate::pattern::{Layer, Layers};
use crate::rig::{Flaw, Measure, PanelQuantity, Parts, Rig, SeamQuantity, SeatQuantity, Table};

/// Every value that can be nudged, from the left panel to the right one, the seat
/// last.
pub fn values(parts: &Parts) -> Vec<Measure> {
    const OF_PANEL: [PanelQuantity; 6] = [
        PanelQuantity::Roll,
        PanelQuantity::Tilt,
        PanelQuantity::Diagonal,
        PanelQuantity::Width,
        PanelQuantity::Height,
        PanelQuantity::Radius,
    ];
    let panels = (0..parts.panels.len()).flat_map(|index| {
        let panel = OF_PANEL.map(|what| Measure::Panel(index, what));
        let seam = SeamQuantity::ALL.map(|what| Measure::Seam(index, what));
        panel.into_iter().chain(seam)
    });
    panels
        .chain(SeatQuantity::ALL.map(Measure::Seat))
        .filter(|value| value.get(parts).is_some())
        .collect()
}

/// The number of a value that the rig has, or would have if it were told by it.
fn number(value: Measure, rig: &Rig) -> f64 {
    let told_otherwise = || {
        let Measure::Panel(index, what) = value else {
            return None;
        };
        let [width, height] = rig.panels().get(index)?.size_mm();
        match what {
            PanelQuantity::Width => Some(width),
            PanelQuantity::Height => Some(height),
            PanelQuantity::Diagonal => Some(width.hypot(height) / MM_PER_INCH),
            _ => None,
        }
    };
    let said = value.get(rig.parts());
    said.or_else(told_otherwise).unwrap_or_default()
}

/// What a person can do to the rig.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Act {
    /// The value this many further on.
    Choose(isize),
    /// The first value of the place this many further on.
    ChoosePlace(isize),
    /// This many fine steps.
    Fine(f64),
    /// This many coarse steps.
    Coarse(f64),
    /// As it was before the last change.
    Undo,
    /// As it was before the last undoing.
    Redo,
    /// The chosen value as it was loaded.
    ResetOne,
    /// Every value as it was loaded.
    ResetAll,
    /// The chosen panel's size by its width and its height instead of its diagonal.
    Sides,
    /// Between as loaded and as nudged.
    Flip,
    /// A layer on or off.
    Toggle(Layer),
}

/// What an act did.
#[derive(Debug, Clone, PartialEq)]
pub enum Effect {
    /// Nothing to see.
    None,
    /// Other words, the same picture.
    Words,
    /// Another picture.
    Picture,
    /// The change would have made no rig.
    Refused(Flaw),
}

/// Numbers that change together: what to put to have them as before, and as after.
#[derive(Debug, Clone, Default, PartialEq)]
struct Edit {
    before: Vec<(Measure, f64)>,
    after: Vec<(Measure, f64)>,
}

impl Edit {
    /// Joins a later change.
    fn join(&mut self, later: Edit) {
        for (value, number) in later.before {
            // What this change has made wasn't there before.
            if !self.after.iter().any(|(known, _)| *known == value) {
                self.before.push((value, number));
            }
        }
        for (value, number) in later.after {
            self.after.retain(|(known, _)| *known != value);
            self.after.push((value, number));
        }
    }
}

/// The state of nudging.
///
/// # Guarantees
///
/// The rig as nudged is always a checked one, and differs from the rig as
/// loaded in its [`values`] only.
#[derive(Debug, Clone)]
pub struct Nudging {
    loaded: Rig,
    /// What the file says where it was saved since; as loaded until then.
    saved: Option<Rig>,
    now: Rig,
    values: Vec<Measure>,
    chosen: usize,
    done: Vec<Edit>,
    undone: Vec<Edit>,
    flipped: bool,
    /// What the last change of `done` is still added to by.
    going_on: Option<GoingOn>,
    layers: Layers,
}

/// A movement whose changes count as one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum GoingOn {
    /// The mouse is dragged.
    Drag,
    /// A key is held down.
    Hold,
}

impl Nudging {
    /// Nothing changed yet; the first seam is chosen, or else the eye.
    pub fn new(rig: Rig, layers: Layers) -> Nudging {
        let values = values(rig.parts());
        let first = |table: Table| values.iter().position(|value| value.table() == table);
        let chosen = first(Table::Seam(0))
            .or_else(|| first(Table::Seat))
            .unwrap_or(0);
        Nudging {
            loaded: rig.clone(),
            saved: None,
            now: rig,
            values,
            chosen,
            done: Vec::new(),
            undone: Vec::new(),
            flipped: false,
            going_on: None,
            layers,
        }
    }

    /// Chooses a value, where the rig has it.
    pub fn choose(&mut self, value: Measure) {
        let at = self.values.iter().position(|known| *known == value);
        self.chosen = at.unwrap_or(self.chosen);
    }

    /// The rig as it was loaded.
    pub fn loaded(&self) -> &Rig {
        &self.loaded
    }

    /// The rig as nudged.
    pub fn now(&self) -> &Rig {
        &self.now
    }

    /// The rig whose pattern is to be seen.
    pub fn shown(&self) -> &Rig {
        if self.flipped {
            &self.loaded
        } else {
            &self.now
        }
    }

    /// Whether the rig as loaded is shown for comparison.
    pub fn is_flipped(&self) -> bool {
        self.flipped
    }

    /// The layers to be seen.
    pub fn layers(&self) -> Layers {
        self.layers
    }

    /// The chosen value.
    pub fn chosen(&self) -> Measure {
        self.values[self.chosen]
    }

    /// The chosen value's number, and how far it is from the loaded one.
    pub fn number(&self) -> [f64; 2] {
        let [now, loaded] = [&self.now, &self.loaded].map(|rig| number(self.chosen(), rig));
        [now, now - loaded]
    }

    /// The values that differ from the loaded ones.
    pub fn nudged(&self) -> Vec<(Measure, f64)> {
        self.differing(&self.loaded)
    }

    /// The rig file says what the rig says now.
    pub fn note_saved(&mut self) {
        self.saved = Some(self.now.clone());
    }

    /// Whether the file was saved since it was loaded.
    pub fn has_saved(&self) -> bool {
        self.saved.is_some()
    }

    /// The values that differ from the file's.
    pub fn unsaved(&self) -> Vec<(Measure, f64)> {
        self.differing(self.filed())
    }

    /// How far the chosen value is from the file's.
    pub fn unsaved_change(&self) -> f64 {
        let value = self.chosen();
        number(value, &self.now) - number(value, self.filed())
    }

    fn filed(&self) -> &Rig {
        self.saved.as_ref().unwrap_or(&self.loaded)
    }

    fn differing(&self, from: &Rig) -> Vec<(Measure, f64)> {
        let differing = self.values.iter().filter_map(|&value| {
            let [now, from] = [&self.now, from].map(|rig| value.get(rig.parts()));
            now.filter(|_| now != from).map(|now| (value, now))
        });
        differing.collect()
    }

    /// What to put to have a value as it was loaded.
    fn as_loaded(&self, value: Measure) -> Vec<(Measure, f64)> {
        let loaded = self.loaded.parts();
        let all = match value.get(loaded) {
            Some(_) => vec![value],
            None => value.excluded(loaded),
        };
        let numbers = all.iter().map(|value| Some((*value, value.get(loaded)?)));
        numbers.flatten().collect()
    }

    /// Does one thing.
    pub fn act(&mut self, act: Act) -> Effect {
        match act {
            Act::Choose(by) => {
                self.chosen = around(self.chosen, by, self.values.len());
                Effect::Words
            }
            Act::ChoosePlace(by) => self.choose_place(by),
            Act::Fine(count) => self.step(count, 0),
            Act::Coarse(count) => self.step(count, 1),
            Act::Undo => self.undo(),
            Act::Redo => self.redo(),
            Act::ResetOne => self.put(&self.as_loaded(self.chosen())),
            Act::ResetAll => {
                let nudged = self.nudged().into_iter();
                let all: Vec<(Measure, f64)> = nudged
                    .flat_map(|(value, _)| self.as_loaded(value))
                    .collect();
                self.put(&all)
            }
            Act::Sides => {
                let Measure::Panel(index, PanelQuantity::Diagonal) = self.chosen() else {
                    return Effect::None;
                };
                let width = Measure::Panel(index, PanelQuantity::Width);
                self.put(&[(width, hundredths(number(width, &self.now)))])
            }
            Act::Flip => {
                self.flipped = !self.flipped;
                Effect::Picture
            }
            Act::Toggle(layer) => {
                self.layers = if self.layers.has(layer) {
                    self.layers.without(layer)
                } else {
                    self.layers.with(layer)
                };
                Effect::Picture
            }
        }
    }

    /// Sets the chosen value, as when a rung of a ladder names it.
    pub fn set(&mut self, number: f64) -> Effect {
        self.put(&[(self.chosen(), number)])
    }

    /// Sets several values in one change, as when a journal is taken up.
    pub fn put(&mut self, numbers: &[(Measure, f64)]) -> Effect {
        let mut parts = self.now.parts().clone();
        let mut edit = Edit::default();
        for &(value, number) in numbers {
            let replaced = value.excluded(&parts);
            let told = if replaced.is_empty() {
                vec![value]
            } else {
                replaced.clone()
            };
            let before = numbers_of(&told, &parts);
            if before.is_empty() {
                continue;
            }
            value.put(&mut parts, number);
            let now = if replaced.is_empty() {
                vec![value]
            } else {
                replaced[0].excluded(&parts)
            };
            if now.len() > 1 {
                // A side that comes of a diagonal is none that was measured so closely.
                for side in now.iter().filter(|side| **side != value) {
                    let number = side.get(&parts).unwrap_or_default();
                    side.put(&mut parts, hundredths(number));
                }
            }
            // Whole numbers round what is put.
            let after = numbers_of(&now, &parts);
            if before != after {
                edit.join(Edit { before, after });
            }
        }
        // A change while the loaded rig is seen would be made blindly.
        let was_flipped = std::mem::take(&mut self.flipped);
        if edit.after.is_empty() {
            return if was_flipped {
                Effect::Picture
            } else {
                Effect::None
            };
        }
        match Rig::new(parts) {
            Err(flaw) => Effect::Refused(flaw),
            Ok(rig) => {
                self.now = rig;
                self.list();
                self.note(edit);
                Effect::Picture
            }
        }
    }

    /// From here on, changes count as one until [`end_drag`](Nudging::end_drag).
    pub fn begin_drag(&mut self) {
        self.begin(GoingOn::Drag);
    }

    /// The drag is over.
    pub fn end_drag(&mut self) {
        self.end();
    }

    /// From here on, changes count as one until [`end_hold`](Nudging::end_hold); in
    /// a drag they count to that.
    pub fn begin_hold(&mut self) {
        if self.going_on != Some(GoingOn::Drag) {
            self.begin(GoingOn::Hold);
        }
    }

    /// The key is held no longer. A drag goes on.
    pub fn end_hold(&mut self) {
        if self.going_on == Some(GoingOn::Hold) {
            self.end();
        }
    }

    fn begin(&mut self, what: GoingOn) {
        self.end();
        self.going_on = Some(what);
        // An empty edit that the changes join.
        self.done.push(Edit::default());
    }

    fn end(&mut self) {
        self.going_on = None;
        self.done.pop_if(|edit| edit.after.is_empty());
    }

    fn note(&mut self, edit: Edit) {
        self.undone.clear();
        match self.done.last_mut() {
            Some(going_on) if self.going_on.is_some() => going_on.join(edit),
            _ => self.done.push(edit),
        }
    }

    /// Lists the values anew: a size may be told by others than before. What was chosen
    /// stays so, or else what is told in its place.
    fn list(&mut self) {
        let chosen = self.chosen();
        let told = match chosen.get(self.now.parts()) {
            Some(_) => chosen,
            None => *chosen.excluded(self.now.parts()).first().unwrap_or(&chosen),
        };
        self.values = values(self.now.parts());
        self.choose(told);
    }

    /// So many of the chosen value's steps: the fine one, or the coarse one.
    fn step(&mut self, count: f64, which: usize) -> Effect {
        let value = self.chosen();
        let spec = value.spec();
        let by = count * spec.steps.map_or(0.0, |steps| steps[which]);
        // Sums of tenths are rounded, so that steps back meet steps forth.
        let scale = 10_f64.powi(i32::from(spec.decimals()) + 3);
        let to = (number(value, &self.now) + by) * scale;
        self.put(&[(value, to.round() / scale)])
    }

    fn choose_place(&mut self, by: isize) -> Effect {
        let mut tables: Vec<Table> = self.values.iter().map(|value| value.table()).collect();
        tables.dedup();
        let here = self.chosen().table();
        let at = tables.iter().position(|table| *table == here).unwrap_or(0);
        let table = tables[around(at, by, tables.len())];
        let first = self.values.iter().position(|value| value.table() == table);
        self.chosen = first.unwrap_or(self.chosen);
        Effect::Words
    }

    fn undo(&mut self) -> Effect {
        self.end();
        let Some(edit) = self.done.pop() else {
            return Effect::None;
        };
        self.jump(&edit.before);
        self.undone.push(edit);
        Effect::Picture
    }

    fn redo(&mut self) -> Effect {
        self.end();
        let Some(edit) = self.undone.pop() else {
            return Effect::None;
        };
        self.jump(&edit.after);
        self.done.push(edit);
        Effect::Picture
    }

    /// To numbers that were a rig before.
    fn jump(&mut self, numbers: &[(Measure, f64)]) {
        self.flipped = false;
        let mut parts: Parts = self.now.parts().clone();
        for &(value, number) in numbers {
            value.put(&mut parts, number);
        }
        if let Ok(rig) = Rig::new(parts) {
            self.now = rig;
            self.list();
        }
        // The words tell what has just changed.
        if let Some((changed, _)) = numbers.first() {
            self.choose(*changed);
        }
    }
}

/// The numbers of some values, as far as there are such.
fn numbers_of(values: &[Measure], parts: &Parts) -> Vec<(Measure, f64)> {
    let numbers = values.iter().map(|value| Some((*value, value.get(parts)?)));
    numbers.flatten().collect()
}

fn hundredths(number: f64) -> f64 {
    (number * 100.0).round() / 100.0
}

fn around(at: usize, by: isize, count: usize) -> usize {
    (at.cast_signed() + by).rem_euclid(count.max(1).cast_signed()) as usize
}

#[cfg(test)]
mod tests;
