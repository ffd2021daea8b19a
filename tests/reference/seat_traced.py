"""Holds seat views against POV-Ray's pictures of the same scene.

For every seam of every rig file, as it stands and with the first seam's turn
one degree larger: the program draws its pattern and its own view of the seam;
POV-Ray traces the same panels, glowing with the same pattern, from the same
camera. Every line must lie in the program's view where the second layout says
and where POV-Ray sees it, and both pictures must hold the same light.

    python3 seat_traced.py --binary target/release/throughline rigs/*.toml
"""

import argparse
import subprocess
import sys
import tempfile
from pathlib import Path

import cv2
import numpy as np

import scene
from rig_reference import Rig, azimuth, elevation
from screenshots import Screenshot, read_light
from traced_lines import FEWEST_COLUMNS, FEWEST_LINES, WRONG_DEG, readings, side_of_line, turned

LAYERS = "horizon,diagonals"
TOLERANCE_PX = 0.1
# Of full white, over all pixels that lie wholly on a panel.
MEAN_TOLERANCE = 0.003
FOV_DEG = 26.0
SIZE_PX = (1100, 900)
# Largest difference once both pictures are blurred by as much as a line is wide.
BLUR_PX = 2.0
BLURRED_TOLERANCE = 0.05


class Camera(scene.Camera):
    """A level camera whose traced pictures come out unshifted."""

    shift = np.zeros(2)

    def source(self):
        w, h = self.size_px
        # Tracing at x = i what belongs to i + 1/2 is looking half a pixel on.
        x, y = self.shift / self.focal_px
        direction = self.ahead + self.right * x - self.up * y
        return (
            "camera { perspective location <0,0,0>"
            f" direction {scene._vector(direction)}"
            f" right {scene._vector(self.right * w / self.focal_px)}"
            f" up {scene._vector(self.up * h / self.focal_px)} }}\n"
        )


def on_panels(camera, built, panels):
    """Pixels that lie on a panel, two pixels away from its edges."""
    mask = np.zeros(SIZE_PX[::-1], np.uint8)
    for panel in panels:
        p = built.panels[panel]
        s = np.linspace(-p.width / 2, p.width / 2, 65)
        around = np.concatenate([p.at(s, p.height / 2), p.at(s[::-1], -p.height / 2)])
        around = around[around @ camera.ahead > 0]
        one = np.zeros_like(mask)
        cv2.fillPoly(one, [np.round(camera.image(around) - 0.5).astype(np.int32)], 1)
        mask |= cv2.erode(one, np.ones((5, 5), np.uint8), borderValue=1)
    return mask.astype(bool)


def check_seam(binary, shot, drawn_path, built, built_path, seam, folder, name):
    """One seam: prints its figures, and says whether they are good."""
    left, right = built.panels[seam], built.panels[seam + 1]
    middle = sum(e / np.linalg.norm(e) for e in (left.at(left.width / 2, 0.0), right.at(-right.width / 2, 0.0)))
    look = np.degrees([azimuth(middle), elevation(middle)])
    camera = Camera(middle, FOV_DEG, SIZE_PX)
    picture = folder / f"{name}-seat.png"
    subprocess.run(
        [binary, "seat", drawn_path, "--built", built_path, "--layers", LAYERS, "--out", picture,
         f"--look-deg={float(look[0])},{float(look[1])}", "--fov-deg", str(FOV_DEG),
         "--projection", "rectilinear", "--size", f"{SIZE_PX[0]}x{SIZE_PX[1]}"],
        check=True, capture_output=True,
    )
    ours = read_light(picture).mean(2)
    objects = []
    for panel in (seam, seam + 1):
        texture = folder / f"{name}-{panel}.png"
        scene.write_picture(texture, shot.of_panel(panel).mean(2))
        objects.append(scene.panel_source(built.panels[panel], texture.name))
    theirs = scene.trace(camera, objects, folder / f"{name}-traced")

    mask = on_panels(camera, built, (seam, seam + 1))
    off = np.where(mask, ours - theirs, 0.0)
    bias, mean = off[mask].mean(), np.abs(off[mask]).mean()
    blurred = np.abs(cv2.GaussianBlur(off, (0, 0), BLUR_PX))[mask].max()
    unlike = []
    expected = []
    for panel in (seam, seam + 1):
        sides = {}
        for line in shot.lines:
            side = side_of_line(shot.rig, built, camera, panel, line)
            if side is not None:
                sides[line.name] = side
        for which, side in sides.items():
            at, rows = readings(ours, np.zeros(2), sides, which)
            traced_at, traced = readings(theirs, np.zeros(2), sides, which)
            _, mine, other = np.intersect1d(at, traced_at, return_indices=True)
            if len(mine) >= FEWEST_COLUMNS:
                expected.append(abs((rows - side.expected[at]).mean()))
                unlike.append(abs((rows[mine] - traced[other]).mean()))
    passed = (
        len(unlike) >= FEWEST_LINES and max(unlike) < TOLERANCE_PX and max(expected) < TOLERANCE_PX
        and abs(bias) < MEAN_TOLERANCE / 10 and mean < MEAN_TOLERANCE and blurred < BLURRED_TOLERANCE
    )
    figures = " ".join(f"{v:>10.4f}" for v in (max(expected), max(unlike), bias, mean, blurred))
    print(f"{name:<24} {len(unlike):>5} {figures}  {'ok' if passed else 'FAILED'}", flush=True)
    return passed


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--binary", required=True, help="the program to check")
    parser.add_argument("--keep", metavar="FOLDER", help="keep the pictures there")
    parser.add_argument("--wrong-camera", action="store_true", help="trace half a pixel off: has to fail")
    parser.add_argument("rigs", nargs="+", help="rig files")
    args = parser.parse_args()
    scene.ROLL_DEG = 0.0
    results = []
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(args.keep or folder)
        folder.mkdir(parents=True, exist_ok=True)
        # A picture shifted right by s shows at x what belongs at x - s.
        Camera.shift = scene.pixel_shift(folder) + (0.5 if args.wrong_camera else 0.0)
        print(f"traced pictures would be shifted by {Camera.shift[0]:g}, {Camera.shift[1]:g} px; corrected")
        print("seam                     lines    off, px unlike, px       bias mean, |..|    blurred")
        for path in args.rigs:
            shot = Screenshot(args.binary, path, LAYERS, folder)
            stem = Path(path).stem
            for seam in range(len(shot.rig.seams)):
                results.append(check_seam(args.binary, shot, path, shot.rig, path, seam, folder, f"{stem}-{seam + 1}-true"))
            wrong = folder / f"{stem}-wrong.toml"
            wrong.write_text(turned(shot.rig.text, 0, WRONG_DEG), encoding="utf-8")
            results.append(check_seam(args.binary, shot, path, Rig.load(wrong), wrong, 0, folder, f"{stem}-1-wrong"))
    sys.exit(0 if all(results) else 1)


if __name__ == "__main__":
    main()
