//! What the boxes over the pattern say.

use crate::geometry::{azimuth, elevation};
use crate::rig::Rig;

use super::console::{Caution, Console, Mode};
use super::guided::Guided;
use super::meaning::{advice, place_name};
use super::pages::{errors, keys};
use super::photographs;
use super::walk::Step;
use crate::glass::{BoxLine, DIM, LOUD, PLAIN, Words};
use crate::parts::words::CAUTION;
use crate::pattern::Motion;

/// What is said before anything moves, in one line.
pub const MOVING_CAUTION: &str = "Bars will sweep and small cells will flash: not for anyone who is \
     sensitive to flashing light or patterns.";

/// What is said before the marks are shown, in one line.
pub const MARKS_CAUTION: &str = "A field of checks will fill every panel: not for anyone who is \
     sensitive to patterns.";

/// What is said where the rig file isn't as it was read.
pub const EDITED: &str = "The rig file was changed by someone else";

/// The widest angle that a straightedge at arm's length spans (common practice).
const STRAIGHTEDGE_RAD: f64 = 40.0 / 180.0 * std::f64::consts::PI;

/// What the mouse points at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hover {
    /// The panel.
    pub panel: usize,
    /// The pixel, in the panel's own columns and rows.
    pub px: [u32; 2],
}

/// The box that follows what is done.
pub fn main_box(
    console: &Console,
    hover: Option<Hover>,
    is_start: bool,
    offer: &str,
    reports: &[String],
) -> Vec<BoxLine> {
    let text = |text: String, colour| BoxLine::Text(Words::new(text, colour));
    if console.is_answer_alone() {
        let answer = console.message().unwrap_or_default();
        return vec![text(answer.to_owned(), LOUD)];
    }
    let mut lines = match console.mode() {
        Mode::Nudge => {
            let mut lines = value_lines(console);
            let shown = console.as_program();
            lines.extend(shown.map(|shown| text(shown.words(), LOUD)));
            lines
        }
        Mode::Keys => return keys(console.manual()),
        Mode::Errors => return errors(),
        Mode::Rungs(choice) => {
            let parts = console.nudging.now().parts();
            let value = console.nudging.chosen();
            let title = format!(
                "Which rung runs straight? {}, {}",
                value.spec().name,
                place_name(value, parts)
            );
            let mut lines = vec![
                BoxLine::Title(Words::new(title, PLAIN).bold()),
                text(
                    "Up and Down mark it, Enter takes it as the value, F shows coarse or fine \
                     rungs, L leaves"
                        .to_owned(),
                    DIM,
                ),
            ];
            for (index, rung) in choice.rungs.iter().enumerate() {
                let is_marked = index == choice.at;
                let mark = if is_marked { "»  " } else { "    " };
                let colour = if is_marked { LOUD } else { PLAIN };
                let words = Words::new(format!("{mark}{}", rung.label), colour);
                lines.push(BoxLine::Text(if is_marked { words.bold() } else { words }));
            }
            let tool = if choice.span_rad > STRAIGHTEDGE_RAD {
                "Judge each along a taut string in the line of sight, since they are longer than \
                 a straightedge at arm's length, one eye closed."
            } else {
                "Judge each along a straightedge in the line of sight, one eye closed."
            };
            lines.push(text(tool.to_owned(), DIM));
            lines.push(text(
                "None straight? Take the top or the bottom one, whichever breaks less, and read \
                 again."
                    .to_owned(),
                DIM,
            ));
            lines
        }
        Mode::Walk(step) => walk_lines(console, *step),
        Mode::Caution(Caution::Marks) => return photographs::lines(console),
        Mode::Caution(Caution::Motion) => {
            return vec![
                text(MOVING_CAUTION.to_owned(), LOUD),
                text("Enter starts them; Esc leaves".to_owned(), PLAIN),
            ];
        }
        Mode::Moving(_) => moving_lines(console),
        Mode::Edited => {
            let count = console.nudging.unsaved().len();
            let nudges = match count {
                0 => "",
                _ => "; nudges that are not saved are then offered, and none is lost",
            };
            return vec![
                BoxLine::Title(Words::new(EDITED, LOUD).bold()),
                text(
                    format!("Enter shows the rig as the file says now{nudges}"),
                    LOUD,
                ),
                text(
                    "Delete keeps to the rig on the glass; S then writes over the file, and \
                     keeps the other's text beside it"
                        .to_owned(),
                    LOUD,
                ),
            ];
        }
        Mode::Offer(numbers) => {
            let parts = console.nudging.now().parts();
            let mut lines = vec![
                BoxLine::Title(Words::new("Nudges that are not saved", LOUD).bold()),
                text(offer.to_owned(), PLAIN),
            ];
            lines.extend(numbers.iter().take(12).map(|(value, number)| {
                let place = place_name(*value, parts);
                let spec = value.spec();
                let now = spec.show(value.get(parts).unwrap_or_default());
                text(
                    format!(
                        "{place}: {} {now} in the file, {}",
                        spec.name,
                        spec.show(*number)
                    ),
                    PLAIN,
                )
            }));
            lines.push(text(
                "Enter takes them up, Delete throws them away, Q leaves them for later".to_owned(),
                LOUD,
            ));
            return lines;
        }
    };
    lines.extend(reports.iter().map(|report| {
        let colour = if report.contains("NOT") { LOUD } else { PLAIN };
        text(report.clone(), colour)
    }));
    if let Some(message) = console.message() {
        lines.push(text(message.to_owned(), LOUD));
    }
    if let Some(hover) = hover {
        lines.push(text(pointed(console.nudging.shown(), hover), DIM));
    }
    if *console.mode() == Mode::Nudge {
        lines.push(text(
            "Up Down change it    Left Right other value    Tab other seam or panel    L take a rung    Space compare    S save    Q quit    H all keys, and what breaks tell".to_owned(),
            DIM,
        ));
    }
    if is_start && *console.mode() == Mode::Nudge {
        lines.push(text(
            "W leads through the alignment step by step, in a quarter of an hour".to_owned(),
            DIM,
        ));
    }
    if is_start {
        lines.push(text(CAUTION.to_owned(), DIM));
    }
    lines
}

fn value_lines(console: &Console) -> Vec<BoxLine> {
    let nudging = &console.nudging;
    let parts = nudging.now().parts();
    let value = nudging.chosen();
    let [number, change] = nudging.number();
    let title = format!(
        "{}    {} {}",
        place_name(value, parts),
        value.spec().name,
        value.spec().show(number)
    );
    let mut lines = vec![BoxLine::Title(Words::new(title, PLAIN).bold())];
    let plain = |text: String| BoxLine::Text(Words::new(text, PLAIN));
    let unsaved = nudging.unsaved_change();
    if change == 0.0 {
        lines.push(plain("as loaded".to_owned()));
    } else {
        let saved = if unsaved == 0.0 { ", saved" } else { "" };
        let shown = value.spec().show_change(change);
        lines.push(plain(format!("{shown} since loading{saved}")));
    }
    if unsaved != 0.0 {
        let mut advice = advice(value, parts, unsaved, nudging.is_flipped());
        if nudging.has_saved() {
            // Space shows the rig as loaded, which the file says no more.
            advice.truncate(1);
        }
        lines.extend(advice.into_iter().map(plain));
    }
    if nudging.is_flipped() {
        let text = "The pattern is as loaded now; Space shows it as nudged";
        lines.push(BoxLine::Text(Words::new(text, LOUD).bold()));
    }
    let count = nudging.unsaved().len();
    if count > 0 {
        let values = if count == 1 { "value" } else { "values" };
        let text = format!("{count} {values} not saved; S saves, Backspace undoes");
        lines.push(BoxLine::Text(Words::new(text, DIM)));
    }
    lines
}

fn walk_lines(console: &Console, step: Step) -> Vec<BoxLine> {
    let text = |text: &str, colour| BoxLine::Text(Words::new(text, colour));
    let guided = console.guided().filter(|_| step.reads().is_some());
    let mut title = format!(
        "Step {} of {}: {}",
        step.number(),
        Step::ALL.len(),
        step.name()
    );
    if let Some((guided, seam)) = guided.and_then(|guided| Some((guided, guided.seam()?))) {
        let from = if guided.is_second() { "below" } else { "above" };
        title += &format!("    seam {}, from {from}", seam + 1);
    }
    let mut lines = vec![
        BoxLine::Title(Words::new(title, PLAIN).bold()),
        text(step.task(), PLAIN),
    ];
    let keys = match step {
        Step::Refresh => {
            lines.push(text(MOVING_CAUTION, LOUD));
            "Enter goes on    B goes back    W or Esc leaves    S saves    Q quits"
        }
        Step::Sizes | Step::Level => {
            lines.extend(value_lines(console));
            "Enter goes on    B goes back    W or Esc leaves    S saves    Q quits"
        }
        Step::Head => {
            "Enter: the card is clamped    2: a headrest only    B goes back    Esc leaves"
        }
        Step::Whole => {
            let advice = console.advice().iter();
            lines.extend(advice.map(|sentence| text(sentence, PLAIN)));
            if !console.advice().is_empty() {
                let known = console
                    .guided()
                    .map(Guided::known)
                    .unwrap_or_default()
                    .iter();
                lines.extend(known.map(|known| text(known, DIM)));
            }
            if console.advice().is_empty() {
                "Enter ends the walk    S saves    B goes back    G reads once more    Q quits"
            } else {
                "Enter takes the solved numbers into the rig    B goes back    Esc leaves    Q quits"
            }
        }
        _ if step.reads().is_some() => {
            lines.push(text(
                "Or say what you see: 1 the right part is higher, 2 it runs on straight, 3 it is lower",
                PLAIN,
            ));
            let known = guided.map(Guided::known).unwrap_or_default().iter();
            lines.extend(known.map(|known| text(known, DIM)));
            "Enter takes it    B goes back    Right leaves it out    Esc leaves; what is read is kept"
        }
        _ => "Enter goes on    B goes back    W or Esc leaves    S saves    Q quits",
    };
    lines.push(text(keys, DIM));
    lines
}

fn moving_lines(console: &Console) -> Vec<BoxLine> {
    let motion = Motion {
        frame: 0,
        speed_deg_s: console.speed_deg_s(),
    };
    let speed = motion.speed_on(console.nudging.shown());
    let title = format!("Bars at {speed:.0}° a second");
    let plain = |text: &str| BoxLine::Text(Words::new(text, PLAIN));
    vec![
        BoxLine::Title(Words::new(title, PLAIN).bold()),
        plain(
            "A bar that jumps at a seam, or shakes on one panel: that display lags, drops frames or \
             runs at another rate.",
        ),
        BoxLine::Text(Words::new(
            "Up Down and Page up Page down change the speed; any other key stops them",
            DIM,
        )),
    ]
}

/// Where the mouse points: pixel, distance from the nearer lit edge, direction.
fn pointed(rig: &Rig, hover: Hover) -> String {
    let Some(surface) = rig.layout().surfaces().get(hover.panel).copied() else {
        return String::new();
    };
    let [x, y] = hover.px;
    let (px, py) = (f64::from(x) + 0.5, f64::from(y) + 0.5);
    let point = surface.point_px(px, py);
    let [pitch_x, _] = surface.pitch_mm();
    let (left, right) = (px * pitch_x, (surface.pixels[0] - px) * pitch_x);
    let (edge_mm, edge) = if left <= right {
        (left, "left")
    } else {
        (right, "right")
    };
    format!(
        "pixel {x}, {y} of \"{}\": {edge_mm:.1} mm from its {edge} lit edge, \
         azimuth {:+.2}°, elevation {:+.2}°",
        rig.panels()[hover.panel].name,
        azimuth(point).to_degrees(),
        elevation(point).to_degrees()
    )
}

/// The box of what isn't as the rig says.
pub fn complaint_box(complaints: &[String]) -> Vec<BoxLine> {
    let texts = complaints.iter();
    let mut lines: Vec<BoxLine> = texts
        .map(|text| BoxLine::Text(Words::new(text.clone(), LOUD)))
        .collect();
    if !lines.is_empty() {
        lines.push(BoxLine::Text(Words::new("D puts this away", DIM)));
    }
    lines
}

/// The words on a display that no panel claims.
pub fn idle_box(name: &str) -> Vec<BoxLine> {
    vec![
        BoxLine::Title(Words::new(name, PLAIN).bold()),
        BoxLine::Text(Words::new("no panel of this rig", DIM)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{EyePlane, LineBreak, line_break};
    use crate::rig::{demos, read};
    use glam::DVec3;

    /// Degrees of turn, and arc-minutes of jump, that nobody sees.
    const STRAIGHT_DEG: f64 = 0.08;
    const MEETS_ARCMIN: f64 = 3.0;

    /// At both seams of a demo whose wings fold in alike: the horizon, a level
    /// line near the top, one near the bottom, a rising and a falling one.
    fn breaks(path: &str, change: f64) -> [[LineBreak; 5]; 2] {
        let text = demos()
            .iter()
            .find(|demo| demo.name == "tram-cab")
            .expect("built in")
            .text;
        let rig = read(text, "tram-cab", &[]).expect("a sound demo");
        let value = crate::nudging::values(rig.parts())
            .into_iter()
            .find(|value| value.path() == path)
            .expect("a value of the demo");
        let mut parts = rig.parts().clone();
        let before = value.get(rig.parts()).expect("it is there");
        value.put(&mut parts, before + change);
        let drawn = rig.layout();
        let moved = Rig::new(parts).expect("still a rig");
        let built = moved.layout();
        [0, 1].map(|seam| {
            let [left, right] = drawn.seam(seam);
            let rows = left.pixels[1];
            let edge = |py: f64| left.point_px(left.pixels[0], py);
            let middle = edge(rows / 2.0) + right.point_px(0.0, right.pixels[1] / 2.0);
            let at = |py: f64, slope: f64| {
                EyePlane::at_slope(azimuth(middle), elevation(edge(py)), slope)
            };
            let planes = [
                EyePlane::HORIZON,
                at(rows * 0.06, 0.0),
                at(rows * 0.94, 0.0),
                at(rows * 0.5, 0.6),
                at(rows * 0.5, -0.6),
            ];
            planes.map(|plane| {
                line_break(drawn, built, seam, plane, DVec3::ZERO).expect("reaches both edges")
            })
        })
    }

    fn jumps(seam: &[LineBreak; 5]) -> [f64; 5] {
        seam.map(|line| {
            let arcmin = line.break_rad.to_degrees() * 60.0;
            if arcmin.abs() < MEETS_ARCMIN {
                0.0
            } else {
                arcmin
            }
        })
    }

    fn turns(seam: &[LineBreak; 5]) -> [f64; 5] {
        seam.map(|line| {
            let deg = line.kink_rad.to_degrees();
            if deg.abs() < STRAIGHT_DEG { 0.0 } else { deg }
        })
    }

    #[test]
    fn the_table_says_what_the_geometry_does() {
        let [fold, _] = breaks("seam.1.angle_deg", 2.0);
        assert_eq!(jumps(&fold), [0.0; 5]);
        assert!(turns(&fold)[0] == 0.0 && turns(&fold)[1] * turns(&fold)[2] < 0.0);

        let [gap, _] = breaks("seam.1.gap_mm", 5.0);
        assert_eq!(jumps(&gap)[..3], [0.0; 3]);
        assert!(jumps(&gap)[3] * jumps(&gap)[4] < 0.0);

        let [step, _] = breaks("seam.1.step_mm", 15.0);
        assert_eq!(jumps(&step)[0], 0.0);
        assert!(jumps(&step)[1] * jumps(&step)[2] < 0.0);

        let [rise, _] = breaks("seam.1.rise_mm", 5.0);
        let rise = jumps(&rise);
        assert!(rise.iter().all(|jump| jump * rise[0] > 0.0), "{rise:?}");

        let [before, after] = breaks("panel.2.roll_deg", 1.0);
        assert!(turns(&before)[0] * turns(&after)[0] < 0.0);

        let [tilt, _] = breaks("panel.2.tilt_deg", 3.0);
        let tilt = jumps(&tilt);
        assert!(tilt[0] == 0.0 && tilt[1] * tilt[2] > 0.0, "{tilt:?}");

        let [near, far] = breaks("panel.2.diagonal_in", 1.0).map(|seam| jumps(&seam));
        assert!(
            near[1] * near[2] < 0.0 && far[1] * far[2] < 0.0,
            "{near:?} {far:?}"
        );

        let [left, right] = breaks("seat.distance_mm", -60.0).map(|seam| turns(&seam));
        assert!(
            left[1] * right[1] > 0.0 && left[1] * left[2] < 0.0,
            "{left:?} {right:?}"
        );
        assert!(left[0] == 0.0 && right[0] == 0.0);

        let [left, right] = breaks("seat.height_mm", 50.0).map(|seam| turns(&seam));
        let level = [left[0], left[1], left[2], right[0], right[1], right[2]];
        assert!(level.iter().all(|turn| turn * level[0] > 0.0), "{level:?}");

        let [left, right] = breaks("seat.offset_mm", 50.0).map(|seam| turns(&seam));
        assert!(
            left[1] * right[1] < 0.0 && left[1] * left[2] < 0.0,
            "{left:?} {right:?}"
        );
    }
}
