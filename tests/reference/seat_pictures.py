"""Draws the pictures of typical mistakes and the README's table that shows them.

The `tram-cab` demo, seen from its seat at the seam right of the facing panel,
with what is wrong there and what the program says of it. The program continues
each line's left part straight across the seam in orange dashes, which must lie
where the second layout has them.

    python3 seat_pictures.py --binary target/release/throughline

writes rigs/views/*.png and prints the table. With --check it writes nothing, and
fails where the pictures or the README's table are others.
"""

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import cv2
import numpy as np

import scene
from rig_reference import Rig, azimuth, elevation, seam_break, shown_direction, unit
from screenshots import Screenshot
from wrong_rigs import RIGS, changed

DEMO = "tram-cab"
VIEWS = RIGS / "views"
SEAM = 1
SIZE_PX = (640, 400)
LAYERS = "horizon,diagonals"
# Codes that a pixel may differ by.
MOST_OFF = 2
# A dash is 1.2 pixels wide, and its rim as wide as a pixel.
DASH_OFF_PX = 1.2
FEWEST_DASHED = 200


def mistakes(rig):
    """File name, words, the change, width of the view, how it shows."""
    ten_px = 10 * rig.panels[0].pitch_mm[0]
    return [
        ("true", "nothing", None, 14, "every line runs straight across the dark gap"),
        ("fold", "fold 2° more", ("seam.2", "angle_deg", 2.0), 52,
         "nothing jumps at the seam; to its right, lines above and below the horizon bend away, ever more"),
        ("gap", "gap 10 px wider", ("seam.2", "gap_mm", ten_px), 14,
         "sloping lines jump, rising ones down and falling ones up; the horizon is whole"),
        ("low", "right panel 5 mm low", ("seam.2", "rise_mm", -5.0), 14,
         "all lines jump down by as much, the horizon too"),
        ("near", "eye 60 mm too near", ("seat", "distance_mm", -60.0), 52,
         "lines have a corner at the seam, and so at every other seam; the horizon is whole"),
    ]


def dashes_off(picture, plain, camera, drawn, built, lines):
    """Holds the program's dashes against the second layout.

    Returns how many pixels of the right panel's dashes there are, and the largest
    distance in pixels of one from a line's left part, continued.
    """
    q = built.panels[SEAM + 1]
    start = camera.image(q.at(-q.width / 2, np.zeros(1)))[0, 0]
    # What became more orange; the blue of a line below shines through at a rim.
    more = (picture.astype(int) - plain)[..., 2] > 60
    rows, columns = np.nonzero(more)
    right = columns + 0.5 > start
    rows, columns = rows[right] + 0.5, columns[right] + 0.5
    nearest = np.full(len(rows), np.inf)
    for line in lines:
        if seam_break(drawn, built, SEAM, line.normal) is None:
            continue
        point, tangent = shown_direction(drawn, built, SEAM, line.normal, drawn.panels[SEAM].pixels[0])
        circle = unit(np.cross(tangent, point))
        slope = np.diff(camera.line_row(circle, np.array([start, start + 1])))[0]
        off = np.abs(rows - camera.line_row(circle, columns)) / np.hypot(1, slope)
        nearest = np.minimum(nearest, off)
    return len(rows), nearest.max(initial=0.0)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--binary", required=True, help="the program that draws")
    parser.add_argument("--check", action="store_true", help="compare instead of writing")
    args = parser.parse_args()
    scene.ROLL_DEG = 0.0
    VIEWS.mkdir(exist_ok=True)
    readme = (RIGS.parent / "README.md").read_text(encoding="utf-8").splitlines()
    wrong = []

    def say(row):
        if not args.check:
            print(row)
        elif row not in readme:
            wrong.append(f"README.md has no row {row}")

    path = RIGS / f"{DEMO}.toml"
    text = path.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        shot = Screenshot(args.binary, path, LAYERS, folder)
        left, right = shot.rig.panels[SEAM], shot.rig.panels[SEAM + 1]
        middle = left.at(left.width / 2, 40.0) + right.at(-right.width / 2, 40.0)
        look = float(np.degrees(azimuth(middle))), float(np.degrees(elevation(middle)))
        say("| wrong | seen from the seat | how it shows | what `seat` says |")
        say("| --- | --- | --- | --- |")
        for name, words, change, fov, look_for in mistakes(shot.rig):
            built_path, picture_path = folder / f"{name}.toml", folder / f"{name}.png"
            built_text = changed(text, *change) if change else text
            built_path.write_text(built_text, encoding="utf-8")
            command = [
                args.binary, "seat", path, "--built", built_path, "--json", "--out", picture_path,
                "--layers", LAYERS, "--size", f"{SIZE_PX[0]}x{SIZE_PX[1]}", f"--look-deg={look[0]},{look[1]}",
                "--fov-deg", str(fov), "--projection", "rectilinear",
            ]
            subprocess.run(command, check=True, capture_output=True)
            plain = cv2.imread(str(picture_path))
            done = subprocess.run([*command, "--continue"], check=True, capture_output=True)
            report = json.loads(done.stdout)
            camera = scene.Camera(middle, fov, SIZE_PX)
            picture = cv2.imread(str(picture_path))
            dashed, off = dashes_off(picture, plain, camera, shot.rig, Rig(built_text), shot.lines)
            if dashed < FEWEST_DASHED or off > DASH_OFF_PX:
                wrong.append(f"{name}: {dashed} pixels of dashes, up to {off:.2f} px off")
            out = VIEWS / f"{name}.png"
            if args.check:
                committed = cv2.imread(str(out))
                if committed is None or committed.shape != picture.shape:
                    wrong.append(f"{out} is no picture of that size")
                # The last code may round otherwise on another machine.
                elif (off := np.abs(committed.astype(int) - picture).max()) > MOST_OFF:
                    wrong.append(f"{out} differs by {off} codes")
            else:
                cv2.imwrite(str(out), picture, [cv2.IMWRITE_PNG_COMPRESSION, 9])
                assert out.stat().st_size < 150_000, out
            here = [b for b in report["breaks"] if b["seam"] == SEAM + 1]
            worst = max(abs(b["break_arcmin"]) for b in here)
            kink = max(abs(b["kink_deg"]) for b in here)
            cause = report["cause"]["text"] if report["cause"] else "all lines run straight across"
            say(f"| {words} | ![{words}](rigs/views/{name}.png) | {look_for} | breaks to {worst:.1f}′, bends to {kink:.1f}°: {cause} |")
    for sentence in wrong:
        print(sentence, file=sys.stderr)
    if wrong:
        sys.exit(1)


if __name__ == "__main__":
    main()
