"""Times a seat view against OpenCV doing the same job.

Both read the same 11-megapixel canvas from a PNG, show it in a 1920 x 1080 view
of the whole rig, filtered in linear light, and write a PNG. The program works
out where each pixel looks; OpenCV is given that map: it blurs the canvas by the
map's mean shrinking and looks it up bilinearly with `cv2.remap`. Runs take
turns, so that whatever else the machine does slows both.

    python3 seat_speed.py --binary target/release/throughline
"""

import argparse
import json
import subprocess
import sys
import tempfile
import time
from math import radians, tan
from pathlib import Path

import cv2
import numpy as np

from rig_reference import Rig
from screenshots import light_from_code
from wrong_rigs import RIGS

SIZE_PX = (1920, 1080)
RUNS = 7
MOST = 4.0


def view_map(rig, note):
    """Canvas column and row that each view pixel sees, flat panels only; -1 for none."""
    w, h = SIZE_PX
    az, el = np.radians(note["look_deg"])
    x, y = np.meshgrid(np.arange(w) + 0.5, np.arange(h) + 0.5)
    if note["projection"] == "rectilinear":
        focal = w / 2 / tan(radians(note["fov_deg"]) / 2)
        ahead = np.array([np.sin(az) * np.cos(el), np.sin(el), -np.cos(az) * np.cos(el)])
        right = np.array([np.cos(az), 0, np.sin(az)])
        up = np.cross(right, ahead)
        u, v = ((x - w / 2) / focal)[..., None], ((h / 2 - y) / focal)[..., None]
        rays = ahead + right * u + up * v
    else:
        focal = w / radians(note["fov_deg"])
        turn = az + (x - w / 2) / focal
        rays = np.stack([np.sin(turn), (h / 2 - y) / focal + np.tan(el), -np.cos(turn)], -1)
    columns, rows = np.full((h, w), -1.0), np.full((h, w), -1.0)
    for panel in rig.panels:
        local = rays @ panel.seat_from_panel
        from_middle = panel.middle @ panel.seat_from_panel
        with np.errstate(divide="ignore", invalid="ignore"):
            k = from_middle[2] / local[..., 2]
            s = k * local[..., 0] - from_middle[0]
            t = k * local[..., 1] - from_middle[1]
        px = (s / panel.width + 0.5) * panel.pixels[0]
        py = panel.py_from_t(t)
        on = (k > 0) & (local[..., 2] < 0) & (px > 0) & (px < panel.pixels[0]) & (py > 0) & (py < panel.pixels[1])
        columns[on] = px[on] + panel.canvas_px[0] - 0.5
        rows[on] = py[on] + panel.canvas_px[1] - 0.5
    return columns.astype(np.float32), rows.astype(np.float32)


def by_opencv(source, target, columns, rows, sigma, tables):
    """The same job with OpenCV."""
    linear, codes = tables
    canvas = cv2.LUT(cv2.imread(str(source)), linear)
    canvas = cv2.GaussianBlur(canvas, (0, 0), sigma)
    view = cv2.remap(canvas, columns, rows, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT)
    cv2.imwrite(str(target), codes[(view * (len(codes) - 1)).astype(np.uint16)], [cv2.IMWRITE_PNG_COMPRESSION, 1])


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--binary", required=True, help="the program to time")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        # Three panels of 2560 x 1440: 11.06 megapixels.
        text = (RIGS / "tram-cab.toml").read_text(encoding="utf-8")
        text = text.replace("[1920, 1080]", "[2560, 1440]").replace("[-1920, 0]", "[-2560, 0]").replace("[1920, 0]", "[2560, 0]")
        path, canvas = folder / "rig.toml", folder / "canvas.png"
        path.write_text(text, encoding="utf-8")
        subprocess.run([args.binary, "screenshot", path, "--out", canvas], check=True)
        seat = [args.binary, "seat", path, "--picture", canvas, "--out", folder / "seat.png", "--size", "1920x1080"]
        subprocess.run(seat, check=True, capture_output=True)
        note = json.loads(note_in(folder / "seat.png"))
        columns, rows = view_map(Rig(text), note)
        # Standard deviation of a box as wide as the mean shrinking.
        lit = columns >= 0
        shrinking = np.abs(np.diff(columns, axis=1))[lit[:, 1:] & lit[:, :-1]]
        sigma = float(np.median(shrinking)) / 12**0.5
        linear = light_from_code(np.arange(256) / 255).astype(np.float32)
        light = np.linspace(0, 1, 4096)
        codes = np.round(255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)).astype(np.uint8)
        ours, theirs = [], []
        for _ in range(RUNS):
            start = time.perf_counter()
            subprocess.run(seat, check=True, capture_output=True)
            middle = time.perf_counter()
            by_opencv(canvas, folder / "cv.png", columns, rows, sigma, (linear, codes))
            ours.append(middle - start)
            theirs.append(time.perf_counter() - middle)
        # The two pictures must show the same, or their times mean nothing.
        one, other = (linear[cv2.imread(str(folder / n))].astype(float) for n in ("seat.png", "cv.png"))
        inside = cv2.erode(lit.astype(np.uint8), np.ones((9, 9), np.uint8)).astype(bool)
        off = np.abs(cv2.GaussianBlur(one - other, (0, 0), 2.0))[inside].max()
        assert off < 0.05, off
    ratio = np.median(ours) / np.median(theirs)
    print(f"seat {np.median(ours):.2f} s, OpenCV {np.median(theirs):.2f} s (medians of {RUNS}): {ratio:.2f} times, at most {MOST:g} allowed")
    sys.exit(0 if ratio <= MOST else 1)


def note_in(path):
    """The text of the picture's note on its view."""
    data = path.read_bytes()
    at = data.index(b"iTXtSeat view\0")
    length = int.from_bytes(data[at - 4 : at], "big")
    return data[at + 4 : at + 4 + length].split(b"\0", 5)[-1].decode("utf-8")


if __name__ == "__main__":
    main()
