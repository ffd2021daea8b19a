"""Off-axis frusta and warps, against the second layout, OpenCV and POV-Ray.

Frusta: the sheet's JSON of every invented rig and of the rig files named, by
R. Kooima's formulas ("Generalized Perspective Projection", 2009) from the
corners in `rig_reference.py`, and the largest angle over a fine grid.

Warps: OpenCV reads the PFM file. Every pixel must lie where its direction meets
the flat screen; a grid of planes drawn for the frustum and bent by `cv2.remap`
must be the grid drawn for the pixels' own directions; and a scene that POV-Ray
traces with the frustum, bent, and put on the panel's surface must look from the
eye as the scene itself does.

    python3 frustum_warp.py --binary target/release/throughline rigs/*.toml
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
from invented_rigs import RIGS
from rig_reference import Rig, unit

AXES_TOLERANCE = 1e-9
# The grid misses a little of the largest angle.
MAX_TOLERANCE_DEG = 0.0005
# Numbers in the file have 24 bits.
PLACE_TOLERANCE = 2e-7
GRID_TOLERANCE = 0.02
# Of full white, blurred by as much as a stripe's edge is wide.
TRACED_TOLERANCE = 0.05
SIZE_PX = (1000, 800)


def frustum(rig, panel, view):
    """Kooima's frustum at near distance 1 of one view, or None behind its plane."""
    p = rig.panels[panel]
    left, right = p.view_edges_s(view)
    pa, pb, pc = (p.at(s, t) for s, t in ((left, -p.height / 2), (right, -p.height / 2), (left, p.height / 2)))
    vr, vu = unit(pb - pa), unit(pc - pa)
    vn = unit(np.cross(vr, vu))
    d = -(vn @ pa)
    if d < 1:
        return None
    near = np.array([vr @ pa, vr @ pb, vu @ pa, vu @ pc]) / d
    return near, vr, vu, vn


def stray_deg(rig, panel, view, frustum):
    """Largest angle over a grid between a view's points and its flat screen's."""
    p = rig.panels[panel]
    (l, r, b, t), vr, vu, vn = frustum
    u = np.linspace(0, 1, 801)[None, :]
    v = np.linspace(0, 1, 401)[:, None]
    left, right = p.view_edges_s(view)
    real = p.at(left + (right - left) * u, (0.5 - v) * p.height)
    x, y = np.broadcast_arrays(l + (r - l) * u, b + (t - b) * (1 - v))
    flat = x[..., None] * vr + y[..., None] * vu - vn
    cross = np.linalg.norm(np.cross(real, flat), axis=-1)
    return float(np.degrees(np.arctan2(cross, (real * flat).sum(-1)).max()))


def run(binary, *arguments):
    done = subprocess.run([str(binary), *map(str, arguments)], capture_output=True, text=True)
    if done.returncode != 0:
        raise SystemExit(f"{arguments}: exit {done.returncode}\n{done.stderr}")
    return done.stdout


def check_frusta(binary, rig, path):
    """Every view of one rig; returns whether all agree."""
    said = json.loads(run(binary, "sheet", path, "--json"))["frusta"]
    worst, worst_max, passed = 0.0, 0.0, len(said) == len(rig.view_ids())
    for entry, (panel, view) in zip(said, rig.view_ids()):
        passed &= (entry["panel"], entry["view"]) == (rig.panels[panel].name, view + 1)
        expected = frustum(rig, panel, view)
        if expected is None:
            passed &= all(entry[key] is None for key in ("near_1", "right", "up", "normal", "max_deg"))
            continue
        for key, value in zip(("near_1", "right", "up", "normal"), expected):
            worst = max(worst, float(np.abs(np.array(entry[key]) - value).max()))
        more = entry["max_deg"] - stray_deg(rig, panel, view, expected)
        worst_max = max(worst_max, more, -1e3 * more)
        passed &= rig.panels[panel].radius_mm is not None or entry["max_deg"] == 0
    passed &= worst < AXES_TOLERANCE and worst_max < MAX_TOLERANCE_DEG
    print(f"frusta {rig.name:<22} {len(said):>3} views {worst:>9.1e} {worst_max:>9.1e} deg  {'ok' if passed else 'FAILED'}")
    return bool(passed)


def columns(rig, panel, view):
    """Middles of the panel's columns that lie in a view."""
    p = rig.panels[panel]
    middles = np.arange(p.pixels[0]) + 0.5
    left, right = (p.pixels[0] * k / p.views for k in (view, view + 1))
    return middles[(middles >= left) & (middles < right)]


def grid(directions):
    """Light of planes through the eye, a degree or so wide, in some directions."""
    d = unit(directions)
    light = np.zeros(d.shape[:-1])
    for k in range(-8, 9):
        for normal in ([1.0, 0.0, np.tan(np.radians(9 * k))], [0.15, 1.0, np.tan(np.radians(7 * k))]):
            off = d @ unit(normal)
            light = np.maximum(light, np.exp(-((off / 0.006) ** 2)))
    return light


def screen_directions(frustum, size):
    """Directions of the middles of a flat picture's pixels."""
    (l, r, b, t), vr, vu, vn = frustum
    x = l + (r - l) * (np.arange(size[0]) + 0.5) / size[0]
    y = t - (t - b) * (np.arange(size[1]) + 0.5) / size[1]
    return x[None, :, None] * vr + y[:, None, None] * vu - vn


def bent(picture, places):
    """A flat picture bent by a warp: what stands in the README."""
    h, w = picture.shape[:2]
    x = (places[..., 0] * w - 0.5).astype(np.float32)
    y = ((1 - places[..., 1]) * h - 0.5).astype(np.float32)
    return cv2.remap(picture.astype(np.float32), x, y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)


def check_warp(binary, rig, path, folder, which):
    """One view's file, and a grid bent by it."""
    panel, view = which
    p = rig.panels[panel]
    name = p.name if p.views == 1 else f"{p.name}/{view + 1}"
    file = Path(folder) / "view.pfm"
    run(binary, "sheet", path, "--warp", name, "--out", file)
    # OpenCV gives rows from the top down, and channels from the last.
    read = cv2.imread(str(file), cv2.IMREAD_UNCHANGED)[..., ::-1].astype(float)
    px = columns(rig, panel, view)
    points = rig.point(panel, px[None, :], np.arange(p.pixels[1])[:, None] + 0.5)
    f = frustum(rig, panel, view)
    (l, r, b, t), vr, vu, vn = f
    depth = -(points @ vn)
    places = np.stack([(points @ vr / depth - l) / (r - l), (points @ vu / depth - b) / (t - b)], -1)
    passed = read.shape == (*points.shape[:2], 3) and (read[..., 2] == 0).all()
    off = float(np.abs(read[..., :2] - places).max())
    size = (2 * len(px), 2 * p.pixels[1])
    flat, own = grid(screen_directions(f, size)), grid(points)
    inside = (read[..., :2] > 0).all(-1) & (read[..., :2] < 1).all(-1)
    apart = float(np.abs(bent(flat, read) - own)[inside].max())
    # What isn't bent, or is bent upside down, must be seen.
    plain = float(np.abs(cv2.resize(flat, (len(px), p.pixels[1]), interpolation=cv2.INTER_AREA) - own).max())
    turned = float(np.abs(bent(flat, read[::-1]) - own).max())
    passed &= off < PLACE_TOLERANCE and apart < GRID_TOLERANCE and turned > 10 * GRID_TOLERANCE
    passed &= p.radius_mm is None or plain > 10 * GRID_TOLERANCE
    print(f"warp   {rig.name:<15} {name:<15} {off:>9.1e} {apart:>9.4f} {plain:>9.4f} {turned:>9.4f}  {'ok' if passed else 'FAILED'}")
    return bool(passed), read


class FrustumCamera:
    """A POV-Ray camera with an off-axis frustum."""

    def __init__(self, frustum, size_px, shift):
        (l, r, b, t), vr, vu, vn = frustum
        self.size_px = size_px
        w, h = size_px
        # Tracing at x = i what belongs to i + 1/2 is looking half a pixel on.
        x = (l + r) / 2 + (r - l) * shift[0] / w
        y = (b + t) / 2 - (t - b) * shift[1] / h
        self.vectors = x * vr + y * vu - vn, (r - l) * vr, (t - b) * vu

    def source(self):
        direction, right, up = map(scene._vector, self.vectors)
        return f"camera {{ perspective location <0,0,0> direction {direction} right {right} up {up} }}\n"


def world():
    """Glowing stripes on a floor, a back wall and balls, soft enough to be filtered."""
    glow = "finish { ambient 0 diffuse 0 emission 1 }"
    wave = "pigment { gradient %s sine_wave color_map { [0 rgb 0] [1 rgb %g] } scale %g } " + glow
    floor = f"plane {{ y, -1.2 texture {{ {wave % ('x', 0.7, 0.9)} }} }}\n"
    wall = f"plane {{ z, 14 texture {{ {wave % ('y', 0.5, 1.7)} }} }}\n"
    balls = [
        f"sphere {{ <{x},{y},{z}>, {r} texture {{ {wave % ('x+y', 1.0, 0.4)} }} }}\n"
        for x, y, z, r in ((-3, 0.4, 6, 1.1), (0.6, -0.3, 5, 0.7), (2.6, 1.0, 7, 1.2), (5, 0, 6, 1.0), (-6, 0.5, 5, 1.2))
    ]
    return [floor, wall, *balls]


def check_traced(rig, read, which, folder, shift):
    """A bent picture of a scene on the panel, against the scene itself."""
    panel, view = which
    p = rig.panels[panel]
    f = frustum(rig, panel, view)
    px = columns(rig, panel, view)
    size = (len(px), p.pixels[1])
    flat = scene.trace(FrustumCamera(f, size, shift), world(), Path(folder) / "flat")
    picture = np.zeros(p.pixels[::-1])
    first = int(px[0])
    picture[:, first : first + len(px)] = bent(flat, read)
    plain = np.zeros_like(picture)
    plain[:, first : first + len(px)] = flat
    s = p.view_middle_s(view)
    camera = scene.Camera(p.at(s, 0.0), 40.0, SIZE_PX)
    direct = scene.trace(camera, world(), Path(folder) / "direct")
    seen = []
    for name, light in (("bent", picture), ("plain", plain)):
        scene.write_picture(Path(folder) / f"{name}-panel.png", light)
        seen.append(scene.trace(camera, [scene.panel_source(p, f"{name}-panel.png")], Path(folder) / name))
    # Where the camera sees the view, some pixels away from its edges.
    left, right = p.view_edges_s(view)
    along = np.linspace(left, right, 129)
    around = np.concatenate([p.at(along, p.height / 2), p.at(along[::-1], -p.height / 2)])
    mask = np.zeros(SIZE_PX[::-1], np.uint8)
    cv2.fillPoly(mask, [np.round(camera.image(around) - 0.5).astype(np.int32)], 1)
    mask = cv2.erode(mask, np.ones((15, 15), np.uint8), borderValue=1).astype(bool)
    bent_off, plain_off = (
        float(np.abs(cv2.GaussianBlur(np.where(mask, light - direct, 0.0), (0, 0), 2.0))[mask].max())
        for light in seen
    )
    passed = mask.sum() > 100_000 and bent_off < TRACED_TOLERANCE
    passed &= p.radius_mm is None or plain_off > 4 * TRACED_TOLERANCE
    print(f"traced {rig.name:<15} {p.name}/{view + 1:<12} {mask.sum():>7} px {bent_off:>8.4f} bent {plain_off:>8.4f} not  {'ok' if passed else 'FAILED'}")
    return bool(passed)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--binary", required=True, help="the program to check")
    parser.add_argument("--keep", metavar="FOLDER", help="keep the pictures there")
    parser.add_argument("rigs", nargs="+", help="rig files")
    args = parser.parse_args()
    results = []
    with tempfile.TemporaryDirectory() as folder:
        if args.keep:
            folder = args.keep
            Path(folder).mkdir(parents=True, exist_ok=True)
        for number, text in enumerate(RIGS):
            path = Path(folder) / f"invented-{number}.toml"
            path.write_text(text, encoding="utf-8")
            results.append(check_frusta(args.binary, Rig(text), path))
        shift = scene.pixel_shift(folder)
        print("warp   view                             off       bent not bent upside down")
        for path in args.rigs:
            rig = Rig.load(path)
            results.append(check_frusta(args.binary, rig, path))
            curved = [w for w in rig.view_ids() if rig.panels[w[0]].radius_mm is not None]
            # One flat view of a rig is enough, and every curved one.
            flat = [w for w in rig.view_ids() if w not in curved][:1]
            for which in flat + curved:
                passed, read = check_warp(args.binary, rig, path, folder, which)
                results.append(passed)
                if which in curved[-1:] or not curved:
                    results.append(check_traced(rig, read, which, folder, shift))
    sys.exit(0 if all(results) else 1)


if __name__ == "__main__":
    main()
