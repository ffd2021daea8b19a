"""Shows the program's picture on a rig traced by POV-Ray and measures its lines.

For every seam of every rig file: the program draws the horizon and the
diagonals, each panel's part of the picture glows on that panel's surface, and
an independent ray tracer at the eye looks at the seam. In what it sees, every
line must lie on its great circle, on both sides and straight across the seam.

Then the same picture is shown on a rig that is built wrong, with the first
seam's turn one degree larger: the lines must now lie where
`rig_reference.py` says, and no longer be straight.

    python3 traced_lines.py --binary target/release/throughline rigs/*.toml
"""

import argparse
import re
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np

import scene
from rig_reference import Rig, shown_direction
from screenshots import Screenshot

LAYERS = "horizon,diagonals"
TOLERANCE_PX = 0.1
FOV_DEG = 26.0
SIZE_PX = (1100, 900)
# No reading where another line, the panel's edge or the picture's border comes this near.
CLEAR_PX = 5.0
# Readings that a side needs to count, and lines that a seam needs.
FEWEST_COLUMNS = 40
FEWEST_LINES = 4
WRONG_DEG = 1.0


def turned(text, seam, by_deg):
    """A rig file's text with one seam's angle or fold changed."""
    blocks = re.split(r"(?m)^(?=\[\[seam\]\])", text)
    value = re.compile(r"(?m)^((?:angle|fold)_deg\s*=\s*)([-+0-9.eE_]+)")
    blocks[1 + seam], count = value.subn(
        lambda m: f"{m[1]}{float(m[2]) + by_deg!r}", blocks[1 + seam]
    )
    assert count == 1, "the seam's turn was not found"
    return "".join(blocks)


@dataclass
class Side:
    """One line on one side of a seam in the traced picture."""

    columns: np.ndarray
    usable: np.ndarray
    expected: np.ndarray
    straight: np.ndarray
    slope: np.ndarray
    half_px: np.ndarray


def side_of_line(drawn, built, camera, panel, line):
    """Where a line should be seen on one panel, per column of the traced picture."""
    p = drawn.panels[panel]
    # Half-pixel steps, a little further than the glass: light there may disturb others.
    px = np.arange(-2, 2 * p.pixels[0] + 3) / 2
    points, _ = shown_direction(drawn, built, panel, line.normal, px)
    t = p.line_t(p.s_from_px(px), line.normal)[0]
    margin = (p.height / 2 - np.abs(t)) / p.pitch_mm[1]
    aside = np.minimum(px, p.pixels[0] - px)
    return side_of_points(built.panels[panel], camera, points, margin, aside, line)


def side_of_points(shown_on, camera, points, margin, aside, line):
    """The same for points along a line, in the order of columns, with their distances
    in pixels from the nearest level and the nearest upright end of what shows it."""
    ok = (margin > -8) & (points @ camera.ahead > 0.3 * np.linalg.norm(points, axis=-1))
    if ok.sum() < 4:
        return None
    u, v = camera.image(points[ok]).T
    # Away from the panel's edges a reading is sound.
    inside = (margin[ok] > 4) & (aside[ok] > 4)
    columns = np.arange(max(np.ceil(u.min() - 0.5), CLEAR_PX),
                        min(np.floor(u.max() - 0.5) + 1, camera.size_px[0] - CLEAR_PX))
    # A line may leave the panel and come back: no line in such a hole.
    after = np.clip(np.searchsorted(u, columns + 0.5), 1, len(u) - 1)
    columns, after = (c[np.diff(np.flatnonzero(ok))[after - 1] == 1] for c in (columns, after))
    if len(columns) < 2:
        return None
    usable = inside[after] & inside[after - 1]
    expected = np.interp(columns + 0.5, u, v)
    slope = np.gradient(expected)
    # The drawn width, in the panel's pixels, as seen down a column of the picture.
    row = -shown_on.up * shown_on.pitch_mm[1]
    rows = camera.image(points[ok] + row)[:, 1] - v
    half = np.interp(columns + 0.5, u, np.abs(rows)) * line.width_px / 2
    return Side(
        columns.astype(int), usable, expected, camera.line_row(line.normal, columns + 0.5),
        slope, half * np.hypot(1, slope),
    )


def readings(light, shift, sides, which):
    """Measured rows of one line's light where no other line comes near.

    Returns the indices of the side's columns that could be read, and the rows.
    """
    side = sides[which]
    ok = side.usable & (np.abs(side.slope) <= 1.0)
    reach = np.ceil(side.half_px + 3).astype(int)
    ok &= (side.expected > reach + 2) & (side.expected < light.shape[0] - reach - 3)
    for name, other in sides.items():
        if name == which:
            continue
        _, mine, theirs = np.intersect1d(side.columns, other.columns, return_indices=True)
        apart = np.abs(side.expected[mine] - other.expected[theirs])
        tilt = np.hypot(1, other.slope[theirs])
        near = apart < (other.half_px[theirs] + CLEAR_PX) * tilt
        near |= apart < reach[mine] + 1 + (other.half_px[theirs] + 1) * tilt
        ok[mine[near]] = False
    at = np.flatnonzero(ok)
    found = np.full(len(side.columns), np.nan)
    for k in at:
        middle = side.expected[k] + shift[1]
        cells = np.arange(int(middle) - reach[k], int(middle) + reach[k] + 1)
        column = light[cells, side.columns[k]]
        if column.sum() > 0:
            found[k] = (column * (cells + 0.5)).sum() / column.sum() - shift[1]
    # A picture shifted sideways shows at column x what belongs at x - shift.
    found += side.slope * shift[0]
    at = at[np.isfinite(found[at])]
    return at, found[at]


class SeamView:
    """One seam of a rig, traced, with every line measured on both sides."""

    def __init__(self, shot, built, seam, shift, folder, name):
        self.seam = seam
        drawn = shot.rig
        left, right = built.panels[seam], built.panels[seam + 1]
        edges = left.at(left.width / 2, 0.0), right.at(-right.width / 2, 0.0)
        camera = scene.Camera(sum(e / np.linalg.norm(e) for e in edges), FOV_DEG, SIZE_PX)
        objects = []
        for panel in (seam, seam + 1):
            picture = Path(folder) / f"{Path(name).stem}-{panel}.png"
            scene.write_picture(picture, shot.of_panel(panel).mean(2))
            objects.append(scene.panel_source(built.panels[panel], picture.name))
        light = scene.trace(camera, objects, Path(folder) / name)
        self.lines = {}
        per_side = []
        for panel in (seam, seam + 1):
            sides = {}
            for line in shot.lines:
                side = side_of_line(drawn, built, camera, panel, line)
                if side is not None:
                    sides[line.name] = side
            measured = {}
            for which, side in sides.items():
                at, rows = readings(light, shift, sides, which)
                if len(at) >= FEWEST_COLUMNS:
                    measured[which] = (
                        side.columns[at], rows - side.expected[at], rows - side.straight[at],
                        side.expected[at] - side.straight[at],
                    )
            per_side.append(measured)
        # Only lines that could be read on both sides say something about the seam.
        self.lines = {
            n: (per_side[0][n], per_side[1][n]) for n in per_side[0] if n in per_side[1]
        }
        self.meet = float(camera.image(sum(edges))[0])

    def off_expected(self):
        """Mean distance from the expected row, lines x two sides, in pixels."""
        return np.array([[side[1].mean() for side in both] for both in self.lines.values()])

    def jump(self, kind):
        """How far each line's two sides miss each other where the seam is, in pixels.

        ``kind`` chooses what the rows are told from: 1 the expected row, 2 the
        great circle; 3 tells the expected row from the great circle.
        """
        jumps = []
        for left, right in self.lines.values():
            ends = [np.polyval(np.polyfit(s[0] - self.meet, s[kind], 1), 0.0) for s in (left, right)]
            jumps.append(ends[1] - ends[0])
        return np.array(jumps)

    def off_straight(self, kind=2):
        """Largest mean distance of either side from the great circle, per line."""
        return np.array(
            [max(abs(side[kind].mean()) for side in both) for both in self.lines.values()]
        )


def row(name, seam, built, lines, figures, passed):
    numbers = " ".join(f"{f:>10.3f}" for f in figures)
    print(f"{name:<24} {seam + 1:>4}  {built:<8} {lines:>5} {numbers}  {'ok' if passed else 'FAILED'}", flush=True)


def check(binary, path, shift, folder):
    """All seams of one rig file as drawn, and its first seam built wrong."""
    shot = Screenshot(binary, path, LAYERS, folder)
    rig, stem = shot.rig, Path(path).stem
    results = []
    for seam in range(len(rig.seams)):
        view = SeamView(shot, rig, seam, shift, folder, f"{stem}-{seam}-true")
        off, jump = np.abs(view.off_expected()), np.abs(view.jump(1))
        worst, break_ = off.max(initial=0), jump.max(initial=0)
        passed = len(view.lines) >= FEWEST_LINES and max(worst, break_) < TOLERANCE_PX
        row(rig.name, seam, "true", len(view.lines), (worst, break_), passed)
        results.append(passed)
    if rig.seams:
        built = Rig(turned(rig.text, 0, WRONG_DEG))
        view = SeamView(shot, built, 0, shift, folder, f"{stem}-0-wrong")
        off, jump = np.abs(view.off_expected()), np.abs(view.jump(1))
        worst, break_ = off.max(initial=0), jump.max(initial=0)
        # The same picture held against the true rig's great circles has to fail.
        bent = view.off_straight()
        passed = len(view.lines) >= FEWEST_LINES and max(worst, break_) < TOLERANCE_PX
        passed &= bool(np.sum(bent > 3 * TOLERANCE_PX) * 2 >= len(view.lines))
        row(rig.name, 0, "wrong", len(view.lines), (worst, break_, bent.max(initial=0)), passed)
        results.append(passed)
    return all(results)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--binary", required=True, help="the program to check")
    parser.add_argument("--keep", metavar="FOLDER", help="keep the traced pictures there")
    parser.add_argument("rigs", nargs="+", help="rig files")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        if args.keep:
            folder = args.keep
            Path(folder).mkdir(parents=True, exist_ok=True)
        shift = scene.pixel_shift(folder)
        print(f"traced pictures are shifted by {shift[0]:g}, {shift[1]:g} px; corrected")
        print("rig                      seam  built    lines    off, px   jump, px   bent, px")
        results = [check(args.binary, rig, shift, folder) for rig in args.rigs]
    sys.exit(0 if all(results) else 1)


if __name__ == "__main__":
    main()
