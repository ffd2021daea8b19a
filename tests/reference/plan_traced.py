"""Holds a plan's figures against what a program would show, traced by POV-Ray.

The program plans a window for each rig file, writes the rig as planned, and draws
its lines there as a program with one camera a screen would. From the plan's numbers
alone, by the definition of such a program and the second layout, follow where every
line must be seen on the glass, and by how much. POV-Ray shows the picture on the
panels, from the eye: each line must lie there, and the horizon must step at each seam
by no more than the plan says. The plan's rms and largest angle must be those of the
same model over the pixels in the window.

    python3 plan_traced.py --binary target/release/throughline ferry-bridge
"""

import argparse
import json
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

import numpy as np

import scene
from place_reference import screens
from rig_reference import Rig, elevation, heading
from screenshots import Line, read_light
from traced_lines import FEWEST_COLUMNS, FEWEST_LINES, readings, side_of_points

LAYERS = "horizon,diagonals"
TOLERANCE_PX = 0.1
TOLERANCE_DEG = 0.01
FOV_DEG = 26.0
SIZE_PX = (1100, 900)
# Every so many pixels both ways, for the error over the window.
STRIDE_PX = 6


class Plan:
    """A planned rig and what the program believes of its window's pixels."""

    def __init__(self, path, plan):
        text = path.read_text(encoding="utf-8")
        self.rig = Rig(text)
        window = tomllib.loads(text)["window"]
        assert window["px"] == plan["window_px"], "the file has another window than the plan"
        self.x, self.y, self.w, self.h = window["px"]
        self.count = sum(window["columns"])
        self.column = self.w / self.count
        face = self.rig.panels[self.rig.facing[0]]
        # Where each panel's corner lies from the facing one's.
        self.corners = [(p.canvas_px[0] - face.canvas_px[0], p.canvas_px[1] - face.canvas_px[1])
                        for p in self.rig.panels]
        told = plan["program"]
        middle = self.count / 2 + 0.5
        assert plan["ahead"] == middle, "the picture's middle is ahead"
        self.size = np.array([told["width_mm"], self.h * face.pitch_mm[0]])
        self.screens = screens(self.count, told["angle_deg"], told["distance_mm"],
                               told["width_mm"], told["bezel_mm"], plan["turn_deg"])

    def columns(self, panel, px):
        """Screen and place across it, from -1/2 to 1/2, of a panel's columns."""
        across = (self.corners[panel][0] + np.asarray(px, float) - self.x) / self.column
        screen = np.clip(np.floor(across).astype(int), 0, self.count - 1)
        return screen, across - screen - 0.5

    def across_mm(self, panel, px):
        """What the program takes for the points of columns at eye level."""
        screen, u = self.columns(panel, px)
        middles = np.array([m for m, _ in self.screens])[screen]
        rights = np.array([heading(yaw) for _, yaw in self.screens])[screen]
        return middles + rights * (u * self.size[0])[..., None]

    def believed(self, panel, px, py):
        """What it takes for the points of pixels."""
        points = self.across_mm(panel, px)
        v = 0.5 - (self.corners[panel][1] + np.asarray(py, float) - self.y) / self.h
        points[..., 1] += v * self.size[1]
        return points

    def row(self, panel, normal, px):
        """The row in which it draws a line."""
        level = self.across_mm(panel, px)
        up = -(level @ normal) / normal[1]
        return self.y - self.corners[panel][1] + (0.5 - up / self.size[1]) * self.h

    def rows(self, panel):
        """First and last row of a panel in the window."""
        top = self.y - self.corners[panel][1]
        return np.clip([top, top + self.h], 0, self.rig.panels[panel].pixels[1])

    def errors_deg(self):
        """Angles between pixels as seen and as believed, over all in the window."""
        found = []
        for panel, p in enumerate(self.rig.panels):
            left = self.x - self.corners[panel][0]
            from_px, to_px = np.clip([left, left + self.w], 0, p.pixels[0])
            px = np.arange(np.ceil(from_px), to_px, STRIDE_PX) + 0.5
            top, bottom = self.rows(panel)
            py = np.arange(np.ceil(top), bottom, STRIDE_PX) + 0.5
            px, py = (a.ravel() for a in np.meshgrid(px, py))
            seen, taken = self.rig.point(panel, px, py), self.believed(panel, px, py)
            sines = np.linalg.norm(np.cross(seen, taken), axis=-1)
            found.append(np.degrees(np.arctan2(sines, (seen * taken).sum(-1))))
        return np.concatenate(found)

    def side(self, camera, panel, line):
        """Where a line must be seen on one panel, as in `traced_lines`."""
        p = self.rig.panels[panel]
        px = np.arange(0.25, p.pixels[0], 0.5)
        row = self.row(panel, line.normal, px)
        top, bottom = self.rows(panel)
        across = (self.corners[panel][0] + px - self.x) / self.column
        # Lines bend and leap at the window's cuts, and end with it.
        to_cut = np.abs(across - np.round(across)) * self.column
        inside = (across > 0) & (across < self.count)
        aside = np.where(inside, np.minimum(np.minimum(px, p.pixels[0] - px), to_cut), -9)
        margin = np.minimum(row - top, bottom - row)
        points = self.rig.point(panel, px, row)
        return side_of_points(p, camera, points, margin, aside, line)


def run(*command):
    return subprocess.run(list(map(str, command)), check=True, capture_output=True, text=True).stdout


def check(binary, name, wrong_deg, folder):
    """One rig: prints its figures, and says whether they are good."""
    path = folder / f"{Path(name).stem}.toml"
    document = json.loads(run(binary, "place", name, "--json", "--out", path))
    written = tomllib.loads(path.read_text(encoding="utf-8"))["window"]["px"]
    told = next(plan for plan in document["plans"] if plan["window_px"] == written)
    plan = Plan(path, told)
    errors = plan.errors_deg()
    rms, largest = np.sqrt((errors**2).mean()), errors.max()
    good = abs(rms - told["rms_deg"]) < TOLERANCE_DEG
    # The largest lies at an edge, which every so many pixels miss.
    good &= -0.05 < largest - told["max_deg"] < TOLERANCE_DEG
    print(f"{name}: {told['name']}: rms {rms:.4f} (plan {told['rms_deg']:.4f}), "
          f"largest {largest:.3f} ({told['max_deg']:.3f}) degrees")

    listing, picture = path.with_suffix(".json"), path.with_suffix(".png")
    run(binary, "screenshot", path, "--layers", LAYERS, "--lines", listing,
        "--out", path.with_name("own.png"))
    lines = [Line(entry) for entry in json.loads(listing.read_text(encoding="utf-8"))["lines"]]
    numbers = told["program"]
    typed = ",".join(f"{key.split('_')[0]}={value!r}" for key, value in
                     {**numbers, "angle_deg": numbers["angle_deg"] + wrong_deg}.items())
    run(binary, "screenshot", path, "--layers", LAYERS, "--drawn-as", f"flat-views:{typed}",
        "--out", picture)
    light = read_light(picture).mean(2)
    shift = scene.pixel_shift(folder)
    steps = []
    for seam in range(len(plan.rig.seams)):
        pair = (seam, seam + 1)
        left, right = (plan.rig.panels[panel] for panel in pair)
        edges = left.at(left.width / 2, 0.0), right.at(-right.width / 2, 0.0)
        middle = sum(e / np.linalg.norm(e) for e in edges)
        middle[1] = 0.0
        camera = scene.Camera(middle, FOV_DEG, SIZE_PX)
        objects = []
        for panel in pair:
            x, y, w, h = plan.rig.panels[panel].canvas_px
            texture = folder / f"{path.stem}-{panel}.png"
            scene.write_picture(texture, light[y : y + h, x : x + w])
            objects.append(scene.panel_source(plan.rig.panels[panel], texture.name))
        traced = scene.trace(camera, objects, folder / f"{path.stem}-seam-{seam}")
        off, level = [], []
        for panel in pair:
            sides = {line.name: plan.side(camera, panel, line) for line in lines}
            sides = {key: side for key, side in sides.items() if side is not None}
            for which, side in sides.items():
                at, rows = readings(traced, shift, sides, which)
                if len(at) < FEWEST_COLUMNS:
                    continue
                off.append(abs(rows - side.expected[at]).mean())
                if which == "horizon":
                    level.append(seam_elevation(camera, side.columns[at] + 0.5, rows, panel == seam))
        worst = max(off, default=np.inf)
        step = abs(np.subtract(*level)) if len(level) == 2 else np.inf
        steps.append(step)
        good &= len(off) >= FEWEST_LINES and worst < TOLERANCE_PX
        print(f"  seam {seam + 1}: {len(off)} lines, off by {worst:.4f} px at most; "
              f"the horizon steps by {step:.4f} degrees")
    # Readings end some columns before the edge, so a kink adds a little.
    good &= max(steps) < told["step_deg"] + 3 * TOLERANCE_DEG
    print(f"  the plan's step: {told['step_deg']:.4f} degrees  {'ok' if good else 'FAILED'}")
    return good


def seam_elevation(camera, columns, rows, is_left):
    """Elevation in degrees of a level line at its end next to the seam."""
    near = np.argsort(columns)[-60:] if is_left else np.argsort(columns)[:60]
    x = (columns[near] - camera.size_px[0] / 2) / camera.focal_px
    y = (camera.size_px[1] / 2 - rows[near]) / camera.focal_px
    rays = camera.ahead + x[:, None] * camera.right + y[:, None] * camera.up
    found = np.degrees(elevation(rays))
    end = columns[near].max() if is_left else columns[near].min()
    return np.polyval(np.polyfit(columns[near] - end, found, 1), 0.0)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--binary", required=True, help="the program to check")
    parser.add_argument("--wrong-deg", type=float, default=0.0,
                        help="draw with another angle than planned: has to fail")
    parser.add_argument("rigs", nargs="+", help="rig files or demos")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        results = [check(Path(args.binary).resolve(), rig, args.wrong_deg, Path(folder)) for rig in args.rigs]
    sys.exit(0 if all(results) else 1)


if __name__ == "__main__":
    main()
