"""Photographs of displays that show the layer `marks`, as a phone would take them.

    python3 photo_simulator.py --binary PROGRAM --out DIR [--sets N] [--seed S] [--jobs J]
                               [--degrade KIND] [--demo NAME]
    python3 photo_simulator.py --check

Every photograph comes as NAME.jpg, NAME.rig.toml (the rig as drawn) and
NAME.truth.json:

    {"marks": [[panel, panel_x, panel_y, photo_x, photo_y], ...], "beside": [...],
     "values": {PATH: value of the rig as built}, "camera": {...}}

`marks` holds every inner corner of the field that lies in the photograph and
that nothing hides, `beside` those that lie just outside it or that something
hides, wholly or a little; panels count from 1, coordinates are the rig's, in
which the top-left pixel's centre is (0.5, 0.5). `--check` holds the projection
against OpenCV, the glass against Fermat's principle, the way back against the
way there, and corners in a clean picture against OpenCV's cornerSubPix.
"""

import os

# One photograph, one core: small products of matrices only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import argparse
import json
import subprocess
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import cv2
import numpy as np
import tomllib
from scipy.optimize import minimize

import marks_field
import photo_light
import photo_sets
from photo_optics import Camera, Screen, looking
from rig_reference import Rig


def bezels(text):
    """Every panel's case around its lit area, millimetres."""
    sides = ("left", "right", "top", "bottom")
    return [{s: p.get("bezel_mm", {}).get(s, 0.0) for s in sides} for p in tomllib.loads(text)["panel"]]


def pictures(binary, rig_path, folder):
    """What the program shows on each panel, as codes."""
    shown = []
    for n, panel in enumerate(Rig.load(rig_path).panels):
        png = Path(folder) / f"panel-{n}.png"
        command = [str(binary), "screenshot", str(rig_path), "--layers", "marks"]
        command += ["--panel", panel.name, "--out", str(png)]
        done = subprocess.run(command, capture_output=True, text=True)
        if done.returncode != 0:
            raise SystemExit(f"{' '.join(command)}: exit {done.returncode}\n{done.stderr}")
        codes = cv2.imread(str(png))[..., 1]
        elsewhere = int(marks_field.unlike(codes, panel).sum())
        if elsewhere:
            raise SystemExit(f"{rig_path}: {elsewhere} corners of {panel.name} are drawn elsewhere")
        shown.append(codes)
    return shown


def hand(random, size, at):
    """How much of each pixel a hand covers: a palm and four fingers."""
    x, y, radius, turn = at
    mask = np.zeros(size[::-1], np.uint8)
    cv2.ellipse(mask, (int(x), int(y)), (int(radius), int(1.2 * radius)), np.degrees(turn), 0, 360, 255, -1)
    for finger in range(4):
        angle = turn + np.radians(-120 + 22 * finger)
        root = np.array([x, y]) + 0.9 * radius * np.array([np.cos(angle), np.sin(angle)])
        tip = root + radius * random.uniform(1.2, 1.8) * np.array([np.cos(angle), np.sin(angle)])
        cv2.line(mask, tuple(int(v) for v in root), tuple(int(v) for v in tip), 255, int(0.4 * radius))
    return cv2.GaussianBlur(mask, (0, 0), size[0] / 1000).astype(np.float32) / 255


def corners_seen(photos, camera, covered=None):
    """[panel, panel_x, panel_y, photo_x, photo_y] of every corner that the camera sees.

    The second list has those just outside of the picture, and those that a panel
    or a hand hides, wholly or a little.
    """
    w, h = camera.size
    rows, beside, screens = [], [], photos.screens
    if covered is not None:
        around = h // 120
        covered = cv2.dilate(covered, np.ones((around, around), np.uint8))
    for n, (screen, drawn) in enumerate(zip(screens, photos.drawn.panels)):
        at = marks_field.corners(drawn)
        points, cosine = screen.leaves_glass(at[:, 0], at[:, 1], camera.eye)
        photo, ahead = camera.project(points)
        near = ahead & (cosine > 0.03) & np.all((photo > -3) & (photo < (w + 3, h + 3)), -1)
        seen = near & np.all((photo > 0) & (photo < (w, h)), -1)
        for other in screens:
            if other is not screen:
                px, py, far, _ = other.lit_from_ray(camera.eye, points - camera.eye)
                wide, high = other.panel.pixels
                seen &= ~((far < 0.999) & (px > 0) & (px < wide) & (py > 0) & (py < high))
        if covered is not None:
            inside = np.clip(photo, 0, (w - 1, h - 1)).astype(int)
            seen &= covered[inside[:, 1], inside[:, 0]] < 0.01
        for listed, which in ((rows, seen), (beside, near & ~seen)):
            for corner, place in zip(at[which], photo[which]):
                listed.append([n + 1, *corner.tolist(), *np.round(place, 4).tolist()])
    return rows, beside


def with_orientation(jpeg, orientation):
    """A JPEG file's bytes with the orientation that a phone would note (EXIF, tag 0x112)."""
    ifd = b"\x01\x00" + b"\x12\x01\x03\x00\x01\x00\x00\x00" + bytes([orientation, 0, 0, 0]) + bytes(4)
    body = b"Exif\x00\x00II*\x00\x08\x00\x00\x00" + ifd
    return jpeg[:2] + b"\xff\xe1" + (len(body) + 2).to_bytes(2, "big") + body + jpeg[2:]


def photograph(photos, number, codes):
    """One photograph of a set: the JPEG file's bytes and its truth."""
    shot = photos.shots[number]
    camera, faults = shot.camera, shot.faults
    random = np.random.default_rng([photos.seed, number, 7])
    truth = {"marks": [], "beside": [], "values": photos.values, "camera": camera.document()}
    if shot.screenshot:
        ok, jpeg = cv2.imencode(".jpg", np.hstack([c for c in codes if c.shape == codes[0].shape]))
        return jpeg.tobytes(), {**truth, "camera": None}
    textures = [
        photo_light.Texture(c, s.panel, bezel, bright)
        for c, s, bezel, bright in zip(codes, photos.screens, bezels(photos.text), photos.brightness)
    ]
    back = photo_light.room(random, camera.size, photos.room)
    light = photo_light.shown(camera, photos.screens, textures, back, shot.mirror)
    tint = np.ones((camera.size[1] // 8, camera.size[0] // 8, 3), np.float32)
    tint *= random.uniform(0.93, 1.07, 3).astype(np.float32)
    covered = None
    if shot.hand is not None:
        covered = hand(random, camera.size, shot.hand)
        light = light * (1 - covered) + covered * np.float32(0.5 * photos.room + 0.01)
        share = cv2.resize(covered, tint.shape[1::-1], interpolation=cv2.INTER_AREA)[..., None]
        tint = tint * (1 - share) + share * np.array([0.55, 0.85, 1.5], np.float32)
    bgr = photo_light.picture(random, light, tint, faults)
    ok, jpeg = cv2.imencode(".jpg", bgr, [cv2.IMWRITE_JPEG_QUALITY, faults.quality])
    truth["marks"], truth["beside"] = corners_seen(photos, camera, covered)
    return with_orientation(jpeg.tobytes(), shot.orientation), truth


def kept(photos, folder):
    """The paths and truths of a set that a folder has already, None where it has not."""
    made = []
    for number in range(len(photos.shots)):
        path = Path(folder) / f"{photos.name}-{number + 1}.jpg"
        if not path.exists() or path.with_suffix(".rig.toml").read_text(encoding="utf-8") != photos.text:
            return None
        made.append((path, json.loads(path.with_suffix(".truth.json").read_text(encoding="utf-8"))))
        if made[-1][1]["values"] != photos.values:
            return None
    return made


def make(photos, binary, folder):
    """Writes a set's photographs; returns their paths and, of each, its truth."""
    cv2.setNumThreads(1)
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    made = []
    with tempfile.TemporaryDirectory() as scratch:
        rig = Path(scratch) / "rig.toml"
        rig.write_text(photos.text, encoding="utf-8")
        codes = pictures(binary, rig, scratch)
    for number in range(len(photos.shots)):
        jpeg, truth = photograph(photos, number, codes)
        path = folder / f"{photos.name}-{number + 1}.jpg"
        path.with_suffix(".rig.toml").write_text(photos.text, encoding="utf-8")
        path.with_suffix(".truth.json").write_text(json.dumps(truth), encoding="utf-8")
        path.write_bytes(jpeg)
        made.append((path, truth))
    return made


# --- Checks --------------------------------------------------------------


def check_projection(random, wrong=0.0):
    """The largest difference from OpenCV's projectPoints, pixels."""
    worst = 0.0
    for _ in range(50):
        camera = Camera(
            (4000, 3000), random.normal(0, 200, 3), looking(*random.normal(0, 0.3, 2), random.normal(0, 1)),
            random.uniform(2500, 3200), (2000 + random.normal(0, 20), 1500 + random.normal(0, 20)),
            tuple(random.normal(0, (0.03, 0.02, 0.005))), tuple(random.normal(0, 0.0005, 2)),
        )
        points = random.uniform((-500, -300, -1200), (500, 300, -700), (100, 3))
        ours, ahead = camera.project(points)
        rotation, _ = cv2.Rodrigues(camera.turn)
        matrix = np.array([
            [camera.focal, 0, camera.centre[0] - 0.5], [0, camera.focal, camera.centre[1] - 0.5], [0, 0, 1.0],
        ])
        k1, k2, k3 = camera.radial
        distortion = np.array([k1, k2, *camera.decentring, k3 + wrong])
        theirs, _ = cv2.projectPoints(points, rotation, -camera.turn @ camera.eye, matrix, distortion)
        worst = max(worst, np.abs(ours - theirs[:, 0] - 0.5)[ahead].max())
    return worst


def check_glass(random, wrong=0.0):
    """The largest distance, millimetres, from where light would leave the glass soonest."""
    worst = 0.0
    for demo in ("tram-cab", "ferry-bridge"):
        rig = Rig.load(photo_sets.RIGS / f"{demo}.toml")
        for panel in rig.panels:
            if panel.radius_mm is not None:
                continue
            glass, eye = random.uniform(0.2, 1.0), random.normal(0, (200, 100, 100), 3)
            screen = Screen(panel, glass=glass + wrong)
            px, py = random.uniform((0, 0), panel.pixels, 2)
            ours, _ = screen.leaves_glass(np.array(px), np.array(py), eye)
            s, t = panel.s_from_px(px), panel.t_from_py(py)
            lit, (x, y, z) = panel.at(s, t), panel.seat_from_panel.T

            def path(at, lit=lit, x=x, y=y, z=z, glass=glass, eye=eye, index=screen.index):
                out = lit + at[0] * x + at[1] * y + glass * z
                return index * np.linalg.norm(out - lit) + np.linalg.norm(eye - out)

            least = minimize(path, (0.0, 0.0), method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-14})
            worst = max(worst, np.abs(ours - lit - least.x @ np.stack([x, y]) - glass * z).max())
    return worst


def check_way_back(random):
    """The largest difference of panel pixels there and back, everything on."""
    worst = 0.0
    for seed in range(12):
        photos = photo_sets.drawn(seed, [*photo_sets.DEMOS, None][seed % 5])
        for shot in photos.shots:
            camera = shot.camera
            for screen in photos.screens:
                px, py = random.uniform((0, 0), screen.panel.pixels, (60, 2)).T
                points, cosine = screen.leaves_glass(px, py, camera.eye)
                photo, ahead = camera.project(points)
                seen = ahead & (cosine > 0.1) & np.all((photo > 0) & (photo < camera.size), -1)
                back_x, back_y, _, _ = screen.lit_from_ray(camera.eye, camera.rays(*photo.T))
                if seen.any():
                    worst = max(worst, np.hypot(back_x - px, back_y - py)[seen].max())
    return worst


def check_corners(moved=0.0):
    """Corners of clean pictures found by OpenCV, less the truth: their mean's length and rms."""
    off = []
    for seed, demo in enumerate(["rally-loft", "tram-cab"]):
        photos = photo_sets.drawn(seed, demo, "small")
        camera = photos.shots[seed].camera
        codes = [marks_field.stand_in(panel) for panel in photos.drawn.panels]
        assert not any(marks_field.unlike(c, p).any() for c, p in zip(codes, photos.drawn.panels))
        textures = [
            photo_light.Texture(c, s.panel, bezel, 1.0)
            for c, s, bezel in zip(codes, photos.screens, bezels(photos.text))
        ]
        back = np.full(camera.size[::-1], 0.01, np.float32)
        light = photo_light.shown(camera, photos.screens, textures, back)
        clean = np.clip(255 * cv2.GaussianBlur(light, (0, 0), 0.7) / 0.8, 0, 255).astype(np.uint8)
        w, h = camera.size
        truth = np.array([row[3:] for row in corners_seen(photos, camera)[0]])
        truth = truth[np.all((truth > 12) & (truth < (w - 12, h - 12)), -1)]
        start = np.rint(truth - 0.5).astype(np.float32)[:, None]
        found = cv2.cornerSubPix(clean, start.copy(), (4, 4), (-1, -1), (3, 60, 1e-4))[:, 0]
        off.append(found + 0.5 - truth - moved)
    off = np.concatenate(off)
    # A cell of few pixels, far round a corner, leads OpenCV astray.
    kept = off[np.hypot(*off.T) < 0.5]
    assert len(kept) > 0.95 * len(off), (len(kept), len(off))
    return float(np.hypot(*kept.mean(0))), float(np.sqrt((kept**2).sum(1).mean()))


def check():
    """Runs all checks, each once on a wrong input, too; exits with 1 where one fails."""
    def random():
        return np.random.default_rng(5)

    clean, off, far_off = check_corners(), check_corners(0.02), check_corners(0.1)
    bounds = [
        ("projection against OpenCV, px", check_projection(random()), check_projection(random(), 1e-6), 1e-9),
        ("glass against Fermat's principle, mm", check_glass(random()), check_glass(random(), 0.01), 2e-5),
        ("way back, panel px", check_way_back(random()), None, 1e-3),
        ("corners in clean pictures, mean, px", clean[0], off[0], 0.01),
        ("corners in clean pictures, rms, px", clean[1], far_off[1], 0.08),
    ]
    good = True
    for what, found, wrong, bound in bounds:
        ok = found < bound and (wrong is None or wrong > bound)
        good &= ok
        print(f"{what}: {found:.3g}, wrong on purpose {'-' if wrong is None else f'{wrong:.3g}'}, bound {bound}"
              f"{'' if ok else ': FAILED'}")
    sys.exit(0 if good else 1)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--binary", help="the program")
    parser.add_argument("--out", help="folder for the photographs")
    parser.add_argument("--sets", type=int, default=1)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--demo", choices=photo_sets.DEMOS)
    parser.add_argument("--degrade", choices=photo_sets.DEGRADES)
    parser.add_argument("--check", action="store_true")
    args = parser.parse_args()
    if args.check:
        check()
    if args.binary is None or args.out is None:
        parser.error("--binary and --out, or --check")
    sets = list(photo_sets.of_study(args.seed, args.sets, args.degrade))
    if args.demo is not None:
        sets = [photo_sets.drawn(args.seed * 1000 + n, args.demo, args.degrade) for n in range(args.sets)]
    with ProcessPoolExecutor(args.jobs) as pool:
        for made in pool.map(make, sets, [args.binary] * len(sets), [args.out] * len(sets)):
            for path, truth in made:
                print(f"{path}: {len(truth['marks'])} marks")


if __name__ == "__main__":
    main()
